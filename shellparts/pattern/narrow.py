"""Pieces, and parts of pieces, that are too narrow for anybody to sew.

They come about where the side of a doorway runs along a seam of the panels, a few millimetres beside it. A tip that
narrows quickly is no hindrance: its two seams meet and go on as one. The cap is not looked at: the width of the panels'
ends decides it. This module does not know what is to blame.
"""

from collections.abc import Iterable

import numpy as np
import shapely

from shellparts.base.errors import ParameterError
from shellparts.base.units import metric
from shellparts.parameters.part import Role
from shellparts.pattern.pieces import Piece

__all__ = ["refuse_narrow", "widest_mm"]

#: Narrower than this, two seams cannot be sewn side by side: half the width of a presser foot [mm].
_LEAST_WIDTH_MM = 10.0
#: A part may be narrower over this length [mm]: a hand's breadth or two, which the two seams take as one.
_SHORT_MM = 400.0
#: Curves are polylines here, this far off at most [mm].
_SAGITTA_MM = 0.5


def _shape(piece: Piece) -> shapely.Polygon:
    loops = [piece.edges, *piece.holes]
    rings = [np.concatenate([edge.polyline(_SAGITTA_MM)[:-1] for edge in loop]) for loop in loops]
    return shapely.Polygon(rings[0], rings[1:])


def widest_mm(piece: Piece) -> float:
    """Diameter of the largest circle that the sewing line holds, to about a millimetre [mm]."""
    return 2.0 * float(shapely.maximum_inscribed_circle(_shape(piece), tolerance=0.5).length)


def _narrow_length(shape: shapely.Polygon) -> float:
    """Length of the longest part that is narrower than can be sewn [mm]."""
    half = _LEAST_WIDTH_MM / 2
    wide = shape.buffer(-half, join_style="mitre").buffer(
        half + _SAGITTA_MM, join_style="mitre", mitre_limit=10
    )
    parts = shapely.get_parts(shape.difference(wide))
    boxes = [np.array(part.minimum_rotated_rectangle.exterior.coords) for part in parts if part.area > 0.0]
    return max((float(np.linalg.norm(np.diff(box, axis=0), axis=1).max()) for box in boxes), default=0.0)


def refuse_narrow(pieces: Iterable[Piece]) -> None:
    """Refuse a room that has a piece, or a long part of one, that nobody can sew."""
    for piece in pieces:
        if piece.kind.role is Role.CAP:
            continue
        widest = widest_mm(piece)
        long = _narrow_length(_shape(piece))
        if widest >= _LEAST_WIDTH_MM and long <= _SHORT_MM:
            continue
        value = (
            f"{metric(widest, 1)} wide"
            if widest < _LEAST_WIDTH_MM
            else f"less than {metric(_LEAST_WIDTH_MM)} wide along {metric(long)}"
        )
        raise ParameterError(
            f"narrowest part of {piece.name}",
            value,
            f"at least {metric(_LEAST_WIDTH_MM)} wide, but for tips up to {metric(_SHORT_MM)} long, to be sewn",
            "where a doorway cuts it, make that 20 mm or more wider or narrower; else make fewer panels or stop them "
            "further short of the axis",
        )

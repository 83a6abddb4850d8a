"""Which pieces get a template of board, and which are drawn round another piece's.

Glossary: a *plain* piece is one that a template is made for; a *variant* differs from it only by an opening
that is cut out of it: a doorway or the hole for a sleeve. What is decided here is decided by laying the two
pieces on each other: as they stand, foot to foot, or upper end to upper end, and turned over. The variant
must nowhere leave the plain piece, neither with its cutting line nor with its sewing line, and at least half
of its outline must lie on that of the plain piece. A variant that does not is no variant.
"""

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from shellparts.base.tolerances import TOLERANCES
from shellparts.parameters.boards import Boards
from shellparts.pattern.pieces import Piece
from shellparts.templates.parts import DrawnPiece, Manner

__all__ = ["alike_on_both_sides", "drawn_round", "outer", "shared_templates", "ticks_of"]

Array = NDArray[np.float64]
#: How far a variant may leave the plain piece [mm]: its curves are drawn through points of their own.
_SLIP_MM = TOLERANCES.layout_slip_mm
#: Share of the outline of a variant that must be drawn round the template.
_LEAST_SHARE, _WHOLE_SHARE = 0.5, 1.0 - 1e-4


def outer(piece: Piece, sewing: bool) -> shapely.Polygon:
    """Area inside the outer sewing line or cutting line of a piece, holes filled [mm]."""
    if not sewing:
        return shapely.Polygon(piece.cutting[0])
    return shapely.Polygon(
        np.concatenate([edge.polyline(TOLERANCES.drawing_sagitta_mm)[:-1] for edge in piece.edges])
    )


def ticks_of(piece: Piece) -> list[Array]:
    """Every notch tick of a piece's outer edges, from the sewing line to the cutting line, each (2, 2) [mm]."""
    ticks = []
    for edge in piece.edges:
        for distance in edge.ticks_mm:
            at, heading = edge.at(distance)
            ticks.append(
                np.array([at, at + edge.allowance_mm * np.array([np.sin(heading), -np.cos(heading)])])
            )
    return ticks


def _mirrored(shape: shapely.Geometry) -> shapely.Geometry:
    return shapely.transform(shape, lambda points: points * [-1.0, 1.0])


def alike_on_both_sides(piece: Piece) -> bool:
    """Whether a piece mirrors itself about x = 0, within `TOLERANCES.same_piece_mm`: lines, openings and notches."""
    near = TOLERANCES.same_piece_mm
    lines = [outer(piece, sewing).exterior for sewing in (False, True)]
    holes = [np.concatenate([edge.polyline(0.02) for edge in hole]) for hole in piece.holes]
    shapes: list[shapely.Geometry] = [*lines]
    if holes:
        shapes.append(shapely.MultiLineString(holes))
    ticks = ticks_of(piece)
    if ticks:
        shapes.append(shapely.MultiPoint(np.concatenate(ticks)))
    return all(shapely.hausdorff_distance(shape, _mirrored(shape)) <= near for shape in shapes)


def _ways(piece: Piece, plain: Piece) -> list[tuple[shapely.Polygon, shapely.Polygon, str]]:
    """Cutting and sewing line of a piece in every way it may lie on a plain one, and that way in words."""
    shapes = outer(piece, False), outer(piece, True)
    target = outer(plain, True)
    ways = []
    for turned in (False, True):
        cutting, sewing = (_mirrored(shape) if turned else shape for shape in shapes)
        ends = [
            (0.0, ""),
            (target.bounds[1] - sewing.bounds[1], "lower ends together"),
            (target.bounds[3] - sewing.bounds[3], "upper ends together"),
        ]
        for up, words in ends:
            at = ", ".join(filter(None, [words, "turned over" if turned else ""]))
            cut, sewn = (shapely.affinity.translate(shape, 0.0, up) for shape in (cutting, sewing))
            ways.append((cut, sewn, at))
    return ways


def drawn_round(piece: Piece, plain: Piece, boards: Boards) -> DrawnPiece | None:
    """How a piece is drawn round another's template; None if it leaves it, or shares less than half its outline."""
    if piece.kind is not plain.kind:
        return None
    sewn = boards.line.value == "sewing"
    edge, best = outer(plain, sewn).exterior.buffer(_SLIP_MM), None
    cut_room, sewn_room = (outer(plain, line).buffer(_SLIP_MM) for line in (False, True))
    for cutting, sewing, at in _ways(piece, plain):
        if not (cut_room.contains(cutting) and sewn_room.contains(sewing)):
            continue
        own = (sewing if sewn else cutting).exterior
        share = float(own.intersection(edge).length / own.length)
        if share >= _LEAST_SHARE and (best is None or share > best.share + 1e-6):
            manner = Manner.OPENING if share > _WHOLE_SHARE else Manner.PARTLY
            best = DrawnPiece(piece.name, piece.count, manner, min(1.0, share), at)
    return best


def shared_templates(
    pieces: Sequence[Piece], boards: Boards
) -> tuple[list[tuple[Piece, tuple[DrawnPiece, ...]]], list[str]]:
    """Pieces that get a template with all drawn round it, the one drawn most often first; names without one."""
    families = []
    for piece in pieces:
        if piece.mirror_of is None:
            own = [DrawnPiece(piece.name, piece.count, Manner.ROUND)]
            own += [
                DrawnPiece(other.name, other.count, Manner.TURNED)
                for other in pieces
                if other.mirror_of == piece.name
            ]
            families.append((piece, own))
    families.sort(key=lambda family: -sum(one.count for one in family[1]))
    by_name = {piece.name: piece for piece in pieces}
    plain: list[tuple[Piece, list[DrawnPiece]]] = []
    lost: list[str] = []
    for piece, own in families:
        home = _home([by_name[one.name] for one in own], plain, boards)
        if home is not None:
            home[0].extend(home[1])
        elif sum(one.count for one in own) >= boards.at_least:
            plain.append((piece, own))
        else:
            lost += [one.name for one in own]
    order = [piece.name for piece in pieces]
    return [(piece, tuple(drawn)) for piece, drawn in plain], sorted(lost, key=order.index)


def _home(
    family: Sequence[Piece], plain: Sequence[tuple[Piece, list[DrawnPiece]]], boards: Boards
) -> tuple[list[DrawnPiece], list[DrawnPiece]] | None:
    """The list of a template round which all pieces of a family can be drawn, and how; None where there is none."""
    for owner, drawn in plain:
        found = [drawn_round(piece, owner, boards) for piece in family]
        if all(one is not None for one in found):
            return drawn, [one for one in found if one is not None]
    return None

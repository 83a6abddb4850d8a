"""What join would make a piece fit that fits nothing.

Glossary: a *join* is a seam across a piece that lets it be cut in parts; it is given as a distance along or
across the weave of the piece, from its low end. Where joins may run is for the sewing stage to decide: this
module only measures.
"""

from itertools import pairwise

import numpy as np
import shapely
from attrs import frozen

from shellparts.parameters.stocks import Roll, Sheet, Turning
from shellparts.pattern.cut_pieces import CutPiece, extent, fits, laid

__all__ = ["Join", "Unfitting", "suggest_join", "unfitting"]

_MOST_PARTS = 8


@frozen
class Join:
    """Straight joins across or along the weave, by their distance from the low end of the piece [mm]."""

    stock: str
    across_weave: bool
    at_mm: tuple[float, ...]


@frozen
class Unfitting:
    """A piece that fits nothing, its box along and across the weave, and the fewest equal parts that fit, if any do."""

    name: str
    count: int
    length_mm: float
    width_mm: float
    join: Join | None

    @property
    def message(self) -> str:
        """What to tell the reader."""
        box = f"{self.length_mm:.0f} x {self.width_mm:.0f} mm"
        size = f"{self.name} ({self.count} x, {box}) fits no stock listed"
        if self.join is None:
            return size + "; use wider cloth or make the room smaller"
        places = ", ".join(f"{at:.0f}" for at in self.join.at_mm)
        run = "across" if self.join.across_weave else "along"
        return f"{size}; joined {run} the weave at {places} mm it fits {self.join.stock}"


def _parts(
    piece: CutPiece, count: int, across_weave: bool, allowance_mm: float
) -> tuple[list[CutPiece], list[float]]:
    """Equal strips of a piece with allowances at the joins, and where the joins run."""
    straight = laid(piece.outline, -piece.grain_deg)
    polygon = shapely.Polygon(straight)
    axis = 0 if across_weave else 1
    low, high = straight[:, axis].min(), straight[:, axis].max()
    cuts = np.linspace(low, high, count + 1)
    found = []
    for start, end in pairwise(cuts):
        box = [*straight.min(axis=0) - 1.0, *straight.max(axis=0) + 1.0]
        box[axis], box[axis + 2] = start - allowance_mm, end + allowance_mm
        for part in shapely.get_parts(shapely.intersection(polygon, shapely.box(*box))):
            if part.geom_type == "Polygon" and part.area > 0.0:
                found.append(CutPiece(piece.name, 1, part.exterior.coords))
    return found, [float(at - low) for at in cuts[1:-1]]


def suggest_join(
    piece: CutPiece, stock: Roll | Sheet, turning: Turning, allowance_mm: float = 15.0
) -> Join | None:
    """Fewest equal parts of a piece that each fit the stock, seam allowances with them; None when eight do not."""
    for count in range(2, _MOST_PARTS + 1):
        for across_weave in (True, False):
            parts, at = _parts(piece, count, across_weave, allowance_mm)
            if all(fits(part, stock, turning) for part in parts):
                return Join(stock.name, across_weave, tuple(round(place, 1) for place in at))
    return None


def unfitting(
    piece: CutPiece, stocks: tuple[Roll | Sheet, ...], turning: Turning, allowance_mm: float = 15.0
) -> Unfitting:
    """A piece that fits nothing, with the join of fewest parts over all the stock."""
    length, width = extent(piece.outline, np.array([-piece.grain_deg]))[0]
    joins = [
        join for stock in stocks if (join := suggest_join(piece, stock, turning, allowance_mm)) is not None
    ]
    best = min(joins, key=lambda join: len(join.at_mm), default=None)
    return Unfitting(piece.name, piece.count, float(length), float(width), best)

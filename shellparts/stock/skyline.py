"""A plain skyline engine: drops pieces one by one against those already laid; repeatable, needs no packer.

Glossary: the strip is cut into narrow *bands* along its length; a *profile* is, for each band that a piece
covers, where the piece begins and ends along the strip; the *skyline* is how far each band is filled. A piece
is pushed in from the open end of the strip until it meets the skyline, at the place across the strip where
that wastes least. The engine never moves a piece once laid, and knows nothing of stock.
"""

from collections.abc import Callable, Sequence

import numpy as np
import shapely
from attrs import evolve, frozen
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from shellparts.pattern.cut_pieces import laid
from shellparts.stock.layout import Placement

__all__ = ["PieceProfile", "SkylineItem", "band_width", "drop_best", "drop_fill", "profile"]

Points = NDArray[np.float64]
#: Widest band [mm]: a finger's breadth, about what the engine loses between two pieces.
_BAND_MM = 8.0


@frozen(eq=False)
class PieceProfile:
    """Where one piece at one turn begins and ends in each band [mm], with the shift that puts its box at the corner."""

    low: Points
    high: Points
    placement: Placement


@frozen(eq=False)
class SkylineItem:
    """One piece to be laid `count` times, its area [mm2], its profile at every turn, and the width of its bands."""

    profiles: tuple[PieceProfile, ...]
    count: int
    area: float
    band_mm: float


def profile(outline: Points, gap_mm: float, placement: Placement, band_mm: float) -> PieceProfile:
    """Profile of an outline widened by half the gap: the widest line in each band, so that nothing can overlap."""
    wide = shapely.Polygon(laid(outline, placement.turn_deg, placement.face_down)).buffer(
        gap_mm / 2.0, quad_segs=16
    )
    x0, y0, _, y1 = wide.bounds
    ring = np.asarray(wide.exterior.coords) - (x0, y0)
    bands = max(1, int(np.ceil((y1 - y0) / band_mm - 1e-9)))
    lines = np.arange(bands + 1) * band_mm
    xa, ya, xb, yb = ring[:-1, 0], ring[:-1, 1], ring[1:, 0], ring[1:, 1]
    slope = np.divide(xb - xa, yb - ya, out=np.zeros_like(xa), where=yb != ya)
    crossing = xa + slope * (lines[:, None] - ya)
    met = (np.minimum(ya, yb) <= lines[:, None]) & (lines[:, None] <= np.maximum(ya, yb)) & (yb != ya)
    line_low = np.where(met, crossing, np.inf).min(axis=1)
    line_high = np.where(met, crossing, -np.inf).max(axis=1)
    low, high = np.minimum(line_low[:-1], line_low[1:]), np.maximum(line_high[:-1], line_high[1:])
    corner = np.clip((ya / band_mm).astype(int), 0, bands - 1)
    np.minimum.at(low, corner, xa)
    np.maximum.at(high, corner, xa)
    corner_of_box = -gap_mm / 2.0 - float(x0), -gap_mm / 2.0 - float(y0)
    return PieceProfile(low, high, evolve(placement, x=corner_of_box[0], y=corner_of_box[1]))


def band_width(strip_mm: float, widths_mm: Sequence[float]) -> float:
    """Width of the bands [mm]: it divides the first piece evenly; or the strip, where a piece would else not fit."""
    band = widths_mm[0] / max(1, int(np.ceil(widths_mm[0] / _BAND_MM)))
    bands = int(np.floor(strip_mm / band + 1e-6))
    if any(np.ceil(width / band - 1e-9) > bands for width in widths_mm):
        return strip_mm / max(1, int(np.ceil(strip_mm / _BAND_MM)))
    return float(band)


def _best_place(
    skyline: Points, shape: PieceProfile, band_mm: float
) -> tuple[float, float, int, float] | None:
    """Least waste, with end, band and shift, of one profile against the skyline."""
    bands = len(shape.low)
    if bands > len(skyline):
        return None
    window = sliding_window_view(skyline, bands)
    at = (window - shape.low).max(axis=1)
    waste = (at[:, None] + shape.low - window).sum(axis=1) * band_mm
    k = int(np.lexsort((at, waste))[0])
    return float(waste[k]), float(at[k] + shape.high.max()), k, float(at[k])


def _drop(
    items: Sequence[SkylineItem],
    strip_mm: float,
    rank: Callable[[float, float], float],
    length_mm: float,
    skip: bool = False,
) -> tuple[float, list[Placement]] | None:
    """Lay pieces in order, each where its rank by waste [mm2] and end [mm] is least; None when one does not fit."""
    band_mm = items[0].band_mm
    skyline = np.zeros(int(np.floor(strip_mm / band_mm + 1e-6)))
    placements: list[Placement] = []
    for item in items:
        for _ in range(item.count):
            best: tuple[float, PieceProfile, int, float] | None = None
            for shape in item.profiles:
                place = _best_place(skyline, shape, band_mm)
                if place is None or place[1] > length_mm + 1e-6:
                    continue
                figure = rank(place[0], place[1])
                if best is None or figure < best[0] - 1e-9:
                    best = (figure, shape, place[2], place[3])
            if best is None and skip:
                break
            if best is None:
                return None
            _, shape, band, at = best
            skyline[band : band + len(shape.low)] = at + shape.high
            base = shape.placement
            placements.append(evolve(base, x=base.x + at, y=base.y + band * band_mm))
    return float(skyline.max()), placements


def _drops(
    items: Sequence[SkylineItem], strip_mm: float, length_mm: float, skip: bool
) -> list[tuple[float, list[Placement]]]:
    """Every layout by the fixed orders, largest and longest first, and rules: least waste, least length, both."""

    def length(item: SkylineItem) -> float:
        return max(float(shape.high.max()) for shape in item.profiles)

    orders = sorted(items, key=lambda c: -c.area), sorted(items, key=lambda c: -length(c))
    rules: list[Callable[[float, float], float]] = [
        lambda waste, end: waste,
        lambda waste, end: end,
        lambda waste, end: end * strip_mm + waste,
    ]
    found = [_drop(order, strip_mm, rule, length_mm, skip) for order in orders for rule in rules]
    return [result for result in found if result is not None]


def drop_best(
    items: Sequence[SkylineItem], strip_mm: float, length_mm: float = np.inf
) -> tuple[float, list[Placement]] | None:
    """Shortest of a few fixed orders and rules: length with one gap [mm], and placements; None when none fits."""
    return min(_drops(items, strip_mm, length_mm, False), key=lambda way: round(way[0], 6), default=None)


def drop_fill(items: Sequence[SkylineItem], strip_mm: float, length_mm: float) -> list[Placement]:
    """As much area as fits a length, of a few fixed orders and rules."""
    areas = {item.profiles[0].placement.piece: item.area for item in items}
    ways = [placements for _, placements in _drops(items, strip_mm, length_mm, True)]
    return max(ways, key=lambda placements: sum(areas[s.piece] for s in placements))

"""The table from which a template is marked out with a tape measure alone.

Glossary: a *station* is a row at a distance from the lower edge along the centre line; it gives the distances
from the centre line, square to it, of the sewing line and of the cutting line, to the left and to the right
as seen from outside. Every corner of both lines has a row, and curves have as many as they need, so that straight
lines from row to row are the piece; two rows at one distance are a step sideways. A piece that a level line crosses
more than twice cannot be told in this way, and has rows at the regular step only.
"""

from collections.abc import Callable, Sequence
from itertools import pairwise

import numpy as np
import shapely
from attrs import astuple, frozen
from numpy.typing import NDArray

from shellparts.base.tolerances import TOLERANCES
from shellparts.pattern.pieces import Piece

__all__ = ["MOST_OFF_MM", "Station", "off_line", "stations_of", "told_by_stations"]

Array = NDArray[np.float64]
#: A template marked out from the table may be off by this much [mm].
MOST_OFF_MM = 1.0
#: Straight lines from row to row leave a curve by less than this; the rest is for rounding on the tape [mm].
_BOW_MM = 0.3
#: Rows are not divided when they are nearer than this, and are one row when nearer than that [mm].
_NEAR_MM, _ONE_ROW_MM = 4.0, 0.05
#: A line is read this far below and above a row, so that a step sideways shows [mm].
_BESIDE_MM = 1e-4
#: A line turns by more than the first at a corner; or by more than the second, and far more than beside it [rad].
_CORNER, _SLIGHT_CORNER = 0.1, 0.005
_MOST_ROWS = 400


@frozen
class Station:
    """One row: distance from the lower edge, and distances from the centre line [mm].

    Parameters
    ----------
    distance_mm : float
        Along the centre line from y = 0; negative below it, on a flap.
    left_sewing_mm, right_sewing_mm : float or None
        To the sewing line; negative when it lies on the other side of the centre line; None beyond its ends.
    left_cutting_mm, right_cutting_mm : float
        To the cutting line.
    openings_mm : tuple of pairs of float
        Where the row crosses an opening or a notch in the outline: from and to, right of the centre line
        positive.
    """

    distance_mm: float
    left_sewing_mm: float | None
    right_sewing_mm: float | None
    left_cutting_mm: float
    right_cutting_mm: float
    openings_mm: tuple[tuple[float, float], ...] = ()


def _crossings(rings: Sequence[Array], y: float) -> Array:
    """Sorted positions at which a row crosses closed rings, shape (2 n,) [mm]."""
    found = []
    for ring in rings:
        a, b = ring, np.roll(ring, -1, axis=0)
        crosses = (a[:, 1] <= y) != (b[:, 1] <= y)
        p, q = a[crosses], b[crosses]
        found.append(p[:, 0] + (y - p[:, 1]) / (q[:, 1] - p[:, 1]) * (q[:, 0] - p[:, 0]))
    return np.sort(np.concatenate(found))


def _sewing(piece: Piece) -> list[Array]:
    """The sewing line as rings, the outer one first."""
    return [
        np.concatenate([edge.polyline(TOLERANCES.drawing_sagitta_mm)[:-1] for edge in loop])
        for loop in (piece.edges, *piece.holes)
    ]


def _corners(ring: Array) -> Array:
    """Heights at which a ring turns, and of its ends [mm]."""
    steps = np.roll(ring, -1, axis=0) - ring
    heading = np.arctan2(steps[:, 1], steps[:, 0])
    turn = np.abs((heading - np.roll(heading, 1) + np.pi) % (2.0 * np.pi) - np.pi)
    beside = np.maximum(np.roll(turn, 1), np.roll(turn, -1))
    corner = (turn > _CORNER) | ((turn > _SLIGHT_CORNER) & (turn > 4.0 * beside))
    return np.concatenate([ring[corner, 1], [ring[:, 1].min(), ring[:, 1].max()]])


def _told_by_levels(ring: Array) -> bool:
    """Whether every level line between two corners crosses a ring twice."""
    heights = np.unique(ring[:, 1])
    gaps = np.diff(heights)
    levels = (heights[:-1] + gaps / 2)[gaps > _ONE_ROW_MM]
    low = np.minimum(ring[:, 1], np.roll(ring[:, 1], -1))
    high = np.maximum(ring[:, 1], np.roll(ring[:, 1], -1))
    return all(int(((low <= y) & (y < high)).sum()) == 2 for y in levels.tolist())


def told_by_stations(piece: Piece) -> bool:
    """Whether rows tell a piece: none crosses the outer sewing line or the cutting line more than twice."""
    return all(_told_by_levels(ring) for ring in (_sewing(piece)[0], piece.cutting[0]))


def _one_row(heights: Sequence[float]) -> list[float]:
    """Heights in order, those that no tape tells apart made one."""
    rows: list[float] = []
    for y in sorted(heights):
        if not rows or y - rows[-1] > _ONE_ROW_MM:
            rows.append(y)
    return rows


def _bow(ring: Array, low: float, high: float) -> float:
    """How far a ring leaves the straight lines between what it is at two heights, at the most [mm]."""
    inside = ring[(ring[:, 1] > low) & (ring[:, 1] < high)]
    if not len(inside):
        return 0.0
    ends = [_crossings([ring], y) for y in (low + _BESIDE_MM, high - _BESIDE_MM)]
    if any(len(end) < 2 for end in ends):
        return 0.0
    worst = np.full(len(inside), np.inf)
    for side in (0, -1):
        a, b = np.array([ends[0][side], low]), np.array([ends[1][side], high])
        along = (b - a) / np.hypot(*(b - a))
        worst = np.minimum(worst, np.abs((inside - a) @ np.array([-along[1], along[0]])))
    return float(worst.max())


def _heights(rings: Sequence[Array], spacing_mm: float) -> list[float]:
    """Heights of all rows of a piece that rows can tell: corners, the regular step, and what curves need."""
    low, high = (f(ring[:, 1]) for f, ring in ((np.min, rings[-1]), (np.max, rings[-1])))
    regular = spacing_mm * np.arange(np.ceil(low / spacing_mm), np.floor(high / spacing_mm) + 1)
    corners = np.concatenate([_corners(ring) for ring in rings])
    rows = _one_row(
        [*corners.tolist(), *(y for y in regular.tolist() if np.abs(corners - y).min() > _NEAR_MM)]
    )
    while len(rows) < _MOST_ROWS:
        loose = [
            (a + b) / 2
            for a, b in pairwise(rows)
            if b - a > 2 * _NEAR_MM and max(_bow(ring, a, b) for ring in rings) > _BOW_MM
        ]
        if not loose:
            break
        rows = sorted([*rows, *loose])
    return rows


def stations_of(piece: Piece, spacing_mm: float) -> list[Station]:
    """Make the table of a piece.

    Parameters
    ----------
    piece : Piece
    spacing_mm : float
        Distance between rows [mm], where corners and curves do not ask for more.

    Returns
    -------
    list of Station
        From the lowest row to the highest; the ends and corners of both lines always have one, where
        `told_by_stations`. Two rows at one distance are a step sideways.
    """
    sewing, cutting = _sewing(piece), list(piece.cutting)
    low, high = float(sewing[0][:, 1].min()), float(sewing[0][:, 1].max())
    if not told_by_stations(piece):
        first, last = int(np.ceil(low / spacing_mm + 1e-9)), int(np.floor(high / spacing_mm - 1e-9))
        plain = sorted({low, high, *(spacing_mm * i for i in range(first, last + 1))})
        return [_row(sewing, cutting, y, float(np.clip(y, low + 1e-6, high - 1e-6))) for y in plain]
    bottom, top = float(cutting[0][:, 1].min()), float(cutting[0][:, 1].max())
    table = []
    for y in _heights([sewing[0], cutting[0]], spacing_mm):
        levels = [level for level in (y - _BESIDE_MM, y + _BESIDE_MM) if bottom < level < top]
        rows = [_row(sewing, cutting, y, level) for level in levels]
        if len(rows) == 2 and not _steps(*rows):
            rows = [_row(sewing, cutting, y, y)]
        table += rows
    return table


def _row(sewing: Sequence[Array], cutting: Sequence[Array], y: float, level: float) -> Station:
    """What the lines are at a level, as the row of a height."""
    line, cut = _crossings(sewing, level), _crossings(cutting, level)
    gaps = tuple((float(a), float(b)) for a, b in zip(line[1:-1:2], line[2:-1:2], strict=True))
    left, right = (-float(line[0]), float(line[-1])) if len(line) else (None, None)
    return Station(y, left, right, -float(cut[0]), float(cut[-1]), gaps)


def _steps(below: Station, above: Station) -> bool:
    """Whether a line steps sideways at a row, begins or ends there."""
    if (below.left_sewing_mm is None) != (above.left_sewing_mm is None):
        return True
    pairs = zip(astuple(below)[1:5], astuple(above)[1:5], strict=True)
    return any(a is not None and b is not None and abs(a - b) > 0.1 for a, b in pairs)


def _rebuilt(rows: Sequence[Sequence[float | None]]) -> Array | None:
    """The ring that straight lines from row to row make; rows are distance, left, right."""
    known = [
        (y, left, right)
        for y, left, right in rows
        if y is not None and left is not None and right is not None
    ]
    if len(known) < 2:
        return None
    up = [(right, y) for y, _, right in known]
    down = [(-left, y) for y, left, _ in reversed(known)]
    return np.array([*up, *down])


def off_line(piece: Piece, rows: Sequence[Station], shown: Callable[[float], float]) -> float:
    """How far a template marked out from the rows alone is off, at the most.

    Parameters
    ----------
    piece : Piece
    rows : sequence of Station
        Of the piece.
    shown : callable
        From a length [mm] to the length that the tape shows for it [mm].

    Returns
    -------
    float
        Largest distance of the sewing or the cutting line, its openings left out, from straight lines between the
        rows [mm]; infinite where they make no line.
    """
    worst = 0.0
    for ring, sides in ((_sewing(piece)[0], "sewing"), (piece.cutting[0], "cutting")):
        values = [
            [r.distance_mm, getattr(r, f"left_{sides}_mm"), getattr(r, f"right_{sides}_mm")] for r in rows
        ]
        made = _rebuilt([[None if v is None else shown(v) for v in row] for row in values])
        if made is None:
            return np.inf
        worst = max(
            worst, float(shapely.hausdorff_distance(shapely.LinearRing(ring), shapely.LinearRing(made)))
        )
    return worst

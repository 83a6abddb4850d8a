"""Where groups of printed pages lie on the cloth: points on the paper, each found with one or two tapes.

Glossary: the *long line* is chalked on the cloth first, as long as the piece: its centre line, the fold line of a half.
*Along* is counted on it from the lowest level of the cutting line up. Every *group* of pages that hang together has one
or two *points*, as far apart as may be; the place of each is where tapes from two marks on the long line meet.
"""

from collections.abc import Callable, Sequence

import numpy as np
import shapely
from attrs import frozen
from numpy.typing import NDArray

from shellparts.drawing.print_lines import PrintLines
from shellparts.drawing.tiling import OVERLAP_MM, Tile, Tiling
from shellparts.parameters.choices import Tape

__all__ = ["PrintPoint", "print_points", "set_points"]

Array = NDArray[np.float64]
#: Points are looked for on a grid of this step [mm], this far from every line.
_STEP_MM, _CLEAR_MM = 10.0, 9.0
#: Tapes start at multiples of this on the long line, and two of them at least so far apart [mm].
_WHOLE_MM = {Tape.METRIC: 10.0, Tape.IMPERIAL: 25.4}
_LEAST_BASE_MM = 400.0
#: A group that reaches no farther from the long line than this needs no second point [mm].
_NEAR_MM = 400.0


@frozen(eq=False)
class PrintPoint:
    """A point on the paper.

    Parameters
    ----------
    number : int
        From 1, within the piece.
    at : ndarray
        In the piece's own place, shape (2,) [mm].
    tapes : tuple of (float, float)
        How far along the long line a tape starts, and how far it reaches from there [mm]; one that reaches nowhere
        where the point lies on the line.
    """

    number: int
    at: Array
    tapes: tuple[tuple[float, float], ...]

    def told(self, show: Callable[[float], str]) -> str:
        """How to find it, with lengths as a tape shows them."""
        if len(self.tapes) == 1:
            return f"{self.number}: on the centre line at {show(self.tapes[0][0])}"
        side = "right" if self.at[0] > 0.0 else "left"
        ways = " and ".join(f"{show(reach)} from {show(along)}" for along, reach in self.tapes)
        return f"{self.number}: {side} of it, {ways}"


def print_points(lines: PrintLines, tiling: Tiling, tape: Tape = Tape.METRIC) -> tuple[PrintPoint, ...]:
    """Choose the points of all groups.

    Parameters
    ----------
    lines : PrintLines
        What is printed.
    tiling : Tiling
        Its pages.
    tape : Tape
        The tape measure at hand: tapes start at whole centimetres or whole inches of the long line.

    Returns
    -------
    tuple of PrintPoint
        None where all pages hang together and show all lines.
    """
    groups = tiling.groups
    if len(groups) < 2 and not lines.base:
        return ()
    drawn = [shapely.LineString(one.points) for one in lines.strokes]
    # A little more than the clearance, so that lines may be coarse.
    blocked = shapely.union_all(drawn).simplify(1.0).buffer(_CLEAR_MM + 1.0, quad_segs=2)
    shapely.prepare(blocked)
    ring = lines.piece.cutting[0][:, 1]
    low, high = float(ring.min()), float(ring.max())
    places = [at for group in groups for at in _places(group, blocked, lines.is_half, low, high)]
    return set_points(places, low, high, _WHOLE_MM[tape])


def set_points(
    places: Sequence[Array], low: float, high: float, whole_mm: float = 10.0
) -> tuple[PrintPoint, ...]:
    """Number places and find their tapes, which start at whole parts of a long line between two levels [mm].

    Examples
    --------
    >>> set_points([np.array([300.0, 500.0])], 0.0, 2000.0)[0].told(lambda length: f"{length:.0f}")
    '1: right of it, 424 from 200 and 424 from 800'
    """
    return tuple(
        PrintPoint(number, at, _tapes(at, low, high, whole_mm)) for number, at in enumerate(places, 1)
    )


def _tapes(at: Array, low: float, high: float, whole_mm: float) -> tuple[tuple[float, float], ...]:
    """From where tapes run, so that they meet about square."""
    along = float(at[1]) - low
    if at[0] == 0.0:
        return ((along, 0.0),)
    reach = max(abs(float(at[0])), _LEAST_BASE_MM / 2)
    long = max(high - low, _LEAST_BASE_MM)
    first = float(np.clip(along - reach, 0.0, max(long - 2 * reach, 0.0)))
    second = float(np.clip(along + reach, min(2 * reach, long), long))
    starts = [float(np.round(start / whole_mm) * whole_mm) for start in (first, second)]
    return tuple((start, float(np.hypot(at[0], along - start))) for start in starts)


def _places(
    group: Sequence[Tile], blocked: shapely.Geometry, is_half: bool, low: float, high: float
) -> list[Array]:
    """Where a group's points lie: on the long line if it shows it, and as far from there as may be."""
    found = np.concatenate([_grid(tile, low) for tile in group])
    free = found[~shapely.intersects_xy(blocked, found)]
    free = free if len(free) else found
    if is_half:
        free = free[free[:, 0] > 0.0] if (free[:, 0] > 0.0).any() else free
    on = _on_line(group, blocked, low, high)
    if on is None:
        middle = free.mean(axis=0)
        first = free[np.hypot(*(free - middle).T).argmax()]
    elif np.abs(free[:, 0]).max() < _NEAR_MM:
        return [on]
    else:
        first = on
    return [first, free[np.hypot(*(free - first).T).argmax()]]


def _inner(tile: Tile) -> Array:
    """Limits of where a page holds points: left, lower, right, upper."""
    return np.array(tile.core) + np.array([1.0, 1.0, -1.0, -1.0]) * OVERLAP_MM


def _grid(tile: Tile, low: float) -> Array:
    """Places on a page, whole millimetres across and along."""
    left, down, right, up = _inner(tile)
    x = np.arange(np.ceil(left), right, _STEP_MM)
    y = np.arange(np.ceil(down - low), up - low, _STEP_MM) + low
    return np.stack(np.meshgrid(x[np.abs(x) > _CLEAR_MM], y), axis=-1).reshape(-1, 2)


def _on_line(group: Sequence[Tile], blocked: shapely.Geometry, low: float, high: float) -> Array | None:
    """The free place on the long line nearest to the middle of what a group shows of it."""
    levels = []
    for tile in group:
        left, down, right, up = _inner(tile)
        if left < 0.0 < right:
            levels += (np.arange(np.ceil(max(down, low) - low), min(up, high) - low, 1.0) + low).tolist()
    if not levels:
        return None
    places = np.column_stack([np.zeros(len(levels)), levels])
    free = places[~shapely.intersects_xy(blocked, places)]
    free = free if len(free) else places
    order = np.abs(free[:, 1] - np.mean(levels)).argmin()
    return np.asarray(free[order])

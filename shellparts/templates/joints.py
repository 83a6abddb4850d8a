"""Where a template that is larger than a board is divided by straight butt joints.

Glossary: a *row* of a template is what lies between two level joints; a row that is wider than a board is
divided by upright joints. A *stretch* is one of the pieces in which a level line crosses the template; a
*clear point* is a corner or notch that no joint may come near. The fewest parts are found among all rows
between joints that are 5 mm apart or at a limit of the board; a template that is wider than high is tried
both ways. Slanted joints are not looked for, and nothing is said here of marks or of what the template is
for.
"""

import itertools
from collections.abc import Sequence

import numpy as np
import shapely
from attrs import frozen
from numpy.typing import NDArray
from shapely.geometry.polygon import orient

from shellparts.base.errors import ParameterError
from shellparts.base.tolerances import TOLERANCES
from shellparts.base.units import metric
from shellparts.parameters.boards import Boards, Division

__all__ = ["SHORTEST_JOINT_MM", "Divided", "divided", "free_span"]

Array = NDArray[np.float64]
#: Between places where a joint may lie, and from a joint to the nearest corner or notch [mm].
_STEP_MM, _CLEAR_MM = 5.0, 15.0
#: A shorter joint cannot be marked and held.
SHORTEST_JOINT_MM = 60.0
#: A strip covers at least this share of its joint.
_COVERED = 0.4
#: One part more outweighs everything else; then how even the parts are; then how short the joints are.
_PER_PART, _PER_JOINT = 1e3, 1e-3
_NEAR = TOLERANCES.same_point_mm


@frozen(eq=False)
class Divided:
    """Parts from below upward, from left to right, and joints: indices of two parts and both ends, (2, 2) [mm]."""

    parts: tuple[shapely.Polygon, ...]
    joints: tuple[tuple[int, int, Array], ...]

    @property
    def joint_mm(self) -> float:
        """Length of all joints [mm]."""
        return sum(float(np.linalg.norm(ends[1] - ends[0])) for _, _, ends in self.joints)


def _swapped(shape: shapely.Geometry) -> shapely.Geometry:
    """The shape with x and y exchanged."""
    return shapely.transform(shape, lambda points: points[:, ::-1])


def _solid(shape: shapely.Geometry) -> list[shapely.Polygon]:
    """The polygons of a shape that are more than rounding, from left to right."""
    parts = [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon" and part.area > 1e-3]
    return sorted((orient(part) for part in parts), key=lambda part: part.bounds)


def _spans(shape: shapely.Geometry, y: float) -> list[tuple[float, float]]:
    """Stretches in which a level line crosses a shape, from left to right."""
    left, _, right, _ = shape.bounds
    crossing = shape.intersection(shapely.LineString([(left - 1.0, y), (right + 1.0, y)]))
    lines = [part for part in shapely.get_parts(crossing) if part.geom_type == "LineString"]
    merged = shapely.get_parts(shapely.line_merge(shapely.union_all(lines))) if lines else []
    return sorted((part.bounds[0], part.bounds[2]) for part in merged if part.length > _NEAR)


def free_span(
    shape: shapely.Geometry, span: tuple[float, float], y: float, height_mm: float
) -> tuple[float, float]:
    """Longest stretch of a level joint along which a strip over it stays on the template [mm]; of no length if none."""
    band = shapely.box(span[0], y - height_mm / 2.0, span[1], y + height_mm / 2.0)
    return _gap_in(band.difference(shape), span)


def _gap_in(outside: shapely.Geometry, span: tuple[float, float]) -> tuple[float, float]:
    """The longest stretch of a span that nothing of `outside` lies above or below."""
    lost = sorted((p.bounds[0], p.bounds[2]) for p in shapely.get_parts(outside) if p.area > _NEAR)
    best, start = (span[0], span[0]), span[0]
    for low, high in [*lost, (span[1], span[1])]:
        if low - start > best[1] - best[0]:
            best = (start, low)
        start = max(start, high)
    return best


def _places(shape: shapely.Polygon, clear: Array, boards: Boards) -> Array:
    """Heights at which a level joint may lie, without the ends."""
    _, low, _, high = shape.bounds
    least = boards.least_part_mm
    wanted = np.arange(low, high, _STEP_MM)
    for side in boards.usable_mm:
        steps = side * np.arange(1.0, (high - low) // side + 1.0)
        wanted = np.r_[wanted, low + steps, high - steps]
    heights = clear[:, 1]
    wanted = np.r_[wanted, (low + high) / 2.0, heights - _CLEAR_MM, heights + _CLEAR_MM]
    ys = np.unique(np.round(wanted, 6))
    ys = ys[(ys >= low + least - _NEAR) & (ys <= high - least + _NEAR)]
    if len(heights):
        ys = ys[np.abs(ys[:, None] - heights).min(axis=1) >= _CLEAR_MM - 2.0 * _NEAR]
    return ys


def _may_lie(shape: shapely.Polygon, y: float, boards: Boards) -> bool:
    """Whether a level joint leaves no sliver on either side, and is long enough for marks and strip."""
    left, _, right, _ = shape.bounds
    for reach in (boards.least_part_mm, -boards.least_part_mm):
        beside = shape.intersection(
            shapely.box(left - 1.0, min(y, y + reach), right + 1.0, max(y, y + reach))
        )
        for part in _solid(beside):
            bottom, top = part.bounds[1], part.bounds[3]
            if bottom <= y + _NEAR and top >= y - _NEAR and top - bottom < abs(reach) - 1e-3:
                return False
    for span in _spans(shape, y):
        free = free_span(shape, span, y, boards.strip)
        joint = span[1] - span[0]
        if joint < SHORTEST_JOINT_MM or free[1] - free[0] < _COVERED * joint:
            return False
    return True


def _levels(
    shape: shapely.Polygon, clear: Array, boards: Boards, division: Division, columns: bool
) -> list[float] | None:
    """Heights of the joints, both ends with them, that give fewest parts; None where nothing does."""
    # Places are judged only when they are chosen: the best choice of all whose places are good is the best of all.
    _, low, _, high = shape.bounds
    ys = np.r_[low, _places(shape, clear, boards), high]
    costs = _costs(shape, ys, boards, division, columns)
    judged = np.zeros(len(ys), bool)
    judged[[0, -1]] = True
    while (chain := _cheapest(costs)) is not None:
        bad = [i for i in chain if not judged[i] and not _may_lie(shape, float(ys[i]), boards)]
        if not bad:
            return [float(ys[i]) for i in chain]
        judged[chain] = True
        costs[:, bad] = np.inf
    return None


def _costs(shape: shapely.Polygon, ys: Array, boards: Boards, division: Division, columns: bool) -> Array:
    """What a row from each height to each other costs, its upper joint with it; infinite where it cannot be."""
    left, low, right, high = shape.bounds
    long, short = boards.usable_mm
    ends = np.stack([np.column_stack([np.full(len(ys), x), ys]) for x in (left - 1.0, right + 1.0)], axis=1)
    joint = shapely.length(shapely.intersection(shapely.linestrings(ends), shape))
    joint[-1] = 0.0
    lefts, rights = _sides(shape, ys)
    tall, sign = high - low, 1.0 if division is Division.EVEN else -1.0
    costs = np.full((len(ys), len(ys)), np.inf)
    for i in range(len(ys) - 1):
        height = ys[i + 1 :] - ys[i]
        width = np.maximum.accumulate(rights[i:]) - np.minimum.accumulate(lefts[i:])
        needs = np.minimum(_columns(width, short, height, long), _columns(width, long, height, short))
        needs[(height < boards.least_part_mm - _NEAR) | ((needs > 1.0) & (not columns))] = np.inf
        costs[i, i + 1 :] = (
            _PER_PART * needs + sign * (height / tall) ** 2 + _PER_JOINT * joint[i + 1 :] / tall
        )
    return costs


def _cheapest(costs: Array) -> list[int] | None:
    """The cheapest chain of rows from the first height to the last; None where there is none."""
    count = len(costs)
    best, before = np.full(count, np.inf), np.zeros(count, int)
    best[0] = 0.0
    for i in range(count - 1):
        if np.isfinite(best[i]):
            cost = best[i] + costs[i, i + 1 :]
            better = cost < best[i + 1 :] - 1e-9
            best[i + 1 :][better] = cost[better]
            before[i + 1 :][better] = i
    if not np.isfinite(best[-1]):
        return None
    chain = [count - 1]
    while chain[-1]:
        chain.append(int(before[chain[-1]]))
    return chain[::-1]


def _columns(width: Array, side: float, height: Array, other: float) -> Array:
    """How many columns a row needs when it lies with its height along the other side of the board."""
    return np.where(height <= other + _NEAR, np.maximum(1.0, np.ceil((width - _NEAR) / side)), np.inf)


def _sides(shape: shapely.Polygon, ys: Array) -> tuple[Array, Array]:
    """Leftmost and rightmost point of the shape between each two heights."""
    left, _, right, _ = shape.bounds
    rows = shapely.box(np.full(len(ys) - 1, left - 1.0), ys[:-1], np.full(len(ys) - 1, right + 1.0), ys[1:])
    bounds = shapely.bounds(shapely.intersection(rows, shape))
    return bounds[:, 0], bounds[:, 2]


def _one_way(
    shape: shapely.Polygon, clear: Array, boards: Boards, division: Division, columns: bool = True
) -> Divided | None:
    """Divide into rows, and rows into columns; None where that cannot be done."""
    if _fits(shape, boards):
        return Divided((orient(shape),), ())
    levels = _levels(shape, clear, boards, division, columns)
    if levels is None:
        return None
    parts: list[shapely.Polygon] = []
    joints: list[tuple[int, int, Array]] = []
    rows: list[list[int]] = []
    for a, b in itertools.pairwise(levels):
        row: list[int] = []
        for body in _solid(_row(shape, a, b)):
            split = Divided((body,), ())
            if not _fits(body, boards):
                if not columns:
                    return None
                near = clear[(clear[:, 1] > a - _CLEAR_MM) & (clear[:, 1] < b + _CLEAR_MM)]
                upright = _one_way(_swapped(body), near[:, ::-1], boards, division, columns=False)
                if upright is None:
                    return None
                split = _swapped_back(upright)
            joints += [(i + len(parts), j + len(parts), ends) for i, j, ends in split.joints]
            row += range(len(parts), len(parts) + len(split.parts))
            parts += split.parts
        rows.append(row)
    for y, lower, upper in zip(levels[1:-1], rows, rows[1:], strict=False):
        joints += _between(parts, lower, upper, y)
    return Divided(tuple(parts), tuple(joints))


def _row(shape: shapely.Polygon, a: float, b: float) -> shapely.Geometry:
    """What of a shape lies between two heights, its points on them exactly so."""
    left, _, right, _ = shape.bounds
    cut = shape.intersection(shapely.box(left - 1.0, a, right + 1.0, b))

    def straighten(points: Array) -> Array:
        for y in (a, b):
            points[np.abs(points[:, 1] - y) < _NEAR, 1] = y
        return points

    return shapely.transform(cut, straighten)


def _swapped_back(found: Divided) -> Divided:
    """Parts and joints with x and y exchanged."""
    parts = tuple(orient(_swapped(part)) for part in found.parts)
    return Divided(parts, tuple((i, j, ends[:, ::-1]) for i, j, ends in found.joints))


def _between(
    parts: Sequence[shapely.Polygon], lower: Sequence[int], upper: Sequence[int], y: float
) -> list[tuple[int, int, Array]]:
    """Joints of two neighbouring rows; contacts too short to be marked are none."""
    found = []
    for i in lower:
        for j in upper:
            for a in _spans(parts[i], y):
                for b in _spans(parts[j], y):
                    start, end = max(a[0], b[0]), min(a[1], b[1])
                    if end - start >= SHORTEST_JOINT_MM - _NEAR:
                        found.append((i, j, np.array([(start, y), (end, y)])))
    return found


def _fits(shape: shapely.Polygon, boards: Boards) -> bool:
    """Whether a shape, lying straight, fits a board inside its margins."""
    left, low, right, high = shape.bounds
    size = sorted((right - left, high - low), reverse=True)
    return all(side <= room + _NEAR for side, room in zip(size, boards.usable_mm, strict=True))


def divided(
    shape: shapely.Polygon,
    clear: Array,
    boards: Boards,
    division: Division = Division.EVEN,
    what: str = "the template",
) -> Divided:
    """Divide a template into parts that lie straight on a board, clear of corners and notches, or refuse it.

    Examples
    --------
    >>> shape = shapely.box(0, 0, 500, 4700)
    >>> found = divided(shape, np.zeros((0, 2)), Boards())
    >>> [part.bounds for part in found.parts]
    [(0.0, 0.0, 500.0, 2350.0), (0.0, 2350.0, 500.0, 4700.0)]
    """
    level = _one_way(shape, clear, boards, division)
    upright = None
    if level is None or len(level.parts) > 2:
        swapped = _one_way(_swapped(shape), clear[:, ::-1], boards, division)
        upright = None if swapped is None else _swapped_back(swapped)
    found = [one for one in (level, upright) if one is not None]
    if not found:
        long, short = boards.usable_mm
        raise ParameterError(
            "board inside its margins",
            f"{metric(long)} x {metric(short)}",
            f"large enough that {what} can be divided clear of its corners and notches into parts of at least "
            f"{metric(boards.least_part_mm)}",
            "use larger boards or narrower joining strips",
        )
    return min(found, key=lambda one: (len(one.parts), round(one.joint_mm, 3)))

"""A room as it stands in its hall: plan, two elevations and a section, with dimensions, true to size.

The plan is seen from above with the first doorway to the left. All sizes are those of the room as sewn. This module
lays out no pages.
"""

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from attrs import frozen
from numpy.typing import ArrayLike, NDArray

from shellparts.base.counted import counted
from shellparts.drawing.dimensions import ROW, Dimension, dimension, in_dimension_rows
from shellparts.drawing.hall import RoomInHall, bag_places, bags_on_plan, free_floor
from shellparts.drawing.labels import SMALL, LabelRoom
from shellparts.drawing.sightlines import View, projected
from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke, stroke_of_points
from shellparts.drawing.tape import board_tape
from shellparts.parameters.opening import Tube

__all__ = ["ArrangedView", "arranged"]

Array = NDArray[np.float64]
Pair = tuple[ArrayLike, ArrayLike, str]

#: Bends of the shell that get a height of their own, from the floor up.
_MOST_BENDS = 2
#: A bend nearer than this to another height has none [mm].
_APART_MM = 40.0
_TITLES = {
    View.PLAN: "From above",
    View.FRONT: "From the front",
    View.SIDE: "From the side",
    View.SECTION: "Cut along A - A",
}


@frozen(eq=False)
class ArrangedView:
    """One view with all that is written on it, true to size [mm].

    Parameters
    ----------
    view : View
    title : str
    drawing : Drawing
        Without its dimensions.
    dimensions : tuple of Dimension
    """

    view: View
    title: str
    drawing: Drawing
    dimensions: tuple[Dimension, ...]

    @property
    def whole(self) -> Drawing:
        """Lines, words and dimensions."""
        return sum((one.drawing for one in self.dimensions), self.drawing)

    @property
    def box(self) -> tuple[Array, Array]:
        """Lower left and upper right corner of lines and words [mm]."""
        low, high = self.whole.box
        corners = [shapely.bounds(_label_box(label)) for label in self.whole.labels]
        return np.min([low, *(c[:2] for c in corners)], axis=0), np.max(
            [high, *(c[2:] for c in corners)], axis=0
        )


def _label_box(label: Label) -> shapely.Geometry:
    """What a label covers, generously."""
    middle = label.at + (0.5 - label.align) * SMALL.width(label.text) * label.height_mm * np.array(
        [math.cos(label.angle), math.sin(label.angle)]
    )
    return SMALL.boxes([label.text], [(label.height_mm, middle, label.angle)])[0]


def _fan_strokes(hall: RoomInHall, view: View) -> Iterator[Stroke]:
    """Fans that stand before the room in a view, or are cut through."""
    for tube, box in hall.fans:
        there = _in_plane(tube) if view is View.SECTION else float(tube.axes[2] @ view.axes[2]) > -0.5
        if there:
            hull = shapely.MultiPoint(projected(view, box)).convex_hull
            yield stroke_of_points(Layer.FAN, np.asarray(hull.exterior.coords)[:-1], closed=True)


def _plan_strokes(hall: RoomInHall, letters: float) -> Iterator[Stroke]:
    """Bags, free floor, ways out and the marks of the section."""
    for bag in bags_on_plan(hall):
        yield stroke_of_points(Layer.BALLAST, bag, closed=True)
    low, high = free_floor(hall)
    corners = [low, (high[0], low[1]), high, (low[0], high[1])]
    yield stroke_of_points(Layer.KEEP_FREE, corners, closed=True)
    for opening, tube in hall.openings:
        if opening.way_out is not None:
            ends = [tube.lift((0.0, 0.0), tube.end + far)[0] for far in _arrow(letters)]
            tail, tip = projected(View.PLAN, np.array(ends))
            yield from _arrow_strokes(tail, tip, letters)
    for at, way in _cut_marks(hall, letters):
        yield stroke_of_points(Layer.CUT_THROUGH, [at, at + np.array([way * 2.0 * letters, 0.0])])


def _cut_marks(hall: RoomInHall, letters: float) -> list[tuple[Array, float]]:
    """Where the marks of the section begin, and which way they go: outside the free floor and what leads out of it."""
    low, high = free_floor(hall)
    ends = [0.0]
    for opening, tube in hall.openings:
        if opening.way_out is not None and _in_plane(tube):
            ends.append(
                float(projected(View.PLAN, tube.lift((0.0, 0.0), tube.end + _arrow(letters)[1]))[0, 0])
            )
    left, right = min([low[0], *ends]) - letters, max([high[0], *ends]) + letters
    return [(np.array([left, 0.0]), -1.0), (np.array([right, 0.0]), 1.0)]


def _arrow(letters: float) -> tuple[float, float]:
    """Where the arrow of a way out starts and ends, from the outer end of its tunnel [mm]."""
    start = _door_off(letters) + 1.4 * letters
    return start, max(start + 4.0 * letters, 1000.0 + 2.0 * letters)


def _door_off(letters: float) -> float:
    """How far from a tunnel's outer end its width is written, within the free floor where it can be [mm]."""
    return min(2.4 * letters, max(1.2 * letters, 914.4 - 1.8 * letters))


def _arrow_strokes(tail: Array, tip: Array, letters: float) -> list[Stroke]:
    along = (tip - tail) / np.linalg.norm(tip - tail)
    across, back = 0.6 * letters * np.array([-along[1], along[0]]), tip - 1.6 * letters * along
    head = stroke_of_points(Layer.TOLD, [back + across, tip, back - across])
    return [stroke_of_points(Layer.TOLD, [tail, tip]), head]


def _spans(points: Array, axis: int, tell: "_Tell") -> tuple[Array, Array, str]:
    """The points that lie farthest apart along an axis, and how far."""
    low, high = points[points[:, axis].argmin()], points[points[:, axis].argmax()]
    return low, high, tell(float(high[axis] - low[axis]))


class _Tell:
    """Writes lengths as the reader's tape shows them."""

    def __init__(self, hall: RoomInHall):
        self.marking = hall.design.marking

    def __call__(self, length_mm: float) -> str:
        return board_tape(length_mm, self.marking)


def _between(low: float, high: float, axis: int, across: float, tell: _Tell) -> Pair:
    """A dimension from one value to another along an axis, its points at one place across it."""
    ends = [np.array([one, across] if axis == 0 else [across, one]) for one in (low, high)]
    return ends[0], ends[1], tell(high - low)


def _extents(view: View, hall: RoomInHall, axis: int, tell: _Tell) -> Iterator[Pair]:
    """The shell on its floor or at its widest, what stands out on either side, and all of it."""
    shell = projected(view, hall.shell_points)
    if view is View.PLAN:
        shell = projected(view, hall.shell_points[np.abs(hall.shell_points[:, 2]) < 1.0])
    names = list(hall.edges)
    if view is View.SECTION:  # what is cut through alone
        names = [tube.name for _, tube in hall.openings if _in_plane(tube)]
    cloth = [hall.points_of(names)] if names else []
    whole = projected(view, np.concatenate([*cloth, hall.shell_points]))
    yield _spans(shell, axis, tell)
    low, high = (whole[pick(whole[:, axis])] for pick in (np.argmin, np.argmax))
    first, last = shell[shell[:, axis].argmin()], shell[shell[:, axis].argmax()]
    for a, b in ((low, first), (last, high)):
        if b[axis] - a[axis] > 1.0:
            yield a, b, tell(float(b[axis] - a[axis]))
    yield low, high, tell(float(high[axis] - low[axis]))


def _plan_dimensions(hall: RoomInHall, letters: float, box: tuple[Array, Array]) -> list[Dimension]:
    tell = _Tell(hall)
    low, high = free_floor(hall)
    level = [
        *_extents(View.PLAN, hall, 0, tell),
        (low, np.array([high[0], low[1]]), tell(high[0] - low[0])),
    ]
    upright = [
        *_extents(View.PLAN, hall, 1, tell),
        (np.array([high[0], low[1]]), high, tell(high[1] - low[1])),
    ]
    found = in_dimension_rows(level, 0, float(box[0][1]), -1, letters)
    found += in_dimension_rows(upright, 1, float(box[1][0]) + letters, 1, letters)
    for opening, tube in hall.openings:
        if opening.way_out is not None:
            half = opening.way_out.width / 2
            a, b = projected(View.PLAN, tube.lift([(half, 0.0), (-half, 0.0)], tube.end))
            out = projected(View.PLAN, tube.axes[2:])[0] * _door_off(letters)
            words = tell(opening.way_out.width)
            # Words that do not fit between the sides stand beside them.
            wide = SMALL.width(words) * letters
            beside = 0.0 if wide + 2.4 * letters < 2 * half else half + wide / 2 + letters
            found.append(dimension(a, b, out, words, letters, beside))
    return found


def _faces(tube: Tube, view: View) -> bool:
    """Whether a tube's outer end shows its face in a view."""
    return float(tube.axes[2] @ view.axes[2]) > 0.99


def _in_plane(tube: Tube) -> bool:
    """Whether the section's plane goes along a tube's middle."""
    return abs(float(tube.axes[2, 1])) < 1e-6


def _heights(hall: RoomInHall, tell: _Tell, at: float) -> list[Pair]:
    """Heights of the shell and of its first bends over the floor, their points at one place across."""
    mid = hall.design.shell.mid
    top = float(mid.top[1])
    told = [top]
    for bend in mid.breaks[1:-1, 1][:_MOST_BENDS].tolist():
        if min(abs(bend - other) for other in told) > _APART_MM:
            told.append(bend)
    return [_between(0.0, height, 1, at, tell) for height in told]


def _elevation_dimensions(
    view: View, hall: RoomInHall, letters: float, box: tuple[Array, Array]
) -> list[Dimension]:
    tell = _Tell(hall)
    (left, low), (right, _) = box
    level: list[Pair] = list(_extents(view, hall, 0, tell))
    upright = _heights(hall, tell, float(left))
    other: list[Pair] = []
    for opening, tube in hall.openings:
        way = opening.way_out
        if way is not None and _faces(tube, view):
            middle = float(projected(view, tube.lift((0.0, 0.0), tube.end))[0, 0])
            level.append(_between(middle - way.width / 2, middle + way.width / 2, 0, 0.0, tell))
            upright.append(_between(0.0, way.height, 1, middle, tell))
        if view is View.SECTION and _in_plane(tube):
            (end,) = projected(view, tube.lift((0.0, 0.0), tube.end))
            (start,) = projected(view, tube.origin[None])
            sides = upright if end[0] < 0.0 else other
            if way is not None:
                sides.append(_between(0.0, way.height, 1, float(end[0]), tell))
            elif tube.origin[2] > 0.0:
                sides.append(_between(0.0, float(start[1]), 1, float(start[0]), tell))
    found = in_dimension_rows(level, 0, float(low), -1, letters)
    found += in_dimension_rows(upright, 1, float(left), -1, letters)
    return found + in_dimension_rows(other, 1, float(right) + letters, 1, letters)


def _written(hall: RoomInHall, view: View, letters: float) -> Iterator[tuple[tuple[str, ...], Array]]:
    """What is written on a view, a line each, and the point that it belongs to."""
    if view is View.PLAN:
        tell = _Tell(hall)
        low, high = free_floor(hall)
        yield (
            ("keep free:", f"{tell(hall.spare_mm)} all round"),
            np.array([low[0] + 8 * letters, high[1]]),
        )
        for opening, tube in hall.openings:
            at = projected(view, tube.lift((0.0, 0.0), tube.end + sum(_arrow(letters)) / 2))[0]
            if opening.way_out is not None:
                yield ("way out",), at
        for at, way in _cut_marks(hall, letters):
            yield ("A",), at + np.array([way * 1.2 * letters, 0.0])
        places = bag_places(hall)
        if places and hall.bags is not None:
            count, each = hall.bags
            told = hall.design.marking.told(f"{each:g} kg")
            yield (f"{counted(count + hall.tunnel_bags, 'bag')} of", told), places[len(places) // 3]
    for stroke in _fan_strokes(hall, view):
        yield ("fan",), stroke.points.mean(axis=0)


def arranged(hall: RoomInHall, view: View, seen: Sequence[Stroke], letters_mm: float) -> ArrangedView:
    """Write dimensions and words on a view.

    Parameters
    ----------
    hall : RoomInHall
    view : View
    seen : sequence of Stroke
        Its lines, as `strokes_seen` gives them.
    letters_mm : float
        Height of capitals on the drawing, true to size [mm].

    Returns
    -------
    ArrangedView
    """
    strokes = [*seen, *_fan_strokes(hall, view)]
    if view is View.PLAN:
        strokes += _plan_strokes(hall, letters_mm)
    else:
        low, high = Drawing(tuple(strokes)).box
        out = 3.0 * letters_mm
        strokes.append(stroke_of_points(Layer.GROUND, [(low[0] - out, 0.0), (high[0] + out, 0.0)]))
    box = Drawing(tuple(strokes)).box
    if view is View.PLAN:
        dims = _plan_dimensions(hall, letters_mm, box)
    else:
        dims = _elevation_dimensions(view, hall, letters_mm, box)
    lines = [line for one in dims for line in one.drawing.strokes]
    low, high = Drawing((*strokes, *lines)).box
    home = shapely.box(*(low - 6 * ROW * letters_mm), *(high + 6 * ROW * letters_mm))
    room = LabelRoom(home, SMALL, [*strokes, *lines])
    room.taken += [_label_box(label) for one in dims for label in one.drawing.labels]
    labels: list[Label] = []
    for words, at in _written(hall, view, letters_mm):
        found, leaders = room.point_out(Layer.TOLD, words, at, [letters_mm], 0.4 * letters_mm, home)
        labels += found
        strokes += leaders
    title = 1.4 * letters_mm
    top = float(max([high[1], *(shapely.bounds(box)[3] for box in room.taken)]))
    corner = np.array([low[0], top + 2.0 * title])
    labels.append(Label(Layer.TOLD, _TITLES[view], corner, title, align=0.0, bold=True))
    return ArrangedView(view, _TITLES[view], Drawing(tuple(strokes), tuple(labels)), tuple(dims))

"""What of a room is seen from one side: its lines on paper, and which stretches of them lie behind cloth.

Glossary: a *view* is the side that a room is looked at from; its lines lie in (right, upward) on paper, true to size.
A point is *hidden* if the straight line from it to the eye goes in or out through the cloth. An *outline* is where a
round tube, or a wall that bulges, turns away from the eye, without an edge of the body. Cloth is taken as sewn, from
the design and from points on the body's edges: no kernel.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from enum import Enum

import numpy as np
import shapely
from attrs import frozen
from numpy.typing import NDArray

from shellparts.drawing.strokes import Layer, Stroke, stroke_of_points
from shellparts.parameters import Design
from shellparts.parameters.opening import Tube
from shellparts.parameters.section import Stretch

__all__ = ["View", "projected", "shell_radius", "strokes_seen"]

Array = NDArray[np.float64]
States = NDArray[np.int8]

#: Within this of the cloth a point is neither inside nor outside [mm].
_NEAR_MM = 4.0
#: Looks along a sight line, and stretches that a line of the room is looked at in, at the most this many.
_LOOKS, _STRETCHES = 96, 100
#: Where a line goes behind cloth is found to the length of a stretch halved so often.
_HALVINGS = 9
#: Lines nearer to each other than this on paper are one; what is shorter is left out [mm].
_SAME_MM, _LEAST_MM = 1.5, 12.0
#: A point on a drawn curve lies this near to it [mm].
_SAGITTA_MM = 0.3
_PROFILE_POINTS = 400


class View(Enum):
    """Sides that a room is looked at from; its first doorway lies to the left, or in front."""

    PLAN = "plan"
    FRONT = "front"
    SIDE = "side"
    SECTION = "section"

    @property
    def axes(self) -> Array:
        """Unit vectors right, upward on paper and toward the eye, shape (3, 3)."""
        return np.array(_AXES[self], dtype=float)


_AXES = {
    View.PLAN: ((-1, 0, 0), (0, -1, 0), (0, 0, 1)),
    View.FRONT: ((0, 1, 0), (0, 0, 1), (1, 0, 0)),
    View.SIDE: ((-1, 0, 0), (0, 0, 1), (0, 1, 0)),
    View.SECTION: ((-1, 0, 0), (0, 0, 1), (0, 1, 0)),
}


def projected(view: View, points: Array) -> Array:
    """Points of the room, shape (n, 3), on paper, shape (n, 2) [mm]."""
    return np.asarray(points, float) @ view.axes[:2].T


def shell_radius(design: Design, points: Array) -> Array:
    """Distance of points, shape (n, 3) [mm], from the room's axis as the mid-lines of panels count it."""
    plan, half = design.plan, design.shell.half_angle
    turn = np.arctan2(points[:, 1], points[:, 0]) - plan.first_azimuth + half
    return np.hypot(points[:, 0], points[:, 1]) * np.cos(turn % (2 * half) - half)


@frozen(eq=False)
class _Room:
    """The air of a room as plain formulas; `levels` are radius and height along a panel's middle, (n, 2) [mm]."""

    design: Design
    levels: Array
    tubes: tuple[Tube, ...]
    box: Array  # Most of x, y and z, shape (3,) [mm]

    def states(self, points: Array) -> States:
        """1 inside, -1 outside, 0 at the cloth, for points of shape (..., 3)."""
        flat = points.reshape(-1, 3)
        top = float(self.levels[-1, 1])
        spare = np.interp(flat[:, 2], self.levels[:, 1], self.levels[:, 0]) - shell_radius(self.design, flat)
        inside = (spare > _NEAR_MM) & (flat[:, 2] < top - _NEAR_MM)
        outside = (spare < -_NEAR_MM) | (flat[:, 2] > top + _NEAR_MM)
        for tube in self.tubes:
            open_ones = np.flatnonzero(~inside)
            local = tube.local(flat[open_ones])
            section, along = local[:, :2], local[:, 2]
            within = (along < tube.end - _NEAR_MM) & (along > tube.start)
            beyond = (along > tube.end + _NEAR_MM) | (along <= tube.start)
            inside[open_ones] = within & tube.covers(section, -_NEAR_MM)
            outside[open_ones] &= beyond | ~tube.covers(section, _NEAR_MM)
        return (inside.astype(np.int8) - (outside & ~inside).astype(np.int8)).reshape(points.shape[:-1])

    def hidden(self, points: Array, view: View) -> NDArray[np.bool_]:
        """Which points, shape (n, 3), lie behind cloth; in a section what stands before its plane is not there."""
        toward = view.axes[2]
        # In an elevation the last looks are outside, whatever the room's outermost cloth is.
        beyond = float(self.box[int(toward.argmax())]) + 0.05 * float(self.box.max())
        limit = 0.0 if view is View.SECTION else beyond
        far = limit - points @ toward
        found = np.zeros(len(points), dtype=bool)
        share = (np.arange(_LOOKS) + 0.5) / _LOOKS
        for some in np.array_split(np.arange(len(points)), 1 + len(points) // 4000):
            sight = points[some, None] + (far[some, None] * share)[..., None] * toward
            states = self.states(sight)
            found[some] = (states == 1).any(axis=1) & (states == -1).any(axis=1)
        return found


def _room(design: Design, courses: Sequence[Array]) -> _Room:
    mid = design.shell.mid
    t = np.linspace(0.0, 1.0, _PROFILE_POINTS)
    levels = np.concatenate([mid.points(i, t) for i in range(len(mid.runs))])
    return _Room(design, levels, design.tubes, np.max([course.max(axis=0) for course in courses], axis=0))


def _tube_outlines(view: View, tube: Tube, courses: Sequence[Array]) -> Iterator[Array]:
    """Where a round tube turns away from the eye, from its mouth to its outer end."""
    a, b = tube.axes[:2] @ view.axes[2]
    for arc in (one for one in tube.section if one.centre is not None):
        for angle in math.atan2(-a, b) + math.pi * np.arange(-2, 3):
            if math.hypot(a, b) > 1e-9 and arc.first + 1e-9 < angle < arc.last - 1e-9:
                at = arc.at([angle])[0]
                start = _mouth(tube, at, np.array([-math.sin(angle), math.cos(angle)]), courses)
                if start is not None:
                    yield tube.lift(at, [start, tube.end])


def _mouth(tube: Tube, at: Array, tangent: Array, courses: Sequence[Array]) -> float | None:
    """Distance along a tube at which its mouth passes a point of its section [mm]."""
    found = []
    for points in courses:
        local = tube.local(points)
        off = (local[:, :2] - at) @ tangent
        gap = np.abs((local[:, :2] - at) @ np.array([tangent[1], -tangent[0]]))
        for i in np.flatnonzero((off[:-1] * off[1:] <= 0.0) & (off[:-1] != off[1:]) & (gap[:-1] < 50.0)):
            share = off[i] / (off[i] - off[i + 1])
            where = local[i] + share * (local[i + 1] - local[i])
            if np.abs(where[:2] - at).max() < 5.0 and where[2] < tube.end - 1.0:
                found.append(float(where[2]))
    return min(found, default=None)


def _bulges(room: _Room) -> Iterator[Array]:
    """Level lines round the shell where a smooth wall is widest, between two edges of the body."""
    r, z = room.levels.T
    breaks = room.design.shell.mid.breaks[:, 1]
    plan = room.design.plan
    turns = np.append(plan.azimuths, plan.azimuths[0] + 2 * math.pi) - room.design.shell.half_angle
    for i in np.flatnonzero((r[1:-1] > r[:-2]) & (r[1:-1] > r[2:])) + 1:
        if np.abs(breaks - z[i]).min() > 1.0:
            wide = r[i] / math.cos(room.design.shell.half_angle)
            ring = np.column_stack([wide * np.cos(turns), wide * np.sin(turns), np.full(len(turns), z[i])])
            yield from (ring[k : k + 2] for k in range(len(ring) - 1))


def _cut_lines(room: _Room) -> Iterator[Array]:
    """Rings of cloth, and of floor, in the upright plane through the first doorway's middle, on paper."""
    r, z = room.levels.T
    sides = [r / shell_radius(room.design, np.array([[way, 0.0, 0.0]]))[0] for way in (-1.0, 1.0)]
    # On paper what lies in +x is on the left.
    ring = np.vstack([np.column_stack([-sides[1], z]), np.column_stack([sides[0], z])[::-1]])
    shapes = [shapely.Polygon(ring)]
    for tube in room.tubes:
        if abs(tube.axes[2, 1]) < 1e-6 and abs(tube.origin[1]) < 1e-6:
            heights = [float(h) for one in tube.section for h in _heights_at_middle(one)]
            low, high = min([0.0, *heights] if not tube.part.is_round else heights), max(heights)
            along = [(tube.start, low), (tube.end, low), (tube.end, high), (tube.start, high)]
            corners = np.array([tube.lift((0.0, up), out)[0] for out, up in along])
            shapes.append(shapely.Polygon(projected(View.SECTION, corners)))
    whole = shapely.union_all(shapes)
    yield from (np.asarray(one.exterior.coords) for one in getattr(whole, "geoms", [whole]))


def _heights_at_middle(stretch: Stretch) -> list[float]:
    """Upward positions at which a stretch of a section stands over or under its middle."""
    parameter = stretch.parameter_at_side(0.0)
    found = [] if parameter is None else [float(stretch.at([parameter])[0, 1])]
    return found + [end[1] for end in (stretch.start, stretch.end) if abs(end[0]) < 1e-6]


@frozen(eq=False)
class _Line:
    """A line of the room: points, shape (n, 3), and the length walked up to each [mm]."""

    points: Array
    length: Array

    @classmethod
    def through(cls, points: Array) -> "_Line":
        steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
        return cls(points, np.concatenate([[0.0], np.cumsum(steps)]))

    def at(self, length: Array) -> Array:
        """Points after so much of it, shape (n, 3)."""
        return np.column_stack([np.interp(length, self.length, one) for one in self.points.T])

    def between(self, first: float, last: float) -> Array:
        """Its points from one length to another."""
        inner = self.length[(self.length > first) & (self.length < last)]
        return self.at(np.concatenate([[first], inner, [last]]))


_NONE, _SEEN, _HIDDEN = 0, 1, 2


def _looks(room: _Room, view: View, points: Array) -> NDArray[np.int64]:
    """Whether points are seen, hidden, or, before the plane of a section, not there."""
    found = np.where(room.hidden(points, view), _HIDDEN, _SEEN)
    if view is View.SECTION:
        found[points @ view.axes[2] > 0.1] = _NONE
    return found


def _stretches(room: _Room, view: View, lines: Sequence[_Line]) -> Iterator[tuple[int, Array]]:
    """Every line in stretches that are seen or hidden, with their points, shape (n, 3)."""
    step = float(room.box.max()) / 50.0
    stations = [
        np.linspace(0.0, one.length[-1], 1 + int(np.clip(math.ceil(one.length[-1] / step), 2, _STRETCHES)))
        for one in lines
    ]
    middles = [(one[1:] + one[:-1]) / 2 for one in stations]
    owner = np.repeat(np.arange(len(lines)), [len(one) for one in middles])

    def looked(at: Array, of: NDArray[np.int64]) -> NDArray[np.int64]:
        places = np.empty((len(at), 3))
        for i in np.unique(of):
            places[of == i] = lines[i].at(at[of == i])
        return _looks(room, view, places)

    where = np.concatenate(middles)
    found = looked(where, owner)
    change = np.flatnonzero((np.diff(owner) == 0) & (np.diff(found) != 0))
    low, high = where[change].copy(), where[change + 1].copy()
    for _ in range(_HALVINGS if len(change) else 0):
        half = (low + high) / 2
        same = looked(half, owner[change]) == found[change]
        low, high = np.where(same, half, low), np.where(same, high, half)
    cuts: dict[int, list[tuple[float, int]]] = {}
    for one, at in zip(change.tolist(), ((low + high) / 2).tolist(), strict=True):
        cuts.setdefault(int(owner[one]), []).append((at, int(found[one + 1])))
    first = np.concatenate([[0], np.cumsum([len(one) for one in middles])])
    for i, line in enumerate(lines):
        start, kind = 0.0, int(found[first[i]])
        for at, after in [*cuts.get(i, []), (float(line.length[-1]), _NONE)]:
            if kind != _NONE and at > start:
                yield kind, line.between(start, at)
            start, kind = at, after


def _once(
    lines: Sequence[tuple[Layer, shapely.LineString]], order: Sequence[Layer]
) -> Iterator[tuple[Layer, shapely.LineString]]:
    """Lines without what lies on one that is drawn before them: by layer, long ones first."""
    kept: list[shapely.Geometry] = []
    boxes = np.zeros((0, 4))
    for layer, line in sorted(lines, key=lambda one: (order.index(one[0]), -round(one[1].length, 3))):
        left, low, right, high = line.bounds
        near = (boxes[:, 0] <= right) & (boxes[:, 2] >= left) & (boxes[:, 1] <= high) & (boxes[:, 3] >= low)
        rest = line
        for other in (kept[i] for i in np.flatnonzero(near)):
            # One that only crosses it takes nothing away.
            if shapely.length(shapely.intersection(line, other)) > _LEAST_MM:
                rest = rest.difference(other)
        for piece in getattr(rest, "geoms", [rest]):
            if piece.length >= min(_LEAST_MM, 0.9 * line.length):
                yield layer, piece
        kept.append(line.buffer(_SAME_MM, cap_style="flat", join_style="mitre"))
        boxes = np.vstack([boxes, kept[-1].bounds])


def strokes_seen(
    design: Design, courses: Mapping[int, Array], edges: Mapping[str, Sequence[int]], view: View
) -> tuple[Stroke, ...]:
    """The lines of a room from one side, true to size.

    Parameters
    ----------
    design : Design
        Its shell and its tubes are what hides lines.
    courses : mapping of int to ndarray, shape (n, 3)
        Points along each edge of the body by key [mm].
    edges : mapping of str to sequence of int
        Keys of the edges of each sheet by its name; a tube's sheet has the tube's name.
    view : View
        The side.

    Returns
    -------
    tuple of Stroke
        On `Layer.SEEN`, `Layer.HIDDEN` and, in a section, `Layer.CUT_THROUGH`, without doubles. Where a line goes
        behind cloth is good to about 5 mm across the sight line.
    """
    points = [
        np.asarray(courses[key], float) for key in sorted({key for keys in edges.values() for key in keys})
    ]
    room = _room(design, points)
    if view is View.PLAN:
        points += list(_bulges(room))
    for tube in room.tubes:
        points += _tube_outlines(view, tube, [courses[key] for key in edges[tube.name]])
    lines = [_Line.through(one) for one in points]
    drawn: list[tuple[Layer, shapely.LineString]] = []
    if view is View.SECTION:
        drawn += [(Layer.CUT_THROUGH, shapely.LineString(ring)) for ring in _cut_lines(room)]
        lines = [one for one in lines if np.abs(one.points @ view.axes[2]).max() > 1.0]
    for kind, stretch in _stretches(room, view, lines):
        flat = shapely.LineString(projected(view, stretch)).simplify(_SAGITTA_MM)
        if flat.length >= _SAME_MM and not (view is View.SECTION and kind == _HIDDEN):
            drawn.append((Layer.SEEN if kind == _SEEN else Layer.HIDDEN, flat))
    order = (Layer.CUT_THROUGH, Layer.SEEN, Layer.HIDDEN)
    return tuple(_stroke(layer, np.asarray(line.coords)) for layer, line in _once(drawn, order))


def _stroke(layer: Layer, points: Array) -> Stroke:
    """A stroke through points; one that comes back to its start is closed."""
    closed = len(points) > 3 and bool(np.abs(points[0] - points[-1]).max() < _SAME_MM)
    return stroke_of_points(layer, points[:-1] if closed else points, closed)

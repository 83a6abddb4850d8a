"""Find a place on the flat by a path across the surface.

Glossary: a *path* is a straight line in the surface's parameters (u, v), or two of them at a corner; carried
along it, a frame arrives at a hole with the hole's place and heading on the flat. Two paths to one hole must
agree.

The integration is the same as along an edge; the curve is the surface itself along the line. A path may leave
the face (the surface goes on beneath its other holes) but not the surface.
"""

import math
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from OCP.GeomAbs import GeomAbs_CN

from shellparts.unroll.boundary import Anchor, Boundary
from shellparts.unroll.field import SurfaceField
from shellparts.unroll.outline import Loop
from shellparts.unroll.panels import Panels, flat_edge, resolve
from shellparts.unroll.trace import EdgeTrace
from shellparts.unroll.vectors import Vector, angle_about, cross, dot

__all__ = ["placed_hole"]

Array = NDArray[np.float64]


class _Segment:
    """One straight line in (u, v)."""

    def __init__(self, field: SurfaceField, start: Array, end: Array):
        self.field, self.start, self.run = field, start, end - start

    def _curve(self, t: Array) -> tuple[Array, Array, Array, Array]:
        """Points, first and second derivative, and unit outside normals at `t` in 0..1."""
        p, du, dv, duu, dvv, duv = self.field.d2(self.start + t[:, None] * self.run)
        a, b = self.run
        first, second = a * du + b * dv, a * a * duu + 2.0 * a * b * duv + b * b * dvv
        normal = cross(du, dv)
        return p, first, second, normal * (self.field.outside / np.sqrt(dot(normal, normal)))

    def _sample(self, _: NDArray[np.int_], t: Array) -> tuple[Array, Array, Array]:
        """Speed, turning and size of the coordinates at `t`."""
        p, first, second, normal = self._curve(t.ravel())
        square = dot(first, first)
        turning = dot(cross(first, second), normal) / square
        size = np.abs(p).max(axis=0).reshape(t.shape).max(axis=1)
        return np.sqrt(square).reshape(t.shape), turning.reshape(t.shape), size

    def ends(self) -> tuple[Vector, Vector, Vector, Vector]:
        """Tangent and normal at the start, tangent and normal at the end."""
        _, first, _, normal = self._curve(np.array([0.0, 1.0]))
        a, n, b, m = (
            tuple(column.tolist()) for column in (first[:, 0], normal[:, 0], first[:, 1], normal[:, 1])
        )
        return a, n, b, m

    def flat(self) -> tuple[Array, float]:
        """End point and turn of the leg laid flat from the origin along x."""
        breaks = {0.0, 1.0}
        for axis in (0, 1):
            if self.run[axis] != 0.0:
                at = (np.array(self.field.breaks(axis == 0, GeomAbs_CN)) - self.start[axis]) / self.run[axis]
                breaks.update(at[(at > 1e-9) & (at < 1.0 - 1e-9)].tolist())
        (found,) = resolve(self._sample, [sorted(breaks)])
        panels = Panels(found.half, found.speed, found.turning, 0.0)
        if not panels.sound:
            return np.full(2, math.nan), math.nan
        return flat_edge(panels, -1, True).end, panels.turn_rad


def _arrive(field: SurfaceField, start: Anchor, uv: Array, goal: Anchor, bent: bool) -> tuple[Array, float]:
    """Place and heading of `goal` (at `uv`) on the flat, by a straight or a bent path from `start`."""
    stops = [start.uv, np.array([uv[0], start.uv[1]]), uv] if bent else [start.uv, uv]
    size = np.abs(stops[-1] - stops[0]).max()
    xy, heading, tangent = start.xy, start.heading, start.frame.tangent
    normal = start.frame.normal
    for a, b in pairwise(stops):
        if np.abs(b - a).max() <= 1e-9 * size:
            continue
        leg = _Segment(field, a, b)
        leaving, normal, arriving, normal_there = leg.ends()
        heading += angle_about(normal, tangent, leaving)
        step, turn = leg.flat()
        c, s = math.cos(heading), math.sin(heading)
        xy = xy + np.array((c * step[0] - s * step[1], s * step[0] + c * step[1]))
        heading, tangent, normal = heading + turn, arriving, normal_there
    return xy, heading + angle_about(normal, tangent, goal.frame.tangent)


def _in_period(field: SurfaceField, uv: Array, traces: tuple[EdgeTrace, ...]) -> Array:
    """Shift `uv` by whole periods into the box of the outer boundary, where there are periods."""
    surface = field.surface
    periods = (
        surface.UPeriod() if surface.IsUPeriodic() else 0.0,
        surface.VPeriod() if surface.IsVPeriodic() else 0.0,
    )
    if not any(periods):
        return uv
    box = np.concatenate([trace.some_uv() for trace in traces])
    middle, moved = 0.5 * (box.min(axis=0) + box.max(axis=0)), uv.copy()
    for axis, period in enumerate(periods):
        half = 0.5 * np.ptp(box[:, axis]) * (1.0 + 1e-9)
        if period and abs(uv[axis] - middle[axis]) > half:
            moved[axis] -= period * round((uv[axis] - middle[axis]) / period)
    return moved


def placed_hole(field: SurfaceField, outer: Boundary, hole: Boundary) -> Loop:
    """Set a hole in its place on the flat."""
    goal = hole.anchors[0]
    uv = _in_period(field, goal.uv, outer.traces)
    xy, heading = _arrive(field, outer.anchors[0], uv, goal, bent=False)
    again, heading_again = _arrive(field, outer.anchors[len(outer.anchors) // 2], uv, goal, bent=True)
    twist = (
        abs((heading_again - heading + math.pi) % (2.0 * math.pi) - math.pi) * 0.5 * hole.loop.perimeter_mm
    )
    gap = max(hole.loop.closure_mm, float(np.hypot(*(again - xy))), twist)
    rotation = heading - goal.heading
    c, s = math.cos(rotation), math.sin(rotation)
    x, y = goal.xy
    moved = hole.loop.moved(rotation, float(xy[0] - c * x + s * y), float(xy[1] - s * x - c * y))
    return Loop(moved.edges, gap)

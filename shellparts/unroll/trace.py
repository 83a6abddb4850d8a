"""Trace an edge on its face: speed, surface normal and geodesic curvature from the kernel's exact curves.

Glossary: the *pcurve* is the edge drawn in the surface's parameters (u, v). It is often an approximation,
while the edge's curve in space is exact; so the pcurve only says where to look for the normal, and a step of
projection corrects it. *Geodesic curvature* is the part of a curve's bending that lies in the surface. A
*frame* is a point, a unit tangent and the unit normal on the outside.

There is no case for any kind of surface or curve. This module does not know how edges join.
"""

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from attrs import frozen
from numpy.typing import NDArray
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.GeomAbs import GeomAbs_C1, GeomAbs_CN, GeomAbs_Shape
from OCP.gp import gp_Pnt, gp_Pnt2d, gp_Vec, gp_Vec2d
from OCP.TColStd import TColStd_Array1OfReal
from OCP.TopoDS import TopoDS_Edge, TopoDS_Face

from shellparts.unroll.field import SurfaceField
from shellparts.unroll.panels import Panels, Resolved, resolve
from shellparts.unroll.vectors import Vector, angle_about, cross, dot, sum_of, unit
from shellparts.unroll.walk import pcurve_of

__all__ = ["EdgeTrace", "Frame", "trace_edges"]

Array = NDArray[np.float64]

_CHECK_X, _CHECK_W = np.polynomial.legendre.leggauss(9)
#: A change of direction [rad] below this is the kernel's rounding, above it a corner.
_KINK = 1e-6


@frozen(eq=False)
class Frame:
    """A place on an edge."""

    point: Vector  # Where it is [mm]
    tangent: Vector  # Unit tangent in walking direction
    normal: Vector  # Unit outside normal of the surface


class EdgeTrace:
    """An oriented edge on a face; a `loose` one is taken where its pcurve draws it, not where its curve runs."""

    def __init__(
        self, edge: TopoDS_Edge, face: TopoDS_Face, field: SurfaceField, forward: bool, loose: bool = False
    ):
        self.edge, self.field, self.forward = edge, field, forward
        self.pcurve = pcurve_of(edge, face)
        self.curve = BRepAdaptor_Curve(edge)
        if loose or not self.curve.Is3DCurve():
            self.curve = BRepAdaptor_Curve(edge, face)
        self.first, self.last = self.curve.FirstParameter(), self.curve.LastParameter()
        start, end = self.pcurve.FirstParameter(), self.pcurve.LastParameter()
        self.same_range = abs(start - self.first) + abs(end - self.last) <= 1e-12 * (abs(start) + abs(end))
        self._pcurve_start, self._stretch = start, (end - start) / (self.last - self.first)
        self.usual_speed = 0.0
        self._point, self._v, self._q = gp_Pnt(), gp_Vec(), gp_Pnt2d()
        self.off_surface_mm = 0.0
        self.middles: list[float] = []

    def at_pcurve(self, t: float) -> float:
        """Parameter of the pcurve for a parameter of the curve."""
        return self._pcurve_start + (t - self.first) * self._stretch

    def uv(self, t: Array) -> Array:
        """Where the pcurve says the edge is."""
        if not self.same_range:
            t = self._pcurve_start + (t - self.first) * self._stretch
        q, call, out = self._q, self.pcurve.D0, []
        for value in t.tolist():
            call(value, q)
            out.append((q.X(), q.Y()))
        return np.array(out)

    def uv_rates(self, t: Array) -> tuple[Array, Array]:
        """Where the pcurve says the edge is, and how fast it goes there."""
        q, rate, out = gp_Pnt2d(), gp_Vec2d(), []
        for value in t.tolist():
            self.pcurve.D1(value if self.same_range else self.at_pcurve(value), q, rate)
            out.append((q.X(), q.Y(), rate.X(), rate.Y()))
        table = np.array(out)
        return table[:, :2], table[:, 2:] * (1.0 if self.same_range else self._stretch)

    def stand_off_mm(self) -> float:
        """Largest distance of the edge's curve in space from where its pcurve draws it on the surface [mm]."""
        space = BRepAdaptor_Curve(self.edge)
        if not space.Is3DCurve():
            return 0.0
        first, last = space.FirstParameter(), space.LastParameter()
        span = last - first
        knots = [0.0, *((t - first) / span for t in _intervals(space, GeomAbs_CN)), 1.0]
        inside = 8 if len(knots) > 4 else 32
        share = np.unique(np.concatenate([np.linspace(a, b, inside + 1) for a, b in pairwise(knots)]))
        points = np.array([space.Value(t).Coord() for t in (first + share * span).tolist()])
        drawn, _, _ = self.field.d1(self.uv(self.first + share * (self.last - self.first)))
        return float(np.linalg.norm(points - drawn.T, axis=1).max())

    def start_uv(self) -> Array:
        """Surface parameters where the walk enters the edge, (2,)."""
        return self.uv(np.array([self.first if self.forward else self.last]))[0]

    def some_uv(self) -> Array:
        """Surface parameters at nine places of the edge, its ends among them, (9, 2)."""
        return self.uv(np.linspace(self.first, self.last, 9))

    def _crossings(self, shape: GeomAbs_Shape) -> list[float]:
        """Parameters where the edge crosses a line along which the surface is less smooth than `shape`."""
        lines = [(0, self.field.breaks(True, shape)), (1, self.field.breaks(False, shape))]
        if not any(values for _, values in lines):
            return []
        t = np.linspace(self.first, self.last, 65)
        uv = self.uv(t)
        found = []
        for axis, values in lines:
            for value in values:
                side = uv[:, axis] - value
                for i in np.flatnonzero(side[:-1] * side[1:] < 0.0):
                    found.append(self._crossing(axis, value, t[i], t[i + 1], side[i]))
                found.extend(t[1:-1][(side[1:-1] == 0.0) & (side[:-2] * side[2:] < 0.0)])
        return found

    def _crossing(self, axis: int, value: float, a: float, b: float, side: float) -> float:
        """Where the pcurve passes `value`, by bisection between `a` and `b`."""
        q = self._q
        for _ in range(44):
            middle = 0.5 * (a + b)
            self.pcurve.D0(middle if self.same_range else self.at_pcurve(middle), q)
            if ((q.X() if axis == 0 else q.Y()) - value) * side > 0.0:
                a = middle
            else:
                b = middle
        return 0.5 * (a + b)

    def frame(self, t: float, inward: float) -> Frame:
        """Frame at a place of the edge, with the tangent in walking direction."""
        return _frames([self], [t], [inward])[0]

    def _limit(self, t: float, inward: float) -> tuple[Vector, Vector]:
        """Tangent in parametric direction and outside normal as `t` is approached from within."""
        step = inward * 1e-5 * (self.last - self.first)
        _, v, _, normals = _evaluate([self, self], [[t + step], [t + 2.0 * step]])
        tangents = v / np.sqrt(dot(v, v))
        tangent, normal = 2.0 * tangents[:, 0] - tangents[:, 1], 2.0 * normals[:, 0] - normals[:, 1]
        return unit(tangent.tolist()), unit(normal.tolist())

    def _kink(self, t: float) -> float:
        """Turn at a place where the curve or the surface may have a corner, in walking direction [rad].

        The turn between two places a little apart, taken to the limit by one step of Richardson's rule.
        """
        tiny = 1e-9 * (self.last - self.first)
        places = [t - tiny, t + tiny, t - 2.0 * tiny, t + 2.0 * tiny]
        near_before, near_after, before, after = _frames([self] * 4, places, [-1.0, 1.0] * 2)
        near, far = self._turn(near_before, near_after), self._turn(before, after)
        return math.remainder(2.0 * near - far, 2.0 * math.pi)

    def _turn(self, before: Frame, after: Frame) -> float:
        """Turn between frames on either side of a corner; over a crease, by way of its line."""
        if not self.forward:
            before, after = after, before
        a, b = before.normal, after.normal
        crease = (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])
        if math.hypot(*crease) < 1e-5:
            return angle_about(sum_of(a, b), before.tangent, after.tangent)
        return angle_about(a, before.tangent, crease) + angle_about(b, crease, after.tangent)

    def _bounds(self) -> tuple[list[float], list[tuple[float, float]]]:
        """Where the edge must be cut to be smooth between; and the corners among them, with their turns."""
        bounds = self.smooth_bounds()
        if len(bounds) == 2:
            return bounds, []
        corners = self._apart({*_intervals(self.curve, GeomAbs_C1), *self._crossings(GeomAbs_C1)})
        return bounds, [(t, turn) for t in corners if abs(turn := self._kink(t)) > _KINK]

    def _apart(self, places: set[float]) -> list[float]:
        """Places inside the edge, one of each few that lie where a corner could not be looked at from both sides."""
        room = 4e-9 * (self.last - self.first)
        found = [self.first]
        found += [b for a, b in pairwise([self.first, *sorted(places)]) if b - a > room]
        return [t for t in found[1:] if self.last - t > room]

    def smooth_bounds(self) -> list[float]:
        """Parameters between which curve and surface are smooth, with both ends."""
        breaks = _intervals(self.curve, GeomAbs_CN) + self._crossings(GeomAbs_CN)
        breaks = sorted([self.first, self.last, *breaks])
        span = self.last - self.first
        bounds = breaks[:1] + [b for a, b in pairwise(breaks) if b - a > 1e-9 * span]
        bounds[-1] = self.last
        return bounds

    def _pieces(self, found: Resolved, kinks: list[tuple[float, float]]) -> list[Panels]:
        """Panels between corners, in walking order."""
        low, half, speed, turning = found.low, found.half, found.speed, found.turning
        self.usual_speed = float(speed[0, 0])
        margin = 2e-9 * (self.last - self.first)
        cuts = [0, *(int(np.searchsorted(low, t - margin)) for t, _ in kinks), len(low)]
        pieces = []
        for a, b in pairwise(cuts):
            t = (low[a:b] + half[a:b])[:, None] + half[a:b, None] * _CHECK_X
            solid = float(half[a:b] @ (self._speeds(t).reshape(t.shape) @ _CHECK_W))
            if self.forward:
                pieces.append(Panels(half[a:b], speed[a:b], turning[a:b], solid))
            else:
                backward = -turning[a:b][::-1, ::-1]
                pieces.append(Panels(half[a:b][::-1], speed[a:b][::-1, ::-1], backward, solid))
            self.middles.append(float(t[len(t) // 2, len(_CHECK_X) // 2]))
        if self.forward:
            return pieces
        self.middles.reverse()
        return pieces[::-1]

    def _speeds(self, t: Array) -> Array:
        """Length of the first derivative at every `t`, in a row."""
        p, v, call, out = self._point, self._v, self.curve.D1, []
        for value in t.ravel().tolist():
            call(value, p, v)
            out.append(v.Magnitude())
        return np.array(out)


def trace_edges(
    traces: Sequence[EdgeTrace],
) -> tuple[list[list[Panels]], list[list[float]], list[tuple[Frame, Frame]]]:
    """For each edge of a face its resolved stretches, the turns between them [rad], and the frames at both ends."""
    cut = [trace._bounds() for trace in traces]

    def sample(owner: NDArray[np.int_], t: Array) -> tuple[Array, Array, Array]:
        points, v, a, normals = _evaluate([traces[i] for i in owner.tolist()], t.tolist())
        square = dot(v, v)
        turning = dot(cross(v, a), normals) / square
        size = np.abs(points).max(axis=0).reshape(t.shape).max(axis=1)
        return np.sqrt(square).reshape(t.shape), turning.reshape(t.shape), size

    found = resolve(sample, [bounds for bounds, _ in cut])
    pieces = [trace._pieces(one, kinks) for trace, one, (_, kinks) in zip(traces, found, cut, strict=True)]
    turns = [
        [turn for _, turn in (kinks if trace.forward else kinks[::-1])]
        for trace, (_, kinks) in zip(traces, cut, strict=True)
    ]
    twice = [trace for trace in traces for _ in range(2)]
    places = [t for trace in traces for t in (trace.first, trace.last)]
    ends = _frames(twice, places, [1.0, -1.0] * len(traces))
    pairs = zip(traces, ends[0::2], ends[1::2], strict=True)
    return pieces, turns, [(a, b) if trace.forward else (b, a) for trace, a, b in pairs]


def _intervals(curve: BRepAdaptor_Curve, shape: GeomAbs_Shape) -> list[float]:
    """Parameters inside a curve where it is less smooth than `shape`."""
    count = curve.NbIntervals(shape)
    if count < 2:
        return []
    knots = TColStd_Array1OfReal(1, count + 1)
    curve.Intervals(knots, shape)
    return [knots.Value(i) for i in range(2, count + 1)]


def _evaluate(
    traces: Sequence[EdgeTrace], places: Sequence[Sequence[float]]
) -> tuple[Array, Array, Array, Array]:
    """Points, two derivatives and unit outside normals at places of edges of one face; four arrays (3, m)."""
    p, v, a, q = gp_Pnt(), gp_Vec(), gp_Vec(), gp_Pnt2d()
    out, uv = [], []
    for trace, row in zip(traces, places, strict=True):
        curve, pcurve = trace.curve.D2, trace.pcurve.D0
        for t in row:
            curve(t, p, v, a)
            out.append(p.Coord() + v.Coord() + a.Coord())
            pcurve(t if trace.same_range else trace.at_pcurve(t), q)
            uv.append((q.X(), q.Y()))
    table = np.array(out).T
    points = table[0:3]
    normals, off = traces[0].field.normals(np.array(uv), points)
    start = 0
    for trace, row in zip(traces, places, strict=True):
        trace.off_surface_mm = max(trace.off_surface_mm, *off[start : start + len(row)].tolist())
        start += len(row)
    return points, table[3:6], table[6:9], normals


def _frames(traces: Sequence[EdgeTrace], places: Sequence[float], inward: Sequence[float]) -> list[Frame]:
    """Frames at one place of each edge; a limit from within where curve or surface is singular."""
    points, v, _, normals = _evaluate(traces, [[t] for t in places])
    frames = []
    columns = zip(points.T.tolist(), v.T.tolist(), normals.T.tolist(), strict=True)
    for (point, along, normal), trace, t, sign in zip(columns, traces, places, inward, strict=True):
        if not (math.hypot(*along) > 1e-7 * trace.usual_speed and math.isfinite(sum(normal))):
            along, limit = trace._limit(t, sign)
            normal = normal if math.isfinite(sum(normal)) else limit
        tangent = unit(along if trace.forward else (-along[0], -along[1], -along[2]))
        frames.append(Frame(tuple(point), tangent, tuple(normal)))
    return frames

"""Turn walks into flat loops: edges integrated, corners turned, apexes swept.

Glossary: the *turn* at a corner is the angle between the incoming and the outgoing tangent, seen against the
outside normal; a *cusp* is a corner whose turn is half a turn either way; an *apex* is a point that the
surface's parameters spread out into a degenerate edge. The interior angle at an apex is the geodesic turning
along lines of the surface ever closer to it, and that limit is the angle which the direction of the surface's
rulings at the apex sweeps. Neighbours that gape at a corner meet halfway; the *drift* of an edge is what its end is
moved by more than its start.

This module does not know which loop is a hole, nor what closes well enough.
"""

import math
from collections.abc import Callable

import numpy as np
from attrs import evolve, frozen
from numpy.typing import NDArray
from OCP.BRep import BRep_Tool
from OCP.TopoDS import TopoDS_Edge, TopoDS_Face

from shellparts.base.errors import UnrollError
from shellparts.unroll.field import SurfaceField
from shellparts.unroll.flat_edge import FlatEdge, Form, unit_vectors
from shellparts.unroll.outline import Loop
from shellparts.unroll.panels import flat_edge
from shellparts.unroll.trace import EdgeTrace, Frame, trace_edges
from shellparts.unroll.vectors import angle_about, dot, sum_of
from shellparts.unroll.walk import DRAW_AGAIN, HalfEdge

__all__ = ["Anchor", "Boundary", "fitted", "trace_boundary"]

Array = NDArray[np.float64]

_GAUSS_X, _GAUSS_W = np.polynomial.legendre.leggauss(12)
#: A corner this close to half a turn is a cusp; its sign is left to the loop's total [rad].
_CUSP = 1e-3
#: Turn of an arc between the nodes of the curve that it becomes when its ends are moved apart [rad].
_ARC_STEP = 0.1
#: A drift below this share of the way is rounding.
_NO_DRIFT = 1e-14


@frozen(eq=False)
class Anchor:
    """A corner of a loop known both on the face and on the flat."""

    frame: Frame
    uv: Array  # Surface parameters, (2,)
    xy: Array  # Point on the flat, (2,) [mm]
    heading: float  # Heading of the walk as it leaves the point [rad]


@frozen(eq=False)
class Boundary:
    """One closed walk laid flat from the origin, heading along x."""

    loop: Loop
    #: Total turn of the walk, corners included [rad]: one full turn for the edge of a flat piece.
    turning_rad: float
    #: Where each edge with a length begins, on the face and on the flat; not after an apex, where all is
    #: singular.
    anchors: tuple[Anchor, ...]
    traces: tuple[EdgeTrace, ...]  # The edges that have a length, in walking order
    begins: tuple[int, ...]  # Which flat edge of the loop each of them begins with
    space_gap_mm: float  # Largest distance in space from the end of one edge to the start of the next [mm]


def _sweep(edge: TopoDS_Edge, face: TopoDS_Face, field: SurfaceField) -> float:
    """Interior angle at an apex [rad]: what the direction of the rulings sweeps along a degenerate edge."""
    trace = EdgeTrace(edge, face, field, True)
    eighths = np.linspace(trace.first, trace.last, 9).tolist()
    knots = np.array(sorted({*eighths, *trace.smooth_bounds()}))
    half = 0.5 * np.diff(knots)
    t = ((knots[:-1] + half)[:, None] + half[:, None] * _GAUSS_X).ravel()
    weight = (half[:, None] * _GAUSS_W).ravel()
    uv, rate = trace.uv_rates(t)
    _, du, dv, _, _, duv = field.d2(uv)
    along = int(np.ptp(uv[:, 1]) > np.ptp(uv[:, 0]))
    ruling = dv if along == 0 else du
    size = np.sqrt(dot(ruling, ruling))
    if np.min(size) <= 1e-9 * max(1e-300, float(np.max(np.abs(duv)))):
        raise UnrollError(
            "The surface has no direction at a point, so the angle there is unknown", DRAW_AGAIN
        )
    unit = ruling / size
    change = (duv - dot(duv, unit) * unit) / size
    return float(weight @ (np.abs(rate[:, along]) * np.sqrt(dot(change, change))))


def trace_boundary(
    steps: tuple[HalfEdge, ...],
    face: TopoDS_Face,
    field: SurfaceField,
    edge_key: Callable[[TopoDS_Edge], int],
    full_turns: float,
    loose: bool = False,
) -> Boundary:
    """Lay one walk flat."""
    pieces: list[tuple[FlatEdge, float]] = []
    turns: list[float] = []
    traces: list[EdgeTrace] = []
    begins: list[int] = []
    apex: dict[int, float] = {}
    for step in steps:
        if BRep_Tool.Degenerated_s(step.edge):
            apex[len(traces)] = apex.get(len(traces), math.pi) - _sweep(step.edge, face, field)
            continue
        traces.append(EdgeTrace(step.edge, face, field, step.forward, loose))
    if not traces:
        raise UnrollError("A boundary of the face has no edge with a length", DRAW_AGAIN)
    stretches, kinks, frames = trace_edges(traces)
    for trace, panels, corners in zip(traces, stretches, kinks, strict=True):
        if not all(panel.sound for panel in panels):
            raise UnrollError(
                "An edge of the face has no length, or runs where the surface has no normal", DRAW_AGAIN
            )
        key = edge_key(trace.edge)
        begins.append(len(pieces))
        pieces += [(flat_edge(panel, key, trace.forward), panel.turn_rad) for panel in panels]
        turns += [*corners, math.nan]
    if len(traces) in apex:
        apex[0] = apex.pop(len(traces)) + apex.get(0, math.pi) - math.pi
    smooth = sum(turn for _, turn in pieces)
    ends = [(begin - 1) % len(pieces) for begin in begins]
    for number, place in enumerate(ends):
        a, b = frames[number - 1][1], frames[number][0]
        corner = angle_about(sum_of(a.normal, b.normal), a.tangent, b.tangent)
        turns[place] = apex.get(number, corner)
    apart = max(
        math.dist(frames[number - 1][1].point, frames[number][0].point) for number in range(len(frames))
    )
    plain = [place for number, place in enumerate(ends) if number not in apex]
    _settle_cusps(turns, plain, smooth, 2.0 * math.pi * full_turns)
    gaps = np.zeros((len(pieces), 2))
    if loose:
        for number, place in enumerate(ends):
            gaps[place] = _gap(frames[number - 1][1], frames[number][0])
    loop, headings = _chained(pieces, turns, gaps)
    anchors = tuple(
        Anchor(frames[number][0], traces[number].start_uv(), loop.edges[begin].start, headings[begin])
        for number, begin in enumerate(begins)
        if number not in apex
    )
    if not math.isfinite(smooth + sum(turns)):
        raise UnrollError("A corner of the face lies where the surface has no normal", DRAW_AGAIN)
    if loose:
        loop = _met_halfway(loop)
    return Boundary(loop, smooth + sum(turns), anchors, tuple(traces), tuple(begins), apart)


def _gap(arriving: Frame, leaving: Frame) -> tuple[float, float]:
    """Step from where one edge arrives to where the next leaves, along the walk and to its left [mm]."""
    step = [b - a for a, b in zip(arriving.point, leaving.point, strict=True)]
    t, n = arriving.tangent, arriving.normal
    left = (n[1] * t[2] - n[2] * t[1], n[2] * t[0] - n[0] * t[2], n[0] * t[1] - n[1] * t[0])
    along, aside = (sum(x * y for x, y in zip(step, axis, strict=True)) for axis in (t, left))
    return along, aside


def _met_halfway(loop: Loop) -> Loop:
    """The same loop, each edge stretched and turned a little so that neighbours meet halfway."""
    edges = loop.edges
    middles = [0.5 * (a.end + b.start) for a, b in zip(edges, edges[1:] + edges[:1], strict=True)]
    met = (fitted(edge, middles[i - 1], middles[i]) for i, edge in enumerate(edges))
    return Loop(tuple(met), loop.closure_mm)


def _settle_cusps(turns: list[float], corners: list[int], smooth: float, expected: float) -> None:
    """Choose the sign of the cusps so that the total turn comes closest to what is expected."""
    for place in sorted(
        (c for c in corners if abs(turns[c]) > math.pi - _CUSP), key=lambda c: -abs(turns[c])
    ):
        change = -math.copysign(2.0 * math.pi, turns[place])
        missing = expected - smooth - sum(turns)
        if abs(missing - change) < abs(missing):
            turns[place] += change


def _chained(
    pieces: list[tuple[FlatEdge, float]], turns: list[float], gaps: Array
) -> tuple[Loop, list[float]]:
    """Set flat edges one after the other, over the gaps between them; also the heading that each begins with."""
    heading, at = 0.0, np.zeros(2)
    placed, headings = [], []
    for (piece, bend), turn, (along, aside) in zip(pieces, turns, gaps.tolist(), strict=True):
        edge = piece.moved(heading, float(at[0]), float(at[1]))
        placed.append(edge)
        headings.append(heading)
        c, s = math.cos(heading + bend), math.sin(heading + bend)
        at = edge.end + np.array([c * along - s * aside, s * along + c * aside])
        heading += bend + turn
    gap = float(np.hypot(*(at - placed[0].start)))
    return Loop(tuple(placed), gap), headings


def fitted(edge: FlatEdge, start: Array, end: Array) -> FlatEdge:
    """Bring the edge's ends to two points close to them.

    A stretched edge (its chord is at least half of it) is turned and stretched as a whole. One that comes back on
    itself has no direction to turn by: it drifts, each point by its share of the way.
    """
    own, goal = edge.end - edge.start, end - start
    if float(np.hypot(*own)) < 0.5 * float(edge.s[-1]):
        return _drifted(edge, start, end)
    factor = float(np.hypot(*goal) / np.hypot(*own))
    turn = math.atan2(float(own[0] * goal[1] - own[1] * goal[0]), float(own @ goal))
    about = evolve(
        edge, xy=(edge.xy - edge.start) * factor, s=edge.s * factor, curvature=edge.curvature / factor
    )
    return about.moved(turn, *start.tolist())


def _drifted(edge: FlatEdge, start: Array, end: Array) -> FlatEdge:
    """Shift every point, from what the start is shifted by to what the end is, in proportion to the way."""
    s = edge.s
    if edge.form is Form.ARC:
        turn = abs(float(edge.heading[-1] - edge.heading[0]))
        s = np.linspace(0.0, float(s[-1]), 2 + math.ceil(turn / _ARC_STEP))
    first, last = start - edge.start, end - edge.end
    share = (s / s[-1])[:, None]
    drift = (last - first) / s[-1]
    if float(np.hypot(*drift)) <= _NO_DRIFT:
        return edge.moved(0.0, *(0.5 * (first + last)).tolist())
    at, heading, bend = edge.at(s), edge.heading_at(s), edge.curvature_at(s)
    ahead = unit_vectors(heading)
    along, aside = ahead @ drift, ahead[:, 0] * drift[1] - ahead[:, 1] * drift[0]
    speed = np.hypot(1.0 + along, aside)
    chords = np.diff(at, axis=0) @ drift
    steps = np.diff(s) * (1.0 + 0.25 * (aside[:-1] ** 2 + aside[1:] ** 2)) + chords
    return evolve(
        edge,
        form=Form.CURVE,
        s=np.concatenate(([0.0], np.cumsum(steps))),
        xy=at + first * (1.0 - share) + last * share,
        heading=heading + np.arctan2(aside, 1.0 + along),
        curvature=bend * (1.0 + along) / speed**3,
    )

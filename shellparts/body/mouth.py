"""Where a tube goes through the ring of panels.

Glossary: the *mouth* is the intersection curve of a tube and the panels, along which they are sewn, walked along
the tube's section; it is *split* where it passes from one panel face to the next.

Every point of the mouth follows from one number, the section's parameter, so hole and tube end are the same
curve by construction: on plane faces a straight stretch gives a straight edge, everything else a spline
through exact points.
"""

import itertools
from collections.abc import Callable

import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray

from shellparts.base.errors import GeometryError
from shellparts.base.tolerances import TOLERANCES
from shellparts.body.pool import Coedge, Node, Pool
from shellparts.body.ring import Ring
from shellparts.openings.fit import leaving
from shellparts.parameters.opening import Tube
from shellparts.parameters.section import Stretch

__all__ = ["Mouth", "MouthEdge", "trace_mouth"]

Array = NDArray[np.float64]
Curve = Callable[[Array], Array]
#: A span of a stretch on one face: first and last parameter, panel, run.
_Span = tuple[float, float, int, int]
_SAMPLES = 128
_STRAIGHT_MM = 1e-9
_TIE_MM = 1e-10
#: A span of a mouth shorter than this is rounding's work, not the design's, if a neighbour lies in the same place.
_SLIVER_MM = 0.01
_SAME_PLACE_MM = 0.1 * TOLERANCES.same_point_mm


@frozen(eq=False)
class MouthEdge:
    """One edge of a mouth: walked along the section, on one stretch of it and on one face of one panel."""

    coedge: Coedge
    stretch: int
    panel: int
    run: int


@frozen(eq=False)
class Mouth:
    """The edges of a mouth in the section's order, and the nodes that fall on the ring's own lines."""

    tube: Tube
    edges: list[MouthEdge]
    #: Nodes inside the stretch of a seam, by (seam, run).
    on_seams: dict[tuple[int, int], list[Node]] = field(factory=dict)
    #: Nodes inside a panel's stretch of a level, by (panel, level).
    on_levels: dict[tuple[int, int], list[Node]] = field(factory=dict)

    def of_stretch(self, index: int) -> list[Coedge]:
        """The coedges on one stretch of the section, in order."""
        return [edge.coedge for edge in self.edges if edge.stretch == index]


@frozen(eq=False)
class _Exits:
    """Where lines along a tube leave the shell, and through which faces."""

    ring: Ring
    tube: Tube
    panels: NDArray[np.int64]

    def distances(self, panels: NDArray[np.int64] | int, section: Array) -> Array:
        """Distances along the tube to panels, shape (panels, n), or to one, shape (n,) [mm]."""
        points, along = self.tube.lift(section, 0.0), self.tube.axes[2]
        out = self.ring.outward[panels]
        rise = float(along[2]) if abs(along[2]) > 1e-15 else 0.0
        return leaving(self.ring.plan.shell.mid, out @ points.T, (out @ along)[..., None], points[:, 2], rise)

    def faces(self, section: Array) -> NDArray[np.int64]:
        """Panel and run at each point of the section, shape (n, 2); of panels that tie, the middlemost."""
        reach = self.distances(self.panels, section)
        best = np.argmax(reach <= reach.min(axis=0) + _TIE_MM, axis=0)
        heights = self.tube.lift(section, reach[best, np.arange(len(section))])[:, 2]
        runs = np.searchsorted(self.ring.levels[1:-1], heights, "right")
        return np.column_stack([self.panels[best], runs])


def _candidates(ring: Ring, tube: Tube) -> NDArray[np.int64]:
    """Panels that the tube may go through, those it meets most squarely first."""
    square = ring.outward @ tube.axes[2]
    order = np.argsort(-np.round(square, 12), kind="stable")
    chosen = order[square[order] > 0.2] if not tube.part.is_round else order[:1]
    return chosen.astype(np.int64)


def _split(exits: _Exits, stretch: Stretch) -> list[_Span]:
    """Spans of a stretch that each lie on one face."""

    def face(parameter: float) -> tuple[int, int]:
        panel, run = exits.faces(stretch.at(parameter))[0].tolist()
        return panel, run

    span = stretch.last - stretch.first
    inner = stretch.first + span * np.linspace(1e-9, 1.0 - 1e-9, _SAMPLES)
    labels = [(panel, run) for panel, run in exits.faces(stretch.at(inner)).tolist()]
    starts, current = [(stretch.first, labels[0])], labels[0]
    for i in range(1, _SAMPLES):
        low = float(inner[i - 1])
        while labels[i] != current:
            high = float(inner[i])
            beyond = labels[i]
            for _ in range(60):
                middle = (low + high) / 2
                if not low < middle < high:
                    break
                there = face(middle)
                if there == current:
                    low = middle
                else:
                    high, beyond = middle, there
            starts.append((high, beyond))
            low, current = high, beyond
    ends = [start for start, _ in starts[1:]] + [stretch.last]
    return _without_slivers(
        exits, stretch, [(a, b, *label) for (a, label), b in zip(starts, ends, strict=True)]
    )


def _without_slivers(exits: _Exits, stretch: Stretch, spans: list[_Span]) -> list[_Span]:
    """Give slivers of a stretch to a neighbour that lies in the same place.

    Where a tube's side runs along a seam and exits it without an angle, the two part so slowly that rounding makes a
    span of its own, far shorter than anything that is sewn.
    """
    kept: list[_Span] = []
    start: float | None = None

    def agrees(parameter: float, panel: int, other: _Span) -> bool:
        at = stretch.at(parameter)
        return bool(abs(exits.distances(panel, at)[0] - exits.distances(other[2], at)[0]) < _SAME_PLACE_MM)

    for span, following in itertools.zip_longest(spans, spans[1:]):
        first, last, panel, run = span if start is None else (start, *span[1:])
        start = None
        a, b = stretch.at([first, last])
        if np.hypot(*(b - a)) < _SLIVER_MM:
            # A neighbour on the same run takes it, so that the end on a level stays where it is.
            if following is not None and following[3] == run and agrees(first, panel, following):
                start = first
                continue
            if kept and kept[-1][3] == run and agrees(last, panel, kept[-1]):
                kept[-1] = (kept[-1][0], last, *kept[-1][2:])
                continue
        kept.append((first, last, panel, run))
    return kept


def trace_mouth(pool: Pool, ring: Ring, tube: Tube) -> Mouth:
    """Find the mouth of a tube."""
    exits = _Exits(ring, tube, _candidates(ring, tube))
    mouth = Mouth(tube, [])
    for index, stretch in enumerate(tube.section):
        for first, last, panel, run in _split(exits, stretch):

            def curve(t: Array, stretch: Stretch = stretch, panel: int = panel) -> Array:
                section = stretch.at(t)
                return tube.lift(section, exits.distances(panel, section))

            ends = curve(np.array([first, last]))
            if not np.isfinite(ends).all():
                raise GeometryError(f"the {tube.name} does not leave the shell all around")
            a, b = (pool.node(p) for p in ends)
            if a is b:
                continue
            coedge = _edge(pool, stretch, curve, (a, b), (first, last))
            mouth.edges.append(MouthEdge(coedge, index, panel, run))
            for node in (a, b):
                _register(mouth, ring, node, panel)
    return mouth


def _edge(
    pool: Pool, stretch: Stretch, curve: Curve, nodes: tuple[Node, Node], span: tuple[float, float]
) -> Coedge:
    """The edge of a mouth over one span of a stretch, straight where it can be."""
    a, b = nodes
    first, last = span
    inner = np.array([0.21, 0.5, 0.83])
    points = curve(first + (last - first) * inner)
    if stretch.centre is None:
        chord = b.at - a.at
        off = points - a.at
        away = off - np.outer(off @ chord / (chord @ chord), chord)
        if np.abs(away).max() < _STRAIGHT_MM:
            return pool.line(a, b)
    return pool.curve(a, b, first, last, curve)


def _register(mouth: Mouth, ring: Ring, node: Node, panel: int) -> None:
    """Note which of the ring's own lines a node falls on, between their ends."""
    near, levels = TOLERANCES.same_point_mm, ring.levels
    level = int(np.argmin(np.abs(levels - node.at[2])))
    on_level = abs(float(levels[level]) - node.at[2]) <= near
    seam = None
    for s in (panel, (panel + 1) % ring.panels):
        out = ring.seam_outward[s]
        if seam is None and abs(float(out[0] * node.at[1] - out[1] * node.at[0])) <= near:
            seam = s
    if seam is not None and not on_level:
        run = int(np.searchsorted(levels[1:-1], node.at[2], "right"))
        mouth.on_seams.setdefault((seam, run), []).append(node)
    if on_level and seam is None:
        mouth.on_levels.setdefault((panel, level), []).append(node)

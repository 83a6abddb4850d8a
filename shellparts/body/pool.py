"""Points and edges that are shared by identity.

Glossary: a *node* is a point of the body; a *link* is an edge between two nodes, with the curve it lies on; a
*coedge* (half-edge) is a link with a direction. Two parts that ask the pool for the same point or the same
straight edge get the same one, so that what touches is joined by construction and no boolean is needed to find it out.
"""

from collections.abc import Callable, Sequence
from itertools import pairwise, product

import numpy as np
from attrs import field, frozen
from numpy.typing import ArrayLike, NDArray
from OCP.BRep import BRep_Builder
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeVertex, BRepBuilderAPI_MakeWire
from OCP.Geom import Geom_Curve, Geom_Surface
from OCP.TopAbs import TopAbs_FORWARD, TopAbs_REVERSED
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Face, TopoDS_Vertex, TopoDS_Wire
from scipy.interpolate import make_interp_spline

from shellparts.base.classes import brief
from shellparts.base.errors import GeometryError
from shellparts.base.tolerances import TOLERANCES
from shellparts.body.kernel import Chart, fit_spline, kernel_curve, kernel_pcurve, plane, point

__all__ = ["Coedge", "Link", "Node", "Pool", "flat_face", "make_face"]

Array = NDArray[np.float64]
Parameters = Callable[[Array], Array]


@frozen(eq=False)
class Node:
    """A point of the body: its number, where it is, shape (3,) [mm], and the kernel's vertex."""

    number: int
    at: Array
    vertex: TopoDS_Vertex


@brief
@frozen(eq=False)
class Link:
    """An edge of the body from one node to another."""

    key: int  # Number of the edge in the body
    #: Its ends.
    start: Node
    end: Node
    edge: TopoDS_Edge  # Oriented from start to end
    #: Range of its parameter.
    first: float
    last: float
    curve: Parameters  # Takes parameters, shape (n,), and gives points, shape (n, 3) [mm]
    straight: bool  # Whether it is a straight line

    def sampled(self, number: int) -> Array:
        """Points from start to end, shape (number, 3) [mm]."""
        return self.curve(np.linspace(self.first, self.last, number))


@frozen
class Coedge:
    """A link walked forward or backward."""

    link: Link
    forward: bool = True

    @property
    def start(self) -> Node:
        """Node where the coedge starts."""
        return self.link.start if self.forward else self.link.end

    @property
    def end(self) -> Node:
        """Node where the coedge ends."""
        return self.link.end if self.forward else self.link.start

    @property
    def back(self) -> "Coedge":
        """The same link walked the other way."""
        return Coedge(self.link, not self.forward)

    @property
    def edge(self) -> TopoDS_Edge:
        """The kernel's edge, oriented as walked."""
        return self.link.edge if self.forward else TopoDS.Edge_s(self.link.edge.Reversed())

    def sampled(self, number: int) -> Array:
        """Points in walking order, shape (number, 3) [mm]."""
        points = self.link.sampled(number)
        return points if self.forward else points[::-1]


@frozen(eq=False)
class Pool:
    """All nodes and links of one body."""

    links: list[Link] = field(factory=list)
    _cells: dict[tuple[int, ...], list[Node]] = field(factory=dict)
    _lines: dict[tuple[int, int], Link] = field(factory=dict)
    _count: list[int] = field(factory=lambda: [0])

    def node(self, at: ArrayLike) -> Node:
        """The node at a point, shape (3,) [mm]; a new one unless there is one within the point tolerance."""
        p = np.asarray(at, float)
        size = 10 * TOLERANCES.same_point_mm
        cell = np.floor(p / size).astype(np.int64)
        for step in product((0, -1, 1), repeat=3):
            for node in self._cells.get(tuple((cell + step).tolist()), ()):
                if np.abs(node.at - p).max() <= TOLERANCES.same_point_mm:
                    return node
        made = Node(self._count[0], p, BRepBuilderAPI_MakeVertex(point(p)).Vertex())
        self._count[0] += 1
        self._cells.setdefault(tuple(cell.tolist()), []).append(made)
        return made

    def line(self, a: Node, b: Node) -> Coedge:
        """The straight edge from `a` to `b`, the one there is if it has been asked for before."""
        known = self._lines.get((a.number, b.number)) or self._lines.get((b.number, a.number))
        if known is not None:
            return Coedge(known, known.start is a)
        made = BRepBuilderAPI_MakeEdge(a.vertex, b.vertex)
        if not made.IsDone():
            raise GeometryError(f"a straight edge cannot be made between {a.at} and {b.at}: {made.Error()}")
        length = float(np.linalg.norm(b.at - a.at))

        def curve(t: Array) -> Array:
            return a.at + np.multiply.outer(np.asarray(t, float) / length, b.at - a.at)

        link = Link(len(self.links), a, b, made.Edge(), 0.0, length, curve, True)
        self.links.append(link)
        self._lines[a.number, b.number] = link
        return Coedge(link)

    def path(self, points: Sequence[ArrayLike]) -> list[Coedge]:
        """Straight edges along an open path through points, each of shape (3,) [mm]."""
        nodes = [self.node(p) for p in points]
        return [self.line(a, b) for a, b in pairwise(nodes)]

    def curve(
        self, a: Node, b: Node, first: float, last: float, curve: Parameters, known: Geom_Curve | None = None
    ) -> Coedge:
        """A curved edge from `a` to `b`, on the kernel's curve where one is `known`, else on a spline."""
        if known is None:
            spline = fit_spline(curve, first, last)
            known, curve = kernel_curve(spline), spline
        builder, edge = BRep_Builder(), TopoDS_Edge()
        builder.MakeEdge(edge, known, 1e-7)
        for node, parameter, turn in ((a, first, TopAbs_FORWARD), (b, last, TopAbs_REVERSED)):
            off = known.Value(parameter).Distance(point(node.at))
            if off > TOLERANCES.node_on_curve_mm:
                raise GeometryError(f"a curved edge misses its end at {node.at} by {off:.1e} mm")
            if off > 1e-7:
                builder.UpdateVertex(node.vertex, 2 * off)
            builder.Add(edge, node.vertex.Oriented(turn))
        builder.Range(edge, first, last)
        link = Link(len(self.links), a, b, edge, first, last, curve, False)
        self.links.append(link)
        return Coedge(link)


def _wire(loop: Sequence[Coedge]) -> TopoDS_Wire:
    maker = BRepBuilderAPI_MakeWire()
    for coedge in loop:
        maker.Add(coedge.edge)
        if not maker.IsDone():
            raise GeometryError(f"edges cannot be joined to a boundary: {maker.Error()}")
    return maker.Wire()


def _add_pcurve(link: Link, chart: Chart) -> None:
    """Give an edge its image on a surface."""

    def image(t: Array) -> Array:
        return chart.parameters(link.curve(t))

    ends = np.array([link.first, link.last])
    between = link.first + (link.last - link.first) * np.array([0.2, 0.5, 0.9])
    spline = make_interp_spline(ends, image(ends), k=1)
    if np.abs((spline(between) - image(between)) * chart.scale).max() > 1e-9:
        # The edge itself may be off by 1e-8 mm, which is more along a level than across it.
        spline = fit_spline(image, link.first, link.last, chart.scale, within=6e-8)
    BRep_Builder().UpdateEdge(link.edge, kernel_pcurve(spline), chart.surface, TopLoc_Location(), 1e-7)


def make_face(surface: Geom_Surface | Chart, loops: Sequence[Sequence[Coedge]]) -> TopoDS_Face:
    """Make a face on a surface."""
    builder, face = BRep_Builder(), TopoDS_Face()
    builder.MakeFace(face, surface.surface if isinstance(surface, Chart) else surface, 1e-7)
    for loop in loops:
        if isinstance(surface, Chart):
            for coedge in loop:
                _add_pcurve(coedge.link, surface)
        builder.Add(face, _wire(loop))
    return face


def flat_face(loops: Sequence[Sequence[Coedge]], normal: ArrayLike) -> TopoDS_Face:
    """Make a flat face; see `make_face`."""
    return make_face(plane(loops[0][0].start.at, normal), loops)

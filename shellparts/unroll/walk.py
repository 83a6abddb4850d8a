"""Walk the wires of a face: each boundary as a closed chain of oriented edges, the face on the left.

Glossary: a *wire* is the kernel's bag of edges round a boundary; a *joint edge* stands twice in it, once in
each direction, with a pcurve for each side; a *degenerate edge* has no length in space (the apex of a cone).

Wires are usually stored in order, but need not be: edges are chained by shared vertices, by nearness in the
surface's parameters where a vertex is passed more than once, and an edge left over is an error. Nothing is
measured here.
"""

from functools import cached_property

import numpy as np
from attrs import frozen
from numpy.typing import NDArray
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve2d
from OCP.BRepTools import BRepTools
from OCP.TopAbs import TopAbs_FORWARD, TopAbs_REVERSED, TopAbs_WIRE
from OCP.TopExp import TopExp
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Face, TopoDS_Iterator, TopoDS_Wire
from OCP.TopTools import TopTools_IndexedMapOfShape

from shellparts.base.errors import UnrollError

__all__ = ["DRAW_AGAIN", "HalfEdge", "forward_face", "pcurve_of", "walks"]

Array = NDArray[np.float64]
#: The remedy for what is wrong in the shape itself.
DRAW_AGAIN = "draw or export the face again, or repair it with cadquery.Shape.fix()"


@frozen(eq=False)
class HalfEdge:
    """One edge of a walk."""

    #: The edge, oriented as in its wire in the forward face (this picks the pcurve of a joint edge).
    edge: TopoDS_Edge
    forward: bool  # Whether the walk follows the edge's own parameter


def pcurve_of(edge: TopoDS_Edge, face: TopoDS_Face) -> BRepAdaptor_Curve2d:
    """Read an edge's pcurve; the kernel would crash on one that is not there."""
    if BRep_Tool.CurveOnSurface_s(edge, face, 0.0, 1.0) is None:
        raise UnrollError("An edge of the face is not drawn on its surface (it has no pcurve)", DRAW_AGAIN)
    return BRepAdaptor_Curve2d(edge, face)


class _End:
    """An oriented edge of a wire with its end vertices, numbered; (u, v) is read when asked for."""

    def __init__(self, edge: TopoDS_Edge, face: TopoDS_Face, vertices: TopTools_IndexedMapOfShape):
        tail, head = TopExp.FirstVertex_s(edge, True), TopExp.LastVertex_s(edge, True)
        if tail.IsNull() or head.IsNull():
            raise UnrollError("A boundary edge of the face has no end point", DRAW_AGAIN)
        self.edge, self._face = edge, face
        self.tail, self.head = vertices.Add(tail), vertices.Add(head)

    @cached_property
    def uv(self) -> Array:
        """Four places in (u, v): the start, a little later, a little before the end, the end."""
        pcurve = pcurve_of(self.edge, self._face)
        a, b = pcurve.FirstParameter(), pcurve.LastParameter()
        if self.edge.Orientation() == TopAbs_REVERSED:
            a, b = b, a
        at = [a, a + 1e-3 * (b - a), b - 1e-3 * (b - a), b]
        places = np.array([(p.X(), p.Y()) for p in map(pcurve.Value, at)])
        if not np.isfinite(places).all():
            raise UnrollError("An edge of the face is drawn at no finite place on its surface", DRAW_AGAIN)
        return places


def forward_face(face: TopoDS_Face) -> tuple[TopoDS_Face, float]:
    """Orient a face forward, and say whether its outside was along the surface's normal, 1, or against it, -1."""
    outside = -1.0 if face.Orientation() == TopAbs_REVERSED else 1.0
    return TopoDS.Face_s(face.Oriented(TopAbs_FORWARD)), outside


def walks(face: TopoDS_Face) -> list[tuple[HalfEdge, ...]]:
    """Walk every boundary of a face with the face on the left, as seen from outside."""
    flat, outside = forward_face(face)
    outer = BRepTools.OuterWire_s(flat)
    found: list[tuple[HalfEdge, ...]] = []
    wires = TopoDS_Iterator(flat)
    while wires.More():
        if wires.Value().ShapeType() == TopAbs_WIRE:
            wire = TopoDS.Wire_s(wires.Value())
            for chain in _chains(wire, flat):
                steps = [HalfEdge(end.edge, end.edge.Orientation() == TopAbs_FORWARD) for end in chain]
                if outside < 0.0:
                    steps = [HalfEdge(step.edge, not step.forward) for step in reversed(steps)]
                found.insert(0 if wire.IsSame(outer) else len(found), tuple(steps))
        wires.Next()
    if not found:
        raise UnrollError(
            "The face has no boundary edge to walk along, so it cannot be laid flat",
            "split it, so that its parts have edges",
        )
    return found


def _chains(wire: TopoDS_Wire, face: TopoDS_Face) -> list[list[_End]]:
    """Split a wire into closed chains; one, unless the wire is really several."""
    vertices = TopTools_IndexedMapOfShape()
    left: list[_End] = []
    members = TopoDS_Iterator(wire)
    while members.More():
        edge = TopoDS.Edge_s(members.Value())
        if edge.Orientation() in (TopAbs_FORWARD, TopAbs_REVERSED):
            left.append(_End(edge, face, vertices))
        members.Next()
    total, chains = len(left), []
    while left:
        chain = [left.pop(0)]
        while left:
            here = chain[-1]
            candidates = [i for i, end in enumerate(left) if end.tail == here.head]
            closes = here.head == chain[0].tail
            if not candidates or (closes and not _goes_on(here, chain[0], [left[i] for i in candidates])):
                break
            chain.append(left.pop(_nearest(here, left, candidates)))
        if chain[-1].head != chain[0].tail:
            raise UnrollError(
                f"A boundary of the face is not closed: {len(left)} of its {total} edges cannot be chained, not 0",
                DRAW_AGAIN,
            )
        chains.append(chain)
    return chains


def _gap(here: _End, there: _End) -> float:
    """Distance in (u, v) from the end of one edge to the start of another."""
    return float(np.abs(there.uv[0] - here.uv[3]).sum())


def _goes_on(here: _End, first: _End, others: list[_End]) -> bool:
    """Whether an edge that has come back to the first vertex still belongs further on (a joint's vertex)."""
    return min(_gap(here, other) for other in others) < _gap(here, first) - 1e-7


def _nearest(here: _End, left: list[_End], candidates: list[int]) -> int:
    """The candidate that starts nearest in (u, v); of several, the one most to the left."""
    if len(candidates) == 1:
        return candidates[0]
    gaps = [_gap(here, left[i]) for i in candidates]
    close = [i for i, gap in zip(candidates, gaps, strict=True) if gap <= min(gaps) + 1e-7]

    def turn(i: int) -> float:
        a, b = here.uv[3] - here.uv[2], left[i].uv[1] - left[i].uv[0]
        return float(np.arctan2(a[0] * b[1] - a[1] * b[0], a @ b))

    return max(close, key=turn)

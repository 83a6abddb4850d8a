"""The inflated room, as a STEP file: one named shell a sheet, made of flat triangles, and the closed solid of air.

Neighbouring triangles share their edges, and sheets meet along their seams at the same points. Lengths are
millimetres. This module knows nothing of forces.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence

import numpy as np
from OCP.BRep import BRep_Builder
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeSolid
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeVertex as MakeVertex
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.Geom import Geom_Plane
from OCP.gp import gp_Dir, gp_Pnt
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Face, TopoDS_Shell, TopoDS_Wire

from shellparts.base.errors import GeometryError
from shellparts.body import Body
from shellparts.drawing.colours import AIR
from shellparts.inflate.closing import ClosedForm
from shellparts.parameters.part import Part, Role
from shellparts.writers.step import ENVELOPE, NamedPart, assembly_bytes, room_parts

__all__ = ["inflated_step_bytes", "lying_sheets"]


class _Facets:
    """Triangles as faces that share edges and corners."""

    def __init__(self, nodes: np.ndarray) -> None:
        self._points = nodes
        self._corners = [MakeVertex(gp_Pnt(*at)).Vertex() for at in nodes.tolist()]
        self._edges: dict[tuple[int, int], TopoDS_Edge] = {}
        self._builder = BRep_Builder()

    def _edge(self, a: int, b: int) -> TopoDS_Edge:
        """The edge from one corner to another."""
        low, high = sorted((a, b))
        if (low, high) not in self._edges:
            made = BRepBuilderAPI_MakeEdge(self._corners[low], self._corners[high])
            self._edges[low, high] = made.Edge()
        edge = self._edges[low, high]
        return edge if a == low else TopoDS.Edge_s(edge.Reversed())

    def face(self, triangle: Iterable[int]) -> TopoDS_Face:
        a, b, c = triangle
        p, q, r = self._points[[a, b, c]]
        normal = np.cross(q - p, r - p)
        wire = TopoDS_Wire()
        self._builder.MakeWire(wire)
        for start, end in ((a, b), (b, c), (c, a)):
            self._builder.Add(wire, self._edge(start, end))
        plane = Geom_Plane(gp_Pnt(*p.tolist()), gp_Dir(*normal.tolist()))
        return BRepBuilderAPI_MakeFace(plane, wire, True).Face()

    def shell(self, triangles: Iterable[Iterable[int]]) -> TopoDS_Shell:
        shell = TopoDS_Shell()
        self._builder.MakeShell(shell)
        for triangle in triangles:
            self._builder.Add(shell, self.face(triangle))
        return shell


def lying_sheets(body: Body, blown: Collection[str]) -> tuple[NamedPart, ...]:
    """Sheets that the air does not move: ground flaps lie on the floor as they are sewn, for the foot is held there.

    Parameters
    ----------
    body : Body
        The room as sewn.
    blown : collection of str
        Names of the sheets that the air moves.

    Returns
    -------
    tuple of NamedPart

    Raises
    ------
    GeometryError
        If a sheet that is no ground flap is missing from the form.
    """
    lost = [s.name for s in body.sheets if s.name not in blown and s.kind.role is not Role.FLAP]
    if lost:
        raise GeometryError(f"the inflated form has no {', '.join(lost)}")
    return tuple(part for part in room_parts(body)[0] if part.name not in blown)


def inflated_step_bytes(
    form: ClosedForm,
    sheet_of: np.ndarray,
    kinds: Mapping[str, Part],
    name: str,
    lying: Sequence[NamedPart] = (),
) -> bytes:
    """The inflated room in STEP.

    Parameters
    ----------
    form : ClosedForm
    sheet_of : ndarray of int
        Shape (cloth triangles,): which sheet each is cut with, by its place in `kinds`.
    kinds : mapping
        What each sheet is, by name.
    name : str
        Of the room: ASCII letters, digits and underscores.
    lying : sequence of NamedPart
        Sheets that are as sewn.

    Returns
    -------
    bytes

    Raises
    ------
    GeometryError
        If the solid is not valid, or the kernel cannot write it.
    """
    cloth = form.triangles[: form.cloth].tolist()
    sheets = []
    for number, (sheet, kind) in enumerate(kinds.items()):
        own = [cloth[i] for i in np.flatnonzero(sheet_of == number)]
        if own:
            sheets.append(NamedPart(sheet, _Facets(form.nodes).shell(own), kind.colour))
    shell = _Facets(form.nodes).shell(form.triangles.tolist())
    shell.Closed(True)
    solid = BRepBuilderAPI_MakeSolid(shell).Solid()
    if not BRepCheck_Analyzer(solid).IsValid():
        raise GeometryError("the solid of the inflated form is not valid")
    return assembly_bytes([*sheets, *lying], NamedPart(ENVELOPE, solid, AIR, 0.35), name)

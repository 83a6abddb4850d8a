"""The inflated room as a tree of named solids: smooth where the kernel finds no fault in that, else in flat triangles.

Sheets meet along their seams at the same points; what lies on the floor, ground flaps sewn on or cut with their panel,
lies there as it is sewn. Lengths are millimetres. This module knows nothing of forces.
"""

from collections.abc import Collection, Iterable, Iterator, Sequence
from itertools import pairwise

import numpy as np
from attrs import frozen
from OCP.BRep import BRep_Builder
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeSolid
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeVertex as MakeVertex
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.Geom import Geom_Plane
from OCP.gp import gp_Dir, gp_Pnt
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Face, TopoDS_Shell, TopoDS_Solid, TopoDS_Wire

from shellparts.base.errors import GeometryError
from shellparts.base.tolerances import TOLERANCES
from shellparts.body import Body
from shellparts.body.body import BodyFace, BodySheet
from shellparts.inflate.closing import closed_form
from shellparts.inflate.smooth import SmoothForm, smooth_form
from shellparts.inflate.whole_room import InflatedRoom
from shellparts.parameters.part import Role
from shellparts.writers.mesh import copy_of
from shellparts.writers.step import NamedPart, PartGroup, tree_bytes
from shellparts.writers.step_room import room_tree, sheets_of
from shellparts.writers.step_smooth import SmoothShapes

__all__ = ["InflatedSolids", "inflated_solids", "lying_sheets"]


@frozen(eq=False)
class InflatedSolids:
    """The inflated room in the kernel.

    Parameters
    ----------
    sheets : tuple of NamedPart
        Every sheet of the room in the body's order, none sharing anything with another.
    solid : TopoDS_Solid
        The air.
    smooth : SmoothForm or None
        What the surfaces are and how near they come; None where they are flat triangles.
    fault : str
        Why they are; empty where they are not.
    """

    sheets: tuple[NamedPart, ...]
    solid: TopoDS_Solid
    smooth: SmoothForm | None
    fault: str

    def tree(self, body: Body, name: str) -> PartGroup:
        """The room arranged as the one as sewn."""
        return room_tree(body, name, self.sheets, self.solid)

    def step_bytes(self, body: Body, name: str) -> bytes:
        """The room in STEP: the same bytes for the same form."""
        kind = "smooth surfaces" if self.smooth is not None else "flat triangles"
        return tree_bytes(self.tree(body, name), f"cloth room under air, predicted, {kind}, millimetres")

    def record(self) -> dict[str, object]:
        """What the summary says of the surfaces."""
        if self.smooth is None:
            return {"surfaces": "flat triangles", "reason": self.fault}
        return {"surfaces": "smooth", **self.smooth.record()}


class _Facets:
    """Triangles as faces that share edges and corners, and flat faces on the floor beside them."""

    def __init__(self, nodes: np.ndarray) -> None:
        self._points = nodes
        self._floor = np.flatnonzero(np.abs(nodes[:, 2]) <= TOLERANCES.seam_mismatch_mm)
        self._corners = [MakeVertex(gp_Pnt(*at)).Vertex() for at in nodes.tolist()]
        self._edges: dict[tuple[int, int], TopoDS_Edge] = {}
        self._others: dict[int, np.ndarray] = {}
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
        corners = list(triangle)
        p, q, r = self._points[corners]
        normal = np.cross(q - p, r - p)
        plane = Geom_Plane(gp_Pnt(*p.tolist()), gp_Dir(*normal.tolist()))
        return BRepBuilderAPI_MakeFace(plane, self._wire(corners), True).Face()

    def _wire(self, corners: Sequence[int]) -> TopoDS_Wire:
        wire = TopoDS_Wire()
        self._builder.MakeWire(wire)
        for start, end in pairwise((*corners, corners[0])):
            self._builder.Add(wire, self._edge(start, end))
        wire.Closed(True)
        return wire

    def _flap(self, flap: BodyFace) -> TopoDS_Face:
        """A face that lies on the floor as it is sewn; along the cloth its sides are those of the triangles."""
        wires = [self._wire(self._along([coedge.start.at for coedge in loop])) for loop in flap.loops]
        made = BRepBuilderAPI_MakeFace(Geom_Plane(gp_Pnt(0, 0, 0), gp_Dir(0, 0, -1)), wires[0], True)
        for hole in wires[1:]:
            made.Add(hole)
        return made.Face()

    def _along(self, corners: Sequence[np.ndarray]) -> list[int]:
        """Corners along a loop of straight sides on the floor, those of triangles among them; others are new."""
        found: list[int] = []
        for start, end in pairwise((*corners, corners[0])):
            side = (end - start)[:2]
            long = float(np.linalg.norm(side))
            way = self._points[self._floor, :2] - start[:2]
            on, off = way @ side / long, np.abs(way @ [-side[1], side[0]]) / long
            near = TOLERANCES.seam_mismatch_mm
            there = (off <= near) & (on >= -near) & (on < long - near)
            own = self._floor[there][np.argsort(on[there])].tolist()
            if not len(own) or np.abs(self._points[own[0]] - start).max() > near:
                own.insert(0, self._new(start))
            found += own
        return found

    def _new(self, at: np.ndarray) -> int:
        """The number of a corner that no triangle has."""
        near = [
            i for i, known in self._others.items() if np.abs(known - at).max() <= TOLERANCES.seam_mismatch_mm
        ]
        if near:
            return near[0]
        self._corners.append(MakeVertex(gp_Pnt(*at.tolist())).Vertex())
        self._others[len(self._corners) - 1] = at
        return len(self._corners) - 1

    def shell(self, triangles: Iterable[Iterable[int]], flaps: Iterable[BodyFace] = ()) -> TopoDS_Shell:
        shell = TopoDS_Shell()
        self._builder.MakeShell(shell)
        for face in (*map(self.face, triangles), *map(self._flap, flaps)):
            self._builder.Add(shell, face)
        return shell


def _on_floor(face: BodyFace) -> bool:
    """Whether a face as sewn lies on the floor."""
    ends = [coedge.start.at[2] for loop in face.loops for coedge in loop]
    return bool(np.abs(ends).max() <= TOLERANCES.seam_mismatch_mm)


def _flaps(sheet: BodySheet) -> list[BodyFace]:
    """Faces of a sheet that lie on the floor."""
    return [face for face in sheet.faces if _on_floor(face)]


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
    return tuple(part for part in sheets_of(body) if part.name not in blown)


def _checked(solid: TopoDS_Solid, sheets: Iterable[NamedPart], what: str) -> None:
    """Refuse what the kernel finds a fault in."""
    faulty = [part.name for part in sheets if not BRepCheck_Analyzer(part.shape).IsValid()]
    if not BRepCheck_Analyzer(solid).IsValid():
        faulty.insert(0, "the air")
    if faulty:
        raise GeometryError(f"the kernel finds a fault in {what} of {', '.join(faulty)}")


def _smooth(room: InflatedRoom, body: Body) -> InflatedSolids:
    """Smooth solids; a `GeometryError` where the kernel finds a fault in them."""
    form = smooth_form(room)
    shapes = SmoothShapes(form)
    solid = shapes.solid()
    lying = {part.name: part for part in lying_sheets(body, form.sheets)}
    sheets = tuple(
        lying.get(one.name)
        or NamedPart(one.name, copy_of(shapes.shell(one.name, _flaps(one))), one.kind.colour)
        for one in body.sheets
    )
    _checked(solid, sheets, "the smooth surfaces")
    return InflatedSolids(sheets, solid, form, "")


def _flat_sheets(room: InflatedRoom, body: Body, nodes: np.ndarray, cloth: np.ndarray) -> Iterator[NamedPart]:
    """Sheets of flat triangles, in the body's order; flaps cut with a sheet are faces beside them."""
    number = np.array([room.welded.regions[i].sheets for i in room.welded.region_of], dtype=object)
    lying = {part.name: part for part in lying_sheets(body, {name for names in number for name in names})}
    for sheet in body.sheets:
        if sheet.name in lying:
            yield lying[sheet.name]
            continue
        own = [cloth[i].tolist() for i, names in enumerate(number) if sheet.name in names]
        yield NamedPart(sheet.name, _Facets(nodes).shell(own, _flaps(sheet)), sheet.kind.colour)


def _flat(room: InflatedRoom, body: Body, fault: str) -> InflatedSolids:
    """Solids of flat triangles."""
    form = closed_form(room)
    shell = _Facets(form.nodes).shell(form.triangles.tolist())
    shell.Closed(True)
    solid = BRepBuilderAPI_MakeSolid(shell).Solid()
    sheets = tuple(_flat_sheets(room, body, form.nodes, form.triangles[: form.cloth]))
    _checked(solid, sheets, "the flat triangles")
    return InflatedSolids(sheets, solid, None, fault)


def inflated_solids(room: InflatedRoom, body: Body, smooth: bool = True) -> InflatedSolids:
    """Make solids of an inflated room.

    Parameters
    ----------
    room : InflatedRoom
        It stands.
    body : Body
        The same room as sewn.
    smooth : bool
        Whether surfaces are smooth if the kernel finds no fault in them; flat triangles are on the coarse mesh.

    Returns
    -------
    InflatedSolids

    Raises
    ------
    GeometryError
        If the solid is not valid even in flat triangles.
    """
    if not smooth:
        return _flat(room.on_fewer_facets(), body, "flat triangles were asked for")
    try:
        return _smooth(room, body)
    except GeometryError as error:
        return _flat(room.on_fewer_facets(), body, str(error))

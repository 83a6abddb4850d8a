"""The inflated room as smooth kernel shapes: a shell a sheet and the closed solid of air, seams shared.

An edge tells the kernel how far its faces may stand off its curve; that is measured before, at 400 places or more.
This module knows nothing of forces or of how the surfaces were found.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from OCP.BRep import BRep_Builder
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeVertex as MakeVertex
from OCP.Geom import Geom_BSplineCurve, Geom_BSplineSurface, Geom_Plane
from OCP.Geom2d import Geom2d_BSplineCurve
from OCP.gp import gp_Dir, gp_Pnt, gp_Pnt2d
from OCP.TColgp import TColgp_Array1OfPnt, TColgp_Array1OfPnt2d, TColgp_Array2OfPnt
from OCP.TColStd import TColStd_Array1OfInteger, TColStd_Array1OfReal
from OCP.TopAbs import TopAbs_FORWARD, TopAbs_REVERSED
from OCP.TopoDS import (
    TopoDS,
    TopoDS_Edge,
    TopoDS_Face,
    TopoDS_Shell,
    TopoDS_Solid,
    TopoDS_Vertex,
    TopoDS_Wire,
)
from scipy.interpolate import BSpline

from shellparts.base.tolerances import TOLERANCES
from shellparts.body.body import BodyFace
from shellparts.body.pool import Coedge
from shellparts.inflate.smooth import SmoothForm
from shellparts.inflate.spline_patch import knots_between

__all__ = ["SmoothShapes"]

Floats = NDArray[np.float64]

#: An edge's tolerance is larger than its largest measured gap by this factor, and at least so much [mm].
_MORE, _LEAST_MM = 1.3, 1e-3


def _knots(knots: Floats) -> tuple[TColStd_Array1OfReal, TColStd_Array1OfInteger]:
    """Knots as the kernel has them: each once, and how often."""
    values, times = np.unique(knots, return_counts=True)
    ends, many = TColStd_Array1OfReal(1, len(values)), TColStd_Array1OfInteger(1, len(values))
    for i, (value, count) in enumerate(zip(values.tolist(), times.tolist(), strict=True), 1):
        ends.SetValue(i, value)
        many.SetValue(i, count)
    return ends, many


def _curve(spline: BSpline) -> Geom_BSplineCurve:
    poles = TColgp_Array1OfPnt(1, len(spline.c))
    for i, pole in enumerate(spline.c.tolist(), 1):
        poles.SetValue(i, gp_Pnt(*pole))
    return Geom_BSplineCurve(poles, *_knots(spline.t), spline.k)


def _flat_curve(spline: BSpline) -> Geom2d_BSplineCurve:
    poles = TColgp_Array1OfPnt2d(1, len(spline.c))
    for i, pole in enumerate(spline.c.tolist(), 1):
        poles.SetValue(i, gp_Pnt2d(*pole))
    return Geom2d_BSplineCurve(poles, *_knots(spline.t), spline.k)


def _surface(poles: Floats, u: Floats, v: Floats) -> Geom_BSplineSurface:
    grid = TColgp_Array2OfPnt(1, poles.shape[0], 1, poles.shape[1])
    for i, row in enumerate(poles.tolist(), 1):
        for j, pole in enumerate(row, 1):
            grid.SetValue(i, j, gp_Pnt(*pole))
    (u_ends, u_many), (v_ends, v_many) = _knots(knots_between(u)), _knots(knots_between(v))
    return Geom_BSplineSurface(grid, u_ends, v_ends, u_many, v_many, 3, 3)


class SmoothShapes:
    """A smooth form in the kernel: its faces share edges, its edges share vertices.

    Parameters
    ----------
    form : SmoothForm
    """

    def __init__(self, form: SmoothForm) -> None:
        self._form, self._build = form, BRep_Builder()
        self._lines: dict[int, TopoDS_Edge] = {}
        self._floor_ends: dict[int, TopoDS_Vertex] = {}
        self._tolerances = np.maximum(_MORE * form.gaps_mm, _LEAST_MM)
        self._vertices = self._made_vertices()
        self.edges = [self._edge(i) for i in range(len(form.net.edges))]
        self.faces = [self._face(i) for i in range(len(form.net.faces))]

    def _made_vertices(self) -> dict[int, TopoDS_Vertex]:
        widest: dict[int, float] = {}
        for edge, tolerance in zip(self._form.net.edges, self._tolerances.tolist(), strict=True):
            for node in edge.nodes[[0, -1]].tolist():
                widest[node] = max(widest.get(node, 0.0), tolerance)
        made = {}
        for node, at in self._form.corners.items():
            made[node] = TopoDS_Vertex()
            self._build.MakeVertex(made[node], gp_Pnt(*at.tolist()), 1.01 * widest[node])
        return made

    def _edge(self, number: int) -> TopoDS_Edge:
        edge, made = self._form.net.edges[number], TopoDS_Edge()
        self._build.MakeEdge(made, _curve(self._form.curves[number]), float(self._tolerances[number]))
        first, last = (self._vertices[node] for node in edge.nodes[[0, -1]].tolist())
        self._build.Add(made, first.Oriented(TopAbs_FORWARD))
        self._build.Add(made, last.Oriented(TopAbs_REVERSED))
        self._build.Range(made, 0.0, float(edge.lengths[-1]))
        return made

    def _walked(self, number: int, forward: bool) -> TopoDS_Edge:
        return TopoDS.Edge_s(self.edges[number].Oriented(TopAbs_FORWARD if forward else TopAbs_REVERSED))

    def _wire(self, loop: Sequence[tuple[int, bool]]) -> TopoDS_Wire:
        wire = TopoDS_Wire()
        self._build.MakeWire(wire)
        for number, forward in loop:
            self._build.Add(wire, self._walked(number, forward))
        wire.Closed(True)
        return wire

    def _face(self, number: int) -> TopoDS_Face:
        form, face, made = self._form, self._form.net.faces[number], TopoDS_Face()
        patch = form.patches[number]
        self._build.MakeFace(made, _surface(form.poles[number], patch.u, patch.v), _LEAST_MM)
        uses: dict[int, list[tuple[bool, Geom2d_BSplineCurve]]] = {}
        for place, side in enumerate(face.sides):
            uses.setdefault(side.edge, []).append((side.forward, _flat_curve(form.traces[number, place])))
        for edge, ways in uses.items():
            # walked twice, once each way: the kernel wants the one walked forward first
            curves = [curve for _, curve in sorted(ways, key=lambda way: not way[0])]
            self._build.UpdateEdge(self.edges[edge], *curves, made, float(self._tolerances[edge]))
            self._build.Range(self.edges[edge], made, 0.0, float(form.net.edges[edge].lengths[-1]))
            self._build.SameRange(self.edges[edge], True)
            self._build.SameParameter(self.edges[edge], True)
        for loop in face.loops:
            self._build.Add(made, self._wire([(side.edge, side.forward) for side in loop]))
        return made

    def _lid(self, loop: Sequence[tuple[int, bool]]) -> TopoDS_Face:
        """A plane through an edge that is held."""
        net = self._form.net
        rows = [net.nodes[net.edges[n].nodes[:: 1 if forward else -1][:-1]] for n, forward in loop]
        points = np.concatenate(rows)
        normal = np.cross(points, np.roll(points, -1, axis=0)).sum(axis=0)
        plane = Geom_Plane(gp_Pnt(*points.mean(axis=0).tolist()), gp_Dir(*normal.tolist()))
        return BRepBuilderAPI_MakeFace(plane, self._wire(loop), True).Face()

    def _flap(self, flap: BodyFace) -> TopoDS_Face:
        """A flat face that lies on the floor as it is sewn, with straight edges; those of the form are shared."""
        on_floor = {edge.key: i for i, edge in enumerate(self._form.net.edges) if edge.held}
        corners = dict(self._form.corners)
        wires = []
        for loop in flap.loops:
            wires.append(TopoDS_Wire())
            self._build.MakeWire(wires[-1])
            for coedge in loop:
                if coedge.link.key in on_floor:
                    edge = self._walked(on_floor[coedge.link.key], coedge.forward)
                else:
                    edge = self._straight(coedge, corners)
                self._build.Add(wires[-1], edge)
            wires[-1].Closed(True)
        made = BRepBuilderAPI_MakeFace(Geom_Plane(gp_Pnt(0, 0, 0), gp_Dir(0, 0, -1)), wires[0], True)
        for hole in wires[1:]:
            made.Add(hole)
        return made.Face()

    def _straight(self, coedge: Coedge, corners: dict[int, Floats]) -> TopoDS_Edge:
        """A straight edge of a flap; its ends are corners of the form where they lie on one."""
        link = coedge.link
        if link.key not in self._lines:
            ends = []
            for node in (link.start, link.end):
                near = [
                    i
                    for i, at in corners.items()
                    if np.abs(at - node.at).max() <= TOLERANCES.seam_mismatch_mm
                ]
                if near:
                    ends.append(self._vertices[near[0]])
                else:
                    fresh = MakeVertex(gp_Pnt(*node.at.tolist())).Vertex()
                    ends.append(self._floor_ends.setdefault(node.number, fresh))
            self._lines[link.key] = BRepBuilderAPI_MakeEdge(*ends).Edge()
        return TopoDS.Edge_s(
            self._lines[link.key].Oriented(TopAbs_FORWARD if coedge.forward else TopAbs_REVERSED)
        )

    def shell(self, sheet: str, flaps: Sequence[BodyFace] = ()) -> TopoDS_Shell:
        """Faces of one sheet, joined at its folds, with those that lie on the floor as they are sewn."""
        shell = TopoDS_Shell()
        self._build.MakeShell(shell)
        for face, made in zip(self._form.net.faces, self.faces, strict=True):
            if sheet in face.sheets:
                self._build.Add(shell, made)
        for flap in flaps:
            self._build.Add(shell, self._flap(flap))
        return shell

    def solid(self) -> TopoDS_Solid:
        """The air, closed by the floor and the mouths of sleeves."""
        shell, solid = TopoDS_Shell(), TopoDS_Solid()
        self._build.MakeShell(shell)
        for face in [*self.faces, *(self._lid(loop) for loop in self._form.net.lids)]:
            self._build.Add(shell, face)
        shell.Closed(True)
        self._build.MakeSolid(solid)
        self._build.Add(solid, shell)
        return solid

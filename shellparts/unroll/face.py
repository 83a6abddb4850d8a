"""Lay one face flat, with the proof that it may be.

Glossary: *turning deficit* and *closure* as in `outline`; a face is refused, with the reason, when it bends
both ways (Gaussian curvature) or when its boundary does not close on the flat. That the flat area is the face's,
integrated apart, is asked of ourselves.

There is no case for planes, cylinders or cones: a curve drawn on a surface keeps its geodesic curvature when
the surface is unrolled without stretch, and that is all that is used. Cloth and allowances are not known
here.

References
----------
M. P. do Carmo, Differential Geometry of Curves and Surfaces: geodesic curvature, and the theorem of Gauss and
Bonnet.
"""

import math
from collections.abc import Callable
from typing import Any

import numpy as np
from attrs import frozen
from OCP.BRep import BRep_Tool
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE
from OCP.TopExp import TopExp
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Face
from OCP.TopTools import TopTools_IndexedMapOfShape

from shellparts.errors import GeometryError, UnrollError
from shellparts.tolerances import TOLERANCES
from shellparts.unroll.across import placed_hole
from shellparts.unroll.area import FaceArea, face_area
from shellparts.unroll.boundary import Boundary, trace_boundary
from shellparts.unroll.field import SurfaceField
from shellparts.unroll.outline import Loop, Outline
from shellparts.unroll.walk import forward_face, walks

__all__ = ["EdgeKey", "LaidFace", "as_face", "edge_numbers", "lay_face", "unroll_face"]

EdgeKey = Callable[[TopoDS_Edge], int]


@frozen(eq=False)
class LaidFace:
    """A face laid flat, before anything is judged.

    Parameters
    ----------
    outline : Outline
        The flat piece.
    boundaries : tuple of Boundary
        Its loops as traced, the outer one first.
    area : FaceArea
        The area of the face in space.
    bend_rad : float
        Largest Gaussian curvature seen along the boundary times the face's area [rad].
    off_surface_mm : float
        Largest distance of an edge from the surface [mm].
    """

    outline: Outline
    boundaries: tuple[Boundary, ...]
    area: FaceArea
    bend_rad: float
    off_surface_mm: float

    @property
    def developable(self) -> bool:
        """Whether the face has no Gaussian curvature to speak of, laid flat or not."""
        limits = TOLERANCES
        if self.bend_rad > limits.cancelling_bend_rad:
            return False
        return (
            abs(math.remainder(self.outline.turning_deficit_rad, 2.0 * math.pi)) <= limits.turning_deficit_rad
        )

    @property
    def refusal(self) -> str | None:
        """Why the face cannot be laid flat, or None."""
        outline, limits = self.outline, TOLERANCES
        deficit = outline.turning_deficit_rad
        if abs(deficit) > limits.turning_deficit_rad:
            return (
                "it is not developable: the turning deficit, its integral of Gaussian curvature, is "
                f"{deficit:.6g} rad and must be within {limits.turning_deficit_rad:g} rad"
            )
        if self.bend_rad > limits.cancelling_bend_rad:
            return (
                "it is not developable: it bends both ways, though over the whole face the curvature cancels "
                f"to a turning deficit of {deficit:.3g} rad"
            )
        for boundary, turns in zip(self.boundaries, [1, *[-1] * len(outline.holes)], strict=True):
            if abs(boundary.turning_rad - 2.0 * math.pi * turns) > limits.turning_deficit_rad:
                return (
                    "a boundary runs round the surface like a hoop, and there is no joint edge along which "
                    f"to cut it open (it turns by {boundary.turning_rad:.6g} rad in all)"
                )
        if not math.isfinite(outline.closure_mm + outline.flat_area_mm2):
            return (
                "its flat outline cannot be measured: the surface is singular on a path to one of its holes"
            )
        if self.off_surface_mm > limits.closure_mm:
            return (
                f"an edge leaves the surface by {self.off_surface_mm:.3g} mm and at most "
                f"{limits.closure_mm:g} mm will do"
            )
        gap, allowed = outline.closure_mm, min(limits.closure_mm, limits.closure_ratio * outline.perimeter_mm)
        if not gap <= allowed:
            apart = max(boundary.space_gap_mm for boundary in self.boundaries)
            cause = (
                f"; its edges in space stand {apart:.3g} mm apart at a corner"
                if apart > 0.1 * allowed
                else ""
            )
            return (
                f"its flat outline is left open by {gap:.3g} mm and at most {allowed:.3g} mm will do{cause}"
            )
        return None

    @property
    def fault(self) -> str | None:
        """What of a face that may be laid flat was measured wrong by us, or None: its two areas must be one."""
        outline, limits = self.outline, TOLERANCES
        strip = max(limits.same_point_mm, outline.closure_mm, self.off_surface_mm) * outline.perimeter_mm
        allowed = max(limits.area_ratio * outline.face_area_mm2, strip)
        if not self.area.moved_mm2 <= allowed:
            return f"the area of a face is known to {self.area.moved_mm2:.3g} mm² and must be to {allowed:.3g} mm²"
        if not abs(outline.flat_area_mm2 - outline.face_area_mm2) <= allowed:
            return (
                f"a face of {outline.face_area_mm2:.9g} mm² was laid flat as {outline.flat_area_mm2:.9g} mm²; the two "
                f"must agree to {allowed:.3g} mm²"
            )
        return None


def as_face(face: Any) -> TopoDS_Face:
    """Take the kernel's face out of whatever wraps it.

    Parameters
    ----------
    face : cadquery.Face or TopoDS_Face
        The face.

    Returns
    -------
    TopoDS_Face
        The kernel's face.

    Raises
    ------
    UnrollError
        If it is not a face.
    """
    shape = getattr(face, "wrapped", face)
    if shape is None or shape.IsNull() or shape.ShapeType() != TopAbs_FACE:
        raise UnrollError("Only a face can be laid flat; this shape is not a face.")
    return TopoDS.Face_s(shape)


def edge_numbers(faces: list[TopoDS_Face]) -> EdgeKey:
    """Number the edges of faces.

    Parameters
    ----------
    faces : list of TopoDS_Face
        The faces.

    Returns
    -------
    callable
        Gives the number of an edge, from 0; -1 for an edge of none of the faces.
    """
    edges = TopTools_IndexedMapOfShape()
    for face in faces:
        TopExp.MapShapes_s(face, TopAbs_EDGE, edges)
    return lambda edge: edges.FindIndex(edge) - 1


def lay_face(face: TopoDS_Face, edge_key: EdgeKey) -> LaidFace:
    """Lay a face flat and measure everything; judge nothing.

    Parameters
    ----------
    face : TopoDS_Face
        Any face.
    edge_key : callable
        Gives the identity of an edge.

    Returns
    -------
    LaidFace
        The flat piece and what is needed to judge it.

    Raises
    ------
    UnrollError
        If the boundary cannot be walked or traced at all.
    """
    if BRep_Tool.Surface_s(face) is None:
        raise UnrollError("The face has no surface.")
    with np.errstate(divide="ignore", invalid="ignore"):
        return _laid(face, edge_key)


def _laid(face: TopoDS_Face, edge_key: EdgeKey) -> LaidFace:
    """Do the work of `lay_face`, with numbers that are none where a surface is singular."""
    flat, outside = forward_face(face)
    field = SurfaceField(flat, outside)
    every_walk = walks(face)
    boundaries = [
        trace_boundary(steps, flat, field, edge_key, 1.0 if number == 0 else -1.0)
        for number, steps in enumerate(every_walk)
    ]
    boundaries.sort(key=lambda boundary: abs(boundary.turning_rad - 2.0 * math.pi))
    outer, inner = boundaries[0], boundaries[1:]
    if any(not boundary.anchors for boundary in boundaries):
        raise UnrollError("A boundary of the face begins only at points where the surface has no normal.")
    holes = tuple(placed_hole(field, outer, hole) for hole in inner)
    flat_area = outer.loop.area_mm2 + sum(hole.area_mm2 for hole in holes)
    deficit = 2.0 * math.pi * (1 - len(holes)) - sum(boundary.turning_rad for boundary in boundaries)
    traces = [trace for boundary in boundaries for trace in boundary.traces]
    measured = face_area(every_walk, flat, field)
    area = measured.value_mm2
    places = np.array([0.211, 0.577])
    uv = np.concatenate([trace.uv(trace.first + places * (trace.last - trace.first)) for trace in traces])
    bend = float(np.max(np.abs(field.gaussian_curvature(uv)))) * area
    off = max(trace.off_surface_mm for trace in traces)
    outline = Outline(Loop(outer.loop.edges, outer.loop.closure_mm), holes, (), area, flat_area, deficit, 1)
    return LaidFace(outline, tuple(boundaries), measured, bend, off)


def unroll_face(face: Any, edge_key: EdgeKey | None = None) -> Outline:
    """Lay a developable face flat.

    Parameters
    ----------
    face : cadquery.Face or TopoDS_Face
        The face; its outside is where its oriented normal points.
    edge_key : callable, optional
        Gives the identity of an edge, carried by the flat edges as `key`. By default the face's edges are
        numbered from 0.

    Returns
    -------
    Outline
        The flat piece as seen from outside, with its certificate. It starts at the origin and heads along x.

    Raises
    ------
    UnrollError
        If the face is not developable, or does not close; the message says which and by how much.
    GeometryError
        If the face and its flat image differ in area, which would be a fault of this library.

    Examples
    --------
    >>> import cadquery as cq
    >>> side = cq.Solid.makeCylinder(10, 5).faces("%CYLINDER")
    >>> outline = unroll_face(side)
    >>> round(outline.flat_area_mm2, 6), sorted(round(edge.length_mm, 6) for edge in outline.outer.edges)
    (314.159265, [5.0, 5.0, 62.831853, 62.831853])
    """
    shape = as_face(face)
    laid = lay_face(shape, edge_key or edge_numbers([shape]))
    if laid.refusal is not None:
        raise UnrollError(f"The face cannot be laid flat: {laid.refusal}.")
    if laid.fault is not None:
        raise GeometryError(laid.fault)
    return laid.outline

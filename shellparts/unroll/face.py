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
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from attrs import evolve, frozen
from numpy.typing import NDArray
from OCP.BRep import BRep_Tool
from OCP.GeomAbs import GeomAbs_Cone, GeomAbs_Cylinder, GeomAbs_Plane, GeomAbs_SurfaceOfExtrusion
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE
from OCP.TopExp import TopExp
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Face, TopoDS_Shape
from OCP.TopTools import TopTools_IndexedMapOfShape

from shellparts.base.errors import GeometryError, ParameterError, UnrollError
from shellparts.base.tolerances import TOLERANCES
from shellparts.unroll.across import placed_hole
from shellparts.unroll.area import FaceArea, density, face_area
from shellparts.unroll.boundary import Boundary, trace_boundary
from shellparts.unroll.field import SurfaceField
from shellparts.unroll.outline import Loop, Outline
from shellparts.unroll.trace import EdgeTrace
from shellparts.unroll.walk import DRAW_AGAIN, forward_face, walks

if TYPE_CHECKING:
    import cadquery as cq

__all__ = ["EdgeKey", "LaidFace", "as_face", "edge_numbers", "kernel_shape", "lay_face", "unroll_face"]

#: Where edges stand off the surface, corners are known no better than this [rad]; a hoop is off by far more.
_LOOSE_TURN = 0.5
#: An outline may be left open by this times how far its edges stand off the surface: no length is known better.
_LOOSE_CLOSURE = 2.0
#: Places along either side of the box of a face at which its curvature is looked at.
_LOOKS = 24
#: Surfaces without Gaussian curvature.
_DEVELOPABLE = {GeomAbs_Plane, GeomAbs_Cylinder, GeomAbs_Cone, GeomAbs_SurfaceOfExtrusion}

EdgeKey = Callable[[TopoDS_Edge], int]


@frozen(eq=False)
class LaidFace:
    """A face laid flat, before anything is judged."""

    outline: Outline
    boundaries: tuple[Boundary, ...]  # Its loops as traced, the outer one first
    area: FaceArea
    curvature_rad: float  # Integral of the size of Gaussian curvature over the face [rad]
    off_surface_mm: float  # How far edges stand off the surface, or apart on it at corners [mm]
    loose: bool = False  # Whether the edges were taken where their pcurves draw them on the surface
    tolerance_mm: float | None = None  # How far they may then stand off it [mm]

    @property
    def developable(self) -> bool:
        """Whether the surface has no Gaussian curvature to speak of, laid flat or not."""
        return self.curvature_rad <= TOLERANCES.curvature_rad

    @property
    def refusal(self) -> UnrollError | None:
        """Why the face cannot be laid flat as it was tried, with what to do, or None."""
        return self.refused("The face")

    def refused(self, name: str) -> UnrollError | None:
        """The same, the face called by a name."""
        found = self._why
        return None if found is None else UnrollError(f"{name} cannot be laid flat: {found[0]}", found[1])

    @property
    def _why(self) -> tuple[str, str] | None:
        """Reason and remedy."""
        outline, limits = self.outline, TOLERANCES
        deficit = outline.turning_deficit_rad
        if not self.developable:
            both = ", bending both ways" if abs(deficit) < 0.5 * self.curvature_rad else ""
            return (
                f"it is not developable: its Gaussian curvature amounts to {self.curvature_rad:.6g} rad over the face"
                f"{both}, and at most {limits.curvature_rad:g} rad will do (turning deficit {deficit:.6g} rad)",
                "make it of strips that bend one way only, such as cylinders, cones and ruled faces between two lines",
            )
        if self.tolerance_mm is not None and self.off_surface_mm > self.tolerance_mm:
            return (
                f"its surface is developable, but its edges stand {self.off_surface_mm:.3g} mm off it and at most "
                f"{self.tolerance_mm:g} mm will do",
                "allow more with --tolerance (tolerance_mm of survey), or export the solid more exactly",
            )
        allowed = _LOOSE_TURN if self.loose else limits.turning_deficit_rad
        if abs(deficit) > allowed:
            return (
                f"its boundary turns by {deficit:.6g} rad less than that of a flat piece, and at most {allowed:g} rad "
                f"will do{self._cause}",
                self._looser,
            )
        for boundary, turns in zip(self.boundaries, [1, *[-1] * len(outline.holes)], strict=True):
            if abs(boundary.turning_rad - 2.0 * math.pi * turns) > allowed:
                return (
                    "a boundary runs round the surface like a hoop, and there is no joint edge along which to cut it "
                    f"open: it turns by {boundary.turning_rad:.6g} rad in all, and within {allowed:g} rad of "
                    f"{2.0 * math.pi * turns:.6g} rad will do",
                    "split the face along a line from rim to rim",
                )
        if not math.isfinite(outline.closure_mm + outline.flat_area_mm2):
            return (
                "its flat outline cannot be measured: the surface is singular on a path to one of its holes",
                "split the face so that the hole does not lie behind the apex",
            )
        if not self.loose and self.off_surface_mm > limits.closure_mm:
            return (
                f"an edge leaves the surface by {self.off_surface_mm:.3g} mm and at most "
                f"{limits.closure_mm:g} mm will do",
                self._looser,
            )
        gap, allowed = outline.closure_mm, min(limits.closure_mm, limits.closure_ratio * outline.perimeter_mm)
        if self.loose:
            allowed = max(limits.closure_mm, _LOOSE_CLOSURE * self.off_surface_mm)
        if not gap <= allowed:
            return (
                f"its flat outline is left open by {gap:.3g} mm and at most {allowed:.3g} mm will do{self._cause}",
                self._looser,
            )
        return None

    @property
    def _looser(self) -> str:
        """What to do about edges that do not lie where they should."""
        survey = "" if self.loose else ", or look at it with survey(shape, tolerance_mm=…)"
        return f"{DRAW_AGAIN}{survey}"

    @property
    def _cause(self) -> str:
        """What edges that do not meet have to do with it."""
        apart = max(boundary.space_gap_mm for boundary in self.boundaries)
        told = f"; its edges in space stand {apart:.3g} mm apart at a corner" if apart > 1e-6 else ""
        return told + (
            f"; its edges stand {self.off_surface_mm:.3g} mm off its surface"
            if self.off_surface_mm > 1e-6
            else ""
        )

    @property
    def fault(self) -> str | None:
        """What of a face that may be laid flat was measured wrong by us, or None: its two areas must be one."""
        outline, limits = self.outline, TOLERANCES
        apart = max(boundary.space_gap_mm for boundary in self.boundaries)
        known = max(limits.same_point_mm, outline.closure_mm, self.off_surface_mm, apart)
        strip = known * outline.perimeter_mm
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
    """Take the kernel's face out of whatever wraps it."""
    shape = kernel_shape(face)
    if shape is None or shape.IsNull() or shape.ShapeType() != TopAbs_FACE:
        raise UnrollError(
            "Only a face can be laid flat; this shape is not a face", "use laid_flat for all of its faces"
        )
    return TopoDS.Face_s(shape)


def kernel_shape(shape: Any) -> TopoDS_Shape | None:
    """Take the kernel's shape, which may be none, out of CadQuery's; refuse anything else."""
    found = getattr(shape, "wrapped", shape)
    if not isinstance(found, TopoDS_Shape | None):
        remedy = "for what holds shapes, such as a Workplane, use laid_flat; for a file the command 'shellparts unroll'"
        raise ParameterError("shape", repr(shape)[:60], "a shape of CadQuery or of the kernel", remedy)
    return found


def edge_numbers(faces: list[TopoDS_Face]) -> EdgeKey:
    """Number the edges of faces."""
    edges = TopTools_IndexedMapOfShape()
    for face in faces:
        TopExp.MapShapes_s(face, TopAbs_EDGE, edges)
    return lambda edge: edges.FindIndex(edge) - 1


def lay_face(face: TopoDS_Face, edge_key: EdgeKey, tolerance_mm: float | None = None) -> LaidFace:
    """Lay a face flat and measure everything."""
    if BRep_Tool.Surface_s(face) is None:
        raise UnrollError("The face has no surface", DRAW_AGAIN)
    with np.errstate(divide="ignore", invalid="ignore"):
        laid = _laid(face, edge_key, False)
        if tolerance_mm is None or not laid.developable or (laid.refusal is None and laid.fault is None):
            return laid
        return evolve(_laid(face, edge_key, True), tolerance_mm=tolerance_mm)


def _curvature(field: SurfaceField, boundary: Boundary) -> float:
    """Integral of the size of Gaussian curvature over a face without its holes [rad], roughly."""
    if field.surface.GetType() in _DEVELOPABLE:
        return 0.0
    ring = np.concatenate([trace.uv(_along(trace)) for trace in boundary.traces])
    low, high = ring.min(axis=0), ring.max(axis=0)
    share = (np.arange(_LOOKS) + 0.5) / _LOOKS
    uv = np.array(
        [(x, y) for x in low[0] + share * (high[0] - low[0]) for y in low[1] + share * (high[1] - low[1])]
    )
    shape = shapely.make_valid(shapely.Polygon((ring - low) / (high - low)))
    inside = shapely.contains_xy(shape, (uv - low) / (high - low))
    uv = np.concatenate([uv[inside], ring]) if not inside.any() else uv[inside]
    cell = float(np.prod(high - low)) / _LOOKS**2
    return float(np.sum(np.abs(field.gaussian_curvature(uv)) * density(field, uv))) * cell


def _along(trace: EdgeTrace) -> NDArray[np.float64]:
    """Parameters along an edge, in walking order, its end left out."""
    ends = (trace.first, trace.last) if trace.forward else (trace.last, trace.first)
    return np.linspace(*ends, 33)[:-1]


def _laid(face: TopoDS_Face, edge_key: EdgeKey, loose: bool) -> LaidFace:
    """Do the work of `lay_face`, with numbers that are none where a surface is singular."""
    flat, outside = forward_face(face)
    field = SurfaceField(flat, outside)
    every_walk = walks(face)
    boundaries = [
        trace_boundary(steps, flat, field, edge_key, 1.0 if number == 0 else -1.0, loose)
        for number, steps in enumerate(every_walk)
    ]
    boundaries.sort(key=lambda boundary: abs(boundary.turning_rad - 2.0 * math.pi))
    outer, inner = boundaries[0], boundaries[1:]
    if any(not boundary.anchors for boundary in boundaries):
        raise UnrollError(
            "A boundary of the face begins only at points where the surface has no normal", DRAW_AGAIN
        )
    holes = tuple(placed_hole(field, outer, hole) for hole in inner)
    flat_area = outer.loop.area_mm2 + sum(hole.area_mm2 for hole in holes)
    deficit = 2.0 * math.pi * (1 - len(holes)) - sum(boundary.turning_rad for boundary in boundaries)
    traces = [trace for boundary in boundaries for trace in boundary.traces]
    measured = face_area(every_walk, flat, field, loose)
    off = max(trace.stand_off_mm() if loose else trace.off_surface_mm for trace in traces)
    if loose:
        off = max(off, *(boundary.space_gap_mm for boundary in boundaries))
    loop = Loop(outer.loop.edges, outer.loop.closure_mm)
    outline = Outline(loop, holes, (), measured.value_mm2, flat_area, deficit, 1, off)
    return LaidFace(outline, tuple(boundaries), measured, _curvature(field, outer), off, loose)


def unroll_face(face: "cq.Face | TopoDS_Face", edge_key: EdgeKey | None = None) -> Outline:
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
    ParameterError
        If it is no shape.
    UnrollError
        If it is no face, is not developable, or does not close; the message says which and by how much.
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
        raise laid.refusal
    if laid.fault is not None:
        raise GeometryError(laid.fault)
    return laid.outline

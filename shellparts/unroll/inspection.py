"""Survey any body: which of its faces can be laid flat, and why the others cannot.

Glossary: as in `outline`. A survey never stops at a bad face: what the kernel says of it becomes the face's
reason. Faces are numbered as they are first met in the body, each once.
"""

import math
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

import OCP.Standard
import OCP.StdFail
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_FACE, TopAbs_WIRE
from OCP.TopExp import TopExp
from OCP.TopoDS import TopoDS, TopoDS_Face, TopoDS_Shape
from OCP.TopTools import TopTools_IndexedMapOfShape

from shellparts.base.errors import UnrollError, ended
from shellparts.unroll.face import EdgeKey, edge_numbers, kernel_shape, lay_face
from shellparts.unroll.outline import FaceReport

if TYPE_CHECKING:
    import cadquery as cq

__all__ = ["KERNEL_FAILURES", "survey"]

#: What the kernel raises; these errors have no base of their own in Python.
KERNEL_FAILURES = tuple(
    one
    for module in (OCP.Standard, OCP.StdFail)
    for one in vars(module).values()
    if isinstance(one, type) and issubclass(one, Exception)
)

#: Kinds of surface without Gaussian curvature, in the kernel's words.
_DEVELOPABLE = {"plane", "cylinder", "cone", "extrusion"}
Progress = Callable[[Iterable[TopoDS_Face]], Iterable[TopoDS_Face]]


def survey(
    shape: "cq.Shape | TopoDS_Shape",
    progress: Progress | None = None,
    tolerance_mm: float | None = None,
    skipped: frozenset[int] = frozenset(),
) -> tuple[FaceReport, ...]:
    """Try every face of a body.

    Parameters
    ----------
    shape : cadquery.Shape or TopoDS_Shape
        Any shape: a solid, a compound, a face.
    progress : callable, optional
        Wraps the faces as they are worked through, to show progress: `tqdm.tqdm` will do.
    tolerance_mm : float, optional
        How far edges may stand off their surface [mm]; they must lie on it unless given.
    skipped : frozenset of int
        Numbers of faces that are not looked at.

    Returns
    -------
    tuple of FaceReport
        One for each face, in the order of the body. Edges carry their number in the body as `key`.

    Raises
    ------
    ParameterError
        If it is no shape.

    Examples
    --------
    >>> import cadquery as cq
    >>> for report in survey(cq.Solid.makeSphere(2, angleDegrees1=0)):
    ...     print(report.surface, report.developable, report.wires)
    sphere False 1
    plane True 1
    """
    body = kernel_shape(shape)
    faces = TopTools_IndexedMapOfShape()
    if body is not None and not body.IsNull():
        TopExp.MapShapes_s(body, TopAbs_FACE, faces)
    every = [TopoDS.Face_s(faces.FindKey(number + 1)) for number in range(faces.Extent())]
    key = edge_numbers(every)
    shown = every if progress is None else progress(every)
    return tuple(
        _unmeasured(number, face, "It was not looked at.", measured=False)
        if number in skipped
        else _report(number, face, key, tolerance_mm)
        for number, face in enumerate(shown)
    )


def _report(index: int, face: TopoDS_Face, key: EdgeKey, tolerance_mm: float | None) -> FaceReport:
    """Survey one face."""
    try:
        laid = lay_face(face, key, tolerance_mm)
    except UnrollError as error:
        return _unmeasured(index, face, str(error))
    except KERNEL_FAILURES as error:
        reason = ended(f"The geometry kernel fails on this face: {type(error).__name__}, {error}")
        return _unmeasured(index, face, reason)
    outline, refusal = laid.outline, laid.refusal
    fault = laid.fault if refusal is None else None
    reason = "" if refusal is None else str(refusal)
    if fault is not None:
        reason = f"A fault of ours: {fault}. Please report it with the file."
    measures = (outline.flat_area_mm2, outline.perimeter_mm, outline.closure_mm, outline.turning_deficit_rad)
    flat, perimeter, closure, deficit = (value if math.isfinite(value) else None for value in measures)
    kept, flat = (None, None) if reason else (outline, flat)
    about = index, _surface(face), laid.developable, reason, outline.face_area_mm2
    return FaceReport(*about, flat, perimeter, closure, deficit, len(outline.loops), kept)


def _surface(face: TopoDS_Face) -> str:
    """Kind of surface, in the kernel's word."""
    if BRep_Tool.Surface_s(face) is None:
        return "none"
    kind = BRepAdaptor_Surface(face, False).GetType().name
    return kind.removeprefix("GeomAbs_").removesuffix("Surface").removeprefix("SurfaceOf").lower()


def _unmeasured(index: int, face: TopoDS_Face, reason: str, measured: bool = True) -> FaceReport:
    """Report a face that could not be traced, with as much as the kernel gives of it."""
    if not measured:
        return FaceReport(index, "unknown", False, reason, 0.0, None, None, None, None, 0, None)
    wires = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(face, TopAbs_WIRE, wires)
    surface, area = "none", 0.0
    try:
        surface = _surface(face)
        measure = GProp_GProps()
        BRepGProp.SurfaceProperties_s(face, measure)
        area = abs(measure.Mass())
    except KERNEL_FAILURES as error:
        reason += f" Nor can its area be measured: {type(error).__name__}."
    area = area if math.isfinite(area) else 0.0
    return FaceReport(
        index, surface, surface in _DEVELOPABLE, reason, area, None, None, None, None, wires.Extent(), None
    )

"""The closed solid of air, and the proof that it is closed.

Every edge of the closed surface must be walked exactly twice, once each way: then there is no gap and no face
is turned inside out, whatever tolerances say. The volume must be that of the shell plus what the tubes add,
computed apart.
"""

from collections import Counter
from collections.abc import Sequence

import numpy as np
from OCP.BRep import BRep_Builder
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_SOLID
from OCP.TopExp import TopExp
from OCP.TopoDS import TopoDS_Shape, TopoDS_Shell, TopoDS_Solid
from OCP.TopTools import TopTools_IndexedDataMapOfShapeListOfShape, TopTools_IndexedMapOfShape

from shellparts.base.errors import GeometryError
from shellparts.base.tolerances import TOLERANCES
from shellparts.body.body import BodyFace
from shellparts.body.pool import flat_face
from shellparts.body.trim import chain
from shellparts.parameters.opening import Tube

__all__ = ["area_of", "close", "is_closed", "solid_of", "solids_in", "volume_of"]


def area_of(shape: TopoDS_Shape) -> float:
    """Area of a shape's faces [mm2], by the kernel's adaptive quadrature."""
    props = GProp_GProps()
    BRepGProp.SurfaceProperties_s(shape, props, 1e-7)
    return float(props.Mass())


def volume_of(shape: TopoDS_Shape) -> float:
    """Volume of a solid [mm3], by the kernel's adaptive quadrature."""
    props = GProp_GProps()
    BRepGProp.VolumePropertiesGK_s(shape, props, 1e-7)
    return float(props.Mass())


def solids_in(shape: TopoDS_Shape) -> int:
    """How many solids a shape holds."""
    found = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(shape, TopAbs_SOLID, found)
    return int(found.Extent())


def is_closed(shape: TopoDS_Shape) -> bool:
    """Whether the kernel, counting for itself, finds every edge of a shape on exactly two faces."""
    around = TopTools_IndexedDataMapOfShapeListOfShape()
    TopExp.MapShapesAndAncestors_s(shape, TopAbs_EDGE, TopAbs_FACE, around)
    return all(around.FindFromIndex(i).Extent() == 2 for i in range(1, around.Extent() + 1))


def close(faces: Sequence[BodyFace], tubes: Sequence[Tube]) -> list[BodyFace]:
    """Make the flat faces that close the cloth: the floor, and the mouths of sleeves."""
    coedges = [coedge for face in faces for loop in face.loops for coedge in loop]
    count = Counter(coedge.link.key for coedge in coedges)
    loops = chain([coedge.back for coedge in coedges if count[coedge.link.key] == 1])
    closing: list[BodyFace] = []
    for loop in loops:
        points = np.array([coedge.start.at for coedge in loop])
        if np.abs(points[:, 2]).max() < TOLERANCES.same_point_mm:
            closing.insert(0, BodyFace(flat_face([loop], [0.0, 0.0, -1.0]), (tuple(loop),)))
            continue
        ends = [t for t in tubes if np.abs(t.local(points)[:, 2] - t.end).max() < TOLERANCES.same_point_mm]
        if not ends:
            raise GeometryError(f"the body has a gap near {points[0].round(1).tolist()}")
        closing.append(BodyFace(flat_face([loop], ends[0].axes[2]), (tuple(loop),)))
    return closing


def solid_of(faces: Sequence[BodyFace]) -> TopoDS_Solid:
    """Make one solid of faces that close, and check it."""
    coedges: Counter[tuple[int, bool]] = Counter(
        (coedge.link.key, coedge.forward) for face in faces for loop in face.loops for coedge in loop
    )
    if any(times != 1 or coedges[key, not forward] != 1 for (key, forward), times in coedges.items()):
        raise GeometryError("the body does not close: an edge is not shared by two faces that agree")
    builder, shell, solid = BRep_Builder(), TopoDS_Shell(), TopoDS_Solid()
    builder.MakeShell(shell)
    for face in faces:
        builder.Add(shell, face.face)
    shell.Closed(True)
    builder.MakeSolid(solid)
    builder.Add(solid, shell)
    if not BRepCheck_Analyzer(solid).IsValid():
        raise GeometryError("the kernel finds a fault in the closed body")
    return solid

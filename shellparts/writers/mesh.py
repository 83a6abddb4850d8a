"""Triangles that stand for the faces of a body.

Glossary: a *patch* is the triangles of one face; patches are *welded* when neighbours share their points. The
kernel keeps a mesh on the shape that was meshed, so every mesh is made on a copy. Triangles are
counter-clockwise seen from outside, lengths are in mm. This module knows nothing of files, colours or scales.
"""

from collections.abc import Sequence

import numpy as np
from OCP.BRep import BRep_Builder, BRep_Tool
from OCP.BRepBuilderAPI import BRepBuilderAPI_Copy
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.TopAbs import TopAbs_FACE, TopAbs_REVERSED
from OCP.TopExp import TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS, TopoDS_Compound, TopoDS_Face, TopoDS_Iterator, TopoDS_Shape
from OCP.TopTools import TopTools_IndexedMapOfShape
from trimesh import Trimesh
from trimesh.grouping import clusters
from trimesh.util import concatenate

from shellparts.base.errors import GeometryError
from shellparts.base.tolerances import TOLERANCES
from shellparts.body.body import Body
from shellparts.model.skin import Skin

__all__ = ["copy_of", "envelope_mesh", "faces_of", "patches_of", "skin_of", "welded"]

#: Largest angle between neighbouring facets of a curved face [rad]: keeps a narrow sleeve round.
_FACET_TURN_RAD = 0.2
#: Largest distance of a skin's triangles from the body [mm]: a tenth of a millimetre on a model at 1:20.
_SKIN_MM = 2.0


def copy_of(shape: TopoDS_Shape) -> TopoDS_Shape:
    """A copy of a shape that shares nothing with it: what is done to the one does not touch the other.

    Parameters
    ----------
    shape : TopoDS_Shape

    Returns
    -------
    TopoDS_Shape
    """
    return BRepBuilderAPI_Copy(shape, True, False).Shape()


def faces_of(shape: TopoDS_Shape) -> list[TopoDS_Face]:
    """Faces of a shape, in its own order.

    Parameters
    ----------
    shape : TopoDS_Shape

    Returns
    -------
    list of TopoDS_Face
    """
    found, explorer = [], TopExp_Explorer(shape, TopAbs_FACE)
    while explorer.More():
        found.append(TopoDS.Face_s(explorer.Current()))
        explorer.Next()
    return found


def patches_of(faces: Sequence[TopoDS_Face], mesh_mm: float = TOLERANCES.mesh_mm) -> list[Trimesh]:
    """Mesh faces together, so that faces which share an edge have the same points along it.

    Parameters
    ----------
    faces : sequence of TopoDS_Face
        Different from each other.
    mesh_mm : float
        Largest distance of the triangles from the faces [mm].

    Returns
    -------
    list of Trimesh
        One a face, in their order.

    Raises
    ------
    GeometryError
        If the kernel cannot mesh a face.
    """
    builder, group = BRep_Builder(), TopoDS_Compound()
    builder.MakeCompound(group)
    for face in faces:
        builder.Add(group, face)
    copied = copy_of(group)
    BRepMesh_IncrementalMesh(copied, mesh_mm, False, _FACET_TURN_RAD, False)
    patches, walk = [], TopoDS_Iterator(copied)
    while walk.More():
        patches.append(_patch(TopoDS.Face_s(walk.Value())))
        walk.Next()
    return patches


def _patch(face: TopoDS_Face) -> Trimesh:
    place = TopLoc_Location()
    found = BRep_Tool.Triangulation_s(face, place)
    if found is None or not found.NbTriangles():
        raise GeometryError("the kernel gives no triangles for a face of the body")
    moved = place.Transformation()
    nodes = [found.Node(i).Transformed(moved) for i in range(1, found.NbNodes() + 1)]
    points = np.array([(p.X(), p.Y(), p.Z()) for p in nodes])
    triangles = np.array([found.Triangle(i).Get() for i in range(1, found.NbTriangles() + 1)], np.int64) - 1
    outward = triangles[:, ::-1] if face.Orientation() == TopAbs_REVERSED else triangles
    return Trimesh(points, outward, process=False)


def welded(patches: Sequence[Trimesh]) -> Trimesh:
    """Join patches: points that are one within the point tolerance become one.

    Parameters
    ----------
    patches : sequence of Trimesh

    Returns
    -------
    Trimesh
    """
    mesh = concatenate(list(patches))
    first = np.arange(len(mesh.vertices))
    # A vertex may lie `node_on_curve_mm` off each curve that ends in it.
    for near in clusters(mesh.vertices, 4 * TOLERANCES.node_on_curve_mm):
        first[near] = np.min(near)
    mesh.faces = first[mesh.faces]
    mesh.remove_unreferenced_vertices()
    return mesh


def envelope_mesh(envelope: TopoDS_Shape, mesh_mm: float = TOLERANCES.mesh_mm) -> Trimesh:
    """Mesh the closed envelope.

    Parameters
    ----------
    envelope : TopoDS_Shape
        A closed solid.
    mesh_mm : float
        Largest distance of the triangles from its faces [mm].

    Returns
    -------
    Trimesh
        Watertight, turned outward.

    Raises
    ------
    GeometryError
        If it is not.
    """
    mesh = welded(patches_of(faces_of(envelope), mesh_mm))
    if not mesh.is_volume:
        raise GeometryError("the mesh of the envelope leaks or is inside out")
    return mesh


def skin_of(body: Body, mesh_mm: float = _SKIN_MM) -> Skin:
    """Mesh the skin of a body: the closed envelope, each triangle with its sheet.

    Parameters
    ----------
    body : Body
    mesh_mm : float
        Largest distance of the triangles from its faces [mm].

    Returns
    -------
    Skin

    Raises
    ------
    GeometryError
        If the mesh leaks.
    """
    of_sheets = TopTools_IndexedMapOfShape()
    owner = [-1]
    for number, sheet in enumerate(body.sheets):
        for face in sheet.faces:
            if of_sheets.Add(face.face) == len(owner):  # not there yet: leaves share a face
                owner.append(number)
    faces = faces_of(body.envelope)
    patches = patches_of(faces, mesh_mm)
    mesh = welded(patches)
    if not mesh.is_volume:
        raise GeometryError("the mesh of the envelope leaks or is inside out")
    of_face = [owner[of_sheets.FindIndex(face)] for face in faces]
    sheet_of = np.repeat(of_face, [len(patch.faces) for patch in patches])
    names = tuple(sheet.name for sheet in body.sheets)
    kinds = {sheet.name: sheet.kind for sheet in body.sheets}
    return Skin(np.asarray(mesh.vertices), np.asarray(mesh.faces, np.int64), sheet_of, names, kinds)

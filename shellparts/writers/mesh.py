"""Triangles that stand for the faces of a body.

Glossary: a *patch* is the triangles of one face; a mesh is *welded* when neighbouring patches share their
points, and *watertight* when every edge is then walked once each way. The kernel keeps a mesh on the shape
that was meshed, so every mesh is made on a copy. This module knows nothing of files, colours or scales.
"""

from collections.abc import Iterable, Sequence

import numpy as np
from attrs import frozen
from numpy.typing import NDArray
from OCP.BRep import BRep_Builder, BRep_Tool
from OCP.BRepBuilderAPI import BRepBuilderAPI_Copy
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.TopAbs import TopAbs_FACE, TopAbs_REVERSED
from OCP.TopExp import TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS, TopoDS_Compound, TopoDS_Face, TopoDS_Iterator, TopoDS_Shape
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from shellparts.base.errors import GeometryError
from shellparts.base.tolerances import TOLERANCES

__all__ = ["Mesh", "copy_of", "envelope_mesh", "faces_of", "patches_of", "smooth_normals", "welded"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: Largest angle between neighbouring facets of a curved face [rad]: keeps a narrow sleeve round.
_FACET_TURN_RAD = 0.2


@frozen(eq=False)
class Mesh:
    """Triangles.

    Parameters
    ----------
    points : ndarray
        Shape (n, 3) [mm].
    triangles : ndarray of int
        Shape (m, 3): numbers of points, counter-clockwise seen from outside.
    """

    points: Floats
    triangles: Ints

    @property
    def corners(self) -> Floats:
        """Corner points of every triangle, shape (m, 3, 3) [mm]."""
        return self.points[self.triangles]

    @property
    def volume(self) -> float:
        """Volume inside [mm3], by the divergence theorem; only of a watertight mesh."""
        a, b, c = np.moveaxis(self.corners, 1, 0)
        return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6.0)

    @property
    def is_watertight(self) -> bool:
        """Whether every edge is walked exactly once each way, and no triangle is a line or a point.

        Examples
        --------
        >>> points = np.array([[0.0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]])
        >>> faces = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]])
        >>> Mesh(points, faces).is_watertight, Mesh(points, faces[:3]).is_watertight
        (True, False)
        >>> round(6 * Mesh(points, faces).volume, 12)
        1.0
        """
        starts, ends = self.triangles.ravel(), np.roll(self.triangles, -1, axis=1).ravel()
        if not len(starts) or np.any(starts == ends):
            return False
        size = len(self.points)
        forth, back = np.sort(starts * size + ends), np.sort(ends * size + starts)
        return bool(np.all(np.diff(forth) > 0) and np.array_equal(forth, back))


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


def patches_of(faces: Sequence[TopoDS_Face], mesh_mm: float = TOLERANCES.mesh_mm) -> list[Mesh]:
    """Mesh faces together, so that faces which share an edge have the same points along it.

    Parameters
    ----------
    faces : sequence of TopoDS_Face
        Different from each other.
    mesh_mm : float
        Largest distance of the triangles from the faces [mm].

    Returns
    -------
    list of Mesh
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


def _patch(face: TopoDS_Face) -> Mesh:
    place = TopLoc_Location()
    found = BRep_Tool.Triangulation_s(face, place)
    if found is None or not found.NbTriangles():
        raise GeometryError("the kernel gives no triangles for a face of the body")
    moved = place.Transformation()
    nodes = [found.Node(i).Transformed(moved) for i in range(1, found.NbNodes() + 1)]
    points = np.array([(p.X(), p.Y(), p.Z()) for p in nodes])
    triangles = np.array([found.Triangle(i).Get() for i in range(1, found.NbTriangles() + 1)], np.int64) - 1
    return Mesh(points, triangles[:, ::-1] if face.Orientation() == TopAbs_REVERSED else triangles)


def welded(patches: Iterable[Mesh]) -> Mesh:
    """Join patches whose edges have the same points.

    Parameters
    ----------
    patches : iterable of Mesh

    Returns
    -------
    Mesh
        In which points that are one within the point tolerance are one.
    """
    listed = list(patches)
    points = np.concatenate([patch.points for patch in listed])
    shifts = np.cumsum([0, *(len(patch.points) for patch in listed)])
    triangles = np.concatenate(
        [patch.triangles + shift for patch, shift in zip(listed, shifts, strict=False)]
    )
    # A vertex may lie `node_on_curve_mm` off each curve that ends in it.
    near = cKDTree(points).query_pairs(4 * TOLERANCES.node_on_curve_mm, output_type="ndarray")
    links = coo_array((np.ones(len(near)), near.T), shape=(len(points), len(points)))
    number, label = connected_components(links, directed=False)
    first = np.full(number, len(points))
    np.minimum.at(first, label, np.arange(len(points)))
    order = np.argsort(first)
    rank = np.empty(number, np.int64)
    rank[order] = np.arange(number)
    return Mesh(points[first[order]], rank[label][triangles])


def envelope_mesh(envelope: TopoDS_Shape, mesh_mm: float = TOLERANCES.mesh_mm) -> Mesh:
    """Mesh the closed envelope.

    Parameters
    ----------
    envelope : TopoDS_Shape
        A closed solid.
    mesh_mm : float
        Largest distance of the triangles from its faces [mm].

    Returns
    -------
    Mesh
        Watertight.

    Raises
    ------
    GeometryError
        If the mesh is not watertight.
    """
    mesh = welded(patches_of(faces_of(envelope), mesh_mm))
    if not mesh.is_watertight:
        raise GeometryError("the mesh of the envelope leaks: an edge is not shared by two triangles")
    return mesh


def smooth_normals(patch: Mesh) -> Floats:
    """Unit normals at the points of one smooth face, shape (n, 3).

    Parameters
    ----------
    patch : Mesh
        Of one face.

    Returns
    -------
    ndarray
        Mean of the normals of the triangles at each point, weighted by their area.
    """
    a, b, c = np.moveaxis(patch.corners, 1, 0)
    normals = np.zeros_like(patch.points)
    for corner in range(3):
        np.add.at(normals, patch.triangles[:, corner], np.cross(b - a, c - a))
    return normals / np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-300)

"""The inflated room as a closed surface: the cloth, and what air lies against where there is none.

Glossary: a *rim* is a closed row of edges that only one triangle has: the foot line on the floor, the end of the
fan sleeve. A rim is closed by a lid, a fan about one more point; the slits of a vent by the faces that the solver
already puts across them. This module knows nothing of files.
"""

import numpy as np
import shapely
from attrs import frozen
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from shellparts.base.errors import GeometryError
from shellparts.base.tolerances import TOLERANCES
from shellparts.inflate.room_mesh import vent_faces
from shellparts.inflate.sheet import signed_volume
from shellparts.inflate.whole_room import InflatedRoom

__all__ = ["ClosedForm", "closed_form", "joined", "rims"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@frozen(eq=False)
class ClosedForm:
    """A watertight mesh of an inflated room.

    Parameters
    ----------
    nodes : ndarray (n, 3) float
        Corners [mm].
    triangles : ndarray (m, 3) int
        Counterclockwise seen from outside: first those of the cloth, then the lids.
    cloth : int
        How many of them are cloth.
    """

    nodes: Floats
    triangles: Ints
    cloth: int

    @property
    def volume_mm3(self) -> float:
        """Air inside [mm^3]."""
        return signed_volume(self.nodes, self.triangles)


def joined(nodes: Floats) -> tuple[Floats, Ints]:
    """Leave out nodes that lie on another one, as at a vent's foot; also say where each of them went."""
    near = cKDTree(nodes).query_pairs(TOLERANCES.same_point_mm, output_type="ndarray")
    links = csr_matrix((np.ones(len(near)), near.T), shape=(len(nodes),) * 2)
    _, label = connected_components(links, directed=False)
    _, first, home = np.unique(label, return_index=True, return_inverse=True)
    return nodes[first], home


def rims(triangles: Ints) -> list[list[int]]:
    """Rims, each walked so that a lid on it faces outward."""
    edges = {(a, b) for t in triangles.tolist() for a, b in zip(t, t[1:] + t[:1], strict=True)}
    following = {b: a for a, b in edges if (b, a) not in edges}
    if len(following) != sum((b, a) not in edges for a, b in edges):
        raise GeometryError("the rims of the inflated form touch each other")
    rims = []
    while following:
        start = min(following)
        rim, at = [start], following.pop(start)
        while at != start:
            rim.append(at)
            at = following.pop(at)
        rims.append(rim)
    return rims


def _lid(points: Floats) -> Floats:
    """A point in the mean plane of a rim from which all of the rim can be seen."""
    middle = points.mean(axis=0)
    _, _, axes = np.linalg.svd(points - middle, full_matrices=False)
    flat = (points - middle) @ axes[:2].T
    polygon = shapely.Polygon(flat)
    if not polygon.is_valid:
        raise GeometryError(f"a rim of the inflated form crosses itself: {shapely.is_valid_reason(polygon)}")
    inscribed = shapely.maximum_inscribed_circle(polygon)
    for at in (polygon.centroid.coords[0], inscribed.coords[0]):
        off, beyond = flat - at, np.roll(flat, -1, axis=0) - at
        turns = off[:, 0] * beyond[:, 1] - off[:, 1] * beyond[:, 0]
        if (turns > 0).all() or (turns < 0).all():
            return np.asarray(middle + np.array(at) @ axes[:2])
    raise GeometryError("a rim of the inflated form is too winding to be closed by a lid")


def closed_form(room: InflatedRoom) -> ClosedForm:
    """Close the surface of an inflated room.

    Parameters
    ----------
    room : InflatedRoom
        It stands.

    Returns
    -------
    ClosedForm

    Raises
    ------
    GeometryError
        If the surface does not close.
    """
    nodes, home = joined(room.nodes)
    cloth = home[room.triangles]
    air = home[np.array(vent_faces(room.welded.vents), dtype=np.int64).reshape(-1, 3)]
    lids = [tuple(face) for face in air.tolist() if len(set(face)) == 3]
    for rim in rims(np.concatenate([cloth, np.array(lids, dtype=np.int64).reshape(-1, 3)])):
        nodes = np.vstack([nodes, _lid(nodes[rim])])
        lids += [(a, b, len(nodes) - 1) for a, b in zip(rim, rim[1:] + rim[:1], strict=True)]
    triangles = np.concatenate([cloth, np.array(lids, dtype=np.int64).reshape(-1, 3)])
    edges = np.concatenate([triangles[:, [i, (i + 1) % 3]] for i in range(3)])
    there = set(map(tuple, edges.tolist()))
    if len(there) != len(edges) or any((b, a) not in there for a, b in there):
        raise GeometryError("the inflated form does not close")
    return ClosedForm(nodes, triangles, len(cloth))

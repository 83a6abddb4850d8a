"""Triangles of a flat piece: given nodes on its edges, free nodes inside, no triangle thinner than need be.

Glossary: a *loop* is a closed row of nodes, the outer one counterclockwise, holes clockwise; these nodes are
given, for both sides of a seam must have the same. The *size* at a place is the length of a triangle's side
that is wanted there: the spacing of the nodes on the edge, growing inwards no faster than `GROWTH` allows.

Inner nodes start on hexagonal lattices of the size wanted and are smoothed (each goes to the middle of its
neighbours) between Delaunay triangulations by Qhull. An edge of the piece that is then no side of a triangle,
as may happen in a narrow place, is brought in by flipping the edges that cross it (S. W. Sloan, "A fast
algorithm for generating constrained Delaunay triangulations", Computers & Structures 47, 1993).

This module knows nothing of cloth, seams or space.
"""

from collections.abc import Sequence

import numpy as np
import shapely
from attrs import frozen
from numpy.typing import ArrayLike, NDArray
from scipy.spatial import Delaunay, QhullError, cKDTree
from scipy.spatial.distance import cdist

from shellparts.base.errors import GeometryError, ParameterError

__all__ = ["GROWTH", "FlatMesh", "mesh_flat"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

GROWTH = 0.35
"""Growth of the size per distance from the edge."""
_AS_LARGE = 0.95
"""Edges whose nodes are spaced by more than this share of the largest size do not bind it."""
_CLEAR = 0.6
"""Inner nodes start this far from the edge and from each other, in sizes."""
_NEAR = 0.35
"""Inner nodes never come nearer to the edge than this, in sizes."""
_SMOOTHINGS, _PASSES = 3, 2
"""Triangulations for smoothing, and how often nodes move on each."""
_SLIVER = 1e-6
"""A triangle with less than this share of its longest side's square as area lies along a straight edge."""


@frozen(eq=False)
class FlatMesh:
    """Triangles of a flat piece.

    Parameters
    ----------
    points : ndarray (n, 2) float
        Nodes [mm]: those of the loops, in their order, then inner ones.
    triangles : ndarray (m, 3) int
        Corners, counterclockwise.
    least_angle_rad : float
        Smallest angle of any triangle [rad].
    """

    points: Floats
    triangles: Ints
    least_angle_rad: float


def _cross(u: Floats, v: Floats) -> Floats:
    """Cross products of plane vectors."""
    return u[..., 0] * v[..., 1] - u[..., 1] * v[..., 0]


def _double_areas(points: Floats, triangles: Ints) -> Floats:
    """Twice the area of each triangle, negative if clockwise."""
    a, b, c = (points[triangles[:, i]] for i in range(3))
    return _cross(b - a, c - a)


def _least_angle(points: Floats, triangles: Ints) -> float:
    """Smallest angle of any triangle [rad]."""
    corners = points[triangles]
    ahead, back = np.roll(corners, -1, axis=1) - corners, np.roll(corners, 1, axis=1) - corners
    return float(np.arctan2(_cross(ahead, back), (ahead * back).sum(axis=-1)).min())


class _Piece:
    """The loops of one piece, and what size is wanted where."""

    def __init__(self, loops: Sequence[Floats], size: float):
        self.nodes = np.concatenate(loops)
        self.polygon = shapely.Polygon(loops[0], loops[1:])
        self.largest = size
        starts = np.cumsum([0, *(len(loop) for loop in loops)])
        following = np.arange(1, len(self.nodes) + 1)
        following[starts[1:] - 1] = starts[:-1]
        self.sides = np.stack([np.arange(len(self.nodes)), following], axis=-1)
        lengths = np.linalg.norm(self.nodes[following] - self.nodes, axis=1)
        before = np.argsort(following)
        spacing = (lengths + lengths[before]) / 2
        self._finest = min(float(spacing.min()), size)
        small = spacing < _AS_LARGE * size
        self._small, self._spacing = self.nodes[small], spacing[small]
        shapely.prepare(self.polygon)
        self._rim = self.polygon.boundary
        shapely.prepare(self._rim)

    def size(self, points: Floats) -> Floats:
        """Size wanted at points inside."""
        grown = self._spacing + GROWTH * cdist(points, self._small)
        return grown.min(axis=1, initial=self.largest)

    def inside(self, points: Floats, share: float) -> NDArray[np.bool_]:
        """Whether points are in the piece and a share of the size clear of its edge."""
        within = shapely.contains_xy(self.polygon, points[:, 0], points[:, 1])
        clear = shapely.distance(shapely.points(points), self._rim)
        return within & (clear >= share * self.size(points))

    def lattice(self) -> Floats:
        """Inner nodes to start from."""
        low, high = self.nodes.min(axis=0), self.nodes.max(axis=0)
        middle, half = (low + high) / 2, (high - low) / 2
        levels = int(np.ceil(2 * np.log2(self.largest / self._finest))) + 1
        found = np.zeros((0, 2))
        for level in range(levels):
            step = self.largest * 2 ** (-level / 2)
            rows = np.arange(-np.ceil(half[1] / step / 0.75**0.5), np.ceil(half[1] / step / 0.75**0.5) + 1)
            columns = np.arange(-np.ceil(half[0] / step) - 1, np.ceil(half[0] / step) + 2)
            x = columns[None, :] + 0.5 * (rows[:, None] % 2)
            y = np.broadcast_to(rows[:, None] * 0.75**0.5, x.shape)
            points = middle + step * np.stack([x, y], axis=-1).reshape(-1, 2)
            points = points[shapely.contains_xy(self.polygon, points[:, 0], points[:, 1])]
            if not len(points):
                continue
            wanted = np.round(2 * np.log2(self.largest / self.size(points)))
            points = points[wanted == level]
            if len(points):
                found = np.concatenate([found, points[self.inside(points, _CLEAR)]])
        return self._thinned(found)

    def _thinned(self, points: Floats) -> Floats:
        """Drop points that are too near to an earlier one."""
        if len(points) < 2:
            return points
        size = self.size(points)
        pairs = cKDTree(points).query_pairs(_CLEAR * float(size.max()), output_type="ndarray")
        gap = np.linalg.norm(points[pairs[:, 0]] - points[pairs[:, 1]], axis=1)
        pairs = np.sort(pairs[gap < _CLEAR * size[pairs].mean(axis=1)], axis=1)
        keep = np.ones(len(points), dtype=bool)
        for a, b in pairs[np.lexsort(pairs.T[::-1])]:
            keep[b] &= not keep[a]
        return points[keep]

    def delaunay(self, inner: Floats) -> tuple[Floats, Ints]:
        """Triangulate the loops' nodes and inner ones."""
        points = np.concatenate([self.nodes, inner])
        try:
            found = Delaunay(points - points.mean(axis=0))
        except QhullError as fault:
            raise GeometryError(f"a piece cannot be triangulated: {str(fault).splitlines()[0]}") from None
        if len(found.coplanar):
            raise GeometryError(f"{len(found.coplanar)} nodes of a piece lie on others")
        triangles = found.simplices.astype(np.int64)
        turned = _double_areas(points, triangles) < 0
        triangles[turned] = triangles[turned][:, ::-1]
        return points, triangles

    def kept(self, points: Floats, triangles: Ints) -> Ints:
        """Triangles inside, without slivers along straight edges."""
        corners = points[triangles]
        longest = ((corners - np.roll(corners, 1, axis=1)) ** 2).sum(axis=-1).max(axis=1)
        x, y = corners.mean(axis=1).T
        solid = _double_areas(points, triangles) > _SLIVER * longest
        return triangles[solid & shapely.contains_xy(self.polygon, x, y)]

    def smoothed(self, inner: Floats) -> Floats:
        """Move inner nodes towards the middle of their neighbours."""
        first = len(self.nodes)
        for _ in range(_SMOOTHINGS if len(inner) else 0):
            points, triangles = self.delaunay(inner)
            triangles = self.kept(points, triangles)
            here, there = triangles.ravel(), np.roll(triangles, -1, axis=1).ravel()
            count = np.bincount(here, minlength=len(points))
            known = count[first:] > 0
            for _ in range(_PASSES):
                total = np.stack([np.bincount(here, points[there, i], len(points)) for i in (0, 1)], axis=-1)
                points[first:][known] = total[first:][known] / count[first:][known, None]
            moved = points[first:]
            stay = ~self.inside(moved, _NEAR)
            moved[stay] = inner[stay]
            inner = moved
        return inner


def _crossing(p: Floats, q: Floats, a: Floats, b: Floats) -> bool:
    """Whether two segments cross properly."""
    return bool(
        _cross(q - p, a - p) * _cross(q - p, b - p) < 0 and _cross(b - a, p - a) * _cross(b - a, q - a) < 0
    )


def _with_flips(points: Floats, triangles: Ints, missing: Ints) -> Ints:
    """Flip edges until every missing side is there."""
    made = [tuple(t) for t in triangles.tolist()]
    owner = {(t[i], t[(i + 1) % 3]): k for k, t in enumerate(made) for i in range(3)}

    def put(k: int, corners: tuple[int, int, int]) -> None:
        made[k] = corners
        owner.update({(corners[i], corners[(i + 1) % 3]): k for i in range(3)})

    for a, b in missing.tolist():
        for _ in range(len(made)):
            if (a, b) in owner or (b, a) in owner:
                break
            crossed = [
                (i, j)
                for i, j in sorted(owner)
                if i < j and not {i, j} & {a, b} and _crossing(*points[[a, b, i, j]])
            ]
            for i, j in crossed:
                here, there = owner[i, j], owner.get((j, i))
                if there is None:
                    continue
                (u,) = set(made[here]) - {i, j}
                (v,) = set(made[there]) - {i, j}
                if _crossing(*points[[u, v, i, j]]):
                    del owner[i, j], owner[j, i]
                    put(here, (u, i, v))
                    put(there, (v, j, u))
    return np.array(made, dtype=np.int64)


def mesh_flat(loops: Sequence[ArrayLike], size_mm: float) -> FlatMesh:
    """Divide a flat piece into triangles.

    Parameters
    ----------
    loops : sequence of array_like (k, 2) float
        Nodes of the outer edge, counterclockwise, then of each hole, clockwise [mm]; no loop repeats its first
        node.
    size_mm : float
        Side of a triangle where nothing asks for smaller ones [mm].

    Returns
    -------
    FlatMesh
        Its first nodes are those of the loops; every side between two neighbours is a side of a triangle.

    Raises
    ------
    ParameterError
        If the size is not positive or the loops bound no piece.
    GeometryError
        If the triangles do not fill the piece.

    Examples
    --------
    >>> square = [(0, 0), (50, 0), (100, 0), (100, 50), (100, 100), (50, 100), (0, 100), (0, 50)]
    >>> mesh = mesh_flat([square], 50.0)
    >>> len(mesh.triangles), round(float(np.degrees(mesh.least_angle_rad)))
    (8, 45)
    """
    if not (np.isfinite(size_mm) and size_mm > 0):
        raise ParameterError("size of triangles", f"{size_mm:g} mm", "positive", "take about 100 mm")
    rings = [np.asarray(loop, dtype=float) for loop in loops]
    if min(len(ring) for ring in rings) < 3:
        raise ParameterError("nodes of a loop", "fewer than 3", "at least 3", "give more nodes")
    piece = _Piece(rings, size_mm)
    if not piece.polygon.is_valid or shapely.is_ccw(piece.polygon.exterior) is not np.True_:
        raise ParameterError(
            "edge of a flat piece",
            shapely.is_valid_reason(piece.polygon),
            "one counterclockwise loop that does not cross itself, and holes inside it",
            "list the nodes in order, or space them closer",
        )
    points, triangles = piece.delaunay(piece.smoothed(piece.lattice()))
    n = len(points)
    pairs = np.concatenate([np.roll(triangles, i, axis=1)[:, :2] for i in range(3)])
    there = np.isin(piece.sides @ [n, 1], pairs @ [n, 1]) | np.isin(piece.sides @ [n, 1], pairs @ [1, n])
    missing = piece.sides[~there]
    if len(missing):
        triangles = _with_flips(points, triangles, missing)
    triangles = piece.kept(points, triangles)
    _check(piece, points, triangles)
    first = np.lexsort(np.sort(triangles, axis=1).T[::-1])
    return FlatMesh(points, triangles[first], _least_angle(points, triangles))


def _check(piece: _Piece, points: Floats, triangles: Ints) -> None:
    """Triangles fill the piece: areas add up, each side of the piece has one triangle, others have two."""
    filled = _double_areas(points, triangles).sum() / 2
    pairs = np.concatenate([np.roll(triangles, i, axis=1)[:, :2] for i in range(3)])
    n = len(points)
    forward = np.sort(pairs @ [n, 1])
    alone = np.setdiff1d(forward, pairs @ [1, n])
    sides = np.sort(piece.sides @ [n, 1])
    used = len(np.unique(triangles)) == n
    if not (used and abs(filled - piece.polygon.area) <= 1e-6 * filled and np.array_equal(alone, sides)):
        raise GeometryError(
            f"the triangles of a piece fill {filled:g} of {piece.polygon.area:g} mm2, with "
            f"{n - len(np.unique(triangles))} nodes left out and {len(alone)} sides for {len(sides)}"
        )

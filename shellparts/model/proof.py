"""Whether a part prints as it is: no overhang that needs support, no wall too thin, every opening open.

Glossary: a face *overhangs* if it looks downward; its *lean* is its angle from the vertical. A *bridge* is a face that
leans more than may be and has material below its edges on both sides: lines are drawn across it freely. Where two
overhanging faces meet in a corner that stands out, layer after layer, the *corner* may lean more than either face.
"""

import math

import numpy as np
import shapely
from attrs import frozen
from manifold3d import Manifold
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import connected_components
from shapely import Polygon

from shellparts.model.shapes import arrays, prism

__all__ = ["Corner", "Overhang", "corners", "holes_in", "overhangs", "thicknesses"]

Floats = NDArray[np.float64]
#: Faces whose lowest point is no higher than this lie on the bed [mm].
_ON_BED_MM = 0.02
#: Height between a face and what is looked for below it [mm]: a thin layer.
_LAYER_MM = 0.12


@frozen
class Overhang:
    """Faces that hang together and lean more than may be.

    Parameters
    ----------
    lean_deg : float
        Largest lean from the vertical [deg].
    span_mm : float
        Twice the way from what carries it to its farthest point [mm].
    anchored : bool
        Whether it lies between what carries it, as a bridge does.
    at : tuple of float
        Its middle [mm].
    """

    lean_deg: float
    span_mm: float
    anchored: bool
    at: tuple[float, float, float]


def overhangs(body: Manifold, steepest_rad: float, least_mm: float) -> tuple[Overhang, ...]:
    """Find what needs a bridge or a support.

    Parameters
    ----------
    body : Manifold
        As it is printed, standing on z = 0 [mm].
    steepest_rad : float
        Largest lean from the vertical that needs neither [rad].
    least_mm : float
        What stands out no farther than this from what is below it is carried by it: half a line [mm].

    Returns
    -------
    tuple of Overhang
    """
    nodes, triangles = arrays(body)
    spots = nodes[triangles]
    normal = np.cross(spots[:, 1] - spots[:, 0], spots[:, 2] - spots[:, 0])
    size = np.linalg.norm(normal, axis=1)
    down = -normal[:, 2] / np.maximum(size, 1e-12)
    steep = (down > math.sin(steepest_rad) + 1e-6) & (spots[:, :, 2].max(axis=1) > _ON_BED_MM) & (size > 1e-7)
    found = []
    for group in _groups(triangles, np.flatnonzero(steep)):
        parts = [Polygon(c[:, :2]) for c in spots[group]]
        shadow = shapely.union_all([p.buffer(1e-4) for p in parts if p.area > 1e-9])
        if shadow.is_empty:
            continue
        low, high = (float(f(spots[group][:, :, 2])) for f in (np.min, np.max))
        carrying = _slice(body, low - _LAYER_MM).buffer(1e-3)
        free = shadow - carrying
        if free.is_empty:
            continue
        edge = np.asarray(shapely.get_coordinates(free))
        reach = float(shapely.distance(shapely.points(_filled_points(free, edge)), carrying).max())
        if reach <= least_mm:
            continue
        # The higher end of a bridge that rises is carried by what is a little farther away.
        beside = 0.15 + (high - low + _LAYER_MM) * math.tan(steepest_rad)
        held = (shadow & carrying.buffer(beside)).convex_hull.buffer(0.3)
        at = spots[group].reshape(-1, 3).mean(axis=0)
        lean = math.degrees(math.asin(min(1.0, float(down[group].max()))))
        found.append(Overhang(lean, 2.0 * reach, bool(held.covers(free)), tuple(at.tolist())))
    return tuple(found)


@frozen
class Corner:
    """A corner that stands out in every layer and leans more than may be.

    Parameters
    ----------
    lean_deg : float
        From the vertical [deg].
    length_mm : float
        How far it stands out, seen from above [mm].
    at : tuple of float
        Its middle [mm].
    """

    lean_deg: float
    length_mm: float
    at: tuple[float, float, float]


def corners(body: Manifold, steepest_rad: float, least_mm: float) -> tuple[Corner, ...]:
    """Find corners between overhanging faces that lean more than the faces may.

    In a layer the corner is one of its outline's; in the next it is farther out by the height of the layer times
    the tangent of its lean. Only what moves out between the directions of its two faces counts, and is farther from all
    that carries it: the upper end of the corner from the slice at its lower end.

    Parameters
    ----------
    body : Manifold
        As it is printed, standing on z = 0 [mm].
    steepest_rad : float
        Largest lean from the vertical [rad].
    least_mm : float
        What stands out no farther than this is carried by what is beside it [mm].

    Returns
    -------
    tuple of Corner

    Examples
    --------
    >>> pyramid = Manifold.hull_points([(x, y, 10.0) for x in (-9, 9) for y in (-9, 9)] + [(0.0, 0.0, 0.0)])
    >>> [round(one.lean_deg) for one in corners(pyramid, math.radians(50.0), 0.5)]  # its faces lean by 42 degrees
    [52, 52, 52, 52]
    """
    nodes, triangles = arrays(body)
    points = nodes[triangles]
    normal = np.cross(points[:, 1] - points[:, 0], points[:, 2] - points[:, 0])
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-12)[:, None]
    ends = triangles[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    across = triangles[:, [2, 0, 1]].reshape(-1)
    order = np.lexsort(np.sort(ends, axis=1).T)
    one, other = order[::2], order[1::2]  # each edge is walked twice
    first, second = normal[one // 3], normal[other // 3]
    way = nodes[ends[one, 1]] - nodes[ends[one, 0]]
    way *= np.where(way[:, 2] < 0.0, -1.0, 1.0)[:, None]
    out = way[:, :2]
    sideways = _turn(first, second)
    between = (_turn(first, out) * sideways > 0.0) & (_turn(out, second) * sideways > 0.0)
    looks_down = (first[:, 2] < -0.05) & (second[:, 2] < -0.05)
    stands_out = np.einsum("ij,ij->i", first, nodes[across[other]] - nodes[ends[one, 0]]) < -1e-4
    length, rise = np.linalg.norm(out, axis=1), np.maximum(way[:, 2], 1e-9)
    steep = (length > least_mm) & (length > math.tan(steepest_rad) * rise)
    found = []
    for i in np.flatnonzero(between & looks_down & stands_out & steep):
        low, high = sorted(nodes[ends[one[i]]].tolist(), key=lambda end: end[2])
        level = low[2] + min(1e-3, rise[i] / 2.0)  # a slice through a corner would be ambiguous
        free = float(shapely.distance(shapely.Point(high[:2]), _slice(body, level)))
        if free > max(least_mm, math.tan(steepest_rad) * (high[2] - level)):
            lean = math.degrees(math.atan2(free, high[2] - level))
            found.append(Corner(lean, free, tuple(((nodes[ends[one[i]]].sum(axis=0)) / 2.0).tolist())))
    return tuple(found)


def _turn(one: Floats, other: Floats) -> Floats:
    """Sign of the turn from one direction to another, seen from above."""
    return one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]


def _filled_points(shape: shapely.Geometry, edge: Floats) -> Floats:
    """Points on the border of a shape and inside it."""
    low, high = edge.min(axis=0), edge.max(axis=0)
    grid = np.stack(np.meshgrid(*[np.linspace(a, b, 24) for a, b in zip(low, high, strict=True)]), axis=-1)
    inside = grid.reshape(-1, 2)
    return np.vstack([edge, inside[shapely.contains_xy(shape, inside)]])


def _groups(triangles: NDArray[np.int64], chosen: NDArray[np.int64]) -> list[NDArray[np.int64]]:
    """Chosen triangles that share corners, group by group."""
    if len(chosen) == 0:
        return []
    count = int(triangles.max()) + 1
    links = csr_matrix(
        (np.ones(3 * len(chosen)), (np.repeat(np.arange(len(chosen)), 3), triangles[chosen].ravel())),
        shape=(len(chosen), count),
    )
    number, label = connected_components(links @ links.T, directed=False)
    return [chosen[label == i] for i in range(number)]


def _slice(body: Manifold, height: float) -> shapely.Geometry:
    """The material at a height."""
    rings = [np.asarray(r) for r in body.slice(height).to_polygons() if len(r) > 2]
    filled = shapely.MultiPolygon()
    for ring in sorted(rings, key=lambda r: -Polygon(r).area):
        one = Polygon(ring).buffer(0.0)
        filled = filled - one if shapely.LinearRing(ring).is_ccw is False else filled | one
    return filled


def thicknesses(body: Manifold, points: int = 1500) -> tuple[Floats, Floats]:
    """Thickness of the material, by rays from its surface straight inward.

    Parameters
    ----------
    body : Manifold
    points : int
        About how many rays, spread evenly over the surface.

    Returns
    -------
    thickness : ndarray (n,) float
        To where the ray comes out [mm].
    origins : ndarray (n, 3) float
        Where it went in [mm].
    """
    nodes, triangles = arrays(body)
    spots = nodes[triangles]
    normal = np.cross(spots[:, 1] - spots[:, 0], spots[:, 2] - spots[:, 0])
    area = np.linalg.norm(normal, axis=1)
    normal /= np.maximum(area, 1e-12)[:, None]
    total = np.cumsum(area)
    face = np.searchsorted(total, (np.arange(points) + 0.5) / points * total[-1])
    # Points inside each triangle by the golden section, the same every time.
    first, second = (
        np.sqrt(np.mod(np.arange(points) * 0.618033988749895, 1.0)),
        np.mod(np.arange(points) * 0.754877666246693, 1.0),
    )
    a, b, c = (spots[face][:, i] for i in range(3))
    start = a * (1.0 - first)[:, None] + b * (first * (1.0 - second))[:, None] + c * (first * second)[:, None]
    start = start - 1e-4 * normal[face]
    reach = float(np.linalg.norm(np.ptp(nodes, axis=0))) + 1.0
    end = start - reach * normal[face]
    found = np.full(points, np.inf)
    for i, (one, other) in enumerate(zip(start.tolist(), end.tolist(), strict=True)):
        hits = body.ray_cast(one, other)
        if hits:
            found[i] = min(hit.distance for hit in hits) * reach + 1e-4
    return found[np.isfinite(found)], start[np.isfinite(found)]


def holes_in(shell: Manifold) -> int:
    """How many openings a shell has that is open below: counted on the shell closed by a floor.

    A doorway that is filled, or a hole that nothing came through, leaves the mesh watertight all the same; but each
    opening is a handle of the closed shell, except the first.

    Parameters
    ----------
    shell : Manifold
        Standing on z = 0 [mm].

    Returns
    -------
    int
    """
    box = np.asarray(shell.bounding_box())
    floor = prism(shapely.box(box[0] - 1.0, box[1] - 1.0, box[3] + 1.0, box[4] + 1.0), -0.5, 0.05)
    return (shell + floor).genus() + 1

"""Meshes of simple shapes, each with its flat triangles, to inflate in tests: a disc, a wedge of it, a tube, a ball.

Triangles are counterclockwise seen from outside, z is up, lengths are in mm.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from shellparts.inflate.panel_mesh import RestMesh, grid_triangles
from shellparts.inflate.sheet import flat_rest

Ints = NDArray[np.int64]


def wedge(radius_mm: float, angle_rad: float, rings: int, sectors: int, rise_mm: float) -> RestMesh:
    """A wedge of a flat disc, its tip at the middle, its middle line along x, raised to a paraboloid.

    Edges ``tip``, ``rim``, ``right`` (side at minus half the angle) and ``left``.
    """
    r = radius_mm * np.arange(1, rings + 1) / rings
    t = np.linspace(-angle_rad / 2, angle_rad / 2, sectors + 1)
    ring = np.stack([np.outer(r, np.cos(t)), np.outer(r, np.sin(t))], axis=-1).reshape(-1, 2)
    flat = np.concatenate([np.zeros((1, 2)), ring])
    numbers = np.arange(1, len(flat)).reshape(rings, sectors + 1)
    grid = np.concatenate([np.zeros((1, sectors + 1), dtype=np.int64), numbers])
    triangles = grid_triangles(grid)[:, ::-1]
    height = rise_mm * (1 - (flat**2).sum(axis=1) / radius_mm**2)
    edges = {"tip": np.array([0]), "rim": numbers[-1], "right": grid[:, 0], "left": grid[:, -1]}
    return RestMesh(np.column_stack([flat, height]), triangles, flat[triangles], edges)


def polar_disc(radius_mm: float, rings: int, sectors: int, rise_mm: float) -> RestMesh:
    """A whole flat disc by rings, nearly equal-sided, raised to a paraboloid; edges ``middle`` and ``rim``."""
    counts = [max(3, round(sectors * j / rings)) for j in range(1, rings + 1)]
    points, triangles = [np.zeros((1, 2))], []
    inner, first = np.array([0]), 1
    for j, count in enumerate(counts, start=1):
        t = 2 * np.pi * (np.arange(count) + 0.5 * (j % 2)) / count
        points.append(radius_mm * j / rings * np.stack([np.cos(t), np.sin(t)], axis=-1))
        outer = first + np.arange(count)
        triangles += _between_rings(inner, outer, 0.5 * ((j - 1) % 2), 0.5 * (j % 2))
        inner, first = outer, first + count
    flat = np.concatenate(points)
    corners = np.array(triangles)
    height = rise_mm * (1 - (flat**2).sum(axis=1) / radius_mm**2)
    edges = {"middle": np.array([0]), "rim": inner}
    return RestMesh(np.column_stack([flat, height]), corners, flat[corners], edges)


def _between_rings(
    inner: Ints, outer: Ints, inner_turn: float, outer_turn: float
) -> list[tuple[int, int, int]]:
    """Triangles between two closed rings of nodes, always taking the nearer next one."""
    p, q = len(inner), len(outer)
    if p == 1:
        return [(inner[0], outer[k], outer[(k + 1) % q]) for k in range(q)]
    out, i, k = [], 0, 0
    while i < p or k < q:
        next_inner, next_outer = (i + 1 + inner_turn) / p, (k + 1 + outer_turn) / q
        if k < q and (i == p or next_outer <= next_inner):
            out.append((inner[i % p], outer[k % q], outer[(k + 1) % q]))
            k += 1
        else:
            out.append((inner[i % p], outer[k % q], inner[(i + 1) % p]))
            i += 1
    return out


def tube_sector(radius_mm: float, length_mm: float, angle_rad: float, rows: int, columns: int) -> RestMesh:
    """A sector of a tube round the z axis, from z = 0 up; air faces close its top end.

    Edges ``bottom``, ``top``, ``right``, ``left`` and ``middle`` of the top end.
    """
    t = np.linspace(-angle_rad / 2, angle_rad / 2, columns + 1)
    z = np.linspace(0, length_mm, rows + 1)
    tt, zz = np.meshgrid(t, z)
    nodes = np.stack([radius_mm * np.cos(tt), radius_mm * np.sin(tt), zz], axis=-1).reshape(-1, 3)
    flat = np.stack([radius_mm * tt, zz], axis=-1).reshape(-1, 2)
    grid = np.arange(len(nodes)).reshape(rows + 1, columns + 1)
    triangles = grid_triangles(grid)
    middle = len(nodes)
    top = grid[-1]
    ends = np.stack([top[:-1], top[1:], np.full(columns, middle)], axis=-1)
    edges = {
        "bottom": grid[0],
        "top": top,
        "right": grid[:, 0],
        "left": grid[:, -1],
        "middle": np.array([middle]),
    }
    return RestMesh(np.vstack([nodes, [0, 0, length_mm]]), triangles, flat[triangles], edges, ends)


def revolved_sector(profile_mm: ArrayLike, angle_rad: float, columns: int) -> RestMesh:
    """A sector of a form of revolution round the z axis, its middle along x; its flat triangles are its facets.

    The profile goes from the floor up; only its last radius may be zero. Edges ``bottom``, ``top``, ``right``, ``left``.
    """
    profile = np.asarray(profile_mm, dtype=float)
    t = np.linspace(-angle_rad / 2, angle_rad / 2, columns + 1)
    r, z = profile[:, :1], profile[:, 1:]
    nodes = np.stack(np.broadcast_arrays(r * np.cos(t), r * np.sin(t), z), axis=-1).reshape(-1, 3)
    grid = np.arange(len(nodes)).reshape(len(profile), columns + 1)
    if profile[-1, 0] == 0:
        grid[-1] = grid[-1, 0]
        nodes = nodes[: grid[-1, 0] + 1]
    triangles = grid_triangles(grid)
    edges = {"bottom": grid[0], "top": np.unique(grid[-1]), "right": grid[:, 0], "left": grid[:, -1]}
    return RestMesh(nodes, triangles, flat_rest(nodes, triangles), edges)


def sphere_octant(radius_mm: float, divisions: int, height_mm: float | None = None) -> RestMesh:
    """An eighth of a ball, or of a flattened one, of ``divisions**2`` triangles; its flat triangles are its facets.

    Edges ``x``, ``y`` and ``z``: the nodes in the planes x = 0, y = 0 and z = 0.
    """
    n = divisions
    i, j = (a.ravel() for a in np.indices((n + 1, n + 1)))
    inside = i + j <= n
    i, j = i[inside], j[inside]
    number = np.full((n + 2, n + 2), -1, dtype=np.int64)
    number[i, j] = np.arange(len(i))
    weights = np.sin(np.stack([i, j, n - i - j], axis=-1) * (np.pi / 2 / n))
    unit = weights / np.linalg.norm(weights, axis=1)[:, None]
    height = radius_mm if height_mm is None else height_mm
    nodes = unit * [radius_mm, radius_mm, height]
    up = np.stack([number[i, j], number[i + 1, j], number[i, j + 1]], axis=-1)[i + j < n]
    down = np.stack([number[i + 1, j], number[i + 1, j + 1], number[i, j + 1]], axis=-1)[i + j < n - 1]
    triangles = np.concatenate([up, down])
    edges = {"x": np.flatnonzero(i == 0), "y": np.flatnonzero(j == 0), "z": np.flatnonzero(i + j == n)}
    return RestMesh(nodes, triangles, flat_rest(nodes, triangles), edges)

"""Carry a form over from a coarse mesh of a room to a finer one, as a start for it.

Glossary: each node of the fine mesh lies somewhere on the flat piece; it goes where the cloth at that place has been
taken. The *slope* at a node of the coarse mesh is the mean of what the triangles round it have done to warp and weft.
Each corner of the coarse triangle says where the place would go if the cloth followed half its own slope to there;
their mean, weighed by nearness, is exact for forms of the second degree where the slopes are. Plain triangles would
leave a fold between each two, and a finer mesh takes several steps to smooth those out. This module knows nothing of
balance.
"""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from shellparts.base.errors import ParameterError
from shellparts.inflate.welded import Welded

__all__ = ["carried", "slopes"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_NEAREST = 12
"""The triangle that a place lies in is looked for among so many whose middles are nearest."""


def carried(coarse: Welded, nodes: Floats, fine: Welded) -> Floats:
    """Carry a form over.

    Parameters
    ----------
    coarse : Welded
        The coarse mesh.
    nodes : ndarray (n, 3) float
        Where its nodes are [mm].
    fine : Welded
        Another mesh of the same room.

    Returns
    -------
    ndarray (k, 3) float
        Where the nodes of the fine mesh go; those on the floor and at the ends of tubes stay as sewn [mm].

    Raises
    ------
    ParameterError
        If the meshes are not of one room.
    """
    if [region.sheets for region in coarse.regions] != [region.sheets for region in fine.regions]:
        raise ParameterError("rooms of the two meshes", "different", "the same", "mesh one room twice")
    total, times = np.zeros((len(fine.nodes), 3)), np.zeros(len(fine.nodes))
    for region in range(len(fine.regions)):
        own, theirs = fine.region_of == region, coarse.region_of == region
        names, first = np.unique(fine.triangles[own], return_index=True)
        points = fine.rest[own].reshape(-1, 2)[first]
        total[names] += _taken(points, coarse.rest[theirs], coarse.triangles[theirs], nodes)
        times[names] += 1
    start = total / times[:, None]
    for held in (fine.floor, *fine.rings):
        start[held] = fine.nodes[held]
    return start


def slopes(rest: Floats, triangles: Ints, nodes: Floats) -> Floats:
    """Tell what a form does to warp and weft at each corner of each triangle, as the mean round the node.

    Parameters
    ----------
    rest : ndarray (m, 3, 2) float
        Corners on the flat piece [mm].
    triangles : ndarray (m, 3) int
        Nodes at the corners.
    nodes : ndarray (n, 3) float
        Where they are [mm].

    Returns
    -------
    ndarray (m, 3 corners, 3 axes, 2) float
        Slopes [-].
    """
    corners = nodes[triangles]
    flat, bent = (np.stack([p[:, 1] - p[:, 0], p[:, 2] - p[:, 0]], axis=-1) for p in (rest, corners))
    area = np.repeat(np.linalg.det(flat), 3)
    slope = (bent @ np.linalg.inv(flat)).reshape(-1, 6)
    _, place = np.unique(triangles, return_inverse=True)
    place = place.ravel()
    total = [np.bincount(place, area * np.repeat(column, 3)) for column in slope.T]
    mean = np.stack(total, axis=-1) / np.bincount(place, area)[:, None]
    return mean[place].reshape(-1, 3, 3, 2)


def _taken(points: Floats, rest: Floats, triangles: Ints, nodes: Floats) -> Floats:
    """Take flat points along with the cloth that they lie in, or lie nearest to."""
    count = min(_NEAREST, len(rest))
    near = cKDTree(rest.mean(axis=1)).query(points, k=count)[1].reshape(len(points), count)
    a, b, c = (rest[near][:, :, i] for i in range(3))
    u, v, d = b - a, c - a, points[:, None] - a
    area = u[..., 0] * v[..., 1] - u[..., 1] * v[..., 0]
    second = (d[..., 0] * v[..., 1] - d[..., 1] * v[..., 0]) / area
    third = (u[..., 0] * d[..., 1] - u[..., 1] * d[..., 0]) / area
    shares = np.stack([1 - second - third, second, third], axis=-1)
    row, best = np.arange(len(points)), shares.min(axis=-1).argmax(axis=1)
    share, there = shares[row, best], near[row, best]
    away = points[:, None] - rest[there]
    targets = (
        nodes[triangles[there]] + np.einsum("kcij,kcj->kci", slopes(rest, triangles, nodes)[there], away) / 2
    )
    return np.einsum("kc,kci->ki", share, targets)

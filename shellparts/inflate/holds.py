"""What holds the nodes: pins, mirror planes and rails, as linear conditions.

Glossary: a *hold* keeps some nodes on one plane, ``normal · x = offset``; a *pin* keeps them where they
are. Several holds on a node add up: two planes make a rail, three a pin. A *frame* gives each node three
directions of its own, of which the first few are held and the rest are free.

This module knows nothing of cloth or air.
"""

from collections.abc import Iterable

import numpy as np
from attrs import frozen
from numpy.typing import ArrayLike, NDArray

from shellparts.base.errors import ParameterError
from shellparts.inflate.sheet import MembraneSheet

__all__ = ["Hold", "NodeFrames", "frame_of", "on_plane", "pin"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_SAME_DIRECTION = 1e-9
"""Two planes whose normals are closer than this many radians count as one."""


@frozen(eq=False)
class Hold:
    """Nodes kept on a plane, or pinned.

    Parameters
    ----------
    nodes : ndarray (k,) int
        The nodes.
    normal : ndarray (3,) float or None
        Unit normal of the plane; None pins the nodes where they start.
    offset_mm : float
        Distance of the plane from the origin along `normal` [mm].
    """

    nodes: Ints
    normal: Floats | None = None
    offset_mm: float = 0.0


def pin(nodes: ArrayLike) -> Hold:
    """Keep nodes where they start.

    Parameters
    ----------
    nodes : array_like (k,) int
        The nodes.

    Returns
    -------
    Hold
        The pin.
    """
    return Hold(np.atleast_1d(np.asarray(nodes, dtype=np.int64)))


def on_plane(nodes: ArrayLike, normal: ArrayLike, offset_mm: float = 0.0) -> Hold:
    """Keep nodes on a plane: a mirror plane, a floor, the end of a repeat.

    Parameters
    ----------
    nodes : array_like (k,) int
        The nodes.
    normal : array_like (3,) float
        Normal of the plane, of any length but zero.
    offset_mm : float
        Distance of the plane from the origin along `normal` [mm].

    Returns
    -------
    Hold
        The plane.

    Raises
    ------
    ParameterError
        If `normal` has no length.
    """
    direction = np.asarray(normal, dtype=float)
    length = float(np.linalg.norm(direction))
    if not length > 0:
        raise ParameterError("length of a plane's normal", f"{length:g}", "positive", "give a direction")
    return Hold(np.atleast_1d(np.asarray(nodes, dtype=np.int64)), direction / length, float(offset_mm))


@frozen(eq=False)
class NodeFrames:
    """Directions of each node, and which of them are free.

    Parameters
    ----------
    directions : ndarray (n, 3, 3) float
        Columns are a node's three unit directions, at right angles.
    free : ndarray (n, 3) bool
        Whether the node may move along each.
    start : ndarray (n, 3) float
        Starting points, put exactly on their planes [mm].
    """

    directions: Floats
    free: NDArray[np.bool_]
    start: Floats


def frame_of(sheet: MembraneSheet, holds: Iterable[Hold]) -> NodeFrames:
    """Turn holds into free directions.

    Parameters
    ----------
    sheet : MembraneSheet
        The membrane.
    holds : iterable of Hold
        Everything that holds it.

    Returns
    -------
    NodeFrames
        Directions and starting points.

    Raises
    ------
    ParameterError
        If the planes of a node contradict each other, or an open edge of the membrane can move out of any
        plane through the origin, so that it would not be known how much air it holds.
    """
    holds = list(holds)
    n = len(sheet.nodes)
    matrix, right = np.zeros((n, 3, 3)), np.zeros((n, 3))
    for hold in holds:
        if hold.normal is None:
            matrix[hold.nodes] += np.eye(3)
            right[hold.nodes] += sheet.nodes[hold.nodes]
        else:
            matrix[hold.nodes] += np.outer(hold.normal, hold.normal)
            right[hold.nodes] += hold.offset_mm * hold.normal
    value, directions = np.linalg.eigh(matrix)
    free = value <= _SAME_DIRECTION**2 + 1e-14
    plain = free.all(axis=1)
    directions[plain] = np.eye(3)
    inverse = np.where(free, 0.0, 1 / np.where(free, 1.0, value))
    target = np.einsum("nij,nj,nkj,nk->ni", directions, inverse, directions, right)
    own = np.einsum("nij,nj,nkj,nk->ni", directions, free.astype(float), directions, sheet.nodes)
    start = target + own
    size = float(np.ptp(sheet.nodes, axis=0).max())
    for hold in holds:
        if hold.normal is None:
            gap = np.abs(start[hold.nodes] - sheet.nodes[hold.nodes]).max(initial=0.0)
        else:
            gap = np.abs(start[hold.nodes] @ hold.normal - hold.offset_mm).max(initial=0.0)
        if gap > 1e-6 * size:
            raise ParameterError(
                "gap between the holds of a node", f"{gap:g} mm", "none", "let its planes meet"
            )
    _check_open_edges(sheet, holds)
    return NodeFrames(directions, free, start)


def _check_open_edges(sheet: MembraneSheet, holds: list[Hold]) -> None:
    """Each open edge must be pinned or lie in a held plane through the origin."""
    faces = sheet.faces
    ends = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    n = len(sheet.nodes)
    key = np.minimum(ends[:, 0], ends[:, 1]) * n + np.maximum(ends[:, 0], ends[:, 1])
    _, first, count = np.unique(key, return_index=True, return_counts=True)
    open_edges = ends[first[count == 1]]
    pinned = np.zeros(n, dtype=bool)
    for hold in holds:
        if hold.normal is None:
            pinned[hold.nodes] = True
    known = pinned[open_edges].all(axis=1)
    for hold in holds:
        if hold.normal is not None and hold.offset_mm == 0:
            # a pinned end that lies in the plane of the other end's hold is just as good
            held = pinned & (np.abs(sheet.nodes @ hold.normal) <= 1e-9 * np.abs(sheet.nodes).max())
            held[hold.nodes] = True
            known |= held[open_edges].all(axis=1)
    if not known.all():
        a, b = open_edges[~known][0]
        raise ParameterError(
            "open edges that could let air out",
            f"{int((~known).sum())}, the first between nodes {a} and {b}",
            "pinned, or on a held plane through the origin",
            "hold them so, or close the hole with air faces",
        )

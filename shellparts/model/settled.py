"""A mesh with the corners that a file keeps, closed: each edge between two triangles, once each way.

Files of printable parts keep four-byte numbers, and readers join corners that are equal. Two corners that a boolean
leaves a ten-thousandth apart then become one; what lay between them must go, or the mesh has edges of four triangles.
"""

import numpy as np
from manifold3d import Manifold, Mesh64
from numpy.typing import NDArray

from shellparts.base.errors import GeometryError
from shellparts.model.shapes import arrays

__all__ = ["STEP_MM", "closed_once", "settled"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
#: Corners lie on multiples of this [mm]: a power of two, so that four bytes hold them exactly up to four metres.
STEP_MM = 2.0**-12
#: If corners that were joined leave an edge of four triangles, crumbs up to so large are taken away [mm].
_CRUMBS_MM = (0.0, 0.02, 0.04, 0.08)


def closed_once(triangles: Ints) -> bool:
    """Whether each edge of a mesh lies between exactly two triangles, and is walked once each way."""
    edges = triangles[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2).astype(np.int64)
    count = int(triangles.max()) + 1
    one, other = edges @ [count, 1], edges @ [1, count]
    one.sort()
    other.sort()
    return bool((np.diff(one) > 0).all() and (one == other).all())


def _joined(nodes: Floats, triangles: Ints) -> tuple[Floats, Ints]:
    """Corners on their grid, equal ones joined; without triangles that have no corners left, or lie back to back."""
    grid, number = np.unique(np.round(nodes / STEP_MM).astype(np.int64), axis=0, return_inverse=True)
    faces = number.reshape(-1)[triangles]
    faces = faces[(faces != np.roll(faces, 1, axis=1)).all(axis=1)]
    first = np.argmin(faces, axis=1)[:, None]
    faces = np.take_along_axis(faces, (first + np.arange(3)) % 3, axis=1)
    turned = faces[:, 1] > faces[:, 2]
    kinds, kind = np.unique(np.sort(faces, axis=1), axis=0, return_inverse=True)
    balance = np.zeros(len(kinds), np.int64)
    np.add.at(balance, kind.reshape(-1), np.where(turned, -1, 1))
    kept = np.repeat(kinds, np.abs(balance), axis=0)
    backward = np.repeat(balance < 0, np.abs(balance))
    kept[backward] = kept[backward][:, [0, 2, 1]]
    used, kept_number = np.unique(kept, return_inverse=True)
    return grid[used].astype(np.float64) * STEP_MM, kept_number.reshape(-1, 3).astype(np.int64)


def settled(body: Manifold, simple_mm: float) -> Manifold:
    """A solid as a file keeps it.

    Parameters
    ----------
    body : Manifold
    simple_mm : float
        Corners nearer than this to a straight line are left out [mm].

    Returns
    -------
    Manifold
        Of corners on a grid of `STEP_MM`, no two of them equal, each edge of two triangles.

    Raises
    ------
    GeometryError
        If parts of it touch along an edge, so that no mesh of it closes.
    """
    for crumbs_mm in _CRUMBS_MM:
        nodes, triangles = _joined(*arrays(body.simplify(simple_mm + crumbs_mm)))
        if closed_once(triangles):
            return Manifold(Mesh64(nodes, triangles.astype(np.uint64)))
    raise GeometryError("a part of the scale model touches itself along an edge")

"""The stiffness matrix in the free directions: assembled fast, and factorised.

Glossary: an *unknown* is a free direction of a node. The pattern is found once for a mesh and its holds; each matrix is
then one weighted count. This module knows nothing of cloth.
"""

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix, csc_matrix

from shellparts.inflate.factor import Factor, analysed
from shellparts.inflate.holds import NodeFrames
from shellparts.inflate.potential import UPPER, WHOLE

__all__ = ["Stiffness"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


class Stiffness:
    """Assembles and factorises the stiffness matrices of one mesh with one set of holds.

    Parameters
    ----------
    faces : ndarray (m, 3) int
        Nodes of each face.
    frame : NodeFrames
        Free directions.
    """

    def __init__(self, faces: Ints, frame: NodeFrames):
        n = len(frame.start)
        self._directions = frame.directions
        turned = (frame.directions != np.eye(3)).any(axis=(1, 2))
        self._turned_faces = np.flatnonzero(turned[faces].any(axis=1))
        self._turns = _side_by_side(frame.directions[faces[self._turned_faces]])
        ends = np.sort(faces[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), axis=1)
        numbers = np.full((n, 3), -1, dtype=np.int64)
        numbers[frame.free] = np.arange(frame.free.sum())
        self.unknowns = int(frame.free.sum())
        self._place = np.flatnonzero(frame.free)
        # blocks of the lower half: each node with itself, then each edge, whose first node gives the columns
        keys = np.concatenate([np.arange(n) * (n + 1), np.unique(ends @ [n, 1])])
        first, second = np.divmod(keys, n)
        r = np.broadcast_to(numbers[second][:, :, None], (len(keys), 3, 3))
        c = np.broadcast_to(numbers[first][:, None, :], (len(keys), 3, 3))
        lower = (c >= 0) & (r >= c)
        size = (self.unknowns, self.unknowns)
        which = np.flatnonzero(lower).astype(float)
        pattern = coo_matrix((which, (r[lower], c[lower])), shape=size).tocsc()
        pattern.sort_indices()
        self._indices, self._indptr = pattern.indices, pattern.indptr
        # where each scalar of a block goes among the entries; those that have no place after all of them
        entry = np.full((len(keys), 3, 3), pattern.nnz)
        entry.ravel()[pattern.data.astype(np.int64)] = np.arange(pattern.nnz)
        sorter = np.argsort(keys)
        slots = np.empty((len(UPPER[0]), len(faces)), dtype=np.int64)
        for k, (one, other) in enumerate(zip(*UPPER, strict=True)):
            (corner, axis), (beside, on) = divmod(one, 3), divmod(other, 3)
            a, b = faces[:, corner], faces[:, beside]
            key = np.minimum(a, b) * n + np.maximum(a, b)
            block = sorter[np.searchsorted(keys, key, sorter=sorter)]
            slots[k] = np.where(a <= b, entry[block, on, axis], entry[block, axis, on])
        self._slots = slots.ravel()
        self._own_slots = entry[:n]
        self._factorise = analysed(pattern)

    def matrix(self, faces: Floats, nodes: Floats) -> csc_matrix:
        """Assemble the lower half (u, u) [N/mm] from both parts of `FormEnergy.hessian`, (45, m) and (n, 3, 3)."""
        some, count = self._turned_faces, len(self._indices)
        if len(some):
            whole = faces[WHOLE][:, :, some].transpose(2, 0, 1)
            turned = self._turns.transpose(0, 2, 1) @ whole @ self._turns
            faces = faces.copy()
            faces[:, some] = turned[:, *UPPER].T
        data = np.bincount(self._slots, weights=faces.ravel(), minlength=count + 1)[:count]
        own = self._directions.transpose(0, 2, 1) @ nodes @ self._directions
        free = self._own_slots < count
        data[self._own_slots[free]] += own[free]
        return csc_matrix((data, self._indices, self._indptr), shape=(self.unknowns, self.unknowns))

    def reduce(self, gradient: Floats) -> Floats:
        """Take the free parts (u,) of vectors (n, 3) in space."""
        return np.einsum("nij,ni->nj", self._directions, gradient).ravel()[self._place]

    def expand(self, unknowns: Floats) -> Floats:
        """Turn values (u,) along the free directions into vectors (n, 3) in space."""
        local = np.zeros(self._directions.shape[:2])
        local.ravel()[self._place] = unknowns
        return np.einsum("nij,nj->ni", self._directions, local)

    def factorise(self, matrix: csc_matrix, shift: float) -> Factor | None:
        """Factorise a matrix with a shift [N/mm] added to its diagonal; None if it is singular."""
        data = matrix.data.copy()
        data[matrix.indptr[:-1]] += shift  # a column's first entry is on the diagonal
        return self._factorise(data)


def _side_by_side(turns: Floats) -> Floats:
    """Directions of three corners (m, 3, 3, 3) as blocks on the diagonal of (m, 9, 9)."""
    out = np.zeros((len(turns), 9, 9))
    for corner in range(3):
        out[:, 3 * corner : 3 * corner + 3, 3 * corner : 3 * corner + 3] = turns[:, corner]
    return out

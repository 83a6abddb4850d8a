"""The matrix of second derivatives in the free directions: put together fast, and factorised.

Glossary: an *unknown* is a free direction of a node. A *pivot* is what is left on the diagonal when an
unknown is eliminated; by Sylvester's law as many pivots are negative as the matrix has negative
eigenvalues, so a form whose pivots are all positive lies in a true valley of the energy: it is stable.

The pattern is found once; each new matrix is one weighted count. Matrices without a negative pivot are factorised
by `fronts`; to count negative pivots is SuperLU's work, in its symmetric mode, which keeps to the diagonal.
This module knows nothing of cloth.
"""

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix, csc_matrix, tril
from scipy.sparse.linalg import splu

from shellparts.inflate.dissection import dissect
from shellparts.inflate.face_blocks import UPPER, WHOLE
from shellparts.inflate.fronts import Factor, Fronts
from shellparts.inflate.holds import Frame

__all__ = ["Stiffness", "both_halves", "falling_directions"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


class Stiffness:
    """Puts matrices of one mesh and one set of holds together.

    Parameters
    ----------
    faces : ndarray (m, 3) int
        Nodes of each face.
    frame : Frame
        Free directions.
    """

    def __init__(self, faces: Ints, frame: Frame):
        n = len(frame.start)
        self._directions = frame.directions
        turned = (frame.directions != np.eye(3)).any(axis=(1, 2))
        self._turned_faces = np.flatnonzero(turned[faces].any(axis=1))
        self._turns = _side_by_side(frame.directions[faces[self._turned_faces]])
        ends = faces[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2)
        keys = np.unique(ends.min(axis=1) * n + ends.max(axis=1))
        edges = np.stack(np.divmod(keys, n), axis=-1)
        tree = dissect(frame.start, edges)
        rank = np.empty(n, dtype=np.int64)
        rank[tree.order] = np.arange(n)
        ranked = frame.free[tree.order]
        numbers = np.full((n, 3), -1, dtype=np.int64)
        numbers[ranked] = np.arange(ranked.sum())
        self.unknowns = int(ranked.sum())
        # position of each unknown in the (n, 3) array of node directions
        self._place = (3 * tree.order[:, None] + np.arange(3))[ranked]
        # blocks of the lower half: each node with itself, then each edge, the node that goes first giving the columns
        first, later = np.sort(rank[edges], axis=1).T
        block_keys = np.concatenate([np.arange(n) * (n + 1), first * n + later])
        columns, rows = (numbers[np.concatenate([np.arange(n), one])] for one in (first, later))
        r = np.broadcast_to(rows[:, :, None], (len(rows), 3, 3))
        c = np.broadcast_to(columns[:, None, :], (len(rows), 3, 3))
        lower = (c >= 0) & (r >= c)
        size = (self.unknowns, self.unknowns)
        which = np.flatnonzero(lower).astype(float)
        pattern = coo_matrix((which, (r[lower], c[lower])), shape=size).tocsc()
        pattern.sort_indices()
        self._indices, self._indptr = pattern.indices, pattern.indptr
        # where each scalar of a block goes among the entries; those that have no place after all of them
        entry = np.full((len(rows), 3, 3), pattern.nnz)
        entry.ravel()[pattern.data.astype(np.int64)] = np.arange(pattern.nnz)
        sorter = np.argsort(block_keys)
        ranks = rank[faces]
        slots = np.empty((len(UPPER[0]), len(faces)), dtype=np.int64)
        for k, (one, other) in enumerate(zip(*UPPER, strict=True)):
            (corner, axis), (beside, on) = divmod(one, 3), divmod(other, 3)
            a, b = ranks[:, corner], ranks[:, beside]
            key = np.minimum(a, b) * n + np.maximum(a, b)
            block = sorter[np.searchsorted(block_keys, key, sorter=sorter)]
            slots[k] = np.where(a <= b, entry[block, on, axis], entry[block, axis, on])
        self._slots = slots.ravel()
        self._own_slots = entry[:n][rank]
        sizes = [int(frame.free[front].sum()) for front in tree.fronts]
        self._fronts = Fronts(sizes, tree.parents, self._indptr, self._indices)

    def matrix(self, faces: Floats, nodes: Floats) -> csc_matrix:
        """Put the matrix together.

        Parameters
        ----------
        faces : ndarray (45, m) float
            Second derivative of each face, as `Form.hessian` gives it.
        nodes : ndarray (n, 3, 3) float
            Second derivative of each node.

        Returns
        -------
        csc_matrix (u, u)
            Lower half of a symmetric matrix, rows and columns in the order of elimination.
        """
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
        """Take the free parts of a force on the nodes.

        Parameters
        ----------
        gradient : ndarray (n, 3) float
            Forces in space.

        Returns
        -------
        ndarray (u,) float
            Along the unknowns.
        """
        return np.einsum("nij,ni->nj", self._directions, gradient).ravel()[self._place]

    def expand(self, unknowns: Floats) -> Floats:
        """Turn unknowns into movements in space.

        Parameters
        ----------
        unknowns : ndarray (u,) float
            Along the free directions.

        Returns
        -------
        ndarray (n, 3) float
            Movements of the nodes.
        """
        local = np.zeros(self._directions.shape[:2])
        local.ravel()[self._place] = unknowns
        return np.einsum("nij,nj->ni", self._directions, local)

    def factorise(self, matrix: csc_matrix, shift: float) -> Factor | None:
        """Factorise a matrix with something added to its diagonal.

        Parameters
        ----------
        matrix : csc_matrix (u, u)
            As `matrix` gave it.
        shift : float
            Added to the diagonal, in the unit of the matrix [N/mm].

        Returns
        -------
        Factor or None
            None if it has a pivot that is not positive.
        """
        return self._fronts.factorise(_shifted(matrix, shift).data)


def _side_by_side(turns: Floats) -> Floats:
    """Directions of three corners (m, 3, 3, 3) as blocks on the diagonal of (m, 9, 9)."""
    out = np.zeros((len(turns), 9, 9))
    for corner in range(3):
        out[:, 3 * corner : 3 * corner + 3, 3 * corner : 3 * corner + 3] = turns[:, corner]
    return out


def _shifted(lower: csc_matrix, shift: float) -> csc_matrix:
    """A lower half with something added to its diagonal, whose entries come first in their columns."""
    data = lower.data.copy()
    data[lower.indptr[:-1]] += shift
    return csc_matrix((data, lower.indices, lower.indptr), shape=lower.shape)


def both_halves(lower: csc_matrix) -> csc_matrix:
    """Fill in the upper half of a symmetric matrix.

    Parameters
    ----------
    lower : csc_matrix (u, u)
        Its lower half.

    Returns
    -------
    csc_matrix (u, u)
        The whole matrix.
    """
    return csc_matrix(lower + tril(lower, -1).T)


def falling_directions(lower: csc_matrix, shift: float) -> int:
    """Count the negative pivots of a symmetric matrix with something added to its diagonal.

    Parameters
    ----------
    lower : csc_matrix (u, u)
        Its lower half, in the order of elimination, with its whole diagonal in the pattern and rows in order.
    shift : float
        Added to the diagonal, in the unit of the matrix [N/mm].

    Returns
    -------
    int
        How many; -1 if a pivot is exactly zero, or if the pivots had to leave the diagonal and so do not tell
        the signs.
    """
    options = {"SymmetricMode": True}
    try:
        lu = splu(
            both_halves(_shifted(lower, shift)), permc_spec="NATURAL", diag_pivot_thresh=0.0, options=options
        )
    except RuntimeError:
        # SuperLU's word for a pivot that is exactly zero
        return -1
    return int((lu.U.diagonal() < 0).sum()) if np.array_equal(lu.perm_r, lu.perm_c) else -1

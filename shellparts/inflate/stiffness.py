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
from scipy.sparse import coo_matrix, csc_matrix
from scipy.sparse.linalg import splu

from shellparts.inflate.dissection import dissect
from shellparts.inflate.fronts import Factor, Fronts
from shellparts.inflate.holds import Frame

__all__ = ["Stiffness", "falling_directions"]

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
        self._faces = faces
        turned = (frame.directions != np.eye(3)).any(axis=(1, 2))
        self._turned_faces = np.flatnonzero(turned[faces].any(axis=1))
        pair = (faces[:, :, None] * n + faces[:, None, :]).ravel()
        diagonal = np.arange(n) * (n + 1)
        pairs, slot = np.unique(np.concatenate([pair, diagonal]), return_inverse=True)
        rows, columns = np.divmod(pairs, n)
        tree = dissect(frame.start, np.stack([rows, columns], axis=-1)[rows < columns])
        order = tree.order
        number = np.full((n, 3), -1, dtype=np.int64)
        free = frame.free[order]
        ranked = np.full(free.shape, -1, dtype=np.int64)
        ranked[free] = np.arange(free.sum())
        number[order] = ranked
        self.unknowns = int(free.sum())
        # position of each unknown in the (n, 3) array of node directions
        self._place = np.empty(self.unknowns, dtype=np.int64)
        self._place[number[number >= 0]] = np.flatnonzero(number.ravel() >= 0)
        r = np.broadcast_to(number[rows][:, :, None], (len(pairs), 3, 3)).ravel()
        c = np.broadcast_to(number[columns][:, None, :], (len(pairs), 3, 3)).ravel()
        keep = np.flatnonzero((r >= 0) & (c >= 0))
        size = (self.unknowns, self.unknowns)
        pattern = coo_matrix((keep.astype(float), (r[keep], c[keep])), shape=size).tocsc()
        pattern.sort_indices()
        # where each scalar of a pair's block goes among the entries; those of held directions after all of them
        flat = np.full(9 * len(pairs), pattern.nnz)
        flat[pattern.data.astype(np.int64)] = np.arange(pattern.nnz)
        entry = flat.reshape(-1, 3, 3)
        between, own = slot[: len(pair)].reshape(-1, 3, 3), slot[len(pair) :]
        self._slots = entry[between].transpose(0, 1, 3, 2, 4).ravel()
        self._own_slots = entry[own].ravel()
        self._indices, self._indptr = pattern.indices, pattern.indptr
        sizes = [int(frame.free[front].sum()) for front in tree.fronts]
        self._fronts = Fronts(sizes, tree.parents, self._indptr, self._indices)

    def matrix(self, faces: Floats, nodes: Floats) -> csc_matrix:
        """Put the matrix together.

        Parameters
        ----------
        faces : ndarray (m, 3, 3, 3, 3) float
            Second derivative of each face: corner, axis, corner, axis.
        nodes : ndarray (n, 3, 3) float
            Second derivative of each node.

        Returns
        -------
        csc_matrix (u, u)
            Symmetric, rows and columns in the order of elimination.
        """
        some, count = self._turned_faces, len(self._indices)
        if len(some):
            turn = self._directions[self._faces[some]]
            faces = faces.copy()
            half = turn.transpose(0, 1, 3, 2) @ faces[some].reshape(-1, 3, 3, 9)
            turned = half.reshape(-1, 9, 3, 3).transpose(0, 2, 1, 3) @ turn
            faces[some] = turned.transpose(0, 2, 1, 3).reshape(-1, 3, 3, 3, 3)
        data = np.bincount(self._slots, weights=faces.ravel(), minlength=count + 1)[:count]
        own = self._directions.transpose(0, 2, 1) @ nodes @ self._directions
        free = self._own_slots < count
        data[self._own_slots[free]] += own.ravel()[free]
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


def _shifted(matrix: csc_matrix, shift: float) -> csc_matrix:
    """The matrix with something added to its diagonal, which its pattern holds."""
    if not shift:
        return matrix
    shifted = matrix.copy()
    shifted.setdiag(matrix.diagonal() + shift)
    return shifted


def falling_directions(matrix: csc_matrix, shift: float) -> int:
    """Count the negative pivots of a symmetric matrix with something added to its diagonal.

    Parameters
    ----------
    matrix : csc_matrix (u, u)
        Symmetric, in the order of elimination, with its whole diagonal in the pattern.
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
        lu = splu(_shifted(matrix, shift), permc_spec="NATURAL", diag_pivot_thresh=0.0, options=options)
    except RuntimeError:
        # SuperLU's word for a pivot that is exactly zero
        return -1
    return int((lu.U.diagonal() < 0).sum()) if np.array_equal(lu.perm_r, lu.perm_c) else -1

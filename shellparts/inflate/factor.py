"""Factors of a sparse symmetric matrix, positive definite or not, with the number of its negative eigenvalues.

A matrix is factorised as ``L D Lᵀ``. By Sylvester's law of inertia ``D`` has as many negative pivots as the matrix
has negative eigenvalues, so a form of a membrane whose pivots are all positive lies in a true valley of the energy.

The work is done by `rslab` (supernodal, with Bunch and Kaufman's pivots: J. R. Bunch, L. Kaufman, "Some stable methods
for calculating inertia and solving symmetric linear systems", Math. Comput. 31, 1977), on one thread; where it is not
installed by SciPy's SuperLU in its symmetric mode, which takes several times as long on large meshes.
"""

from collections.abc import Callable
from importlib.util import find_spec

import numpy as np
from attrs import frozen
from numpy.typing import NDArray
from scipy.sparse import csc_matrix, tril
from scipy.sparse.linalg import splu

__all__ = ["Factor", "analysed", "analysed_by_rslab", "analysed_by_superlu"]

Floats = NDArray[np.float64]


@frozen(eq=False)
class Factor:
    """A factorised matrix.

    Parameters
    ----------
    solve : callable
        Gives the unknowns for a right-hand side, (u,) float each; exact to rounding where `negative` is zero.
    negative : int
        Negative eigenvalues of the matrix; none is zero.
    """

    solve: Callable[[Floats], Floats]
    negative: int


Factoriser = Callable[[Floats], Factor | None]
"""From the entries of a lower half, in the order of its pattern; gives None if the matrix is singular to rounding, or
(SuperLU only) if the pivots had to leave the diagonal and so do not tell the signs."""


def analysed_by_rslab(lower: csc_matrix) -> Factoriser:
    """Prepare to factorise all matrices with the pattern of a lower half, rows in order, by rslab."""
    from rslab import analyze

    analysis = analyze(lower, "ldlt", threads=1)

    def factorise(entries: Floats) -> Factor | None:
        try:
            factor = analysis.factor(entries)
        except RuntimeError:  # its word for a pivot that is zero to rounding
            return None
        _, negative, zero = factor.inertia
        return None if zero else Factor(factor.solve, negative)

    return factorise


def analysed_by_superlu(lower: csc_matrix) -> Factoriser:
    """Prepare to factorise all matrices with the pattern of a lower half, rows in order, by SuperLU."""
    indices, indptr, shape = lower.indices, lower.indptr, lower.shape

    def factorise(entries: Floats) -> Factor | None:
        half = csc_matrix((entries, indices, indptr), shape=shape)
        whole = csc_matrix(half + tril(half, -1).T)
        try:
            lu = splu(whole, "MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
        except RuntimeError:  # its word for a pivot that is exactly zero
            return None
        if not np.array_equal(lu.perm_r, lu.perm_c):
            return None
        return Factor(lu.solve, int((lu.U.diagonal() < 0).sum()))

    return factorise


analysed = analysed_by_rslab if find_spec("rslab") else analysed_by_superlu
"""The better one of what is installed."""

"""Factors of a sparse symmetric matrix, positive definite or not, with the number of its negative eigenvalues.

A matrix is factorised as ``L D Lᵀ``. By Sylvester's law of inertia ``D`` has as many negative pivots as the matrix
has negative eigenvalues, so a form of a membrane whose pivots are all positive is a minimum of the energy.

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

__all__ = ["Factor", "analysed"]

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


def analysed(lower: csc_matrix, superlu: bool = find_spec("rslab") is None) -> Factoriser:
    """Prepare to factorise all matrices of one pattern.

    Parameters
    ----------
    lower : csc_matrix (u, u)
        The pattern: a lower half with its whole diagonal, rows in order.
    superlu : bool
        Whether SuperLU does the work; else rslab.

    Returns
    -------
    callable
        From the entries, in the order of the pattern, to a `Factor`, or to None if the matrix is singular to rounding,
        with SuperLU also if the pivots had to leave the diagonal, for then they do not tell the signs.
    """
    return _by_superlu(lower) if superlu else _by_rslab(lower)


def _by_rslab(lower: csc_matrix) -> Factoriser:
    """Analyse for rslab."""
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


def _by_superlu(lower: csc_matrix) -> Factoriser:
    """Analyse for SuperLU, which keeps nothing from one matrix to the next."""
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

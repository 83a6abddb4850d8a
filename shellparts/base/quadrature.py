"""Gauss-Legendre quadrature over pieces of intervals."""

import itertools

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["quadrature"]

Array = NDArray[np.float64]
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(12)


def quadrature(breaks: ArrayLike, pieces: int) -> tuple[Array, Array]:
    """Gauss-Legendre nodes and weights on intervals, each cut into equal pieces of 12 nodes.

    Parameters
    ----------
    breaks : array_like
        Ends of the intervals, in any order.
    pieces : int
        How many pieces an interval is cut into.

    Returns
    -------
    nodes, weights : ndarray
        Shape (intervals * pieces * 12,).
    """
    edges = np.unique(np.asarray(breaks, float))
    edges = np.unique(np.concatenate([np.linspace(a, b, pieces + 1) for a, b in itertools.pairwise(edges)]))
    middle, half = (edges[1:] + edges[:-1]) / 2, np.diff(edges) / 2
    return (middle[:, None] + half[:, None] * _NODES).ravel(), (half[:, None] * _WEIGHTS).ravel()

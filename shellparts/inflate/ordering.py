"""The order in which unknowns are eliminated: by minimum degree.

Glossary: the *degree* of a node is the number of others that it still shares an entry of the matrix with;
eliminating it ties all of these to each other. Taking next the node of least degree keeps the factor small.
SuperLU has that order built in; it is asked for it once, on the graph of the nodes, and the answer serves
every matrix of the same mesh. On sheets of up to 40,000 triangles it was measured faster than nested
dissection by planes.

This module knows only a graph.
"""

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import splu

__all__ = ["minimum_degree"]


def minimum_degree(count: int, edges: NDArray[np.int64]) -> NDArray[np.int64]:
    """Order nodes for elimination by minimum degree.

    Parameters
    ----------
    count : int
        Number of nodes.
    edges : ndarray (e, 2) int
        Pairs of nodes that share an entry of the matrix, each pair once.

    Returns
    -------
    ndarray (count,) int
        The nodes, first eliminated first.

    Examples
    --------
    The middle of a star comes when only one other node is left:

    >>> order = minimum_degree(5, np.array([[0, 1], [0, 2], [0, 3], [0, 4]]))
    >>> bool(np.flatnonzero(order == 0)[0] >= 3)
    True
    """
    i, j = np.asarray(edges).T
    own = np.arange(count)
    degree = np.bincount(np.concatenate([i, j]), minlength=count) + 1.0
    values = np.concatenate([-np.ones(2 * len(i)), degree])
    rows, columns = np.concatenate([i, j, own]), np.concatenate([j, i, own])
    graph = coo_matrix((values, (rows, columns)), shape=(count, count)).tocsc()
    factor = splu(graph, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
    return np.argsort(factor.perm_c).astype(np.int64)

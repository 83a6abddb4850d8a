"""The order in which unknowns are eliminated: by nested dissection in space.

Glossary: a mesh is *dissected* by halving it with a plane across its longest direction; the *border* is the
row of nodes along the cut without which the halves share nothing, and it is eliminated after both. The halves
are halved again, down to *leaves*. So the borders and leaves, each a *front*, form a tree, and all that is left
of a front's children when they are eliminated is a small dense block on rows of nodes around them.

(A. George, "Nested dissection of a regular finite element mesh", SIAM J. Numer. Anal. 10, 1973.)

This module knows only points and which of them are neighbours.
"""

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

__all__ = ["Dissection", "dissect"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_LEAF = 40
"""Nodes that are not worth dividing: fewer make dense blocks too small to be fast, more waste work on zeros."""
_STRETCH = 8
"""Nodes of a border that are put in order along one direction."""


@frozen(eq=False)
class Dissection:
    """An order of elimination with its tree.

    Parameters
    ----------
    fronts : tuple of ndarray of int
        The nodes of each front; every node is in one. Children come before their parents.
    parents : tuple of int
        The front that each front's block goes to; -1 for the last.
    """

    fronts: tuple[Ints, ...]
    parents: tuple[int, ...]

    @property
    def order(self) -> Ints:
        """The nodes, first eliminated first."""
        return np.concatenate(self.fronts)


class _Knife:
    """Halves a mesh again and again."""

    def __init__(self, points: Floats, leaf: int):
        self.points, self.leaf = points, leaf
        self.side = np.zeros(len(points), dtype=np.int8)
        self.fronts: list[Ints] = []
        self.parents: list[int] = []

    def dissect(self, nodes: Ints, edges: Ints) -> int:
        """Number the fronts of some nodes, whose edges among each other are given; tell the last one's number."""
        children: list[int] = []
        own = nodes
        if len(nodes) > self.leaf:
            own, halves = self._halve(nodes, edges)
            children = [self.dissect(*half) for half in halves if len(half[0])]
        self.fronts.append(own)
        self.parents.append(-1)
        number = len(self.fronts) - 1
        for child in children:
            self.parents[child] = number
        return number

    def _halve(self, nodes: Ints, edges: Ints) -> tuple[Ints, list[tuple[Ints, Ints]]]:
        """Border between two halves, and of each half its nodes and edges."""
        points = self.points[nodes]
        along = points[:, int(np.argmax(np.ptp(points, axis=0)))]
        side = self.side
        side[nodes] = 1
        side[nodes[np.argsort(along, kind="stable")[: len(nodes) // 2]]] = 0
        ends = side[edges]
        across = ends[:, 0] != ends[:, 1]
        cut, first = edges[across], ends[across, 0] == 0
        low = np.unique(np.where(first, cut[:, 0], cut[:, 1]))
        high = np.unique(np.where(first, cut[:, 1], cut[:, 0]))
        border = low if len(low) <= len(high) else high
        side[border] = 2
        ends, where = side[edges], side[nodes]
        return self._in_line(border), [(nodes[where == k], edges[(ends == k).all(axis=1)]) for k in (0, 1)]

    def _in_line(self, border: Ints) -> Ints:
        """Order a border so that the parts of it that smaller fronts touch are unbroken stretches, or nearly so."""
        if len(border) < 2:
            return border
        points = self.points[border]
        along = points[:, int(np.argmax(np.ptp(points, axis=0)))]
        border = border[np.argsort(along, kind="stable")]
        if len(border) <= _STRETCH:
            return border
        middle = len(border) // 2
        return np.concatenate([self._in_line(border[:middle]), self._in_line(border[middle:])])


def dissect(points: Floats, edges: Ints, leaf: int = _LEAF) -> Dissection:
    """Order the nodes of a mesh by nested dissection.

    Parameters
    ----------
    points : ndarray (n, d) float
        Where the nodes are.
    edges : ndarray (e, 2) int
        Pairs of nodes that share an entry of the matrix, each pair once.
    leaf : int
        Parts of at most so many nodes are not divided.

    Returns
    -------
    Dissection
        The fronts; together they hold each node once.

    Examples
    --------
    A chain of seven nodes falls into two ends and the node between them:

    >>> chain = np.stack([np.arange(6), np.arange(1, 7)], axis=1)
    >>> parts = dissect(np.arange(7.0)[:, None], chain, leaf=4)
    >>> [front.tolist() for front in parts.fronts], parts.parents
    ([[0, 1], [3, 4, 5, 6], [2]], (2, 2, -1))
    """
    knife = _Knife(np.asarray(points, dtype=float), leaf)
    knife.dissect(np.arange(len(points)), np.asarray(edges, dtype=np.int64).reshape(-1, 2))
    return Dissection(tuple(knife.fronts), tuple(knife.parents))

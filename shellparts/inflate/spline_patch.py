"""Cubic spline surfaces over flat cloth, and the least squares that lays them through nodes.

Glossary: a *patch* is a tensor grid of cubic B-splines over the rectangle round a flat region; its *poles* are the
points that are mixed; its *weights* say how much each pole counts at a place. The *stiffness* of a patch is the
integral of its squared second derivatives (thin plate): it decides where nodes say nothing. This module knows nothing
of rooms.
"""

from collections.abc import Sequence
from functools import cached_property

import numpy as np
from attrs import frozen
from numpy.typing import NDArray
from scipy.interpolate import BSpline
from scipy.sparse import csc_matrix, kron

__all__ = ["SplinePatch", "knots_between", "patch_over"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_DEGREE = 3
_LEAST_SPAN_MM = 15.0
"""No span is made shorter than this."""
_FLAT = 2.0
"""A span is halved the other way only if it is not this much shorter than wide."""


def knots_between(breaks: Floats) -> Floats:
    """Knots of a cubic spline that ends in its poles: the first and the last break four times.

    Parameters
    ----------
    breaks : ndarray (k,) float
        Rising.

    Returns
    -------
    ndarray (k + 6,) float
    """
    return np.concatenate([np.repeat(breaks[0], _DEGREE), breaks, np.repeat(breaks[-1], _DEGREE)])


def _grams(knots: Floats) -> list[csc_matrix]:
    """Integrals of products of cubic B-splines, of their first and of their second derivatives."""
    x, w = np.polynomial.legendre.leggauss(_DEGREE + 1)
    breaks = np.unique(knots)
    half, mid = np.diff(breaks) / 2, (breaks[1:] + breaks[:-1]) / 2
    at = (mid[:, None] + half[:, None] * x).ravel()
    weight = (half[:, None] * w).ravel()[:, None]
    basis = BSpline(knots, np.eye(len(knots) - _DEGREE - 1), _DEGREE)
    values = [basis(at, nu=derivative) for derivative in range(3)]
    return [csc_matrix(one.T @ (weight * one)) for one in values]


@frozen(eq=False)
class SplinePatch:
    """The grid of a patch, without its poles.

    Parameters
    ----------
    u, v : ndarray float
        Breaks along both axes of the flat piece, rising [mm].
    """

    u: Floats
    v: Floats

    @property
    def shape(self) -> tuple[int, int]:
        """Number of poles each way."""
        return len(self.u) + _DEGREE - 1, len(self.v) + _DEGREE - 1

    @property
    def poles(self) -> int:
        """Number of poles."""
        return self.shape[0] * self.shape[1]

    def weights(self, places: Floats) -> tuple[Ints, Floats]:
        """Which poles count at places, and how much.

        Parameters
        ----------
        places : ndarray (n, 2) float
            On the flat piece [mm]; those outside are taken at the edge of the grid.

        Returns
        -------
        poles : ndarray (n, 16) int
            Their numbers, row after row of the grid.
        weights : ndarray (n, 16) float
            They add up to 1.
        """
        index, value = [], []
        for axis, breaks in enumerate((self.u, self.v)):
            at = np.clip(places[:, axis], breaks[0], breaks[-1])
            one = BSpline.design_matrix(at, knots_between(breaks), _DEGREE)
            index.append(one.indices.reshape(-1, _DEGREE + 1).astype(np.int64))
            value.append(one.data.reshape(-1, _DEGREE + 1))
        numbers = index[0][:, :, None] * self.shape[1] + index[1][:, None, :]
        weights = value[0][:, :, None] * value[1][:, None, :]
        many = (_DEGREE + 1) ** 2
        return numbers.reshape(-1, many), weights.reshape(-1, many)

    @cached_property
    def stiffness(self) -> csc_matrix:
        """Thin-plate stiffness of the poles, (poles, poles)."""
        u, v = (_grams(knots_between(breaks)) for breaks in (self.u, self.v))
        return csc_matrix(kron(u[2], v[0]) + 2.0 * kron(u[1], v[1]) + kron(u[0], v[2]))

    def finer(self, places: Floats) -> "SplinePatch":
        """The same patch with spans halved where places are: the longer way, or both where they are alike.

        Parameters
        ----------
        places : ndarray (n, 2) float
            On the flat piece [mm].

        Returns
        -------
        SplinePatch
            Itself if no span is halved.
        """
        if not len(places):
            return self
        spans = []
        for axis, breaks in enumerate((self.u, self.v)):
            spans.append(np.clip(np.searchsorted(breaks, places[:, axis], "right") - 1, 0, len(breaks) - 2))
        lengths = [np.diff(breaks)[span] for breaks, span in zip((self.u, self.v), spans, strict=True)]
        made = []
        for axis, breaks in enumerate((self.u, self.v)):
            longer = (lengths[axis] * _FLAT > lengths[1 - axis]) & (lengths[axis] > 2 * _LEAST_SPAN_MM)
            halved = np.unique(spans[axis][longer])
            made.append(np.sort(np.concatenate([breaks, (breaks[halved] + breaks[halved + 1]) / 2])))
        return self if all(map(np.array_equal, made, (self.u, self.v))) else SplinePatch(*made)


def patch_over(places: Sequence[Floats], span_mm: float) -> SplinePatch:
    """Make an even grid round places.

    Parameters
    ----------
    places : sequence of ndarray (n, 2) float
        What it must reach [mm].
    span_mm : float
        About as far apart are the breaks [mm].

    Returns
    -------
    SplinePatch
    """
    points = np.concatenate(list(places))
    low, high = points.min(axis=0), points.max(axis=0)
    u, v = (np.linspace(a, b, max(2, round((b - a) / span_mm) + 1)) for a, b in zip(low, high, strict=True))
    return SplinePatch(u, v)

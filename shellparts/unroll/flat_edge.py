"""One edge of a flat outline: a plane curve known by arc length, heading and curvature.

Glossary: *heading* is the angle of the walking direction against the x axis; *curvature* is positive where
the walk turns left; the *sagitta* is how far a curve bows from its chord. A `LINE` and an `ARC` are evaluated
in closed form; a `CURVE` by quintic Hermite pieces that share position, heading and curvature at the nodes.

This module needs numpy alone and does not know what surface the edge came from.
"""

import enum
import math
from functools import cached_property
from typing import Self

import numpy as np
from attrs import evolve, frozen
from numpy.typing import ArrayLike, NDArray

__all__ = ["FlatEdge", "Form", "unit_vectors"]

Array = NDArray[np.float64]

_GAUSS_X, _GAUSS_W = np.polynomial.legendre.leggauss(8)
_GAUSS_X, _GAUSS_W = 0.5 * (_GAUSS_X + 1.0), 0.5 * _GAUSS_W
#: Below this turn [rad] the difference of an arc and its chord is summed as a series; the closed form would
#: cancel.
_SMALL_TURN = 0.3


class Form(enum.Enum):
    """What a flat edge is: straight, a circular arc, or any other curve."""

    LINE = "line"
    ARC = "arc"
    CURVE = "curve"


def unit_vectors(angle: ArrayLike) -> Array:
    """Directions in the plane.

    Examples
    --------
    >>> unit_vectors(0.0)
    array([1., 0.])
    """
    angle = np.asarray(angle, dtype=float)
    return np.stack((np.cos(angle), np.sin(angle)), axis=-1)


def _sinc(x: Array) -> Array:
    """Sine over its argument, 1 at 0."""
    return np.sinc(np.asarray(x) / np.pi)


def _cross(a: Array, b: Array) -> Array:
    """Z component of the cross product of plane vectors, along the last axis."""
    return a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]


def _turn_minus_sine(turn: float) -> float:
    """``turn - sin(turn)``, exact for small turns too."""
    if abs(turn) > _SMALL_TURN:
        return turn - math.sin(turn)
    square, total, term = turn * turn, 0.0, turn**3 / 6.0
    for order in range(4, 20, 2):
        total += term
        term *= -square / (order * (order + 1))
    return total


@frozen(eq=False)
class FlatEdge:
    """One edge laid flat.

    Parameters
    ----------
    key : int
        Identity of the edge in its body; both sides of a seam carry the same. -1 where unknown.
    form : Form
        Straight, arc, or curve.
    s : ndarray
        Arc length from the start of the walk at each node, (n,) [mm]; ``s[0]`` is 0.
    xy : ndarray
        The nodes, (n, 2) [mm].
    heading : ndarray
        Angle of the walk at each node, (n,) [rad], continuous along the edge.
    curvature : ndarray
        Signed curvature at each node, (n,) [1/mm]; positive turns left.
    solid_length_mm : float
        Length of the same edge measured in space, by a quadrature of its own [mm].
    forward : bool
        Whether the walk follows the edge's own parametric direction.
    """

    key: int
    form: Form
    s: Array
    xy: Array
    heading: Array
    curvature: Array
    solid_length_mm: float
    forward: bool = True

    @classmethod
    def straight(cls, start: Array, end: Array, key: int = -1) -> Self:
        """Make a straight edge between two points, (2,) [mm], that is known on the flat only."""
        along = end - start
        length, heading = float(np.hypot(*along)), math.atan2(along[1], along[0])
        ends = np.array([start, end], dtype=float)
        return cls(key, Form.LINE, np.array([0.0, length]), ends, np.full(2, heading), np.zeros(2), length)

    @property
    def start(self) -> Array:
        """First point, (2,) [mm]."""
        return self.xy[0]

    @property
    def end(self) -> Array:
        """Last point, (2,) [mm]."""
        return self.xy[-1]

    @cached_property
    def length_mm(self) -> float:
        """Length measured on the flat curve itself [mm]."""
        if self.form is Form.LINE:
            return float(np.hypot(*(self.end - self.start)))
        if self.form is Form.ARC:
            half = 0.5 * float(self.heading[-1] - self.heading[0])
            chord = float(np.hypot(*(self.end - self.start)))
            if chord > 1e-3 * self.s[-1]:
                return chord / float(_sinc(np.array(half)))
            return 2.0 * half / float(self.curvature[0])
        _, speed, weight = self._quadrature
        return float(np.sum(weight * np.hypot(speed[..., 0], speed[..., 1])))

    @cached_property
    def _quadrature(self) -> tuple[Array, Array, Array]:
        """Points, derivatives by arc length and weights of a Gauss rule on every Hermite piece."""
        piece = np.arange(len(self.s) - 1)[:, None]
        position, first, _ = self._hermite(piece, _GAUSS_X[None, :])
        return position, first, np.diff(self.s)[:, None] * _GAUSS_W

    def _hermite(self, piece: NDArray[np.int_], tau: Array) -> tuple[Array, Array, Array]:
        """Position and its first two derivatives by arc length on Hermite pieces, `tau` in 0..1."""
        step = np.diff(self.s)[piece][..., None]
        t = tau[..., None]
        tangent = unit_vectors(self.heading)
        bend = self.curvature[:, None] * np.stack((-tangent[:, 1], tangent[:, 0]), axis=-1)
        origin = self.xy[piece]
        p1 = self.xy[piece + 1] - origin
        v0, v1 = step * tangent[piece], step * tangent[piece + 1]
        a0, a1 = 0.5 * step**2 * bend[piece], 0.5 * step**2 * bend[piece + 1]
        d = p1 - v0 - a0
        e = v1 - v0 - 2.0 * a0
        f = a1 - a0
        c3, c4, c5 = 10.0 * d - 4.0 * e + f, -15.0 * d + 7.0 * e - 2.0 * f, 6.0 * d - 3.0 * e + f
        position = origin + t * (v0 + t * (a0 + t * (c3 + t * (c4 + t * c5))))
        first = (v0 + t * (2.0 * a0 + t * (3.0 * c3 + t * (4.0 * c4 + t * 5.0 * c5)))) / step
        second = (2.0 * a0 + t * (6.0 * c3 + t * (12.0 * c4 + t * 20.0 * c5))) / step**2
        return position, first, second

    def _locate(self, s: ArrayLike) -> tuple[NDArray[np.int_], Array]:
        """Hermite piece and place in it (0..1) for arc lengths."""
        s = np.atleast_1d(np.asarray(s, dtype=float))
        piece = np.clip(np.searchsorted(self.s, s, side="right") - 1, 0, len(self.s) - 2)
        return piece, (s - self.s[piece]) / (self.s[piece + 1] - self.s[piece])

    def at(self, s: ArrayLike) -> Array:
        """Points, (m, 2) [mm], at arc lengths from the start, (m,) [mm]."""
        s = np.atleast_1d(np.asarray(s, dtype=float))
        if self.form is Form.CURVE:
            return self._hermite(*self._locate(s))[0]
        share = (s / self.s[-1])[:, None]
        if self.form is Form.LINE:
            return self.start * (1.0 - share) + self.end * share
        half = 0.5 * self.curvature[0] * s
        chord = (s * _sinc(half))[:, None] * unit_vectors(self.heading[0] + half)
        return self.start + chord

    def heading_at(self, s: ArrayLike) -> Array:
        """Angles of the walk against the x axis, (m,) [rad], at arc lengths from the start, (m,) [mm]."""
        s = np.atleast_1d(np.asarray(s, dtype=float))
        if self.form is not Form.CURVE:
            return self.heading[0] + self.curvature[0] * s
        piece, tau = self._locate(s)
        about = self.heading[piece] * (1.0 - tau) + self.heading[piece + 1] * tau
        _, first, _ = self._hermite(piece, tau)
        ahead = unit_vectors(about)
        return about + np.arctan2(_cross(ahead, first), np.sum(ahead * first, axis=-1))

    def curvature_at(self, s: ArrayLike) -> Array:
        """Signed curvatures, (m,) [1/mm], positive to the left, at arc lengths from the start, (m,) [mm]."""
        s = np.atleast_1d(np.asarray(s, dtype=float))
        if self.form is not Form.CURVE:
            return np.full(s.shape, self.curvature[0])
        _, first, second = self._hermite(*self._locate(s))
        return _cross(first, second) / np.hypot(first[:, 0], first[:, 1]) ** 3

    @property
    def sector_mm2(self) -> float:
        """Area swept by the ray from the edge's first point, positive to the left [mm²]."""
        if self.form is Form.LINE:
            return 0.0
        if self.form is Form.ARC:
            turn = float(self.heading[-1] - self.heading[0])
            return 0.5 * _turn_minus_sine(turn) * (self.s[-1] / turn) ** 2
        position, first, weight = self._quadrature
        return float(0.5 * np.sum(weight * _cross(position - self.start, first)))

    def polyline(self, sagitta_mm: float) -> Array:
        """Points with both ends, (m, 2) [mm]; straight lines between them stay within the sagitta of the edge [mm]."""
        if self.form is Form.LINE:
            return np.array([self.start, self.end])
        bend = np.abs(self.curvature)
        steps = np.sqrt(np.maximum(bend[:-1], bend[1:]) / (8.0 * sagitta_mm)) * np.diff(self.s)
        measure = np.concatenate(([0.0], np.cumsum(steps)))
        count = max(
            1, math.ceil(1.02 * measure[-1]), math.ceil(abs(self.heading[-1] - self.heading[0]) / 1.5)
        )
        if measure[-1] == 0.0:
            return np.array([self.start, self.end])
        places = np.interp(np.linspace(0.0, measure[-1], count + 1), measure, self.s)
        points = self.at(places)
        points[0], points[-1] = self.start, self.end
        return points

    def moved(self, rotation: float, dx: float, dy: float) -> Self:
        """Turn the edge about the origin, to the left where positive [rad], then shift it [mm]."""
        c, s = math.cos(rotation), math.sin(rotation)
        xy = self.xy @ np.array([[c, s], [-s, c]]) + (dx, dy)
        return evolve(self, xy=xy, heading=self.heading + rotation)

    def mirrored(self) -> Self:
        """Mirror the edge in the y axis (x becomes -x); start stays start, so a loop of them runs the other way."""
        return evolve(
            self, xy=self.xy * (-1.0, 1.0), heading=math.pi - self.heading, curvature=-self.curvature
        )

    def reversed(self) -> Self:
        """Walk the edge from its end to its start; `forward` changes with it."""
        return evolve(
            self,
            s=self.s[-1] - self.s[::-1],
            xy=self.xy[::-1],
            heading=self.heading[::-1] + math.pi,
            curvature=-self.curvature[::-1],
            forward=not self.forward,
        )

    def part(self, s0: float, s1: float) -> Self:
        """The part from `s0` to `s1`, ``0 <= s0 < s1`` [mm]; its length in space is taken in proportion."""
        inside = self.s[(self.s > s0) & (self.s < s1)] if self.form is Form.CURVE else np.empty(0)
        margin = 1e-9 * (s1 - s0)
        inside = inside[(inside > s0 + margin) & (inside < s1 - margin)]
        s = np.concatenate(([s0], inside, [s1]))
        return evolve(
            self,
            s=s - s0,
            xy=self.at(s),
            heading=self.heading_at(s),
            curvature=self.curvature_at(s),
            solid_length_mm=self.solid_length_mm * (s1 - s0) / float(self.s[-1]),
        )

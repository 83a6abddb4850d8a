"""Runs: the smooth stretches that a profile is made of, in (radius, height).

Each is a curve with a parameter from 0 to 1: a line, an arc, or a spline. This module does not know how they join.
"""

from functools import cached_property
from typing import Any, Protocol

import numpy as np
from attrs import evolve, frozen
from numpy.typing import ArrayLike, NDArray

__all__ = ["ArcRun", "LineRun", "Run", "SplineRun"]

Array = NDArray[np.float64]


class Run(Protocol):
    """One smooth stretch of a profile, with a parameter that runs from 0 to 1."""

    def at(self, t: ArrayLike) -> Array:
        """Points at the parameters `t`, shape (n, 2): radius and height [mm]."""
        ...

    def slope(self, t: ArrayLike) -> Array:
        """Derivatives by `t` at the parameters `t`, shape (n, 2) [mm]."""
        ...

    def parameter_at(self, height: Array) -> Array:
        """Parameters at the heights given [mm], shape (n,)."""
        ...

    def cut(self, t: float) -> "Run":
        """The part from 0 to `t`."""
        ...

    @property
    def spans(self) -> Array:
        """Parameters between which it is smooth to any order: 0, the knots of a spline, 1."""
        return np.array([0.0, 1.0])

    @property
    def turns(self) -> Array:
        """Parameters at which its radius or its steepness can be least: 0, those inside, 1."""
        return np.array([0.0, 1.0])


@frozen
class LineRun(Run):
    """A straight stretch between two points."""

    start: tuple[float, float]
    end: tuple[float, float]

    def at(self, t: ArrayLike) -> Array:
        """Points at `t`, shape (n, 2) [mm]."""
        a, b = np.array(self.start), np.array(self.end)
        return a + np.multiply.outer(np.asarray(t, float), b - a)

    def slope(self, t: ArrayLike) -> Array:
        """Derivatives by `t`, shape (n, 2) [mm]."""
        return np.broadcast_to(np.subtract(self.end, self.start), (*np.shape(t), 2)).astype(float)

    def parameter_at(self, height: Array) -> Array:
        """Parameters at the heights given [mm], shape (n,)."""
        return (np.asarray(height, float) - self.start[1]) / (self.end[1] - self.start[1])

    def cut(self, t: float) -> "LineRun":
        """The part from 0 to `t`."""
        r, z = self.at(t)
        return evolve(self, end=(float(r), float(z)))


@frozen
class ArcRun(Run):
    """A circular stretch: centre (radius, height), its radius, and two angles from the horizontal [rad]."""

    centre: tuple[float, float]
    radius: float
    first: float
    last: float

    def _angle(self, t: ArrayLike) -> Array:
        return self.first + np.asarray(t, float) * (self.last - self.first)

    def at(self, t: ArrayLike) -> Array:
        """Points at `t`, shape (n, 2) [mm]."""
        a = self._angle(t)
        return np.stack([np.cos(a), np.sin(a)], axis=-1) * self.radius + np.array(self.centre)

    def slope(self, t: ArrayLike) -> Array:
        """Derivatives by `t`, shape (n, 2) [mm]."""
        a = self._angle(t)
        return np.stack([-np.sin(a), np.cos(a)], axis=-1) * self.radius * (self.last - self.first)

    def parameter_at(self, height: Array) -> Array:
        """Parameters at the heights given [mm], shape (n,)."""
        sine = (np.asarray(height, float) - self.centre[1]) / self.radius
        return (np.arcsin(np.clip(sine, -1.0, 1.0)) - self.first) / (self.last - self.first)

    def cut(self, t: float) -> "ArcRun":
        """The part from 0 to `t`."""
        return evolve(self, last=float(self._angle(t)))


@frozen(eq=False)
class SplineRun(Run):
    """A stretch of a cubic B-spline: scipy's knots and poles, and the last parameter that is used."""

    knots: Array
    poles: Array
    degree: int = 3
    last: float = 1.0

    @cached_property
    def _curve(self) -> Any:
        from scipy.interpolate import BSpline

        return BSpline(self.knots, self.poles, self.degree)

    def at(self, t: ArrayLike) -> Array:
        """Points at `t`, shape (n, 2) [mm]."""
        return np.asarray(self._curve(np.asarray(t, float) * self.last))

    def slope(self, t: ArrayLike) -> Array:
        """Derivatives by `t`, shape (n, 2) [mm]."""
        return np.asarray(self._curve(np.asarray(t, float) * self.last, 1)) * self.last

    def parameter_at(self, height: Array) -> Array:
        """Parameters at the heights given [mm], shape (n,), by Newton steps kept inside a bracket."""
        height = np.asarray(height, float)
        low, high = np.zeros_like(height), np.ones_like(height)
        t = np.full_like(height, 0.5)
        for _ in range(60):
            off = self.at(t)[..., 1] - height
            low, high = np.where(off < 0, t, low), np.where(off < 0, high, t)
            with np.errstate(divide="ignore", invalid="ignore"):
                step = t - off / self.slope(t)[..., 1]
            inside = (step >= low) & (step <= high)
            following = np.where(inside, step, (low + high) / 2)
            if np.all(np.abs(following - t) < 1e-15):
                break
            t = following
        return t

    def cut(self, t: float) -> "SplineRun":
        """The part from 0 to `t`."""
        return evolve(self, last=self.last * t)

    @property
    def spans(self) -> Array:
        """Parameters between which it is smooth to any order: 0, the knots, 1."""
        return np.unique(np.append(np.clip(self.knots / self.last, 0.0, 1.0), [0.0, 1.0]))

    @property
    def turns(self) -> Array:
        """Parameters at which its radius or its steepness can be least: ends, knots, where a derivative is zero."""
        from scipy.interpolate import PPoly

        radius, height = (PPoly.from_spline((self.knots, self.poles[:, k], self.degree)) for k in (0, 1))
        inside = [radius.derivative().roots(extrapolate=False), height.derivative(2).roots(extrapolate=False)]
        t = np.concatenate(inside) / self.last
        return np.unique(np.concatenate([self.spans, t[(t > 0.0) & (t < 1.0)]]))

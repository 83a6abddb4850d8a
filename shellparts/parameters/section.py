"""Cross-sections of tubes.

Glossary: a *section* is a path of stretches, counter-clockwise around the air seen against the tube's
direction, in coordinates (sideways, upward). It is closed for a sleeve; for a tunnel it runs from the right
foot over the head to the left foot, and the floor closes it. A stretch is straight or circular; its
*parameter* is the share of the way along a straight stretch, or the angle of a circular one.
"""

import math

import numpy as np
from attrs import frozen
from numpy.typing import ArrayLike, NDArray

__all__ = ["Stretch"]

Array = NDArray[np.float64]


@frozen
class Stretch:
    """A straight stretch from `start` to `end`, or a circular one about `centre` [mm]."""

    start: tuple[float, float]
    end: tuple[float, float]
    centre: tuple[float, float] | None = None
    first: float = 0.0
    last: float = 1.0

    @classmethod
    def arc(cls, centre: tuple[float, float], radius: float, first: float, last: float) -> "Stretch":
        """A circular stretch between two angles [rad], at most half a turn."""
        ends = [(centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in (first, last)]
        return cls(ends[0], ends[1], centre, first, last)

    @property
    def radius(self) -> float:
        """Radius of a circular stretch [mm]."""
        assert self.centre is not None
        return math.dist(self.start, self.centre)

    def at(self, parameters: ArrayLike) -> Array:
        """Points at the parameters, shape (n, 2) [mm]; exactly the ends at the ends."""
        t = np.atleast_1d(np.asarray(parameters, float))
        if self.centre is None:
            points = np.array(self.start) + np.outer(t, np.subtract(self.end, self.start))
        else:
            points = np.array(self.centre) + self.radius * np.column_stack([np.cos(t), np.sin(t)])
        points[t == self.first] = self.start
        points[t == self.last] = self.end
        return points

    def parameter_at_side(self, sideways: float) -> float | None:
        """Parameter of the point at a sideways position strictly inside the stretch, or None."""
        a, b = self.start[0], self.end[0]
        if not min(a, b) + 1e-6 < sideways < max(a, b) - 1e-6:
            return None
        if self.centre is None:
            return (sideways - a) / (b - a)
        return math.acos((sideways - self.centre[0]) / self.radius)

    def parameter_at_height(self, upward: float) -> float | None:
        """Parameter of the point at an upward position strictly inside a straight stretch, or None."""
        a, b = self.start[1], self.end[1]
        if self.centre is not None or not min(a, b) + 1e-6 < upward < max(a, b) - 1e-6:
            return None
        return (upward - a) / (b - a)

    @property
    def outward(self) -> Array:
        """Outward normal of a straight stretch, shape (2,)."""
        along = np.subtract(self.end, self.start)
        return np.array([along[1], -along[0]]) / np.hypot(*along)

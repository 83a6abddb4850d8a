"""Profiles: the plane curves that a shell is drawn with.

Glossary: a *run* is one smooth stretch of the profile in (radius, height); the *reference* profile is the one
the user gives; the *mid-line* (through a panel's middle) and the *seam line* (through a ridge) are the
reference stretched sideways by a constant. Heights rise strictly along a profile. This module knows nothing
of panels or of a kernel.
"""

import itertools
import math
from functools import cached_property

import numpy as np
from attrs import evolve, frozen
from numpy.typing import ArrayLike, NDArray

from shellparts.parameters.profile_runs import ArcRun, LineRun, Run, SplineRun

__all__ = [
    "ArcRun",
    "LineRun",
    "Profile",
    "Run",
    "SplineRun",
    "dome",
    "pointed",
    "polyline",
    "smooth",
    "straight",
]

Array = NDArray[np.float64]
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(24)


#: A profile that rises more slowly than this, against its fastest, all but comes to a stop.
_LEAST_RISE = 1e-6


@frozen(eq=False)
class Profile:
    """Runs joined end to end, from the floor up, stretched sideways by a constant.

    Parameters
    ----------
    runs : tuple of Run
        From the floor to the top; each starts where the one before ends.
    stretch : float
        Factor on every radius.
    """

    runs: tuple[Run, ...]
    stretch: float = 1.0

    def stretched(self, factor: float) -> "Profile":
        """The same profile with every radius times `factor`."""
        return evolve(self, stretch=self.stretch * factor)

    def points(self, index: int, t: ArrayLike) -> Array:
        """Points of run `index` at the parameters `t`, shape (n, 2) [mm], stretched."""
        return self.runs[index].at(t) * np.array([self.stretch, 1.0])

    def slope(self, index: int, t: ArrayLike) -> Array:
        """Derivatives of run `index` at the parameters `t`, shape (n, 2) [mm], stretched."""
        return self.runs[index].slope(t) * np.array([self.stretch, 1.0])

    @cached_property
    def breaks(self) -> Array:
        """Ends of the runs from the floor up, shape (runs + 1, 2) [mm]."""
        starts = [self.points(i, 0.0) for i in range(len(self.runs))]
        return np.array([*starts, self.points(len(self.runs) - 1, 1.0)])

    @cached_property
    def top(self) -> tuple[float, float]:
        """Upper end: radius and height [mm]."""
        r, z = self.points(len(self.runs) - 1, 1.0)
        return float(r), float(z)

    def run_length(self, index: int, upto: float = 1.0, since: float = 0.0) -> float:
        """Arc length of run `index` between two of its parameters [mm]."""
        spans = self.runs[index].spans
        inside = spans[(spans > since) & (spans < upto)]
        total = 0.0
        for low, high in itertools.pairwise([since, *inside.tolist(), upto]):
            for a, b in itertools.pairwise(np.linspace(low, high, 5)):
                t = (a + b) / 2 + (b - a) / 2 * _NODES
                d = self.slope(index, t)
                total += float(np.hypot(d[:, 0], d[:, 1]) @ _WEIGHTS) * (b - a) / 2
        return total

    @property
    def length(self) -> float:
        """Arc length from the floor to the top [mm]."""
        return sum(self.run_length(i) for i in range(len(self.runs)))

    def shortened(self, amount: float) -> "Profile | None":
        """The profile less `amount` [mm] of its arc length at the top, or None when nothing would be left."""
        from scipy.optimize import brentq

        left = amount
        for index in range(len(self.runs) - 1, -1, -1):
            whole = self.run_length(index)
            if left <= 0.0:
                return evolve(self, runs=self.runs[: index + 1])
            if left < whole:
                t = brentq(lambda t, i=index, a=left: self.run_length(i, 1.0, t) - a, 0.0, 1.0, xtol=1e-15)
                return evolve(self, runs=(*self.runs[:index], self.runs[index].cut(float(t))))
            left -= whole
        return None

    def radius_at(self, height: ArrayLike) -> Array:
        """Radius at the heights given [mm]; those of the ends below the floor and above the top."""
        heights = np.asarray(height, float)
        flat = np.clip(heights.ravel(), self.breaks[0, 1], self.top[1])
        index = np.clip(np.searchsorted(self.breaks[:, 1], flat, "right") - 1, 0, len(self.runs) - 1)
        out = np.empty_like(flat)
        for i in np.unique(index):
            chosen = index == i
            out[chosen] = self.points(int(i), self.parameter_at(int(i), flat[chosen]))[:, 0]
        return out.reshape(heights.shape)

    def parameter_at(self, index: int, height: Array) -> Array:
        """Parameters of run `index` at the heights given [mm], shape (n,)."""
        return self.runs[index].parameter_at(height)

    def rises(self) -> bool:
        """Whether heights rise strictly and radii stay at or above zero, everywhere."""
        for index, run in enumerate(self.runs):
            t = run.turns
            slope = self.slope(index, t)
            least = np.full(len(t), _LEAST_RISE)
            least[[0, -1]] *= -1.0  # a dome may end level
            steep = slope[:, 1] > least * np.hypot(*slope.T).max()
            if not (steep.all() and (self.points(index, t)[:, 0] > -1e-9).all()):
                return False
        return True


def straight(radius: float, wall: float, height: float) -> Profile:
    """Make the profile of a straight-sided room that would end in a point; all in mm, no wall where it is 0."""
    return Profile((*_upright(radius, wall), LineRun((radius, wall), (0.0, height))))


def dome(radius: float, wall: float, height: float) -> Profile:
    """Make the profile of a part of a sphere that is level at the top.

    Parameters
    ----------
    radius, wall, height : float
        At the floor; of the upright wall, or 0; of the top above the floor [mm]. The rise above
        the wall is at most `radius`.

    Examples
    --------
    >>> round(float(dome(2500.0, 0.0, 2500.0).length) * 2 / math.pi, 9)
    2500.0
    """
    rise = height - wall
    sphere = (radius**2 + rise**2) / (2 * rise)
    first = math.atan2(sphere - rise, radius)
    arc = ArcRun((0.0, height - sphere), sphere, first, math.pi / 2)
    return Profile((*_upright(radius, wall), arc))


def pointed(radius: float, wall: float, height: float) -> Profile:
    """Make the profile of a pointed arch: an arc that leaves the wall upright and meets the axis at an angle.

    Parameters
    ----------
    radius, wall, height : float
        At the floor; of the upright wall, or 0; of the point above the floor [mm]. The rise above
        the wall is more than `radius`.
    """
    rise = height - wall
    bow = (radius**2 + rise**2) / (2 * radius)
    arc = ArcRun((radius - bow, wall), bow, 0.0, math.atan2(rise, bow - radius))
    return Profile((*_upright(radius, wall), arc))


def polyline(points: ArrayLike) -> Profile:
    """Make a profile of straight stretches through radius and height, shape (n, 2) [mm], from the floor up."""
    p = np.asarray(points, float)
    pairs = [(tuple(a), tuple(b)) for a, b in zip(p.tolist(), p.tolist()[1:], strict=False)]
    return Profile(tuple(LineRun(a, b) for a, b in pairs))


def smooth(points: ArrayLike) -> Profile:
    """Make a profile that is one smooth curve through points: the interpolating cubic spline over chord
    length.

    Parameters
    ----------
    points : array_like
        Shape (n, 2), n >= 4: radius and height [mm], from the floor up.
    """
    from scipy.interpolate import make_interp_spline

    p = np.asarray(points, float)
    u = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(p, axis=0).T))])
    spline = make_interp_spline(u / u[-1], p, k=3)
    return Profile((SplineRun(spline.t, spline.c),))


def _upright(radius: float, wall: float) -> tuple[LineRun, ...]:
    return (LineRun((radius, 0.0), (radius, wall)),) if wall > 0 else ()

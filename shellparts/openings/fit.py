"""Where tubes leave the shell, and what all but meets its lines. No kernel.

The shell is a regular polygon at every height, so all of it is plain arithmetic. Lines of two parts may coincide
exactly, a doorway as wide as a panel for one, or keep clear of each other; what lies between cannot be cut, and is too
thin for the kernel's mesher. A *level* is a height at which the shell's profile bends.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from shellparts.base.checks import require
from shellparts.base.tolerances import TOLERANCES
from shellparts.base.units import metric
from shellparts.parameters.profile import Profile

__all__ = ["leaving", "nearly_meets", "none_or_sewable", "refuse_near_miss", "steepness"]

Array = NDArray[np.float64]
#: Nearer than this two lines count as one.
_SAME_MM = 1e-3 * TOLERANCES.same_point_mm


def leaving(
    profile: Profile, radial: ArrayLike, radial_step: ArrayLike, height: ArrayLike, height_step: float
) -> Array:
    """Where lines that start inside a panel's mid-line leave it.

    Parameters
    ----------
    profile : Profile
        The mid-line.
    radial : array_like
        Radial position of the lines at distance 0 [mm]; any shape that broadcasts with the others.
    radial_step : array_like
        How the radial position grows per millimetre of distance, positive; broadcast as well.
    height : array_like
        Height of the lines at distance 0 [mm]; broadcast as well.
    height_step : float
        How the height grows per millimetre of distance.

    Returns
    -------
    ndarray
        Distances [mm], of the common shape; NaN where the line does not leave.
    """
    a, step, z = np.broadcast_arrays(*(np.asarray(values, float) for values in (radial, radial_step, height)))
    if height_step == 0.0:
        return (profile.radius_at(z) - a) / step
    reach = 2.0 * float(profile.breaks[:, 0].max())

    def outside(t: Array) -> NDArray[np.bool_]:
        return a + t * step > profile.radius_at(z + t * height_step)

    # From well inside outwards: the first step that is outside, then bisection.
    steps = np.linspace(-0.45 * reach, 0.45 * reach, 181)
    out = outside(steps.reshape(-1, *(1,) * a.ndim))
    crossing = np.argmax(out, axis=0)
    low, high = steps[np.maximum(crossing - 1, 0)], steps[crossing]
    for _ in range(60):
        middle = (low + high) / 2
        beyond = outside(middle)
        low, high = np.where(beyond, low, middle), np.where(beyond, middle, high)
    return np.where(out.any(axis=0) & (crossing > 0), (low + high) / 2, np.nan)


def steepness(profile: Profile, heights: Array) -> Array:
    """Change of a profile's radius with height, at heights [mm]."""
    run = np.clip(np.searchsorted(profile.breaks[:, 1], heights, "right") - 1, 0, len(profile.runs) - 1)
    out = np.empty_like(heights)
    for i in np.unique(run):
        chosen = run == i
        dr, dz = profile.slope(int(i), profile.parameter_at(int(i), heights[chosen])).T
        out[chosen] = dr / dz
    return out


def nearly_meets(values: ArrayLike, lines: ArrayLike, touching: bool = False) -> bool:
    """Whether a value lies next to a line [mm], or, where touching is refused too, on it."""
    off = np.abs(np.subtract.outer(np.asarray(values, float), np.asarray(lines, float)))
    return bool(np.any((off < TOLERANCES.near_miss_mm) & (touching | (off > _SAME_MM))))


def refuse_near_miss(near: bool, what: str, value: float, side: str, line: str, by: float = 2.0) -> None:
    """Refuse a size whose side all but meets a line; what to change it by is in millimetres."""
    clear = metric(TOLERANCES.near_miss_mm, 1)
    limit = f"such that {side} keep at least {clear} clear of {line}, which they all but meet"
    require(not near, what, metric(value, 6), limit, f"change it by {metric(by)} or more")


def none_or_sewable(what: str, value: float, remedy: str) -> None:
    """Refuse a length that is neither 0 nor long enough to sew [mm]."""
    fits = value == 0.0 or value >= 20.0
    require(fits, what, metric(value, 3), "0 mm for none, or at least 20 mm", remedy)

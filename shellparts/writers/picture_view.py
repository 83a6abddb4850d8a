"""From where a picture is taken: the side, the height and the distance. Plain arithmetic.

Glossary: the *azimuth* is the direction in plan from the room's axis to the viewer, counter-clockwise from
+x, where the doorway is; the *elevation* is how far the viewer looks down; *framing* places the camera so
that the given points fill the picture and none is cut off. This module knows nothing of what the points are.
"""

import math

import numpy as np
from attrs import frozen
from numpy.typing import NDArray
from scipy.optimize import brentq

__all__ = ["View", "frame", "three_quarter"]

Array = NDArray[np.float64]

_USUAL = math.radians(38.0)
_STEEPEST = math.radians(64.0)
#: A sleeve no further than this from the viewer's azimuth stands before the room [rad].
_BESIDE = math.radians(80.0)
#: Share of a sleeve behind the room that must stand out beside it.
_STANDING_OUT = 0.35


@frozen(eq=False)
class View:
    """A camera.

    Parameters
    ----------
    position, target, up : ndarray
        Shape (3,) [mm]; `up` is a unit vector.
    view_angle : float
        Upright opening of the picture [rad].
    """

    position: Array
    target: Array
    up: Array
    view_angle: float

    def project(self, points: Array, aspect: float) -> Array:
        """Find where points lie in the picture.

        Parameters
        ----------
        points : ndarray
            Shape (n, 3) [mm], before the camera.
        aspect : float
            Width of the picture over its height [-].

        Returns
        -------
        ndarray
            Shape (n, 2): to the right and upward, each from -1 to 1 within the picture.
        """
        away = self.target - self.position
        away = away / np.linalg.norm(away)
        right = np.cross(away, self.up)
        depth = (points - self.position) @ away
        scale = math.tan(self.view_angle / 2) * depth
        offset = points - self.position
        return np.column_stack([offset @ right / (scale * aspect), offset @ self.up / scale])


def three_quarter(
    doorway: float | None, sleeve: float | None, reach: float = 0.0, radius: float = 0.0
) -> float:
    """Azimuth from which the doorway's opening is seen and the sleeve is not hidden.

    Parameters
    ----------
    doorway, sleeve : float or None
        Azimuths of what there is [rad].
    reach, radius : float
        How far the sleeve's mouth and the room's foot are from the axis [mm].

    Returns
    -------
    float
        Azimuth of the viewer [rad]: on the sleeve's side of the doorway, and only as far round as it takes
        for the sleeve to come before the room or to stand out beside it; never so far that the opening is
        seen edge on.

    Examples
    --------
    >>> turns = np.radians([90, -100, 150, 180])
    >>> [round(math.degrees(three_quarter(0.0, turn, 4e3, 2.5e3))) for turn in turns]
    [38, -38, 38, 50]
    """
    if doorway is None:
        return _USUAL if sleeve is None else sleeve - _USUAL
    if sleeve is None:
        return doorway + _USUAL
    apart = math.remainder(sleeve - doorway, 2 * math.pi)
    shown = radius + _STANDING_OUT * (reach - radius)
    for turn in np.arange(_USUAL, _STEEPEST, math.radians(1.0)):
        left = abs(apart) - turn
        if left <= _BESIDE or reach * math.sin(left) >= shown:
            return doorway + math.copysign(float(turn), apart)
    return doorway + math.copysign(_STEEPEST, apart)


def frame(
    points: Array, azimuth: float, elevation: float, view_angle: float, aspect: float, filled: float
) -> View:
    """Place a camera so that points fill the picture.

    Parameters
    ----------
    points : ndarray
        Shape (n, 3) [mm].
    azimuth, elevation : float
        Of the viewer [rad].
    view_angle : float
        Upright opening of the picture [rad].
    aspect : float
        Width of the picture over its height [-].
    filled : float
        Share of the picture that the points may fill, up to 1 [-].

    Returns
    -------
    View
        The nearest one that shows all points; they touch the filled part's border on two opposite sides, and
        lie in the middle between the other two.

    Examples
    --------
    >>> corners = np.array([[x, y, z] for x in (0, 2e3) for y in (-1e3, 1e3) for z in (0, 3e3)])
    >>> view = frame(corners, 0.6, 0.3, 0.5, 1.6, 0.8)
    >>> round(float(np.abs(view.project(corners, 1.6)).max()), 9)
    0.8
    """
    flat = np.array([math.cos(azimuth), math.sin(azimuth), 0.0])
    toward = math.cos(elevation) * flat + math.sin(elevation) * np.array([0.0, 0.0, 1.0])
    right = np.array([-math.sin(azimuth), math.cos(azimuth), 0.0])
    up = np.cross(toward, right)
    depth = points @ toward
    # A point at offset u and depth w is inside when |u - u0| <= slope (d - w): both meet at the least d.
    slope, distances = math.tan(view_angle / 2) * filled, []
    for axis, opening in ((right, slope * aspect), (up, slope)):
        high, low = (points @ axis + opening * depth).max(), (opening * depth - points @ axis).max()
        distances.append((high + low) / (2 * opening))
    distance = max(distances)
    target = _middle(points @ right, distance - depth) * right + _middle(points @ up, distance - depth) * up
    return View(target + distance * toward, target, up, view_angle)


def _middle(offsets: Array, away: Array) -> float:
    """Offset from which points at distances away reach equally far to both sides in the picture."""

    def lean(middle: float) -> float:
        seen = (offsets - middle) / away
        return float(seen.max() + seen.min())

    return float(brentq(lean, offsets.min() - 1.0, offsets.max() + 1.0, xtol=1e-9))

"""What flat picture a projector can put on the panels, and from how far.

Glossary: *aspect* is width over height, 16:9; *throw ratio* is the distance of the projector
over the picture's width; *chord* is the straight width across several panels; *depth* is how far the panels
fall back behind or stand before that chord's plane. Panels are taken as sewn: the air bulges them, which
bends the picture's edges. Not known here: lenses, keystone, brightness, shadows.
"""

import math

import numpy as np
from attrs import frozen

from shellparts.base.checks import between
from shellparts.loads.room_figures import RoomFigures

__all__ = [
    "WALL_ASPECT",
    "Picture",
    "chord_width",
    "picture_on_panels",
    "sagitta",
]

WALL_ASPECT = 16.0 / 9.0


@frozen
class Picture:
    """Largest picture on so many panels.

    Parameters
    ----------
    panels : int
        Panels side by side [-].
    width_mm : float
        Width of the picture [mm].
    picture_height_mm : float
        Height of the picture, along the slope of the wall [mm].
    bottom_mm : float
        Height of its lower edge above the floor [mm].
    depth_mm : float
        Farthest that the cloth stands off one plane within the picture [mm].
    throw_mm : float
        Distance from projector to picture [mm].
    fits_inside : bool
        Whether that distance is there inside the room.
    """

    panels: int
    width_mm: float
    picture_height_mm: float
    bottom_mm: float
    depth_mm: float
    throw_mm: float
    fits_inside: bool


def chord_width(diameter_mm: float, panel_count: int, panels: int = 1) -> float:
    """Straight width across neighbouring panels of a regular room, ``D·sin(k·180°/n)``.

    Parameters
    ----------
    diameter_mm : float
        Diameter through the seams [mm].
    panel_count : int
        Panels round the room [-].
    panels : int
        Neighbouring panels k [-], at most half of them.

    Returns
    -------
    float
        The chord [mm].

    Raises
    ------
    ParameterError
        If more than half of the panels are asked for.

    References
    ----------
    Machinery's Handbook, chords of a divided circle.

    Examples
    --------
    >>> round(chord_width(6.0, 8), 3)
    2.296
    """
    k = between("panels side by side", panels, 1, panel_count / 2, "panels", "take fewer panels")
    return diameter_mm * math.sin(math.pi * k / panel_count)


def sagitta(diameter_mm: float, panel_count: int, panels: int) -> float:
    """Depth of the panels behind their chord: that of the farthest seam, ``R·(cos(j·180°/n) −
    cos(k·180°/n))``, j 0 for an even k, 1 for an odd one.

    Parameters
    ----------
    diameter_mm : float
        Diameter through the seams [mm].
    panel_count : int
        Panels round the room [-].
    panels : int
        Neighbouring panels k [-].

    Returns
    -------
    float
        The depth [mm]; 0 for one panel.

    Examples
    --------
    >>> sagitta(6.0, 8, 1), round(sagitta(6.0, 8, 2), 4)
    (0.0, 0.8787)
    """
    nearest = math.cos(math.pi * (panels % 2) / panel_count)
    return diameter_mm / 2.0 * (nearest - math.cos(math.pi * panels / panel_count))


def picture_on_panels(
    room: RoomFigures,
    panels: int = 1,
    throw_ratio: float = 1.2,
    lowest_mm: float = 0.0,
) -> Picture:
    """Largest picture on neighbouring panels, wherever on the wall it fits.

    Every lower edge along the profile is tried; the picture must fit between the outer seams (their chord)
    at each level that it covers.

    Parameters
    ----------
    room : RoomFigures
    panels : int
        Panels side by side [-].
    throw_ratio : float
        Throw ratio of the projector's lens [-].
    lowest_mm : float
        Least height of the lower edge over the floor [mm].

    Returns
    -------
    Picture
        The largest, with its depth and throw.

    Raises
    ------
    ParameterError
        If the lower edge would be above the room.
    """
    r, z = room.profile_radius_mm, room.profile_height_mm
    length = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(r), np.diff(z)))])
    lowest = between("picture's lower edge", lowest_mm, 0.0, 0.95 * room.height_mm, "mm", "put it lower")
    first = float(np.interp(lowest, z, length))
    along = np.unique(np.concatenate([np.linspace(first, length[-1], 1001), length[length > first]]))
    kept = np.concatenate([[True], np.diff(length) > 0.0])
    radius, height = np.interp(along, length[kept], r[kept]), np.interp(along, length[kept], z[kept])
    widths = radius * chord_width(2.0, room.panel_count, panels)
    best, where = 0.0, 0
    for start in range(along.size - 1):
        if widths[start] <= best:
            continue
        # The widest that fits up to each level, against what that level's height asks for: the largest is
        # where they cross.
        room_for = np.minimum.accumulate(widths[start:])
        asked = WALL_ASPECT * (along[start:] - along[start])
        gap = asked - room_for
        cross = int(np.argmax(gap >= 0.0)) if (gap >= 0.0).any() else gap.size - 1
        if gap[cross] < 0.0 or cross == 0:
            fit = float(asked[cross])
        else:
            t = gap[cross - 1] / (gap[cross - 1] - gap[cross])
            fit = float(min(asked[cross - 1] + t * (asked[cross] - asked[cross - 1]), room_for[cross - 1]))
        if fit > best:
            best, where = fit, start
    end = int(np.searchsorted(along, along[where] + best / WALL_ASPECT))
    inside = slice(where, min(end, along.size - 1) + 1)
    depth = sagitta(2.0 * float(radius[inside].max()), room.panel_count, panels) + _bow(
        radius[inside], height[inside]
    )
    throw = throw_ratio * best
    return Picture(
        panels,
        best,
        best / WALL_ASPECT,
        float(height[where]),
        depth,
        throw,
        throw <= float(radius[inside].min()) + float(r[0]),
    )


def _bow(radius: np.ndarray, height: np.ndarray) -> float:
    """Farthest that a stretch of the profile stands off the straight line between its ends."""
    run, rise = radius[-1] - radius[0], height[-1] - height[0]
    span = math.hypot(run, rise)
    if span == 0.0:
        return 0.0
    return float(np.max(np.abs(rise * (radius - radius[0]) - run * (height - height[0])))) / span

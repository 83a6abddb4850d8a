"""Holes in an upright wall that print without supports: their heads are flat over a short bridge and lean beside it.

Glossary: the *head* is the upper side of a hole; a *bridge* is the flat gap in it that lines are drawn across
freely; the *shoulders* are the leaning sides of the head. Outlines lie in (sideways, upward).
"""

import math

import numpy as np
import shapely
from shapely import Polygon

__all__ = ["leaning_from", "printable_hole"]


def _band(level: float, lean_rad: float, top: float, wide: float) -> Polygon:
    """All that lies under two lines that lean from the vertical, right and left, and below the top."""
    cos, sin = math.cos(lean_rad), math.sin(lean_rad)
    peak = level / sin
    drop = 2.0 * wide * cos / sin
    roof = Polygon([(0.0, peak), (-2.0 * wide, peak - drop), (2.0 * wide, peak - drop)])
    return roof & shapely.box(-2.0 * wide, peak - drop, 2.0 * wide, top)


def printable_hole(outline: Polygon, lean_rad: float, bridge_mm: float, excess_mm: float) -> Polygon:
    """A hole as near as possible to an outline whose head needs no support.

    The head becomes flat over a bridge, with straight shoulders that touch the outline where it begins to lean too
    much. Where that would make the bridge too wide, or the hole larger than may be, the shoulders come lower and
    fill the corners of the outline.

    Parameters
    ----------
    outline : Polygon
        About the middle line x = 0 and alike on both sides of it.
    lean_rad : float
        Largest lean of the shoulders from the vertical [rad].
    bridge_mm : float
        Widest bridge [mm].
    excess_mm : float
        How far the hole may reach beyond the outline [mm].

    Returns
    -------
    Polygon

    Examples
    --------
    >>> wide = shapely.box(-20.0, 0.0, 20.0, 30.0)
    >>> hole = printable_hole(wide, math.radians(45.0), 10.0, 0.4)
    >>> sorted({(round(x), round(y)) for x, y in hole.exterior.coords if x > 0.0})
    [(5, 30), (20, 0), (20, 15)]
    """
    highest = float(outline.bounds[3])
    deepest = min(2.0, 0.1 * (highest - outline.bounds[1]))
    rises = [*np.linspace(0.0, -deepest, 9), excess_mm / 2.0, excess_mm]
    tops = [highest + rise for rise in rises]
    holes = [_hole(outline, float(top), lean_rad, bridge_mm, excess_mm) for top in tops]
    return max(holes, key=lambda hole: round(hole.intersection(outline).area, 6))


def _hole(outline: Polygon, top: float, lean_rad: float, bridge_mm: float, excess_mm: float) -> Polygon:
    """The fullest hole whose head is at one height."""
    points = np.asarray(outline.exterior.coords)
    cos, sin = math.cos(lean_rad), math.sin(lean_rad)
    wide = float(np.ptp(points, axis=0).max())
    levels = np.abs(points[:, 0]) * cos + points[:, 1] * sin
    touching = float(levels.max())
    seat = points[levels > touching - 1e-9][:, 1].min()
    half = float(np.abs(points[:, 0]).max())
    fuller = outline | (shapely.box(-half, seat, half, top) & _band(touching, lean_rad, top, wide))
    room = outline.buffer(excess_mm)
    low, high = top * sin, min(touching, top * sin + bridge_mm / 2.0 * cos)
    if high <= low:  # the head is pointed and steep
        return outline & shapely.box(-half, -wide - abs(top), half, top)

    def hole(level: float) -> Polygon:
        return fuller & _band(level, lean_rad, top, wide)

    if not room.covers(hole(high)):
        for _ in range(30):
            middle = (low + high) / 2.0
            low, high = (middle, high) if room.covers(hole(middle)) else (low, middle)
        high = low
    return hole(high)


def leaning_from(hole: Polygon, lean_rad: float) -> float:
    """Height from which the sides of a hole lean inward by more than a lean [mm].

    Parameters
    ----------
    hole : Polygon
        About the middle line x = 0 and alike on both sides of it.
    lean_rad : float
        From the vertical [rad].

    Returns
    -------
    float
        Its highest point if its sides lean nowhere so much.

    Examples
    --------
    >>> hole = printable_hole(shapely.box(-20.0, 0.0, 20.0, 30.0), math.radians(45.0), 10.0, 0.4)
    >>> round(leaning_from(hole, math.radians(30.0))), round(leaning_from(hole, math.radians(60.0)))
    (15, 30)
    """
    points = np.asarray(hole.exterior.coords)
    ends = np.stack([points[:-1], points[1:]], axis=1)
    order = np.argsort(ends[:, :, 1], axis=1)[:, :, None]
    low, high = np.moveaxis(np.take_along_axis(ends, order, axis=1), 1, 0)
    rises = high[:, 1] - low[:, 1]
    narrows = np.abs(low[:, 0]) - np.abs(high[:, 0])
    leans = narrows > np.maximum(rises * math.tan(lean_rad), 1e-9)
    return float(low[leans, 1].min()) if leans.any() else float(points[:, 1].max())

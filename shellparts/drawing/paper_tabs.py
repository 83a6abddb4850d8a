"""Glue tabs along an edge of a paper model.

Glossary: a *tab* is a strip outside an edge, folded under the neighbour and glued there; along a bend it is
slit into *teeth*, so that it lies flat. Everything is in millimetres on paper. This module does not know which
edge is glued to which.
"""

import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

__all__ = ["TAB_MM", "tab_teeth"]

Array = NDArray[np.float64]

#: Depth of a tab [mm].
TAB_MM = 5.0
#: A tooth does not turn more than this [rad], and is not longer than this [mm].
_TOOTH_TURN_RAD, _TOOTH_MM = 0.3, 40.0
#: Nor are teeth shorter than this because of a bend [mm].
_SHORT_TOOTH_MM = 4.0
#: A tooth holds a disc of this width: scissors cut nothing narrower, and glue holds nothing by it [mm].
_LEAST_WIDTH_MM = 2.0
#: Paper left between a tab and whatever lies beside it [mm].
_GAP_MM = 0.15


def tab_teeth(
    stretches: Sequence[Array], turn_rad: float, taken: Sequence[shapely.Geometry]
) -> list[shapely.Polygon]:
    """The teeth along an edge, on the right of the walk, each where it has room.

    Parameters
    ----------
    stretches : sequence of ndarray
        The smooth parts of the edge in walking order, each shape (n, 2) [mm].
    turn_rad : float
        How far the edge, or the one it is glued to, turns along its length [rad].
    taken : sequence of shapely geometry
        What the tab must not cover: the piece itself, and other tabs.

    Returns
    -------
    list of shapely Polygon
    """
    whole = sum(_length(points) for points in stretches)
    by_turn = min(turn_rad / _TOOTH_TURN_RAD, whole / _SHORT_TOOTH_MM)
    pitch = min(_TOOTH_MM, whole / max(by_turn, 1.0))
    blocked = shapely.union_all([shape.buffer(_GAP_MM) for shape in taken]) if taken else shapely.Polygon()
    teeth = []
    for points in stretches:
        length = _length(points)
        count = max(1, min(math.ceil(length / pitch - 1e-6), math.floor(length / _SHORT_TOOTH_MM)))
        for i in range(count):
            tooth = _tooth(points, length * i / count, length * (i + 1) / count)
            free = [
                part for part in shapely.get_parts(tooth.difference(blocked)) if part.geom_type == "Polygon"
            ]
            largest = max(free, key=lambda part: part.area, default=None)
            if largest is not None and largest.area > 0.3 * tooth.area and _is_wide(largest):
                teeth.append(largest)
    return teeth


def _is_wide(tooth: shapely.Polygon) -> bool:
    return not tooth.buffer(-_LEAST_WIDTH_MM / 2).is_empty


def _length(points: Array) -> float:
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


def _tooth(points: Array, start: float, end: float) -> shapely.Polygon:
    """The strip beside part of a polyline, its ends slanted."""
    at = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    length = end - start
    depth = min(TAB_MM, 0.8 * length)
    slant = min(0.5 * depth, 0.25 * length)
    inner = np.unique(np.concatenate([[start, end], at[(at > start) & (at < end)]]))
    outer = np.unique(inner.clip(start + slant, end - slant))

    def on_edge(s: Array) -> Array:
        return np.column_stack([np.interp(s, at, points[:, i]) for i in (0, 1)])

    step = 0.01 * length
    along = on_edge((outer + step).clip(None, at[-1])) - on_edge((outer - step).clip(0.0, None))
    along /= np.hypot(*along.T)[:, None]
    out = on_edge(outer) + depth * np.column_stack([along[:, 1], -along[:, 0]])
    on = on_edge(inner)
    return shapely.make_valid(shapely.Polygon(np.concatenate([on, out[::-1]])))

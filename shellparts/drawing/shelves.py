"""Flat parts laid on pages, shelf by shelf.

Glossary: a *shelf* is a row of parts that stand on one line; its first, and tallest, part sets its height. A
part is pushed to the left until it meets the *front* of those before it, upright or head to tail, whichever
takes less room.

This module does not know what the parts are.
"""

from collections.abc import Sequence

import numpy as np
import shapely
import shapely.affinity
from attrs import define, frozen
from numpy.typing import NDArray

__all__ = ["ShelfPlace", "shelve"]

Array = NDArray[np.float64]
#: Height of the bands in which fronts are measured [mm].
_BAND_MM = 1.0


@frozen
class ShelfPlace:
    """Where a part lies: page, from 0, quarter turns to the left about its origin, and shift after that [mm]."""

    page: int
    quarters: int
    dx: float
    dy: float


@define
class _Shelf:
    page: int
    floor: float
    height: float
    front: Array


@frozen(eq=False)
class _Stance:
    """A part turned some way, with its lower left corner at the origin."""

    quarters: int
    corner: tuple[float, float]
    size: tuple[float, float]
    left: Array
    right: Array


def shelve(
    shapes: Sequence[shapely.Geometry], width_mm: float, height_mm: float, gap_mm: float
) -> list[ShelfPlace]:
    """Lay parts on pages, tallest first, each on the first shelf with room.

    Parameters
    ----------
    shapes : sequence of shapely geometry
        Each fits the page upright or on its side [mm].
    width_mm, height_mm : float
        Of a page [mm].
    gap_mm : float
        Between parts [mm].

    Returns
    -------
    list of ShelfPlace
        In the order of the parts.

    Raises
    ------
    ValueError
        If a part does not fit a page either way.

    Examples
    --------
    >>> wedge = shapely.Polygon([(0, 0), (40, 0), (20, 90)])
    >>> [(spot.page, spot.quarters, round(spot.dx)) for spot in shelve([wedge] * 3, 100, 100, 2)]
    [(0, 0, 0), (0, 2, 62), (0, 0, 45)]
    """
    stances = [_stances(shape, width_mm, height_mm, gap_mm) for shape in shapes]
    shelves: list[_Shelf] = []
    left_over: list[float] = []  # below the shelves of each page
    spots: dict[int, ShelfPlace] = {}
    for i in sorted(range(len(shapes)), key=lambda i: -stances[i][0].size[1]):
        found = None
        for shelf in shelves:
            fits = [
                (x + s.size[0], x, s) for s in stances[i] if (x := _push(shelf, s)) + s.size[0] <= width_mm
            ]
            if shelf.height >= stances[i][0].size[1] and fits:
                found = (shelf, *min(fits, key=lambda fit: (fit[0], fit[2].quarters))[1:])
                break
        if found is None:
            stance = stances[i][0]
            tall = stance.size[1]
            page = next((p for p, left in enumerate(left_over) if left >= tall), len(left_over))
            if page == len(left_over):
                left_over.append(height_mm)
            bands = len(stance.left)
            found = (_Shelf(page, left_over[page] - tall, tall, np.full(bands, -np.inf)), 0.0, stance)
            left_over[page] -= tall + gap_mm
            shelves.append(found[0])
        shelf, x, stance = found
        front = shelf.front[: len(stance.right)]
        np.maximum(front, x + stance.right, out=front)
        spots[i] = ShelfPlace(
            shelf.page, stance.quarters, x - stance.corner[0], shelf.floor - stance.corner[1]
        )
    return [spots[i] for i in range(len(shapes))]


def _push(shelf: _Shelf, stance: _Stance) -> float:
    """How far right a part must stand to clear the front."""
    bands = min(len(shelf.front), len(stance.left))
    return max(0.0, float((shelf.front[:bands] - stance.left[:bands]).max()))


def _stances(shape: shapely.Geometry, width: float, height: float, gap: float) -> list[_Stance]:
    """The two ways a part may stand, one the other upside down: along the page where it can."""
    left, low, right, high = shape.bounds
    w, h = right - left, high - low
    upright, lying = w <= width and h <= height, h <= width and w <= height
    if not upright and not lying:
        raise ValueError(f"a part of {w:.1f} x {h:.1f} mm does not fit {width:.1f} x {height:.1f} mm")
    first = 1 if lying and (not upright or w > h) else 0
    return [_stance(shape, first, gap), _stance(shape, first + 2, gap)]


def _stance(shape: shapely.Geometry, quarters: int, gap: float) -> _Stance:
    turned = shapely.affinity.rotate(shape, 90 * quarters, origin=(0, 0))
    x, y, right, top = turned.bounds
    grown = shapely.affinity.translate(turned, -x, -y).buffer(gap / 2)
    around = int(np.ceil(gap / 2 / _BAND_MM))
    bands = np.arange(-around, np.ceil((top - y) / _BAND_MM) + around) * _BAND_MM
    strips = [
        shapely.clip_by_rect(grown, -gap, band, right - x + gap, band + _BAND_MM).bounds for band in bands
    ]
    edges = np.array(strips)
    edges[np.isnan(edges[:, 0])] = [np.inf, 0.0, -np.inf, 0.0]
    return _Stance(quarters, (x, y), (right - x, top - y), edges[:, 0], edges[:, 2])

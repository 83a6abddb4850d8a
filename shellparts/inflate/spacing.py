"""Where the nodes go on the lines of a room: the same on every piece that has a line.

Glossary: the *size* is the length of a triangle's side that is wanted at a place. It is smaller where a line
is short or a region narrow, and grows away from there no faster than `GROWTH` allows. A *share* is a
distance along a line over its length.

This module knows neither cloth nor what is sewn to what.
"""

from collections import Counter
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from shellparts.inflate.flat_mesh import GROWTH
from shellparts.inflate.regions import Region

__all__ = ["course", "shares_of"]

Floats = NDArray[np.float64]

_ROUND = 0.6
"""Largest size along a curved line, in radii: ten sides round a tube."""
_STRAIGHT_RAD = 1e-3
"""A line that turns less than this is straight."""
_FLATTENS = 1.25
"""Halves of a tube that are narrower than this, in sizes, would have triangles' sides that run all across."""
_CLASS = 0.1
"""Widths of one class differ by a factor of less than the exponential of this."""
_SAMPLES = 65


def course(points: Floats, share: Floats) -> Floats:
    """Points at shares of the length of a line in space.

    Parameters
    ----------
    points : ndarray (k, 3) float
        Points along it [mm].
    share : ndarray (n,) float
        Shares of its length.

    Returns
    -------
    ndarray (n, 3) float
        Points [mm].
    """
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    s = np.concatenate([[0.0], np.cumsum(steps)])
    return np.stack([np.interp(share * s[-1], s, points[:, i]) for i in range(3)], axis=-1)


def _widths(regions: Sequence[Region], size: float) -> dict[int, Floats]:
    """Distance across each region from evenly spaced places of each line, at most `size`."""
    share = np.linspace(0, 1, _SAMPLES)
    found: dict[int, Floats] = {}
    parts = Counter(region.sheets for region in regions)
    for region in regions:
        # A side of a triangle that runs all across would be the same on both halves, and nearly no air between them.
        flattens = region.kind.is_round and parts[region.sheets] < 3
        places = [(loop, i, line.at(share)) for loop in region.loops for i, line in enumerate(loop)]
        for loop, i, points in places:
            apart = [
                other
                for theirs, j, other in places
                if theirs is not loop or (len(loop) > 3 and (j - i) % len(loop) not in (0, 1, len(loop) - 1))
            ]
            line = loop[i]
            wide = np.minimum(size, line.length_mm) * np.ones(_SAMPLES)
            if apart:
                across = cKDTree(np.concatenate(apart)).query(points)[0]
                across /= np.where(flattens & (across < _FLATTENS * size), 3.0, 1.0)
                wide = np.minimum(wide, across)
            wide = wide if line.forward else wide[::-1]
            found[line.key] = np.minimum(found.get(line.key, wide), wide)
    return found


def shares_of(regions: Sequence[Region], space: Mapping[int, Floats], size_mm: float) -> dict[int, Floats]:
    """Space nodes along every line.

    Parameters
    ----------
    regions : sequence of Region
        The regions.
    space : mapping of int to ndarray (k, 3) float
        Course of each line in space by key [mm].
    size_mm : float
        Size where nothing asks for a smaller one [mm].

    Returns
    -------
    dict of int to ndarray (n + 1,) float
        Shares of the length at which each line has nodes, from 0 to 1, in its own direction.
    """
    share = np.linspace(0, 1, _SAMPLES)
    widths = _widths(regions, size_mm)
    keys = sorted(widths)
    places = np.stack([course(space[key], share) for key in keys])
    wide = np.minimum(np.stack([widths[key] for key in keys]), _ROUND * _radii(places)[:, None])
    sizes = _graded(places.reshape(-1, 3), wide.ravel(), size_mm)
    found = {}
    for key, line, size in zip(keys, places, sizes.reshape(-1, _SAMPLES), strict=True):
        length = np.linalg.norm(np.diff(line, axis=0), axis=1).sum()
        step = length / (_SAMPLES - 1) * 2 / (size[1:] + size[:-1])
        count = np.concatenate([[0.0], np.cumsum(step)])
        pieces = max(1, round(float(count[-1])))
        found[key] = np.interp(np.arange(pieces + 1) / pieces * count[-1], count, share)
        found[key][[0, -1]] = 0.0, 1.0
    return found


def _radii(places: Floats) -> Floats:
    """Mean radius of each line in space."""
    steps = np.diff(places, axis=1)
    length = np.linalg.norm(steps, axis=-1)
    unit = steps / length[..., None]
    cosine = np.einsum("kij,kij->ki", unit[:, 1:], unit[:, :-1])
    turn = np.arctan2(np.linalg.norm(np.cross(unit[:, 1:], unit[:, :-1]), axis=-1), cosine).sum(axis=1)
    return length.sum(axis=1) / np.maximum(turn, _STRAIGHT_RAD)


def _graded(places: Floats, wide: Floats, size: float) -> Floats:
    """Least of the widths at all places, each grown by the distance to it; widths are taken in classes."""
    graded = np.minimum(wide, size)
    level = np.floor(np.log(size / graded) / _CLASS).astype(int)
    for one in np.unique(level[level > 0]):
        near, _ = cKDTree(places[level == one]).query(places)
        graded = np.minimum(graded, size * np.exp(-(one + 1) * _CLASS) + GROWTH * near)
    return graded

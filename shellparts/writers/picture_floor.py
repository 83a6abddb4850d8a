"""The floor of a picture: pale, with the room's shadow and a line every metre, fading into white paper.

Glossary: the *shadow* is where the light is kept off, softened at its edge; the *contact* shade is the
darkening close around what stands on the floor. All of it is colours at the points of a fine grid. This
module knows triangles only.
"""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import RegularGridInterpolator
from scipy.ndimage import gaussian_filter

from shellparts.writers.mesh import Mesh

__all__ = ["floor_and_grid"]

Array = NDArray[np.float64]

_FLOOR = np.array([0.950, 0.940, 0.920])
_SHADE = np.array([0.60, 0.62, 0.68])
_CELLS = 320
_METRE_MM = 1000.0


def _covered(triangles: Array, ticks: tuple[Array, Array]) -> Array:
    """1.0 where triangles in plan, shape (m, 3, 2), cover the points of a grid, 0.0 elsewhere."""
    covered = np.zeros((len(ticks[0]), len(ticks[1])))
    edges = np.roll(triangles, -1, axis=1) - triangles
    turned = np.sign(edges[:, 0, 0] * edges[:, 1, 1] - edges[:, 0, 1] * edges[:, 1, 0])
    first = [np.searchsorted(ticks[axis], triangles[..., axis].min(axis=1)) for axis in (0, 1)]
    last = [np.searchsorted(ticks[axis], triangles[..., axis].max(axis=1)) for axis in (0, 1)]
    for k in np.flatnonzero(turned):
        i, j = slice(first[0][k], last[0][k]), slice(first[1][k], last[1][k])
        x, y = ticks[0][i, None], ticks[1][None, j]
        inside = np.ones((x.size, y.size), bool)
        for (x0, y0), (dx, dy) in zip(triangles[k], edges[k] * turned[k], strict=True):
            inside &= dx * (y - y0) >= dy * (x - x0)
        covered[i, j][inside] = 1.0
    return covered


def floor_and_grid(standing: Sequence[Mesh], light: Array) -> tuple[Mesh, Array, list[Array], list[Array]]:
    """Make the floor under meshes.

    Parameters
    ----------
    standing : sequence of Mesh
        What throws a shadow.
    light : ndarray
        Unit vector towards the light, shape (3,).

    Returns
    -------
    floor : Mesh
        At z = 0.
    colours : ndarray
        Of its points, shape (n, 3).
    grid : list of ndarray
        Lines a metre apart, each of shape (k, 3) [mm].
    grid_colours : list of ndarray
        Of their points.
    """
    corners = np.concatenate([mesh.corners for mesh in standing])
    low, high = corners.reshape(-1, 3).min(axis=0), corners.reshape(-1, 3).max(axis=0)
    centre, size = (low + high)[:2] / 2, float(np.hypot(*(high - low)[:2]))
    reach = 1.1 * size
    ticks = np.linspace(-reach, reach, _CELLS + 1)
    axes = (centre[0] + ticks, centre[1] + ticks)
    plan = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1)
    thrown = corners[..., :2] - corners[..., 2:] * (light[:2] / light[2])
    step = 2 * reach / _CELLS
    shadow = gaussian_filter(_covered(thrown, axes), 70.0 / step)
    contact = gaussian_filter(_covered(corners[..., :2], axes), 260.0 / step)
    dark = np.clip(0.62 * shadow + 0.30 * contact, 0, 0.8)[..., None]
    away = np.clip((np.hypot(*np.moveaxis(plan - centre, -1, 0)) / size - 0.45) / 0.60, 0, 1)[..., None]
    fade = away * away * (3 - 2 * away)
    tone = (_FLOOR * (1 - dark) + _SHADE * dark) * (1 - fade) + fade
    at = RegularGridInterpolator(
        (centre[0] + ticks, centre[1] + ticks), np.concatenate([tone, fade], axis=-1)
    )
    grid, grid_colours = [], []
    for axis in (0, 1):
        first, last = (
            math.ceil((centre[axis] - reach) / _METRE_MM),
            math.floor((centre[axis] + reach) / _METRE_MM),
        )
        for k in range(first, last + 1):
            line = np.zeros((_CELLS + 1, 3))
            line[:, 1 - axis] = centre[1 - axis] + ticks
            line[:, axis] = k * _METRE_MM
            values = at(line[:, :2])
            grid.append(line)
            grid_colours.append(values[:, :3] * (1 - 0.10 * (1 - values[:, 3:])))
    n = _CELLS + 1
    i = (np.arange(_CELLS)[:, None] * n + np.arange(_CELLS)).ravel()
    triangles = np.concatenate(
        [np.column_stack([i, i + n, i + n + 1]), np.column_stack([i, i + n + 1, i + 1])]
    )
    points = np.concatenate([plan, np.zeros((n, n, 1))], axis=-1).reshape(-1, 3)
    return Mesh(points, triangles), tone.reshape(-1, 3), grid, grid_colours

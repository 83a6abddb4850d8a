"""Forces in the inflated cloth, as a tensile test of a strip would measure them.

Glossary: the *force along* a direction drawn on the flat cloth is what a strip cut along it pulls, per
metre of the strip's width as inflated (a Cauchy force); the *force across* acts at right angles to that, in
the cloth. *Principal* forces are the largest and the smallest of all directions.

This module does not know what the cloth can bear.
"""

import numpy as np
from attrs import frozen
from numpy.typing import ArrayLike, NDArray
from scipy.spatial import cKDTree

from shellparts.inflate.potential import Loads, Potential
from shellparts.inflate.sheet import MembraneSheet
from shellparts.inflate.tension import ClothState

__all__ = ["ClothForces", "cloth_forces", "patch_mean"]

Floats = NDArray[np.float64]


@frozen(eq=False)
class ClothForces:
    """Forces of each triangle.

    Parameters
    ----------
    along_N_per_m : ndarray (m,) float
        Force along the asked direction [N/m].
    across_N_per_m : ndarray (m,) float
        Force at right angles to it [N/m].
    largest_N_per_m : ndarray (m,) float
        Largest principal force [N/m].
    smallest_N_per_m : ndarray (m,) float
        Smallest principal force [N/m]; zero where the cloth is wrinkled.
    state : ndarray (m,) int
        A `ClothState` each.
    wrinkled_fraction : float
        Share of the cloth, by its flat area, that is wrinkled or slack [-].
    """

    along_N_per_m: Floats
    across_N_per_m: Floats
    largest_N_per_m: Floats
    smallest_N_per_m: Floats
    state: NDArray[np.int64]
    wrinkled_fraction: float


def cloth_forces(sheet: MembraneSheet, nodes: Floats, along_rad: ArrayLike = 0.0) -> ClothForces:
    """Find the forces in an inflated form.

    Parameters
    ----------
    sheet : MembraneSheet
        The membrane.
    nodes : ndarray (n, 3) float
        Where its nodes are [mm].
    along_rad : float or array_like (m,) float
        Direction on the flat cloth, from the rest x axis [rad].

    Returns
    -------
    ClothForces
        One row a triangle.
    """
    potential = Potential(sheet, Loads(1.0))
    f = potential.deformation(nodes)
    relaxed = potential.cloth(f)
    angle = np.broadcast_to(np.asarray(along_rad, dtype=float), (len(f),)) - sheet.warp_angle
    line = np.einsum("mci,im->mc", f, np.stack([np.cos(angle), np.sin(angle)]))
    unit = line / np.linalg.norm(line, axis=1)[:, None]
    normal = np.cross(f[..., 0], f[..., 1])
    stretch = np.linalg.norm(normal, axis=1)
    side = np.cross(normal / stretch[:, None], unit)
    first, second, mixed = relaxed.force.T
    axes = np.stack([unit, side], axis=1) @ f
    u, v = axes[..., 0], axes[..., 1]

    def component(i: int, j: int) -> Floats:
        both = first * u[:, i] * u[:, j] + second * v[:, i] * v[:, j]
        return 1e3 * (both + mixed * (u[:, i] * v[:, j] + v[:, i] * u[:, j])) / stretch

    along, across, shear = component(0, 0), component(1, 1), component(0, 1)
    middle, radius = (along + across) / 2, np.hypot((along - across) / 2, shear)
    area = sheet.rest_area
    loose = float(area[relaxed.state != ClothState.TAUT].sum() / area.sum())
    return ClothForces(along, across, middle + radius, middle - radius, relaxed.state, loose)


def patch_mean(sheet: MembraneSheet, values: Floats, radius_mm: float) -> Floats:
    """Mean of the values round each triangle, by flat area, of all triangles within a radius.

    A breadth that does not shrink with the mesh makes the largest value a figure that settles.

    Parameters
    ----------
    sheet : MembraneSheet
        The membrane.
    values : ndarray (m,) float
        One a triangle.
    radius_mm : float
        Largest distance of the middles of triangles in the starting form [mm].

    Returns
    -------
    ndarray (m,) float
        One a triangle, in the unit of `values`.
    """
    area, m = sheet.rest_area, len(values)
    middles = sheet.nodes[sheet.triangles].mean(axis=1)
    pairs = cKDTree(middles).query_pairs(radius_mm, output_type="ndarray")
    share, total = area.copy(), area * values
    for here, there in (pairs.T, pairs.T[::-1]):
        share += np.bincount(here, weights=area[there], minlength=m)
        total += np.bincount(here, weights=(area * values)[there], minlength=m)
    return total / share

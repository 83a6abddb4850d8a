"""Forces in the cloth from pressure and weight, by membrane theory, and what cloth and seams bear.

Glossary: the *meridian* force runs from base to top, the *hoop* force round the room, both in N a metre of
cut; *compression* in cloth means wrinkles; the *ring* at a corner of the profile takes the difference of
the inward pulls, as tension or compression; *factor of safety* is strength over force. The room is a
surface of revolution of its profile. Not known here: flat panels bulging between seams (which lowers the
hoop force), the doorway, and level parts of the profile, where a flat sheet cannot carry pressure until it
bulges: their forces are NaN.
"""

import math
from itertools import pairwise

import numpy as np
from attrs import frozen
from scipy.interpolate import CubicSpline

from shellparts.base.checks import above
from shellparts.base.errors import ParameterError
from shellparts.loads.atmosphere import GRAVITY_M_S2

__all__ = [
    "SAFETY_FACTOR",
    "MembraneForces",
    "RingForce",
    "factor_of_safety",
    "membrane_forces",
    "seam_strength",
    "wrinkled_share",
]

#: Least factor of safety for cloth and seams [-]: ours; it covers creases, ageing and tear.
SAFETY_FACTOR = 5.0
_LEVEL = 1e-9


@frozen
class RingForce:
    """Force along the ring at a corner of the profile.

    Parameters
    ----------
    height_mm : float
        Height of the corner [mm].
    force_N : float
        Tension in the ring [N]; compression, and so wrinkles, when negative.
    """

    height_mm: float
    force_N: float


@frozen(eq=False)
class MembraneForces:
    """Forces along the profile.

    Parameters
    ----------
    radius_mm : ndarray, shape (n,)
        Radius [mm].
    height_mm : ndarray, shape (n,)
        Height [mm].
    meridian_N_m : ndarray, shape (n,)
        Force along the meridian [N/m]; NaN where not known.
    hoop_N_m : ndarray, shape (n,)
        Force round the room [N/m]; NaN where not known.
    rings : tuple of RingForce
        At the corners, from base to top.
    """

    radius_mm: np.ndarray
    height_mm: np.ndarray
    meridian_N_m: np.ndarray
    hoop_N_m: np.ndarray
    rings: tuple[RingForce, ...]

    @property
    def largest_N_m(self) -> float:
        """Largest known force [N/m]."""
        return float(np.nanmax(np.concatenate([self.meridian_N_m, self.hoop_N_m])))


def _pieces(radius: np.ndarray, height: np.ndarray) -> list[slice]:
    """Smooth stretches of the profile, parted at repeated points."""
    cuts = np.flatnonzero((np.diff(radius) == 0.0) & (np.diff(height) == 0.0)) + 1
    edges = [0, *cuts.tolist(), radius.size]
    return [slice(a, b) for a, b in pairwise(edges)]


def _derivatives(r: np.ndarray, z: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Unit tangent (r', z') and curvature of one smooth stretch; straight when it has two points."""
    s = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(r), np.diff(z)))])
    if r.size == 2:
        return np.full(2, (r[1] - r[0]) / s[1]), np.full(2, (z[1] - z[0]) / s[1]), np.zeros(2)
    spline = CubicSpline(s, np.column_stack([r, z]))
    (r1, z1), (r2, z2) = spline(s, 1).T, spline(s, 2).T
    speed = np.hypot(r1, z1)
    return r1 / speed, z1 / speed, (r1 * z2 - z1 * r2) / speed**3


def membrane_forces(
    radius_mm: np.ndarray, height_mm: np.ndarray, pressure_Pa: float, mass_kg_m2: float = 0.0
) -> MembraneForces:
    """Meridian and hoop force of a shell of revolution, ``Nm = (p·r/2 − W/(2·pi·r))/sin(a)``, ``Nh = (pn −
    Nm·k1)/k2``.

    ``W`` is the weight of cloth above, ``a`` the slope of the meridian from level, ``pn`` the load square
    to the cloth, ``k1`` and ``k2`` the curvatures of meridian and hoop.

    Parameters
    ----------
    radius_mm : ndarray, shape (n,)
        Radius of the profile from base to top [mm]; the last is 0. Repeat a point at a corner.
    height_mm : ndarray, shape (n,)
        Height of each point [mm].
    pressure_Pa : float
        Pressure inside over outside [Pa].
    mass_kg_m2 : float
        Mass of the cloth per area [kg/m²].

    Returns
    -------
    MembraneForces
        At the points of the profile.

    Raises
    ------
    ParameterError
        If a smooth stretch has no length.

    References
    ----------
    Membrane theory of shells of revolution, as in S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates
    and Shells, chapter 14.

    Examples
    --------
    >>> t = np.linspace(0.0, np.pi / 2, 200)
    >>> forces = membrane_forces(2500 * np.cos(t), 2500 * np.sin(t) , 50.0)
    >>> round(float(forces.meridian_N_m[50]), 3), round(float(forces.hoop_N_m[50]), 3)
    (62.5, 62.5)
    """
    radius, height = np.asarray(radius_mm, float) / 1000.0, np.asarray(height_mm, float) / 1000.0
    radius = np.where(radius < 1e-12, 0.0, radius)
    pieces = _pieces(radius, height)
    if any(part.stop - part.start < 2 for part in pieces):
        raise ParameterError(
            "profile", "a point given three times", "two points at a corner", "remove the third"
        )
    load = mass_kg_m2 * GRAVITY_M_S2
    belts = math.pi * (radius[:-1] + radius[1:]) * np.hypot(np.diff(radius), np.diff(height))
    above_N = load * np.concatenate([np.cumsum(belts[::-1])[::-1], [0.0]])
    meridian, hoop = np.empty_like(radius), np.empty_like(radius)
    ends = []
    for part in pieces:
        r, weight = radius[part], above_N[part]
        slope_r, slope_z, bend = _derivatives(r, height[part])
        normal = pressure_Pa + load * slope_r
        with np.errstate(divide="ignore", invalid="ignore"):
            pull = np.where(
                slope_z > _LEVEL, (pressure_Pa * r / 2.0 - weight / (2.0 * math.pi * r)) / slope_z, np.nan
            )
            ring = np.where(slope_z > _LEVEL, (normal - pull * bend) * r / slope_z, np.nan)
        if r[-1] == 0.0:  # the apex: round as a sphere's, or a cone's tip
            top = (
                float(normal[-1] / (2.0 * bend[-1])) if bend[-1] > _LEVEL and abs(slope_z[-1]) < 0.05 else 0.0
            )
            pull[-1] = ring[-1] = np.nan if r.size == 2 and slope_z[-1] <= _LEVEL else top
        meridian[part], hoop[part] = pull, ring
        ends.append((pull[0] * slope_r[0], pull[-1] * slope_r[-1]))
    rings = tuple(
        # The part above pulls the ring along its tangent, the part below against its own.
        RingForce(
            float(height[part.start] * 1000.0), float(radius[part.start] * (ends[i + 1][0] - ends[i][1]))
        )
        for i, part in enumerate(pieces[1:])
    )
    return MembraneForces(radius * 1000.0, height * 1000.0, meridian, hoop, rings)


def wrinkled_share(forces: MembraneForces) -> float:
    """Share of the surface whose hoop or meridian force is compression.

    Parameters
    ----------
    forces : MembraneForces
        From `membrane_forces`.

    Returns
    -------
    float
        The share [-] of the surface; parts whose force is not known count as not wrinkled.
    """
    r, z = forces.radius_mm, forces.height_mm
    belts = (r[:-1] + r[1:]) * np.hypot(np.diff(r), np.diff(z))
    least = np.fmin(forces.meridian_N_m, forces.hoop_N_m)
    slack = np.nan_to_num(least) < -1e-9 * max(1.0, float(np.nanmax(np.abs(least), initial=0.0)))
    return float((belts * (slack[:-1].astype(float) + slack[1:]) / 2.0).sum() / belts.sum())


def seam_strength(stitches_per_m: float, thread_strength_N: float, rows: int = 1) -> float:
    """Estimate of a lockstitched seam's strength, ``1.5 · stitches a metre · thread strength``, each row.

    Parameters
    ----------
    stitches_per_m : float
        Stitches in a metre of one row [1/m].
    thread_strength_N : float
        Strength of one thread [N].
    rows : int
        Rows of stitching [-].

    Returns
    -------
    float
        The strength [N/m].

    References
    ----------
    Trade rule, not a standard: 10 stitches an inch of 4 lb thread give 60 lbf an inch.

    Examples
    --------
    >>> seam_strength(300.0, 18.0)
    8100.0
    """
    stitches = above("stitches a metre", stitches_per_m, 0.0, "a metre", "3.3 mm stitches are 300 a metre")
    return 1.5 * stitches * above("thread strength", thread_strength_N, 0.0, "N", "ask its maker") * rows


def factor_of_safety(force_N_m: float, *strengths_N_m: float) -> float:
    """Least strength over the force.

    Parameters
    ----------
    force_N_m : float
        Largest force [N/m].
    *strengths_N_m : float
        Strengths of cloth and seam [N/m].

    Returns
    -------
    float
        The factor [-]; infinite when nothing pulls.

    Examples
    --------
    >>> factor_of_safety(100.0, 10000.0, 8100.0)
    81.0
    """
    return min(strengths_N_m) / force_N_m if force_N_m > 0.0 else math.inf

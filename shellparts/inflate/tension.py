"""The energy of cloth that pulls but never pushes: the exact relaxed (tension-field) energy.

Glossary: a *strain* is Green's ``(E1, E2, g)`` in warp-weft axes, g being the engineering shear ``2 E12``;
a *force* is the matching ``(S1, S2, S12)`` per metre of flat cloth. Cloth is *taut* where both principal
forces pull, *wrinkled* where one pulls and the other would push, *slack* where it carries nothing.

Fine wrinkles can always add shortening, so the energy of a mean strain E is the least energy over E plus
anything that is not negative (A. C. Pipkin, "The relaxed energy density for isotropic elastic membranes",
IMA J. Appl. Math. 36, 1986). Its dual is a projection on the cone of pulling forces in the cloth's own
metric:

    W(E) = max { S·E − ½ S·C·S  :  S has no negative principal force }.

The cone has an algebraic form, ``S1 S2 >= S12²``, and so the projection comes down to the one root of a
decreasing convex function of one number, for any orthotropic cloth. W is convex, once differentiable, and
its second derivative exists wherever the state does not change.

This module knows neither triangles nor loads.
"""

from enum import IntEnum

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

__all__ = ["ClothState", "Relaxed", "relax", "tangent"]

Floats = NDArray[np.float64]

_ROOT_STEPS = 40
"""More than the root finding was ever seen to need (8); it stops by itself."""


class ClothState(IntEnum):
    """What the cloth does at a place."""

    TAUT = 0
    WRINKLED = 1
    SLACK = 2


@frozen(eq=False)
class Relaxed:
    """Forces, energy and state for an array of strains.

    Parameters
    ----------
    energy : ndarray (m,) float
        Energy per area of flat cloth, in force per length.
    force : ndarray (m, 3) float
        ``(S1, S2, S12)`` per metre of flat cloth, second Piola-Kirchhoff.
    state : ndarray (m,) int
        A `ClothState` each.
    multiplier : ndarray (m,) float
        Multiplier of ``S1 S2 = S12²`` where wrinkled, else zero.
    """

    energy: Floats
    force: Floats
    state: NDArray[np.int64]
    multiplier: Floats


def _elastic(strain: Floats, compliance: Floats) -> Floats:
    """Force of cloth that could push as well."""
    c11, c22, c12, c66 = compliance.T
    det = c11 * c22 - c12**2
    e1, e2, g = strain.T
    return np.stack([(c22 * e1 - c12 * e2) / det, (c11 * e2 - c12 * e1) / det, g / c66], axis=-1)


def _secular_root(a: Floats, b: Floats, g: Floats, q1: Floats) -> Floats:
    """Root x > max(a/2, a/q1) of ``b²/(2x − a)² + g²/(q1 x − a)² = 1``: decreasing and convex there.

    Newton on ``1/sqrt(left side)``, which is almost a straight line; starting left of the root it never
    overshoots by more than rounding. Both terms have one denominator in isotropic cloth, and one step is
    exact.
    """
    x = np.maximum((a + np.abs(b)) / 2, (a + np.abs(g)) / q1)
    scale = np.abs(a) + np.abs(b) + np.abs(g)
    tiny = np.finfo(float).tiny
    for _ in range(_ROOT_STEPS):
        u, v = np.maximum(2 * x - a, tiny), np.maximum(q1 * x - a, tiny)
        left = (b / u) ** 2 + (g / v) ** 2
        slope = -2 * (2 * (b / u) ** 2 / u + q1 * (g / v) ** 2 / v)
        with np.errstate(divide="ignore", invalid="ignore"):
            step = 2 * left * (np.sqrt(left) - 1) / -slope
        step = np.where(np.isfinite(step), step, 0.0)
        x = x + step
        if np.all(np.abs(step) <= 4e-16 * scale):
            break
    return x


def relax(strain: Floats, compliance: Floats) -> Relaxed:
    """Find the force in cloth that pulls but never pushes.

    Parameters
    ----------
    strain : ndarray (m, 3) float
        Green strain ``(E1, E2, 2 E12)`` in warp-weft axes [-].
    compliance : ndarray (m, 4) float
        ``(C11, C22, C12, C66)``, length per force; see `Membrane.compliance`.

    Returns
    -------
    Relaxed
        Energy, force and state of each.

    Examples
    --------
    Film of stiffness 100 N/m and Poisson's ratio 0.3, stretched by 1 % and narrowed by 2 %, wrinkles and pulls one
    way:


    >>> from shellparts.inflate.membrane import Membrane
    >>> film = Membrane.isotropic(100, 0.3).compliance[None]
    >>> answer = relax(np.array([[0.01, -0.02, 0.0]]), film)
    >>> answer.force.round(12).tolist(), ClothState(answer.state[0]).name
    ([[1.0, 0.0, 0.0]], 'WRINKLED')
    """
    force = _elastic(strain, compliance)
    e1, e2, g12 = strain.T
    s1, s2, s12 = force.T
    taut = (s1 + s2 >= 0) & (s1 * s2 >= s12**2)
    slack = ~taut & (e1 <= 0) & (e2 <= 0) & (4 * e1 * e2 >= g12**2)
    wrinkled = ~taut & ~slack
    force[slack] = 0.0
    multiplier = np.zeros(len(strain))
    if wrinkled.any():
        c11, c22, c12, c66 = compliance[wrinkled].T
        k = np.sqrt(c11 * c22)
        e1, e2, g12 = strain[wrinkled].T
        a, b = e1 / np.sqrt(c11) + e2 / np.sqrt(c22), e1 / np.sqrt(c11) - e2 / np.sqrt(c22)
        q1 = 1 + (c66 + 2 * c12) / (2 * k)
        root = _secular_root(a, b, g12 / np.sqrt(k), q1)
        root = np.maximum(root, np.finfo(float).tiny ** 0.25)
        difference = b * root / (2 * root - a)
        x1, x2 = (root + difference) / 2, (root - difference) / 2
        shear = g12 * root / (2 * k * (q1 * root - a))
        force[wrinkled] = np.stack([x1 / np.sqrt(c11), x2 / np.sqrt(c22), shear], axis=-1)
        multiplier[wrinkled] = k * (1 - a / root) + c12
    state = np.where(taut, ClothState.TAUT, np.where(slack, ClothState.SLACK, ClothState.WRINKLED))
    energy = 0.5 * np.einsum("mi,mi->m", force, strain)
    return Relaxed(energy, force, state.astype(np.int64), multiplier)


def tangent(relaxed: Relaxed, compliance: Floats) -> Floats:
    """Second derivative of the relaxed energy by the strain: never negative.

    Parameters
    ----------
    relaxed : Relaxed
        What `relax` gave.
    compliance : ndarray (m, 4) float
        The same compliance.

    Returns
    -------
    ndarray (m, 3, 3) float
        Change of ``(S1, S2, S12)`` per change of ``(E1, E2, 2 E12)``.
    """
    c11, c22, c12, c66 = compliance.T
    det = c11 * c22 - c12**2
    out = np.zeros((len(compliance), 3, 3))
    out[:, 0, 0], out[:, 1, 1] = c22 / det, c11 / det
    out[:, 0, 1] = out[:, 1, 0] = -c12 / det
    out[:, 2, 2] = 1 / c66
    out[relaxed.state == ClothState.SLACK] = 0.0
    wrinkled = relaxed.state == ClothState.WRINKLED
    if wrinkled.any():
        out[wrinkled] = _ridge_tangent(
            relaxed.force[wrinkled], relaxed.multiplier[wrinkled], compliance[wrinkled]
        )
    return out


def _ridge_tangent(force: Floats, multiplier: Floats, compliance: Floats) -> Floats:
    """Tangent where the force is one pull: it may only change its size and turn.

    On the plane touching the cone at the force, spanned by the pull n and its turning t, the projection's
    matrix is the compliance plus twice the multiplier in (t, t).
    """
    s1, s2, s12 = force.T
    angle = 0.5 * np.arctan2(2 * s12, s1 - s2)
    c, s = np.cos(angle), np.sin(angle)
    n = np.stack([c * c, s * s, c * s], axis=-1)
    t = np.stack([-2 * c * s, 2 * c * s, c * c - s * s], axis=-1)

    def form(u: Floats, v: Floats) -> Floats:
        c11, c22, c12, c66 = compliance.T
        cross = u[:, 0] * v[:, 1] + u[:, 1] * v[:, 0]
        return c11 * u[:, 0] * v[:, 0] + c22 * u[:, 1] * v[:, 1] + c12 * cross + c66 * u[:, 2] * v[:, 2]

    nn, nt, tt = form(n, n), form(n, t), form(t, t) + 2 * multiplier
    tt = np.maximum(tt, np.finfo(float).tiny)
    # inverse of [[nn, nt], [nt, tt]] with tt divided out, for tt has no bound towards slackness
    ratio = nt / tt
    p = 1 / (nn - nt * ratio)
    out = p[:, None, None] * np.einsum("mi,mj->mij", n, n)
    out -= (p * ratio)[:, None, None] * (np.einsum("mi,mj->mij", n, t) + np.einsum("mi,mj->mij", t, n))
    out += (1 / tt + p * ratio**2)[:, None, None] * np.einsum("mi,mj->mij", t, t)
    return out

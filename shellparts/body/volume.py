"""The volume of a room from its design alone, to hold the body against. Plain quadrature, no kernel.

The shell is a regular polygon at every height; a tube adds, for each point of its section, the length from where the point
leaves the shell to the tube's end.
"""

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from shellparts.parameters.clearances import doorway_end, front, sleeve_entry
from shellparts.parameters.design import Design

__all__ = ["expected_volume"]

Array = NDArray[np.float64]
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(24)


def _quadrature(breaks: ArrayLike, pieces: int) -> tuple[Array, Array]:
    """Gauss-Legendre nodes and weights on the intervals between sorted breaks, each cut into equal pieces."""
    edges = np.unique(np.asarray(breaks, float))
    edges = np.unique(np.concatenate([np.linspace(a, b, pieces + 1) for a, b in zip(edges, edges[1:], strict=False)]))
    middle, half = (edges[1:] + edges[:-1]) / 2, np.diff(edges) / 2
    return (middle[:, None] + half[:, None] * _NODES).ravel(), (half[:, None] * _WEIGHTS).ravel()


def _shell(design: Design) -> float:
    mid = design.shell.mid
    total = 0.0
    for run in range(len(mid.runs)):
        t, weight = _quadrature([0.0, 1.0], 16)
        radius, rise = mid.points(run, t)[:, 0], mid.slope(run, t)[:, 1]
        total += float(radius**2 * rise @ weight)
    return design.shell.panels * design.shell.tangent * total


def _tunnel(design: Design) -> float:
    door, shell = design.doorway, design.shell
    assert door is not None
    half, end = door.width / 2, doorway_end(design)
    levels = [z for z in shell.mid.breaks[:, 1] if z < door.height]
    heights, weights = _quadrature([0.0, door.eaves, *levels, door.height], 48)
    total = 0.0
    sines = np.sin(design.azimuths - shell.half_angle)
    for z, weight in zip(heights, weights, strict=True):
        reach = half if z <= door.eaves else _half_width_at(design, float(z))
        ridge = float(shell.seam.radius_at(z)) * sines
        corners = np.sort(np.concatenate([[-reach, reach], ridge[np.abs(ridge) < reach]]))
        lengths = end - front(design, corners, np.full_like(corners, z))
        total += weight * float(np.trapezoid(lengths, corners))
    return total


def _half_width_at(design: Design, z: float) -> float:
    """Half of the tunnel's clear width at a height above its eaves [mm]."""
    door = design.doorway
    assert door is not None
    share = (z - door.eaves) / door.head_rise
    if door.head.value == "arched":
        return door.width / 2 * math.sqrt(max(1.0 - share**2, 0.0))
    return door.width / 2 * (1.0 - share)


def _sleeve(design: Design) -> float:
    sleeve = design.sleeve
    assert sleeve is not None
    half_width, half_depth = sleeve.half_size
    turn, weights = _quadrature([-math.pi / 2, math.pi / 2], 96)
    upward, step = half_depth * np.sin(turn), half_depth * np.cos(turn)
    width = 2 * half_width * (np.cos(turn) if sleeve.is_round else np.ones_like(turn))
    entry, _ = sleeve_entry(design, upward)
    return float((width * (sleeve.length - entry) * step) @ weights)


def expected_volume(design: Design) -> float:
    """Volume of the envelope from the design alone.

    Parameters
    ----------
    design : Design

    Returns
    -------
    float
        Volume [mm3], good to about 1e-7 of itself.
    """
    total = _shell(design)
    if design.doorway is not None:
        total += _tunnel(design)
    if design.sleeve is not None:
        total += _sleeve(design)
    return total

"""The volume of a room from its design alone, to hold the body against. Plain quadrature, no kernel.

The shell is a regular polygon at every height; a tube adds, for each point of its section, the length from
where the point leaves the shell to the tube's end.
"""

import itertools
import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from shellparts.parameters.choices import Head
from shellparts.parameters.clearances import doorway_end, front, sleeve_entry
from shellparts.parameters.design import Design
from shellparts.parameters.doorway import Doorway

__all__ = ["expected_volume"]

Array = NDArray[np.float64]
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(12)


def _quadrature(breaks: ArrayLike, pieces: int) -> tuple[Array, Array]:
    """Gauss-Legendre nodes and weights on the intervals between sorted breaks, each cut into equal pieces."""
    edges = np.unique(np.asarray(breaks, float))
    edges = np.unique(np.concatenate([np.linspace(a, b, pieces + 1) for a, b in itertools.pairwise(edges)]))
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
    levels = [z for z in shell.mid.breaks[:, 1] if z < door.height]
    z, weights = _quadrature([0.0, door.eaves, *levels, door.height], 24)
    reach = _half_width_at(door, z)
    ridges = np.outer(shell.seam.radius_at(z), np.sin(design.azimuths - shell.half_angle))
    # Between ridges the front is straight in the sideways direction, so that trapezia are exact.
    corners = np.sort(
        np.clip(np.column_stack([ridges, -reach, reach]), -reach[:, None], reach[:, None]), axis=1
    )
    lengths = doorway_end(design) - front(design, corners, z[:, None])
    return float(np.trapezoid(lengths, corners, axis=1) @ weights)


def _half_width_at(door: Doorway, z: Array) -> Array:
    """Half of the tunnel's clear width at heights [mm]."""
    if door.head is Head.FLAT:
        return np.full_like(z, door.width / 2)
    share = np.clip((z - door.eaves) / door.head_rise, 0.0, 1.0)
    return door.width / 2 * (np.sqrt(1.0 - share**2) if door.head is Head.ARCHED else 1.0 - share)


def _sleeve(design: Design) -> float:
    sleeve = design.sleeve
    assert sleeve is not None
    half_width, half_depth = sleeve.half_size
    turn, weights = _quadrature([-math.pi / 2, math.pi / 2], 64)
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

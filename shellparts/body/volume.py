"""The volume of a room from its design alone, to hold the body against. Plain quadrature, no kernel.

The shell is a regular polygon at every height; a tube adds, for each point of its section, the length from
where the point leaves the shell to the tube's end.
"""

import math

import numpy as np
from numpy.typing import NDArray

from shellparts.parameters.clearances import doorway_end, front, sleeve_entry
from shellparts.parameters.design import Design
from shellparts.parameters.measures import quadrature

__all__ = ["expected_volume"]

Array = NDArray[np.float64]


def _shell(design: Design) -> float:
    mid = design.shell.mid
    total = 0.0
    for run in range(len(mid.runs)):
        t, weight = quadrature(mid.runs[run].spans, 8)
        radius, rise = mid.points(run, t)[:, 0], mid.slope(run, t)[:, 1]
        total += float(radius**2 * rise @ weight)
    return design.shell.panels * design.shell.tangent * total


def _tunnel(design: Design) -> float:
    door, shell = design.doorway, design.shell
    assert door is not None
    levels = [z for z in shell.mid.breaks[:, 1] if z < door.height]
    z, weights = quadrature([0.0, door.eaves, *levels, door.height], 60)
    reach = door.half_width_at(z)
    ridges = np.outer(shell.seam.radius_at(z), np.sin(design.azimuths - shell.half_angle))
    # Between ridges the front is straight in the sideways direction, so that trapezia are exact.
    corners = np.sort(
        np.clip(np.column_stack([ridges, -reach, reach]), -reach[:, None], reach[:, None]), axis=1
    )
    lengths = doorway_end(design) - front(design, corners, z[:, None])
    return float(np.trapezoid(lengths, corners, axis=1) @ weights)


def _sleeve(design: Design) -> float:
    sleeve = design.sleeve
    assert sleeve is not None
    half_width, half_depth = sleeve.half_size
    turn, weights = quadrature([-math.pi / 2, math.pi / 2], 64)
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

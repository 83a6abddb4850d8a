"""The doorway tunnel as a tube along +x. Right and left are as seen from outside: +y is right."""

import math

import numpy as np
from numpy.typing import NDArray

from shellparts.body.section import Stretch
from shellparts.body.tube_part import Tube
from shellparts.parameters.choices import Head, PartKind
from shellparts.parameters.clearances import doorway_end
from shellparts.parameters.design import Design

__all__ = ["tunnel_tube"]


def tunnel_tube(design: Design) -> Tube:
    """Make the doorway tunnel.

    Parameters
    ----------
    design : Design
        With a doorway.

    Returns
    -------
    Tube
    """
    door = design.doorway
    assert door is not None  # asked only for rooms with a doorway
    half, eaves = door.width / 2, door.eaves
    right, left, peak = (half, eaves), (-half, eaves), (0.0, door.height)
    if door.head is Head.ARCHED:
        head = [
            Stretch(right, peak, (0.0, eaves), 0.0, math.pi / 2),
            Stretch(peak, left, (0.0, eaves), math.pi / 2, math.pi),
        ]
    elif door.head is Head.GABLED:
        head = [Stretch(right, peak), Stretch(peak, left)]
    else:
        head = [Stretch(right, left)]
    section = (Stretch((half, 0.0), right), *head, Stretch(left, (-half, 0.0)))

    def covers(q: NDArray[np.float64]) -> NDArray[np.bool_]:
        y, z = q.T
        return (np.abs(y) < half) & (z < door.head_height(y))

    axes = np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]])
    return Tube(
        "tunnel", PartKind.TUNNEL, section, False, np.zeros(3), axes, 0.0, doorway_end(design), covers
    )

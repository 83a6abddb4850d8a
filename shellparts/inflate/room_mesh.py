"""What a welded room is made of and held by: its cloth, the faces of air that bound it, the floor and the fan.

This module knows nothing of a form under air.
"""

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from shellparts.inflate.holds import Hold, pin
from shellparts.inflate.membrane import Membrane
from shellparts.inflate.sheet import MembraneSheet
from shellparts.inflate.welded import Welded

__all__ = ["room_sheet", "vent_faces"]

Ints = NDArray[np.int64]


def vent_faces(vents: tuple[tuple[Ints, Ints], ...]) -> list[tuple[int, int, int]]:
    """Make faces of air across the gaps of a vent.

    Parameters
    ----------
    vents : tuple of pairs of ndarray of int
        Nodes of both rows of each slit, which begin and end in the same nodes.

    Returns
    -------
    list of tuple of int
        Corners, counterclockwise seen from outside.
    """
    faces = []
    for a, b in vents:
        for here, on, beside, beside_on in zip(a[:-1], a[1:], b[:-1], b[1:], strict=True):
            faces += [(on, here, beside), (on, beside, beside_on)]
    return [face for face in faces if len(set(face)) == 3]


def _ring_faces(rings: tuple[Ints, ...]) -> list[tuple[int, int, int]]:
    """Faces of air across the outer end of a tube."""
    return [(ring[0], after, before) for ring in rings for before, after in pairwise(ring[1:])]


def room_sheet(welded: Welded, cloth: Membrane) -> tuple[MembraneSheet, list[Hold]]:
    """Give a welded room its cloth, its air faces and its holds.

    Parameters
    ----------
    welded : Welded
        The mesh.
    cloth : Membrane
        Cloth of all pieces, its warp along their y axis.

    Returns
    -------
    MembraneSheet
        The membrane, as sewn.
    list of Hold
        What holds it.
    """
    double = Membrane(
        2 * cloth.warp_N_per_m,
        2 * cloth.weft_N_per_m,
        2 * cloth.shear_N_per_m,
        cloth.poisson,
        2 * cloth.mass_kg_per_m2,
    )
    air = vent_faces(welded.vents) + _ring_faces(welded.rings)
    sheet = MembraneSheet(
        nodes=welded.nodes,
        triangles=welded.triangles,
        rest=welded.rest,
        cloth=(cloth, double),
        warp_angle=np.full(len(welded.triangles), np.pi / 2),
        cloth_of=welded.layers - 1,
        air_faces=np.array(air, dtype=np.int64).reshape(-1, 3),
    )
    return sheet, [pin(welded.floor), *(pin(ring) for ring in welded.rings)]

"""How many people a room takes, and what they need to get out.

Glossary: *headroom* is the height of cloth over a place; *usable floor* has headroom enough for the
posture; *clear width* is what is free between the sides of the way out. The published floor per person is
for rooms that pass every other rule; a cloth room takes no closer crowd than chairs. Not known here: your
local code, which decides; furniture; wheelchairs (count each as two chairs and keep its way).
"""

import math
from enum import Enum

import numpy as np
from attrs import frozen

from shellparts.base.checks import between
from shellparts.loads.room_figures import RoomFigures
from shellparts.parameters.site import Posture

__all__ = [
    "FLOOR_PER_PERSON_M2",
    "HEADROOM_MM",
    "MEMBRANE_PERMIT_M2",
    "ONE_EXIT_PEOPLE",
    "SIGNS_PEOPLE",
    "Capacity",
    "CapacityLimit",
    "capacity",
    "clear_width_needed",
    "exit_capacity",
    "usable_floor",
]

#: Floor a person [m²]: 7, 15 and 20 square feet for chairs, tables and classroom. NFPA 101-2009, IBC table
#: 1004.5. Standing and floor as chairs: ours.
FLOOR_PER_PERSON_M2 = {
    Posture.STANDING: 0.65,
    Posture.ON_FLOOR: 0.65,
    Posture.CHAIRS: 0.65,
    Posture.TABLES: 1.4,
    Posture.CLASSROOM: 1.9,
}
#: Headroom that each posture needs [mm]: ours.
HEADROOM_MM = {
    Posture.STANDING: 2000.0,
    Posture.ON_FLOOR: 1200.0,
    Posture.CHAIRS: 1500.0,
    Posture.TABLES: 1500.0,
    Posture.CLASSROOM: 1500.0,
}
#: Most people with one way out [-]. IBC.
ONE_EXIT_PEOPLE = 49
#: Floor above which a membrane structure needs a permit [m²], and people from which signs and a plan are
#: asked for. IFC chapter 31.
MEMBRANE_PERMIT_M2, SIGNS_PEOPLE = 37.0, 50
_EXIT_MM_PER_PERSON = 0.2 * 25.4  # IBC: 0.2 in of exit width a person


class CapacityLimit(Enum):
    """What lets no more people in."""

    FLOOR = "floor"
    EXITS = "exits"
    AIR = "fresh air"


@frozen
class Capacity:
    """How many people fit, and why no more.

    Parameters
    ----------
    people : int
        The number [-].
    limited_by : CapacityLimit
        Why no more.
    by_floor : int
        Most by usable floor [-].
    by_exits : int
        Most by number and width of the ways out [-].
    by_air : int
        Most by fresh air [-].
    usable_floor_m2 : float
        Floor with headroom enough, way out taken off [m²].
    """

    people: int
    limited_by: CapacityLimit
    by_floor: int
    by_exits: int
    by_air: int
    usable_floor_m2: float


def usable_floor(
    radius_mm: np.ndarray, height_mm: np.ndarray, floor_area_m2: float, headroom_mm: float
) -> float:
    """Floor over which the cloth is high enough.

    Parameters
    ----------
    radius_mm : ndarray, shape (n,)
        Radius of the profile from base to top [mm].
    height_mm : ndarray, shape (n,)
        Height of each point [mm].
    floor_area_m2 : float
        Area of the floor [m²].
    headroom_mm : float
        Height needed [mm].

    Returns
    -------
    float
        The area [m²]; 0 when the room is too low.

    Examples
    --------
    >>> usable_floor(np.array([2000.0, 0.0]), np.array([0.0, 4000.0]), 12.0, 2000.0)
    3.0
    """
    radius, height = np.asarray(radius_mm, float), np.asarray(height_mm, float)
    headroom = between("headroom", headroom_mm, 0.0, 1e5, "mm", "2000 mm suits standing adults")
    if height[-1] <= headroom:
        return 0.0
    reach = min(float(np.interp(headroom, height, radius)), float(radius[0]))
    return floor_area_m2 * (reach / float(radius[0])) ** 2


def clear_width_needed(passage_depth_mm: float) -> float:
    """Least clear width of a way out.

    Parameters
    ----------
    passage_depth_mm : float
        Length of the narrow place [mm].

    Returns
    -------
    float
        The width [mm]: 32 in, or 36 in where it is deeper than 24 in.

    References
    ----------
    ADA Standards 404.2.3.

    Examples
    --------
    >>> round(clear_width_needed(100.0)), round(clear_width_needed(1500.0))
    (813, 914)
    """
    depth = between("depth of the way out", passage_depth_mm, 0.0, 1e6, "mm", "give the tunnel's length")
    return (36.0 if depth > 24.0 * 25.4 else 32.0) * 25.4


def exit_capacity(exit_count: int, exit_width_mm: float) -> int:
    """Most people for the ways out: 49 with one, and 0.2 in of clear width each.

    Parameters
    ----------
    exit_count : int
        Ways out [-].
    exit_width_mm : float
        Clear width of each [mm].

    Returns
    -------
    int
        How many [-].

    References
    ----------
    IBC: up to 49 people one exit; 0.2 in of exit width a person.

    Examples
    --------
    >>> exit_capacity(1, 900.0), exit_capacity(2, 900.0)
    (49, 354)
    """
    by_width = math.floor(exit_width_mm * exit_count / _EXIT_MM_PER_PERSON)
    return min(by_width, ONE_EXIT_PEOPLE) if exit_count == 1 else by_width


def capacity(room: RoomFigures, posture: Posture, by_air: int) -> Capacity:
    """How many people a room takes.

    A way as wide as the exit from the middle to the edge is kept free, and so is the tunnel. The flap counts
    as floor: people may sit on it.

    Parameters
    ----------
    room : RoomFigures
    posture : Posture
        How people use the floor.
    by_air : int
        Most people for whom the fresh air is enough [-].

    Returns
    -------
    Capacity
        The least of floor, exits and air.
    """
    usable = usable_floor(
        room.profile_radius_mm, room.profile_height_mm, room.people_floor_m2, HEADROOM_MM[posture]
    )
    way = min(room.exit_width_mm * math.sqrt(usable / math.pi) * 1e-3, usable)
    free = usable - way
    by_floor = math.floor(free / FLOOR_PER_PERSON_M2[posture])
    by_exits = exit_capacity(room.exit_count, room.exit_width_mm)
    counts = dict(zip(CapacityLimit, (by_floor, by_exits, by_air), strict=True))
    limited_by = min(counts, key=lambda limit: counts[limit])
    return Capacity(counts[limited_by], limited_by, by_floor, by_exits, by_air, free)

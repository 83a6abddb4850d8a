"""Holding the base down against the air inside: uplift, ballast in bags, anchors.

Glossary: *uplift* is pressure times the floor that no flap covers; *ballast* is mass laid on the base; an
*anchor* is a stake or screw with a rope at an angle. Not known here: wind (see `wind`), soil, and what an
anchor really bears: test it by pulling.
"""

import math

from attrs import frozen

from shellparts.base.checks import between
from shellparts.base.ranges import Range
from shellparts.loads.atmosphere import GRAVITY_M_S2
from shellparts.parameters.site import FloorKind

__all__ = [
    "ANCHOR_PULL_N",
    "ANCHOR_SHARE",
    "BAG_KG",
    "BAG_SPACING_M",
    "FLAP_HELD",
    "HOLD_FACTOR",
    "Bags",
    "anchors_needed",
    "bags_round_base",
    "ballast_needed",
    "uplift",
]

#: Pull that one anchor must bear along its rope [N]. EN 14960 and ISO 20187, by analogy: they exclude
#: air-supported buildings.
ANCHOR_PULL_N = 1600.0
#: Share of the pull that counts upwards, and sideways [-]: the least of sine and cosine over ropes at 30 to
#: 45 degrees.
ANCHOR_SHARE = 0.5
#: Share of the flap that the air presses down [-], by floor: ours. On a tight floor the rest is wrinkled or
#: bridged; under a flap on a floor that lets air through the pressure falls in a straight line from the
#: room's at its inner edge to none at the hem, so that half of it counts, less for wrinkles, more for clay.
FLAP_HELD = {
    FloorKind.HALL_FLOOR: Range(0.6, 0.85, 1.0),
    FloorKind.CARPET: Range(0.3, 0.5, 0.6),
    FloorKind.GROUND: Range(0.3, 0.5, 0.8),
    FloorKind.GRASS: Range(0.3, 0.5, 0.6),
}
#: Factor on uplift and wind force before weight is set against them [-]: ours.
HOLD_FACTOR = 1.5
#: Farthest from one bag to the next along the base [m]: ours; between bags it is the hem that lifts first.
BAG_SPACING_M = 2.0
#: Masses of bags to choose from [kg]: ours; 2 kg is a two-litre bottle of water, 20 kg all that one carries.
BAG_KG = (2.0, 3.0, 5.0, 10.0, 15.0, 20.0)


@frozen
class Bags:
    """A ballast in equal parts, laid evenly round the base.

    Parameters
    ----------
    count : int
        How many [-]; 0 for no ballast.
    each_kg : float
        Mass of each [kg].
    spacing_mm : float
        From one to the next along the base [mm]; 0 for no ballast.
    """

    count: int
    each_kg: float
    spacing_mm: float

    @property
    def total_kg(self) -> float:
        """Mass of all of them [kg]."""
        return self.count * self.each_kg


def bags_round_base(need_kg: float, perimeter_m: float) -> Bags:
    """Share a ballast out into whole bags, one every two metres of the base or closer.

    Parameters
    ----------
    need_kg : float
        Least mass of them all [kg].
    perimeter_m : float
        Length of the base line [m].

    Returns
    -------
    Bags
        The lightest usual bags that make up the mass; more than one every two metres where 20 kg each are
        not enough.

    Examples
    --------
    >>> bags_round_base(8.0, 14.0)
    Bags(count=7, each_kg=2.0, spacing_mm=2000.0)
    >>> bags_round_base(0.0, 14.0).count
    0
    """
    need = between("ballast", need_kg, 0.0, 1e6, "kg", "give the mass of the ballast")
    around = between("base line", perimeter_m, 0.1, 1e4, "m", "measure round the base")
    if need == 0.0:
        return Bags(0, BAG_KG[0], 0.0)
    count = max(math.ceil(around / BAG_SPACING_M - 1e-9), math.ceil(need / BAG_KG[-1] - 1e-9))
    each = next(kg for kg in BAG_KG if count * kg >= need - 1e-9)
    return Bags(count, each, 1000.0 * around / count)


def uplift(
    pressure_Pa: float, floor_area_m2: float, flap_area_m2: float = 0.0, held_share: float = 1.0
) -> float:
    """Force with which the air lifts the room off its base, ``U = p·(A − k·A_flap)``.

    Parameters
    ----------
    pressure_Pa : float
        Pressure [Pa].
    floor_area_m2 : float
        Area of the floor [m²].
    flap_area_m2 : float
        Area of the flap [m²].
    held_share : float
        Share k of the flap that the air presses down [-].

    Returns
    -------
    float
        The uplift [N].

    Raises
    ------
    ParameterError
        If a value is negative or the flap larger than the floor.

    Examples
    --------
    >>> round(uplift(50.0, math.pi * 2.5**2), 3)
    981.748
    """
    pressure = between("pressure", pressure_Pa, 0.0, 1e5, "Pa", "give the room's pressure")
    area = between("floor area", floor_area_m2, 0.0, 1e6, "m²", "give the area inside the base")
    flap = between("flap area", flap_area_m2, 0.0, area, "m²", "cut the flap shallower")
    return pressure * (
        area - between("held share of the flap", held_share, 0.0, 1.0, "(no unit)", "1 when flat") * flap
    )


def ballast_needed(uplift_N: float, cloth_mass_kg: float, factor: float = HOLD_FACTOR) -> float:
    """Ballast that holds the base down, ``m = f·U/g − m_cloth``.

    Parameters
    ----------
    uplift_N : float
        Uplift [N].
    cloth_mass_kg : float
        Mass of the cloth [kg].
    factor : float
        Factor f on the uplift [-].

    Returns
    -------
    float
        The ballast [kg], 0 or more.

    Examples
    --------
    >>> round(ballast_needed(1000.0, 15.0), 1)
    138.0
    """
    return max(0.0, factor * uplift_N / GRAVITY_M_S2 - cloth_mass_kg)


def anchors_needed(force_N: float, factor: float = HOLD_FACTOR) -> int:
    """Anchors that hold a force upwards or sideways, each counted with half of its 1600 N.

    Parameters
    ----------
    force_N : float
        The force that weight does not hold [N].
    factor : float
        Factor on it [-].

    Returns
    -------
    int
        How many [-].

    References
    ----------
    EN 14960 and ISO 20187 (1600 N an anchor at 30 to 45 degrees), by analogy only.

    Examples
    --------
    >>> anchors_needed(1000.0)
    2
    """
    return max(0, math.ceil(factor * force_N / (ANCHOR_PULL_N * ANCHOR_SHARE) - 1e-9))

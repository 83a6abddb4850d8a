"""Fresh air and carbon dioxide.

Glossary: *outdoor air* or *fresh air* is what the fan draws from outside the room; *CO2* stands for all
that people give off, in parts per million by volume (ppm); *steady* is the value it settles to; *category*
I to III is how good the air of a room is. Air is taken as fully mixed and as fresh as where the fan stands.
Not known here: a fan that draws its own room's air back, smoke, people at play (they give off two to four
times as much as people sitting), and infections.
"""

import math
from collections.abc import Sequence

from shellparts.base.checks import above, between
from shellparts.parameters.site import AgeGroup, Crowd, Space

__all__ = [
    "CO2_L_S",
    "OUTDOOR_AIR",
    "co2_given_off",
    "co2_rise_rate",
    "required_outdoor_air",
]

#: CO2 given off by one person at 1.2 met [L/s]. A. Persily and L. de Jonge, Indoor Air 27, 2017.
CO2_L_S = {
    AgeGroup.BOYS_6_10: 0.0030,
    AgeGroup.GIRLS_6_10: 0.0027,
    AgeGroup.BOYS_11_15: 0.0041,
    AgeGroup.WOMEN_30_39: 0.0035,
    AgeGroup.MEN_30_39: 0.0046,
}
#: Outdoor air a person [L/s] and a square metre [L/(s·m²)]. ASHRAE 62.1-2016, table 6.2.2.1.
OUTDOOR_AIR = {
    Space.CLASSROOM: (5.0, 0.6),
    Space.LECTURE_HALL: (3.8, 0.3),
    Space.MULTI_USE_ASSEMBLY: (3.8, 0.3),
}


def required_outdoor_air(space: Space, people: int, floor_area_m2: float) -> float:
    """Outdoor air that a room needs, ``V = Rp·P + Ra·A``.

    Parameters
    ----------
    space : Space
        What the room is used as.
    people : int
        People inside [-].
    floor_area_m2 : float
        Floor [m²].

    Returns
    -------
    float
        The flow [L/s].

    References
    ----------
    ASHRAE 62.1-2016, table 6.2.2.1.

    Examples
    --------
    >>> required_outdoor_air(Space.CLASSROOM, 25, 20.0)
    137.0
    """
    a_person, a_metre = OUTDOOR_AIR[space]
    count = between("people", people, 0, 1e5, "people", "count them")
    return a_person * count + a_metre * between(
        "floor area", floor_area_m2, 0.0, 1e6, "m²", "measure the floor"
    )


def co2_given_off(crowd: Sequence[Crowd]) -> float:
    """CO2 that a crowd sitting or standing quietly gives off.

    Parameters
    ----------
    crowd : sequence of Crowd

    Returns
    -------
    float
        The flow of CO2 [L/s].

    Examples
    --------
    >>> round(co2_given_off([Crowd(AgeGroup.BOYS_6_10, 25), Crowd(AgeGroup.MEN_30_39, 1)]), 4)
    0.0796
    """
    return math.fsum(CO2_L_S[part.group] * part.count for part in crowd)


def co2_rise_rate(given_off_L_s: float, volume_m3: float) -> float:
    """Rise of CO2 with the fan stopped, ``dC/dt = 10⁶·G/V``.

    Parameters
    ----------
    given_off_L_s : float
        CO2 given off [L/s].
    volume_m3 : float
        Air in the room [m³].

    Returns
    -------
    float
        The rise [ppm/s].

    Examples
    --------
    >>> round(co2_rise_rate(0.0796, 40.0) * 60, 1)
    119.4
    """
    return 1e3 * given_off_L_s / above("volume", volume_m3, 0.0, "m³", "measure the room")

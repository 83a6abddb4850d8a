"""How warm it gets: a plain estimate from people, lamps and fan.

Glossary: *sensible* warmth raises the temperature (what people breathe out as moisture is left out); the
*U-value* is warmth through a square metre of cloth for each kelvin. Not known here: sun on the cloth (in
the sun the estimate does not hold, it gets far warmer), moisture, and draughts.
"""

from shellparts.base.checks import between
from shellparts.base.ranges import Range

__all__ = ["CLOTH_U_VALUE", "PERSON_W", "WARM_K", "heat_sources", "temperature_rise"]

#: Sensible warmth of one person sitting or standing quietly [W]: from memory of handbook tables, children
#: at the low end.
PERSON_W = Range(50.0, 70.0, 90.0)
#: U-value of one layer of cloth [W/(m²·K)]: ours; two still-air films give 5.9.
CLOTH_U_VALUE = Range(2.0, 4.0, 6.0)
#: Rise from which it may get warm inside [K]: ours.
WARM_K = 4.0
_AIR_HEAT_J_KG_K = 1006.0


def heat_sources(people: int, lamps_W: float, fan_W: float) -> Range:
    """Warmth given off inside: people, lamps and the fan's power, all of which ends in the air.

    Parameters
    ----------
    people : int
        People inside [-].
    lamps_W : float
        Lamps and devices [W].
    fan_W : float
        Power of the fan [W].

    Returns
    -------
    Range
        The warmth [W].

    Examples
    --------
    >>> heat_sources(20, 100.0, 200.0).likely
    1700.0
    """
    fixed = between("lamps", lamps_W, 0.0, 1e6, "W", "add up the plates") + fan_W
    return Range(*(watts * people + fixed for watts in (PERSON_W.low, PERSON_W.likely, PERSON_W.high)))


def temperature_rise(heat_W: Range, flow_m3_s: Range, surface_m2: float, density_kg_m3: float) -> Range:
    """Steady rise over the temperature of the fan's air, ``dT = P / (rho·c·Q + U·S)``.

    Parameters
    ----------
    heat_W : Range
        Warmth given off inside [W].
    flow_m3_s : Range
        Flow through the room [m³/s].
    surface_m2 : float
        Area of the cloth [m²].
    density_kg_m3 : float
        Density of the air [kg/m³].

    Returns
    -------
    Range
        The rise [K].

    References
    ----------
    Heat balance of a mixed room.
    """
    carried = flow_m3_s.scaled(density_kg_m3 * _AIR_HEAT_J_KG_K)
    through = CLOTH_U_VALUE.scaled(surface_m2)
    return Range(
        heat_W.low / (carried.high + through.high),
        heat_W.likely / (carried.likely + through.likely),
        heat_W.high / (carried.low + through.low),
    )

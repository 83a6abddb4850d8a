"""How warm and how moist it gets: a plain estimate from people, lamps and fan.

Glossary: *sensible* warmth raises the temperature, *latent* warmth leaves people as vapour; the *U-value* is
warmth through a square metre of cloth for each kelvin. The air that the fan draws stays as warm and as moist as
the site says. Not known here: sun on the cloth (in the sun the estimate does not hold, it gets far warmer), a
small hall that warms up, and draughts.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from shellparts.base.ranges import Range

__all__ = [
    "CLOTH_U_VALUE",
    "PERSON_W",
    "SENSIBLE_SHARE",
    "moisture_gained",
    "temperature_inside",
]

Floats = NDArray[np.float64]

#: Sensible warmth of one person sitting or standing quietly [W]: from memory of handbook tables, children
#: at the low end.
PERSON_W = Range(50.0, 70.0, 90.0)
#: U-value of one layer of cloth [W/(m²·K)]: ours; two still-air films give 5.9.
CLOTH_U_VALUE = Range(2.0, 4.0, 6.0)
_AIR_HEAT_J_KG_K = 1006.0
#: Sensible share of what a person gives off in usual air [-]: from memory of handbook tables (70 of 115 W).
SENSIBLE_SHARE = 0.6
#: Up to the first temperature that share holds; it falls in a straight line to none at skin's, the second [°C]:
#: ours.
_COOL_C, _SKIN_C = 24.0, 36.0
#: Warmth that makes a kilogram of vapour from sweat [J/kg]: 2.43e6 at 30 °C, any steam table.
_EVAPORATION_J_KG = 2.43e6


def temperature_inside(
    fan_air_C: float,
    flow_m3_s: ArrayLike,
    people_W: ArrayLike,
    other_W: ArrayLike,
    through_W_K: ArrayLike,
    density_kg_m3: float,
) -> Floats:
    """Temperature to which the room settles, ``(rho·c·Q + U·S)·(T − T0) = P(T) + P_other``.

    People's sensible warmth P is theirs in usual air up to 24 °C and falls in a straight line to none at 36 °C,
    where all of it leaves as vapour.

    Parameters
    ----------
    fan_air_C : float
        Temperature T0 of the fan's air, and of the air around the cloth [°C].
    flow_m3_s : array_like, shape (n,)
        Flow through the room [m³/s].
    people_W : array_like, shape (n,)
        Sensible warmth of all people together in usual air [W].
    other_W : array_like, shape (n,)
        Lamps, devices and fan [W].
    through_W_K : array_like, shape (n,)
        Warmth through the cloth for each kelvin, U·S [W/K]; more than 0.
    density_kg_m3 : float
        Density of the air [kg/m³].

    Returns
    -------
    ndarray, shape (n,)
        The temperature [°C].

    References
    ----------
    Heat balance of a mixed room.

    Examples
    --------
    >>> temperature_inside(20.0, [0.3, 0.6], 1400.0, 300.0, 160.0, 1.2).round(1)
    array([23.3, 21.9])
    """
    people, other = np.asarray(people_W, float), np.asarray(other_W, float)
    carried = np.asarray(flow_m3_s, float) * density_kg_m3 * _AIR_HEAT_J_KG_K + np.asarray(through_W_K, float)
    cool = fan_air_C + (people + other) / carried
    a_kelvin = people / (_SKIN_C - _COOL_C)
    warm = (carried * fan_air_C + a_kelvin * _SKIN_C + other) / (carried + a_kelvin)
    hot = fan_air_C + other / carried
    return np.where(cool <= _COOL_C, cool, np.where(warm <= _SKIN_C, warm, hot))


def moisture_gained(
    temperature_C: ArrayLike, flow_m3_s: ArrayLike, people_W: ArrayLike, density_kg_m3: float
) -> Floats:
    """Moisture that people add to the fan's air, ``dW = P_latent / (L·rho·Q)``.

    What does not leave people as sensible warmth leaves them as vapour; the sum is their sensible warmth in
    usual air over its share, 0.6.

    Parameters
    ----------
    temperature_C : array_like, shape (n,)
        Temperature inside [°C].
    flow_m3_s : array_like, shape (n,)
        Flow through the room [m³/s]; 0 gives infinity unless nobody is inside.
    people_W : array_like, shape (n,)
        Sensible warmth of all people together in usual air [W].
    density_kg_m3 : float
        Density of the air [kg/m³].

    Returns
    -------
    ndarray, shape (n,)
        The gain [kg/kg].

    Examples
    --------
    >>> moisture_gained(23.0, 0.3, 1400.0, 1.2).round(5)
    np.float64(0.00107)
    """
    people, flow = np.asarray(people_W, float), np.asarray(flow_m3_s, float)
    dry = np.clip((_SKIN_C - np.asarray(temperature_C, float)) / (_SKIN_C - _COOL_C), 0.0, 1.0)
    vapour_W = people * (1.0 / SENSIBLE_SHARE - dry)
    carried = _EVAPORATION_J_KG * density_kg_m3 * flow
    gained = vapour_W / np.where(carried > 0.0, carried, 1.0)
    return np.where(carried > 0.0, gained, np.where(vapour_W > 0.0, np.inf, 0.0))

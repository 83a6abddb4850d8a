"""Moisture in the air, and the wet-bulb temperature by which warmth and moisture are judged together.

Glossary: the *moisture ratio* is the mass of vapour in a kilogram of dry air; the *wet bulb* is what a wet
thermometer in moving air shows, and about the coldest that sweat can make skin. Above freezing only, as rooms
with people are; below, the formula is taken on, which is within 1 K and judged by nobody.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from shellparts.loads.atmosphere import magnus

__all__ = ["moisture_at_wet_bulb", "moisture_ratio", "relative_humidity_of", "wet_bulb"]

Floats = NDArray[np.float64]

_VAPOUR_OVER_DRY = 0.621945  # molar masses
_STEPS = 60  # halvings: 100 K to less than the last digit


def moisture_ratio(temperature_C: ArrayLike, relative_humidity: ArrayLike, pressure_Pa: float) -> Floats:
    """Vapour in a kilogram of dry air, ``W = 0.621945·e/(p − e)``.

    Parameters
    ----------
    temperature_C, relative_humidity : array_like, shape (n,)
        Air temperature [°C] and share of saturation [-].
    pressure_Pa : float
        Air pressure [Pa].

    Returns
    -------
    ndarray, shape (n,)
        The ratio [kg/kg]; infinite where water would boil.

    References
    ----------
    ASHRAE Fundamentals, Psychrometrics.

    Examples
    --------
    >>> round(float(moisture_ratio(20.0, 0.5, 101325.0)), 5)
    0.00724
    """
    vapour = np.asarray(relative_humidity, float) * magnus(temperature_C)
    dry = pressure_Pa - vapour
    return np.where(dry > 0.0, _VAPOUR_OVER_DRY * vapour / np.where(dry > 0.0, dry, 1.0), np.inf)


def relative_humidity_of(temperature_C: ArrayLike, moisture: ArrayLike, pressure_Pa: float) -> Floats:
    """Share of saturation of air with a moisture ratio, the inverse of `moisture_ratio`; 1 at most.

    Parameters
    ----------
    temperature_C, moisture : array_like, shape (n,)
        Air temperature [°C] and moisture ratio [kg/kg].
    pressure_Pa : float
        Air pressure [Pa].

    Returns
    -------
    ndarray, shape (n,)
        The share [-].

    Examples
    --------
    >>> round(float(relative_humidity_of(20.0, moisture_ratio(20.0, 0.5, 101325.0), 101325.0)), 9)
    0.5
    """
    ratio = np.asarray(moisture, float)
    vapour = np.where(
        np.isinf(ratio), pressure_Pa, pressure_Pa / (1.0 + _VAPOUR_OVER_DRY / np.maximum(ratio, 1e-12))
    )
    return np.minimum(1.0, vapour / magnus(temperature_C))


def moisture_at_wet_bulb(temperature_C: ArrayLike, wet_bulb_C: ArrayLike, pressure_Pa: float) -> Floats:
    """Moisture ratio of air with a given wet bulb.

    ``W = ((2501 − 2.326·t*)·Ws* − 1.006·(t − t*)) / (2501 + 1.86·t − 4.186·t*)``, ``Ws*`` the ratio of saturated
    air at the wet bulb ``t*``.

    Parameters
    ----------
    temperature_C, wet_bulb_C : array_like, shape (n,)
        Air temperature t and wet bulb t* [°C].
    pressure_Pa : float
        Air pressure [Pa].

    Returns
    -------
    ndarray, shape (n,)
        The ratio [kg/kg]; negative where even dry air has a higher wet bulb.

    References
    ----------
    ASHRAE Fundamentals, Psychrometrics: wet-bulb equation above freezing.
    """
    t, wet = np.asarray(temperature_C, float), np.asarray(wet_bulb_C, float)
    full = moisture_ratio(wet, 1.0, pressure_Pa)
    return ((2501.0 - 2.326 * wet) * full - 1.006 * (t - wet)) / (2501.0 + 1.86 * t - 4.186 * wet)


def wet_bulb(temperature_C: ArrayLike, relative_humidity: ArrayLike, pressure_Pa: float) -> Floats:
    """Wet-bulb temperature, by halving `moisture_at_wet_bulb` in t*.

    Parameters
    ----------
    temperature_C, relative_humidity : array_like, shape (n,)
        Air temperature [°C] and share of saturation [-].
    pressure_Pa : float
        Air pressure [Pa].

    Returns
    -------
    ndarray, shape (n,)
        The wet bulb [°C].

    Examples
    --------
    >>> wet_bulb([30.0, 30.0], [0.5, 1.0], 101325.0).round(1)
    array([22., 30.])
    """
    t, share = np.broadcast_arrays(np.asarray(temperature_C, float), np.asarray(relative_humidity, float))
    ratio = moisture_ratio(t, share, pressure_Pa)
    low, high = t - 60.0, t.copy()
    for _ in range(_STEPS):
        middle = (low + high) / 2.0
        drier = moisture_at_wet_bulb(t, middle, pressure_Pa) < ratio
        low, high = np.where(drier, middle, low), np.where(drier, high, middle)
    return high

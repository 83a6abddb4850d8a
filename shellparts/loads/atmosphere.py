"""How heavy the air is: by height above the sea, warmth and moisture.

Glossary: *density* is the mass of a cubic metre of air; *relative humidity* is the share of the moisture
that the air could hold. The formulas are those of the standard atmosphere up to 11 km and of ideal moist
air; the weather of the day is not known here.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from shellparts.base.checks import between

__all__ = [
    "GRAVITY_M_S2",
    "magnus",
    "moist_air_density",
    "saturation_pressure",
    "standard_pressure",
]

#: Standard acceleration of free fall [m/s²].
GRAVITY_M_S2 = 9.80665
_DRY_GAS, _VAPOUR_GAS = 287.0529, 461.523  # gas constants of dry air and of water vapour [J/(kg·K)]
_SEA_LEVEL_K, _LAPSE_K_M, _ZERO_C_K = 288.15, 0.0065, 273.15
_EARTH_M = 6356766.0  # the radius that the standard reckons with
_ALTITUDE_REMEDY = "give the height of the site above the sea in metres"


def _standard_temperature(altitude_m: float) -> float:
    """Temperature of the standard atmosphere [K], which falls with geopotential height."""
    height = between("altitude", altitude_m, -500.0, 5000.0, "m", _ALTITUDE_REMEDY)
    return _SEA_LEVEL_K - _LAPSE_K_M * _EARTH_M * height / (_EARTH_M + height)


def standard_pressure(altitude_m: float) -> float:
    """Air pressure of the standard atmosphere, ``p = 101325·(T/288.15)^5.25588``, ``T = 288.15 − 0.0065·H``.

    ``H = r·h/(r + h)`` is the geopotential height, r 6356.766 km.

    Parameters
    ----------
    altitude_m : float
        Height above the sea [m], −500 to 5000.

    Returns
    -------
    float
        The pressure [Pa].

    Raises
    ------
    ParameterError
        If the height is outside −500 to 5000 m.

    References
    ----------
    U.S. Standard Atmosphere, 1976.

    Examples
    --------
    >>> standard_pressure(0.0)
    101325.0
    """
    exponent = GRAVITY_M_S2 / (_DRY_GAS * _LAPSE_K_M)
    return 101325.0 * (_standard_temperature(altitude_m) / _SEA_LEVEL_K) ** exponent


def magnus(temperature_C: ArrayLike) -> NDArray[np.float64]:
    """Pressure of water vapour when the air can hold no more, by the Magnus formula.

    ``p = 610.94·exp(17.625·t/(t + 243.04))``

    Parameters
    ----------
    temperature_C : array_like, shape (n,)
        Air temperature [°C]; within 0.4 % from −40 to 60.

    Returns
    -------
    ndarray, shape (n,)
        The pressure [Pa].

    References
    ----------
    O. A. Alduchov and R. E. Eskridge, Journal of Applied Meteorology 35, 1996.

    Examples
    --------
    >>> magnus([0.0, 20.0]).round()
    array([ 611., 2333.])
    """
    t = np.asarray(temperature_C, float)
    return 610.94 * np.exp(17.625 * t / (t + 243.04))


def saturation_pressure(temperature_C: float) -> float:
    """Pressure of water vapour when air of a usual temperature can hold no more, by `magnus`.

    Parameters
    ----------
    temperature_C : float
        Air temperature [°C], −40 to 50.

    Returns
    -------
    float
        The pressure [Pa].

    Raises
    ------
    ParameterError
        If the temperature is outside −40 to 50 °C.

    Examples
    --------
    >>> round(saturation_pressure(20.0))
    2333
    """
    t = between(
        "air temperature", temperature_C, -40.0, 50.0, "°C", "give the temperature of the air in the fan"
    )
    return float(magnus(t))


def moist_air_density(temperature_C: float, relative_humidity: float, pressure_Pa: float = 101325.0) -> float:
    """Density of moist air, ``rho = (p − e)/(287.05·T) + e/(461.5·T)`` with ``e`` the vapour's pressure.

    Parameters
    ----------
    temperature_C : float
        Air temperature [°C], −40 to 50.
    relative_humidity : float
        Share of saturation [-], 0 to 1.
    pressure_Pa : float
        Air pressure [Pa].

    Returns
    -------
    float
        The density [kg/m³].

    Raises
    ------
    ParameterError
        If a value is outside its limits.

    References
    ----------
    Ideal-gas mixture of dry air and water vapour, as in ASHRAE Fundamentals, Psychrometrics.

    Examples
    --------
    >>> round(moist_air_density(20.0, 0.5), 3)
    1.199
    """
    share = between("relative humidity", relative_humidity, 0.0, 1.0, "as a share", "write 50 % as 0.5")
    total = between("air pressure", pressure_Pa, 5e4, 1.1e5, "Pa", "give the barometer's reading at the site")
    vapour = share * saturation_pressure(temperature_C)
    kelvin = temperature_C + _ZERO_C_K
    return (total - vapour) / (_DRY_GAS * kelvin) + vapour / (_VAPOUR_GAS * kelvin)

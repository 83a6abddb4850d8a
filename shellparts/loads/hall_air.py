"""Carbon dioxide in the room when the hall that it stands in fills up too.

Glossary: the *hall* is where the fan draws its air and where the room's air goes; the *background* is the hall's
own CO2 before the visits, kept there by whoever else is in it; a *visit* is a crowd that comes, stays and goes;
the *rise* is CO2 over the background. Both volumes are fully mixed. With k = q/V and m = q/H + h (q the fan's
flow, V room, H hall, h the hall's air changes) the balance is

    dr/dt = −k·(r − s) + G/V,    ds/dt = q/H·(r − s) − h·s

for the rises r in the room and s in the hall: two exponentials. Outdoors H is infinite and s stays 0. Not known
here: air that goes straight from the room back into the fan, people of the visit who stay on in the hall.
"""

import numpy as np
from attrs import frozen
from numpy.typing import ArrayLike, NDArray

__all__ = ["Visits", "co2_after_visits", "co2_at_site"]

Floats = NDArray[np.float64]

#: Air at which the published litres of CO2 are given: 0 °C and one atmosphere (A. Persily and L. de Jonge, 2017).
_TABLE_K, _TABLE_PA = 273.15, 101325.0


@frozen
class Visits:
    """Visits one after another.

    Parameters
    ----------
    visit_s : float
        How long each lasts [s].
    count : int
        How many [-].
    pause_s : float
        From one to the next [s]; nobody inside, the fan running.
    """

    visit_s: float
    count: int = 1
    pause_s: float = 0.0


def co2_at_site(given_off_L_s: ArrayLike, pressure_Pa: float, temperature_C: float) -> Floats:
    """CO2 given off in litres of the site's own air, ``G·(101325/p)·(T/273.15)``.

    People give off the same moles everywhere; in thin or warm air these are more litres.

    Parameters
    ----------
    given_off_L_s : array_like, shape (n,)
        CO2 by the published table [L/s], which is for 0 °C and 101325 Pa.
    pressure_Pa : float
        Air pressure at the site [Pa].
    temperature_C : float
        Temperature of the air [°C].

    Returns
    -------
    ndarray, shape (n,)
        The flow of CO2 [L/s].

    References
    ----------
    A. Persily and L. de Jonge, Indoor Air 27, 2017, table 4; ideal gas.

    Examples
    --------
    >>> round(float(co2_at_site(0.0796, 101325.0, 20.0)), 4)
    0.0854
    """
    warmer = (temperature_C + _TABLE_K) / _TABLE_K
    return np.asarray(given_off_L_s, float) * (_TABLE_PA / pressure_Pa * warmer)


def _fed(rate: Floats, visits: Visits) -> Floats:
    """Integral of ``exp(−rate·age)`` over the seconds in which somebody was inside, at the end of the last visit."""
    period = visits.visit_s + visits.pause_s
    slow = rate * period < 1e-12
    safe = np.where(slow, 1.0, rate)
    one = -np.expm1(-safe * visits.visit_s) / safe
    repeats = np.expm1(-safe * visits.count * period) / np.expm1(-safe * period)
    return np.where(slow, visits.visit_s * visits.count, one * repeats)


def co2_after_visits(
    given_off_L_s: ArrayLike,
    flow_m3_s: ArrayLike,
    room_m3: float,
    hall_m3: float,
    hall_changes_h: float,
    visits: Visits,
    background_ppm: float = 420.0,
) -> tuple[Floats, Floats]:
    """CO2 in the room and in the hall at the end of the last of several visits, in closed form.

    Parameters
    ----------
    given_off_L_s : array_like, shape (n,)
        CO2 that the crowd gives off, in litres of the site's air [L/s].
    flow_m3_s : array_like, shape (n,)
        The fan's flow through the room [m³/s], 0 or more.
    room_m3, hall_m3 : float
        Air in the room and in the hall [m³]; an infinite hall is the open air.
    hall_changes_h : float
        Air changes of the hall with the outdoors [1/h].
    visits : Visits
    background_ppm : float
        CO2 in room and hall before the first visit [ppm].

    Returns
    -------
    tuple of ndarray, shape (n,)
        CO2 in the room and in the hall [ppm].

    References
    ----------
    Mass balance of two mixed volumes; its matrix has the real eigenvalues −a and −b.

    Examples
    --------
    >>> room, hall = co2_after_visits(0.0796, 0.137, 40.0, float("inf"), 0.0, Visits(300.0))
    >>> round(float(room), 1), float(hall)
    (793.1, 420.0)
    """
    given, flow = np.broadcast_arrays(np.asarray(given_off_L_s, float), np.asarray(flow_m3_s, float))
    change = hall_changes_h / 3600.0
    k, back = flow / room_m3, flow / hall_m3
    m = back + change
    apart = k - m
    root = np.hypot(apart, 2.0 * np.sqrt(k * back))
    fast = (k + m + root) / 2.0
    slow = np.where(fast > 0.0, k * change / np.where(fast > 0.0, fast, 1.0), 0.0)
    # the slow exponential's share of the room, without cancelling digits where the fan is strong
    equal = root == 0.0
    safe = np.where(equal, 1.0, root)
    strong = apart > 0.0
    far = np.where(strong, 2.0 * k * back / np.where(strong, root + apart, 1.0), (root - apart) / 2.0)
    share = np.where(equal, 1.0, far / safe)
    slow_s, fast_s = _fed(slow, visits), _fed(fast, visits)
    ppm_s = 1e3 * given / room_m3
    room = ppm_s * (share * slow_s + (1.0 - share) * fast_s)
    hall = ppm_s * back * np.where(equal, 0.0, (slow_s - fast_s) / safe)
    return background_ppm + room, background_ppm + hall

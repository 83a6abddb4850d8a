"""The pressure at which the fan gives what the leaks take, in every draw.

The fan's pressure falls with the flow, the leaks' need rises with it: there is exactly one. The base is taken as held
down. Not known here: whether the room stands or lifts at that pressure (see `settings`).
"""

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from shellparts.loads.fan_draws import FanDraws
from shellparts.loads.leak_draws import LAP_EXPONENT, LeakDraws
from shellparts.loads.root import rising_root
from shellparts.parameters.fan import FanSpeed

__all__ = ["WorkingDraws", "working"]

Floats = NDArray[np.float64]


@frozen(eq=False)
class WorkingDraws:
    """Where fan and leaks agree.

    Parameters
    ----------
    pressure_Pa : ndarray, shape (n,)
        Pressure in the room over the outside [Pa].
    flow_m3_s : ndarray, shape (n,)
        Flow through the room [m³/s].
    """

    pressure_Pa: Floats
    flow_m3_s: Floats


def working(fan: FanDraws, speed: FanSpeed, leaks: LeakDraws) -> WorkingDraws:
    """Solve for the working point of every draw.

    Parameters
    ----------
    fan : FanDraws
    speed : FanSpeed
        Setting of its switch.
    leaks : LeakDraws
        The ways out, the vent as far open as it is.

    Returns
    -------
    WorkingDraws
        The leaks' flow at the pressure equals the flow within 1e-12 of it; without leaks it is the fan's shut-off.
    """
    shut_off = fan.shut_off(speed)
    most = leaks.flow(shut_off)
    if fan.table is None:
        pressure = shut_off * np.sin(_angle(fan.free_air(speed), shut_off, leaks)) ** 2
        return WorkingDraws(pressure, leaks.flow(pressure))

    def missing(flow: Floats) -> tuple[Floats, Floats]:
        """How much more the fan gives than the leaks take at its pressure."""
        pressure, slope = fan.pressure_and_slope(speed, flow)
        with np.errstate(invalid="ignore"):
            falling = leaks.slope(pressure) * slope
        return flow - leaks.flow(pressure), 1.0 - np.nan_to_num(falling, nan=0.0)

    flow = np.minimum(rising_root(missing, np.zeros_like(most), fan.free_air(speed)), most)
    # the pressure is read from the leaks: the fan's curve loses digits near free air, the leaks do not
    return WorkingDraws(np.where(flow > 0.0, leaks.pressure(flow, shut_off), shut_off), flow)


def _angle(free_air: Floats, shut_off: Floats, leaks: LeakDraws) -> Floats:
    """Angle by which a parabola's flow is ``Q0·cos`` and its pressure ``p0·sin²``, both smooth at both ends."""
    opening = leaks.opening * np.sqrt(shut_off)
    lap, power = leaks.lap * shut_off**LAP_EXPONENT, 2.0 * LAP_EXPONENT
    cloth = leaks.cloth * shut_off

    def spare(angle: Floats) -> tuple[Floats, Floats]:
        s, c = np.sin(angle), np.cos(angle)
        laps = lap * s ** (power - 1.0)
        leaving = opening * s + laps * s + cloth * s * s
        return leaving - free_air * c, (opening + power * laps + 2.0 * cloth * s) * c + free_air * s

    return rising_root(spare, np.zeros_like(shut_off), np.full_like(shut_off, np.pi / 2.0))

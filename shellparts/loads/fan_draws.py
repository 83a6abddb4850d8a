"""What the fan may really do: its flow and pressure in every draw.

Glossary: *full speed* is the curve that the fan is told with. In a draw the true curve is that one with its flows
times one number and its pressures times another, on one side of a dip or between; the ratio of a speed has the same
place in its range for every speed. By the *fan laws* flow goes with the speed, pressure with its square and with the
density of the air. A fan of which the label alone is known has one speed of the air at its outlet in
a draw, which decides its flow and its shut-off pressure. Arrays have one entry a draw.
"""

import numpy as np
from attrs import frozen
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import PchipInterpolator

from shellparts.base.ranges import Range
from shellparts.loads.draws import Draws
from shellparts.loads.root import rising_root
from shellparts.parameters.fan import Fan, FanSpeed
from shellparts.parameters.fan_label import outlet_shut_off

__all__ = ["FanDraws", "fan_draws"]

Floats = NDArray[np.float64]


@frozen(eq=False)
class _Table:
    """Monotone cubics through the points of the told curve, one a draw, or one for all where it has no dip."""

    flow: Floats  # (m,)
    pressure: Floats  # (m, n) or (m, 1)
    cubic: Floats  # (4, m - 1, n) or (4, m - 1, 1)

    def _coefficients(self, segment: NDArray[np.intp]) -> Floats:
        column = np.arange(len(segment)) if self.cubic.shape[2] > 1 else np.zeros(len(segment), int)
        return self.cubic[:, segment, column]

    def at(self, flow: Floats) -> tuple[Floats, Floats]:
        """Pressure and its slope."""
        segment = np.clip(np.searchsorted(self.flow, flow, side="right") - 1, 0, len(self.flow) - 2)
        a, b, c, d = self._coefficients(segment)
        t = flow - self.flow[segment]
        return ((a * t + b) * t + c) * t + d, (3.0 * a * t + 2.0 * b) * t + c

    def flow_at(self, pressure: Floats) -> Floats:
        """Flow at a pressure between 0 and shut-off."""
        segment = np.clip((self.pressure > pressure).sum(axis=0) - 1, 0, len(self.flow) - 2)
        a, b, c, d = self._coefficients(segment)
        start = self.flow[segment]

        def short(t: Floats) -> tuple[Floats, Floats]:
            return pressure - (((a * t + b) * t + c) * t + d), -((3.0 * a * t + 2.0 * b) * t + c)

        return start + rising_root(short, np.zeros_like(start), self.flow[segment + 1] - start)


@frozen(eq=False)
class FanDraws:
    """A fan in every draw; made by `fan_draws`.

    Parameters
    ----------
    fan : Fan
    flow_scale, pressure_scale : ndarray, shape (n,)
        True flow and pressure at full speed over those of the told curve [-], the air's density included.
    place : ndarray, shape (n,)
        Place of the speeds in their ranges [-].
    outlet_m2 : ndarray, shape (n,)
        Open area of the outlet, of all fans [m²].
    table : object or None
        The told curve where it is no parabola.
    """

    fan: Fan
    flow_scale: Floats
    pressure_scale: Floats
    place: Floats
    outlet_m2: Floats
    table: _Table | None

    def ratio(self, speed: FanSpeed) -> Floats:
        """Speed over full speed [-]."""
        return speed.ratio.low + self.place * (speed.ratio.high - speed.ratio.low)

    def shut_off(self, speed: FanSpeed) -> Floats:
        """Pressure with no flow [Pa]."""
        told = self.fan.weak.shut_off_Pa if self.table is None else self.table.pressure[0]
        return told * self._pressure_unit(speed)

    def free_air(self, speed: FanSpeed) -> Floats:
        """Flow against no pressure [m³/s]."""
        return self.fan.weak.free_air_m3_s * self._flow_unit(speed)

    def pressure(self, speed: FanSpeed, flow_m3_s: ArrayLike) -> Floats:
        """Pressure of the fan at a flow [Pa]; 0 at free air and beyond, shut-off at no flow."""
        return self.pressure_and_slope(speed, flow_m3_s)[0]

    def pressure_and_slope(self, speed: FanSpeed, flow_m3_s: ArrayLike) -> tuple[Floats, Floats]:
        """Pressure at a flow [Pa], and how fast it changes with it [Pa·s/m³]."""
        flow_unit, pressure_unit = self._flow_unit(speed), self._pressure_unit(speed)
        free = self.fan.weak.free_air_m3_s
        flow = np.clip(np.asarray(flow_m3_s, float) / flow_unit, 0.0, free)
        if self.table is None:
            told = self.fan.weak.shut_off_Pa
            pressure, slope = told * (1.0 - (flow / free) ** 2), -2.0 * told * flow / free**2
        else:
            pressure, slope = self.table.at(flow)
            pressure = np.where(flow >= free, 0.0, np.maximum(pressure, 0.0))
        return pressure * pressure_unit, slope * pressure_unit / flow_unit

    def flow(self, speed: FanSpeed, pressure_Pa: ArrayLike) -> Floats:
        """Flow of the fan against a pressure [m³/s]; 0 at shut-off and above, free air at 0 and below.

        Examples
        --------
        >>> from shellparts.loads.draws import draws
        >>> from shellparts.parameters.fan_sources import fan_from_label
        >>> some = fan_draws(fan_from_label("fan", 1.0, 500), draws(64), 1.2)
        >>> speed = some.fan.speed("low")
        >>> bool(np.allclose(some.pressure(speed, some.flow(speed, 2.0)), 2.0))
        True
        """
        told = np.asarray(pressure_Pa, float) / self._pressure_unit(speed)
        if self.table is None:
            left = np.clip(1.0 - told / self.fan.weak.shut_off_Pa, 0.0, 1.0)
            return self.free_air(speed) * np.sqrt(left)
        inside = np.clip(told, 0.0, self.table.pressure[0])
        flow = np.where(inside <= 0.0, self.fan.weak.free_air_m3_s, self.table.flow_at(inside))
        return np.where(told >= self.table.pressure[0], 0.0, flow) * self._flow_unit(speed)

    def _flow_unit(self, speed: FanSpeed) -> Floats:
        return self.flow_scale * self.ratio(speed)

    def _pressure_unit(self, speed: FanSpeed) -> Floats:
        return self.pressure_scale * self.ratio(speed) ** 2


def fan_draws(fan: Fan, draws: Draws, density_kg_m3: float) -> FanDraws:
    """Draw a fan.

    Parameters
    ----------
    fan : Fan
    draws : Draws
    density_kg_m3 : float
        Density of the air [kg/m³].

    Returns
    -------
    FanDraws
        The same fan for all speeds and questions in each draw.

    References
    ----------
    The fan laws, for example ASHRAE Systems and Equipment, Fans; between points F. N. Fritsch and J. Butland, SIAM J.
    Sci. Stat. Comput. 5, 1984.
    """
    flow = draws.between("fan free air", fan.flow_share)
    outlet = _outlet(fan, draws)
    denser = density_kg_m3 / fan.weak.density_kg_m3
    if fan.pressure_share is not None:
        pressure = draws.between("fan shut-off", fan.pressure_share)
    else:
        place = draws.between("fan shut-off", Range(0.0, 0.5, 1.0))
        velocity = flow * fan.weak.free_air_m3_s / outlet
        pressure = np.asarray(outlet_shut_off(velocity, place)) / fan.weak.shut_off_Pa
    place = draws.between("fan speed", Range(0.0, 0.5, 1.0))
    return FanDraws(fan, flow, pressure * denser, place, outlet, _table(fan, draws))


def _outlet(fan: Fan, draws: Draws) -> Floats:
    """Outlet's area [m²], spread so that the speed of the label's air is spread evenly."""
    area = fan.outlet_area_m2
    return 1.0 / draws.between("fan outlet", Range(1.0 / area.high, 1.0 / area.likely, 1.0 / area.low))


def _table(fan: Fan, draws: Draws) -> _Table | None:
    """The told curve in every draw; None where it is a parabola, which needs none."""
    weak, strong = np.array(fan.weak.pressure_Pa), np.array(fan.strong.pressure_Pa)
    if fan.weak.parabolic and fan.strong.parabolic and fan.weak == fan.strong:
        return None
    flow, points = np.array(fan.weak.flow_m3_s), weak[:, None]
    if (weak != strong).any():
        points = points + (strong - weak)[:, None] * draws.between("fan stall", Range(0.0, 0.5, 1.0))
    return _Table(flow, points, PchipInterpolator(flow, points, axis=0).c)

"""The fan: how much air it gives against how much pressure.

Glossary: the *curve* of a fan is its pressure at each flow; *shut-off* is the pressure with no flow at all,
*free air* the flow against no pressure; the *fan laws* carry a curve to another speed: flow goes with the
speed, pressure with its square and with the density of the air, power with its cube and density. A fan here
is the curve that it is told with, how far the true one may be from it, and the settings of its switch; several
like fans side by side are one with more flow. This module does not know where the curve comes from (see
`fan_sources`), nor the room.
"""

from collections.abc import Mapping, Sequence
from functools import lru_cache
from itertools import pairwise
from typing import Any

import numpy as np
from attrs import evolve, field, frozen
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from shellparts.base.checks import above, is_number, require
from shellparts.base.errors import ParameterError
from shellparts.base.fields import flag_field, kinds, number_field, part_field, range_field
from shellparts.base.ranges import End, Range, exact

__all__ = [
    "SHUT_OFF_FACTOR",
    "Fan",
    "FanCurve",
    "FanSpeed",
    "check_points",
    "curve_at",
    "fan_pressure",
    "fan_speeds",
    "fans_together",
    "floats",
    "outlet_shut_off",
]

#: Shut-off pressure over ½·rho·v², v the speed of the air at the outlet in free air: ours, for propeller fans in a
#: ring or drum.
SHUT_OFF_FACTOR = Range(1.5, 2.5, 4.0)
#: Most that box and pedestal fans reach with their outlet shut [Pa]: common practice, from memory, says 15 for slow
#: ones to 60 for fast ones; more is not believed of a fan of which only the label is known.
_MOST_SHUT_OFF_PA = 60.0

_CURVE_REMEDY = (
    "give points from the fan's table in order of flow, the first at flow 0 and the last at pressure 0"
)
_MAKE_FAN = "make the fan with fan_from_label, fan_from_points or fan_from_csv"


def floats(values: Sequence[float]) -> tuple[float, ...]:
    """Read the numbers of a curve.

    Parameters
    ----------
    values : sequence of float
        Flows or pressures.

    Raises
    ------
    ParameterError
        If it is no sequence of numbers.

    Examples
    --------
    >>> floats([0, 1])
    (0.0, 1.0)
    """
    try:
        return tuple(float(value) for value in values)
    except (TypeError, ValueError) as error:
        raise ParameterError("fan curve", repr(values), "a sequence of numbers", _CURVE_REMEDY) from error


@frozen
class FanCurve:
    """Pressure of a fan against its flow at one speed, never rising with the flow.

    Parameters
    ----------
    flow_m3_s : tuple of float, shape (n,)
        Flows [m³/s], rising, the first 0.
    pressure_Pa : tuple of float, shape (n,)
        Static pressure at each flow [Pa], never rising, the last 0.
    density_kg_m3 : float
        Density of the air that the curve is for [kg/m³].
    parabolic : bool
        Whether the pressure falls with the square of the flow, ``p = p0·(1 − (Q/Q0)²)``, between two points only.
    """

    flow_m3_s: tuple[float, ...] = field(converter=floats)
    pressure_Pa: tuple[float, ...] = field(converter=floats)
    density_kg_m3: float = number_field(
        "density kg m3", "kg/m³", 0.5, 1.6, "air weighs about 1.2 kg/m³", default=1.2
    )
    parabolic: bool = flag_field("whether the fan's curve is a parabola", default=False)

    def __attrs_post_init__(self) -> None:
        check_points(self.flow_m3_s, self.pressure_Pa)
        falls = all(b <= a for a, b in pairwise(self.pressure_Pa))
        remedy = "use fan_sources.fan_from_points"
        require(falls, "fan curve", "rising in places", "never rising with the flow", remedy)
        count = len(self.flow_m3_s)
        ends = not self.parabolic or count == 2
        require(ends, "parabola of a fan", f"{count} points", "its two ends", "leave out the points between")

    @property
    def shut_off_Pa(self) -> float:
        """Pressure with no flow [Pa]."""
        return self.pressure_Pa[0]

    @property
    def free_air_m3_s(self) -> float:
        """Flow against no pressure [m³/s]."""
        return self.flow_m3_s[-1]


def check_points(flow: tuple[float, ...], pressure: tuple[float, ...]) -> None:
    """Refuse points that are no fan curve.

    Parameters
    ----------
    flow, pressure : tuple of float, shape (n,)
        Flows [m³/s], and the static pressure at each [Pa].

    Raises
    ------
    ParameterError
        If they do not run from flow 0 at a pressure above 0 to free air at pressure 0.
    """

    def needs(condition: bool, value: str, limit: str) -> None:
        require(condition, "fan curve", value, limit, _CURVE_REMEDY)

    told = f"{len(flow)} flows and {len(pressure)} pressures"
    needs(len(flow) == len(pressure) >= 2, told, "two or more pairs")
    finite = bool(np.isfinite(flow + pressure).all()) and min(pressure) >= 0.0
    needs(finite, "partly negative or not a number", "made of finite pressures from 0 up")
    rising = flow[0] == 0.0 and all(a < b for a, b in pairwise(flow))
    needs(rising, f"at flows {flow} m³/s", "at rising flows that begin with 0")
    ends = f"from {pressure[0]:g} to {pressure[-1]:g} Pa"
    needs(pressure[0] > 0.0 and pressure[-1] == 0.0, ends, "from shut-off down to 0 Pa in free air")


@lru_cache(maxsize=256)
def _interpolant(flow: tuple[float, ...], pressure: tuple[float, ...]) -> Any:
    """Monotone cubic through the points."""
    return PchipInterpolator(flow, pressure)


def fan_pressure(curve: FanCurve, flow_m3_s: float) -> float:
    """Pressure of the fan at a flow, by its parabola, else by the monotone cubic through its points.

    Parameters
    ----------
    curve : FanCurve
        The fan at its speed and density.
    flow_m3_s : float
        The flow [m³/s], 0 up to free air.

    Returns
    -------
    float
        Static pressure [Pa].

    Raises
    ------
    ParameterError
        If the flow is not on the curve.

    References
    ----------
    F. N. Fritsch and J. Butland, SIAM J. Sci. Stat. Comput. 5, 1984 (the interpolation).

    Examples
    --------
    >>> fan_pressure(FanCurve((0.0, 1.0), (60.0, 0.0)), 0.25)
    45.0
    """
    if not 0.0 <= flow_m3_s <= curve.free_air_m3_s:
        limit = f"from 0 to {curve.free_air_m3_s:g} m³/s, the fan's free air"
        raise ParameterError("flow", f"{flow_m3_s:g} m³/s", limit, "take a larger fan")
    if flow_m3_s == curve.free_air_m3_s:
        return 0.0
    if curve.parabolic:
        return curve.shut_off_Pa * (1.0 - (flow_m3_s / curve.free_air_m3_s) ** 2)
    return max(0.0, float(_interpolant(curve.flow_m3_s, curve.pressure_Pa)(flow_m3_s)))


def curve_at(curve: FanCurve, speed_ratio: float, density_kg_m3: float) -> FanCurve:
    """Curve at another speed and density by the fan laws, ``Q·r`` and ``p·r²·rho/rho0``.

    Parameters
    ----------
    curve : FanCurve
        The fan as its maker gives it.
    speed_ratio : float
        Speed over the speed of `curve` [-], above 0, at most 2.
    density_kg_m3 : float
        Density of the air [kg/m³].

    Raises
    ------
    ParameterError
        If the ratio is 0 or less.

    References
    ----------
    The fan laws, for example ASHRAE Systems and Equipment, Fans.

    Examples
    --------
    >>> curve_at(FanCurve((0.0, 1.0), (60.0, 0.0)), 0.5, 1.2).pressure_Pa
    (15.0, 0.0)
    """
    ratio = above("speed ratio", speed_ratio, 0.0, "of full speed", "leave a stopped fan out")
    head = ratio**2 * density_kg_m3 / curve.density_kg_m3
    return FanCurve(
        tuple(flow * ratio for flow in curve.flow_m3_s),
        tuple(p * head for p in curve.pressure_Pa),
        density_kg_m3,
        curve.parabolic,
    )


def outlet_shut_off(velocity_m_s: Any, place: Any) -> Any:
    """Shut-off pressure of a fan of which only its label is known, ``p0 = k·½·rho·v²`` with k from 1.5 to 4.

    The higher end is taken as no more than box and pedestal fans do, 60 Pa, and the lower one as half of that at most.

    Parameters
    ----------
    velocity_m_s : float or ndarray
        Speed of the air at the outlet in free air [m/s].
    place : float or ndarray
        Place between the lower and the higher end, a share.

    Returns
    -------
    float or ndarray
        The pressure in air of 1.2 kg/m³ [Pa].

    References
    ----------
    The factor is ours; 15 to 60 Pa is common practice, from memory.

    Examples
    --------
    >>> [round(float(outlet_shut_off(7.0, place)), 1) for place in (0.0, 1.0)]
    [30.0, 60.0]
    >>> [round(float(outlet_shut_off(3.0, place)), 1) for place in (0.0, 1.0)]
    [8.1, 21.6]
    """
    moving = 0.5 * 1.2 * np.square(velocity_m_s)
    low = np.minimum(SHUT_OFF_FACTOR.low * moving, 0.5 * _MOST_SHUT_OFF_PA)
    high = np.minimum(SHUT_OFF_FACTOR.high * moving, _MOST_SHUT_OFF_PA)
    return low + place * (high - low)


@frozen
class FanSpeed:
    """One setting of the fan's switch.

    Parameters
    ----------
    name : str
        As on the switch.
    ratio : Range
        Speed over full speed [-]; a plain number is one that was measured, and is taken as exact.
    """

    name: str
    ratio: Range = range_field("speed of the fan", "of full speed", 0.0, 2.0, "half of full speed is 0.5")


def fan_speeds(value: Any) -> tuple[Any, ...]:
    """Settings of a switch as they are, or from their names with shares of full speed."""
    if isinstance(value, Mapping):
        return tuple(FanSpeed(str(name), ratio) for name, ratio in value.items())
    return tuple(value) if isinstance(value, list | tuple) else (value,)


def _speeds_field() -> Any:
    check = kinds("speed of the fan", FanSpeed, "write FanSpeed(…) for each", several=True)
    return field(converter=fan_speeds, validator=check)


@frozen
class Fan:
    """A fan with its uncertainty and its speeds.

    Parameters
    ----------
    name : str
        What the user calls it.
    weak, strong : FanCurve
        The curve that it is told with, at full speed, on either side of a dip: the same where there is none.
    speeds : tuple of FanSpeed
        Settings of the switch, slowest first; names with their share of full speed will do.
    outlet_area_m2 : Range
        Open area of the outlet [m²]: what air can leave by when the fan stands still.
    power_W : float
        Power it draws at full speed [W]; it ends as warmth.
    assumed : bool
        Whether part of the curve is an assumption.
    flow_share : Range
        True flow over that of the curve [-].
    pressure_share : Range or None
        True pressure over that of the curve [-]; None where it follows from the speed of the air at the outlet, by
        `outlet_shut_off`.
    count : int
        How many like fans it is, side by side [-]; curve, outlet and power are those of all.
    """

    name: str
    weak: FanCurve = part_field("weaker curve of the fan", FanCurve, _MAKE_FAN)
    strong: FanCurve = part_field("stronger curve of the fan", FanCurve, _MAKE_FAN)
    speeds: tuple[FanSpeed, ...] = _speeds_field()
    outlet_area_m2: Range = part_field("area of the fan's outlet", Range, _MAKE_FAN)
    power_W: float = number_field("power W", "W", 0.0, 2e4, "read it from the fan's plate", default=200.0)
    assumed: bool = False
    flow_share: Range = range_field(
        "true flow of the fan", "of what it is told", 0.1, 2.0, "1 is as told", default=exact(1.0)
    )
    pressure_share: Range | None = part_field(
        "true pressure of the fan", Range, "1 is as told", optional=True, default=exact(1.0)
    )
    count: int = number_field("number of fans", "fans", 1, 12, "count them", whole=True, default=1)

    def __attrs_post_init__(self) -> None:
        likely = [speed.ratio.likely for speed in self.speeds]
        fits = bool(likely) and likely == sorted(likely) and min(one.ratio.low for one in self.speeds) > 0.0
        told = f"{likely} of full speed"
        require(fits, "fan speeds", told, "above 0, slowest first", "sort the speeds")
        names = [speed.name for speed in self.speeds]
        require(len(set(names)) == len(names), "fan speeds", f"{names}", "each another name", "rename them")
        same = self.weak.flow_m3_s == self.strong.flow_m3_s
        require(
            same, "fan curve", "told at two rows of flows", "weak and strong at the same flows", _MAKE_FAN
        )

    @property
    def low(self) -> FanCurve:
        """The weakest curve to reckon with, at full speed."""
        return _end_of(self, End.LOW)

    @property
    def likely(self) -> FanCurve:
        """The curve to plan with, at full speed."""
        return _end_of(self, End.LIKELY)

    @property
    def high(self) -> FanCurve:
        """The strongest curve to reckon with, at full speed."""
        return _end_of(self, End.HIGH)

    def curve(self, speed: FanSpeed, end: End, density_kg_m3: float) -> FanCurve:
        """Curve of one speed at one end of the range, by the fan laws, in air of some density [kg/m³]."""
        return curve_at(_end_of(self, end), speed.ratio.at(end), density_kg_m3)

    def speed(self, name: str) -> FanSpeed:
        """The setting of that name.

        Raises
        ------
        ParameterError
            If the switch has no such setting.
        """
        for one in self.speeds:
            if one.name == name:
                return one
        known = "one of " + ", ".join(one.name for one in self.speeds)
        raise ParameterError("speed of the fan", repr(name), known, "write it as on the fan's switch")

    def one_stopped(self) -> "Fan":
        """What is left of several fans when one of them stands still; its outlet is then an opening.

        Raises
        ------
        ParameterError
            If there is one fan only.
        """
        require(self.count > 1, "number of fans", "1", "two or more", "take a second fan")
        return evolve(_times(self, (self.count - 1) / self.count), count=self.count - 1)


def _times(fan: Fan, share: float) -> Fan:
    """As many times the flow, the outlet and the power."""

    def wider(curve: FanCurve) -> FanCurve:
        return evolve(curve, flow_m3_s=tuple(share * flow for flow in curve.flow_m3_s))

    return evolve(
        fan,
        weak=wider(fan.weak),
        strong=wider(fan.strong),
        outlet_area_m2=fan.outlet_area_m2.scaled(share),
        power_W=fan.power_W * share,
    )


def fans_together(fan: Fan, count: int) -> Fan:
    """Several like fans side by side, each blowing in by a sleeve of its own: the flow of one, times their number.

    Parameters
    ----------
    fan : Fan
    count : int
        How many of it [-], 1 to 12.

    Raises
    ------
    ParameterError
        If the number is none of these.

    Examples
    --------
    >>> one = Fan("box", FanCurve((0, 1), (60, 0)), FanCurve((0, 1), (60, 0)), {"on": 1}, exact(0.2))
    >>> two = fans_together(one, 2)
    >>> two.likely.free_air_m3_s, two.likely.shut_off_Pa, two.one_stopped() == one
    (2.0, 60.0, True)
    """
    most = 12 // fan.count
    fits = is_number(count) and count in range(1, most + 1)
    require(fits, "number of fans", f"{count!r}", f"a whole number from 1 to {most}", "count them")
    return evolve(_times(fan, float(count)), count=fan.count * int(count))


@lru_cache(maxsize=64)
def _end_of(fan: Fan, end: End) -> FanCurve:
    """Weakest, likely or strongest curve, at full speed."""
    weak, strong = np.array(fan.weak.pressure_Pa), np.array(fan.strong.pressure_Pa)
    told: NDArray[np.float64] = {End.LOW: weak, End.LIKELY: (weak + strong) / 2.0, End.HIGH: strong}[end]
    share, factor = fan.flow_share.at(end), SHUT_OFF_FACTOR
    flow = share * np.array(fan.weak.flow_m3_s)
    if fan.pressure_share is not None:
        pressure = told * fan.pressure_share.at(end)
    else:
        area = {End.LOW: fan.outlet_area_m2.high, End.HIGH: fan.outlet_area_m2.low}
        velocity = flow[-1] / area.get(end, fan.outlet_area_m2.likely)
        place = (factor.at(end) - factor.low) / (factor.high - factor.low)
        pressure = told * (outlet_shut_off(velocity, place) / told[0])
    return FanCurve(tuple(flow), tuple(pressure), fan.weak.density_kg_m3, fan.weak.parabolic)

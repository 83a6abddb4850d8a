"""The fan: what is told of it, how far the true one may be from that, and the settings of its switch.

Glossary: see `fan_curve`; several like fans side by side are one with more flow. This module does not know where the
curve comes from (see `fan_sources`), nor the room.
"""

from collections.abc import Mapping
from typing import Any

from attrs import evolve, field, frozen

from shellparts.base.calls import plain_init
from shellparts.base.checks import is_number, require
from shellparts.base.classes import brief
from shellparts.base.errors import ParameterError
from shellparts.base.fields import kinds, number_field, part_field, range_field
from shellparts.base.ranges import Range, exact
from shellparts.parameters.fan_curve import FanCurve

__all__ = ["Fan", "FanSpeed", "fan_speeds", "fans_together"]

_MAKE_FAN = "make the fan with fan_from_label, fan_from_points or fan_from_csv"


@plain_init
@frozen
class FanSpeed:
    """One setting of the fan's switch.

    Parameters
    ----------
    name : str
        As on the switch.
    ratio : Range
        Speed over full speed [-]; a plain number is one that was measured, and is taken as exact.

    Raises
    ------
    ParameterError
        If a value is of another kind, or outside its limits.
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


@brief
@plain_init
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
        `fan_label.outlet_shut_off`.
    count : int
        How many like fans it is, side by side [-]; curve, outlet and power are those of all.

    Raises
    ------
    ParameterError
        If a value is of another kind, or outside its limits.
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
        One of them.
    count : int
        How many of it [-], 1 to 12.

    Returns
    -------
    Fan
        With their number in `count`.

    Raises
    ------
    ParameterError
        If the number is none of these.

    Examples
    --------
    >>> one = Fan("box", FanCurve((0, 1), (60, 0)), FanCurve((0, 1), (60, 0)), {"on": 1}, exact(0.2))
    >>> two = fans_together(one, 2)
    >>> two.weak.free_air_m3_s, two.weak.shut_off_Pa, two.one_stopped() == one
    (2.0, 60.0, True)
    """
    most = 12 // fan.count
    fits = is_number(count) and count in range(1, most + 1)
    require(fits, "number of fans", f"{count!r}", f"a whole number from 1 to {most}", "count them")
    return evolve(_times(fan, float(count)), count=fan.count * int(count))

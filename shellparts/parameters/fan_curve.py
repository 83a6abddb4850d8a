"""The curve of a fan: its pressure at each flow, and the fan laws.

Glossary: *shut-off* is the pressure with no flow at all, *free air* the flow against no pressure; the *fan laws* carry
a curve to another speed: flow goes with the speed, pressure with its square and with the density of the air, power
with its cube and density.
"""

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise
from typing import Any

import numpy as np
from attrs import field, frozen
from scipy.interpolate import PchipInterpolator

from shellparts.base.checks import above, require
from shellparts.base.errors import ParameterError
from shellparts.base.fields import flag_field, number_field

__all__ = ["FanCurve", "check_points", "curve_at", "fan_pressure", "floats"]

_CURVE_REMEDY = (
    "give points from the fan's table in order of flow, the first at flow 0 and the last at pressure 0"
)


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

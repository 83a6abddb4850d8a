"""The curve of a fan: its pressure at each flow.

Glossary: *shut-off* is the pressure with no flow at all, *free air* the flow against no pressure.
"""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from attrs import field, frozen

from shellparts.base.calls import plain_init
from shellparts.base.checks import require
from shellparts.base.errors import ParameterError
from shellparts.base.fields import flag_field, number_field

__all__ = ["FanCurve", "check_points", "floats"]

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


@plain_init
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

    Raises
    ------
    ParameterError
        If a value is of another kind, or outside its limits.
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

"""Where a fan's curve comes from: its maker's table, a file, or the free-air flow on its label.

Glossary: see `fan`. A household fan is sold by its free-air flow alone; then the rest of its curve is an
assumption, stated in `fan_from_label`, and every result is a range. This module does not know whether a
label tells the truth.
"""

import csv
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from shellparts.base.checks import above, is_number, require
from shellparts.base.errors import ParameterError
from shellparts.base.ranges import Range, exact
from shellparts.base.units import Length, to_mm
from shellparts.parameters.air_units import read_flow, read_pressure
from shellparts.parameters.fan import Fan, FanSpeed, fan_speeds
from shellparts.parameters.fan_curve import FanCurve, check_points, floats
from shellparts.parameters.fan_label import outlet_shut_off

__all__ = [
    "FASTEST_BLOWER_M_S",
    "FASTEST_OUTLET_M_S",
    "ONE_SPEED",
    "THREE_SPEEDS",
    "fan_from_csv",
    "fan_from_label",
    "fan_from_points",
]

#: Mean speed of the air at the outlet in free air [m/s]: ours; used when the outlet's size is not told.
_OUTLET_SPEED_M_S = Range(4.0, 6.0, 9.0)
#: Faster air does not leave a propeller fan in free air [m/s]: from memory of the labels of drum fans, which claim up
#: to 13; faster ones are blowers, of which a label does not tell what they do against pressure.
FASTEST_OUTLET_M_S = 15.0
#: Faster air does not leave a fan for a room in free air [m/s]: ours; a hand dryer's jet does.
FASTEST_BLOWER_M_S = 60.0
#: More than any fan for a room of cloth gives [m³/s]: a bare number above it lacks its unit.
_MOST_FLOW_M3_S = 20.0
#: True free-air flow as a share of the label's: ours; labels are measured without guard, sleeve and dust.
_LABEL_SHARE = Range(0.75, 0.9, 1.0)
#: A fan of a kind differs so much from its maker's table, and a curve read by hand so much from the print [-], in flow
#: and in pressure: common practice, from memory.
_TABLE_SPREAD, _HAND_SPREAD = 0.10, 0.15
#: Speeds of a three-speed household fan: ours, until they are measured or the maker tells the flows.
THREE_SPEEDS = (
    FanSpeed("low", Range(0.55, 0.65, 0.75)),
    FanSpeed("middle", Range(0.72, 0.82, 0.9)),
    FanSpeed("high", exact(1.0)),
)
#: Settings of a switch, or their names with their share of full speed.
Speeds = tuple[FanSpeed, ...] | Mapping[str, Range | float | str]
#: Switch of a fan with one speed.
ONE_SPEED = (FanSpeed("on", exact(1.0)),)


def fan_from_points(
    name: str,
    flow_m3_s: Sequence[float],
    pressure_Pa: Sequence[float],
    outlet_diameter_mm: float,
    speeds: Speeds = ONE_SPEED,
    density_kg_m3: float = 1.2,
    power_W: float = 200.0,
    read_by_hand: bool = False,
) -> Fan:
    """Fan from its maker's table, or from points read off a printed curve.

    The true fan is taken within 10 % of the table, within 15 % of points read by hand, in flow and in pressure. A
    curve that rises in places (an axial fan in stall) may settle on either side of the dip: the weaker curve takes
    the lowest pressure met so far, the stronger the highest still to come.

    Parameters
    ----------
    name : str
        What the user calls it.
    flow_m3_s, pressure_Pa : sequence of float, shape (n,)
        Flows [m³/s], rising from 0, and static pressures [Pa], the last 0.
    outlet_diameter_mm : float
        Diameter of the outlet [mm].
    speeds : tuple of FanSpeed, or mapping of names to ratios
        Settings of the switch.
    density_kg_m3, power_W : float
        Density of the air that the table is for [kg/m³]; power at full speed [W].
    read_by_hand : bool
        Whether the points were read off a printed curve.

    Returns
    -------
    Fan

    Raises
    ------
    ParameterError
        If the points are no fan curve.

    References
    ----------
    The 10 and 15 % are common practice, from memory.

    Examples
    --------
    >>> fan = fan_from_points("blower", (0, 0.5, 1), (80, 60, 0), 400)
    >>> fan.weak.shut_off_Pa, fan.pressure_share
    (80.0, Range(low=0.9, likely=1.0, high=1.1))
    """
    flow, pressure = floats(flow_m3_s), floats(pressure_Pa)
    check_points(flow, pressure)
    lower = np.minimum.accumulate(pressure)
    upper = np.maximum.accumulate(pressure[::-1])[::-1]
    weak, strong = (FanCurve(flow, tuple(p), density_kg_m3) for p in (lower, upper))
    about = _HAND_SPREAD if read_by_hand else _TABLE_SPREAD
    share = Range(1.0 - about, 1.0, 1.0 + about)
    area = exact(_disc_m2(outlet_diameter_mm))
    return Fan(name, weak, strong, fan_speeds(speeds), area, power_W, False, share, share)


def fan_from_csv(
    path: str | Path, outlet_diameter_mm: float, speeds: Speeds = ONE_SPEED, read_by_hand: bool = False
) -> Fan:
    """Fan from a table in a CSV file: one header line, then flow and pressure, each with its unit.

    Parameters
    ----------
    path : str or Path
        File whose header names the columns with their units, ``flow [cfm],pressure [in wg]``.
    outlet_diameter_mm : float
        Diameter of the outlet [mm].
    speeds : tuple of FanSpeed, or mapping of names to ratios
        Settings of the switch.
    read_by_hand : bool
        Whether the points were read off a printed curve.

    Returns
    -------
    Fan
        Named after the file.

    Raises
    ------
    ParameterError
        If the file cannot be read as such a table.
    """
    remedy = "write a header 'flow [m3/s],pressure [Pa]' (or [cfm], [in wg]) and a pair of numbers a line"
    try:
        with Path(path).open(newline="", encoding="utf-8-sig") as stream:
            header, *rows = [row for row in csv.reader(stream) if any(cell.strip() for cell in row)]
        units = [cell.partition("[")[2].rstrip("] ") for cell in header]
        pairs = [(read_flow(f"{row[0]} {units[0]}"), read_pressure(f"{row[1]} {units[1]}")) for row in rows]
    except (OSError, ValueError, IndexError) as fault:
        raise ParameterError(
            "fan table", f"{path} ({fault})", "a readable table of flow and pressure", remedy
        ) from fault
    flow, pressure = [pair[0] for pair in pairs], [pair[1] for pair in pairs]
    return fan_from_points(
        Path(path).stem, flow, pressure, outlet_diameter_mm, speeds, read_by_hand=read_by_hand
    )


def fan_from_label(
    name: str,
    flow: float | str,
    outlet: Length | None = None,
    speeds: Speeds = THREE_SPEEDS,
    shut_off_Pa: Range | None = None,
    power_W: float = 200.0,
) -> Fan:
    """Fan from the free-air flow on its label, ``p = p0·(1 − (Q/Q0)²)``; the rest is assumed and stated.

    Assumed, ours: the true free air is 75 to 100 % of the label's (likely 90 %); the shut-off pressure follows from
    the speed at which that air leaves the outlet (`outlet_shut_off`), and is at most 60 Pa; without the outlet's
    diameter the label's air leaves it at 4 to 9 m/s (likely 6). Replace by the maker's curve when there is one.

    Parameters
    ----------
    name : str
        What the user calls it.
    flow : float or str
        Free-air flow at full speed [m³/s], at most 20, or a text such as ``"2100 cfm"``.
    outlet : float or str or None
        Diameter of the outlet [mm], or a text such as ``"16 in"``; None if it is not known.
    speeds : tuple of FanSpeed, or mapping
        Settings of the switch, or their names with what was measured: a ratio, or a free-air flow such as
        ``{"low": "1300 cfm", "high": "2100 cfm"}``, the last one that of the label.
    shut_off_Pa : Range or None
        Shut-off pressure at full speed [Pa], if known.
    power_W : float
        Power at full speed [W].

    Returns
    -------
    Fan
        With `assumed` true.

    Raises
    ------
    ParameterError
        If flow or outlet cannot be read, the flow lacks its unit, flow, diameter or pressure is not above 0, or the
        air would leave the outlet faster than 15 m/s, or 60 m/s where the shut-off pressure is known.

    Examples
    --------
    >>> fan = fan_from_label("box fan", "2000 cfm", "20 in")
    >>> round(fan.weak.free_air_m3_s, 3), fan.flow_share.low, fan.assumed
    (0.944, 0.75, True)
    """
    if is_number(flow) and float(flow) > _MOST_FLOW_M3_S:
        raise ParameterError(
            "flow",
            f"{float(flow):g}, without a unit",
            f"a flow with its unit; a bare number is m3/s, at most {_MOST_FLOW_M3_S:g}",
            f"write '{float(flow):g} cfm', or '1 m3/s'",
        )
    label = read_flow(flow) if isinstance(flow, str) else flow
    label = above("free-air flow", label, 0.0, "m³/s", "read it from the fan's label")
    slow, usual, fast = _OUTLET_SPEED_M_S.low, _OUTLET_SPEED_M_S.likely, _OUTLET_SPEED_M_S.high
    area = Range(label / fast, label / usual, label / slow)
    if outlet is not None:
        diameter = to_mm(outlet, "diameter of the fan's outlet")
        area = exact(_disc_m2(diameter))
        _believable(diameter, label / area.likely, shut_off_Pa is not None)
    if isinstance(speeds, Mapping):
        speeds = {key: _ratio(one, label) for key, one in speeds.items()}
    switch = fan_speeds(speeds)
    if shut_off_Pa is None:
        velocity = _LABEL_SHARE.likely * label / area.likely
        told = FanCurve((0.0, label), (float(outlet_shut_off(velocity, 0.5)), 0.0), parabolic=True)
        return Fan(name, told, told, switch, area, power_W, True, _LABEL_SHARE, None)
    above("shut-off pressure", shut_off_Pa.low, 0.0, "Pa", "leave it out if it is not known")
    told = FanCurve((0.0, label), (shut_off_Pa.likely, 0.0), parabolic=True)
    share = shut_off_Pa.scaled(1.0 / shut_off_Pa.likely)
    return Fan(name, told, told, switch, area, power_W, True, _LABEL_SHARE, share)


def _ratio(told: Any, label_m3_s: float) -> Any:
    """Speed over full speed: as told, or from a free-air flow with its unit."""
    return read_flow(told) / label_m3_s if isinstance(told, str) else told


def _believable(diameter_mm: float, velocity_m_s: float, shut_off_known: bool) -> None:
    """Refuse a label whose air would leave the outlet faster than fans of its kind blow."""
    fastest = FASTEST_BLOWER_M_S if shut_off_known else FASTEST_OUTLET_M_S
    known = "" if shut_off_known else "; of a blower give the maker's curve, or its shut-off pressure"
    require(
        velocity_m_s <= fastest,
        "diameter of the fan's outlet",
        f"{diameter_mm:g} mm, which the air would leave at {velocity_m_s:.1f} m/s",
        f"large enough for {fastest:.0f} m/s at most",
        f"measure across the whole outlet, and look at the unit of the flow again{known}",
    )


def _disc_m2(diameter_mm: float) -> float:
    """Area of a disc [m²]."""
    diameter = above("outlet diameter", diameter_mm, 0.0, "mm", "measure the fan's outlet")
    return float(np.pi / 4.0 * (diameter / 1000.0) ** 2)

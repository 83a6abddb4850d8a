"""Where a fan's curve comes from: its maker's table, a file, or the free-air flow on its label.

Glossary: see `fan`. A household fan is sold by its free-air flow alone; then the rest of its curve is an
assumption, stated in `fan_from_label`, and every result is a range. This module does not know whether a
label tells the truth.
"""

import csv
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from shellparts.base.checks import above, is_number, require
from shellparts.base.errors import ParameterError
from shellparts.base.ranges import End, Range, exact, map_range
from shellparts.base.units import Length, to_mm
from shellparts.parameters.air_units import read_flow, read_pressure
from shellparts.parameters.fan import Fan, FanCurve, FanSpeed, check_points, floats

__all__ = [
    "ONE_SPEED",
    "SHUT_OFF_FACTOR",
    "THREE_SPEEDS",
    "fan_from_csv",
    "fan_from_label",
    "fan_from_points",
]

#: Shut-off pressure over ½·rho·v², v the free-air flow over the outlet area: ours, for propeller fans in a
#: ring or drum.
SHUT_OFF_FACTOR = Range(1.5, 2.5, 4.0)
#: Mean speed of the air at the outlet in free air [m/s]: ours; used when the outlet's size is not told.
_OUTLET_SPEED_M_S = Range(4.0, 6.0, 9.0)
#: Faster air does not leave a fan of this kind in free air [m/s]: ours; a hand dryer's jet does.
_FASTEST_OUTLET_M_S = 60.0
#: More than any fan for a room of cloth gives [m³/s]: a bare number above it lacks its unit.
_MOST_FLOW_M3_S = 20.0
#: True free-air flow as a share of the label's: ours; labels are measured without guard, sleeve and dust.
_LABEL_SHARE = Range(0.75, 0.9, 1.0)
#: Speeds of a three-speed household fan: ours, until they are measured or the maker tells the flows.
THREE_SPEEDS = (
    FanSpeed("low", Range(0.55, 0.65, 0.75)),
    FanSpeed("middle", Range(0.72, 0.82, 0.9)),
    FanSpeed("high", exact(1.0)),
)


#: Switch of a fan with one speed.
ONE_SPEED = (FanSpeed("on", exact(1.0)),)


def fan_from_points(
    name: str,
    flow_m3_s: Sequence[float],
    pressure_Pa: Sequence[float],
    outlet_diameter_mm: float,
    speeds: tuple[FanSpeed, ...] = ONE_SPEED,
    density_kg_m3: float = 1.2,
    power_W: float = 200.0,
) -> Fan:
    """Fan from its maker's table.

    A curve that rises in places (an axial fan in stall) may settle on either side of the dip: the weakest
    curve takes the lowest pressure met so far, the strongest the highest still to come, the likely one
    their mean.

    Parameters
    ----------
    name : str
        What the user calls it.
    flow_m3_s, pressure_Pa : sequence of float, shape (n,)
        Flows [m³/s], rising from 0, and static pressures [Pa], the last 0.
    outlet_diameter_mm : float
        Diameter of the outlet [mm].
    speeds : tuple of FanSpeed
        Settings of the switch.
    density_kg_m3, power_W : float
        Density of the air that the table is for [kg/m³]; power at full speed [W].

    Returns
    -------
    Fan
        With a range only where the curve rises.

    Raises
    ------
    ParameterError
        If the points are no fan curve.

    Examples
    --------
    >>> fan_from_points("blower", (0, 0.5, 1), (80, 60, 0), 400).low.shut_off_Pa
    80.0
    """
    flow, pressure = floats(flow_m3_s), floats(pressure_Pa)
    check_points(flow, pressure)
    lower = np.minimum.accumulate(pressure)
    upper = np.maximum.accumulate(pressure[::-1])[::-1]
    low, likely, high = (FanCurve(flow, tuple(p), density_kg_m3) for p in (lower, (lower + upper) / 2, upper))
    return Fan(name, low, likely, high, speeds, exact(_disc_m2(outlet_diameter_mm)), power_W)


def fan_from_csv(path: Path, outlet_diameter_mm: float, speeds: tuple[FanSpeed, ...] = ONE_SPEED) -> Fan:
    """Fan from a table in a CSV file: one header line, then flow and pressure, each with its unit.

    Parameters
    ----------
    path : Path
        File whose header names the columns with their units, ``flow [cfm],pressure [in wg]``.
    outlet_diameter_mm : float
        Diameter of the outlet [mm].
    speeds : tuple of FanSpeed
        Settings of the switch.

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
    return fan_from_points(Path(path).stem, flow, pressure, outlet_diameter_mm, speeds)


def fan_from_label(
    name: str,
    flow: float | str,
    outlet: Length | None = None,
    speeds: tuple[FanSpeed, ...] = THREE_SPEEDS,
    shut_off_Pa: Range | None = None,
    power_W: float = 200.0,
) -> Fan:
    """Fan from the free-air flow on its label, ``p = p0·(1 − (Q/Q0)²)``; the rest is assumed and stated.

    Assumed, ours: the true free air is 75 to 100 % of the label's (likely 90 %); shut-off pressure is 1.5
    to 4 times (likely 2.5) the velocity pressure ``½·rho·(Q/A)²`` at the outlet in free air; without the
    outlet's diameter the air leaves it at 4 to 9 m/s (likely 6). Replace by the maker's curve when there is
    one.

    Parameters
    ----------
    name : str
        What the user calls it.
    flow : float or str
        Free-air flow at full speed [m³/s], at most 20, or a text such as ``"2100 cfm"``.
    outlet : float or str or None
        Diameter of the outlet [mm], or a text such as ``"16 in"``; None if it is not known.
    speeds : tuple of FanSpeed
        Settings of the switch.
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
        air would leave the outlet faster than 60 m/s.

    Examples
    --------
    >>> fan = fan_from_label("drum fan", "3500 cfm", "24 in")
    >>> round(fan.low.shut_off_Pa), round(fan.high.shut_off_Pa)
    (29, 77)
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
    velocity = _OUTLET_SPEED_M_S
    area = map_range(lambda speed: label / speed, velocity)
    if outlet is not None:
        diameter = to_mm(outlet, "diameter of the fan's outlet")
        area = exact(_disc_m2(diameter))
        velocity = exact(label / area.likely)
        require(
            velocity.likely <= _FASTEST_OUTLET_M_S,
            "diameter of the fan's outlet",
            f"{diameter:g} mm, which the air would leave at {velocity.likely:.0f} m/s",
            f"large enough for {_FASTEST_OUTLET_M_S:.0f} m/s at most",
            "measure across the whole outlet, and look at the unit of the flow again",
        )
    if shut_off_Pa is None:
        shut_off_Pa = SHUT_OFF_FACTOR.times(velocity).times(velocity).scaled(0.5 * 1.2)
    above("shut-off pressure", shut_off_Pa.low, 0.0, "Pa", "leave it out if it is not known")
    share = np.linspace(0.0, 1.0, 41)
    low, likely, high = (
        FanCurve(tuple(share * label * _LABEL_SHARE.at(end)), tuple(shut_off_Pa.at(end) * (1.0 - share**2)))
        for end in End
    )
    return Fan(name, low, likely, high, speeds, area, power_W, assumed=True)


def _disc_m2(diameter_mm: float) -> float:
    """Area of a disc [m²]."""
    diameter = above("outlet diameter", diameter_mm, 0.0, "mm", "measure the fan's outlet")
    return float(np.pi / 4.0 * (diameter / 1000.0) ** 2)

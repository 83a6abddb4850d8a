"""How far to open the vent: areas, opening lengths, clips.

Glossary: the *vent* is a seam left open on purpose; *gape* is how far its edges part at the middle, as a
share of the open length; *clips* hold the rest shut. An open slit is taken as a lens between two flat arcs,
``A = ⅔·g·L²``. The two sides of a curtain open from the floor up: each is half such a lens, for at the floor
its edge is free, and the two together are one of length L. The gape hangs on the slack of the edges (an edge
bowed out by a tenth of its length needs 2.7 % of slack): so measure it once and adjust. Not known here: what
else leaks near it, and stiff hems.
"""

import math
from collections.abc import Sequence

from attrs import frozen

from shellparts.base.checks import above, between
from shellparts.base.ranges import End, Judgement, Range, map_range
from shellparts.loads.leaks import DISCHARGE, Leak, LeakLaw, leak_flow
from shellparts.loads.working_point import fan_flow
from shellparts.parameters.fan import Fan, FanSpeed
from shellparts.parameters.fan_curve import FanCurve

__all__ = [
    "VENT_GAPE",
    "VentSetting",
    "clips_each_side",
    "open_area",
    "slit_area",
    "slit_length",
    "vent_area_for_pressure",
    "vent_setting",
]

#: Parting of the slit's edges at mid-length over its length [-]: ours, from 1 to 6 % of slack in each edge.
VENT_GAPE = Range(0.1, 0.2, 0.3)


@frozen
class VentSetting:
    """How to set the vent at one speed for a chosen pressure.

    Parameters
    ----------
    area_m2 : Range
        Open area that gives it [m²]; 0 where the fan is too weak even with the vent shut.
    length_mm : Range
        Length of slit with that area [mm].
    clips : int
        Clips to take off for the likely length, both sides together [-]; never more than there are.
    reach : Judgement
        Whether the longest opening of the vent, and a fan strong enough, allow it over all the ranges.
    """

    area_m2: Range
    length_mm: Range
    clips: int
    reach: Judgement


def slit_area(length_mm: float, gape: float) -> float:
    """Area of an open slit, ``A = ⅔·g·L²``.

    Parameters
    ----------
    length_mm : float
        Open length [mm].
    gape : float
        Parting at mid-length over length [-].

    Returns
    -------
    float
        The area [m²].

    Raises
    ------
    ParameterError
        If the length is negative.

    Examples
    --------
    >>> round(slit_area(1500.0, 0.2), 3)
    0.3
    """
    length = between("vent opening", length_mm, 0.0, math.inf, "mm", "give the open length of the seam")
    return 2.0 / 3.0 * gape * (length / 1000.0) ** 2


def open_area(opening_mm: float) -> Range:
    """Area of the vent with part of it open, by `slit_area` over the range of its gape."""
    return map_range(lambda gape: slit_area(opening_mm, gape), VENT_GAPE)


def slit_length(area_m2: float, gape: float) -> float:
    """Length of slit with an area, the inverse of `slit_area`.

    Parameters
    ----------
    area_m2 : float
        The area [m²].
    gape : float
        Parting at mid-length over length [-].

    Returns
    -------
    float
        The open length [mm].

    Examples
    --------
    >>> round(slit_length(0.3, 0.2))
    1500
    """
    area = between("open area", area_m2, 0.0, math.inf, "m²", "give the area of the vent")
    return 1000.0 * math.sqrt(1.5 * area / above("gape", gape, 0.0, "(no unit)", "0.2 is likely"))


def clips_each_side(length_mm: float, longest_mm: float, spacing_mm: float) -> int:
    """Clips to take off on each of two sides, from the floor up: each one frees the edge up to the next.

    The lowest clip is at the floor, the vent's upper end is sewn; so a side of length ℓ has
    ``ceil(ℓ/spacing)`` clips.

    Parameters
    ----------
    length_mm : float
        Length to open, both sides together [mm].
    longest_mm : float
        Longest opening there is, both sides together [mm].
    spacing_mm : float
        Distance between clips [mm].

    Returns
    -------
    int
        How many on each side [-]; all of them where the length is longer than the vent.

    Examples
    --------
    >>> clips_each_side(1000.0, 1200.0, 100.0), clips_each_side(3000.0, 1200.0, 100.0)
    (5, 6)
    """
    spacing = above("clip spacing", spacing_mm, 0.0, "mm", "measure from clip to clip")
    return math.ceil(min(length_mm, longest_mm) / 2.0 / spacing - 1e-9)


def vent_area_for_pressure(
    curve: FanCurve,
    other_leaks: Sequence[LeakLaw],
    pressure_Pa: float,
    density_kg_m3: float,
    discharge: float = 0.61,
) -> float:
    """Open area that brings the room to a pressure, ``A = (Q_fan − Q_leaks) / (Cd·sqrt(2·p/rho))``.

    Parameters
    ----------
    curve : FanCurve
    other_leaks : sequence of LeakLaw
        Every way out but the vent.
    pressure_Pa : float
        The pressure [Pa].
    density_kg_m3 : float
        Density of the air [kg/m³].
    discharge : float
        Discharge coefficient [-].

    Returns
    -------
    float
        The area [m²]; negative when the fan cannot reach the pressure with the vent shut.

    Examples
    --------
    >>> round(vent_area_for_pressure(FanCurve((0.0, 1.0), (60.0, 0.0)), [], 6.0, 1.2), 4)
    0.4666
    """
    pressure = above("chosen pressure", pressure_Pa, 0.0, "Pa", "choose one inside the working band")
    spare = fan_flow(curve, pressure) - leak_flow(other_leaks, pressure)
    return spare / (discharge * math.sqrt(2.0 * pressure / density_kg_m3))


def vent_setting(
    fan: Fan,
    speed: FanSpeed,
    other_leaks: Sequence[Leak],
    pressure_Pa: float,
    density_kg_m3: float,
    longest_mm: float,
    clip_spacing_mm: float,
) -> VentSetting:
    """Opening that gives a chosen pressure at one speed, over the ranges of fan, leaks and gape."""

    def area(strength: End, leakiness: End, discharge: End) -> float:
        laws = [leak.law(leakiness) for leak in other_leaks]
        curve = fan.curve(speed, strength, density_kg_m3)
        return vent_area_for_pressure(curve, laws, pressure_Pa, density_kg_m3, DISCHARGE.at(discharge))

    least = area(End.LOW, End.HIGH, End.HIGH)
    likely = area(End.LIKELY, End.LIKELY, End.LIKELY)
    most = area(End.HIGH, End.LOW, End.LOW)
    areas = Range(*(max(0.0, a) for a in (least, likely, most)))
    length = Range(
        slit_length(areas.low, VENT_GAPE.high),
        slit_length(areas.likely, VENT_GAPE.likely),
        slit_length(areas.high, VENT_GAPE.low),
    )
    if least >= 0.0 and length.high <= longest_mm:
        reach = Judgement.FINE
    elif most < 0.0 or length.low > longest_mm:
        reach = Judgement.NOT_MET
    else:
        reach = Judgement.UNCERTAIN
    clips = 2 * clips_each_side(length.likely, longest_mm, clip_spacing_mm)
    return VentSetting(areas, length, clips, reach)

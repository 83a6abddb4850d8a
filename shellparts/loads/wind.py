"""Wind on a light room: when it dents, slides, tips or flies, and when to take it down.

Glossary: *velocity pressure* is ``½·rho·V²``; *drag* pushes sideways, *lift* upwards; *to dent* is when the
wind presses in more than the air inside presses out; the *limit* is the gust at the room, and a forecast's
mean wind is well below its gusts; the *ceiling* is the lowest of the published stop limits. Outdoors the
answer is a stop limit, never a permission. Not known here: gusts' rhythm, trees and corners of houses that
make wind worse, water on the roof, and cloth that flaps. Coefficients are ranges; the limit takes their
worst ends.
"""

import math
from enum import Enum

import numpy as np
from attrs import frozen

from shellparts.base.checks import between
from shellparts.base.ranges import End, Range
from shellparts.loads.atmosphere import GRAVITY_M_S2
from shellparts.loads.band import FLAP_HELD_SHARE
from shellparts.loads.hold_down import ANCHOR_PULL_N, ANCHOR_SHARE, HOLD_FACTOR, anchors_needed, uplift
from shellparts.loads.room_figures import RoomFigures
from shellparts.parameters.site import FloorKind

__all__ = [
    "BREEZE_M_S",
    "DRAG",
    "FRICTION",
    "LIFT",
    "WIND_CEILING_M_S",
    "WindLimits",
    "WindTrouble",
    "anchors_for_wind",
    "frontal_area",
    "velocity_pressure",
    "wind_limits",
]

#: Lowest of the published stop limits [m/s]: 38 km/h, ISO 20187 and EN 14960 for inflatable play equipment,
#: by analogy: they exclude air-supported buildings.
WIND_CEILING_M_S = 38.0 / 3.6
#: Drag on the frontal area [-]: ours, from smooth dome to sharp-edged drum.
DRAG = Range(0.5, 0.8, 1.2)
#: Lift on the plan area [-]: ours; 11/16 is a hemisphere in ideal flow.
LIFT = Range(0.4, 11.0 / 16.0, 1.1)
#: Friction of cloth on the floor [-]: ours; grass may be wet.
FRICTION = {
    FloorKind.HALL_FLOOR: Range(0.2, 0.3, 0.5),
    FloorKind.CARPET: Range(0.3, 0.45, 0.7),
    FloorKind.GROUND: Range(0.3, 0.4, 0.6),
    FloorKind.GRASS: Range(0.2, 0.35, 0.6),
}
#: Beaufort 2 ends here [m/s], from memory of the WMO scale: less is not even a light breeze.
BREEZE_M_S = 3.3


class WindTrouble(Enum):
    """What a gust does first."""

    DENTS = "dents"
    SLIDES = "slides"
    TIPS = "tips"
    FLIES = "flies"
    CEILING = "ceiling"


@frozen
class WindLimits:
    """Gust at the room from which each trouble is to be reckoned with.

    Parameters
    ----------
    dent_m_s : Range
        The windward side caves in [m/s].
    slide_m_s : Range
        The room slides [m/s].
    overturn_m_s : Range
        The room tips about its lee edge [m/s].
    fly_m_s : Range
        Wind and air together lift it off [m/s].
    limit_m_s : float
        Take it down at this [m/s]: the least of all the low ends and of the ceiling.
    governed_by : WindTrouble
        Which one it is.
    """

    dent_m_s: Range
    slide_m_s: Range
    overturn_m_s: Range
    fly_m_s: Range
    limit_m_s: float
    governed_by: WindTrouble


def velocity_pressure(wind_m_s: float, density_kg_m3: float = 1.226) -> float:
    """Pressure of moving air, ``q = ½·rho·V²``.

    Parameters
    ----------
    wind_m_s : float
        Wind [m/s].
    density_kg_m3 : float
        Density of the air [kg/m³]; 1.226 gives the building code's 0.613·V².

    Returns
    -------
    float
        The pressure [Pa].

    References
    ----------
    ASCE 7 (0.613·V²).

    Examples
    --------
    >>> round(velocity_pressure(10.7), 2)
    70.18
    """
    wind = between("wind", wind_m_s, 0.0, 150.0, "m/s", "give it in metres a second")
    return 0.5 * density_kg_m3 * wind**2


def frontal_area(radius_mm: np.ndarray, height_mm: np.ndarray) -> tuple[float, float]:
    """Area that the wind meets and the height of its middle.

    Parameters
    ----------
    radius_mm : ndarray, shape (n,)
        Radius of the profile from base to top [mm].
    height_mm : ndarray, shape (n,)
        Height of each point [mm].

    Returns
    -------
    tuple of float
        Area [m²] and height of its centroid [m].

    Examples
    --------
    >>> frontal_area(np.array([2000.0, 2000.0, 0.0]), np.array([0.0, 3000.0, 3000.0]))
    (12.0, 1.5)
    """
    r, z = np.asarray(radius_mm, float) / 1000.0, np.asarray(height_mm, float) / 1000.0
    rise = np.diff(z)
    area = float(((r[:-1] + r[1:]) * rise).sum())
    moment = float((2.0 * rise * (r[:-1] * (2 * z[:-1] + z[1:]) + r[1:] * (z[:-1] + 2 * z[1:])) / 6.0).sum())
    return area, moment / area


def _speed(spare: float, share: float, density: float) -> float:
    """Wind at which a force ``q·share`` uses up what is spare."""
    return math.sqrt(2.0 * max(0.0, spare) / (share * density))


def wind_limits(
    room: RoomFigures,
    pressure_Pa: Range,
    floor: FloorKind,
    ballast_kg: float,
    anchors: int,
    density_kg_m3: float,
) -> WindLimits:
    """Work out the gust from which each trouble is to be reckoned with.

    Wind force is taken `HOLD_FACTOR` times; weight, less the uplift of the air inside, holds against it;
    anchors count with half of their pull, and in overturning with three quarters of the radius (the
    farthest pulls first). Denting is at ``q = p``, what the wind does at its stagnation point.

    Parameters
    ----------
    room : RoomFigures
    pressure_Pa : Range
        Working pressure [Pa].
    floor : FloorKind
        For friction.
    ballast_kg : float
        Ballast on the base [kg].
    anchors : int
        Anchors round the base [-].
    density_kg_m3 : float
        Density of the air [kg/m³].

    Returns
    -------
    WindLimits
        Ranges, and the limit.
    """
    front, middle = frontal_area(room.profile_radius_mm, room.profile_height_mm)
    plan = _plan_area(room)
    base = room.base_diameter_mm / 2000.0
    weight = (room.cloth_mass_kg + ballast_kg) * GRAVITY_M_S2
    hold = anchors * ANCHOR_PULL_N * ANCHOR_SHARE
    opposite = {End.LOW: End.HIGH, End.LIKELY: End.LIKELY, End.HIGH: End.LOW}

    def at(end: End) -> tuple[float, float, float, float]:
        worst = opposite[end]
        held = FLAP_HELD_SHARE.at(end)
        net = weight - uplift(pressure_Pa.at(worst), room.floor_area_m2, room.flap_area_m2, held)
        drag, rise = HOLD_FACTOR * DRAG.at(worst) * front, HOLD_FACTOR * LIFT.at(worst) * plan
        rub = FRICTION[floor].at(end)
        return (
            _speed(pressure_Pa.at(end), 1.0, density_kg_m3),
            _speed(rub * net + hold, drag + rub * rise, density_kg_m3),
            _speed((net + 0.75 * hold) * base, drag * middle + rise * base, density_kg_m3),
            _speed(net + hold, rise, density_kg_m3),
        )

    dent, slide, tip, fly = (
        Range(*three) for three in zip(at(End.LOW), at(End.LIKELY), at(End.HIGH), strict=True)
    )
    gusts = (dent.low, slide.low, tip.low, fly.low, WIND_CEILING_M_S)
    candidates = dict(zip(WindTrouble, gusts, strict=True))
    governed_by = min(candidates, key=lambda trouble: candidates[trouble])
    return WindLimits(dent, slide, tip, fly, candidates[governed_by], governed_by)


def _plan_area(room: RoomFigures) -> float:
    """Area seen from above [m²]: that of the widest level."""
    return room.floor_area_m2 * float(np.max(room.profile_radius_mm) / room.profile_radius_mm[0]) ** 2


def anchors_for_wind(
    room: RoomFigures, wind_m_s: float, pressure_Pa: float, ballast_kg: float, density_kg_m3: float
) -> int:
    """Anchors that hold the room at a gust: for lift or tipping, whichever is more, and for drag on top.

    Coefficients at their worst ends, wind force `HOLD_FACTOR` times, friction left out.

    Parameters
    ----------
    room : RoomFigures
    wind_m_s : float
        The gust [m/s].
    pressure_Pa : float
        Pressure inside [Pa].
    ballast_kg : float
        Ballast on the base [kg].
    density_kg_m3 : float
        Density of the air [kg/m³].

    Returns
    -------
    int
        How many [-], 4 or more.
    """
    gust = HOLD_FACTOR * velocity_pressure(wind_m_s, density_kg_m3)
    front, middle = frontal_area(room.profile_radius_mm, room.profile_height_mm)
    base = room.base_diameter_mm / 2000.0
    weight = (room.cloth_mass_kg + ballast_kg) * GRAVITY_M_S2
    net = uplift(pressure_Pa, room.floor_area_m2, room.flap_area_m2, FLAP_HELD_SHARE.low) - weight
    sideways, upwards = gust * DRAG.high * front, gust * LIFT.high * _plan_area(room) + net
    tipping = (sideways * middle + upwards * base) / (0.75 * base)
    return max(4, anchors_needed(max(0.0, upwards, tipping), 1.0) + anchors_needed(sideways, 1.0))

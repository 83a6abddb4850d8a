"""Outdoors: the pressure that a gust asks for, the anchors that this pressure and the gust ask for, or a plain no.

Glossary: the *gust* is that at the room, and a forecast's mean wind is well below its gusts; *velocity pressure* is
``½·rho·V²``; *drag* pushes sideways, *lift* upwards. The wind presses in on the windward side by its velocity
pressure, and the cloth *dents* unless the air inside presses out as hard; that pressure lifts the base in turn. An
*anchor* is a stake or screw with a rope at an angle: test it by pulling. A *tab* is a loop of cloth sewn to the hem to
which its rope is tied: it bears what its seam bears over its width, with the factor of safety of all seams. Forces are
taken at what 95 of 100 draws do not exceed, 1.5 times. An answer is never a permission. Not known here: rhythm of
gusts, trees and corners of houses that make wind worse, flapping, soil, water on the roof.
"""

import math
from enum import Enum

import numpy as np
from attrs import frozen
from numpy.typing import ArrayLike, NDArray

from shellparts.base.checks import above, between
from shellparts.base.ranges import Range
from shellparts.loads.air_limits import SURE
from shellparts.loads.atmosphere import GRAVITY_M_S2
from shellparts.loads.cloth_forces import SAFETY_FACTOR, seam_strength
from shellparts.loads.draws import Draws
from shellparts.loads.room_draws import FLAP_HELD
from shellparts.loads.room_figures import RoomFigures
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.site import Site

__all__ = [
    "ANCHOR_PULL_N",
    "ANCHOR_SHARE",
    "BREEZE_M_S",
    "HOLD_FACTOR",
    "LIFT",
    "TAB_MM",
    "WIND_CEILING_M_S",
    "OutdoorNo",
    "Outdoors",
    "frontal_area",
    "outdoors_at",
    "strongest_gust",
    "tab_strength",
    "velocity_pressure",
]

Floats = NDArray[np.float64]

#: Lowest of the published stop limits [m/s]: 38 km/h, ISO 20187 and EN 14960 for inflatable play equipment,
#: by analogy: they exclude air-supported buildings.
WIND_CEILING_M_S = 38.0 / 3.6
#: Drag on the frontal area [-]: ours, from smooth dome to sharp-edged drum.
_DRAG = Range(0.5, 0.8, 1.2)
#: Lift on the plan area [-]: ours; 11/16 is a hemisphere in ideal flow.
LIFT = Range(0.4, 11.0 / 16.0, 1.1)
#: Beaufort 2 ends here [m/s], from memory of the WMO scale: less is not even a light breeze.
BREEZE_M_S = 3.3
#: Pull that one anchor must bear along its rope [N]. EN 14960 and ISO 20187, by analogy: they exclude
#: air-supported buildings.
ANCHOR_PULL_N = 1600.0
#: Share of the pull that counts upwards, and sideways [-]: the least of sine and cosine over ropes at 30 to
#: 45 degrees.
ANCHOR_SHARE = 0.5
#: Factor on uplift and wind force before weight is set against them [-]: ours.
HOLD_FACTOR = 1.5
#: Width of a tab at the hem [mm]: ours.
TAB_MM = 80.0
#: Closest that anchors are set along the base [m]: ours; more of them are no plan but a no.
_CLOSEST_M = 0.5
#: Fewest anchors [-]: one to each side.
_FEWEST = 4
_GUST_STEP_M_S = 0.25


class OutdoorNo(Enum):
    """Why a gust is not withstood.

    CEILING: it is above the published stop limit. FAN_TOO_WEAK: the fan does not surely make the pressure that
    keeps the windward side out. TOO_MANY_ANCHORS: it would take more than one anchor every half metre.
    TOO_FEW_ANCHORS: there are fewer anchors than it takes.
    """

    CEILING = "ceiling"
    FAN_TOO_WEAK = "fan too weak"
    TOO_MANY_ANCHORS = "too many anchors"
    TOO_FEW_ANCHORS = "too few anchors"


@frozen
class Outdoors:
    """What one gust asks for.

    Parameters
    ----------
    gust_m_s : float
        The gust [m/s].
    pressure_Pa : float
        Pressure inside that it does not dent, and that holds the cloth up [Pa].
    fan_chance : float
        Chance that the fan makes it [-].
    air_uplift_N, wind_uplift_N, wind_drag_N : float
        Forces of that pressure and of the gust, without factor [N].
    tab_N, anchor_N : float
        Pull that a tab bears, and that an anchor with its tab bears [N].
    anchors : int
        How many anchors it takes [-].
    spacing_m : float
        From one to the next along the base [m].
    reasons : tuple of OutdoorNo
        Why not; empty where it may stand.
    """

    gust_m_s: float
    pressure_Pa: float
    fan_chance: float
    air_uplift_N: float
    wind_uplift_N: float
    wind_drag_N: float
    tab_N: float
    anchor_N: float
    anchors: int
    spacing_m: float
    reasons: tuple[OutdoorNo, ...]


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


def tab_strength(cloth: Cloth, width_mm: float = TAB_MM) -> float:
    """Pull that a tab at the hem bears, ``F = min(seam, cloth)·width / 5``.

    Parameters
    ----------
    cloth : Cloth
        Says stitches, thread and strength.
    width_mm : float
        Width of the tab [mm].

    Returns
    -------
    float
        The pull [N].

    References
    ----------
    `seam_strength`, a trade rule; the factor of safety is that of all seams.

    Examples
    --------
    >>> round(tab_strength(Cloth()), 1)
    129.6
    """
    width = above("width of a tab", width_mm, 0.0, "mm", "80 mm is usual")
    seam = seam_strength(cloth.stitches_per_m, cloth.thread_strength_N, cloth.stitch_rows)
    return min(seam, cloth.strength_N_m) * width / 1000.0 / SAFETY_FACTOR


def outdoors_at(
    draws: Draws,
    room: RoomFigures,
    cloth: Cloth,
    site: Site,
    gust_m_s: float,
    hold_up_Pa: ArrayLike,
    strongest_Pa: ArrayLike,
    density_kg_m3: float,
    tab_mm: float = TAB_MM,
) -> Outdoors:
    """Work out what a gust asks for.

    The pressure is that of the gust at its stagnation point, ``p = ½·rho·V²``, or the hold-up pressure where that
    is more. Anchors hold lift or tipping,
    whichever asks for more, and drag on top; each counts with half of its pull, in tipping with three quarters
    of the radius. Ballast and cloth count as weight, friction does not.

    Parameters
    ----------
    draws : Draws
        Say drag, lift and the flap's hold.
    room : RoomFigures
    cloth : Cloth
        For tabs and seams.
    site : Site
        Says floor, ballast and the anchors that there are; with none the number is free.
    gust_m_s : float
        The gust [m/s].
    hold_up_Pa : array_like, shape (n,)
        Pressure that the room wants without wind, and never has less [Pa].
    strongest_Pa : array_like, shape (n,)
        Most that the fan makes with the base held down [Pa].
    density_kg_m3 : float
        Density of the air [kg/m³].
    tab_mm : float
        Width of a tab [mm].

    Returns
    -------
    Outdoors

    Raises
    ------
    ParameterError
        If the gust or the tab cannot be.

    References
    ----------
    Stagnation pressure; statics; 1600 N an anchor and 38 km/h by EN 14960 and ISO 20187, by analogy only.
    """
    gust = between("gust", gust_m_s, 0.0, 60.0, "m/s", "give it in metres a second")
    push = velocity_pressure(gust, density_kg_m3)
    held = draws.between("held flap", FLAP_HELD[site.floor])
    inside = np.maximum(np.asarray(hold_up_Pa, float), push)
    air = inside * (room.floor_area_m2 - held * room.flap_area_m2)
    front, middle = frontal_area(room.profile_radius_mm, room.profile_height_mm)
    plan = room.floor_area_m2 * float(np.max(room.profile_radius_mm) / room.profile_radius_mm[0]) ** 2
    rise, drag = push * draws.between("lift", LIFT) * plan, push * draws.between("drag", _DRAG) * front
    weight = (room.cloth_mass_kg + site.ballast_kg) * GRAVITY_M_S2
    base = room.base_diameter_mm / 2000.0
    upwards = HOLD_FACTOR * (rise + air) - weight
    tipping = (HOLD_FACTOR * drag * middle + upwards * base) / (0.75 * base)
    force = np.maximum(np.maximum(upwards, tipping), 0.0) + HOLD_FACTOR * drag
    tab = tab_strength(cloth, tab_mm)
    each = min(ANCHOR_PULL_N, tab)
    anchors = max(_FEWEST, math.ceil(draws.spread(force).high / (ANCHOR_SHARE * each) - 1e-9))
    fan = draws.chance(np.asarray(strongest_Pa, float) >= inside)
    spacing = room.base_perimeter_m / anchors
    found = {
        OutdoorNo.CEILING: gust > WIND_CEILING_M_S * (1.0 + 1e-9),
        OutdoorNo.FAN_TOO_WEAK: fan < SURE,
        OutdoorNo.TOO_MANY_ANCHORS: spacing < _CLOSEST_M,
        OutdoorNo.TOO_FEW_ANCHORS: 0 < site.anchors < anchors,
    }
    return Outdoors(
        gust_m_s=gust,
        pressure_Pa=draws.spread(inside).high,
        fan_chance=fan,
        air_uplift_N=draws.spread(air).high,
        wind_uplift_N=draws.spread(rise).high,
        wind_drag_N=draws.spread(drag).high,
        tab_N=tab,
        anchor_N=each,
        anchors=anchors,
        spacing_m=spacing,
        reasons=tuple(reason for reason, holds in found.items() if holds),
    )


def strongest_gust(
    draws: Draws,
    room: RoomFigures,
    cloth: Cloth,
    site: Site,
    hold_up_Pa: ArrayLike,
    strongest_Pa: ArrayLike,
    density_kg_m3: float,
    tab_mm: float = TAB_MM,
) -> Outdoors | None:
    """Strongest gust that nothing speaks against, in steps of a quarter of a metre a second.

    Parameters
    ----------
    draws, room, cloth, site
        As in `outdoors_at`.
    hold_up_Pa, strongest_Pa : array_like, shape (n,)
        As there [Pa].
    density_kg_m3 : float
        Density of the air [kg/m³].
    tab_mm : float
        Width of a tab [mm].

    Returns
    -------
    Outdoors or None
        None where not even the lightest breath is withstood.
    """
    best = None
    for step in range(1, math.floor(WIND_CEILING_M_S / _GUST_STEP_M_S) + 1):
        gust = step * _GUST_STEP_M_S
        found = outdoors_at(draws, room, cloth, site, gust, hold_up_Pa, strongest_Pa, density_kg_m3, tab_mm)
        if found.reasons:
            break
        best = found
    return best

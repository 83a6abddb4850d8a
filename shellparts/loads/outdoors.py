"""Outdoors: the pressure that a gust asks for, the anchors that this pressure and the gust ask for, or a plain no.

Glossary: the *gust* is that at the room; the wind presses in on the windward side by its velocity pressure, and
the cloth *dents* unless the air inside presses out as hard; that pressure lifts the base in turn. A *tab* is a
loop of cloth sewn to the hem to which an anchor's rope is tied: it bears what its seam bears over its width, with
the factor of safety of all seams. Forces are taken at what 95 of 100 draws do not exceed, 1.5 times. An answer is
never a permission. Not known here: rhythm of gusts, flapping, soil, water on the roof.
"""

import math
from enum import Enum

import numpy as np
from attrs import frozen
from numpy.typing import ArrayLike, NDArray

from shellparts.base.checks import above, between
from shellparts.loads.air_limits import SURE
from shellparts.loads.atmosphere import GRAVITY_M_S2
from shellparts.loads.cloth_forces import SAFETY_FACTOR, seam_strength
from shellparts.loads.draws import Draws
from shellparts.loads.hold_down import ANCHOR_PULL_N, ANCHOR_SHARE, FLAP_HELD, HOLD_FACTOR
from shellparts.loads.room_figures import RoomFigures
from shellparts.loads.wind import DRAG, LIFT, WIND_CEILING_M_S, frontal_area, velocity_pressure
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.site import Site

__all__ = ["TAB_MM", "OutdoorNo", "Outdoors", "outdoors_at", "strongest_gust", "tab_strength"]

Floats = NDArray[np.float64]

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
    rise, drag = push * draws.between("lift", LIFT) * plan, push * draws.between("drag", DRAG) * front
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

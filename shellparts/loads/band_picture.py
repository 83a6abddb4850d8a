"""The picture of the working band as data: pressure and chance against how far the vent is open, for each speed.

Glossary: the *band* lies between the pressure that holds the room up and the one at which the base lifts; the vent's
opening runs along the bottom, pressure and chance upwards. This module does not know how to draw.
"""

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from shellparts.base.checks import between
from shellparts.base.ranges import Range
from shellparts.loads.air_limits import CAREFUL, UTMOST, least_flow_for_air
from shellparts.loads.inside_air import air_task
from shellparts.loads.results import Verdict
from shellparts.loads.settings import Setting, vent_ends

__all__ = ["BandPicture", "SpeedLine", "band_picture"]

Floats = NDArray[np.float64]


@frozen(eq=False)
class SpeedLine:
    """One speed.

    Parameters
    ----------
    name : str
        Name of the speed.
    low_Pa, likely_Pa, high_Pa : ndarray, shape (m,)
        What 5, 50 and 95 in 100 draws do not exceed at each opening [Pa], base held down.
    chance : ndarray, shape (m,)
        Chance that the opening holds the room up, keeps it down and keeps the air good [-].
    """

    name: str
    low_Pa: Floats
    likely_Pa: Floats
    high_Pa: Floats
    chance: Floats


@frozen(eq=False)
class BandPicture:
    """Data of the picture of the working band.

    Parameters
    ----------
    vent_opening_mm : ndarray, shape (m,)
        Openings of the vents, all doorways' both sides together [mm].
    lines : tuple of SpeedLine
        One a speed.
    hold_up_Pa, lift_Pa : Range
        The lines across [Pa], with the ballast.
    ballast_kg : float
        Ballast laid [kg].
    sides : int
        Sides of curtains that the opening is shared between [-].
    clip_spacing_mm : float
        Distance between the clips of the vent [mm].
    setting : Setting
        The one that is advised.
    """

    vent_opening_mm: Floats
    lines: tuple[SpeedLine, ...]
    hold_up_Pa: Range
    lift_Pa: Range
    ballast_kg: float
    sides: int
    clip_spacing_mm: float
    setting: Setting


def band_picture(verdict: Verdict, points: int = 61) -> BandPicture:
    """Pressure and chance against vent opening for each speed.

    Parameters
    ----------
    verdict : Verdict
        Of a room with a vent.
    points : int
        Openings to work out [-], 2 to 500.

    Returns
    -------
    BandPicture

    Raises
    ------
    ParameterError
        If `points` is outside 2 to 500 or the vent has no length.
    """
    drawn, air = verdict.drawn, verdict.air
    room, fan = drawn.room, drawn.fan.fan
    count = int(between("points of the picture", points, 2, 500, "points", "61 is plenty"))
    longest = between("longest vent opening", room.vent_longest_mm, 1.0, 1e5, "mm", "give the vent's length")
    openings = np.linspace(0.0, longest, count)
    task = air_task(drawn.draws, room, drawn.site, verdict.people.crowd, fan.power_W)
    least = least_flow_for_air(task, CAREFUL if air.strict else UTMOST).flow_m3_s
    lines = []
    for speed in fan.speeds:
        each = [drawn.draws.spread(drawn.working(speed, opening).pressure_Pa) for opening in openings]
        chance = vent_ends(drawn, speed, least).chances(drawn.draws, openings)
        rows = np.array([(one.low, one.likely, one.high) for one in each]).T
        lines.append(SpeedLine(speed.name, rows[0], rows[1], rows[2], chance))
    return BandPicture(
        vent_opening_mm=openings,
        lines=tuple(lines),
        hold_up_Pa=air.hold_up_Pa,
        lift_Pa=air.lift_Pa,
        ballast_kg=drawn.site.ballast_kg,
        sides=2 * room.vent_count,
        clip_spacing_mm=drawn.site.clip_spacing_mm,
        setting=air.setting,
    )

"""The picture of the working band as data: pressure against how far the vent is open, for each speed of the fan.

Glossary: see `band`; the vent's opening runs along the bottom, pressure upwards, and the hold-up and lift lines
go across. This module does not know how to draw.
"""

import numpy as np
from attrs import frozen

from shellparts.base.checks import between
from shellparts.base.ranges import Range
from shellparts.loads.leaks import closed_room_leaks, opening_leak
from shellparts.loads.remedies import Ways
from shellparts.loads.results import Verdict
from shellparts.loads.vent import open_area
from shellparts.loads.working_point import working_range

__all__ = ["AdvisedPoint", "BandPicture", "SpeedLine", "band_picture"]


@frozen(eq=False)
class SpeedLine:
    """Pressure against vent opening at one speed.

    Parameters
    ----------
    name : str
        Name of the speed.
    low_Pa, likely_Pa, high_Pa : ndarray, shape (n,)
        Working pressure at each opening [Pa], base held down.
    """

    name: str
    low_Pa: np.ndarray
    likely_Pa: np.ndarray
    high_Pa: np.ndarray


@frozen
class AdvisedPoint:
    """Where the room is advised to work, for a mark in the picture.

    Parameters
    ----------
    speed : str
        Name of the speed.
    opening_mm : float
        Opening of the vent, both sides together [mm].
    pressure_Pa : float
        Likely pressure there [Pa].
    ballast_kg : float
        Ballast laid [kg].
    lift_Pa : float
        Likely pressure at which the base lifts with that ballast [Pa].
    """

    speed: str
    opening_mm: float
    pressure_Pa: float
    ballast_kg: float
    lift_Pa: float


@frozen(eq=False)
class BandPicture:
    """Data of the picture of the working band.

    Parameters
    ----------
    vent_opening_mm : ndarray, shape (n,)
        Openings of the vent, both sides together [mm].
    lines : tuple of SpeedLine
        One a speed.
    hold_up_Pa, lift_Pa : Range
        The lines across [Pa].
    clip_spacing_mm : float
        Distance between the clips of the vent [mm].
    advised : AdvisedPoint or None
        Where the room is advised to work, if that is known.
    """

    vent_opening_mm: np.ndarray
    lines: tuple[SpeedLine, ...]
    hold_up_Pa: Range
    lift_Pa: Range
    clip_spacing_mm: float
    advised: AdvisedPoint | None


def band_picture(verdict: Verdict, ways: Ways | None = None, points: int = 41) -> BandPicture:
    """Pressure against vent opening for each speed, with the hold-up and lift lines.

    Parameters
    ----------
    verdict : Verdict
        Of a room with a vent.
    ways : Ways, optional
        Say where the room is advised to work.
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
    room, fan, site, air = verdict.room, verdict.fan, verdict.site, verdict.air
    count = int(between("points of the picture", points, 2, 500, "points", "41 is plenty"))
    longest = between("longest vent opening", room.vent_longest_mm, 1.0, 1e5, "mm", "give the vent's length")
    openings = np.linspace(0.0, longest, count)
    closed = closed_room_leaks(room, verdict.cloth, site.floor, air.density_kg_m3)
    lines = []
    for speed in fan.speeds:
        pressures = []
        for opening in openings:
            leaks = [*closed, opening_leak("vent", open_area(opening), air.density_kg_m3)]
            p = working_range(fan, speed, leaks, air.density_kg_m3).pressure_Pa
            pressures.append((p.low, p.likely, p.high))
        lines.append(SpeedLine(speed.name, *np.array(pressures).T))
    advised = None if ways is None else _advised(ways)
    return BandPicture(
        openings, tuple(lines), air.band.hold_up_Pa, air.band.lift_Pa, site.clip_spacing_mm, advised
    )


def _advised(ways: Ways) -> AdvisedPoint:
    air, kg = ways.laid.air, ways.bags.total_kg
    return AdvisedPoint(
        air.use_speed, air.vent_opening_mm, air.used.pressure_Pa.likely, kg, air.band.lift_Pa.likely
    )

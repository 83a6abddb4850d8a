"""What opens the working band, and its picture: data only, no drawing.

Glossary: see `band`; the *picture* has the vent's opening along the bottom, pressure upwards, one line for
each speed, and the hold-up and lift lines across. This module does not know how to draw.
"""

from collections.abc import Sequence

import numpy as np
from attrs import evolve, frozen

from shellparts.base.checks import between
from shellparts.base.ranges import Range
from shellparts.loads.band import Band, flap_area, working_band
from shellparts.loads.leaks import Leak, opening_leak
from shellparts.loads.room_figures import RoomFigures
from shellparts.loads.vent import VENT_GAPE, slit_area
from shellparts.loads.working_point import working_range
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.fan import Fan

__all__ = [
    "AdvisedPoint",
    "BandPicture",
    "BandRow",
    "SpeedLine",
    "band_against_ballast",
    "band_against_flap",
    "band_picture",
]


@frozen
class BandRow:
    """One row of a table that shows how a remedy opens the band.

    Parameters
    ----------
    flap_depth_mm : float
        Depth of the flap [mm].
    ballast_kg : float
        Ballast on the base [kg].
    band : Band
        The limits with it.
    """

    flap_depth_mm: float
    ballast_kg: float
    band: Band


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
        Openings of the vent [mm].
    lines : tuple of SpeedLine
        One a speed.
    hold_up_Pa : Range
        The lower line across [Pa].
    lift_Pa : Range
        The upper line across [Pa].
    clip_spacing_mm : float
        Distance between the clips of the vent [mm].
    advised : AdvisedPoint or None
        Where the room is advised to work, if that is known.
    """

    vent_opening_mm: np.ndarray
    lines: tuple[SpeedLine, ...]
    hold_up_Pa: Range
    lift_Pa: Range
    clip_spacing_mm: float = 100.0
    advised: AdvisedPoint | None = None


def band_against_flap(room: RoomFigures, cloth: Cloth, depths_mm: Sequence[float]) -> tuple[BandRow, ...]:
    """Band for several depths of flap, without ballast; the flap's cloth is added to the mass.

    Parameters
    ----------
    room : RoomFigures
        The room; its own flap is replaced.
    cloth : Cloth
        Its mass per area.
    depths_mm : sequence of float
        Depths [mm].

    Returns
    -------
    tuple of BandRow
        One a depth.
    """
    shell_kg = room.cloth_mass_kg - cloth.mass_kg_m2.likely * room.flap_area_m2
    rows = []
    for depth in depths_mm:
        area = flap_area(room.floor_area_m2, room.base_perimeter_m, depth / 1000.0)
        mass = shell_kg + cloth.mass_kg_m2.likely * area
        changed = evolve(room, flap_area_m2=area, flap_depth_mm=float(depth), cloth_mass_kg=mass)
        rows.append(BandRow(float(depth), 0.0, working_band(changed, cloth)))
    return tuple(rows)


def band_against_ballast(
    room: RoomFigures, cloth: Cloth, ballasts_kg: Sequence[float]
) -> tuple[BandRow, ...]:
    """Band for several amounts of ballast, with the room's own flap.

    Parameters
    ----------
    room : RoomFigures
        The room.
    cloth : Cloth
        Its mass per area.
    ballasts_kg : sequence of float
        Amounts [kg].

    Returns
    -------
    tuple of BandRow
        One an amount.
    """
    return tuple(BandRow(room.flap_depth_mm, float(kg), working_band(room, cloth, kg)) for kg in ballasts_kg)


def band_picture(
    room: RoomFigures,
    fan: Fan,
    closed_leaks: Sequence[Leak],
    band: Band,
    density_kg_m3: float,
    points: int = 25,
    longest_mm: float | None = None,
) -> BandPicture:
    """Pressure against vent opening for each speed, with the hold-up and lift lines.

    Parameters
    ----------
    room : RoomFigures
        The room.
    fan : Fan
        The fan.
    closed_leaks : sequence of Leak
        Every way out but the vent.
    band : Band
        The two limits.
    density_kg_m3 : float
        Density of the air [kg/m³].
    points : int
        Openings to work out [-], 2 to 500.
    longest_mm : float or None
        Longest opening [mm]; the room's own when None.

    Returns
    -------
    BandPicture
        The data.

    Raises
    ------
    ParameterError
        If `points` is outside 2 to 500 or the vent has no length.
    """
    count = int(between("points of the picture", points, 2, 500, "points", "25 is plenty"))
    most = room.vent_longest_mm if longest_mm is None else longest_mm
    openings = np.linspace(
        0.0, between("longest vent opening", most, 1.0, 1e5, "mm", "give the vent's length"), count
    )
    lines = []
    for speed in fan.speeds:
        pressures = []
        for opening in openings:
            area = Range(*(slit_area(opening, g) for g in (VENT_GAPE.low, VENT_GAPE.likely, VENT_GAPE.high)))
            leaks = [*closed_leaks, opening_leak("vent", area, density_kg_m3)]
            p = working_range(fan, speed, leaks, density_kg_m3).pressure_Pa
            pressures.append((p.low, p.likely, p.high))
        low, likely, high = np.array(pressures).T
        lines.append(SpeedLine(speed.name, low, likely, high))
    return BandPicture(openings, tuple(lines), band.hold_up_Pa, band.lift_Pa)

"""Where the air goes out: vent, ground, seams, doorway, cloth.

Glossary: an *opening* lets air through by ``Q = Cd·A·sqrt(2·p/rho)``; a *crack* by ``Q = C·p^n`` with n
about 0.65; *Cd* is the discharge coefficient; the *gap at the ground* is the mean height that the hem
stands off the floor; a *lap* is the pair of cloth edges along a seam; the *flap* is cloth that lies in
along the floor. Every coefficient of a sewn room is a range: nobody has measured yours. Not known here:
wind, warm air rising inside, and how two openings disturb each other.
"""

import math
from collections.abc import Sequence
from typing import TypeVar

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from shellparts.base.ranges import End, Range, exact
from shellparts.loads.room_figures import RoomFigures
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.site import FloorKind

__all__ = [
    "CURTAIN_GAP_SHARE",
    "DISCHARGE",
    "DOOR_IN_USE_SHARE",
    "GROUND_GAP_MM",
    "HOLE_OPEN_SHARE",
    "LAP_CRACK",
    "LAP_EXPONENT",
    "Leak",
    "LeakLaw",
    "closed_room_leaks",
    "cloth_coefficient",
    "cloth_leak",
    "doorway_clear_m2",
    "doorway_leak",
    "ground_leak",
    "leak_flow",
    "needle_hole_leak",
    "needle_holes_m2",
    "opening_coefficient",
    "opening_leak",
    "seam_lap_leak",
]

#: A number, or one for each draw.
Value = TypeVar("Value", float, NDArray[np.float64])

#: Discharge coefficient [-]: 0.61 for a sharp edge (from memory); the range is ours, for soft and rounded
#: edges.
DISCHARGE = Range(0.55, 0.61, 0.75)
#: Mean height of the hem above the floor [mm], with cloth lying in and without, by floor: ours, to be
#: replaced by a measurement.
GROUND_GAP_MM = {
    (FloorKind.HALL_FLOOR, False): Range(0.5, 2.0, 6.0),
    (FloorKind.HALL_FLOOR, True): Range(0.05, 0.3, 1.0),
    (FloorKind.CARPET, False): Range(1.0, 3.0, 8.0),
    (FloorKind.CARPET, True): Range(0.2, 0.8, 2.5),
    (FloorKind.GROUND, False): Range(2.0, 6.0, 15.0),
    (FloorKind.GROUND, True): Range(0.2, 1.0, 4.0),
    (FloorKind.GRASS, False): Range(4.0, 12.0, 30.0),
    (FloorKind.GRASS, True): Range(0.5, 2.0, 8.0),
}
#: Share of a needle hole that the thread leaves open [-]: ours.
HOLE_OPEN_SHARE = Range(0.05, 0.2, 0.5)
#: Crack coefficient of a sewn lap [m³/(s·m·Pa^0.65)]: ours, below that of a weather-stripped window.
LAP_CRACK = Range(5e-6, 3e-5, 1e-4)
#: Exponent of that crack [-].
LAP_EXPONENT = 0.65
#: Share of the doorway that stays open past a hanging curtain [-]: ours.
CURTAIN_GAP_SHARE = Range(0.0, 0.02, 0.06)
#: Share of the doorway open, taken over the time that people go through [-]: ours.
DOOR_IN_USE_SHARE = Range(0.1, 0.3, 0.7)


@frozen
class LeakLaw:
    """One way out with known numbers, ``Q = coefficient·p^exponent``.

    Parameters
    ----------
    coefficient : float
        Flow at 1 Pa [m³/(s·Pa^n)].
    exponent : float
        The exponent n [-]: 0.5 for an opening, 1 for slow flow through cloth.
    """

    coefficient: float
    exponent: float


@frozen
class Leak:
    """One way out, its size known within a range.

    Parameters
    ----------
    name : str
        What the user calls it.
    coefficient : Range
        Flow at 1 Pa [m³/(s·Pa^n)].
    exponent : float
        The exponent n [-].
    """

    name: str
    coefficient: Range
    exponent: float

    def law(self, end: End) -> LeakLaw:
        """Leak at one end of its range."""
        return LeakLaw(self.coefficient.at(end), self.exponent)


def leak_flow(laws: Sequence[LeakLaw], pressure_Pa: float) -> float:
    """Flow out of the room by all its ways."""
    return math.fsum(law.coefficient * pressure_Pa**law.exponent for law in laws)


def opening_coefficient(area_m2: Value, discharge: Value, density_kg_m3: float) -> Value:
    """Flow of an opening at 1 Pa, ``Cd·A·sqrt(2/rho)``.

    Parameters
    ----------
    area_m2, discharge : float or ndarray
        Open area [m²]; discharge coefficient [-].
    density_kg_m3 : float
        Density of the air [kg/m³].

    Returns
    -------
    float or ndarray
        The coefficient [m³/(s·Pa^0.5)].

    References
    ----------
    Orifice equation, any fluid-mechanics text; Cd 0.61 for a sharp edge from memory.

    Examples
    --------
    >>> round(opening_coefficient(0.05, 0.61, 1.2) * 10.0**0.5, 5)
    0.12452
    """
    return area_m2 * discharge * math.sqrt(2.0 / density_kg_m3)


def opening_leak(name: str, area_m2: Range, density_kg_m3: float, discharge: Range = DISCHARGE) -> Leak:
    """Opening as a leak, ``Q = Cd·A·sqrt(2·p/rho)``.

    Parameters
    ----------
    name : str
        What the user calls it.
    area_m2 : Range
        Open area [m²].
    density_kg_m3 : float
        Density of the air [kg/m³].
    discharge : Range
        Discharge coefficient [-].

    Returns
    -------
    Leak
        With exponent 0.5.

    References
    ----------
    Orifice equation, any fluid-mechanics text; Cd 0.61 for a sharp edge from memory.

    Examples
    --------
    >>> leak = opening_leak("vent", Range(0.04, 0.05, 0.06), 1.2)
    >>> round(leak_flow([leak.law(End.LIKELY)], 10.0), 5)
    0.12452
    """
    flow = (opening_coefficient(area_m2.at(end), discharge.at(end), density_kg_m3) for end in End)
    return Leak(name, Range(*flow), 0.5)


def ground_leak(perimeter_m: float, gap_mm: Range, density_kg_m3: float) -> Leak:
    """Gap between hem and floor as a leak.

    Parameters
    ----------
    perimeter_m : float
        Length of the hem [m].
    gap_mm : Range
        Mean height of the gap [mm].
    density_kg_m3 : float
        Density of the air [kg/m³].

    Returns
    -------
    Leak
        With exponent 0.5.

    Examples
    --------
    >>> ground_leak(15.0, Range(1.0, 2.0, 3.0), 1.2).name
    'gap at the ground'
    """
    return opening_leak("gap at the ground", gap_mm.scaled(perimeter_m / 1000.0), density_kg_m3)


def needle_holes_m2(seam_length_m: float, cloth: Cloth, open_share: Value) -> Value:
    """Open area of the needle holes of all the seams: holes a metre × rows × hole area × share left open [m²]."""
    hole_m2 = math.pi / 4.0 * (cloth.needle_mm / 1000.0) ** 2
    return open_share * (cloth.stitches_per_m * cloth.stitch_rows * seam_length_m * hole_m2)


def needle_hole_leak(seam_length_m: float, cloth: Cloth, density_kg_m3: float) -> Leak:
    """Needle holes of all the seams as a leak, by `needle_holes_m2`.

    Parameters
    ----------
    seam_length_m : float
        Length of all the seams [m].
    cloth : Cloth
        Says stitches, rows and needle.
    density_kg_m3 : float
        Density of the air [kg/m³].

    Returns
    -------
    Leak
        With exponent 0.5.
    """
    area = (needle_holes_m2(seam_length_m, cloth, HOLE_OPEN_SHARE.at(end)) for end in End)
    return opening_leak("needle holes", Range(*area), density_kg_m3)


def seam_lap_leak(seam_length_m: float) -> Leak:
    """Laps of all the seams as a crack, ``Q = C·L·p^0.65``.

    Parameters
    ----------
    seam_length_m : float
        Length of all the seams [m].

    Returns
    -------
    Leak
        With exponent 0.65.

    References
    ----------
    ASHRAE Fundamentals, Ventilation and Infiltration (n 0.6 to 0.7).
    """
    return Leak("seam laps", LAP_CRACK.scaled(seam_length_m), LAP_EXPONENT)


def cloth_coefficient(surface_m2: float, permeability_mm_s: Value, test_pressure_Pa: float = 100.0) -> Value:
    """Flow through the cloth itself at 1 Pa [m³/(s·Pa)], from its area [m²] and permeability [mm/s] as tested [Pa]."""
    return permeability_mm_s * (surface_m2 / 1000.0 / test_pressure_Pa)


def cloth_leak(surface_m2: float, permeability_mm_s: Range, test_pressure_Pa: float = 100.0) -> Leak:
    """Air through the cloth itself, in proportion to pressure.

    Parameters
    ----------
    surface_m2 : float
        Area of the cloth [m²].
    permeability_mm_s : Range
        Air permeability [mm/s], as tested.
    test_pressure_Pa : float
        Pressure of the test [Pa]; 100 Pa is usual for clothing.

    Returns
    -------
    Leak
        With exponent 1.

    References
    ----------
    ISO 9237 defines the test (its usual pressures from memory).
    """
    flow = (cloth_coefficient(surface_m2, permeability_mm_s.at(end), test_pressure_Pa) for end in End)
    return Leak("cloth", Range(*flow), 1.0)


def doorway_clear_m2(room: RoomFigures) -> float:
    """Clear area of all doorways [m²]."""
    return room.exit_width_mm * room.exit_height_mm * 1e-6 * room.exit_count


def doorway_leak(room: RoomFigures, open_share: Range, density_kg_m3: float) -> Leak:
    """Doorway with part of its clear area open.

    Parameters
    ----------
    room : RoomFigures
        Says the clear width and height.
    open_share : Range
        Share of the clear area that is open [-].
    density_kg_m3 : float
        Density of the air [kg/m³].

    Returns
    -------
    Leak
        With exponent 0.5; friction in the tunnel is left out, so the leak is on the large side.
    """
    return opening_leak("doorway", open_share.scaled(doorway_clear_m2(room)), density_kg_m3)


def closed_room_leaks(
    room: RoomFigures, cloth: Cloth, floor: FloorKind, density_kg_m3: float
) -> tuple[Leak, ...]:
    """Every way out with the vent shut and nobody in the doorway."""
    gap = GROUND_GAP_MM[floor, room.flap_area_m2 > 0.0]
    holes = [opening_leak("holes that stay open", exact(room.open_area_m2), density_kg_m3)]
    return (
        ground_leak(room.base_perimeter_m, gap, density_kg_m3),
        needle_hole_leak(room.seam_length_m, cloth, density_kg_m3),
        seam_lap_leak(room.seam_length_m),
        doorway_leak(room, CURTAIN_GAP_SHARE, density_kg_m3),
        cloth_leak(room.surface_area_m2, cloth.air_permeability_mm_s),
        *(holes if room.open_area_m2 > 0.0 else ()),
    )

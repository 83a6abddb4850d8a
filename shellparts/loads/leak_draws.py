"""Where the air goes out, in every draw: vent, ground, seams, doorway, cloth.

Glossary: an *opening* lets air through by ``Q = Cd·A·sqrt(2·p/rho)``; a *crack* by ``Q = C·p^n`` with n about 0.65;
*Cd* is the discharge coefficient, one for all openings of a draw; the *gap at the ground* is the mean height that the
hem stands off the floor; a *lap* is the pair of cloth edges along a seam; the *flap* is cloth that lies in along the
floor. The *vent* is a seam left open on purpose; *gape* is how far its edges part at the middle, as a share of the
open length. An open slit is taken as a lens between two flat arcs, ``A = ⅔·g·L²``; the two sides of a curtain open
from the floor up: each is half such a lens, for at the floor its edge is free, and the two together are one of length
L. The gape hangs on the slack of the edges (an edge bowed out by a tenth of its length needs 2.7 % of slack).
Every coefficient of a sewn room is a range: nobody has measured yours. Not known here: wind, warm air rising inside,
how two openings disturb each other, and stiff hems.
"""

import math
from typing import TypeVar

import numpy as np
from attrs import evolve, frozen
from numpy.typing import ArrayLike, NDArray

from shellparts.base.ranges import Range
from shellparts.loads.draws import Draws
from shellparts.loads.room_figures import RoomFigures
from shellparts.loads.root import rising_root
from shellparts.loads.way_out import STAND_MM
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
    "VENT_GAPE",
    "LeakDraws",
    "leak_draws",
    "opening_coefficient",
    "slit_area",
]

Floats = NDArray[np.float64]
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
#: Parting of the slit's edges at mid-length over its length [-]: ours, from 1 to 6 % of slack in each edge.
VENT_GAPE = Range(0.1, 0.2, 0.3)
#: Share of a standing fan's outlet that air can leave by [-]: ours; blades, guard and an untied sleeve are
#: in the way.
_IDLE_FAN_SHARE = Range(0.2, 0.5, 0.8)


def slit_area(length_mm: float, gape: Value) -> Value:
    """Area of an open slit, ``A = ⅔·g·L²``.

    Parameters
    ----------
    length_mm : float
        Open length [mm].
    gape : float or ndarray
        Parting at mid-length over length [-].

    Returns
    -------
    float or ndarray
        The area [m²].

    References
    ----------
    A lens between two flat parabolas.

    Examples
    --------
    >>> round(slit_area(1500.0, 0.2), 3)
    0.3
    """
    return gape * (2.0 / 3.0 * (length_mm / 1000.0) ** 2)


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


def needle_holes_m2(seam_length_m: float, cloth: Cloth, open_share: Value) -> Value:
    """Open area of the needle holes of all the seams: holes a metre × rows × hole area × share left open [m²]."""
    hole_m2 = math.pi / 4.0 * (cloth.needle_mm / 1000.0) ** 2
    return open_share * (cloth.stitches_per_m * cloth.stitch_rows * seam_length_m * hole_m2)


def cloth_coefficient(surface_m2: float, permeability_mm_s: Value, test_pressure_Pa: float = 100.0) -> Value:
    """Flow through the cloth itself at 1 Pa [m³/(s·Pa)], from its area [m²] and permeability [mm/s] as tested [Pa]."""
    return permeability_mm_s * (surface_m2 / 1000.0 / test_pressure_Pa)


def doorway_clear_m2(room: RoomFigures) -> float:
    """Clear area of all doorways [m²]."""
    return room.exit_width_mm * room.exit_height_mm * 1e-6 * room.exit_count


@frozen(eq=False)
class LeakDraws:
    """All ways out of the air; made by `leak_draws`, with the vent shut and nobody in the doorway.

    Parameters
    ----------
    opening : ndarray, shape (n,)
        Of all openings, the flow at 1 Pa [m³/(s·Pa^0.5)].
    lap : ndarray, shape (n,)
        Of all seam laps, the flow at 1 Pa [m³/(s·Pa^0.65)].
    cloth : ndarray, shape (n,)
        Of the cloth itself, the flow at 1 Pa [m³/(s·Pa)].
    slit : ndarray, shape (n,)
        What the vent adds to `opening` for each square metre of its open length squared [1/m²]; all doorways
        together.
    door : ndarray, shape (n,)
        What people in the doorway add to `opening` [m³/(s·Pa^0.5)].
    discharge : ndarray, shape (n,)
        Discharge coefficient [-].
    idle_share : ndarray, shape (n,)
        Share of a standing fan's outlet that air leaves by [-].
    density_kg_m3 : float
        Density of the air [kg/m³].
    """

    opening: Floats
    lap: Floats
    cloth: Floats
    slit: Floats
    door: Floats
    discharge: Floats
    idle_share: Floats
    density_kg_m3: float

    def flow(self, pressure_Pa: ArrayLike) -> Floats:
        """Flow out of the room at a pressure [m³/s]."""
        pressure = np.asarray(pressure_Pa, float)
        root = np.sqrt(pressure)
        return self.opening * root + self.lap * pressure**LAP_EXPONENT + self.cloth * pressure

    def slope(self, pressure_Pa: ArrayLike) -> Floats:
        """How fast that flow rises with the pressure [m³/(s·Pa)]; infinite at 0 Pa."""
        pressure = np.asarray(pressure_Pa, float)
        with np.errstate(divide="ignore", invalid="ignore"):
            laps = LAP_EXPONENT * self.lap * pressure ** (LAP_EXPONENT - 1.0)
            rise = 0.5 * self.opening / np.sqrt(pressure) + laps + self.cloth
        return np.where(pressure > 0.0, rise, np.inf)

    def pressure(self, flow_m3_s: ArrayLike, at_most_Pa: ArrayLike) -> Floats:
        """Pressure at which so much leaves [Pa], at most a given one."""
        flow, most = np.asarray(flow_m3_s, float), np.asarray(at_most_Pa, float)
        power = 2.0 * LAP_EXPONENT

        def spare(root: Floats) -> tuple[Floats, Floats]:
            """By the root of the pressure, in which the flow is smooth."""
            leaving = self.opening * root + self.lap * root**power + self.cloth * root**2
            rise = self.opening + power * self.lap * root ** (power - 1.0) + 2.0 * self.cloth * root
            return leaving - flow, rise

        return rising_root(spare, np.zeros(len(self.opening)), np.sqrt(most)) ** 2

    def opened(self, opening_mm: ArrayLike) -> "LeakDraws":
        """The same with the vents open over a length, all doorways' both sides together [mm]."""
        return evolve(self, opening=self.opening + self.slit * (np.asarray(opening_mm, float) / 1000.0) ** 2)

    def with_door_in_use(self) -> "LeakDraws":
        """The same while people go through the doorways."""
        return evolve(self, opening=self.opening + self.door)


def leak_draws(
    room: RoomFigures, cloth: Cloth, floor: FloorKind, draws: Draws, density_kg_m3: float
) -> LeakDraws:
    """Draw every way out.

    Parameters
    ----------
    room : RoomFigures
    cloth : Cloth
    floor : FloorKind
        What the room stands on.
    draws : Draws
    density_kg_m3 : float
        Density of the air [kg/m³].

    Returns
    -------
    LeakDraws
        With the vent shut and nobody in the doorway.

    Examples
    --------
    >>> from shellparts.loads.draws import draws
    >>> room = RoomFigures(12.57, 31.4, 16.8, 4000, 4000, [2000, 0], [0, 4000], 12, 40, 12.57, 7, 900, 2000)
    >>> shut = leak_draws(room, Cloth(), FloorKind.HALL_FLOOR, draws(1024), 1.2)
    >>> bool((shut.opened(800.0).flow(5.0) > shut.flow(5.0)).all())
    True
    """
    gap = draws.between("gap at the ground", GROUND_GAP_MM[floor, room.flap_area_m2 > 0.0])
    holes = needle_holes_m2(room.seam_length_m, cloth, draws.between("needle holes", HOLE_OPEN_SHARE))
    clear = doorway_clear_m2(room)
    curtain = clear * draws.between("curtain gap", CURTAIN_GAP_SHARE)
    # who goes through a low doorway opens it as wide as who walks upright: as much of a higher one, all of it at most
    upright = max(1.0, STAND_MM / room.exit_height_mm)
    in_use = clear * np.minimum(1.0, upright * draws.between("door in use", DOOR_IN_USE_SHARE))
    discharge = draws.between("discharge", DISCHARGE)
    permeable = draws.between("cloth permeability", cloth.air_permeability_mm_s)
    # vents of several doorways: each is open over its share of the length
    gape = draws.between("vent gape", VENT_GAPE) / room.vent_count

    def passes(area_m2: Floats) -> Floats:
        return opening_coefficient(area_m2, discharge, density_kg_m3)

    return LeakDraws(
        opening=passes(gap * (room.base_perimeter_m / 1000.0) + holes + curtain + room.open_area_m2),
        lap=draws.between("seam laps", LAP_CRACK) * room.seam_length_m,
        cloth=cloth_coefficient(room.surface_area_m2, permeable),
        slit=passes(slit_area(1000.0, gape)),
        door=passes(in_use),
        discharge=discharge,
        idle_share=draws.between("idle fan", _IDLE_FAN_SHARE),
        density_kg_m3=density_kg_m3,
    )

"""Where the air goes out, in every draw.

The formulas and ranges are those of `leaks` and `vent`; here each coefficient has one value a draw, and what follows
the same law of pressure is added up: openings with the root of the pressure, laps with its power of 0.65, the cloth
itself in proportion. One discharge coefficient holds for all openings in a draw.
"""

import numpy as np
from attrs import evolve, frozen
from numpy.typing import ArrayLike, NDArray

from shellparts.loads.draws import Draws
from shellparts.loads.leaks import (
    CURTAIN_GAP_SHARE,
    DISCHARGE,
    DOOR_IN_USE_SHARE,
    GROUND_GAP_MM,
    HOLE_OPEN_SHARE,
    LAP_CRACK,
    LAP_EXPONENT,
    cloth_coefficient,
    doorway_clear_m2,
    needle_holes_m2,
    opening_coefficient,
)
from shellparts.loads.room_figures import RoomFigures
from shellparts.loads.root import rising_root
from shellparts.loads.timing import IDLE_FAN_SHARE
from shellparts.loads.vent import VENT_GAPE, slit_area
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.site import FloorKind

__all__ = ["LeakDraws", "leak_draws"]

Floats = NDArray[np.float64]


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

    def with_idle_outlet(self, outlet_m2: ArrayLike) -> "LeakDraws":
        """The same with a standing fan's outlet [m²] as one more opening."""
        area = np.asarray(outlet_m2, float) * self.idle_share
        return evolve(
            self, opening=self.opening + opening_coefficient(area, self.discharge, self.density_kg_m3)
        )


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
        slit=passes(slit_area(1000.0, 1.0) * gape),
        door=passes(clear * draws.between("door in use", DOOR_IN_USE_SHARE)),
        discharge=discharge,
        idle_share=draws.between("idle fan", IDLE_FAN_SHARE),
        density_kg_m3=density_kg_m3,
    )

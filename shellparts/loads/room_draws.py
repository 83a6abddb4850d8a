"""One room with its fan, its leaks and its two limits, in every draw: what all questions are asked of.

Glossary: the *hold-up pressure* carries the weight of all the cloth above every level, ``max W_above / A``; at the
*lift pressure* the air has taken all the weight off the base. Both follow from the one mass that the cloth has in a
draw. How far the real form departs from the formula of the hold-up pressure is a factor of its own, the *form*, until
the form under air is known. *Flap*: cloth that lies in along the floor; the air presses it down, and so its area is
taken off the uplift. *Ballast*: mass laid on the base. Without flap or ballast both pressures are weight / floor area
and nothing lies between. A room above its lift pressure is a hovercraft: its base lifts until the gap lets out what
the vent should have, and it drops, and lifts again. A room below its hold-up pressure sinks, until the cloth that lies
on the floor is the weight that the air cannot carry. Why the flap's whole area counts: the wall's pull rolls the flap
off the floor from its outer edge, and the ring where it touches moves in until ``p·(area inside the ring) = weight``;
the seal is lost when the ring has reached the flap's inner edge. Friction helps and is left out. Not known here: hoop
stiffness, the doorway's hole, the tunnel's weight (it counts as the shell's), rhythm of the lifting.
"""

from collections.abc import Callable

import numpy as np
from attrs import evolve, frozen
from numpy.typing import ArrayLike, NDArray

from shellparts.base.checks import above
from shellparts.base.errors import ParameterError
from shellparts.base.ranges import Range, exact
from shellparts.loads.atmosphere import GRAVITY_M_S2, moist_air_density, standard_pressure
from shellparts.loads.draws import Draws, draws
from shellparts.loads.fan_draws import FanDraws, fan_draws
from shellparts.loads.leak_draws import LeakDraws, leak_draws
from shellparts.loads.room_figures import RoomFigures
from shellparts.loads.working import WorkingDraws, working
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.fan import Fan, FanSpeed
from shellparts.parameters.site import FloorKind, Site

__all__ = [
    "FLAP_HELD",
    "FORM_FACTOR",
    "HoldUp",
    "RoomDraws",
    "formula_hold_up",
    "hold_up_pressure",
    "lift_in_draws",
    "room_draws",
]

Floats = NDArray[np.float64]
#: Gives the hold-up pressure of every draw [Pa], shape (n,).
HoldUp = Callable[[Draws], Floats]
#: Pressure at which roof and way out stand over that of the formula [-]: ours, from balances of three whole rooms,
#: whose ways out kept 0.9 of their height at 0.95 to 0.97 of it and 0.95 at 0.98 to 1.18.
FORM_FACTOR = Range(0.9, 1.0, 1.2)
#: Share of the flap that the air presses down [-], by floor: ours. On a tight floor the rest is wrinkled or
#: bridged; under a flap on a floor that lets air through the pressure falls in a straight line from the
#: room's at its inner edge to none at the hem, so that half of it counts, less for wrinkles, more for clay.
FLAP_HELD = {
    FloorKind.HALL_FLOOR: Range(0.6, 0.85, 1.0),
    FloorKind.CARPET: Range(0.3, 0.5, 0.6),
    FloorKind.GROUND: Range(0.3, 0.5, 0.8),
    FloorKind.GRASS: Range(0.3, 0.5, 0.6),
}


@frozen(eq=False)
class RoomDraws:
    """A room in every draw; made by `room_draws`.

    Parameters
    ----------
    room : RoomFigures
    cloth : Cloth
    site : Site
    draws : Draws
    fan : FanDraws
    shut : LeakDraws
        The ways out with the vent shut and nobody in the doorway.
    weight_N : ndarray, shape (n,)
        Weight of all the cloth [N].
    hold_up_Pa : ndarray, shape (n,)
        Pressure that carries the cloth [Pa].
    lift_Pa : ndarray, shape (n,)
        Pressure at which the base lifts, with the site's ballast [Pa].
    held_share : ndarray, shape (n,)
        Share of the flap that the air presses down [-].
    hold_up : callable or None
        What gave the hold-up pressure; None for the formula.
    """

    room: RoomFigures
    cloth: Cloth
    site: Site
    draws: Draws
    fan: FanDraws
    shut: LeakDraws
    weight_N: Floats
    hold_up_Pa: Floats
    lift_Pa: Floats
    held_share: Floats
    hold_up: HoldUp | None

    @property
    def density_kg_m3(self) -> float:
        """Density of the air that the fan draws [kg/m³]."""
        return self.shut.density_kg_m3

    def with_ballast(self, ballast_kg: float) -> "RoomDraws":
        """The same with another mass on the base [kg]."""
        site = evolve(self.site, ballast_kg=ballast_kg)
        lift = lift_in_draws(self.room, self.weight_N, self.held_share, site.ballast_kg)
        return evolve(self, site=site, lift_Pa=lift)

    def redrawn(self, drawn: Draws) -> "RoomDraws":
        """The same room in other draws."""
        return room_draws(self.room, self.fan.fan, self.cloth, self.site, drawn, self.hold_up)

    def working(self, speed: FanSpeed, opening_mm: ArrayLike, door_in_use: bool = False) -> WorkingDraws:
        """Working point of every draw at one speed.

        Parameters
        ----------
        speed : FanSpeed
        opening_mm : float or ndarray, shape (n,)
            Open length of the vents, all doorways' both sides together [mm].
        door_in_use : bool
            Whether people go through the doorways.

        Returns
        -------
        WorkingDraws
            With the base held down.
        """
        leaks = self.shut.opened(opening_mm)
        return working(self.fan, speed, leaks.with_door_in_use() if door_in_use else leaks)


def lift_in_draws(room: RoomFigures, weight_N: Floats, held_share: Floats, ballast_kg: float) -> Floats:
    """Pressure at which the base lifts, ``p = (W + m·g) / (A − k·A_flap)``.

    Parameters
    ----------
    room : RoomFigures
    weight_N, held_share : ndarray, shape (n,)
        Weight of all the cloth [N]; share of the flap that the air presses down [-].
    ballast_kg : float
        Ballast on the base [kg].

    Returns
    -------
    ndarray, shape (n,)
        The pressure [Pa].
    """
    open_area = room.floor_area_m2 - held_share * room.flap_area_m2
    return (weight_N + ballast_kg * GRAVITY_M_S2) / open_area


def room_draws(
    room: RoomFigures,
    fan: Fan,
    cloth: Cloth,
    site: Site,
    drawn: Draws | None = None,
    hold_up: HoldUp | None = None,
) -> RoomDraws:
    """Draw a room.

    Parameters
    ----------
    room : RoomFigures
    fan : Fan
    cloth : Cloth
    site : Site
    drawn : Draws, optional
        The cases; those before any reading unless given.
    hold_up : callable, optional
        Gives the hold-up pressure of every draw [Pa]; unless given, the formula of `hold_up_pressure` times
        `FORM_FACTOR`.

    Returns
    -------
    RoomDraws

    Raises
    ------
    ParameterError
        If the flap would weigh more than all the cloth.
    """
    drawn = draws() if drawn is None else drawn
    density = moist_air_density(
        site.air_temperature_C, site.relative_humidity, standard_pressure(site.altitude_m)
    )
    heavier = drawn.between("cloth mass", cloth.mass_kg_m2) / cloth.mass_kg_m2.likely
    if hold_up is None:
        hold_up_Pa = formula_hold_up(room, cloth) * heavier * drawn.between("form", FORM_FACTOR)
    else:
        hold_up_Pa = hold_up(drawn)
    weight = room.cloth_mass_kg * GRAVITY_M_S2 * heavier
    held = drawn.between("held flap", FLAP_HELD[site.floor] if room.flap_area_m2 > 0.0 else exact(0.0))
    return RoomDraws(
        room=room,
        cloth=cloth,
        site=site,
        draws=drawn,
        fan=fan_draws(fan, drawn, density),
        shut=leak_draws(room, cloth, site.floor, drawn, density),
        weight_N=weight,
        hold_up_Pa=hold_up_Pa,
        lift_Pa=lift_in_draws(room, weight, held, site.ballast_kg),
        held_share=held,
        hold_up=hold_up,
    )


def hold_up_pressure(
    radius_mm: np.ndarray, height_mm: np.ndarray, shell_weight_N: float, floor_area_m2: float
) -> float:
    """Least pressure that leaves no level of the shell in compression, ``max over z of W_above(z) / A(z)``.

    The weight is spread over the surface of revolution; a level's area is the floor's, scaled by the square
    of the radius. The meridian force of membrane theory is tension at a level just when ``p·A > W_above``
    there.

    Parameters
    ----------
    radius_mm : ndarray, shape (n,)
        Radius of the profile from base to top [mm]; the last is 0.
    height_mm : ndarray, shape (n,)
        Height of each point [mm].
    shell_weight_N : float
        Weight of the shell without the flap [N].
    floor_area_m2 : float
        Area of the floor [m²].

    Returns
    -------
    float
        The pressure [Pa]; never below weight / floor area.

    Examples
    --------
    >>> round(hold_up_pressure(np.array([2.0, 2.0, 0.0]), np.array([0.0, 3.0, 3.0]), 80.0, 16.0), 9)
    5.0
    """
    weight = above("shell weight", shell_weight_N, 0.0, "N", "give the weight of the cloth")
    area = above("floor area", floor_area_m2, 0.0, "m²", "give the area inside the base")
    radius, height = np.asarray(radius_mm, float), np.asarray(height_mm, float)
    bands = (radius[:-1] + radius[1:]) * np.hypot(np.diff(radius), np.diff(height))
    share_above = np.cumsum(bands[::-1])[::-1] / bands.sum()
    levels = radius[:-1]
    return float(np.max(weight * share_above / (area * (levels / levels[0]) ** 2)))


def formula_hold_up(room: RoomFigures, cloth: Cloth) -> float:
    """Pressure that carries the cloth by `hold_up_pressure`, at its likely mass [Pa]."""
    weight = _shell_N(room, cloth)
    return hold_up_pressure(room.profile_radius_mm, room.profile_height_mm, weight, room.floor_area_m2)


def _shell_N(room: RoomFigures, cloth: Cloth) -> float:
    """Weight of the cloth that the air carries, the flap left out [N]."""
    flap_kg = cloth.mass_kg_m2.likely * room.flap_area_m2
    if flap_kg >= room.cloth_mass_kg:
        raise ParameterError(
            "cloth mass",
            f"{room.cloth_mass_kg:g} kg",
            f"more than the flap's {flap_kg:.3g} kg",
            "count all the cloth",
        )
    return (room.cloth_mass_kg - flap_kg) * GRAVITY_M_S2

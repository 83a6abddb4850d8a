"""Between sagging and lifting: the band of pressure in which the room stands on its base.

Glossary: the *hold-up pressure* carries the weight of all the cloth above every level, ``max W_above / A``;
at the *lift pressure* the air has taken all the weight off the base; the *band* lies between. *Flap*: cloth
that lies in along the floor; the air presses it down, and so its area is taken off the uplift. *Ballast*:
mass laid on the base. Without flap or ballast both limits are weight / floor area and there is no band. A
room above its band is a hovercraft: its base lifts until the gap lets out what the vent should have, and it
drops, and lifts again. A room below it sinks, until the cloth that lies on the floor is the weight that the
air cannot carry. Why the flap's whole area counts: the wall's pull rolls the flap off the floor from its
outer edge, and the ring where it touches moves in until ``p·(area inside the ring) = weight``; the seal is
lost when the ring has reached the flap's inner edge. Friction helps and is left out. Not known here: hoop
stiffness, the doorway's hole, the tunnel's weight (it counts as the shell's), rhythm of the lifting.
"""

import math
from enum import Enum

import numpy as np
from attrs import frozen

from shellparts.base.checks import above, between
from shellparts.base.errors import ParameterError
from shellparts.base.ranges import Range, exact
from shellparts.loads.atmosphere import GRAVITY_M_S2
from shellparts.loads.room_figures import RoomFigures
from shellparts.parameters.cloth import Cloth

__all__ = [
    "FIRM_RATIO",
    "FLAP_HELD_SHARE",
    "NO_BAND_RATIO",
    "Band",
    "Standing",
    "floating_gap",
    "hold_up_pressure",
    "lift_pressure",
    "likely_standing",
    "standing_of",
    "working_band",
]

#: Share of the flap that the air really presses down [-]: ours; the rest is wrinkled or bridged by a rough
#: floor.
FLAP_HELD_SHARE = Range(0.6, 0.85, 1.0)
#: Pressure over hold-up pressure at which the cloth is firm [-]: ours; more only strains the base.
FIRM_RATIO = 1.25
#: Lift pressure over hold-up pressure below which there is no band to work in [-]: ours.
NO_BAND_RATIO = 1.02


class Standing(Enum):
    """How the room stands at its working pressure."""

    SAGS = "sags"
    STANDS = "stands"
    LIFTS = "lifts"
    UNCERTAIN = "uncertain"


@frozen
class Band:
    """The two limits.

    Parameters
    ----------
    hold_up_Pa : Range
        Pressure that carries the cloth [Pa].
    lift_Pa : Range
        Pressure at which the base lifts [Pa].
    """

    hold_up_Pa: Range
    lift_Pa: Range

    @property
    def ratio(self) -> float:
        """Likely lift pressure over likely hold-up pressure [-]; 1 means no band."""
        return self.lift_Pa.likely / self.hold_up_Pa.likely

    @property
    def target_Pa(self) -> float:
        """Pressure to aim at [Pa]: half-way, by ratio, between the likely limits, `FIRM_RATIO` hold-ups at
        most."""
        half_way = math.sqrt(self.hold_up_Pa.likely * self.lift_Pa.likely)
        return min(half_way, FIRM_RATIO * self.hold_up_Pa.likely)


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


def lift_pressure(
    weight_N: float,
    floor_area_m2: float,
    flap_area_m2: float = 0.0,
    ballast_kg: float = 0.0,
    held_share: float = 1.0,
) -> float:
    """Pressure at which the base lifts, ``p = (W + m·g) / (A − k·A_flap)``.

    Parameters
    ----------
    weight_N : float
        Weight of all the cloth, the flap too [N].
    floor_area_m2 : float
        Area of the floor [m²].
    flap_area_m2 : float
        Area of the flap [m²].
    ballast_kg : float
        Ballast on the base [kg].
    held_share : float
        Share k of the flap that the air presses down [-].

    Returns
    -------
    float
        The pressure [Pa].

    Raises
    ------
    ParameterError
        If the flap covers the floor, or a value cannot be.

    Examples
    --------
    >>> lift_pressure(80.0, 16.0), round(lift_pressure(80.0, 16.0, flap_area_m2=4.0), 3)
    (5.0, 6.667)
    """
    weight = above("weight", weight_N, 0.0, "N", "give the weight of the cloth")
    ballast = between("ballast", ballast_kg, 0.0, math.inf, "kg", "give the mass of the ballast")
    share = between(
        "held share of the flap", held_share, 0.0, 1.0, "(no unit)", "1 for a flap that lies flat"
    )
    open_area = floor_area_m2 - share * between(
        "flap area", flap_area_m2, 0.0, math.inf, "m²", "0 for no flap"
    )
    if open_area <= 0.0:
        raise ParameterError(
            "flap area",
            f"{flap_area_m2:g} m²",
            f"less than the floor, {floor_area_m2:g} m²",
            "cut it shallower",
        )
    return (weight + ballast * GRAVITY_M_S2) / open_area


def working_band(room: RoomFigures, cloth: Cloth, ballast_kg: float = 0.0) -> Band:
    """Hold-up and lift pressure of a room, with the ranges of the cloth's mass and of the flap's hold.

    Parameters
    ----------
    room : RoomFigures
    cloth : Cloth
        Its mass per area gives the flap's share of the mass, and the range.
    ballast_kg : float
        Ballast on the base [kg].

    Returns
    -------
    Band

    Raises
    ------
    ParameterError
        If the flap would weigh more than all the cloth.
    """
    flap_kg = cloth.mass_kg_m2.likely * room.flap_area_m2
    if flap_kg >= room.cloth_mass_kg:
        raise ParameterError(
            "cloth mass",
            f"{room.cloth_mass_kg:g} kg",
            f"more than the flap's {flap_kg:.3g} kg",
            "count all the cloth",
        )
    spread = cloth.mass_kg_m2.scaled(1.0 / cloth.mass_kg_m2.likely)
    shell_N = (room.cloth_mass_kg - flap_kg) * GRAVITY_M_S2
    all_N = spread.scaled(room.cloth_mass_kg * GRAVITY_M_S2)
    hold_up = hold_up_pressure(room.profile_radius_mm, room.profile_height_mm, shell_N, room.floor_area_m2)
    held = FLAP_HELD_SHARE if room.flap_area_m2 > 0.0 else exact(0.0)
    low, likely, high = (
        lift_pressure(weight, room.floor_area_m2, room.flap_area_m2, ballast_kg, share)
        for weight, share in ((all_N.low, held.low), (all_N.likely, held.likely), (all_N.high, held.high))
    )
    return Band(spread.scaled(hold_up), Range(low, likely, high))


def standing_of(pressure_Pa: Range, band: Band) -> Standing:
    """Say how a room stands.

    Parameters
    ----------
    pressure_Pa : Range
        Working pressure with the base held down [Pa].
    band : Band

    Returns
    -------
    Standing
        LIFTS, SAGS or STANDS only if that holds over all the ranges; else UNCERTAIN.
    """
    if pressure_Pa.low > band.lift_Pa.high:
        return Standing.LIFTS
    if pressure_Pa.high < band.hold_up_Pa.low:
        return Standing.SAGS
    if pressure_Pa.low >= band.hold_up_Pa.high and pressure_Pa.high <= band.lift_Pa.low:
        return Standing.STANDS
    return Standing.UNCERTAIN


def likely_standing(pressure_Pa: Range, band: Band) -> Standing:
    """Say how a room most likely stands: by the likely values alone.

    Parameters
    ----------
    pressure_Pa : Range
        Working pressure with the base held down [Pa].
    band : Band

    Returns
    -------
    Standing
        LIFTS, SAGS or STANDS, never UNCERTAIN.

    Examples
    --------
    >>> likely_standing(Range(1, 8, 50), Band(exact(5), exact(7))).value
    'lifts'
    """
    if pressure_Pa.likely > band.lift_Pa.likely:
        return Standing.LIFTS
    return Standing.SAGS if pressure_Pa.likely < band.hold_up_Pa.likely * (1.0 - 1e-9) else Standing.STANDS


def floating_gap(
    surplus_m3_s: float, lift_Pa: float, perimeter_m: float, density_kg_m3: float, discharge: float = 0.61
) -> float:
    """Mean height to which the base lifts so that the surplus air escapes under it, ``h = Q /
    (Cd·P·sqrt(2·p/rho))``.

    Parameters
    ----------
    surplus_m3_s : float
        Fan's flow at the lift pressure less that of the other leaks [m³/s]; 0 or less gives 0.
    lift_Pa : float
        The lift pressure [Pa]: a floating room cannot hold more.
    perimeter_m : float
        Length of the base line [m].
    density_kg_m3 : float
        Density of the air [kg/m³].
    discharge : float
        Discharge coefficient [-].

    Returns
    -------
    float
        The gap [mm].

    Examples
    --------
    >>> round(floating_gap(0.5, 5.0, 15.0, 1.2), 1)
    18.9
    """
    velocity = math.sqrt(2.0 * lift_Pa / density_kg_m3)
    return 1000.0 * max(0.0, surplus_m3_s) / (discharge * perimeter_m * velocity)

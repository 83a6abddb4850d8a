"""Ballast in bags: how much, how far apart the hem allows, at the tunnel's foot too, inside or on tabs outside.

Glossary: the *line* to hold is the base and both feet of every tunnel; between two bags the air lifts the hem like
a rope under an even load, and its *rise* in the middle must leave the flap on the floor; the *span* is how far
apart bags may then lie. A ballast that would take bags closer than they are long is none: *not with ballast*. Not
known here: bags that roll, stiff hems, and the wall's own stiffness (both hold the hem down).
"""

import math
from enum import Enum

import numpy as np
from attrs import frozen
from numpy.typing import ArrayLike, NDArray

from shellparts.base.checks import above, between
from shellparts.loads.atmosphere import GRAVITY_M_S2
from shellparts.loads.draws import Draws
from shellparts.loads.outdoors import HOLD_FACTOR, TAB_MM, tab_strength
from shellparts.loads.room_draws import FLAP_HELD
from shellparts.loads.room_figures import RoomFigures
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.site import FloorKind

__all__ = [
    "BAG_KG",
    "Bags",
    "BallastLimit",
    "BallastPlan",
    "ballast_need",
    "ballast_plan",
    "hem_rise",
    "hem_span",
]

Floats = NDArray[np.float64]

#: Farthest from one bag to the next along the base [m]: ours; between bags it is the hem that lifts first.
_BAG_SPACING_M = 2.0
#: Masses of bags to choose from [kg]: ours; 2 kg is a two-litre bottle of water, 20 kg all that one carries.
BAG_KG = (2.0, 3.0, 5.0, 10.0, 15.0, 20.0)
#: Closest that bags can lie [m]: ours; a bag of 20 kg is longer than this.
_CLOSEST_M = 0.3
#: Rise of the hem between bags as a share of the flap's depth [-], and without a flap [mm]: ours.
_RISE_SHARE, _RISE_MM = 0.2, 20.0
#: Width of cloth that acts as the rope [m], and its slack over a span [-]: ours; a hem of two layers with some of
#: the wall, laid by hand.
_ROPE_M, _SLACK = 0.1, 0.002


class BallastLimit(Enum):
    """Why ballast alone does not do.

    NOT_WITH_BALLAST: it would take bags closer than they are long.
    """

    NOT_WITH_BALLAST = "not with ballast"


@frozen
class Bags:
    """A ballast in equal parts, laid evenly round the base.

    Parameters
    ----------
    count : int
        How many [-]; 0 for no ballast.
    each_kg : float
        Mass of each [kg].
    spacing_mm : float
        From one to the next along the base [mm]; 0 for no ballast.
    """

    count: int
    each_kg: float
    spacing_mm: float

    @property
    def total_kg(self) -> float:
        """Mass of all of them [kg]."""
        return self.count * self.each_kg


@frozen
class BallastPlan:
    """Where to lay how much.

    Parameters
    ----------
    need_kg : float
        Least mass of them all, not rounded [kg].
    span_m : float
        Farthest from bag to bag that the hem allows [m]; below 0.3 m they lie side by side.
    base : Bags
        Round the base, inside on the flap.
    tunnel_count : int
        Bags of the same mass at the feet of all tunnels [-].
    outside : Bags or None
        The same on tabs outside, round base and tunnel; None where the tabs do not bear it.
    limit : BallastLimit or None
        Why not; then there are no bags.
    """

    need_kg: float
    span_m: float
    base: Bags
    tunnel_count: int
    outside: Bags | None
    limit: BallastLimit | None

    @property
    def laid_kg(self) -> float:
        """Mass of all bags inside [kg]."""
        return self.base.total_kg + self.tunnel_count * self.base.each_kg


def ballast_need(
    draws: Draws, room: RoomFigures, floor: FloorKind, cloth_kg: ArrayLike, pressure_Pa: ArrayLike
) -> Floats:
    """Ballast for a pressure, ``m = 1.5·p·(A − k·A_flap)/g − m_cloth``, the factor on the uplift.

    Parameters
    ----------
    draws : Draws
        Say the share k of the flap that is pressed down.
    room : RoomFigures
    floor : FloorKind
    cloth_kg : array_like, shape (n,)
        Mass of all cloth [kg].
    pressure_Pa : array_like, shape (n,)
        Pressure to hold [Pa].

    Returns
    -------
    ndarray, shape (n,)
        The mass [kg], 0 or more.
    """
    held = draws.between("held flap", FLAP_HELD[floor])
    up = np.asarray(pressure_Pa, float) * (room.floor_area_m2 - held * room.flap_area_m2)
    return np.maximum(0.0, HOLD_FACTOR * up / GRAVITY_M_S2 - np.asarray(cloth_kg, float))


def hem_rise(flap_depth_mm: float) -> float:
    """Rise of the hem between two bags that leaves the room tight: a fifth of the flap's depth, or 20 mm.

    Parameters
    ----------
    flap_depth_mm : float
        Depth of the flap [mm]; 0 for none.

    Returns
    -------
    float
        The rise [mm].
    """
    return max(_RISE_MM, _RISE_SHARE * flap_depth_mm)


def hem_span(load_N_m: float, rise_mm: float, stiffness_N_m: float) -> float:
    """Span over which the hem, as a rope under an even load, rises by no more than allowed.

    A rope of span L with rise h pulls ``T = w·L²/(8h)`` and is longer than its span by ``8h²/(3L²)``; that is its
    slack and its stretch ``T/(E·b)``. So ``w/(8h)·L⁴ + E·b·s·L² − 8/3·E·b·h² = 0``.

    Parameters
    ----------
    load_N_m : float
        Load w that lifts a metre of hem [N/m].
    rise_mm : float
        Rise h in the middle [mm].
    stiffness_N_m : float
        Stiffness E of the cloth, force a metre of width [N/m].

    Returns
    -------
    float
        The span L [m].

    References
    ----------
    Parabolic rope, any text of statics; slack and width of the rope are ours.

    Examples
    --------
    >>> round(hem_span(50.0, 60.0, 100e3), 2), round(hem_span(50.0, 20.0, 100e3), 2)
    (0.93, 0.39)
    """
    load = between("load on the hem", load_N_m, 0.0, 1e6, "N/m", "share the uplift out along the base")
    rise = above("rise of the hem", rise_mm, 0.0, "mm", "20 mm without a flap") / 1000.0
    pull = above("stiffness", stiffness_N_m, 0.0, "N/m", "100 000 N/m for a woven sheet") * _ROPE_M
    a, b, c = load / (8.0 * rise), pull * _SLACK, 8.0 / 3.0 * pull * rise**2
    return math.sqrt(2.0 * c / (b + math.sqrt(b * b + 4.0 * a * c)))


def _usual(kg: float) -> float | None:
    """Lightest usual bag of a mass or more; None where none is so heavy."""
    return next((one for one in BAG_KG if one >= kg - 1e-9), None)


def ballast_plan(room: RoomFigures, cloth: Cloth, need_kg: float, tab_mm: float = TAB_MM) -> BallastPlan:
    """Share a ballast out along base and tunnels, no farther apart than the hem spans.

    Parameters
    ----------
    room : RoomFigures
    cloth : Cloth
        For the stiffness of the hem and for tabs.
    need_kg : float
        Least mass of them all [kg].
    tab_mm : float
        Width of a tab for bags outside [mm].

    Returns
    -------
    BallastPlan

    Raises
    ------
    ParameterError
        If the mass cannot be.

    Examples
    --------
    >>> room = RoomFigures(15.2, 45, 41.6, 4400, 3400, [2200, 0], [0, 3400], 12, 55, 13.8, 9, 950, 1900, 1, 1200,
    ...     flap_area_m2=3.9, flap_depth_mm=300)
    >>> plan = ballast_plan(room, Cloth(), 30.0)
    >>> plan.base.count, plan.tunnel_count, plan.base.each_kg, round(plan.span_m, 2)
    (12, 4, 2.0, 1.16)
    """
    need = between("ballast", need_kg, 0.0, 1e7, "kg", "give the mass of the ballast")
    feet = 2 * room.exit_count if room.tunnel_length_mm > 0.0 else 0
    length = room.tunnel_length_mm / 1000.0
    line = room.base_perimeter_m + feet * length
    none = Bags(0, BAG_KG[0], 0.0)
    stiffness = min(cloth.warp_stiffness_N_m, cloth.weft_stiffness_N_m)
    load = need * GRAVITY_M_S2 / line
    span = min(_BAG_SPACING_M, hem_span(load, hem_rise(room.flap_depth_mm), stiffness))
    if need == 0.0:
        return BallastPlan(0.0, span, none, 0, None, None)

    def laid(each_at_most: float) -> tuple[int, int, float] | None:
        """Bags at the base and at the tunnels, and the mass of each; None where they would overlap."""
        apart = min(max(span, _CLOSEST_M), each_at_most * line / need)  # side by side they leave no hem free
        if apart < _CLOSEST_M:
            return None
        base, foot = math.ceil(room.base_perimeter_m / apart - 1e-9), math.ceil(length / apart - 1e-9)
        each = _usual(need / (base + feet * foot))
        return (base, feet * foot, each) if each is not None and each <= each_at_most + 1e-9 else None

    inside = laid(BAG_KG[-1])
    if inside is None:
        return BallastPlan(need, span, none, 0, None, BallastLimit.NOT_WITH_BALLAST)
    bearable = [kg for kg in BAG_KG if kg * GRAVITY_M_S2 <= tab_strength(cloth, tab_mm)]
    tabs = laid(bearable[-1]) if bearable else None
    base, foot, each = inside
    outside = None
    if tabs is not None:
        count = tabs[0] + tabs[1]
        outside = Bags(count, tabs[2], 1000.0 * line / count)
    bags = Bags(base, each, 1000.0 * room.base_perimeter_m / base)
    return BallastPlan(need, span, bags, foot, outside, None)

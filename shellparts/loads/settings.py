"""Is there one setting that holds the room up, keeps it down and keeps the air good, and how far may it be mis-set?

Glossary: a *setting* is a speed of the fan and an opening of the vent; with clips it is set in whole clips. In each
draw the openings that work lie between two ends, which need no search: the fan gives ``Q`` at a pressure ``p``, the
shut room takes some of it, and the vent lets the rest out where its length is
``L(p) = sqrt((Q_fan(p) − Q_shut(p)) / (k·sqrt(p)))``, k the flow of a slit of 1 m at 1 Pa. Opened less than
``L(lift)`` the base lifts; opened more than ``L(hold-up)`` the cloth sags; the air that people need is there from
``L(p_air)`` on, with ``p_air`` the fan's pressure at that flow. The *chance* of an opening is the share of the draws
whose ends it lies between. *Tuned on the day* means that the vent is moved until the room stands well.
"""

import math
from collections.abc import Callable
from typing import Literal

import numpy as np
from attrs import frozen
from numpy.typing import ArrayLike, NDArray

from shellparts.base.checks import above, between
from shellparts.base.ranges import Range
from shellparts.loads.air_limits import SURE
from shellparts.loads.draws import Draws
from shellparts.loads.room_draws import RoomDraws
from shellparts.loads.room_figures import RoomFigures
from shellparts.parameters.fan import FanSpeed

__all__ = [
    "SURE_CHANCE",
    "Setting",
    "Settings",
    "VentEnds",
    "clip_openings",
    "clips_each_side",
    "find_settings",
    "opening_for",
    "settings_for_air",
    "vent_ends",
]

Floats = NDArray[np.float64]
#: Chance from which a setting is relied on [-]: ours.
SURE_CHANCE = 0.9
#: Chances nearer to each other than this are the same [-]: twice what 2,048 draws leave uncertain.
_SAME_CHANCE = 0.02
#: Step at which it is looked how far the vent may be mis-set [mm].
_STEP_MM = 1.0


@frozen
class Setting:
    """One setting and what is to be expected of it.

    Parameters
    ----------
    speed : str
        Name of the fan's speed.
    opening_mm : float
        Open length of the vents, all doorways' both sides together [mm].
    clips : int
        Clips off on each side of each doorway, from the floor up [-].
    chance : float
        Chance that it does all three at once [-].
    chance_up, chance_down, chance_air : float
        Chance that it holds the room up, keeps the base down, keeps the air good, each by itself [-].
    from_mm, to_mm : float or None
        Openings about it at which the chance stays 9 in 10 or more [mm]; None where it is less already.
    pressure_Pa : Range
        What 5, 50 and 95 in 100 of the draws do not exceed, the base held down [Pa].
    flow_m3_s : Range
        The same of the flow [m³/s].
    """

    speed: str
    opening_mm: float
    clips: int
    chance: float
    chance_up: float
    chance_down: float
    chance_air: float
    from_mm: float | None
    to_mm: float | None
    pressure_Pa: Range
    flow_m3_s: Range


@frozen(eq=False)
class Settings:
    """All settings of a room.

    Parameters
    ----------
    best : Setting
        The one to use: the likeliest, at the slowest speed among equals.
    by_speed : tuple of Setting
        The best of each speed, slowest first.
    openings_mm : ndarray, shape (m,)
        The openings that were looked at [mm].
    chances : ndarray, shape (speeds, m)
        Chance of each speed and opening [-].
    chance_some : float
        Chance that some of these settings does all three, found by tuning on the day [-].
    """

    best: Setting
    by_speed: tuple[Setting, ...]
    openings_mm: Floats
    chances: Floats
    chance_some: float


@frozen(eq=False)
class VentEnds:
    """Between which openings the vent works, in every draw at one speed.

    Parameters
    ----------
    down_mm : ndarray, shape (n,)
        From which opening on the base stays down [mm].
    air_mm : ndarray, shape (n,)
        From which opening on the air is good [mm]; infinite where the fan never gives so much.
    up_mm : ndarray, shape (n,)
        Up to which opening the room is held up [mm]; −1 where the fan is too weak with the vent shut.
    """

    down_mm: Floats
    air_mm: Floats
    up_mm: Floats

    def holds(self, opening_mm: float) -> NDArray[np.bool_]:
        """Whether an opening [mm] does all three, in every draw."""
        least = np.maximum(self.down_mm, self.air_mm)
        return (least <= opening_mm) & (opening_mm <= self.up_mm)

    def chances(self, drawn: Draws, openings_mm: Floats) -> Floats:
        """Chance of each opening [-]: the weight of the draws that it lies between the ends of."""
        least = np.maximum(self.down_mm, self.air_mm)
        some = least <= self.up_mm
        weight = drawn.weight[some]
        begun = _weight_below(least[some], weight, openings_mm, "right")
        ended = _weight_below(self.up_mm[some], weight, openings_mm, "left")
        return np.clip(begun - ended, 0.0, 1.0)


def _weight_below(ends: Floats, weight: Floats, at: Floats, side: Literal["left", "right"]) -> Floats:
    """Weight of the ends at or below ("right"), or below ("left"), each value."""
    order = np.argsort(ends, kind="stable")
    sums = np.concatenate([[0.0], np.cumsum(weight[order])])
    return sums[np.searchsorted(ends[order], at, side=side)]


def clips_each_side(length_mm: float, longest_mm: float, spacing_mm: float) -> int:
    """Clips to take off on each of two sides, from the floor up: each one frees the edge up to the next.

    The lowest clip is at the floor, the vent's upper end is sewn; so a side of length ℓ has
    ``ceil(ℓ/spacing)`` clips.

    Parameters
    ----------
    length_mm : float
        Length to open, both sides together [mm].
    longest_mm : float
        Longest opening there is, both sides together [mm].
    spacing_mm : float
        Distance between clips [mm].

    Returns
    -------
    int
        How many on each side [-]; all of them where the length is longer than the vent.

    Examples
    --------
    >>> clips_each_side(1000.0, 1200.0, 100.0), clips_each_side(3000.0, 1200.0, 100.0)
    (5, 6)
    """
    spacing = above("clip spacing", spacing_mm, 0.0, "mm", "measure from clip to clip")
    return math.ceil(min(length_mm, longest_mm) / 2.0 / spacing - 1e-9)


def clip_openings(room: RoomFigures, clip_spacing_mm: float) -> Floats:
    """Openings that whole clips give, from none off to all: all doorways' both sides together [mm].

    Examples
    --------
    >>> room = RoomFigures(12.57, 31.4, 16.8, 4000, 4000, [2000, 0], [0, 4000], 12, 40, 12.57, 7, 900, 2000,
    ...                    vent_longest_mm=700)
    >>> clip_openings(room, 100.0)
    array([  0., 200., 400., 600., 700.])
    """
    sides = 2 * room.vent_count
    most = clips_each_side(room.vent_longest_mm / room.vent_count, np.inf, clip_spacing_mm)
    return np.minimum(np.arange(most + 1) * (sides * clip_spacing_mm), room.vent_longest_mm)


def vent_ends(room: RoomDraws, speed: FanSpeed, least_flow_m3_s: ArrayLike = 0.0) -> VentEnds:
    """Work out between which openings each draw does all three.

    Parameters
    ----------
    room : RoomDraws
    speed : FanSpeed
    least_flow_m3_s : float or ndarray, shape (n,)
        Flow through the room that its people need [m³/s]; may be infinite.

    Returns
    -------
    VentEnds
    """
    needed = np.broadcast_to(np.asarray(least_flow_m3_s, float), room.hold_up_Pa.shape)
    reached = needed < room.fan.free_air(speed)
    airy_Pa = room.fan.pressure(speed, np.where(reached, needed, 0.0))
    air = np.where(reached & (airy_Pa > 0.0), _length(room, needed, airy_Pa), np.inf)
    down = opening_for(room, speed, room.lift_Pa)
    return VentEnds(np.maximum(0.0, down), np.maximum(0.0, air), opening_for(room, speed, room.hold_up_Pa))


def opening_for(room: RoomDraws, speed: FanSpeed, pressure_Pa: Floats) -> Floats:
    """Opening at which the room has a pressure [mm]; −1 where it is less than that with the vent shut."""
    return _length(room, room.fan.flow(speed, pressure_Pa), pressure_Pa)


def _length(room: RoomDraws, flow_m3_s: Floats, pressure_Pa: Floats) -> Floats:
    """Opening that, with the other leaks, lets out a flow at a pressure [mm]; −1 where they let out more."""
    spare = flow_m3_s - room.shut.flow(pressure_Pa)
    a_metre = room.shut.slit * np.sqrt(np.maximum(pressure_Pa, 1e-300))
    return np.where(spare >= 0.0, 1000.0 * np.sqrt(np.maximum(spare, 0.0) / a_metre), -1.0)


def _setting(room: RoomDraws, speed: FanSpeed, opening_mm: float, ends: VentEnds) -> Setting:
    drawn, count = room.draws, room.room.vent_count
    about = _about(ends, drawn, opening_mm, room.room.vent_longest_mm)
    point = room.working(speed, opening_mm)
    return Setting(
        speed=speed.name,
        opening_mm=float(opening_mm),
        clips=clips_each_side(opening_mm / count, np.inf, room.site.clip_spacing_mm),
        chance=drawn.chance(ends.holds(opening_mm)),
        chance_up=drawn.chance(opening_mm <= ends.up_mm),
        chance_down=drawn.chance(opening_mm >= ends.down_mm),
        chance_air=drawn.chance(opening_mm >= ends.air_mm),
        from_mm=about[0],
        to_mm=about[1],
        pressure_Pa=drawn.spread(point.pressure_Pa),
        flow_m3_s=drawn.spread(point.flow_m3_s),
    )


def _about(
    ends: VentEnds, drawn: Draws, opening_mm: float, longest_mm: float
) -> tuple[float, float] | tuple[None, None]:
    """Openings on either side, without a gap between, at which the chance is still `SURE_CHANCE`."""

    def sure(openings: Floats) -> NDArray[np.bool_]:
        return ends.chances(drawn, openings) >= SURE_CHANCE

    if not sure(np.array([opening_mm]))[0]:
        return None, None
    below = np.append(np.arange(opening_mm, 0.0, -_STEP_MM), 0.0)
    above = np.append(np.arange(opening_mm, longest_mm, _STEP_MM), longest_mm)
    low, high = (row[np.argmin(np.append(sure(row), False)) - 1] for row in (below, above))
    return float(low), float(high)


def find_settings(room: RoomDraws, least_flow_m3_s: ArrayLike = 0.0) -> Settings:
    """Look at every speed, and at every opening of whole clips or the one that the site says, and choose.

    Parameters
    ----------
    room : RoomDraws
    least_flow_m3_s : float or ndarray, shape (n,)
        Flow through the room that its people need [m³/s]; infinite where no flow is enough.

    Returns
    -------
    Settings

    Raises
    ------
    ParameterError
        If the site says an opening and the vents are not so long.
    """
    told, longest, speeds = room.site.vent_opening_mm, room.room.vent_longest_mm, room.fan.fan.speeds
    if told is None:
        every = clip_openings(room.room, room.site.clip_spacing_mm)
    else:
        remedy = "open it less far, or leave a longer vent in the doorway" if longest else "make a vent"
        every = np.array([between("vent opening", told, 0.0, longest, "mm", remedy)])
    ends = [vent_ends(room, speed, least_flow_m3_s) for speed in speeds]
    chances = np.array([one.chances(room.draws, every) for one in ends])
    by_speed = tuple(
        _setting(room, speed, float(every[_likeliest(row)]), one)
        for speed, row, one in zip(speeds, chances, ends, strict=True)
    )
    most = max(one.chance for one in by_speed)
    best = next(one for one in by_speed if one.chance >= most - _SAME_CHANCE)
    return Settings(best, by_speed, every, chances, room.draws.chance(_some(ends, every)))


def settings_for_air(
    room: RoomDraws, good_m3_s: ArrayLike, bearable_m3_s: Callable[[], ArrayLike]
) -> tuple[Settings, bool]:
    """Settings that keep the air good; where it cannot surely be good, those that keep it bearable.

    Parameters
    ----------
    room : RoomDraws
    good_m3_s : float or ndarray, shape (n,)
        Flow that keeps the air good [m³/s].
    bearable_m3_s : Callable
        Gives the flow that keeps it bearable [m³/s]; asked only where that is needed.

    Returns
    -------
    settings : Settings
    strict : bool
        Whether they keep the air good.
    """
    good = find_settings(room, good_m3_s)
    if good.best.chance >= SURE_CHANCE or good.best.chance_air >= SURE:
        return good, True
    return find_settings(room, bearable_m3_s()), False


def _likeliest(chances: Floats) -> int:
    """Opening in the middle of those that are as likely as the likeliest."""
    good = np.flatnonzero(chances >= chances.max() - _SAME_CHANCE)
    middle = good[np.abs(good - np.average(good, weights=chances[good] + 1e-9)).argmin()]
    return int(middle)


def _some(ends: list[VentEnds], openings_mm: Floats) -> NDArray[np.bool_]:
    """Whether some opening of some speed does all three, in every draw."""
    found = np.zeros(ends[0].up_mm.shape, bool)
    for one in ends:
        least = np.maximum(one.down_mm, one.air_mm)
        first = np.searchsorted(openings_mm, least, side="left")
        there = np.append(openings_mm, np.inf)[first]
        found |= there <= one.up_mm
    return found

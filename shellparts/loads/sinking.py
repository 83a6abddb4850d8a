"""How long a room takes to sink when its fan stops, what would make it longer, and how many people get out in time.

Glossary: *to sink* is to lose air until the cloth over the inner half of the floor is so low that people would have
to crawl; a *drain* is a flow out of the room at a pressure, an array of draws; a *variant* is the room with one
thing changed.

What is assumed. Once the fan stops nothing presses on the air but the cloth that it still carries. The room
folds from below: the lowest cloth comes to lie on the floor, what is above it keeps its shape and floats, at the
largest pressure that any level of it needs, ``p = max W_above/A``. That is the hold-up pressure at first and
falls as the wall goes down; at each step the time is ``V/Q(p)``. The doorways leak only while people pass, not
while they set off and walk: each second with the doorways shut uses up one part in the time to sink so, each
second with them in use one part in the shorter time. Nobody counts on lifting the cloth, though it is light and
can be lifted. The tunnel's cloth is heavy for its floor and sags first: see `sagging`. Not known here: leaks that
the fallen cloth covers (which slows it), wind, and cloth caught on things (which holds it).
"""

from collections.abc import Callable, Mapping, Sequence
from enum import Enum

import numpy as np
from attrs import evolve, frozen
from numpy.typing import ArrayLike, NDArray

from shellparts.loads.air_limits import SURE
from shellparts.loads.doorway_traffic import OPEN_S
from shellparts.loads.draws import Draws
from shellparts.loads.room_figures import RoomFigures
from shellparts.loads.way_out import CRAWL_MM, Escape
from shellparts.parameters.opening import WayOut

__all__ = [
    "SAGGED_SHARE",
    "STAYS_UP_S",
    "Drains",
    "Sinking",
    "SinkingSteps",
    "SinkingVariant",
    "height_at_radius",
    "out_in_time",
    "people_out_in_time",
    "sagging",
    "sinking_steps",
    "sinking_times",
]

Floats = NDArray[np.float64]
Drain = Callable[[Floats], Floats]

#: A room should stay up this long after its fan stops [s], or for the time to leave if that is longer: a US
#: state's rule for inflated devices.
STAYS_UP_S = 300.0
#: Share of its sewn height that a doorway tunnel keeps while the room sinks [-]: ours, from the form of three whole
#: rooms at 4.5 Pa, where it was 0.72, 0.77 and 0.46.
SAGGED_SHARE = 0.7
#: Share of a standing fan's leak that a flap in the sleeve lets through [-]: ours.
_FLAP_LEAK_SHARE = 0.1
_SLICES, _STEPS, _MOST_PEOPLE = 400, 16, 10_000


class SinkingVariant(Enum):
    """What is changed for the fan's stop.

    AS_SET: nothing, vent open as set. CLIPS_ON: the vent's clips are on. SLEEVE_FLAP: a flap inside the sleeve
    shuts when the fan stops. CLIPS_AND_FLAP: both. SECOND_FAN: another fan goes on running.
    """

    AS_SET = "as set"
    CLIPS_ON = "clips on"
    SLEEVE_FLAP = "sleeve flap"
    CLIPS_AND_FLAP = "clips on and sleeve flap"
    SECOND_FAN = "second fan"


@frozen(eq=False)
class Drains:
    """Where air goes, each a function of the pressure, shape (n,) [Pa], that gives a flow, shape (n,) [m³/s].

    Parameters
    ----------
    closed : callable
        All leaks with the vent and the doorways shut.
    doorways : callable
        The doorways as people use them on their way out.
    vent : callable
        The vent as set.
    standing_fan : callable
        The fan that has stopped.
    second_fan : callable, optional
        What another fan that runs on gives; none unless given.
    """

    closed: Drain
    doorways: Drain
    vent: Drain
    standing_fan: Drain
    second_fan: Drain | None = None

    def out(self, variant: SinkingVariant, pressure_Pa: Floats, in_use: bool) -> Floats:
        """Flow out in one variant, doorways in use or shut, less what a second fan gives [m³/s]."""
        flow = self.closed(pressure_Pa)
        flow = flow + self.doorways(pressure_Pa) if in_use else flow
        fan = self.standing_fan(pressure_Pa)
        clipped = variant in (SinkingVariant.CLIPS_ON, SinkingVariant.CLIPS_AND_FLAP)
        flapped = variant in (SinkingVariant.SLEEVE_FLAP, SinkingVariant.CLIPS_AND_FLAP)
        flow = flow + (_FLAP_LEAK_SHARE * fan if flapped else fan)
        flow = flow if clipped else flow + self.vent(pressure_Pa)
        if variant is SinkingVariant.SECOND_FAN and self.second_fan is not None:
            flow = flow - self.second_fan(pressure_Pa)
        return flow


@frozen(eq=False)
class SinkingSteps:
    """Air to lose, step by step from the floor up.

    Parameters
    ----------
    volume_m3 : ndarray, shape (k,)
        Air lost in each step [m³].
    pressure_share : ndarray, shape (k,)
        Pressure in it over the hold-up pressure [-], never rising.
    """

    volume_m3: Floats
    pressure_share: Floats


@frozen(eq=False)
class Sinking:
    """Time to sink in one variant.

    Parameters
    ----------
    shut_s : ndarray, shape (n,)
        With nobody in the doorways [s]; infinite where no more goes out than a second fan gives.
    in_use_s : ndarray, shape (n,)
        With people going out all the time [s]; the same or shorter.
    """

    shut_s: Floats
    in_use_s: Floats


def height_at_radius(radius_mm: Floats, height_mm: Floats, at_mm: float) -> float:
    """Height of the cloth over a place on the floor: the highest point of the profile at that radius.

    Parameters
    ----------
    radius_mm : ndarray, shape (n,)
        Radius of the profile from base to top [mm].
    height_mm : ndarray, shape (n,)
        Height of each point [mm].
    at_mm : float
        Radius of the place [mm].

    Returns
    -------
    float
        The height [mm]; 0 outside the room.

    Examples
    --------
    >>> height_at_radius(np.array([2000.0, 0.0]), np.array([0.0, 3000.0]), 500.0)
    2250.0
    """
    radius, height = np.asarray(radius_mm, float), np.asarray(height_mm, float)
    best = 0.0
    for r0, r1, z0, z1 in zip(radius[:-1], radius[1:], height[:-1], height[1:], strict=True):
        if min(r0, r1) <= at_mm <= max(r0, r1):
            best = max(best, float(max(z0, z1) if r0 == r1 else z0 + (z1 - z0) * (at_mm - r0) / (r1 - r0)))
    return best


def sinking_steps(room: RoomFigures, low_mm: float = CRAWL_MM) -> SinkingSteps:
    """Cut the air that is lost into steps, with the pressure of what still floats.

    Parameters
    ----------
    room : RoomFigures
    low_mm : float
        Height of the cloth over the inner half of the floor at which the room counts as sunk [mm]; in a low room
        no more than three quarters of the height there.

    Returns
    -------
    SinkingSteps

    References
    ----------
    Membrane statics: a level is in tension while ``p·A > W_above``.
    """
    radius, height = room.profile_radius_mm, room.profile_height_mm
    over_half = height_at_radius(radius, height, float(radius[0]) / np.sqrt(2.0))
    sunk_mm = over_half - min(low_mm, 0.75 * over_half)
    place = np.linspace(0.0, len(radius) - 1.0, _SLICES * (len(radius) - 1) + 1)
    index = np.arange(len(radius))
    r, z = np.interp(place, index, radius), np.interp(place, index, height)
    belt = (r[:-1] + r[1:]) * np.hypot(np.diff(r), np.diff(z))
    carried = np.cumsum(belt[::-1])[::-1]  # weight from each slice upwards, in the slice's own scale
    volume = (r[:-1] ** 2 + r[:-1] * r[1:] + r[1:] ** 2) / 3.0 * np.diff(z)
    volume *= room.envelope_volume_m3 / volume.sum()
    need = np.maximum.accumulate((carried / r[:-1] ** 2)[::-1])[::-1]
    rise = np.diff(z)
    volume *= np.clip((sunk_mm - z[:-1]) / np.where(rise > 0.0, rise, 1.0), 0.0, 1.0)
    place_in = np.cumsum(volume)
    if place_in[-1] <= 0.0:  # cloth on the floor over the inner half: it is sunk already
        return SinkingSteps(np.zeros(1), np.ones(1))
    step = np.minimum((place_in / place_in[-1] * _STEPS).astype(int), _STEPS - 1)
    lost = np.bincount(step, weights=volume)
    moment = np.bincount(step, weights=volume * need)
    there = lost > 0.0
    share = moment[there] / lost[there] / need[0]
    return SinkingSteps(lost[there].astype(float), share.astype(float))


def sinking_times(
    steps: SinkingSteps, drains: Drains, hold_up_Pa: ArrayLike
) -> Mapping[SinkingVariant, Sinking]:
    """Time to sink in every variant, ``t = sum V_i / Q(p_i)``.

    Parameters
    ----------
    steps : SinkingSteps
    drains : Drains
    hold_up_Pa : array_like, shape (n,)
        Weight over area that the air carries at first [Pa].

    Returns
    -------
    mapping of SinkingVariant to Sinking
        SECOND_FAN only where there is one.
    """
    start = np.asarray(hold_up_Pa, float)

    def seconds(variant: SinkingVariant, in_use: bool) -> Floats:
        time = np.zeros_like(start)
        for volume, share in zip(steps.volume_m3, steps.pressure_share, strict=True):
            out = drains.out(variant, share * start, in_use)
            time = time + np.where(out > 0.0, volume / np.where(out > 0.0, out, 1.0), np.inf)
        return time

    variants = [v for v in SinkingVariant if v is not SinkingVariant.SECOND_FAN or drains.second_fan]
    return {one: Sinking(seconds(one, False), seconds(one, True)) for one in variants}


def sagging(ways: Sequence[WayOut], share: float = SAGGED_SHARE) -> tuple[WayOut, ...]:
    """The ways out while the room sinks: their cloth is lower.

    Parameters
    ----------
    ways : sequence of WayOut
        As sewn.
    share : float
        Share of the sewn height that they keep [-]; 1 where somebody holds the tunnel up.

    Returns
    -------
    tuple of WayOut
    """
    return tuple(evolve(way, height=share * way.height) for way in ways)


def out_in_time(draws: Draws, escape: Escape, sinking: Sinking, people: int) -> float:
    """Chance that a number of people are out before the room has sunk.

    ``(t_leave − t_door)/t_shut + t_door/t_in_use <= 1``, where ``t_door`` is the time that people take to pass
    the doorways, one passage at least; exact where all leaks rise alike with the pressure.

    Parameters
    ----------
    draws : Draws
        Say the weight of each case.
    escape : Escape
    sinking : Sinking
    people : int
        How many people [-].

    Returns
    -------
    float
        The chance [-].
    """
    passing = people * escape.each_s
    door = np.maximum(passing, OPEN_S)
    walked = np.maximum(escape.first_s + passing - door, 0.0)
    return draws.chance(walked / sinking.shut_s + door / sinking.in_use_s <= 1.0)


def people_out_in_time(draws: Draws, escape: Escape, sinking: Sinking, chance: float = SURE) -> int:
    """Most people who are out in time with a chance.

    Parameters
    ----------
    draws : Draws
        Say the weight of each case.
    escape : Escape
    sinking : Sinking
    chance : float
        The chance asked for, as a share [-].

    Returns
    -------
    int
        How many [-], 10,000 at most; 0 where not even one is.
    """
    low, high = 0, _MOST_PEOPLE
    while low < high:
        middle = (low + high + 1) // 2
        if out_in_time(draws, escape, sinking, middle) >= chance:
            low = middle
        else:
            high = middle - 1
    return low

"""Up and down: time to fill, time to sink when the fan stops, time to get out.

Glossary: *to sink* is to lose air until the cloth over the inner half of the floor has come down to a
walking person's head; *to leave* is from the fan's stop to the last person's being out. A room that sinks
keeps at most the pressure that carries its cloth; taken as that throughout, which is the fast and so the
careful side. Not known here: crowds that do not move, doors that jam, cloth that catches; and cloth on
people's heads is light, can be lifted and walked under.
"""

import math
from collections.abc import Sequence

import numpy as np

from shellparts.base.checks import between
from shellparts.base.ranges import End, Range
from shellparts.loads.band import Band
from shellparts.loads.leaks import Leak, leak_flow, opening_leak
from shellparts.loads.room_figures import RoomFigures
from shellparts.loads.working_point import fan_flow
from shellparts.parameters.fan import Fan, FanSpeed

__all__ = [
    "IDLE_FAN_SHARE",
    "STAYS_UP_S",
    "deflate_time",
    "height_at_radius",
    "inflate_time",
    "time_to_leave",
    "volume_to_lose",
]

#: A room should stay up this long after its fan stops [s], or for the time to leave if that is longer: a US
#: state's rule for inflated devices.
STAYS_UP_S = 300.0
#: Share of a standing fan's outlet that air can leave by [-]: ours; blades, guard and an untied sleeve are
#: in the way.
IDLE_FAN_SHARE = Range(0.2, 0.5, 0.8)
#: Height of a walking person's head [mm]: ours.
_HEAD_MM = 1800.0
#: People through a doorway a second and a metre of clear width [1/(s·m)]: 1.3 is the usual most (from
#: memory); the range is ours.
_DOOR_RATE = Range(0.5, 0.9, 1.3)
#: Time until people set off [s], and walking speed in a crowd [m/s]: ours.
_START_S, _WALK_M_S = Range(5.0, 15.0, 30.0), Range(0.5, 0.8, 1.2)


def inflate_time(
    volume_m3: float,
    fan: Fan,
    speed: FanSpeed,
    leaks: Sequence[Leak],
    hold_up_Pa: float,
    density_kg_m3: float,
) -> Range:
    """Time to fill the room, ``t = V / (Q_fan(p) − Q_leaks(p))`` at the hold-up pressure.

    While it fills, the pressure is that which carries the cloth, so the fan works near free air.

    Parameters
    ----------
    volume_m3 : float
        Volume of air [m³].
    fan : Fan
    speed : FanSpeed
    leaks : sequence of Leak
        Every way out while filling.
    hold_up_Pa : float
        Hold-up pressure [Pa].
    density_kg_m3 : float
        Density of the air [kg/m³].

    Returns
    -------
    Range
        The time [s]; infinite where the fan cannot keep up with the leaks.
    """

    def seconds(strength: End, leakiness: End) -> float:
        supply = fan_flow(fan.curve(speed, strength, density_kg_m3), hold_up_Pa)
        spare = supply - leak_flow([leak.law(leakiness) for leak in leaks], hold_up_Pa)
        return volume_m3 / spare if spare > 0.0 else math.inf

    return Range(seconds(End.HIGH, End.LOW), seconds(End.LIKELY, End.LIKELY), seconds(End.LOW, End.HIGH))


def height_at_radius(radius_mm: np.ndarray, height_mm: np.ndarray, at_mm: float) -> float:
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


def volume_to_lose(room: RoomFigures, head_mm: float = _HEAD_MM) -> float:
    """Air that leaves before the cloth over the inner half of the floor is down to a walking person's head.

    The upper part keeps its shape, the wall goes to the floor. In a low room the head is taken at no more
    than three quarters of the height there.

    Parameters
    ----------
    room : RoomFigures
    head_mm : float
        Height of the head [mm].

    Returns
    -------
    float
        The volume [m³], less than the room's.
    """
    radius, height = room.profile_radius_mm, room.profile_height_mm
    over_half = height_at_radius(radius, height, float(radius[0]) / math.sqrt(2.0))
    sunk = over_half - min(head_mm, 0.75 * over_half)
    levels = np.linspace(0.0, room.height_mm, 4001)
    # np.interp wants rising heights; a level part of the profile is a step, which does not change the volume.
    squares = np.interp(levels, height, radius) ** 2
    whole = np.trapezoid(squares, levels)
    lost = np.trapezoid(np.where(levels <= sunk, squares, 0.0), levels)
    return room.envelope_volume_m3 * float(lost / whole)


def deflate_time(
    room: RoomFigures, fan: Fan, leaks: Sequence[Leak], band: Band, density_kg_m3: float
) -> Range:
    """Time to sink when the fan stops, ``t = V_lost / Q_out`` at the hold-up pressure, the standing fan
    counted as an opening.

    Parameters
    ----------
    room : RoomFigures
    fan : Fan
        Its outlet is the largest hole.
    leaks : sequence of Leak
        Every other way out, with the vent as set and the doorway as people use it on their way out.
    band : Band
        Says the pressure.
    density_kg_m3 : float
        Density of the air [kg/m³].

    Returns
    -------
    Range
        The time [s].
    """
    ways = [*leaks, opening_leak("standing fan", fan.outlet_area_m2.times(IDLE_FAN_SHARE), density_kg_m3)]
    volume = volume_to_lose(room)

    def seconds(leakiness: End) -> float:
        outflow = leak_flow([leak.law(leakiness) for leak in ways], band.hold_up_Pa.at(leakiness))
        return volume / outflow if outflow > 0.0 else math.inf

    return Range(seconds(End.HIGH), seconds(End.LIKELY), seconds(End.LOW))


def time_to_leave(people: int, room: RoomFigures) -> Range:
    """Time until the last person is out: setting off, walking the room and its tunnel, and queueing at the
    doorway.

    Parameters
    ----------
    people : int
        People inside [-].
    room : RoomFigures
        Says the way and the clear width.

    Returns
    -------
    Range
        The time [s].

    Examples
    --------
    >>> room = RoomFigures(12.57, 31.4, 16.8, 4000, 4000, [2000, 0], [0, 4000], 12, 40, 12.57, 7, 900, 2000)
    >>> round(time_to_leave(20, room).likely, 1)  # 15 s to set off, 5 s of walking, 24.7 s in the doorway
    44.7
    """
    count = between("people", people, 0, 1e5, "people", "count them")
    way_m = (room.base_diameter_mm + room.tunnel_length_mm) / 1000.0
    width_m = room.exit_width_mm * room.exit_count / 1000.0
    low, likely, high = (
        start + way_m / walk + count / (rate * width_m)
        for start, walk, rate in (
            (_START_S.low, _WALK_M_S.high, _DOOR_RATE.high),
            (_START_S.likely, _WALK_M_S.likely, _DOOR_RATE.likely),
            (_START_S.high, _WALK_M_S.low, _DOOR_RATE.low),
        )
    )
    return Range(low, likely, high)

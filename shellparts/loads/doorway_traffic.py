"""What people who go in and out cost: air lost, time to recover, people a minute; and the time to fill the room.

Glossary: a *passage* is one person through a doorway whose curtain stands partly open meanwhile; the *spare* flow
is the fan's less that of all leaks with the curtain shut, both at the hold-up pressure, which a room that sags or
fills keeps; it fills the room, and refills it. Everything is an array of draws. Not known here: people who hold
the curtain open for others, and two abreast.
"""

import math

import numpy as np
from attrs import frozen
from numpy.typing import ArrayLike, NDArray

__all__ = ["OPEN_S", "Traffic", "doorway_traffic", "fill_time", "let_in_time"]

Floats = NDArray[np.float64]

#: Time that a curtain stands open for one person [s]: ours.
OPEN_S = 4.0


@frozen(eq=False)
class Traffic:
    """One passage.

    Parameters
    ----------
    lost_m3 : ndarray, shape (n,)
        Air that the room loses [m³].
    recover_s : ndarray, shape (n,)
        Time until it has it back [s]; infinite where the fan has nothing to spare.
    people_a_minute : ndarray, shape (n,)
        Passages that the room bears, each after it has recovered [1/min]; by one doorway.
    """

    lost_m3: Floats
    recover_s: Floats
    people_a_minute: Floats


def _over(amount: ArrayLike, rate: ArrayLike) -> Floats:
    """Time that an amount takes at a rate; infinite at no rate, 0 for no amount."""
    much, fast = np.broadcast_arrays(np.asarray(amount, float), np.asarray(rate, float))
    time = much / np.where(fast > 0.0, fast, 1.0)
    return np.where(fast > 0.0, time, np.where(much > 0.0, np.inf, 0.0))


def doorway_traffic(
    door_flow_m3_s: ArrayLike, spare_m3_s: ArrayLike, room_m3: float, open_s: float = OPEN_S
) -> Traffic:
    """Air lost by one passage, ``V = t·(Q_door − Q_spare)``, and the time to recover, ``V / Q_spare``.

    Parameters
    ----------
    door_flow_m3_s : array_like, shape (n,)
        Flow out of the doorway while it is open, at the hold-up pressure [m³/s].
    spare_m3_s : array_like, shape (n,)
        Fan's flow less the leaks' at that pressure [m³/s].
    room_m3 : float
        Air in the room [m³]: the most that can be lost.
    open_s : float
        Time t that it is open [s].

    Returns
    -------
    Traffic
        Nothing is lost where the fan gives more than all leaks and the doorway take.

    References
    ----------
    Balance of flows.

    Examples
    --------
    >>> traffic = doorway_traffic(1.0, 0.2, 40.0)
    >>> round(float(traffic.lost_m3), 3), round(float(traffic.recover_s), 3)
    (3.2, 16.0)
    """
    net = np.asarray(door_flow_m3_s, float) - np.asarray(spare_m3_s, float)
    lost = np.clip(open_s * net, 0.0, room_m3)
    recover = _over(lost, spare_m3_s)
    return Traffic(lost, recover, 60.0 / (open_s + recover))


def let_in_time(people: int, traffic: Traffic, doorways: int = 1, open_s: float = OPEN_S) -> Floats:
    """Time to let a crowd in or out, ``N·open + (N − 1)·recover``, one after another.

    With several doorways people pass at once through all of them, and the room recovers from all at once: only
    the open time is shared.

    Parameters
    ----------
    people : int
        How many people [-].
    traffic : Traffic
        Of one passage.
    doorways : int
        How many doorways are used [-].
    open_s : float
        Time that a doorway is open for one person [s].

    Returns
    -------
    ndarray, shape (n,)
        The time [s].

    Examples
    --------
    >>> round(float(let_in_time(23, doorway_traffic(1.0, 0.2, 40.0))))
    444
    """
    if people <= 0:
        return np.zeros_like(traffic.recover_s)
    waits = np.zeros_like(traffic.recover_s) if people == 1 else (people - 1) * traffic.recover_s
    return math.ceil(people / doorways) * open_s + waits


def fill_time(
    room_m3: float, fan_m3_s: ArrayLike, leaks_m3_s: ArrayLike, vent_m3_s: ArrayLike = 0.0
) -> Floats:
    """Time to fill the room from the floor, ``t = V / (Q_fan − Q_leaks − Q_vent)`` at the hold-up pressure.

    Parameters
    ----------
    room_m3 : float
        Air in the room [m³].
    fan_m3_s : array_like, shape (n,)
        Fan's flow at the hold-up pressure [m³/s].
    leaks_m3_s : array_like, shape (n,)
        Flow of all leaks, vent shut, at that pressure [m³/s].
    vent_m3_s : array_like, shape (n,)
        Flow of the vent as set [m³/s]; 0 with its clips on.

    Returns
    -------
    ndarray, shape (n,)
        The time [s]; infinite where the fan cannot keep up.

    References
    ----------
    Balance of flows.

    Examples
    --------
    >>> fill_time(40.0, 0.6, 0.1, [0.0, 0.4, 0.5]).round(6).tolist()
    [80.0, 400.0, inf]
    """
    spare = np.asarray(fan_m3_s, float) - np.asarray(leaks_m3_s, float) - np.asarray(vent_m3_s, float)
    spare = np.where(spare > 1e-12, spare, 0.0)  # what rounding leaves of two equal flows fills nothing
    return _over(room_m3, spare)

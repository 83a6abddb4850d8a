"""Answers for one case at a time: draws at the ends of all ranges, one setting by itself, a balance solved by itself."""

from collections.abc import Callable, Sequence

import numpy as np
from attrs import evolve
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from shellparts.base.ranges import Range
from shellparts.loads.draws import UNCERTAIN, Draws
from shellparts.loads.fan_draws import FanDraws
from shellparts.loads.room_draws import RoomDraws
from shellparts.loads.settings import Setting, find_settings
from shellparts.parameters.fan import FanSpeed

#: Three cases: every quantity at the lower end of its range, in the middle between its ends, at the upper end.
ENDS = Draws(np.repeat([[0.0], [0.5], [1.0]], len(UNCERTAIN), axis=1), np.full(3, 1.0 / 3.0))


def setting_at(room: RoomDraws, speed: FanSpeed, opening_mm: float, least_flow_m3_s: object = 0.0) -> Setting:
    """What is to be expected of one speed with the vent set to one opening by the site."""
    site = evolve(room.site, vent_opening_mm=opening_mm)
    found = find_settings(evolve(room, site=site), least_flow_m3_s)
    return next(one for one in found.by_speed if one.speed == speed.name)


def root(function: Callable[[float], float], low: float, high: float) -> float:
    """Root to the last digits, by scipy."""
    return float(brentq(function, low, high, xtol=1e-300, rtol=1e-15, maxiter=2000))


def curve_in(
    fan: FanDraws, speed: FanSpeed, drawn: Draws, draw: int
) -> tuple[Callable[[float], float], float]:
    """The fan's pressure as a function of its flow in one draw, put together by the fan laws, and its free air."""
    told, ratio = fan.fan, float(fan.ratio(speed)[draw])
    weak, strong = np.array(told.weak.pressure_Pa), np.array(told.strong.pressure_Pa)
    points = weak + drawn.between("fan stall", Range(0, 0.5, 1))[draw] * (strong - weak)
    points = points * fan.pressure_scale[draw] * ratio**2
    flow = np.array(told.weak.flow_m3_s) * fan.flow_scale[draw] * ratio
    if told.weak.parabolic:
        return lambda q: points[0] * (1.0 - (q / flow[-1]) ** 2), float(flow[-1])
    cubic = PchipInterpolator(flow, points)
    return lambda q: max(0.0, float(cubic(q))) if q < flow[-1] else 0.0, float(flow[-1])


def balance(
    fan_Pa: Callable[[float], float], free_m3_s: float, laws: Sequence[tuple[float, float]]
) -> tuple[float, float]:
    """Pressure and flow where a fan gives what ways out ``Q = c·p^n``, each (c, n), take; solved by scipy."""
    shut_off = fan_Pa(0.0)

    def leaving(pressure: float) -> float:
        return sum(c * pressure**n for c, n in laws)

    if leaving(shut_off) <= 0.0:
        return shut_off, 0.0
    flow = root(lambda q: leaving(fan_Pa(q)) - q, 0.0, free_m3_s)
    if flow >= leaving(shut_off):
        return shut_off, leaving(shut_off)
    return root(lambda p: leaving(p) - flow, 0.0, shut_off), flow

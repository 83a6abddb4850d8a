"""People at one room: how many it takes, how they get out when the fan stops, and what would give them more time."""

import numpy as np
from attrs import evolve
from numpy.typing import NDArray

from shellparts.loads.air_limits import CAREFUL, SURE, least_flow_for_air
from shellparts.loads.atmosphere import GRAVITY_M_S2
from shellparts.loads.breathing import co2_rise_rate
from shellparts.loads.inside_air import AirTask, air_task
from shellparts.loads.leak_draws import opening_coefficient
from shellparts.loads.people import capacity, clear_width_needed
from shellparts.loads.picture_throw import picture_on_panels
from shellparts.loads.results import EscapeResult, PeopleResult
from shellparts.loads.room_draws import RoomDraws, formula_hold_up
from shellparts.loads.settings import Setting
from shellparts.loads.sinking import (
    SAGGED_SHARE,
    Drains,
    SinkingVariant,
    out_in_time,
    people_out_in_time,
    sagging,
    sinking_steps,
    sinking_times,
)
from shellparts.loads.way_out import escape_of, leaving_time, way_troubles
from shellparts.parameters.site import AgeGroup, Crowd, Site

__all__ = ["people_result"]

Floats = NDArray[np.float64]
_CHILDREN = (AgeGroup.BOYS_6_10, AgeGroup.GIRLS_6_10)
#: Children for each adult inside [-]: ours; one more adult stands at the doorway.
_CHILDREN_AN_ADULT = 20
_MOST_PEOPLE = 4096


def people_result(
    drawn: RoomDraws, task: AirTask, crowd: tuple[Crowd, ...], setting: Setting
) -> PeopleResult:
    """Capacity, the way out, and what happens when the fan stops at a setting."""
    room, site, inside = drawn.room, drawn.site, sum(part.count for part in crowd)
    ways = room.ways_out
    kept = 1.0 if site.attendants else SAGGED_SHARE
    escape = escape_of(drawn.draws, sagging(ways, kept), room.base_diameter_mm, stooping_inside=True)
    drains = _drains(drawn, setting)
    heavier = drawn.weight_N / (room.cloth_mass_kg * GRAVITY_M_S2)
    found = sinking_times(sinking_steps(room), drains, formula_hold_up(room, drawn.cloth) * heavier)
    first = (
        SinkingVariant.SECOND_FAN
        if site.second_fan or drawn.fan.fan.count > 1
        else SinkingVariant.SLEEVE_FLAP
        if site.sleeve_flap
        else SinkingVariant.AS_SET
    )
    spread = drawn.draws.spread
    escapes = [
        EscapeResult(
            variant,
            spread(found[variant].in_use_s),
            spread(found[variant].shut_s),
            out_in_time(drawn.draws, escape, found[variant], inside),
            people_out_in_time(drawn.draws, escape, found[variant]),
        )
        for variant in (first, *(one for one in found if one is not first))
    ]
    bottom = min(site.picture_bottom_mm, 0.5 * room.height_mm)
    children = sum(part.count for part in crowd if part.group in _CHILDREN)
    return PeopleResult(
        capacity=capacity(room, site.posture, _by_air(drawn, crowd, setting)),
        crowd=crowd,
        said=bool(site.crowd),
        width_needed_mm=clear_width_needed(room.tunnel_length_mm),
        bearings=way_troubles(min(ways, key=lambda way: (way.height, way.width))),
        leave_s=spread(leaving_time(escape, inside)),
        escapes=tuple(escapes),
        attendants_needed=1 + -(-children // _CHILDREN_AN_ADULT) if inside else 0,
        fan_off_ppm_min=60.0 * co2_rise_rate(float(np.median(task.co2_L_s)), room.envelope_volume_m3),
        pictures=tuple(
            picture_on_panels(room, panels, site.throw_ratio, bottom)
            for panels in range(1, min(3, room.panel_count // 2) + 1)
        ),
    )


def _drains(drawn: RoomDraws, setting: Setting) -> Drains:
    """Where the air goes once a fan stands still; the others, or a second one, run at their fastest speed."""
    shut, fan, count = drawn.shut, drawn.fan, drawn.fan.fan.count
    outlet = fan.outlet_m2 / count
    running = (count - 1) / count if count > 1 else 1.0
    standing = opening_coefficient(outlet * shut.idle_share, shut.discharge, drawn.density_kg_m3)
    slit = shut.slit * (setting.opening_mm / 1000.0) ** 2
    fastest = fan.fan.speeds[-1]
    return Drains(
        closed=shut.flow,
        doorways=lambda pressure: shut.door * np.sqrt(pressure),
        vent=lambda pressure: slit * np.sqrt(pressure),
        standing_fan=lambda pressure: standing * np.sqrt(pressure),
        second_fan=lambda pressure: running * fan.flow(fastest, pressure),
    )


def _by_air(drawn: RoomDraws, crowd: tuple[Crowd, ...], setting: Setting) -> int:
    """Most people like these for whom the air at a setting is surely good."""
    inside = sum(part.count for part in crowd)
    flow = drawn.working(drawn.fan.fan.speed(setting.speed), setting.opening_mm).flow_m3_s

    def good(people: int) -> bool:
        site = evolve(drawn.site, crowd=())
        task = _task_for(drawn, site, crowd, inside, people)
        return drawn.draws.chance(flow >= least_flow_for_air(task, CAREFUL).flow_m3_s) >= SURE

    if not inside or not good(0):
        return 0
    low, high = 0, 1
    while high < _MOST_PEOPLE and good(high):
        low, high = high, 2 * high
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if good(middle) else (low, middle)
    return low


def _task_for(drawn: RoomDraws, site: Site, crowd: tuple[Crowd, ...], inside: int, people: int) -> AirTask:
    """The air's task with as many people of the same mixture."""
    whole = air_task(drawn.draws, drawn.room, site, crowd, drawn.fan.fan.power_W)
    empty = air_task(drawn.draws, drawn.room, site, (), drawn.fan.fan.power_W)
    share = people / inside
    return evolve(
        whole,
        people=people,
        co2_L_s=whole.co2_L_s * share,
        people_W=whole.people_W * share,
        outdoor_L_s=empty.outdoor_L_s + (whole.outdoor_L_s - empty.outdoor_L_s) * share,
    )

"""Will it stand up, stay down and stay breathable, and do people get out: everything at once, draw by draw.

Glossary: what *must* hold before people go in is graded; the room may be used where nothing fails. One setting is
looked for that does everything at once. Where the air cannot be made good, it is asked to be bearable, and that is
said. An answer is never a permission: local codes and licensed practice decide.
"""

import math
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from shellparts.base.names import Named
from shellparts.base.ranges import Range
from shellparts.inflate.standing import StandingCurve
from shellparts.loads.air_limits import CAREFUL, SURE, UTMOST, AirGrade, judge_air, least_flow_for_air
from shellparts.loads.atmosphere import GRAVITY_M_S2
from shellparts.loads.ballast import ballast_need, ballast_plan
from shellparts.loads.cloth_forces import (
    SAFETY_FACTOR,
    factor_of_safety,
    membrane_forces,
    seam_strength,
    wrinkled_share,
)
from shellparts.loads.doorway_traffic import doorway_traffic, fill_time, let_in_time
from shellparts.loads.draws import Draws, draws
from shellparts.loads.hazards import HazardCase, hazards_of
from shellparts.loads.hold_up import hold_up_by_form, roof_and_way_out
from shellparts.loads.inside_air import AirTask, air_task, inside_air
from shellparts.loads.leaving import people_result
from shellparts.loads.outdoors import BREEZE_M_S, WIND_CEILING_M_S, outdoors_at, strongest_gust
from shellparts.loads.people import capacity
from shellparts.loads.readings import ReadingCheck, read_room
from shellparts.loads.results import (
    AirInside,
    AirResult,
    Grade,
    HoldDownResult,
    HoldUpSource,
    MembraneResult,
    Must,
    PeopleResult,
    SpeedResult,
    Verdict,
)
from shellparts.loads.room_draws import RoomDraws, room_draws
from shellparts.loads.room_figures import RoomFigures
from shellparts.loads.settings import SURE_CHANCE, Setting, Settings, settings_for_air
from shellparts.loads.way_out import WayTrouble
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.fan import Fan, FanSpeed
from shellparts.parameters.readings import Reading
from shellparts.parameters.site import AgeGroup, Crowd, Site

__all__ = ["LIGHT_KG_M2", "assess", "assess_drawn", "crowd_inside", "draw_room"]

Floats = NDArray[np.float64]
#: Cloth that lies on people may weigh this for each square metre of floor [kg/m²]: ours; ten times less than a
#: blanket over each of them would.
LIGHT_KG_M2 = 1.0


def crowd_inside(room: RoomFigures, site: Site) -> tuple[Crowd, ...]:
    """Who is inside: the site's crowd, or as many adults as floor and exits take."""
    if site.crowd:
        return site.crowd
    most = capacity(room, site.posture, by_air=10**6)
    return (Crowd(AgeGroup.MEN_30_39, most.people),)


def draw_room(
    room: RoomFigures,
    fan: Fan,
    cloth: Cloth,
    site: Site,
    curve: StandingCurve | None = None,
    drawn: Draws | None = None,
    with_hoop: bool = False,
) -> RoomDraws:
    """A room in every draw, held up as its form says, or by formula where there is no form."""
    by_form = None
    if curve is not None and curve.found:
        by_form = hold_up_by_form(curve, cloth, with_hoop)
    return room_draws(room, fan, cloth, site, drawn or draws(), by_form)


def assess(
    room: RoomFigures,
    fan: Fan,
    cloth: Cloth,
    site: Site,
    curve: StandingCurve | None = None,
    readings: Sequence[Reading] = (),
    pull_at: Callable[[float], float | None] | None = None,
    wrinkled_at: Callable[[float], float | None] | None = None,
) -> Verdict:
    """Work out everything that decides whether the room works.

    Parameters
    ----------
    room : RoomFigures
        Figures of the room, as sewn.
    fan : Fan
    cloth : Cloth
    site : Site
        Where, how and by whom it is used.
    curve : StandingCurve, optional
        Heights of roof and ways out against pressure; without one the formula speaks alone.
    readings : sequence of Reading
        What was read of the real room.
    pull_at : callable, optional
        Largest force in the cloth of the form under air at a pressure [Pa], in N/m, or None if it takes no
        form; without it membrane theory speaks alone.
    wrinkled_at : callable, optional
        Share of the cloth of the form under air that is wrinkled or slack at a pressure [Pa], or None.

    Returns
    -------
    Verdict
        Frozen numbers, and what holds or fails; `shellparts.report` says it in words.

    Raises
    ------
    ParameterError
        If figures contradict each other, a reading names a speed or an opening that is not there, or the vent is to
        be opened farther than it is long.
    """
    before = draw_room(room, fan, cloth, site, curve)
    if not readings:
        return assess_drawn(before, before, (), curve, pull_at, wrinkled_at)
    read = read_room(before, readings)
    return assess_drawn(read.room, before, read.checks, curve, pull_at, wrinkled_at)


def assess_drawn(
    drawn: RoomDraws,
    unread: RoomDraws,
    checks: tuple[ReadingCheck, ...],
    curve: StandingCurve | None,
    pull_at: Callable[[float], float | None] | None = None,
    wrinkled_at: Callable[[float], float | None] | None = None,
) -> Verdict:
    """The same for a room that is drawn already."""
    site, room = drawn.site, drawn.room
    crowd = crowd_inside(room, site)
    task = air_task(drawn.draws, room, site, crowd, drawn.fan.fan.power_W)
    settings, strict = settings_for_air(
        drawn,
        least_flow_for_air(task, CAREFUL).flow_m3_s,
        lambda: least_flow_for_air(task, UTMOST).flow_m3_s,
    )
    air = _air(drawn, task, settings, strict, curve)
    hold = _hold_down(drawn, air)
    people = people_result(drawn, task, crowd, air.setting)
    membrane = _membrane(drawn, air, pull_at, wrinkled_at)
    bags = hold.plan.base.count
    case = HazardCase(
        room,
        site,
        crowd,
        sleeves=1,
        tunnel_flap_mm=room.tunnel_flap_mm,
        bags_inside=bags,
        tunnel_bags=hold.plan.tunnel_count,
    )
    musts = _musts(drawn, air, hold, people, membrane)
    return Verdict(drawn, air, membrane, hold, people, tuple(hazards_of(case)), checks, unread, musts)


def _air(
    drawn: RoomDraws, task: AirTask, settings: Settings, strict: bool, curve: StandingCurve | None
) -> AirResult:
    spread, by_form = drawn.draws.spread, curve is not None and drawn.hold_up is not None
    roof, way = roof_and_way_out(curve, drawn.cloth, drawn.draws) if by_form and curve else (None, None)
    opening = settings.best.opening_mm
    area = drawn.shut.slit * (opening / 1000.0) ** 2 / _passes(drawn)
    return AirResult(
        density_kg_m3=drawn.density_kg_m3,
        hold_up_Pa=spread(drawn.hold_up_Pa),
        lift_Pa=spread(drawn.lift_Pa),
        hold_up_source=HoldUpSource.FORM if by_form else HoldUpSource.FORMULA,
        roof_Pa=None if roof is None else spread(roof),
        way_out_Pa=None if way is None else spread(way),
        settings=settings,
        speeds=tuple(_speed(drawn, task, drawn.fan.fan.speed(one.speed), one) for one in settings.by_speed),
        vent_area_m2=spread(area),
        strict=strict,
    )


def _passes(drawn: RoomDraws) -> Floats:
    """What a square metre of opening lets through at 1 Pa [m³/(s·Pa^0.5)]."""
    return np.asarray(drawn.shut.discharge * math.sqrt(2.0 / drawn.density_kg_m3))


def _speed(drawn: RoomDraws, task: AirTask, speed: FanSpeed, setting: Setting) -> SpeedResult:
    spread, chance = drawn.draws.spread, drawn.draws.chance
    point = drawn.working(speed, setting.opening_mm)
    shut = drawn.working(speed, 0.0).pressure_Pa
    door = drawn.working(speed, setting.opening_mm, door_in_use=True).pressure_Pa
    held = drawn.hold_up_Pa
    fan, leaks = drawn.fan.flow(speed, held), drawn.shut.flow(held)
    opened = drawn.shut.opened(setting.opening_mm).flow(held)
    volume = drawn.room.envelope_volume_m3
    traffic = doorway_traffic(drawn.shut.door * np.sqrt(held), np.maximum(fan - opened, 0.0), volume)
    return SpeedResult(
        setting=setting,
        inside=_inside(drawn, task, point.flow_m3_s),
        lift_ratio=spread(point.pressure_Pa / drawn.lift_Pa),
        shut_pressure_Pa=spread(shut),
        shut_chance_down=chance(shut <= drawn.lift_Pa),
        door_pressure_Pa=spread(door),
        door_chance_up=chance(door >= held),
        fill_shut_s=spread(fill_time(volume, fan, leaks, 0.0)),
        fill_set_s=spread(fill_time(volume, fan, opened, 0.0)),
        lost_m3=spread(traffic.lost_m3),
        recover_s=spread(traffic.recover_s),
        people_a_minute=spread(traffic.people_a_minute),
        let_in_s=spread(let_in_time(task.people, traffic, drawn.room.exit_count)),
    )


def _inside(drawn: RoomDraws, task: AirTask, flow_m3_s: Floats) -> AirInside:
    spread, found = drawn.draws.spread, inside_air(task, flow_m3_s)
    return AirInside(
        judgement=judge_air(drawn.draws, task, found),
        co2_ppm=spread(found.co2_ppm),
        hall_co2_ppm=spread(found.hall_co2_ppm),
        temperature_C=spread(found.temperature_C),
        wet_bulb_C=spread(found.wet_bulb_C),
        fresh_L_s=spread(found.fresh_L_s),
        fresh_L_s_person=spread(found.fresh_L_s / task.people if task.people else np.inf),
        changes_h=spread(flow_m3_s * 3600.0 / drawn.room.envelope_volume_m3),
        required_L_s=task.outdoor_L_s,
    )


def _membrane(
    drawn: RoomDraws,
    air: AirResult,
    pull_at: Callable[[float], float | None] | None,
    wrinkled_at: Callable[[float], float | None] | None,
) -> MembraneResult:
    """Strength at the highest pressure, wrinkles at the working pressure; the larger of two forces counts."""
    room, cloth = drawn.room, drawn.cloth
    highest = max(speed.shut_pressure_Pa.high for speed in air.speeds)
    working_Pa = air.setting.pressure_Pa.likely
    profile = room.profile_radius_mm, room.profile_height_mm
    forces = membrane_forces(*profile, highest, 0.0)
    working = membrane_forces(*profile, working_Pa, cloth.mass_kg_m2.likely)
    seam = seam_strength(cloth.stitches_per_m, cloth.thread_strength_N, cloth.stitch_rows)
    inflated = pull_at(highest) if pull_at is not None else None
    wrinkled = wrinkled_at(working_Pa) if wrinkled_at is not None else None
    largest = max(forces.largest_N_m, inflated or 0.0)
    return MembraneResult(
        pressure_Pa=highest,
        forces=forces,
        inflated_N_m=inflated,
        factor_of_safety=factor_of_safety(largest, cloth.strength_N_m, seam),
        wrinkled_share=wrinkled_share(working) if wrinkled is None else wrinkled,
        ring_compression=any(ring.force_N < 0.0 for ring in working.rings),
    )


def _hold_down(drawn: RoomDraws, air: AirResult) -> HoldDownResult:
    """Ballast for the working pressure, and wind."""
    room, site, drawing = drawn.room, drawn.site, drawn.draws
    cloth_kg = drawn.weight_N / GRAVITY_M_S2
    speeds = drawn.fan.fan.speeds
    point = drawn.working(drawn.fan.fan.speed(air.setting.speed), air.setting.opening_mm).pressure_Pa
    strongest = drawn.working(speeds[-1], 0.0).pressure_Pa

    def need(pressure: Floats) -> Range:
        return drawing.spread(ballast_need(drawing, room, site.floor, cloth_kg, pressure))

    wind = drawing, room, drawn.cloth, site
    # the wind meets the room as it is set, not with its vent shut at the fastest speed
    outside = np.maximum(drawn.hold_up_Pa, point), point, drawn.density_kg_m3
    return HoldDownResult(
        uplift_N=drawing.spread(point * (room.floor_area_m2 - drawn.held_share * room.flap_area_m2)),
        weight_N=(room.cloth_mass_kg + site.ballast_kg) * GRAVITY_M_S2,
        plan=ballast_plan(room, drawn.cloth, need(point).likely),
        shut_kg=need(strongest),
        wind=strongest_gust(*wind, *outside),
        at_ceiling=outdoors_at(*wind, WIND_CEILING_M_S, *outside),
    )


def _musts(
    drawn: RoomDraws,
    air: AirResult,
    hold: HoldDownResult,
    people: PeopleResult,
    membrane: MembraneResult,
) -> Named[Must, Grade]:
    site, room = drawn.site, drawn.room

    def met(holds: bool, otherwise: Grade = Grade.NOT) -> Grade:
        return Grade.MET if holds else otherwise

    wind = hold.wind
    breezy = wind is not None and wind.gust_m_s >= BREEZE_M_S and site.anchors >= wind.anchors
    windy = Grade.CARE if breezy else Grade.NOT
    grades = {AirGrade.GOOD: Grade.MET, AirGrade.CAUTION: Grade.CARE, AirGrade.NO: Grade.NOT}
    never_rises = max(one.setting.chance_up for one in air.speeds) < 1.0 - SURE_CHANCE
    held = hold.plan.limit is None and site.ballast_kg >= hold.plan.need_kg - 1e-6
    hard = {WayTrouble.CRAWL, WayTrouble.SINGLE} & set(people.bearings)
    light = room.cloth_mass_kg <= LIGHT_KG_M2 * room.floor_area_m2
    drilled = light and not hard and site.attendants >= people.attendants_needed
    most = people.capacity
    found = {
        Must.OUTDOORS: met(site.indoors, windy),
        Must.AIR: grades[air.used.inside.judgement.grade],
        Must.SETTING: met(air.setting.chance >= SURE_CHANCE),
        Must.BALLAST: met(held or never_rises),
        Must.WAY_OUT: met(not people.bearings, Grade.NOT if hard else Grade.CARE),
        Must.OUT_IN_TIME: met(people.escape.chance >= SURE, Grade.CARE if drilled else Grade.NOT),
        Must.PEOPLE: met(people.inside <= min(most.by_floor, most.by_exits)),
        Must.CLOTH: met(membrane.factor_of_safety >= SAFETY_FACTOR),
    }
    return Named("must", found)

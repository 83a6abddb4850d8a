"""Will it stand up, stay down and stay breathable; and is everybody out if the fan stops: everything at once.

Glossary: *standing up* asks for a fan that is strong enough, *staying down* for a pressure below that which
lifts the base; so a fan that is far too strong stands it up and does not keep it down. Where the site does not
say how far the vent is open, it is set on the day: then what the fan can do at most decides the first question
and how much air the vent can let out at most the second. An answer is *sure* only if it holds over all the
ranges; what it *likely* is follows from the likely values alone.
"""

from collections.abc import Callable

from shellparts.base.ranges import End, Judgement, Range, exact, judge_at_least, judge_at_most, map_range
from shellparts.loads.air import air_of, strongest_pressure
from shellparts.loads.atmosphere import GRAVITY_M_S2
from shellparts.loads.band import (
    FIRM_RATIO,
    FLAP_HELD_SHARE,
    NO_BAND_RATIO,
    Standing,
    likely_standing,
)
from shellparts.loads.breathing import (
    co2_given_off,
    co2_rise_rate,
    co2_steady,
    en_category,
    people_for_outdoor_air,
    required_outdoor_air,
)
from shellparts.loads.cloth_forces import factor_of_safety, membrane_forces, seam_strength, wrinkled_share
from shellparts.loads.hold_down import bags_round_base, ballast_needed, uplift
from shellparts.loads.people import capacity, clear_width_needed
from shellparts.loads.picture_throw import picture_on_panels
from shellparts.loads.results import (
    AirResult,
    Answers,
    BreathingResult,
    HoldDownResult,
    LikelyAnswers,
    MembraneResult,
    PeopleResult,
    SpeedResult,
    Verdict,
)
from shellparts.loads.room_figures import RoomFigures
from shellparts.loads.timing import time_to_leave
from shellparts.loads.warmth import heat_sources, temperature_rise
from shellparts.loads.wind import BREEZE_M_S, WIND_CEILING_M_S, anchors_for_wind, wind_limits
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.fan import Fan, FanSpeed
from shellparts.parameters.site import AgeGroup, Crowd, Site

__all__ = ["assess"]

#: Share of the fresh air that reaches people [-]: from memory of ASHRAE 62.1's zone effectiveness.
_MIXING = Range(0.8, 1.0, 1.0)


def assess(
    room: RoomFigures,
    fan: Fan,
    cloth: Cloth,
    site: Site,
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
    pull_at : callable, optional
        Largest force in the cloth of the inflated form at a pressure [Pa], in N/m, or None if it takes no
        form; without it membrane theory speaks alone.
    wrinkled_at : callable, optional
        Share of the cloth of the inflated form that is wrinkled or slack at a pressure [Pa], or None if it
        takes no form; without it membrane theory speaks alone.

    Returns
    -------
    Verdict
        Frozen numbers, and what holds or fails; `shellparts.report` says it in words.

    Raises
    ------
    ParameterError
        If figures contradict each other, or the vent is to be opened farther than it is long.
    """
    air = air_of(room, fan, cloth, site)
    people, crowd = _people(room, site, air)
    breathing = tuple(
        _breathing(room, fan, site, speed, result, crowd, people.inside, air.density_kg_m3)
        for speed, result in zip(fan.speeds, air.speeds, strict=True)
    )
    used = next(one for one in breathing if one.speed == air.use_speed)
    membrane = _membrane(room, cloth, air, pull_at, wrinkled_at)
    hold = _hold_down(room, site, air)
    answers = _answers(site, air, used, hold, people)
    return Verdict(room, fan, cloth, site, air, breathing, membrane, hold, people, answers)


def _answers(
    site: Site, air: AirResult, breath: BreathingResult, hold: HoldDownResult, people: PeopleResult
) -> Answers:
    """The four questions; each answer no better than the worst that it rests on."""
    up, up_likely = _stands_up(site, air)
    down, down_likely = _stays_down(site, air, hold)
    air_likely = breath.fresh_air_L_s.likely >= breath.required_L_s
    out_likely = people.leave_s.likely <= air.deflate_s.likely
    likely = LikelyAnswers(up_likely, down_likely, air_likely, out_likely)
    return Answers(up, down, breath.enough, people.leave_before_sinking, likely)


def _stands_up(site: Site, air: AirResult) -> tuple[Judgement, bool]:
    """Whether the fan is strong enough; a base that floats keeps its lift pressure and no more."""
    strength, lift, hold_up = strongest_pressure(site, air), air.band.lift_Pa, air.band.hold_up_Pa
    kept = Range(*(min(strength.at(end), lift.at(end)) for end in End))
    rounding = 1.0 + 1e-9
    return judge_at_least(kept.scaled(rounding), hold_up), kept.likely * rounding >= hold_up.likely


def _stays_down(site: Site, air: AirResult, hold: HoldDownResult) -> tuple[Judgement, bool]:
    """Whether the pressure can be kept below the lift pressure, and weight holds with its factor."""
    used, band = air.used, air.band
    let_out = used.open_pressure_Pa.high <= band.lift_Pa.low or used.standing is Standing.STANDS
    held = site.ballast_kg >= hold.ballast_needed_kg
    calm = site.indoors or hold.wind.limit_m_s >= BREEZE_M_S
    likely = (
        likely_standing(used.pressure_Pa, band) is not Standing.LIFTS and band.ratio >= NO_BAND_RATIO and calm
    )
    if used.standing is Standing.LIFTS:
        return Judgement.NOT_MET, False
    if site.indoors and ((held and let_out) or site.ballast_kg >= hold.ballast_vent_shut_kg.high):
        return Judgement.FINE, True
    return Judgement.UNCERTAIN, likely


def _people(room: RoomFigures, site: Site, air: AirResult) -> tuple[PeopleResult, tuple[Crowd, ...]]:
    """Capacity and the way out; and who is inside: the site's crowd, or as many adults as floor and exits take."""
    fresh = air.used.flow_m3_s.low * _MIXING.low * 1000.0
    most = capacity(room, site.posture, people_for_outdoor_air(site.space, fresh, room.floor_area_m2))
    crowd = site.crowd or (Crowd(AgeGroup.MEN_30_39, min(most.by_floor, most.by_exits)),)
    inside = sum(part.count for part in crowd)
    leave = time_to_leave(inside, room)
    bottom = min(site.picture_bottom_mm, 0.5 * room.height_mm)
    result = PeopleResult(
        capacity=most,
        inside=inside,
        width_needed_mm=clear_width_needed(room.tunnel_length_mm),
        leave_s=leave,
        leave_before_sinking=judge_at_most(leave, air.deflate_s),
        pictures=tuple(
            picture_on_panels(room, panels, site.throw_ratio, bottom)
            for panels in range(1, min(3, room.panel_count // 2) + 1)
        ),
    )
    return result, crowd


def _breathing(
    room: RoomFigures,
    fan: Fan,
    site: Site,
    speed: FanSpeed,
    result: SpeedResult,
    crowd: tuple[Crowd, ...],
    inside: int,
    density: float,
) -> BreathingResult:
    """Fresh air, CO2 and warmth at one speed."""
    litres = result.flow_m3_s.scaled(1000.0).times(_MIXING)
    given = co2_given_off(crowd)
    steady = map_range(lambda flow: co2_steady(given, flow, site.background_co2_ppm), litres)
    required = required_outdoor_air(site.space, inside, room.floor_area_m2)
    power = fan.power_W * speed.ratio.high**3
    return BreathingResult(
        speed=result.name,
        people=inside,
        air_changes_per_h=result.flow_m3_s.scaled(3600.0 / room.envelope_volume_m3),
        fresh_air_L_s=litres,
        fresh_air_L_s_person=litres.scaled(1.0 / inside) if inside else exact(float("inf")),
        required_L_s=required,
        enough=judge_at_least(litres, exact(required)),
        co2_steady_ppm=steady,
        en_category=en_category(steady.high - site.background_co2_ppm),
        fan_off_ppm_min=60.0 * co2_rise_rate(given, room.envelope_volume_m3),
        temperature_rise_K=temperature_rise(
            heat_sources(inside, site.lamps_W, power), result.flow_m3_s, room.surface_area_m2, density
        ),
    )


def _membrane(
    room: RoomFigures,
    cloth: Cloth,
    air: AirResult,
    pull_at: Callable[[float], float | None] | None,
    wrinkled_at: Callable[[float], float | None] | None,
) -> MembraneResult:
    """Strength at the highest pressure, wrinkles at the working pressure; the larger of two forces counts."""
    highest = max(speed.shut_pressure_Pa.high for speed in air.speeds)
    profile = room.profile_radius_mm, room.profile_height_mm
    forces = membrane_forces(*profile, highest, 0.0)
    working = membrane_forces(*profile, air.band.target_Pa, cloth.mass_kg_m2.likely)
    seam = seam_strength(cloth.stitches_per_m, cloth.thread_strength_N, cloth.stitch_rows)
    inflated = pull_at(highest) if pull_at is not None else None
    wrinkled = wrinkled_at(air.used.pressure_Pa.likely) if wrinkled_at is not None else None
    largest = max(forces.largest_N_m, inflated or 0.0)
    return MembraneResult(
        pressure_Pa=highest,
        forces=forces,
        inflated_N_m=inflated,
        factor_of_safety=factor_of_safety(largest, cloth.strength_N_m, seam),
        wrinkled_share=wrinkled_share(working) if wrinkled is None else wrinkled,
        ring_compression=any(ring.force_N < 0.0 for ring in working.rings),
    )


def _hold_down(room: RoomFigures, site: Site, air: AirResult) -> HoldDownResult:
    """Ballast and wind; a floating room cannot hold more than its lift pressure, but ballast is for keeping
    it down."""
    used, band = air.used.pressure_Pa, air.band
    floor, flap = room.floor_area_m2, room.flap_area_m2
    least_held = FLAP_HELD_SHARE.low
    firm = max(used.likely, FIRM_RATIO * band.hold_up_Pa.likely)
    # The vent is tuned on the day: the pressure in wind is one between the two limits, if that includes the
    # likely one.
    tuned = Range(
        min(used.likely, max(used.low, band.hold_up_Pa.low)),
        used.likely,
        max(used.likely, min(used.high, band.lift_Pa.low)),
    )
    shut = max((speed.shut_pressure_Pa for speed in air.speeds), key=lambda pressure: pressure.likely)

    def ballast(pressure: float) -> float:
        return ballast_needed(uplift(pressure, floor, flap, least_held), room.cloth_mass_kg)

    return HoldDownResult(
        uplift_N=Range(
            uplift(used.low, floor, flap, FLAP_HELD_SHARE.high),
            uplift(used.likely, floor, flap, FLAP_HELD_SHARE.likely),
            uplift(used.high, floor, flap, least_held),
        ),
        weight_N=(room.cloth_mass_kg + site.ballast_kg) * GRAVITY_M_S2,
        ballast_needed_kg=ballast(firm),
        bags=bags_round_base(ballast(firm), room.base_perimeter_m),
        ballast_vent_shut_kg=map_range(ballast, shut),
        anchors_at_ceiling=anchors_for_wind(
            room, WIND_CEILING_M_S, tuned.high, site.ballast_kg, air.density_kg_m3
        ),
        wind=wind_limits(room, tuned, site.floor, site.ballast_kg, site.anchors, air.density_kg_m3),
    )

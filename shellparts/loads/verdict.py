"""Will it stand up, stay down and stay breathable: everything at once.

Glossary: see the modules that each part comes from. `assess` takes the room, the fan, the cloth and the
site, and gives frozen data; `Verdict.summary` turns it into plain numbers for ``summary.json``. Nothing is
decided here that a part could decide.
"""

from collections.abc import Callable
from typing import Any

from attrs import frozen

from shellparts.base.checks import between
from shellparts.base.ranges import End, Range, judge_at_least, judge_at_most, map_range
from shellparts.loads.answers import answers_of
from shellparts.loads.atmosphere import GRAVITY_M_S2, moist_air_density, standard_pressure
from shellparts.loads.band import FIRM_RATIO, FLAP_HELD_SHARE, Band, floating_gap, standing_of, working_band
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
from shellparts.loads.leaks import (
    DOOR_IN_USE_SHARE,
    Leak,
    closed_room_leaks,
    doorway_leak,
    leak_flow,
    opening_leak,
)
from shellparts.loads.people import capacity, clear_width_needed
from shellparts.loads.picture_throw import picture_on_panels
from shellparts.loads.report import (
    AirReport,
    Answers,
    BreathingReport,
    ClothReport,
    HoldDownReport,
    PeopleReport,
    SpeedReport,
)
from shellparts.loads.room_figures import RoomFigures
from shellparts.loads.summary import summary_of
from shellparts.loads.timing import deflate_time, inflate_time, time_to_leave
from shellparts.loads.vent import VENT_GAPE, VentSetting, slit_area, vent_setting
from shellparts.loads.warmth import heat_sources, temperature_rise
from shellparts.loads.warning_rules import warnings_of
from shellparts.loads.warnings import LoadWarning
from shellparts.loads.wind import WIND_CEILING_M_S, anchors_for_wind, wind_limits
from shellparts.loads.working_point import fan_flow, working_range
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.fan import Fan, FanSpeed
from shellparts.parameters.site import AgeGroup, Crowd, Site

__all__ = ["Verdict", "assess"]

_MIXING = Range(
    0.8, 1.0, 1.0
)  # share of the fresh air that reaches people [-]: from memory of ASHRAE 62.1's zone effectiveness


@frozen
class Verdict:
    """All the numbers of one room.

    Parameters
    ----------
    air : AirReport
        Working points, band, vent, times.
    breathing : tuple of BreathingReport
        Fresh air, CO2 and warmth, one a speed.
    cloth : ClothReport
        Forces and factor of safety.
    hold_down : HoldDownReport
        Uplift, ballast, wind.
    people : PeopleReport
        Capacity and the way out.
    answers : Answers
        Will it stand up, stay down, stay breathable; is everybody out in time.
    warnings : tuple of LoadWarning
        What to be told.
    """

    air: AirReport
    breathing: tuple[BreathingReport, ...]
    cloth: ClothReport
    hold_down: HoldDownReport
    people: PeopleReport
    answers: Answers
    warnings: tuple[LoadWarning, ...]

    def summary(self) -> dict[str, Any]:
        """Plain numbers under the keys ``answers``, ``air``, ``hold_down``, ``people``, ``cloth``,
        ``safety`` and
        ``warnings``.

        Returns
        -------
        dict
            Ready for JSON; what is infinite or not known is None.
        """
        return summary_of(
            self.air, self.breathing, self.cloth, self.hold_down, self.people, self.answers, self.warnings
        )


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
        The fan and its speeds.
    cloth : Cloth
        The cloth and its seams.
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
        Frozen data, warnings included.

    Raises
    ------
    ParameterError
        If figures contradict each other, or the vent is to be opened farther than it is long.
    """
    if site.vent_opening_mm is not None:
        longest = room.vent_longest_mm
        between(
            "vent opening",
            site.vent_opening_mm,
            0.0,
            longest,
            "mm",
            "open it less far, or leave a longer vent in the doorway"
            if longest
            else "give the doorway a vent",
        )
    density = moist_air_density(
        site.air_temperature_C, site.relative_humidity, standard_pressure(site.altitude_m)
    )
    closed = closed_room_leaks(room, cloth, site.floor, density)
    band = working_band(room, cloth, site.ballast_kg)
    settings = [
        vent_setting(fan, s, closed, band.target_Pa, density, room.vent_longest_mm, site.clip_spacing_mm)
        for s in fan.speeds
    ]
    chosen = _choose(settings, room)
    opening = site.vent_opening_mm
    if opening is None:
        opening = min(settings[chosen].length_mm.likely, room.vent_longest_mm)
    area = _slit(opening)
    leaks = (*closed, opening_leak("vent", area, density))
    widest = opening if site.vent_opening_mm is not None else room.vent_longest_mm
    wide_open = (*closed, opening_leak("vent", _slit(widest), density))
    door = doorway_leak(room, DOOR_IN_USE_SHARE, density)
    speeds = tuple(
        _speed_report(room, fan, speed, setting, closed, leaks, wide_open, door, band, density)
        for speed, setting in zip(fan.speeds, settings, strict=True)
    )
    sinking = deflate_time(room, fan, (*leaks, door), band, density)
    air = AirReport(density, band, speeds, fan.speeds[chosen].name, opening, area, sinking, fan.assumed)
    people, crowd = _people_report(room, site, air)
    breathing = tuple(
        _breathing_report(room, fan, site, speed, report, crowd, people.inside, density)
        for speed, report in zip(fan.speeds, speeds, strict=True)
    )
    forces = _cloth_report(room, cloth, air, pull_at, wrinkled_at)
    hold = _hold_down_report(room, site, air)
    warnings = warnings_of(room, cloth, site, air, breathing[chosen], forces, hold, people)
    answers = answers_of(site, air, breathing[chosen], hold, people)
    return Verdict(air, breathing, forces, hold, people, answers, warnings)


def _choose(settings: list[VentSetting], room: RoomFigures) -> int:
    """Slowest speed whose likely opening exists and fits; else the slowest strong enough; else the
    fastest."""
    strong = [i for i, s in enumerate(settings) if s.area_m2.likely > 0.0]
    fitting = [i for i in strong if settings[i].length_mm.likely <= room.vent_longest_mm]
    return (fitting or strong or [len(settings) - 1])[0]


def _slit(opening_mm: float) -> Range:
    """Area of the open vent [m²]."""
    return Range(*(slit_area(opening_mm, gape) for gape in (VENT_GAPE.low, VENT_GAPE.likely, VENT_GAPE.high)))


def _gap(
    room: RoomFigures, fan: Fan, speed: FanSpeed, leaks: tuple[Leak, ...], band: Band, density: float
) -> float:
    """Likely gap under the base when the pressure would be above the lift pressure."""
    lift = band.lift_Pa.likely
    supply = fan_flow(fan.curve(speed, End.LIKELY, density), lift)
    return floating_gap(
        supply - leak_flow([leak.law(End.LIKELY) for leak in leaks], lift),
        lift,
        room.base_perimeter_m,
        density,
    )


def _lifted_flow(fan: Fan, speed: FanSpeed, flow: Range, band: Band, density: float) -> Range:
    """Flow through the room when its base is free to lift: at least what the fan gives at the lift
    pressure."""
    least = (fan_flow(fan.curve(speed, end, density), band.lift_Pa.high) for end in End)
    return Range(*(max(flow.at(end), floor) for end, floor in zip(End, least, strict=True)))


def _speed_report(
    room: RoomFigures,
    fan: Fan,
    speed: FanSpeed,
    setting: VentSetting,
    closed: tuple[Leak, ...],
    leaks: tuple[Leak, ...],
    wide_open: tuple[Leak, ...],
    door: Leak,
    band: Band,
    density: float,
) -> SpeedReport:
    """Everything about one speed."""
    point = working_range(fan, speed, leaks, density)
    shut = working_range(fan, speed, closed, density).pressure_Pa
    in_use = working_range(fan, speed, (*leaks, door), density).pressure_Pa
    return SpeedReport(
        name=speed.name,
        pressure_Pa=point.pressure_Pa,
        flow_m3_s=point.flow_m3_s,
        fresh_flow_m3_s=point.flow_m3_s,
        lifted_flow_m3_s=_lifted_flow(fan, speed, point.flow_m3_s, band, density),
        lift_ratio=point.pressure_Pa.scaled(1.0 / band.lift_Pa.likely),
        standing=standing_of(point.pressure_Pa, band),
        floating_gap_mm=_gap(room, fan, speed, leaks, band, density),
        vent=setting,
        open_pressure_Pa=working_range(fan, speed, wide_open, density).pressure_Pa,
        shut_pressure_Pa=shut,
        shut_standing=standing_of(shut, band),
        shut_gap_mm=_gap(room, fan, speed, closed, band, density),
        door_pressure_Pa=in_use,
        door_holds_up=judge_at_least(in_use, band.hold_up_Pa),
        inflate_s=inflate_time(room.envelope_volume_m3, fan, speed, closed, band.hold_up_Pa.likely, density),
    )


def _people_report(room: RoomFigures, site: Site, air: AirReport) -> tuple[PeopleReport, tuple[Crowd, ...]]:
    """Capacity and the way out; and who is inside: the site's crowd, or as many adults as floor and exits take."""
    fresh = air.used.fresh_flow_m3_s.low * _MIXING.low * 1000.0
    most = capacity(room, site.posture, people_for_outdoor_air(site.space, fresh, room.floor_area_m2))
    crowd = site.crowd or (Crowd(AgeGroup.MEN_30_39, min(most.by_floor, most.by_exits)),)
    inside = sum(part.count for part in crowd)
    leave = time_to_leave(inside, room)
    bottom = min(site.picture_bottom_mm, 0.5 * room.height_mm)
    report = PeopleReport(
        capacity=most,
        inside=inside,
        exit_width_mm=room.exit_width_mm,
        width_needed_mm=clear_width_needed(room.tunnel_length_mm),
        leave_s=leave,
        leave_before_sinking=judge_at_most(leave, air.deflate_s),
        pictures=tuple(
            picture_on_panels(room, panels, site.throw_ratio, bottom)
            for panels in range(1, min(3, room.panel_count // 2) + 1)
        ),
    )
    return report, crowd


def _breathing_report(
    room: RoomFigures,
    fan: Fan,
    site: Site,
    speed: FanSpeed,
    report: SpeedReport,
    crowd: tuple[Crowd, ...],
    inside: int,
    density: float,
) -> BreathingReport:
    """Fresh air, CO2 and warmth at one speed."""
    litres = report.fresh_flow_m3_s.scaled(1000.0).times(_MIXING)
    given = co2_given_off(crowd)
    steady = map_range(lambda flow: co2_steady(given, flow, site.background_co2_ppm), litres)
    required = required_outdoor_air(site.space, inside, room.floor_area_m2)
    power = fan.power_W * speed.ratio.high**3
    return BreathingReport(
        speed=report.name,
        people=inside,
        air_changes_per_h=report.fresh_flow_m3_s.scaled(3600.0 / room.envelope_volume_m3),
        fresh_air_L_s=litres,
        fresh_air_L_s_person=litres.scaled(1.0 / inside) if inside else Range(*[float("inf")] * 3),
        required_L_s=required,
        enough=judge_at_least(litres, Range(required, required, required)),
        co2_steady_ppm=steady,
        en_category=en_category(steady.high - site.background_co2_ppm),
        fan_off_ppm_min=60.0 * co2_rise_rate(given, room.envelope_volume_m3),
        temperature_rise_K=temperature_rise(
            heat_sources(inside, site.lamps_W, power), report.fresh_flow_m3_s, room.surface_area_m2, density
        ),
    )


def _cloth_report(
    room: RoomFigures,
    cloth: Cloth,
    air: AirReport,
    pull_at: Callable[[float], float | None] | None,
    wrinkled_at: Callable[[float], float | None] | None,
) -> ClothReport:
    """Strength at the highest pressure, wrinkles at the working pressure; the larger of two forces counts."""
    highest = max(speed.shut_pressure_Pa.high for speed in air.speeds)
    profile = room.profile_radius_mm, room.profile_height_mm
    forces = membrane_forces(*profile, highest, 0.0)
    working = membrane_forces(*profile, air.band.target_Pa, cloth.mass_kg_m2.likely)
    seam = seam_strength(cloth.stitches_per_m, cloth.thread_strength_N, cloth.stitch_rows)
    inflated = pull_at(highest) if pull_at is not None else None
    wrinkled = wrinkled_at(air.used.pressure_Pa.likely) if wrinkled_at is not None else None
    largest = max(forces.largest_N_m, inflated or 0.0)
    return ClothReport(
        pressure_Pa=highest,
        forces=forces,
        inflated_N_m=inflated,
        factor_of_safety=factor_of_safety(largest, cloth.strength_N_m, seam),
        wrinkled_share=wrinkled_share(working) if wrinkled is None else wrinkled,
        ring_compression=any(ring.force_N < 0.0 for ring in working.rings),
    )


def _hold_down_report(room: RoomFigures, site: Site, air: AirReport) -> HoldDownReport:
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

    return HoldDownReport(
        uplift_N=Range(
            uplift(used.low, floor, flap, FLAP_HELD_SHARE.high),
            uplift(used.likely, floor, flap, FLAP_HELD_SHARE.likely),
            uplift(used.high, floor, flap, least_held),
        ),
        weight_N=(room.cloth_mass_kg + site.ballast_kg) * GRAVITY_M_S2,
        cloth_kg=room.cloth_mass_kg,
        ballast_needed_kg=ballast(firm),
        bags=bags_round_base(ballast(firm), room.base_perimeter_m),
        ballast_vent_shut_kg=map_range(ballast, shut),
        anchors_at_ceiling=anchors_for_wind(
            room, WIND_CEILING_M_S, tuned.high, site.ballast_kg, air.density_kg_m3
        ),
        wind=wind_limits(room, tuned, site.floor, site.ballast_kg, site.anchors, air.density_kg_m3),
    )

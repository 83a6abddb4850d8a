"""The verdict as plain numbers, under keys that other programs rely on.

Glossary: a key ends with its unit; ``…_range_Pa`` is the lowest and the highest value beside the likely
one. What is infinite or not known is None. Nothing is worked out here.
"""

import math
from typing import Any

from shellparts.base.ranges import Range
from shellparts.loads.report import (
    AirReport,
    Answers,
    BreathingReport,
    ClothReport,
    HoldDownReport,
    PeopleReport,
    SpeedReport,
)
from shellparts.loads.warnings import SAFETY_NOTES, LoadWarning

__all__ = ["summary_of"]


def _plain(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None


def _ends(value: Range) -> list[float | None]:
    return [_plain(value.low), _plain(value.high)]


def _speed(speed: SpeedReport, breath: BreathingReport) -> dict[str, Any]:
    return {
        "name": speed.name,
        "pressure_Pa": _plain(speed.pressure_Pa.likely),
        "pressure_range_Pa": _ends(speed.pressure_Pa),
        "flow_m3_s": _plain(speed.flow_m3_s.likely),
        "flow_range_m3_s": _ends(speed.flow_m3_s),
        "lift_ratio": _plain(speed.lift_ratio.likely),
        "lift_ratio_range": _ends(speed.lift_ratio),
        "standing": speed.standing.value,
        "base_gap_mm": speed.floating_gap_mm,
        "base_lifted_flow_m3_s": _plain(speed.lifted_flow_m3_s.likely),
        "vent_open_pressure_Pa": _plain(speed.open_pressure_Pa.likely),
        "vent_open_pressure_range_Pa": _ends(speed.open_pressure_Pa),
        "vent_shut_pressure_Pa": _plain(speed.shut_pressure_Pa.likely),
        "vent_shut_standing": speed.shut_standing.value,
        "vent_shut_base_gap_mm": speed.shut_gap_mm,
        "vent_for_target_m2": speed.vent.area_m2.likely,
        "vent_for_target_mm": speed.vent.length_mm.likely,
        "vent_for_target_range_mm": _ends(speed.vent.length_mm),
        "vent_for_target_clips": speed.vent.clips,
        "vent_for_target_reach": speed.vent.reach.value,
        "doorway_in_use_pressure_Pa": _plain(speed.door_pressure_Pa.likely),
        "doorway_in_use_holds_up": speed.door_holds_up.value,
        "inflate_time_s": _plain(speed.inflate_s.likely),
        "air_changes_per_h": _plain(breath.air_changes_per_h.likely),
        "fresh_air_l_s_person": _plain(breath.fresh_air_L_s_person.likely),
        "fresh_air_range_l_s_person": _ends(breath.fresh_air_L_s_person),
        "fresh_air_enough": breath.enough.value,
        "co2_steady_ppm": _plain(breath.co2_steady_ppm.likely),
        "co2_steady_range_ppm": _ends(breath.co2_steady_ppm),
        "air_category": breath.en_category,
        "temperature_rise_K": _plain(breath.temperature_rise_K.likely),
    }


def summary_of(
    air: AirReport,
    breathing: tuple[BreathingReport, ...],
    cloth: ClothReport,
    hold: HoldDownReport,
    people: PeopleReport,
    answers: Answers,
    warnings: tuple[LoadWarning, ...],
) -> dict[str, Any]:
    """Turn the parts of a verdict into plain numbers.

    Parameters
    ----------
    air : AirReport
        The air.
    breathing : tuple of BreathingReport
        One a speed, in the order of the speeds.
    cloth : ClothReport
        Cloth forces.
    hold : HoldDownReport
        Holding down.
    people : PeopleReport
        People.
    answers : Answers
        The three questions.
    warnings : tuple of LoadWarning
        The warnings.

    Returns
    -------
    dict
        Ready for JSON.
    """
    wind = hold.wind
    return {
        "answers": {
            "stands_up": answers.stands_up.value,
            "stays_down": answers.stays_down.value,
            "breathable": answers.breathable.value,
            "out_before_sinking": answers.out_in_time.value,
            "likely": {
                "stands_up": answers.likely.stands_up,
                "stays_down": answers.likely.stays_down,
                "breathable": answers.likely.breathable,
                "out_before_sinking": answers.likely.out_in_time,
            },
        },
        "air": {
            "density_kg_m3": air.density_kg_m3,
            "hold_up_pressure_Pa": air.band.hold_up_Pa.likely,
            "hold_up_pressure_range_Pa": _ends(air.band.hold_up_Pa),
            "lift_pressure_Pa": air.band.lift_Pa.likely,
            "lift_pressure_range_Pa": _ends(air.band.lift_Pa),
            "target_pressure_Pa": air.band.target_Pa,
            "use_speed": air.use_speed,
            "speeds": [_speed(speed, breath) for speed, breath in zip(air.speeds, breathing, strict=True)],
            "vent_area_m2": air.vent_area_m2.likely,
            "vent_opening_mm": air.vent_opening_mm,
            "inflate_time_s": _plain(air.used.inflate_s.likely),
            "inflate_time_range_s": _ends(air.used.inflate_s),
            "deflate_time_s": _plain(air.deflate_s.likely),
            "deflate_time_range_s": _ends(air.deflate_s),
            "co2_rise_fan_off_ppm_min": breathing[0].fan_off_ppm_min,
        },
        "cloth": {
            "highest_pressure_Pa": cloth.pressure_Pa,
            "largest_force_N_per_m": _plain(cloth.forces.largest_N_m),
            "largest_force_inflated_N_per_m": cloth.inflated_N_m,
            "factor_of_safety": _plain(cloth.factor_of_safety),
            "wrinkled_fraction": cloth.wrinkled_share,
        },
        "hold_down": {
            "uplift_N": hold.uplift_N.likely,
            "uplift_range_N": _ends(hold.uplift_N),
            "weight_N": hold.weight_N,
            "cloth_kg": hold.cloth_kg,
            "ballast_kg": hold.ballast_kg,
            "ballast_needed_kg": hold.ballast_needed_kg,
            "ballast_bags": hold.bags.count,
            "ballast_bag_kg": hold.bags.each_kg,
            "ballast_bag_spacing_mm": hold.bags.spacing_mm,
            "ballast_vent_shut_kg": hold.ballast_vent_shut_kg.likely,
            "ballast_vent_shut_range_kg": _ends(hold.ballast_vent_shut_kg),
            "anchors_at_ceiling": hold.anchors_at_ceiling,
            "wind_limit_m_s": wind.limit_m_s,
            "wind_limit_by": wind.governed_by,
            "wind_dents_m_s": wind.dent_m_s.likely,
            "wind_slides_m_s": wind.slide_m_s.likely,
            "wind_tips_m_s": wind.overturn_m_s.likely,
            "wind_lifts_m_s": wind.fly_m_s.likely,
        },
        "people": {
            "capacity": people.capacity.people,
            "limited_by": people.capacity.limited_by,
            "inside": people.inside,
            "usable_floor_m2": people.capacity.usable_floor_m2,
            "exit_width_mm": people.exit_width_mm,
            "exit_width_needed_mm": people.width_needed_mm,
            "leave_time_s": people.leave_s.likely,
            "leave_time_range_s": _ends(people.leave_s),
            "leave_before_sinking": people.leave_before_sinking.value,
            "pictures": [
                {
                    "panels": one.panels,
                    "width_mm": one.width_mm,
                    "height_mm": one.picture_height_mm,
                    "bottom_mm": one.bottom_mm,
                    "depth_mm": one.depth_mm,
                    "throw_mm": one.throw_mm,
                    "throw_fits_inside": one.fits_inside,
                }
                for one in people.pictures
            ],
        },
        "safety": list(SAFETY_NOTES),
        "warnings": [
            {
                "code": one.code.value,
                "message": one.message,
                "figure": one.figure,
                "limit": one.limit,
                "source": one.source,
                "remedy": one.remedy,
            }
            for one in warnings
        ],
    }

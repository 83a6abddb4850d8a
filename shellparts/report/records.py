"""Verdict and ways to a yes as plain data, under keys that other programs rely on.

Glossary: a key ends with its unit; ``…_range_Pa`` is the lowest and the highest value beside the likely
one. What is infinite or not known is None. Nothing is worked out here.
"""

import math
from typing import Any

from shellparts.base.ranges import Range
from shellparts.inflate.standing import StandingCurve
from shellparts.loads.remedies import Ways
from shellparts.loads.results import BreathingResult, SpeedResult, Verdict
from shellparts.report.load_warnings import SAFETY_NOTES, load_warnings
from shellparts.report.words import WIND_WORDS

__all__ = ["standing_record", "verdict_record", "ways_record"]


def _plain(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None


def _ends(value: Range) -> list[float | None]:
    return [_plain(value.low), _plain(value.high)]


def _speed(speed: SpeedResult, breath: BreathingResult) -> dict[str, Any]:
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


def verdict_record(verdict: Verdict) -> dict[str, Any]:
    """Turn a verdict into plain numbers under the keys ``answers``, ``air``, ``cloth``, ``hold_down``, ``people``,
    ``safety`` and ``warnings``.
    """
    air, membrane, hold = verdict.air, verdict.membrane, verdict.hold_down
    people, answers, wind = verdict.people, verdict.answers, verdict.hold_down.wind
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
            "speeds": [
                _speed(speed, breath) for speed, breath in zip(air.speeds, verdict.breathing, strict=True)
            ],
            "vent_area_m2": air.vent_area_m2.likely,
            "vent_opening_mm": air.vent_opening_mm,
            "inflate_time_s": _plain(air.used.inflate_s.likely),
            "inflate_time_range_s": _ends(air.used.inflate_s),
            "deflate_time_s": _plain(air.deflate_s.likely),
            "deflate_time_range_s": _ends(air.deflate_s),
            "co2_rise_fan_off_ppm_min": verdict.breathing[0].fan_off_ppm_min,
        },
        "cloth": {
            "highest_pressure_Pa": membrane.pressure_Pa,
            "largest_force_N_per_m": _plain(membrane.forces.largest_N_m),
            "largest_force_inflated_N_per_m": membrane.inflated_N_m,
            "factor_of_safety": _plain(membrane.factor_of_safety),
            "wrinkled_fraction": membrane.wrinkled_share,
        },
        "hold_down": {
            "uplift_N": hold.uplift_N.likely,
            "uplift_range_N": _ends(hold.uplift_N),
            "weight_N": hold.weight_N,
            "cloth_kg": verdict.room.cloth_mass_kg,
            "ballast_kg": hold.bags.total_kg,
            "ballast_needed_kg": hold.ballast_needed_kg,
            "ballast_bags": hold.bags.count,
            "ballast_bag_kg": hold.bags.each_kg,
            "ballast_bag_spacing_mm": hold.bags.spacing_mm,
            "ballast_vent_shut_kg": hold.ballast_vent_shut_kg.likely,
            "ballast_vent_shut_range_kg": _ends(hold.ballast_vent_shut_kg),
            "anchors_at_ceiling": hold.anchors_at_ceiling,
            "wind_limit_m_s": wind.limit_m_s,
            "wind_limit_by": WIND_WORDS[wind.governed_by],
            "wind_dents_m_s": wind.dent_m_s.likely,
            "wind_slides_m_s": wind.slide_m_s.likely,
            "wind_tips_m_s": wind.overturn_m_s.likely,
            "wind_lifts_m_s": wind.fly_m_s.likely,
        },
        "people": {
            "capacity": people.capacity.people,
            "limited_by": people.capacity.limited_by.value,
            "inside": people.inside,
            "usable_floor_m2": people.capacity.usable_floor_m2,
            "exit_width_mm": verdict.room.exit_width_mm,
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
        "warnings": [warning.record() for warning in load_warnings(verdict)],
    }


def ways_record(ways: Ways) -> dict[str, Any]:
    """Turn the ways to a yes into plain numbers."""
    known = ways.known_fan_Pa
    return {
        "ballast_probable_kg": ways.ballast_probable_kg,
        "ballast_sure_kg": ways.ballast_sure_kg,
        "vent_probable_mm": ways.vent_probable_mm,
        "vent_sure_mm": ways.vent_sure_mm,
        "fan_probable_share": ways.fan_probable,
        "pressure_with_fan_known_range_Pa": None if known is None else [known.low, known.high],
        "ballast_laid_kg": ways.bags.total_kg,
        "pressure_with_ballast_Pa": ways.laid.air.used.pressure_Pa.likely,
        "lift_pressure_with_ballast_Pa": ways.laid.air.band.lift_Pa.likely,
    }


def standing_record(curve: StandingCurve) -> list[dict[str, float | None]]:
    """Turn the heights at each pressure into plain numbers, of the lowest way out; empty if there is no form."""
    rows = zip(
        curve.pressure_Pa,
        curve.roof_mm,
        curve.ways_mm.min(axis=1, initial=math.inf),
        curve.residual,
        strict=True,
    )
    return [
        {
            "pressure_Pa": float(pressure),
            "roof_height_mm": float(roof),
            "way_out_height_mm": _plain(way),
            "residual": float(residual),
        }
        for pressure, roof, way, residual in rows
    ]

"""Verdict, plan and curve of heights as plain data, under keys that other programs rely on.

Glossary: a key ends with its unit; ``…_range_Pa`` is what nine draws in ten lie between, beside the middle one; a
``…chance`` is a share of the draws. What is infinite or not known is None. Nothing is worked out here.
"""

import math
from typing import Any

from shellparts.base.ranges import Range
from shellparts.inflate.standing import StandingCurve
from shellparts.loads.changes import Plan
from shellparts.loads.readings import ReadingCheck
from shellparts.loads.results import EscapeResult, SpeedResult, Verdict
from shellparts.report.load_warnings import SAFETY_NOTES, load_warnings

__all__ = ["curve_record", "plan_record", "verdict_record"]


def _plain(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None


def _spread(key: str, unit: str, value: Range) -> dict[str, Any]:
    """A middle value, and its range beside it."""
    return {
        f"{key}_{unit}": _plain(value.likely),
        f"{key}_range_{unit}": [_plain(value.low), _plain(value.high)],
    }


def _speed(speed: SpeedResult) -> dict[str, Any]:
    setting, inside = speed.setting, speed.inside
    return {
        "name": speed.name,
        **_spread("pressure", "Pa", setting.pressure_Pa),
        **_spread("flow", "m3_s", setting.flow_m3_s),
        "lift_ratio": _plain(speed.lift_ratio.likely),
        "lift_ratio_range": [_plain(speed.lift_ratio.low), _plain(speed.lift_ratio.high)],
        "vent_opening_mm": setting.opening_mm,
        "vent_clips_each_side": setting.clips,
        "chance": setting.chance,
        "stands_chance": setting.chance_up,
        "stays_down_chance": setting.chance_down,
        "air_chance": setting.chance_air,
        "opening_from_mm": setting.from_mm,
        "opening_to_mm": setting.to_mm,
        **_spread("vent_shut_pressure", "Pa", speed.shut_pressure_Pa),
        "vent_shut_stays_down_chance": speed.shut_chance_down,
        **_spread("doorway_in_use_pressure", "Pa", speed.door_pressure_Pa),
        "doorway_in_use_stands_chance": speed.door_chance_up,
        **_spread("inflate_time", "s", speed.fill_shut_s),
        **_spread("inflate_time_vent_set", "s", speed.fill_set_s),
        **_spread("lost_by_a_passage", "m3", speed.lost_m3),
        **_spread("recover_time", "s", speed.recover_s),
        **_spread("people_a_minute", "1_min", speed.people_a_minute),
        **_spread("let_in_time", "s", speed.let_in_s),
        "air_changes_per_h": _plain(inside.changes_h.likely),
        **_spread("fresh_air", "l_s_person", inside.fresh_L_s_person),
        **_spread("co2", "ppm", inside.co2_ppm),
        "co2_steady_ppm": _plain(inside.co2_ppm.likely),
        **_spread("hall_co2", "ppm", inside.hall_co2_ppm),
        **_spread("temperature", "C", inside.temperature_C),
        **_spread("wet_bulb", "C", inside.wet_bulb_C),
        "air_grade": inside.judgement.grade.value,
    }


def _escape(escape: EscapeResult) -> dict[str, Any]:
    return {
        "with": escape.variant.value,
        **_spread("deflate_time", "s", escape.sink_s),
        **_spread("deflate_time_shut", "s", escape.sink_shut_s),
        "out_in_time_chance": escape.chance,
        "people_out_in_time": escape.people,
    }


def _reading(check: ReadingCheck) -> dict[str, Any]:
    one = check.reading
    return {
        "what": one.kind.value,
        "speed": one.speed,
        "opening": one.opening,
        "value": check.value,
        "expected": [_plain(end) for end in (check.expected.low, check.expected.likely, check.expected.high)],
        "slip_chance": check.chance_wrong,
        "questioned": check.questioned,
        "may_be": [{"slip": may.slip.value, "value": may.value} for may in check.may_be],
    }


def verdict_record(verdict: Verdict) -> dict[str, Any]:
    """Turn a verdict into plain numbers under the keys ``musts``, ``air``, ``cloth``, ``hold_down``, ``people``,
    ``readings``, ``dangers``, ``safety`` and ``warnings``.
    """
    air, membrane, hold, people = verdict.air, verdict.membrane, verdict.hold_down, verdict.people
    room, plan, wind = verdict.drawn.room, hold.plan, hold.wind
    return {
        "musts": {must.value: grade.value for must, grade in verdict.musts.items()},
        "air": {
            "density_kg_m3": air.density_kg_m3,
            **_spread("hold_up_pressure", "Pa", air.hold_up_Pa),
            "hold_up_by": air.hold_up_source.value,
            **({} if air.roof_Pa is None else _spread("roof_pressure", "Pa", air.roof_Pa)),
            **({} if air.way_out_Pa is None else _spread("way_out_pressure", "Pa", air.way_out_Pa)),
            **_spread("lift_pressure", "Pa", air.lift_Pa),
            "use_speed": air.setting.speed,
            "vent_opening_mm": air.setting.opening_mm,
            "vent_clips_each_side": air.setting.clips,
            "chance": air.setting.chance,
            "some_setting_chance": air.settings.chance_some,
            "speeds": [_speed(speed) for speed in air.speeds],
            "vent_area_m2": air.vent_area_m2.likely,
            **_spread("inflate_time", "s", air.used.fill_shut_s),
            **_spread("deflate_time", "s", people.escape.sink_s),
            "co2_rise_fan_off_ppm_min": people.fan_off_ppm_min,
        },
        "cloth": {
            "highest_pressure_Pa": membrane.pressure_Pa,
            "largest_force_N_per_m": _plain(membrane.forces.largest_N_m),
            "largest_force_inflated_N_per_m": membrane.inflated_N_m,
            "factor_of_safety": _plain(membrane.factor_of_safety),
            "wrinkled_fraction": membrane.wrinkled_share,
        },
        "hold_down": {
            **_spread("uplift", "N", hold.uplift_N),
            "weight_N": hold.weight_N,
            "cloth_kg": room.cloth_mass_kg,
            "ballast_kg": plan.laid_kg,
            "ballast_at_hand_kg": verdict.drawn.site.ballast_kg,
            "ballast_needed_kg": plan.need_kg,
            "ballast_bags": plan.base.count,
            "ballast_bags_at_tunnel": plan.tunnel_count,
            "ballast_bag_kg": plan.base.each_kg,
            "ballast_bag_spacing_mm": plan.base.spacing_mm,
            "ballast_limit": None if plan.limit is None else plan.limit.value,
            **_spread("ballast_vent_shut", "kg", hold.shut_kg),
            "wind_limit_m_s": 0.0 if wind is None else wind.gust_m_s,
            "wind_limit_anchors": None if wind is None else wind.anchors,
            "anchors_at_ceiling": hold.at_ceiling.anchors,
            "ceiling_reasons": [reason.value for reason in hold.at_ceiling.reasons],
        },
        "people": {
            "capacity": people.capacity.people,
            "limited_by": people.capacity.limited_by.value,
            "inside": people.inside,
            "usable_floor_m2": people.capacity.usable_floor_m2,
            "exit_width_mm": room.exit_width_mm,
            "exit_height_mm": room.exit_height_mm,
            "exit_width_needed_mm": people.width_needed_mm,
            "way_out_troubles": [trouble.value for trouble in people.bearings],
            **_spread("leave_time", "s", people.leave_s),
            "attendants_needed": people.attendants_needed,
            "fan_stops": [_escape(one) for one in people.escapes],
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
        "readings": [_reading(check) for check in verdict.readings],
        "dangers": [{"code": one.hazard.value, "figure": one.figure} for one in verdict.hazards],
        "safety": list(SAFETY_NOTES),
        "warnings": [warning.record() for warning in load_warnings(verdict)],
    }


def plan_record(plan: Plan) -> dict[str, Any]:
    """Turn the plan into plain numbers: decision, changes, what is lacking, and the setting after them."""
    after = plan.after
    return {
        "decision": plan.decision.value,
        "changes": [{"change": step.change.value, "amount": step.amount} for step in plan.steps],
        "lacking": [must.value for must in plan.lacking],
        "others": [
            {"change": way.change.value, "amount": way.amount, "chance": way.chance} for way in plan.others
        ],
        "ballast_kg": after.drawn.site.ballast_kg,
        "use_speed": after.air.setting.speed,
        "vent_opening_mm": after.air.setting.opening_mm,
        "vent_clips_each_side": after.air.setting.clips,
        "chance": after.air.setting.chance,
        "opening_from_mm": after.air.setting.from_mm,
        "opening_to_mm": after.air.setting.to_mm,
        **_spread("pressure", "Pa", after.air.setting.pressure_Pa),
        **_spread("lift_pressure", "Pa", after.air.lift_Pa),
        **_spread("flow", "m3_s", after.air.setting.flow_m3_s),
    }


def curve_record(curve: StandingCurve | None) -> dict[str, Any]:
    """Heights against pressure, under the key ``standing_curve``; nothing without a curve."""
    if curve is None:
        return {}
    rows = zip(curve.pressure_Pa, curve.roof_mm, curve.ways_mm, curve.residual, strict=True)
    return {
        "standing_curve": [
            {
                "pressure_Pa": float(pressure),
                "roof_height_mm": float(roof),
                "way_out_height_mm": float(ways.min()) if len(ways) else None,
                "residual": float(residual),
            }
            for pressure, roof, ways, residual in rows
        ],
        "standing_curve_ends": curve.end.value,
    }

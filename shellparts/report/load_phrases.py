"""What stands in the warnings for the names in braces: figures of a verdict as people read them."""

from collections.abc import Callable

from shellparts.base.counted import counted
from shellparts.loads.air_limits import CAREFUL
from shellparts.loads.results import Verdict
from shellparts.report.words import bags_in_words, chance, clips_in_words, figure, sentence, span, time_span

__all__ = ["PHRASES"]


def _faster_slower(v: Verdict, step: int, words: str) -> str:
    other = v.air.other(step)
    return f"speed {other!r} {words}".rstrip() if other else ""


def _against_lifting(v: Verdict) -> str:
    full = v.air.setting.opening_mm >= v.drawn.room.vent_longest_mm - 1.0
    return sentence(
        "" if full else "open the vent farther",
        "lay more ballast",
        _faster_slower(v, -1, ""),
        "a longer vent",
    )


def _against_sagging(v: Verdict) -> str:
    return sentence(
        "open the vent less far" if v.air.setting.clips else "", _faster_slower(v, 1, ""), "a stronger fan"
    )


def _folds(v: Verdict) -> str:
    """Where the cloth lies in folds; empty where it hardly does."""
    share = v.membrane.wrinkled_share
    found = [f"about {share:.0%} of the cloth"] if share >= 0.05 else []
    return " and ".join([*found, "a corner of the profile"] if v.membrane.ring_compression else found)


def _outdoors(v: Verdict) -> str:
    wind = v.hold_down.wind
    if wind is None:
        return "Outdoors, held as it is, the room stands no wind at all. It must not stand there."
    return (
        f"Outdoors: take the room down, people out first, before gusts reach {wind.gust_m_s:.1f} m/s; it takes "
        f"{counted(wind.anchors, 'anchor')}, each with a tab that bears {wind.anchor_N:.0f} N."
    )


def _bags(v: Verdict) -> str:
    plan = v.hold_down.plan
    return "not with ballast" if plan.limit else f"{plan.laid_kg:.0f} kg: {bags_in_words(plan)}"


#: What the names in braces stand for.
PHRASES: dict[str, Callable[[Verdict], str]] = {
    "hold_up": lambda v: span(v.air.hold_up_Pa, "Pa"),
    "lift": lambda v: span(v.air.lift_Pa, "Pa"),
    "speed": lambda v: v.air.setting.speed,
    "opening": lambda v: clips_in_words(v.air.setting, v.drawn.room, v.drawn.site.clip_spacing_mm),
    "pressure": lambda v: span(v.air.setting.pressure_Pa, "Pa"),
    "chance": lambda v: chance(v.air.setting.chance),
    "chance_up": lambda v: chance(v.air.setting.chance_up),
    "chance_down": lambda v: chance(v.air.setting.chance_down),
    "chance_some": lambda v: chance(v.air.settings.chance_some),
    "shut_pressure": lambda v: span(v.air.speeds[-1].shut_pressure_Pa, "Pa"),
    "shut_chance": lambda v: chance(v.air.speeds[-1].shut_chance_down),
    "fastest": lambda v: v.air.speeds[-1].name,
    "shut_ballast": lambda v: span(v.hold_down.shut_kg, "kg of ballast", 0),
    "door_pressure": lambda v: span(v.air.used.door_pressure_Pa, "Pa"),
    "recover": lambda v: time_span(v.air.used.recover_s, "never"),
    "against_lifting": _against_lifting,
    "against_sagging": _against_sagging,
    "sinking_time": lambda v: time_span(v.people.escape.sink_s, "never"),
    "sinking_shut": lambda v: time_span(v.people.escape.sink_shut_s, "never"),
    "leaving_time": lambda v: time_span(v.people.leave_s, "never"),
    "in_time": lambda v: str(v.people.escape.people),
    "inside": lambda v: str(v.people.inside),
    "fresh_air": lambda v: span(v.air.used.inside.fresh_L_s, "L/s in all", 0),
    "air_needed": lambda v: f"{v.air.used.inside.required_L_s:.0f}",
    "co2": lambda v: span(v.air.used.inside.co2_ppm, "ppm", 0),
    "wet_bulb": lambda v: span(v.air.used.inside.wet_bulb_C, "degrees C", 0),
    "air_worst": lambda v: v.air.used.inside.judgement.worst.value,
    "careful": lambda _: (
        f"CO2 {CAREFUL.co2_ppm:.0f} ppm, wet bulb {CAREFUL.wet_bulb_C:.0f}, heat {CAREFUL.temperature_C:.0f} degrees C"
    ),
    "highest": lambda v: f"{v.membrane.pressure_Pa:.0f}",
    "safety": lambda v: f"{v.membrane.factor_of_safety:.1f}",
    "folds": _folds,
    "ballast": lambda v: f"{v.drawn.site.ballast_kg:.0f} kg",
    "bags": _bags,
    "outdoors": _outdoors,
    "anchors": lambda v: counted(v.drawn.site.anchors, "anchor"),
    "ceiling_anchors": lambda v: counted(v.hold_down.at_ceiling.anchors, "anchor"),
    "limited_by": lambda v: v.people.capacity.limited_by.value,
    "room_for": lambda v: f"{v.people.capacity.people} people" if v.people.capacity.people else "nobody",
    "exit_width": lambda v: f"{v.drawn.room.exit_width_mm:.0f}",
    "exit_height": lambda v: f"{v.drawn.room.exit_height_mm:.0f}",
    "exit_needed": lambda v: f"{v.people.width_needed_mm:.0f}",
    "floor": lambda v: f"{v.drawn.room.floor_area_m2:.0f}",
    "roof": lambda v: span(v.air.roof_Pa, "Pa") if v.air.roof_Pa else figure(0.0),
    "way_out": lambda v: span(v.air.way_out_Pa, "Pa") if v.air.way_out_Pa else figure(0.0),
}

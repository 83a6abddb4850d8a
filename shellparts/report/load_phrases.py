"""The figures of a verdict as phrases, each under the name that the texts of `load_warnings` call it by."""

from collections.abc import Callable

from shellparts.base.ranges import Judgement
from shellparts.loads.band import Standing
from shellparts.loads.results import Verdict
from shellparts.loads.wind import BREEZE_M_S
from shellparts.report.words import WIND_WORDS, bags_in_words, sentence, span, time_span

__all__ = ["PHRASES"]


def _shut_lifts(v: Verdict) -> str:
    sure = all(speed.shut_standing is Standing.LIFTS for speed in v.air.lifting_when_shut)
    return "lifts" if sure else "may lift"


def _shut_speeds(v: Verdict) -> str:
    shut = v.air.lifting_when_shut
    every = len(shut) == len(v.air.speeds)
    return "every speed" if every else "speed " + ", ".join(speed.name for speed in shut)


def _folds(v: Verdict) -> str:
    share = v.membrane.wrinkled_share
    places = [f"about {share:.0%} of the cloth"] if share > 0.01 else []
    places += ["a corner of the profile"] if v.membrane.ring_compression else []
    return " and ".join(places)


def _verb(judgement: Judgement, word: str) -> str:
    """What happens: ``"sags"`` when it is sure, ``"may sag"`` when it is not."""
    return word + "s" if judgement is Judgement.NOT_MET else "may " + word


def _has_vent(v: Verdict) -> bool:
    return v.room.vent_longest_mm > 0.0


def _opens_farther(v: Verdict) -> bool:
    return v.air.vent_opening_mm < v.room.vent_longest_mm - 1.0


def _against_lifting(v: Verdict) -> str:
    if v.air.used.standing is not Standing.LIFTS:
        return sentence(f"use speed {v.air.use_speed!r}")
    slower = v.air.other(-1)
    return sentence(
        f"take speed {slower!r}" if slower else "",
        "open the vent farther" if _opens_farther(v) else "",
        "lay ballast" if v.site.ballast_kg < v.hold_down.bags.total_kg else "lay more ballast",
        "sew a deeper flap",
    )


def _against_shut(v: Verdict) -> str:
    kg = span(v.hold_down.ballast_vent_shut_kg, "kg", 0)
    if _has_vent(v):
        return f"Never shut it fully while the fan runs. If you must be able to, that takes {kg} of ballast."
    return f"Give the doorway a vent, or lay {kg} of ballast."


def _against_sagging(v: Verdict) -> str:
    faster = v.air.other(1)
    return sentence(
        "close the vent farther" if v.air.vent_opening_mm > 1.0 else "",
        f"take speed {faster!r}" if faster else "",
        "seal the base",
    )


def _tune(v: Verdict) -> str:
    if not _has_vent(v):
        return "Give the doorway a vent, so that the pressure can be set on the day."
    return (
        "Set the vent on the day, with nobody inside: open it until the base stays down, close it a little if the "
        "walls go slack. Then mark it."
    )


def _openings(v: Verdict) -> str:
    if not _has_vent(v):
        return "shut, for the doorway has no vent"
    return f"from shut to {v.room.vent_longest_mm / 20.0:.0f} cm on each side"


def _into_reach(v: Verdict) -> str:
    """Where the right opening is not to be had: too much air, or too little."""
    vent, longest, faster = v.air.used.vent, v.room.vent_longest_mm, v.air.other(1)
    ways = []
    if vent.length_mm.likely > longest:
        more = "lay more ballast" if v.site.ballast_kg > 0.0 else "lay ballast"
        ways.append(f"{more}, which raises the pressure that the base bears, or make the vent longer")
    elif vent.length_mm.high > longest:
        ways.append("keep ballast at hand, in case it lifts with the vent fully open")
    if vent.area_m2.low == 0.0 and faster:
        ways.append(f"take speed {faster!r} if the walls stay slack")
    return sentence("; ".join(ways) or "measure the fan")


def _more_air(v: Verdict) -> str:
    faster, inside = v.air.other(1), v.people.inside
    fewer = min(v.people.capacity.by_air, inside)
    return sentence(
        f"at most {fewer} people at a time" if 0 < fewer < inside else "",
        "a longer vent, so that more air may pass" if fewer == 0 else "",
        f"speed {faster!r} with the vent farther open" if faster and _opens_farther(v) else "",
        "shorter stays",
    )


def _outdoors(v: Verdict) -> str:
    wind = v.hold_down.wind
    gust, trouble = f"{wind.limit_m_s:.1f} m/s", WIND_WORDS[wind.governed_by]
    if wind.limit_m_s >= BREEZE_M_S:
        return f"Outdoors: take the room down, people out first, before gusts reach {gust} ({trouble})."
    return (
        f"Outdoors, held as it is, the room stands no wind at all: from gusts of {gust} {trouble}. It must not "
        "stand there."
    )


#: What the names in braces stand for.
PHRASES: dict[str, Callable[[Verdict], str]] = {
    "hold_up": lambda v: span(v.air.band.hold_up_Pa, "Pa"),
    "lift": lambda v: span(v.air.band.lift_Pa, "Pa"),
    "target": lambda v: f"{v.air.band.target_Pa:.1f}",
    "speed": lambda v: v.air.use_speed,
    "pressure": lambda v: span(v.air.used.pressure_Pa, "Pa"),
    "shut_pressure": lambda v: span(v.air.used.shut_pressure_Pa, "Pa"),
    "door_pressure": lambda v: span(v.air.used.door_pressure_Pa, "Pa"),
    "lifting": lambda v: ", ".join(speed.name for speed in v.air.lifting),
    "lifting_pressures": lambda v: "; ".join(f"{s.name} {span(s.pressure_Pa, 'Pa')}" for s in v.air.lifting),
    "against_lifting": _against_lifting,
    "shut_lifts": _shut_lifts,
    "shut_speeds": _shut_speeds,
    "shut_most": lambda v: span(
        max((s.shut_pressure_Pa for s in v.air.lifting_when_shut), key=lambda p: p.likely), "Pa"
    ),
    "shut_pressures": lambda v: "; ".join(
        f"{s.name} {span(s.shut_pressure_Pa, 'Pa')}" for s in v.air.lifting_when_shut
    ),
    "against_shut": _against_shut,
    "against_sagging": _against_sagging,
    "tune": _tune,
    "lies": lambda v: _verb(v.air.used.vent.reach, "lie"),
    "right_opening": lambda v: span(v.air.used.vent.length_mm.scaled(0.05), "cm", 0),
    "openings": _openings,
    "into_reach": _into_reach,
    "door_sags": lambda v: _verb(v.air.used.door_holds_up, "sag"),
    "sinks": lambda v: _verb(v.people.leave_before_sinking, "sink"),
    "sinking_time": lambda v: time_span(v.air.deflate_s, "never"),
    "leaving_time": lambda v: time_span(v.people.leave_s, "never"),
    "does": lambda v: "does" if v.breath.enough is Judgement.NOT_MET else "may",
    "inside": lambda v: str(v.people.inside),
    "fresh_air": lambda v: span(v.breath.fresh_air_L_s, "L/s in all", 0),
    "co2": lambda v: span(v.breath.co2_steady_ppm, "ppm", 0),
    "air_needed": lambda v: f"{v.breath.required_L_s:.0f}",
    "more_air": _more_air,
    "warmer": lambda v: span(v.breath.temperature_rise_K, "degrees C warmer than the fan's air"),
    "highest": lambda v: f"{v.membrane.pressure_Pa:.0f}",
    "safety": lambda v: f"{v.membrane.factor_of_safety:.1f}",
    "folds": _folds,
    "ballast": lambda v: f"{v.site.ballast_kg:.0f} kg",
    "ballast_asked": lambda v: f"{v.hold_down.bags.total_kg:.0f} kg",
    "bags": lambda v: bags_in_words(v.hold_down.bags),
    "spacing": lambda v: f"{v.hold_down.bags.spacing_mm / 1000.0:.1f}",
    "outdoors": _outdoors,
    "anchors": lambda v: str(v.site.anchors),
    "gust": lambda v: f"{v.hold_down.wind.limit_m_s:.1f} m/s",
    "ceiling_anchors": lambda v: str(v.hold_down.anchors_at_ceiling),
    "limited_by": lambda v: v.people.capacity.limited_by.value,
    "room_for": lambda v: f"{v.people.capacity.people} people" if v.people.capacity.people else "nobody",
    "exit_width": lambda v: f"{v.room.exit_width_mm:.0f}",
    "exit_needed": lambda v: f"{v.people.width_needed_mm:.0f}",
    "floor": lambda v: f"{v.room.floor_area_m2:.0f}",
}

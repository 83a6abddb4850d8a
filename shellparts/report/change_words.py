"""What to change, what is lacking and what is dangerous, in words: one table for each."""

from collections.abc import Callable

from shellparts.base.counted import counted
from shellparts.base.units import metric
from shellparts.loads.air_limits import CAREFUL, UTMOST, AirNeed
from shellparts.loads.changes import Change, ChangeStep, OtherWay
from shellparts.loads.hazards import Hazard, HazardFound
from shellparts.loads.outdoors import OutdoorNo
from shellparts.loads.results import Must, Verdict
from shellparts.loads.way_out import STAND_MM
from shellparts.report.adult_words import practised
from shellparts.report.words import bags_in_words, chance, figure, span, time_span

__all__ = ["danger_words", "lacking_words", "other_words", "step_words"]


def _ballast(verdict: Verdict, step: ChangeStep) -> str:
    plan, site = step.bags, verdict.drawn.site
    now = f"{site.ballast_kg:.0f} kg" if site.ballast_kg else "none"
    if plan is None or not plan.base.count:
        return f"Lay {step.amount:.0f} kg of ballast in all (now {now})."
    feet = f" {plan.tunnel_count} along the tunnel's walls, the others" if plan.tunnel_count else ""
    flap = "the flap, which lies inward on the floor," if verdict.drawn.room.flap_area_m2 > 0.0 else "the hem"
    return (
        f"Ballast, {plan.laid_kg:.0f} kg (now {now}): {bags_in_words(plan)},{feet} one every "
        f"{plan.base.spacing_mm / 1000.0:.1f} m, inside, on {flap} against the wall."
    )


def _vent(verdict: Verdict, step: ChangeStep) -> str:
    sides = 2 * verdict.drawn.room.vent_count
    now = verdict.drawn.room.vent_longest_mm / sides
    return f'A longer vent: vent="{metric(step.amount / sides)}" in the script (now {metric(now)}).'


def _fan(share: float) -> str:
    if share < 1.0:
        return f"A weaker fan: about {share:.0%} of this one's air through such an outlet."
    return f"A stronger fan: about {share:.2g} times this one's air through such an outlet."


def _attendants(verdict: Verdict, step: ChangeStep) -> str:
    return practised(round(step.amount), verdict.drawn.site.attendants)


_STEPS: dict[Change, Callable[[Verdict, ChangeStep], str]] = {
    Change.BALLAST: _ballast,
    Change.VENT: _vent,
    Change.FAN: lambda _, s: _fan(s.amount),
    Change.PEOPLE: lambda v, s: (
        f"At most {s.amount:.0f} {'person' if s.amount == 1.0 else 'people'} at a time (asked for {v.people.inside})."
    ),
    Change.DOOR_HEIGHT: lambda _, s: (
        f"A higher doorway: {metric(s.amount)} at least, or people crawl; from {metric(STAND_MM)} they walk upright."
    ),
    Change.DOOR_WIDTH: lambda v, s: (
        f"A wider doorway: {metric(s.amount)} at least, better {metric(v.people.width_needed_mm)}."
    ),
    Change.ATTENDANTS: _attendants,
    Change.SLEEVE_FLAP: lambda _, __: "A flap inside the sleeve that falls shut when the fan stops.",
    Change.SECOND_FAN: lambda _, __: (
        "A second fan like this one, on a circuit of its own, that takes over when the first one stops."
    ),
    Change.CLOTH: lambda _, s: (
        f"Cloth and seams {s.amount:.1f} times as strong: stronger cloth, thread, or a second row."
    ),
    Change.ANCHORS: lambda _, s: (
        f"{counted(round(s.amount), 'anchor')}, and an engineer's word before the public comes in; "
        "down before any gust."
    ),
}


def step_words(verdict: Verdict, step: ChangeStep) -> str:
    """Say one step of the plan."""
    return _STEPS[step.change](verdict, step)


def other_words(verdict: Verdict, way: OtherWay) -> str:
    """Say one other way, and the chance that the best setting then has."""
    step = ChangeStep(way.change, way.amount)
    words = {
        Change.BALLAST: f"{way.amount:.0f} kg of ballast in all",
        Change.HOOP: "a hoop that holds the curtain's end of the tunnel open",
        Change.LIGHTER: f"cloth of {way.amount:.0%} of the mass",
        Change.TUNE: "tuning the vent clip by clip on the day, or one reading of the pressure",
    }.get(way.change) or step_words(verdict, step).rstrip(".")
    return f"{words[:1].upper()}{words[1:]}: {chance(way.chance)}."


def _air(v: Verdict) -> str:
    inside, need = v.air.used.inside, v.air.used.inside.judgement.worst
    if need is AirNeed.WET_BULB:
        return (
            f"Too hot and moist: the wet bulb inside is {span(inside.wet_bulb_C, 'C', 0)}; from "
            f"{CAREFUL.wet_bulb_C:.0f} "
            f"with care, from {UTMOST.wet_bulb_C:.0f} nobody goes in. Another hall, another hour, fewer people."
        )
    if need is AirNeed.HEAT:
        return (
            f"Too hot: {span(inside.temperature_C, 'C', 0)} inside; from {CAREFUL.temperature_C:.0f} with care, from "
            f"{UTMOST.temperature_C:.0f} nobody goes in. "
            "Fewer or cooler lamps, another hour, more air through the room."
        )
    if need is AirNeed.CO2:
        return (
            f"Stale air: CO2 reaches {span(inside.co2_ppm, 'ppm', 0)}, the hall's own "
            f"{figure(inside.hall_co2_ppm.likely)}; from {CAREFUL.co2_ppm:.0f} with care, from {UTMOST.co2_ppm:.0f} "
            "nobody goes in. Air the hall first, fewer people, shorter visits."
        )
    return (
        f"Too little fresh air: {span(inside.fresh_L_s, 'L/s', 0)} of {inside.required_L_s:.0f} L/s; "
        "fewer people, or more air through the room."
    )


def _outdoors(v: Verdict) -> str:
    asked = v.hold_down.at_ceiling
    why = {
        OutdoorNo.FAN_TOO_WEAK: "the pressure at its setting does not press the windward side out",
        OutdoorNo.TOO_MANY_ANCHORS: f"it would take {counted(asked.anchors, 'anchor')} with tabs such as these",
        OutdoorNo.TOO_FEW_ANCHORS: f"it would take {counted(asked.anchors, 'anchor')}",
    }
    reason = next((why[one] for one in asked.reasons if one in why), "wind decides")
    wind = v.hold_down.wind
    stands = "it stands no wind at all"
    if wind:
        stands = f"it stands gusts of {wind.gust_m_s:.1f} m/s at most, with {counted(wind.anchors, 'anchor')}"
    return f"Not outdoors: {stands}; for the usual limit of {asked.gust_m_s:.1f} m/s {reason}."


def _setting(v: Verdict) -> str:
    best = v.air.setting
    parts = (
        (best.chance_up, "hold it up: this fan is too weak for it, or its leaks too large"),
        (best.chance_down, "keep it down: ballast, a longer vent, a weaker fan"),
        (best.chance_air, "keep its air good: more air through the room, or fewer people"),
    )
    worst = min(parts)[1]
    return (
        f"No setting holds it up, keeps it down and keeps its air good in 9 of 10 cases; the best does in "
        f"{chance(best.chance)}. Hardest is to {worst}."
    )


_LACKING: dict[Must, Callable[[Verdict], str]] = {
    Must.OUTDOORS: _outdoors,
    Must.AIR: _air,
    Must.SETTING: _setting,
    Must.BALLAST: lambda v: (
        "Not with ballast: bags would have to lie closer than they are long; a weaker fan or a larger flap."
        if v.hold_down.plan.limit
        else f"Held by less than 1.5 times the uplift: {v.drawn.site.ballast_kg:.0f} kg of "
        f"{v.hold_down.plan.laid_kg:.0f} kg of ballast."
    ),
    Must.WAY_OUT: lambda v: (
        f"The way out is {metric(v.drawn.room.exit_width_mm)} wide and {metric(v.drawn.room.exit_height_mm)} high: "
        "people crawl or turn sideways in it."
    ),
    Must.OUT_IN_TIME: lambda v: (
        f"When the fan stops {v.people.inside} people need {time_span(v.people.leave_s, 'for ever')}; the cloth "
        "is down "
        f"in {time_span(v.people.escape.sink_s, 'never')} while they pass, "
        f"{time_span(v.people.escape.sink_shut_s, 'never')} "
        "with the doorway shut."
    ),
    Must.PEOPLE: lambda v: (
        f"{v.people.inside} people; floor and ways out take "
        f"{min(v.people.capacity.by_floor, v.people.capacity.by_exits)}."
    ),
    Must.CLOTH: lambda v: (
        f"Cloth or seams are weak: {v.membrane.factor_of_safety:.1f} times the largest force, 5 are asked for."
    ),
}


def lacking_words(verdict: Verdict, must: Must) -> str:
    """Say what fails, with its figures."""
    return _LACKING[must](verdict)


_DANGERS: dict[Hazard, str] = {
    Hazard.EXHAUST: "The generator's exhaust: far off and downwind, never where the fan draws; a CO alarm inside.",
    Hazard.SHEET_OVER_FACES: "Cloth over small faces as it sinks: an adult inside lifts it off; nobody sleeps here.",
    Hazard.LEAD: "The fan's lead: dry, off the way, on an earth-leakage switch; the fan guarded.",
    Hazard.CRAWLING_WAY: "A way out # mm high: people crawl, and nobody can be carried out.",
    Hazard.RAIN_POOLS: "Rain gathers in dents of the roof and pulls it down: people out first, then push it off.",
    Hazard.NO_TUNNEL_BAGS: "No bags at the tunnel's foot: it lifts first, and it is the way out.",
    Hazard.LOW_DOORWAY: "The way out is # mm high: heads down, no pushing; all walk upright from 2.03 m.",
    Hazard.WHEELCHAIR_DOOR: "Wheelchairs do not pass the doorway, # mm wide.",
    Hazard.WHEELCHAIR_FLAP: "A flap # mm deep lies across the way of wheelchairs: tape it flat.",
    Hazard.BAGS_UNDER_SHEET: "Bags lie under the cloth when it is down: against the walls, clear of feet.",
    Hazard.TRIP_FLAP: "Feet catch in the flap: tape it flat where people walk.",
    Hazard.TRIP_SLEEVE: "Sleeve and lead lie at shin height outside: mark them.",
}


def danger_words(found: HazardFound) -> str:
    """Say one danger, and what to do about it."""
    number = "" if found.figure is None else f"{found.figure:,.0f}"
    return _DANGERS[found.hazard].replace("#", number)

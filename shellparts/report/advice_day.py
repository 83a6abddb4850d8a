"""The first screen of the page of advice: the answers with their reasons, what makes them a yes, what to do.

Glossary: a *subject* is a room with all that is known of it. *As it is* means with the ballast that is laid
already; the steps of the day are told for the ballast that is advised.
"""

import math
from collections.abc import Iterator

from attrs import frozen

from shellparts.base.ranges import Judgement
from shellparts.base.units import metric
from shellparts.inflate.form import InflatedForm
from shellparts.loads.air import strongest_pressure
from shellparts.loads.band import Standing, likely_standing
from shellparts.loads.band_picture import BandPicture
from shellparts.loads.remedies import Ways
from shellparts.loads.results import Verdict
from shellparts.loads.timing import STAYS_UP_S
from shellparts.loads.vent import clips_each_side
from shellparts.report.words import (
    WIND_WORDS,
    answer_word,
    bags_in_words,
    figure,
    opening_each_side,
    span,
    time_span,
)

__all__ = ["Subject", "answers", "before_the_day", "fan_stop", "steps", "ways_in_words"]

#: Ballast that nobody likes to carry: then another fan is told first [kg].
_MUCH_KG = 60.0
#: Room to spare under a ceiling [mm]: ours.
_CEILING_MM = 300.0
#: The ends of the water in a U tube on a slope of 1 in 20 stand this far apart for each pascal [mm]: the head of
#: water, 1/9.80665 mm, times 20.
_TUBE_MM_PA = 20.0 / 9.80665
_STAYS = {
    "yes": "stays down",
    "probably yes": "probably stays down",
    "probably not": "still probably does not stay down",
    "no": "still does not stay down",
}


@frozen(eq=False)
class Subject:
    """A room with all that is known of it.

    Parameters
    ----------
    name, title : str
        Of the design.
    verdict : Verdict
        As it is.
    ways : Ways
        What would make it a yes.
    form : InflatedForm
    band : BandPicture or None
        Its working band; None for a room without a vent.
    """

    name: str
    title: str
    verdict: Verdict
    ways: Ways
    form: InflatedForm
    band: BandPicture | None


def answers(subject: Subject) -> Iterator[tuple[str, str, str]]:
    """Answer the four questions."""
    verdict, air = subject.verdict, subject.verdict.air
    found, likely, band = verdict.answers, verdict.answers.likely, verdict.air.band
    strength = strongest_pressure(verdict.site, air)
    yield (
        "Will it stand up?",
        answer_word(found.stands_up, likely.stands_up),
        f"the fan can do {figure(strength.likely)} Pa; the cloth needs {figure(band.hold_up_Pa.likely)} Pa",
    )
    yield "Will it stay down?", answer_word(found.stays_down, likely.stays_down), _stays_down(subject)
    breath = verdict.breath
    if breath.people:
        asked = breath.required_L_s / breath.people
        air_reason = f"{span(breath.fresh_air_L_s_person, 'L/s')} each; {asked:.1f} L/s is asked for"
    else:
        air_reason = "nobody is reckoned with inside"
    yield "Is the air good enough?", answer_word(found.breathable, likely.breathable), air_reason
    yield (
        "If the fan stops, is everybody out before it sinks?",
        answer_word(found.out_in_time, likely.out_in_time),
        f"it sinks in {time_span(air.deflate_s, 'never')}; "
        f"leaving takes {time_span(verdict.people.leave_s, 'for ever')}",
    )


def _stays_down(subject: Subject) -> str:
    """Why it stays down, or not, as it is."""
    verdict, air = subject.verdict, subject.verdict.air
    longest = verdict.room.vent_longest_mm
    opening = (
        "fully open"
        if air.vent_opening_mm >= longest - 1.0
        else opening_each_side(air.vent_opening_mm, longest)
    )
    vent = f"vent {opening}" if longest > 0.0 else "no vent"
    reason = (
        f"speed {air.use_speed!r}, {vent}: {span(air.used.pressure_Pa, 'Pa')} inside; the base lifts at "
        f"{figure(air.band.lift_Pa.likely)}"
    )
    if verdict.site.indoors:
        return reason
    wind = verdict.hold_down.wind
    return f"{reason}; and in gusts of {wind.limit_m_s:.1f} m/s {WIND_WORDS[wind.governed_by]}"


def _another_fan(subject: Subject) -> str | None:
    """What fan would do, where another one is worth it."""
    ways, likely = subject.ways, subject.verdict.answers.likely
    share = ways.fan_probable
    if not likely.stands_up:
        if share is None:
            return "A much stronger fan, or a much lighter room: twice this fan's air is not enough."
        return f"A stronger fan: about {share:.2g} times the air of this one, through the same outlet."
    if likely.stays_down or ways.bags.total_kg <= _MUCH_KG:
        return None
    if share is None:
        return "A weaker fan: even a fifth of this one's air is too much for the room."
    return f"This fan is far too strong: take one with about {share:.0%} of its air through such an outlet."


def _ballast_way(subject: Subject) -> str | None:
    ways, likely = subject.ways, subject.verdict.answers.likely
    if ways.bags.total_kg <= subject.verdict.site.ballast_kg or not likely.stands_up:
        return None
    word = _STAYS[answer_word(ways.laid.answers.stays_down, ways.laid.answers.likely.stays_down)]
    return (
        f"Ballast, {ways.bags.total_kg:.0f} kg: {bags_in_words(ways.bags)} round the base. It then "
        f"lifts at {figure(ways.laid.air.band.lift_Pa.likely)} Pa instead of "
        f"{figure(subject.verdict.air.band.lift_Pa.likely)}, and {word}."
    )


def _vent_way(subject: Subject) -> str | None:
    longer, now = subject.ways.vent_probable_mm, subject.verdict.room.vent_longest_mm
    if longer is None:
        return None
    return (
        f'A longer vent: vent="{metric(longer / 2)}" in the script (now '
        f"{metric(now / 2) if now else 'none'}). Without ballast it then probably stays down."
    )


def _sure_way(subject: Subject) -> str | None:
    """What a plain yes takes, and why it is none yet."""
    ways, verdict = subject.ways, subject.verdict
    if verdict.answers.stays_down is Judgement.FINE or not verdict.answers.likely.stands_up:
        return None
    sure = None if ways.laid.answers.stays_down is Judgement.FINE else ways.ballast_sure_kg
    plain = f"A plain yes, whatever the fan really gives, takes {sure:.0f} kg of ballast." if sure else ""
    if not subject.verdict.site.indoors:
        plain = "Outdoors there is no plain yes: the wind decides."
    known, laid = ways.known_fan_Pa, ways.laid.air.used.pressure_Pa
    curve = (
        f"The fan's curve from its maker, not its label alone, narrows {figure(laid.low)} to {figure(laid.high)} "
        f"Pa to {figure(known.low)} to {figure(known.high)}."
        if known is not None
        else ""
    )
    return f"{plain} {curve}".strip() or None


def _air_way(subject: Subject) -> str | None:
    people = subject.verdict.people
    likely = subject.verdict.answers.likely
    if likely.breathable or not likely.stands_up or not people.inside:
        return None
    most = people.capacity.by_air
    return (
        f"For the air: at most {most} people at a time." if most else "For the air: more must pass the room."
    )


def ways_in_words(subject: Subject) -> Iterator[str]:
    """Say what makes the answers a yes, cheapest first."""
    cheap = (_ballast_way(subject), _vent_way(subject), _another_fan(subject))
    if subject.ways.bags.total_kg > _MUCH_KG:
        cheap = (_vent_way(subject), _another_fan(subject), _ballast_way(subject))
    yield from (way for way in (*cheap, _sure_way(subject), _air_way(subject)) if way)


def before_the_day(subject: Subject) -> str:
    """Say that the room or the fan is better changed first, where that is so; else nothing."""
    likely, ways = subject.verdict.answers.likely, subject.ways
    if not likely.stands_up or not ways.laid.answers.likely.stays_down:
        return " (not yet: first change what is named above)"
    if not likely.stays_down and ways.bags.total_kg > _MUCH_KG:
        return " (better change the room or the fan first; these steps are for it as it is)"
    return ""


def _watch(subject: Subject) -> str:
    """What to see and feel, what to change, and how to measure."""
    laid, room = subject.ways.laid, subject.verdict.room
    air = laid.air
    full = air.vent_opening_mm >= room.vent_longest_mm - 1.0
    faster = air.other(1)
    lifts = "lay more ballast" if full else "open the vent farther, clip by clip on both sides"
    slack = ["put clips back, one on each side at a time"] if air.vent_opening_mm > 1.0 else []
    slack += [f"speed {faster!r}"] if faster else []
    sags = likely_standing(air.used.pressure_Pa, air.band) is Standing.SAGS
    pressure = air.band.target_Pa if sags else air.used.pressure_Pa.likely
    return (
        f"Watch, nobody inside. Base hops, or air blows out under it: {lifts}. Walls slack: "
        f"{', then '.join(slack) or 'seal the base'}. Right is about {figure(pressure)} Pa: walls firm to a flat "
        "hand, the hem still. To measure it, lay a clear tube bent to a U, half full of water, on a board that "
        f"rises 1 in 20, one end led into the room: its water ends come to stand {pressure * _TUBE_MM_PA:.0f} mm "
        "apart. Mark the opening that works."
    )


def _vent_step(subject: Subject) -> str:
    laid, room, site = subject.ways.laid.air, subject.verdict.room, subject.verdict.site
    if room.vent_longest_mm <= 0.0:
        return "There is no vent to set: the pressure is what it is."
    if laid.vent_opening_mm < 1.0:
        return "Vent shut, all its clips on."
    spacing = site.clip_spacing_mm
    off = clips_each_side(laid.vent_opening_mm, room.vent_longest_mm, spacing)
    there = clips_each_side(room.vent_longest_mm, room.vent_longest_mm, spacing)
    opening = opening_each_side(laid.vent_opening_mm, room.vent_longest_mm)
    which = "all" if off == there else f"{off} of the"
    return (
        f"Vent {opening}: from the floor up, take off {which} {there} clips on each "
        f"side of the curtain; they sit {spacing / 10:.0f} cm apart."
    )


def _doorway(subject: Subject) -> str:
    used, band = subject.ways.laid.air.used, subject.ways.laid.air.band
    falls = (
        f"while somebody passes, the pressure falls from {figure(used.pressure_Pa.likely)} to "
        f"{span(used.door_pressure_Pa, 'Pa')}"
    )
    if used.door_holds_up is Judgement.FINE:
        return f"Let people in one at a time: {falls}, and the room holds."
    go = "go" if used.door_pressure_Pa.likely < band.hold_up_Pa.likely else "may go"
    return (
        f"Let people in one at a time, the curtain falling shut behind each: {falls}, and the walls {go} slack. "
        "Wait until they are firm again."
    )


def steps(subject: Subject) -> Iterator[str]:
    """What to do on the day, in order."""
    ways, site, form = subject.ways, subject.verdict.site, subject.form
    used = ways.laid.air.used
    top = form.panel.height_mm if form.stands else subject.verdict.room.height_mm
    place = (
        f"under a ceiling of {(top + _CEILING_MM) / 1000:.1f} m or more"
        if site.indoors
        else f"only in calm, with {ways.laid.hold_down.anchors_at_ceiling} anchors"
    )
    yield f"Lay the room out {place}, the sleeve tied round the fan."
    if ways.bags.count:
        where = (
            "inside on the flap, against the wall"
            if subject.verdict.room.flap_area_m2 > 0.0
            else "on the hem"
        )
        bottles = " (2-litre bottles of water will do)" if ways.bags.each_kg == 2.0 else ""
        yield f"Lay {bags_in_words(ways.bags)}{bottles}, one every {ways.bags.spacing_mm / 1000:.1f} m, {where}."
    yield _vent_step(subject)
    filling = "fills in " if math.isfinite(used.inflate_s.low) else ""
    yield f"Fan on at speed {used.name!r}. It {filling}{time_span(used.inflate_s, 'may never fill')}."
    yield _watch(subject)
    yield "Fan off once, nobody inside: see how the cloth comes down, and practise holding up the doorway."
    yield _doorway(subject)


def fan_stop(subject: Subject) -> str:
    """What to do when the fan stops."""
    verdict = subject.verdict
    sink, breath = verdict.air.deflate_s, verdict.breathing[0]
    rises = f"CO2 rises {breath.fan_off_ppm_min:.0f} ppm a minute." if breath.people else ""
    asked = f"{STAYS_UP_S / 60:.0f} minutes would be good: a second fan on its own circuit. "
    rule = "" if sink.low >= STAYS_UP_S else asked
    sinks = "sinks" if verdict.answers.out_in_time is Judgement.NOT_MET else "may sink"
    out = (
        "everybody out, walking. "
        if verdict.answers.out_in_time is Judgement.FINE
        else f"everybody out, walking, an adult in the doorway holding it up: it {sinks} before all are out. "
    )
    return (
        f"If the fan stops: {out}The cloth weighs {verdict.room.cloth_mass_kg:.0f} kg in all, can be lifted and walked "
        f"under. {rule}{rises}".rstrip()
    )

"""The longer page: the screen, then every speed, every height, every other way, and what else to know."""

import math
from collections.abc import Callable, Iterator

from shellparts.base.counted import counted
from shellparts.inflate.standing import StandingCurve
from shellparts.loads.picture_throw import Picture
from shellparts.loads.results import HoldUpSource, SpeedResult, Verdict
from shellparts.parameters import Marking, Tape
from shellparts.report.change_words import danger_words, other_words
from shellparts.report.load_warnings import SAFETY_NOTES, load_warnings
from shellparts.report.page import reading_lines, screen, wrapped
from shellparts.report.subject import Subject
from shellparts.report.warnings import Warning
from shellparts.report.words import chance, figure, span, time_span

__all__ = ["TO_KNOW", "more_page"]

#: A picture on cloth that stands off one plane by more than this share of its width is bent [-]: ours.
_FLAT_SHARE = 0.1
#: What to know, dangers first; the other warnings are told on the screen.
TO_KNOW = (
    "no-band",
    "base-lifts",
    "sags",
    "vent-shut-lifts",
    "way-out-sags-first",
    "outdoors",
    "cloth-weak",
    "flame-retardant",
    "fresh-air",
    "too-many-people",
    "exit-narrow",
    "exit-low",
    "second-exit",
    "signs-and-plan",
    "permit",
    "wrinkles",
)
#: Warnings whose message says all.
_PLAIN = frozenset({"flame-retardant", "outdoors", "wrinkles"})
_KEY = (
    "In brackets: what nine cases in ten lie between. Pa: pressure; a sheet of paper presses on a table with 0.8. "
    "L/s: litres of fresh air a second. ppm: CO2 in the air; 420 outdoors."
)


def _row(*cells: str) -> str:
    widths = (9, 19, 12, 15, 12, 0)
    return ("  " + "".join(f"{cell:<{width}}" for cell, width in zip(cells, widths, strict=True))).rstrip()


def _speed(speed: SpeedResult, verdict: Verdict, marking: Marking) -> str:
    setting, inside = speed.setting, speed.inside
    sides = 2 * max(1, verdict.drawn.room.vent_count)
    opening = f"{setting.opening_mm / sides / 10:.0f} cm"
    if marking.tape is Tape.IMPERIAL:
        opening = marking.length(setting.opening_mm / sides, 4)
    each = "nobody" if not verdict.people.inside else f"{figure(inside.fresh_L_s_person.likely)} L/s"
    ppm = f"{figure(inside.co2_ppm.likely)} ppm"
    return _row(speed.name, span(setting.pressure_Pa, "Pa"), opening, chance(setting.chance), each, ppm)


def _speeds(verdict: Verdict, marking: Marking) -> Iterator[str]:
    yield _row("speed", "pressure", "open a side", "all at once", "air each", "CO2")
    for speed in verdict.air.speeds:
        yield _speed(speed, verdict, marking)


def _chances(verdict: Verdict) -> Iterator[str]:
    """Cases in 100 in which each speed works, by clips off on each side."""
    settings, room = verdict.air.settings, verdict.drawn.room
    step = 2 * room.vent_count * verdict.drawn.site.clip_spacing_mm
    clips = [math.ceil(mm / step - 1e-9) for mm in settings.openings_mm]
    shown = range(0, len(clips), max(1, -(-len(clips) // 12)))
    yield f"  {'clips off':<11}" + "".join(f"{clips[i]:>6}" for i in shown)
    for speed, row in zip(verdict.air.speeds, settings.chances, strict=True):
        yield f"  {speed.name:<11}" + "".join(f"{100.0 * row[i]:>6.0f}" for i in shown)


def _heights(curve: StandingCurve, marking: Marking) -> Iterator[str]:
    """Share of their sewn heights that roof and lowest way out keep, pressure by pressure."""

    def high(height_mm: float) -> str:
        return marking.length(height_mm, 1) if marking.tape is Tape.IMPERIAL else f"{height_mm / 1000:.2f} m"

    yield f"  {'pressure':<12}{'roof':<20}way out"
    for pressure, roof, ways in zip(curve.pressure_Pa, curve.roof_mm, curve.ways_mm, strict=True):
        way = ""
        if len(ways):
            lowest = int(ways.argmin())
            way = f"{high(ways[lowest])} ({ways[lowest] / curve.sewn_ways_mm[lowest]:.0%})"
        top = f"{high(roof)} ({roof / curve.sewn_roof_mm:.0%})"
        yield f"  {figure(float(pressure)) + ' Pa':<12}{top:<20}{way}".rstrip()


def _best_picture(pictures: tuple[Picture, ...]) -> Picture:
    """The widest that is nearly flat; else the flattest."""
    flat = [one for one in pictures if one.fits_inside and one.depth_mm <= _FLAT_SHARE * one.width_mm]
    return max(flat, key=lambda one: one.width_mm) if flat else min(pictures, key=lambda one: one.depth_mm)


def _facts(subject: Subject) -> Iterator[str]:
    after, form = subject.plan.after, subject.form
    air, room, people = after.air, after.drawn.room, after.people
    source = "from the form of the whole room under air"
    if air.hold_up_source is HoldUpSource.FORMULA:
        source = "by formula: weight over floor; the form under air was not worked out"
    parts = ""
    if air.roof_Pa is not None and air.way_out_Pa is not None:
        parts = f", the roof from {span(air.roof_Pa, 'Pa')}, the way out from {span(air.way_out_Pa, 'Pa')}"
    yield f"Held up from {span(air.hold_up_Pa, 'Pa')}{parts} ({source}); the base lifts at {span(air.lift_Pa, 'Pa')}."
    yield (
        f"With the vent shut the fan makes {span(air.speeds[-1].shut_pressure_Pa, 'Pa')} at most; while somebody "
        "passes the "
        f"doorway {span(air.used.door_pressure_Pa, 'Pa')}."
    )
    yield (
        f"It fills in {time_span(air.used.fill_shut_s, 'never')} with all clips on, in "
        f"{time_span(air.used.fill_set_s, 'never')} with the vent as set; one passage of the doorway costs "
        f"{span(air.used.lost_m3, 'm3')} of air."
    )
    if form.stands:
        yield (
            f"By half a panel, openings left out: the top {form.panel.height_mm / 1000:.2f} m up, panels bulging "
            f"{form.panel.panel_bulge_mm:.0f} mm. Doorway and sleeve draw the top lower; the files of a run tell of "
            "the whole room."
        )
    grams = after.drawn.cloth.mass_kg_m2.scaled(1000.0)
    yield (
        f"The cloth is taken as {figure(grams.low, 0)} to {figure(grams.high, 0)} g/m2; all of it weighs "
        f"{room.cloth_mass_kg:.0f} kg. Weigh yours."
    )
    inside = air.used.inside
    yield (
        f"At the end of the last visit: CO2 {span(inside.co2_ppm, 'ppm', 0)} in the room, "
        f"{span(inside.hall_co2_ppm, 'ppm', 0)} in "
        f"the hall; {span(inside.temperature_C, 'C', 0)}, wet bulb {span(inside.wet_bulb_C, 'C', 0)}; "
        f"{span(inside.fresh_L_s, 'L/s', 0)} of fresh air, {inside.required_L_s:.0f} asked for."
    )
    most = people.capacity
    yield (
        f"Room for {most.people} people, limited by {most.limited_by.value}: floor {most.by_floor}, ways out "
        f"{most.by_exits}, air {most.by_air}."
    )
    if people.pictures:
        best = _best_picture(people.pictures)
        panels = "one panel" if best.panels == 1 else f"{best.panels} panels"
        yield (
            f"A projector {best.throw_mm / 1000:.1f} m away can put {best.width_mm / 1000:.1f} x "
            f"{best.picture_height_mm / 1000:.1f} m on {panels}, {best.bottom_mm / 1000:.1f} m above the floor."
        )
    wind = after.hold_down.wind
    gust = (
        f"gusts of {wind.gust_m_s:.1f} m/s at most, with {counted(wind.anchors, 'anchor')}"
        if wind
        else "no wind at all"
    )
    ceiling = counted(after.hold_down.at_ceiling.anchors, "anchor")
    yield f"Outdoors it stands {gust}; the usual stop limit would take {ceiling}."


def _to_know(verdict: Verdict, told: Callable[[str], str]) -> Iterator[str]:
    warnings = {one.code: one for one in load_warnings(verdict)}
    for code in TO_KNOW:
        if code in warnings:
            yield from wrapped(told(_told(warnings[code])), "  - ", "    ")


def _told(warning: Warning) -> str:
    """A warning in two sentences: what is the matter, with its figure and limit, and what to do."""
    figures = "" if warning.code in _PLAIN else f": {warning.figure}; limit: {warning.limit}"
    return f"{warning.message.rstrip('.')}{figures}. {warning.remedy}"


def more_page(subject: Subject) -> str:
    """Write the longer page, the screen first."""
    after, curve, told = subject.plan.after, subject.curve, subject.told
    kg = after.drawn.site.ballast_kg
    lines = [
        screen(subject),
        "",
        told(f"In numbers, with {kg:.0f} kg of ballast"),
        *wrapped(_KEY),
        "",
        *_speeds(after, subject.marking),
    ]
    if len(after.air.settings.openings_mm) > 1:
        lines += ["", "In how many cases of 100 a setting does everything", *_chances(after), ""]
    for fact in _facts(subject):
        lines += wrapped(told(fact), "  ", "    ")
    if len(after.readings) > 2:
        read = map(told, reading_lines(subject.verdict))
        lines += ["", "What was read", *(line for text in read for line in wrapped(text, "  - ", "    "))]
    if curve is not None and curve.found:
        lines += [
            "",
            "How high it stands at each pressure (and of its height as sewn)",
            *_heights(curve, subject.marking),
        ]
        if not math.isnan(curve.end_Pa):
            lines += [f"  at {figure(curve.end_Pa)} Pa no form was found"]
    if subject.plan.others:
        lines += [
            "",
            f"One change by itself, and the chance it gives (now {chance(subject.verdict.air.setting.chance)})",
        ]
        for way in subject.plan.others:
            lines += wrapped(told(other_words(subject.verdict, way)), "  - ", "    ")
    know = list(_to_know(after, told))
    if know:
        lines += ["", "What to know", *know]
    rest = after.hazards[3:]
    if rest:
        lines += ["", "Other dangers"]
        lines += [line for found in rest for line in wrapped(told(danger_words(found)), "  - ", "    ")]
    lines += ["", "Always", *wrapped(" ".join(SAFETY_NOTES))]
    return "\n".join(lines)

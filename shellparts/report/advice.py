"""The numbers as a page to read: what will happen, why, and what to do about it.

Glossary: the *working band* lies between the pressure that holds the cloth up and the pressure at which the
base lifts; the room works where a speed's line runs inside the band. Every range is the likely value with the
lowest and the highest to expect in brackets. The page goes from answers over steps to tables, and says nothing
twice: what is told above is left out of what to know.
"""

import re
import textwrap
from collections.abc import Iterable, Iterator, Sequence

from shellparts.loads.band import Standing, likely_standing, standing_of
from shellparts.loads.picture_throw import Picture
from shellparts.loads.results import BreathingResult, SpeedResult
from shellparts.loads.wind import WindLimits
from shellparts.report.advice_day import Subject, answers, before_the_day, fan_stop, steps, ways_in_words
from shellparts.report.load_warnings import SAFETY_NOTES, load_warnings
from shellparts.report.warnings import Warning
from shellparts.report.words import WIND_WORDS, figure, span

__all__ = ["TO_KNOW", "advice_page"]

_WIDTH = 92
_GLUE = "\N{NO-BREAK SPACE}"
_NUMBER_UNIT = re.compile(r"(\d) (Pa|kg|g/m2|s|min|m|cm|mm|L/s|ppm|m/s)\b")
#: Beaufort 1, light air, ends here [m/s]; from memory of the WMO scale.
_LIGHT_AIR_M_S = 1.6
#: A picture on cloth that stands off one plane by more than this share of its width is bent [-]: ours.
_FLAT_SHARE = 0.1
#: What to know, dangers first; the other warnings are told by the answers, the ways to a yes and the steps.
TO_KNOW = (
    "no-band",
    "fan-too-weak",
    "sags",
    "base-lifts",
    "vent-shut-lifts",
    "outdoors",
    "cloth-weak",
    "flame-retardant",
    "fresh-air",
    "too-many-people",
    "exit-narrow",
    "second-exit",
    "signs-and-plan",
    "permit",
    "warm",
    "wrinkles",
)
#: Warnings whose message says all.
_PLAIN = frozenset({"base-lifts", "vent-shut-lifts", "flame-retardant", "outdoors"})
_KEY = (
    "In brackets: lowest to highest to expect. Pa: pressure; a sheet of paper presses on a table with 0.8. L/s: "
    "litres of fresh air a second. ppm: CO2 in the air; 420 outdoors."
)


def _wrapped(text: str, first: str, rest: str) -> Iterator[str]:
    for line in textwrap.wrap(_glued(text), _WIDTH, initial_indent=first, subsequent_indent=rest):
        yield line.replace(_GLUE, " ")


def _glued(text: str) -> str:
    """The text, its numbers glued to their units, so that no line ends between the two."""
    return _NUMBER_UNIT.sub(rf"\1{_GLUE}\2", text)


def _numbered(sentences: Iterable[str]) -> Iterator[str]:
    for number, sentence in enumerate(sentences, 1):
        yield from _wrapped(sentence, f"  {number}. ", "     ")


def _answer_lines(subject: Subject) -> Iterator[str]:
    for question, answer, reason in answers(subject):
        asked = textwrap.wrap(question, 30)
        because = [line.replace(_GLUE, " ") for line in textwrap.wrap(_glued(reason), _WIDTH - 47)]
        rows = max(len(asked), len(because))
        asked += [""] * (rows - len(asked))
        because += [""] * (rows - len(because))
        for row, (left, right) in enumerate(zip(asked, because, strict=True)):
            yield f"  {left:<31}{answer if row == 0 else '':<14}{right}".rstrip()


def _state(subject: Subject, speed: SpeedResult) -> str:
    """How a speed leaves the base, with the advised ballast: surely, or probably."""
    band = subject.ways.laid.air.band
    words = {Standing.LIFTS: "lifts", Standing.SAGS: "sags", Standing.STANDS: "stands"}
    likely = words[likely_standing(speed.pressure_Pa, band)]
    return likely if standing_of(speed.pressure_Pa, band) is not Standing.UNCERTAIN else f"probably {likely}"


def _speed_rows(subject: Subject) -> Iterator[str]:
    laid = subject.ways.laid
    air, longest = laid.air, laid.room.vent_longest_mm
    goal = f"vent for {figure(air.band.target_Pa)} Pa"
    has_vent = longest > 0.0
    yield _row("speed", "pressure inside", "the room", "fresh air each", "CO2", goal if has_vent else "")
    for speed, breath in zip(air.speeds, laid.breathing, strict=True):
        lifts = likely_standing(speed.pressure_Pa, air.band) is Standing.LIFTS
        each, ppm = ("-", "-") if lifts else _air_words(breath)
        vent = _vent_words(speed, longest) if has_vent else ""
        yield _row(speed.name, span(speed.pressure_Pa, "Pa"), _state(subject, speed), each, ppm, vent)


def _row(*cells: str) -> str:
    """One row of the table of speeds."""
    widths = (9, 20, 16, 15, 9, 0)
    return ("  " + "".join(f"{cell:<{width}}" for cell, width in zip(cells, widths, strict=True))).rstrip()


def _air_words(breath: BreathingResult) -> tuple[str, str]:
    if not breath.people:
        return "nobody inside", "-"
    return f"{figure(breath.fresh_air_L_s_person.likely)} L/s", f"{figure(breath.co2_steady_ppm.likely)} ppm"


def _vent_words(speed: SpeedResult, longest_mm: float) -> str:
    if speed.vent.area_m2.likely == 0.0:
        return "too weak"
    side = speed.vent.length_mm.likely / 20.0
    return f"{side:.0f} cm a side" + (
        f" (of {longest_mm / 20.0:.0f})" if speed.vent.length_mm.likely > longest_mm else ""
    )


def _limits(subject: Subject) -> str:
    air, laid = subject.verdict.air, subject.ways.laid.air
    more = (
        f", with {subject.ways.bags.total_kg:.0f} kg of ballast at {span(laid.band.lift_Pa, 'Pa')}"
        if subject.ways.bags.total_kg > subject.verdict.site.ballast_kg
        else ""
    )
    return (
        f"The cloth is held up from {span(air.band.hold_up_Pa, 'Pa')}; the base lifts at "
        f"{span(air.band.lift_Pa, 'Pa')}{more}."
    )


def _best_picture(pictures: tuple[Picture, ...]) -> Picture:
    """The widest that is nearly flat; else the flattest."""
    flat = [one for one in pictures if one.fits_inside and one.depth_mm <= _FLAT_SHARE * one.width_mm]
    return max(flat, key=lambda one: one.width_mm) if flat else min(pictures, key=lambda one: one.depth_mm)


def _facts(subject: Subject) -> Iterator[str]:
    verdict, form = subject.verdict, subject.form
    hold, people = verdict.hold_down, verdict.people
    if form.stands:
        change = form.panel.height_mm - form.sewn_height_mm
        yield (
            f"Under air the top is {form.panel.height_mm / 1000:.2f} m up, {abs(change):.0f} mm "
            f"{'higher' if change >= 0 else 'lower'} than sewn; panels bulge {form.panel.panel_bulge_mm:.0f} mm. "
            "That is of a panel far from doorway and sleeve, which draw the top lower; the files tell of the "
            "whole room."
        )
    else:
        yield f"Under air: no form to show; {form.panel.outcome.value}."
    grams, kg = verdict.cloth.mass_kg_m2.scaled(1000.0), verdict.room.cloth_mass_kg
    yield f"The cloth is taken as {span(grams, 'g/m2', 0)}; all of it weighs {kg:.0f} kg. Weigh yours."
    yield _people(subject)
    if people.pictures:
        best = _best_picture(people.pictures)
        panels = "one panel" if best.panels == 1 else f"{best.panels} panels"
        yield (
            f"A projector {best.throw_mm / 1000:.1f} m away can put {best.width_mm / 1000:.1f} x "
            f"{best.picture_height_mm / 1000:.1f} m on {panels}, {best.bottom_mm / 1000:.1f} m above the floor."
        )
    if verdict.site.indoors:
        yield _outdoors(hold.wind, hold.anchors_at_ceiling)


def _people(subject: Subject) -> str:
    """Who is reckoned with, and how many the room takes; the tunnel is never counted as floor."""
    people, site = subject.verdict.people, subject.verdict.site
    most = people.capacity
    if site.crowd:
        inside = f"{people.inside} people inside, {site.posture.value}" if people.inside else "nobody inside"
    else:
        inside = f"{people.inside} adults {site.posture.value}, as many as fit"
    say = "" if site.crowd else " Say who comes: build(..., site=Site(crowd=...))."
    if most.people == people.inside:
        return f"Reckoned with {inside}.{say}"
    takes = f"{most.people} people" if most.people else "nobody for certain"
    return f"Reckoned with {inside}; room for {takes}, limited by {most.limited_by.value}.{say}"


def _outdoors(wind: WindLimits, anchors: int) -> str:
    """The sentence about wind: below a light air a room is not for outdoors at all."""
    trouble = WIND_WORDS[wind.governed_by]
    if wind.limit_m_s < _LIGHT_AIR_M_S:
        return f"Outdoors: not as it is; in the lightest wind {trouble}. It would take {anchors} anchors."
    gust = f"{wind.limit_m_s:.1f} m/s"
    return f"Outdoors: take it down before gusts reach {gust}; then {trouble}. Plan {anchors} anchors."


def _to_know(subject: Subject) -> Iterator[str]:
    warnings = {one.code: one for one in load_warnings(subject.verdict)}
    if "base-lifts" in warnings and subject.verdict.air.vent_opening_mm < 1.0:
        warnings.pop("vent-shut-lifts", None)  # the vent is shut: one and the same
    for code in TO_KNOW:
        if code in warnings:
            yield from _wrapped(_told(warnings[code]), "  - ", "    ")


def _told(warning: Warning) -> str:
    """A warning in two sentences: what is the matter, with its figure and limit, and what to do."""
    limit = "" if warning.code == "wrinkles" else f"; limit: {warning.limit}"
    figures = "" if warning.code in _PLAIN else f": {warning.figure}{limit}"
    return f"{warning.message.rstrip('.')}{figures}. {warning.remedy}"


def advice_page(subject: Subject, sketch: Sequence[str] = ()) -> str:
    """Write the page, with the lines of a sketch of the working band."""
    name, title = subject.name, subject.title
    lines = [f"{name}: {title}" if title else name, "", *_answer_lines(subject)]
    ways = list(ways_in_words(subject))
    if ways:
        likely = subject.verdict.answers.likely
        surer = "What makes it surer" if likely.stands_up and likely.stays_down else "What makes it a yes"
        lines += ["", f"{surer}, cheapest first", *_numbered(ways)]
    lines += ["", f"On the day{before_the_day(subject)}", *_numbered(steps(subject))]
    lines += ["", *_wrapped(fan_stop(subject), "  ", "  ")]
    kg = subject.ways.bags.total_kg
    lines += ["", f"In numbers{f', with {kg:.0f} kg of ballast and the vent as above' if kg else ''}"]
    lines += [*_wrapped(_KEY, "  ", "  "), "", *_speed_rows(subject)]
    for fact in (_limits(subject), *_facts(subject)):
        lines += _wrapped(fact, "  ", "    ")
    if sketch:
        lines += ["", "Pressure against how far the vent is open (likely values; steps by ratio)"]
        lines += [f"  {line}" for line in sketch]
    know = list(_to_know(subject))
    if know:
        lines += ["", "What to know", *know]
    lines += ["", "Always", *_wrapped(" ".join(SAFETY_NOTES), "  ", "  ")]
    return "\n".join(lines)

"""The one screen: may it be used, what to change, what to get, one setting, what to do, signs of trouble, the drill.

Glossary: a chance is said as cases in 100. *As it is* is the room as the script says; the setting, the steps and all
that follows are for the room with the changes made. What is not here stands on the longer page.
"""

import math
import textwrap
from collections.abc import Callable, Iterable, Iterator

from shellparts.base.counted import counted
from shellparts.base.unparted import NO_BREAK, unparted
from shellparts.loads.changes import Change
from shellparts.loads.readings import ReadingCheck, Slip
from shellparts.loads.results import Decision, Grade, HoldUpSource, Must, Verdict
from shellparts.loads.settings import SURE_CHANCE, clips_each_side
from shellparts.parameters.readings import ReadingKind
from shellparts.parameters.site import AgeGroup, FloorKind
from shellparts.report.adult_words import adults_of, bags_laid_by
from shellparts.report.change_words import danger_words, lacking_words, step_words
from shellparts.report.drill_words import drill
from shellparts.report.subject import Subject
from shellparts.report.words import (
    bags_in_words,
    chance,
    clips_in_words,
    figure,
    people_in_words,
    span,
    time_span,
)

__all__ = [
    "LINES",
    "TUBE_MM_PA",
    "WIDTH",
    "numbered",
    "reading_lines",
    "screen",
    "steps",
    "to_get",
    "wrapped",
]

WIDTH = 92
LINES = 45  # of the screen at most
#: The ends of the water in a U tube on a slope of 1 in 20 stand this far apart for each pascal [mm]: the head of
#: water, 1/9.80665 mm, times 20.
TUBE_MM_PA = 20.0 / 9.80665
#: Room to spare under a ceiling [mm]: ours.
_CEILING_MM = 300.0
_HEADS = {
    Decision.GO: "GO: with the setting below, and the cautions.",
    Decision.CHANGES: "GO AFTER THESE CHANGES",
    Decision.NOT: "DO NOT USE",
}


_FLOORS = {
    FloorKind.HALL_FLOOR: "a hall floor",
    FloorKind.CARPET: "a carpet",
    FloorKind.GROUND: "bare ground",
    FloorKind.GRASS: "grass",
}
_GROUPS = {
    AgeGroup.BOYS_6_10: "children",
    AgeGroup.GIRLS_6_10: "children",
    AgeGroup.BOYS_11_15: "young people",
    AgeGroup.WOMEN_30_39: "adults",
    AgeGroup.MEN_30_39: "adults",
}


def wrapped(text: str, first: str = "  ", rest: str = "  ") -> Iterator[str]:
    """Lines of a paragraph; no line ends between a number and its unit."""
    for line in textwrap.wrap(unparted(text), WIDTH, initial_indent=first, subsequent_indent=rest):
        yield line.replace(NO_BREAK, " ")


def numbered(sentences: Iterable[str]) -> Iterator[str]:
    """Lines of a numbered list."""
    for number, sentence in enumerate(sentences, 1):
        yield from wrapped(sentence, f"  {number}. ", "     ")


def _who(verdict: Verdict) -> str:
    people, site = verdict.people, verdict.drawn.site
    counts: dict[str, int] = {}
    for part in people.crowd:
        counts[_GROUPS[part.group]] = counts.get(_GROUPS[part.group], 0) + part.count
    one = {"children": "child", "young people": "young person", "adults": "adult"}
    told = (f"{count} {one[name] if count == 1 else name}" for name, count in counts.items() if count)
    crowd = " and ".join(told) or "nobody"
    said = "" if people.said else " (as many as fit; say who comes: children=…, adults=…)"
    place = f"{'indoors' if site.indoors else 'outdoors'} on {_FLOORS[site.floor]}"
    high = f", {site.altitude_m:.0f} m up" if abs(site.altitude_m) >= 100.0 else ""
    return (
        f"For {crowd}{said}, {site.posture.value}; {place}, {site.air_temperature_C:.0f} C and "
        f"{site.relative_humidity:.0%}{high}."
    )


def _changes(subject: Subject) -> Iterator[str]:
    plan, verdict, told = subject.plan, subject.verdict, subject.told
    if plan.decision is Decision.NOT:
        lacking = plan.lacking
        if Must.AIR in lacking and _rises(
            plan.after
        ):  # the setting fails with it, and ballast is no question then
            lacking = tuple(must for must in lacking if must not in (Must.SETTING, Must.BALLAST))
        yield from numbered(told(lacking_words(plan.after, must)) for must in lacking[:3])
        if plan.steps:
            yield from wrapped(
                told("It would also take: " + " ".join(step_words(verdict, s) for s in plan.steps[:3]))
            )
    else:
        yield from numbered(told(step_words(verdict, step)) for step in plan.steps)


def _rises(verdict: Verdict) -> bool:
    """Whether any speed may hold the room up."""
    return max(one.setting.chance_up for one in verdict.air.speeds) >= 1.0 - SURE_CHANCE


def _answers(subject: Subject) -> Iterator[str]:
    """What holds, as it is and with the changes."""
    before, after = subject.verdict, subject.plan.after
    both = bool(subject.plan.steps)
    air, setting = after.air, after.air.setting
    source = "" if air.hold_up_source is HoldUpSource.FORM else "by formula, less sure"
    rows: tuple[tuple[str, Callable[[Verdict], str], str], ...] = (
        (
            "Stands up",
            lambda v: chance(v.air.setting.chance_up),
            f"{span(setting.pressure_Pa, 'Pa')}; needs {span(air.hold_up_Pa, '')}",
        ),
        (
            "Stays down",
            lambda v: chance(v.air.setting.chance_down) if _rises(v) else "it never rises",
            f"lifts at {span(air.lift_Pa, 'Pa')}",
        ),
        (
            "Air good" if air.strict else "Air bearable",
            lambda v: chance(v.air.setting.chance_air),
            _air_words(after),
        ),
        ("All three", lambda v: chance(v.air.setting.chance), _margin(after)),
        (
            "Out in time",
            lambda v: f"{min(v.people.escape.people, v.people.inside)} of {v.people.inside}",
            f"all need {time_span(after.people.leave_s, 'for ever')}"
            + ("" if after.musts[Must.OUT_IN_TIME] is Grade.MET else "; see the drill"),
        ),
    )
    yield f"  {'':<14}{'as it is':<16}{'with the changes  ' if both else ''}{source}".rstrip()
    for name, cell, reason in rows:
        cells = f"{cell(before):<16}" + (f"{cell(after):<18}" if both else "")
        yield from wrapped(subject.told(reason), f"  {name:<14}{cells}", " " * (50 if both else 32))


def _air_words(verdict: Verdict) -> str:
    inside = verdict.air.used.inside
    if not verdict.people.inside:
        return "nobody is reckoned with inside"
    return f"CO2 to {figure(inside.co2_ppm.high)} ppm, wet bulb to {figure(inside.wet_bulb_C.high, 0)} C"


def _margin(verdict: Verdict) -> str:
    best, room = verdict.air.setting, verdict.drawn.room
    if room.vent_longest_mm <= 0.0:
        return "there is no vent to set"
    if best.from_mm is None or best.to_mm is None:
        return "less than 9 in 10 at any setting"
    low, high = (mm / (2 * room.vent_count) / 10.0 for mm in (best.from_mm, best.to_mm))
    return f"9 in 10 from {low:.0f} to {high:.0f} cm a side"


def to_get(subject: Subject) -> str:
    """What to have at hand on the day, beside the room."""
    after, plan = subject.plan.after, subject.plan
    room, site = after.drawn.room, after.drawn.site
    things = []
    bags = plan.step(Change.BALLAST)
    if bags is not None and bags.bags is not None:
        things.append(bags_in_words(bags.bags))
    elif site.ballast_kg:
        things.append(f"the {site.ballast_kg:.0f} kg of ballast")
    if room.vent_longest_mm > 0.0:
        each = clips_each_side(room.vent_longest_mm / room.vent_count, math.inf, site.clip_spacing_mm)
        things.append(counted(2 * room.vent_count * each, "clip"))
    if site.anchors and not site.indoors:
        things.append(counted(site.anchors, "anchor"))
    things.append("a lead with an earth-leakage switch")
    if plan.step(Change.SECOND_FAN) is not None or site.second_fan:
        things.append("the second fan on its own circuit")
    things.append("clear tube and a board to measure")
    return "; ".join(things) + "."


def steps(subject: Subject) -> Iterator[str]:
    """What to do on the day, in order."""
    after, form = subject.plan.after, subject.form
    site, room, used = after.drawn.site, after.drawn.room, after.air.used
    top = max(form.panel.height_mm if form.stands else 0.0, room.height_mm)
    wind = after.hold_down.wind
    place = f"where {(top + _CEILING_MM) / 1000:.1f} m is free above"
    if not site.indoors:
        gust = f", people out and the fan off before gusts of {wind.gust_m_s:.1f} m/s" if wind else ""
        place = f"only in a calm{gust}"
    yield f"Lay it out {place}, fan tied in, way out clear."
    if site.ballast_kg:
        yield _bags_laid(after)
    clips = "all clips on" if room.vent_longest_mm > 0.0 else "doorway shut"
    yield f"Nobody inside, {clips}, fan at {used.name!r}: full in {time_span(used.fill_shut_s, 'never')}."
    set_words = clips_in_words(used.setting, room, site.clip_spacing_mm)
    at_once = f"At once {set_words}, from the floor up" if used.setting.clips else "Leave the clips on"
    yield f"{at_once}: walls firm to a flat hand, the hem still."
    pressure = used.setting.pressure_Pa
    yield (
        f"Measure: {span(pressure, 'Pa')}. A clear U tube, half full of water, on a board rising 1 in 20, one end led "
        f"inside: {pressure.likely * TUBE_MM_PA:.0f} mm apart. Check again with the reading: it tells most."
    )
    yield "Fan off once, nobody inside: see the cloth come down, practise the drill."
    yield _doorway(after)


def _bags_laid(after: Verdict) -> str:
    """How bags come to lie inside: in a room that half stands, never under limp cloth.

    With the vent shut even the slowest speed may lift a room that has no bags yet: so it is open at first.
    """
    room, slow = after.drawn.room, after.air.speeds[0].name
    vent, more = (
        ("clips off", "clips on one by one") if room.vent_longest_mm > 0.0 else ("doorway open", "shut it")
    )
    where = "on the flap" if room.flap_area_m2 > 0.0 else "on the hem"
    return (
        f"Bags: fan at {slow!r}, {vent}, hands on the foot outside; {more} till the way out stands. "
        f"{bags_laid_by(adults_of(after), f'{where} against the wall')}. Nobody crawls under limp cloth."
    )


def _doorway(after: Verdict) -> str:
    used, inside = after.air.used, after.people.inside
    most = f"At most {people_in_words(inside)} inside, let in" if inside else "People in"
    if used.door_chance_up >= SURE_CHANCE:
        return f"{most} one at a time; the room bears it."
    return (
        f"{most} one at a time, the curtain shut behind each; wait until the walls are firm, "
        f"{time_span(used.recover_s, 'never')}; all in after {time_span(used.let_in_s, 'never')}."
    )


def signs(subject: Subject) -> Iterator[str]:
    """What to watch for, and what to do then."""
    after = subject.plan.after
    room, setting = after.drawn.room, after.air.setting
    full = setting.opening_mm >= room.vent_longest_mm - 1.0
    faster, slower = after.air.other(1), after.air.other(-1)
    lifts = ["more ballast"] if full else ["one more clip off on each side", "more ballast"]
    lifts += [f"speed {slower!r}"] if slower else []
    slack = ["a clip back on each side"] if setting.clips else []
    slack += [f"speed {faster!r}"] if faster else []
    yield f"Base hops, air blows out under it: {', then '.join(lifts)}."
    yield f"Walls or doorway slack: people out, then {', then '.join(slack) or 'seal the base'}."


def reading_lines(verdict: Verdict, most: int | None = None) -> Iterator[str]:
    """What was read, what of it is believed, and how much narrower the pressure is known; `most` of each at most."""
    if not verdict.readings:
        return
    for questioned, words in ((True, "questioned"), (False, "used")):
        found = [check for check in verdict.readings if check.questioned == questioned]
        yield from (_read(check) for check in found[:most])
        if most is not None and len(found) > most:
            yield f"{len(found) - most} more {words}: --more tells them."
    at = verdict.air.setting
    speed = verdict.drawn.fan.fan.speed(at.speed)
    before = verdict.unread.draws.spread(verdict.unread.working(speed, at.opening_mm).pressure_Pa)
    yield f"With these the pressure at the setting is {span(at.pressure_Pa, 'Pa')}; before, {span(before, 'Pa')}."


_UNITS = {
    ReadingKind.PRESSURE: "Pa",
    ReadingKind.FILL_TIME: "s",
    ReadingKind.CLOTH_WEIGHT: "kg",
    ReadingKind.FAN_FLOW: "m3/s",
    ReadingKind.LIFTS: "mm open",
}
_SLIPS = {
    Slip.MM_WATER: "millimetres of water",
    Slip.PASCAL_AS_MM: "pascals, written as millimetres of water",
    Slip.INCH_WATER: "inches of water",
    Slip.PASCAL_AS_INCH: "pascals, written as inches of water",
    Slip.HECTOPASCAL: "hectopascals",
    Slip.POINT_LEFT: "ten times as much",
    Slip.POINT_RIGHT: "a tenth",
    Slip.ONE_LEG: "one leg of the tube only",
    Slip.TWICE: "counted twice",
    Slip.MINUTES: "minutes",
    Slip.POUNDS: "pounds",
    Slip.KILOGRAMS: "kilograms, written as pounds",
    Slip.M3_H_AS_CFM: "cubic metres an hour",
    Slip.CFM_AS_M3_H: "cubic feet a minute",
}


def _read(check: ReadingCheck) -> str:
    one = check.reading
    at = f" at {one.speed!r}" if one.speed else ""
    where = f", {one.opening}" if one.opening else ""
    unit = _UNITS[one.kind]
    told = f"{one.kind.value}{at}{where}: {figure(check.value)} {unit}, expected {span(check.expected, unit)}"
    if not check.questioned:
        return f"Read and used: {told}."
    may = " or ".join(f"{_SLIPS[slip.slip]} ({figure(slip.value)} {unit})" for slip in check.may_be[:2])
    return f"QUESTIONED, not used: {told}." + (f" Was it {may}?" if may else " Read it again.")


def screen(subject: Subject) -> str:
    """Write the screen."""
    plan, after, told = subject.plan, subject.plan.after, subject.told
    name = f"{subject.name}: {subject.title}" if subject.title else subject.name
    lines = [name, *wrapped(told(_who(subject.verdict))), "", _HEADS[plan.decision], *_changes(subject), ""]
    lines += list(_answers(subject))
    for text in reading_lines(subject.verdict, most=1):
        lines += wrapped(told(text), "  ", "    ")
    if plan.decision is not Decision.NOT:
        setting = after.air.setting
        where = clips_in_words(setting, after.drawn.room, after.drawn.site.clip_spacing_mm)
        lines += ["", f"The setting: speed {setting.speed!r}, {told(where)}"]
        lines += wrapped(told(f"To get: {to_get(subject)}"), "", "  ")
        lines += ["On the day", *numbered(map(told, steps(subject)))]
        lines += ["Signs of trouble"]
        lines += [line for sign in signs(subject) for line in wrapped(sign, "  - ", "    ")]
        lines += ["", *wrapped(told(f"If the fan stops: {drill(subject)}"), "", "  ")]
    lines += ["", "The largest dangers"]
    lines += [
        line for found in after.hazards[:3] for line in wrapped(told(danger_words(found)), "  - ", "    ")
    ]
    lines += wrapped(
        "For planning: local codes and licensed practice decide. The rest: check … --more", "", ""
    )
    empty = [number for number, line in enumerate(lines) if not line][::-1]
    for number in empty[: max(len(lines) - LINES, 0)]:  # where there is much to tell, the white lines go
        del lines[number]
    return "\n".join(lines)

"""The one screen and the longer page: short, complete, and what they say is what the numbers are."""

import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from attrs import evolve
from metric_alone import FIGURE
from model_rooms import NAMES, room_of

from shellparts.build.numbers import Numbers
from shellparts.build.script import run_script
from shellparts.loads.ballast import ballast_plan
from shellparts.loads.changes import Change, ChangeStep, OtherWay
from shellparts.loads.hazards import Hazard, HazardFound
from shellparts.loads.readings import MayBe, Slip
from shellparts.loads.results import Decision, Grade, Must
from shellparts.loads.settings import SURE_CHANCE, clips_each_side
from shellparts.loads.sinking import SinkingVariant
from shellparts.parameters.fan_sources import fan_from_label
from shellparts.parameters.readings import Reading, ReadingKind, reading
from shellparts.parameters.site import FloorKind, Site, crowd_of
from shellparts.report.adult_words import adults_of, drill_known
from shellparts.report.change_words import danger_words, lacking_words, other_words, step_words
from shellparts.report.drill_words import drill
from shellparts.report.load_warnings import RULES, load_warnings
from shellparts.report.page import LINES, reading_lines, screen, steps
from shellparts.report.page_more import TO_KNOW

MODELS = Path(__file__).parents[2] / "models"
#: Where the screen tells a warning that the longer page does not repeat.
ON_SCREEN = {
    "tune-vent": "All three",
    "fan-assumed": "Measure: ",
    "door-sags": "one at a time",
    "sinks-before-out": "If the fan stops: ",
    "stays-up-short": "If the fan stops: ",
    "ballast": "Ballast, ",
}


def read_of(numbers: Numbers) -> list[Reading]:
    """A pressure that is right, and one that was read on one leg of the tube."""
    verdict = numbers.air.verdict
    speed = verdict.fan.speeds[0].name
    right = verdict.drawn.draws.spread(verdict.drawn.working(verdict.fan.speeds[0], 0.0).pressure_Pa).likely
    return [reading("pressure", right, speed, "shut"), reading("pressure", right / 10.0, speed, "shut")]


def random_site(seed: int) -> Numbers:
    rng = np.random.default_rng(seed)
    room = room_of(NAMES[seed % 3])
    outlet_mm, speed_m_s = float(rng.uniform(350, 650)), float(rng.uniform(4, 13))
    fan = fan_from_label("some fan", speed_m_s * np.pi / 4e6 * outlet_mm**2, outlet_mm)
    site = Site(
        crowd=crowd_of(children=int(rng.integers(0, 30)), adults=int(rng.integers(0, 4))),
        attendants=int(rng.integers(0, 4)),
        indoors=bool(rng.uniform() < 0.7),
        floor=list(FloorKind)[int(rng.integers(4))],
        ballast_kg=float(rng.choice([0.0, 12.0, 40.0, 150.0])),
        air_temperature_C=float(rng.uniform(5, 35)),
        relative_humidity=float(rng.uniform(0.2, 0.9)),
        altitude_m=float(rng.choice([0.0, 1500.0])),
        generator=bool(rng.uniform() < 0.2),
        wheelchairs=bool(rng.uniform() < 0.3),
        second_fan=bool(rng.uniform() < 0.2),
        vent_opening_mm=None if rng.uniform() < 0.8 else 300.0,
    )
    return evolve(room, fan=fan, site=site).first_look


CASES = [
    *(f"{name} as it is" for name in NAMES),
    "lantern_room ballast",
    "tide_dome read",
    "orchard_pavilion outdoors",
    "lantern_room hot",
    *(f"random {seed}" for seed in range(12)),
]
#: Those that are looked at each time.
FEW = CASES[:10]


@cache
def case(name: str) -> Numbers:
    first, *rest = name.split(" ", 1)
    if first == "random":
        return random_site(int(rest[0]))
    if rest == ["ballast"]:
        return run_script(MODELS / f"{first}.py", {"ballast": 22}).first_look
    if rest == ["hot"]:
        return run_script(MODELS / f"{first}.py", {"temperature": 34, "humidity": 0.8}).first_look
    room = room_of(first)
    if rest == ["read"]:
        return room.with_readings(read_of(room.first_look)).first_look
    if rest == ["outdoors"]:
        return evolve(room, site=evolve(room.site, indoors=False, floor=FloorKind.GRASS)).first_look
    return room.first_look


every_case = pytest.mark.parametrize(
    "name", [*FEW, *(pytest.param(name, marks=pytest.mark.sweep) for name in CASES[10:])]
)


def unwrapped(page: str) -> str:
    return " ".join(page.split())


@every_case
def test_the_screen_is_one_screen_and_nothing_but_words(name):
    page = case(name).advice()
    lines = page.splitlines()
    assert len(lines) <= LINES
    assert max(map(len, lines)) <= 92
    assert all(line == line.rstrip() for line in lines)
    assert not re.search(r"\b(inf|nan|None|array)\b|[{}<>]|  \. |\.\.", page), page
    more = case(name).advice(more=True)
    assert more.startswith(page)
    assert max(map(len, more.splitlines())) <= 92
    assert not re.search(r"\b(inf|nan|None|array)\b|[{}<>]|\.\.(?!.)", more), more


@every_case
def test_the_decision_comes_first_and_is_that_of_the_numbers(name):
    numbers = case(name)
    plan, page = numbers.air.plan, numbers.advice()
    heads = {Decision.GO: "GO: ", Decision.CHANGES: "GO AFTER THESE CHANGES", Decision.NOT: "DO NOT USE"}
    first = next(line for line in page.splitlines()[1:] if line and line[0] != " ")
    assert first.startswith(heads[plan.decision])
    flat = unwrapped(page)
    told = [numbers.air.told(unwrapped(step_words(numbers.air.verdict, step))) for step in plan.steps]
    if plan.decision is Decision.CHANGES:
        assert all(words in flat for words in told)
        assert [flat.index(words) for words in told] == sorted(flat.index(words) for words in told)
    if plan.decision is Decision.NOT:
        assert "The setting:" not in page and "On the day" not in page
        assert any(
            numbers.air.told(unwrapped(lacking_words(plan.after, must))) in flat for must in plan.lacking
        )


@every_case
def test_what_the_screen_says_is_what_the_numbers_are(name):
    numbers = case(name)
    before, plan, page = numbers.air.verdict, numbers.air.plan, numbers.advice()
    after, flat, told = plan.after, unwrapped(numbers.advice()), numbers.air.told

    def in_100(share: float) -> str:
        return f"{np.floor(100 * share + 1e-9):.0f}", f"{round(100 * share):.0f}"

    row = next(line for line in page.splitlines() if line.startswith("  All three"))
    cells = re.findall(r"(\d+) (?:in|of) 100", row)
    wanted = [before.air.setting.chance, after.air.setting.chance][: 2 if plan.steps else 1]
    assert len(cells) == len(wanted) or any(share in (0.0, 1.0) for share in wanted)
    if len(cells) == len(wanted):
        for cell, share in zip(cells, wanted, strict=True):
            assert abs(int(cell) - 100 * share) <= 1.0
    row = next(line for line in page.splitlines() if line.startswith("  Out in time"))
    some, inside = min(before.people.escape.people, before.people.inside), before.people.inside
    assert f"{some} of {inside}" in row and "all need" in flat
    if plan.decision is Decision.NOT:
        return
    setting, room = after.air.setting, after.drawn.room
    assert f"The setting: speed {setting.speed!r}, " in page
    if room.vent_longest_mm > 0.0:
        spacing = after.drawn.site.clip_spacing_mm
        each = clips_each_side(room.vent_longest_mm / room.vent_count, np.inf, spacing)
        assert f"{2 * room.vent_count * each} clips" in flat
        if setting.clips:
            off = "all " if setting.opening_mm >= room.vent_longest_mm - 1 else ""
            assert f"{off}{setting.clips} clip" in flat
            assert told(f"({setting.opening_mm / (2 * room.vent_count) / 10:.0f} cm open)") in flat
        else:
            assert "all clips on" in flat
    assert setting.chance >= SURE_CHANCE
    laid = plan.step(Change.BALLAST)
    if laid is not None:
        assert told(f"Ballast, {laid.bags.laid_kg:.0f} kg (now ") in flat
        assert after.drawn.site.ballast_kg == laid.bags.laid_kg
        record = numbers.record()
        assert record["plan"]["ballast_kg"] == laid.bags.laid_kg
    elif before.drawn.site.ballast_kg:
        assert told(f"the {before.drawn.site.ballast_kg:.0f} kg of ballast") in flat
    assert told(f"{room.cloth_mass_kg:.0f} kg in all") in flat


@every_case
def test_no_warning_is_lost(name):
    numbers = case(name)
    more, told = unwrapped(numbers.advice(more=True)), numbers.air.told
    for warning in load_warnings(numbers.air.plan.after):
        if warning.code in TO_KNOW:
            assert told(unwrapped(warning.message)).rstrip(".") in more
            assert told(unwrapped(warning.remedy)) in more
        elif numbers.air.plan.decision is not Decision.NOT and warning.code != "ballast":
            assert ON_SCREEN[warning.code] in numbers.advice()
    for hazard in numbers.air.plan.after.hazards:
        assert told(unwrapped(danger_words(hazard))) in more


def test_with_an_inch_tape_the_pages_say_no_metric_figure():
    """Speeds, heights, ballast, dangers, the setting: feet, inches, pounds alone, for a screen is short."""
    numbers = case("orchard_pavilion as it is")
    more = unwrapped(numbers.advice(more=True))
    assert [match[0] for match in FIGURE.finditer(more)] == []
    assert len(re.findall(r"\d (?:ft|in|lb)\b", more)) > 20
    assert FIGURE.search(unwrapped(case("lantern_room as it is").advice(more=True)))


def test_every_warning_has_its_place():
    assert set(TO_KNOW) | set(ON_SCREEN) == {rule.code for rule in RULES}
    assert not set(TO_KNOW) & set(ON_SCREEN)
    assert len(set(TO_KNOW)) == len(TO_KNOW)


def test_the_cases_are_of_both_kinds():
    """Else the tests above would say little."""
    plans = [case(name).air.plan for name in FEW]
    assert {plan.decision for plan in plans} >= {Decision.CHANGES, Decision.NOT}


@pytest.mark.sweep
def test_all_cases_together_are_of_many_kinds():
    plans = [case(name).air.plan for name in CASES]
    assert len({must for plan in plans for must in plan.lacking}) >= 2
    assert len({step.change for plan in plans for step in plan.steps}) >= 3


def test_every_kind_has_words():
    numbers = case(CASES[0])
    verdict = numbers.air.verdict
    bags = ballast_plan(verdict.drawn.room, verdict.drawn.cloth, 30.0)
    told = [other_words(verdict, OtherWay(change, 2.0, 0.5)) for change in Change]
    told += [
        step_words(verdict, ChangeStep(change, 2.0, bags if change is Change.BALLAST else None))
        for change in Change
        if change not in (Change.HOOP, Change.LIGHTER, Change.TUNE)  # which are other ways only
    ]
    told += [lacking_words(verdict, must) for must in Must]
    told += [danger_words(HazardFound(hazard, 1234.0)) for hazard in Hazard]
    assert all(words.endswith(".") and not re.search(r"[{}]|\b(None|nan|inf)\b", words) for words in told)
    assert len(set(told)) == len(told)


def test_every_slip_and_every_kind_of_reading_has_words():
    verdict = case("tide_dome read").air.verdict
    right, wrong = verdict.readings
    assert not right.questioned and wrong.questioned
    lines = list(reading_lines(verdict))
    assert lines[0].startswith("QUESTIONED, not used: pressure at ")
    assert lines[1].startswith("Read and used: pressure at ")
    assert lines[2].startswith("With these the pressure at the setting is ")
    said = set()
    for slip in Slip:
        check = evolve(wrong, may_be=(MayBe(slip, 3.0),))
        said.add(next(reading_lines(evolve(verdict, readings=(check,)))))
    assert len(said) == len(Slip)
    for kind in ReadingKind:
        one = Reading(kind, None if kind is ReadingKind.LIFTS else 5.0, "low", "2 clips")
        check = evolve(right, reading=one)
        assert kind.value in next(reading_lines(evolve(verdict, readings=(check,))))
    many = list(reading_lines(evolve(verdict, readings=(right, wrong) * 4), most=1))
    assert [line[:4] for line in many] == ["QUES", "3 mo", "Read", "3 mo", "With"]
    assert len(list(reading_lines(evolve(verdict, readings=(right, wrong) * 4)))) == 9


def test_what_helps_when_the_fan_stops_is_told():
    subject = case(CASES[0]).air
    people = subject.plan.after.people
    for variant, words in (
        (SinkingVariant.SLEEVE_FLAP, "a flap in the sleeve (22 people out in time)"),
        (SinkingVariant.SECOND_FAN, "a second fan that runs too (22 people out in time)"),
    ):
        better = evolve(people.escape, variant=variant, people=99)
        after = evolve(subject.plan.after, people=evolve(people, escapes=(people.escape, better)))
        assert words in drill(evolve(subject, plan=evolve(subject.plan, after=after)))


#: Words for adults that are wrong for so many: one, two, three or more.
WRONG_FOR_ADULTS = (
    r"[Tt]wo adults|(?:the )?others? inside|other adult|[Tt]he adults|those inside know|\b1 adults|the one inside",
    r"[Oo]ther adults|the others inside|[Tt]he adults|those inside know|[Oo]ne adult lays",
    r"other adult\b|the other inside|the one inside|[Oo]ne adult lays",
)


def with_adults(subject, count):
    """A room that so many adults look after, and nobody else."""
    after = subject.plan.after
    site = evolve(after.drawn.site, attendants=count)
    people = evolve(
        after.people, crowd=crowd_of(children=8), said=True, escapes=(evolve(after.people.escape, people=3),)
    )
    musts = {**after.musts, Must.OUT_IN_TIME: Grade.CARE}
    changed = evolve(after, drawn=evolve(after.drawn, site=site), people=people, musts=musts)
    return evolve(subject, plan=evolve(subject.plan, after=changed))


@pytest.mark.parametrize("count", [1, 2, 3, 7])
def test_words_for_adults_follow_their_number(count):
    """On the screen, in the steps, in the drill, in the checks and in the changes."""
    subject = with_adults(case(CASES[0]).air, count)
    after = subject.plan.after
    told = [*steps(subject), drill(subject), drill_known(adults_of(after))]
    told.append(step_words(after, ChangeStep(Change.ATTENDANTS, float(count))))
    assert sum(bool(re.search(r"\badults?\b", words)) for words in told) == 4
    wrong = re.compile(WRONG_FOR_ADULTS[min(count, 3) - 1])
    assert [words for words in told if wrong.search(words)] == []
    assert [words for words in (unwrapped(screen(subject)),) if wrong.search(words)] == []


def test_adults_of_the_crowd_count_where_they_are_more():
    subject = with_adults(case(CASES[0]).air, 1)
    after = subject.plan.after
    for adults, least in ((0, 1), (1, 1), (4, 4)):
        crowd = crowd_of(children=8, adults=adults)
        assert adults_of(evolve(after, people=evolve(after.people, crowd=crowd))) == least


def test_a_room_named_and_one_unnamed_have_a_head():
    subject = case(CASES[0]).air
    assert screen(subject).startswith(f"{subject.name}: {subject.title}\n")
    assert screen(evolve(subject, title="")).startswith(f"{subject.name}\n")

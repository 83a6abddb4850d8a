"""Warnings and records of the numbers: raised by their figures, in plain words, never silent about what is uncertain."""

import json
import math
import re
from string import Formatter

import pytest
from attrs import evolve
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plain_room import make_room

from shellparts.base.ranges import Range, exact
from shellparts.loads.assess import assess
from shellparts.loads.outdoors import WIND_CEILING_M_S
from shellparts.loads.results import Grade, Must
from shellparts.loads.settings import SURE_CHANCE
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.fan_sources import fan_from_label, fan_from_points
from shellparts.parameters.site import AgeGroup, Crowd, FloorKind, Posture, Site
from shellparts.report.load_phrases import PHRASES
from shellparts.report.load_warnings import RULES, SAFETY_NOTES, load_warnings
from shellparts.report.page_more import TO_KNOW
from shellparts.report.records import verdict_record

WEAK = fan_from_points("weak", (0.0, 0.05), (3.0, 0.0), 200.0)
CHILDREN = (Crowd(AgeGroup.BOYS_6_10, 12), Crowd(AgeGroup.WOMEN_30_39, 1))
#: Warnings that the answers, the changes, the steps and the drill of the screen tell, without a line of their own.
TOLD_ABOVE = {
    "tune-vent", "fan-assumed", "door-sags", "sinks-before-out", "stays-up-short", "ballast",
}  # fmt: skip

#: Keys that other programs rely on.
AIR_KEYS = {
    "hold_up_pressure_Pa",
    "lift_pressure_Pa",
    "speeds",
    "vent_area_m2",
    "inflate_time_s",
    "deflate_time_s",
}
SPEED_KEYS = {
    "name",
    "pressure_Pa",
    "flow_m3_s",
    "lift_ratio",
    "air_changes_per_h",
    "fresh_air_l_s_person",
    "co2_steady_ppm",
}


def test_the_table_has_each_code_once_and_every_phrase_that_it_names():
    found = [rule.code for rule in RULES]
    assert len(set(found)) == len(found)
    assert set(found) == set(TO_KNOW) | TOLD_ABOVE
    assert not set(TO_KNOW) & TOLD_ABOVE
    texts = [text for rule in RULES for text in (rule.message, rule.figure, rule.limit, rule.remedy)]
    named = {name for text in texts for _, name, _, _ in Formatter().parse(text) if name}
    assert named == set(PHRASES), "no phrase is missing, and none is left over"


def codes(verdict):
    return {warning.code for warning in load_warnings(verdict)}


def test_the_summary_has_the_keys_that_others_rely_on_and_is_json(room, fan, cloth):
    summary = verdict_record(assess(room, fan, cloth, Site(crowd=CHILDREN)))
    assert summary["air"].keys() >= AIR_KEYS
    assert all(speed.keys() >= SPEED_KEYS for speed in summary["air"]["speeds"])
    assert {"uplift_N", "weight_N", "ballast_kg", "wind_limit_m_s"} <= summary["hold_down"].keys()
    assert {"capacity", "limited_by", "exit_width_mm"} <= summary["people"].keys()
    assert all(
        {"code", "message", "remedy", "figure", "limit", "source"} == set(w) for w in summary["warnings"]
    )
    assert summary["safety"] == list(SAFETY_NOTES)
    assert json.loads(json.dumps(summary, allow_nan=False)) == summary


def test_the_same_input_gives_the_same_numbers(room, fan, cloth):
    first, second = (verdict_record(assess(room, fan, cloth, Site())) for _ in range(2))
    assert first == second


def test_no_band_is_said(bare_room, fan, cloth):
    verdict = assess(bare_room, fan, cloth, Site())
    (warning,) = [w for w in load_warnings(verdict) if w.code == "no-band"]
    assert "flap" in warning.remedy
    assert verdict.air.setting.chance < SURE_CHANCE


def test_outdoors_warns_always(room, fan, cloth):
    held = Site(indoors=False, ballast_kg=3000.0, anchors=50, floor=FloorKind.GROUND)
    for site in (Site(indoors=False), held):
        verdict = assess(room, fan, cloth, site)
        assert "outdoors" in codes(verdict)
        wind = verdict.hold_down.wind
        assert wind is None or wind.gust_m_s <= WIND_CEILING_M_S
        assert verdict.musts[Must.OUTDOORS] is not Grade.MET
    assert "outdoors" not in codes(assess(room, fan, cloth, Site()))
    hopeless = assess(room, WEAK, cloth, Site(indoors=False))
    (first,) = [w for w in load_warnings(hopeless) if w.code == "outdoors"]
    assert hopeless.hold_down.wind is None and "must not stand there" in first.message


@pytest.fixture(scope="module")
def good():
    """A well-held room, a measured fan, a vent within reach: nothing left to doubt about standing."""
    room = make_room(flap_depth_m=0.5, vent_longest_mm=4000.0, exit_height_mm=2100.0)
    fan = fan_from_points("blower", (0.0, 0.5, 1.0), (60.0, 50.0, 0.0), 350.0)
    cloth = Cloth(mass_kg_m2=exact(0.2), flame_retardant=True)
    return assess(room, fan, cloth, Site(ballast_kg=150.0, crowd=CHILDREN, attendants=2))


def test_a_room_held_well_and_known_well_is_fine(good):
    assert good.holds
    assert not codes(good) & {
        "no-band", "base-lifts", "sags", "ballast", "fan-assumed", "flame-retardant", "outdoors", "too-many-people",
        "exit-narrow", "exit-low", "tune-vent", "fresh-air", "cloth-weak",
    }  # fmt: skip


def test_laying_the_ballast_asked_for_ends_the_warning(room, fan, cloth):
    first = assess(room, fan, cloth, Site(crowd=CHILDREN))
    assert "ballast" in codes(first)
    again = assess(room, fan, cloth, Site(crowd=CHILDREN, ballast_kg=math.ceil(first.hold_down.plan.laid_kg)))
    # the setting may be another one then, which asks for a little more
    more = assess(
        room, fan, cloth, evolve(again.drawn.site, ballast_kg=math.ceil(again.hold_down.plan.laid_kg))
    )
    assert "ballast" not in codes(more)


@pytest.mark.parametrize(
    ("changes", "site", "code"),
    [
        ({"exit_width_mm": 850.0}, Site(), "exit-narrow"),
        ({}, Site(crowd=(Crowd(AgeGroup.BOYS_6_10, 60),)), "too-many-people"),
        ({}, Site(crowd=(Crowd(AgeGroup.BOYS_6_10, 60),)), "second-exit"),
        ({}, Site(crowd=(Crowd(AgeGroup.BOYS_6_10, 60),)), "signs-and-plan"),
        ({}, Site(crowd=(Crowd(AgeGroup.BOYS_6_10, 150),)), "fresh-air"),
        ({"floor_area_m2": 40.0}, Site(), "permit"),
        ({"vent_longest_mm": 1e4}, Site(vent_opening_mm=1e4), "sags"),
        ({}, Site(vent_opening_mm=0.0), "base-lifts"),
        ({"vent_longest_mm": 50.0}, Site(), "vent-shut-lifts"),
        ({"exit_height_mm": 1650.0}, Site(), "exit-low"),
        ({}, Site(crowd=(Crowd(AgeGroup.BOYS_6_10, 60),)), "sinks-before-out"),
        ({}, Site(air_temperature_C=33.0, relative_humidity=0.7), "fresh-air"),
        ({}, Site(), "stays-up-short"),
        ({}, Site(), "flame-retardant"),
    ],
)
def test_each_warning_is_raised_by_its_figure_and_gone_without(
    build_room, good, fan, cloth, changes, site, code
):
    warnings = load_warnings(assess(build_room(**changes), fan, cloth, site))
    (warning,) = [w for w in warnings if w.code == code]
    for text in (warning.message, warning.figure, warning.limit, warning.source, warning.remedy):
        assert text.strip()
    if code not in ("stays-up-short", "sinks-before-out", "vent-shut-lifts"):  # which hardly any room escapes
        assert code not in codes(good)


def test_a_weak_fan_is_said_to_let_it_sag(room, cloth):
    verdict = assess(room, WEAK, cloth, Site())
    assert "sags" in codes(verdict) and "base-lifts" not in codes(verdict)
    assert verdict.air.setting.chance_up == 0.0
    assert verdict_record(verdict)["air"]["inflate_time_s"] is None


def test_weak_cloth_is_called_weak(room, fan):
    verdict = assess(room, fan, Cloth(mass_kg_m2=exact(0.2), strength_N_m=300.0), Site())
    assert "cloth-weak" in codes(verdict)


def test_an_assumed_fan_is_said_and_its_setting_is_to_be_tuned(room, cloth):
    verdict = assess(room, fan_from_label("drum", 1.0), cloth, Site(crowd=CHILDREN))
    assert {"fan-assumed", "tune-vent"} <= codes(verdict)
    setting = verdict.air.setting
    assert setting.chance < SURE_CHANCE <= verdict.air.settings.chance_some
    # what nobody knows is which opening; that some opening does is known
    assert setting.from_mm is None


def test_nobody_inside_needs_no_air_for_people(room, fan, cloth):
    verdict = assess(room, fan, cloth, Site(crowd=(Crowd(AgeGroup.BOYS_6_10, 0),)))
    assert verdict_record(verdict)["air"]["speeds"][0]["fresh_air_l_s_person"] is None
    assert verdict_record(verdict)["air"]["speeds"][0]["co2_steady_ppm"] == 420.0
    assert not {"fresh-air", "sinks-before-out"} & codes(verdict)


@given(
    mass=st.floats(0.05, 0.6),
    flap=st.floats(0.0, 1.0),
    flow=st.floats(0.05, 3.0),
    ballast=st.floats(0.0, 500.0),
    people=st.integers(0, 80),
    indoors=st.booleans(),
    posture=st.sampled_from(list(Posture)),
    spread=st.floats(0.0, 0.3),
)
@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_room_gets_a_verdict(build_room, mass, flap, flow, ballast, people, indoors, posture, spread):
    room = build_room(flap_depth_m=flap, cloth_mass_kg=mass * 80.0)
    cloth = Cloth(mass_kg_m2=Range(mass * (1 - spread), mass, mass * (1 + spread)))
    site = Site(
        ballast_kg=ballast, crowd=(Crowd(AgeGroup.GIRLS_6_10, people),), indoors=indoors, posture=posture
    )
    verdict = assess(room, fan_from_label("fan", flow), cloth, site)
    json.dumps(verdict_record(verdict), allow_nan=False)
    assert len(codes(verdict)) == len(load_warnings(verdict))
    setting = verdict.air.setting
    assert ("base-lifts" in codes(verdict)) == (setting.chance_down < SURE_CHANCE)
    assert ("sags" in codes(verdict)) == (setting.chance_up < SURE_CHANCE)
    assert ("outdoors" in codes(verdict)) == (not indoors)


def test_the_folds_are_those_of_the_inflated_form_where_there_is_one(room, fan, cloth):
    asked = []

    def folds(pressure):
        asked.append(pressure)
        return 0.36

    verdict = assess(room, fan, cloth, Site(crowd=CHILDREN), wrinkled_at=folds)
    assert asked == [verdict.air.setting.pressure_Pa.likely]
    assert verdict.membrane.wrinkled_share == verdict_record(verdict)["cloth"]["wrinkled_fraction"] == 0.36
    (warning,) = [w for w in load_warnings(verdict) if w.code == "wrinkles"]
    assert "36%" in warning.figure
    without = assess(room, fan, cloth, Site(crowd=CHILDREN), wrinkled_at=lambda _pressure: None)
    assert (
        without.membrane.wrinkled_share
        == assess(room, fan, cloth, Site(crowd=CHILDREN)).membrane.wrinkled_share
    )


@pytest.mark.parametrize("vent", [0.0, 300.0, 1900.0, 6000.0])
@pytest.mark.parametrize("flow", [0.03, 0.4, 3.0])
def test_no_remedy_asks_for_what_cannot_be_had(build_room, cloth, vent, flow):
    """Neither a slower speed than the slowest, nor an opening of a vent that is open, nor words like inf."""
    fan = fan_from_label("fan", flow)
    verdict = assess(build_room(vent_longest_mm=vent), fan, cloth, Site())
    air, longest = verdict.air, verdict.drawn.room.vent_longest_mm
    told = load_warnings(verdict)
    words = " ".join(f"{w.message} {w.figure} {w.limit} {w.remedy}" for w in told)
    assert not re.search(r"\b(inf|nan)\b", words)
    names = [speed.name for speed in air.speeds]
    at = names.index(air.setting.speed)
    for warning in told:
        for name in re.findall(r"speed '(\w+)'", warning.remedy):
            assert name == names[at - 1 if warning.code == "base-lifts" else at + 1]
        if "open the vent farther" in warning.remedy.lower():
            assert air.setting.opening_mm < longest - 1.0
        if "open the vent less far" in warning.remedy.lower():
            assert air.setting.opening_mm > 1.0

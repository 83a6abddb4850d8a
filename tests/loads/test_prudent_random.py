"""Plans, monotone sanity and plain text over random sites and fans: what is said holds when it is done."""

import json
import re
from itertools import pairwise

import pytest
from attrs import evolve
from prudent_cases import applied, look, random_case, shipped, verdict_of

from shellparts.loads.results import Decision
from shellparts.parameters.fan_sources import fan_from_label

#: Never in anything that people or programs read.
NO_NUMBER = re.compile(r"\b(inf|nan|None)\b")


def what_is_said_holds(seed, count=128):
    """Do the plan to what is put in, and judge again."""
    found = look(random_case(seed), count)
    plan, page = found.plan, found.page
    assert ("DO NOT USE" in page) == (plan.decision is Decision.NOT)
    assert ("The setting:" in page) == (plan.decision is not Decision.NOT)
    if plan.decision is Decision.GO:
        assert found.verdict.holds
        assert not plan.steps
    else:
        assert not found.verdict.holds
        after = verdict_of(applied(found), count)
        assert after.holds == (plan.decision is Decision.CHANGES), (seed, after.failing)
        if after.holds:
            assert after.air.setting.chance >= 0.9
            assert after.drawn.site.anchors >= found.case.site.anchors
    more, record = found.everything
    assert not NO_NUMBER.search(more), NO_NUMBER.search(more)
    json.dumps(record, allow_nan=False)


def test_the_plan_does_what_it_says():
    for seed in (3, 7, 27):  # another air, another door; outdoors with another fan
        what_is_said_holds(seed)


@pytest.mark.sweep
@pytest.mark.parametrize("ten", range(6))
def test_every_plan_does_what_it_says(ten):
    for seed in range(1000 + 10 * ten, 1010 + 10 * ten):
        what_is_said_holds(seed)


def at_setting(case):
    """What is said at one told opening, so that nothing but the speed is chosen."""
    return verdict_of(evolve(case, site=evolve(case.site, vent_opening_mm=600.0)), 64)


def chances_of(verdict):
    """Chances up and down, by speed."""
    return [(one.setting.chance_up, one.setting.chance_down) for one in verdict.air.speeds]


def test_more_of_a_good_thing_never_looks_worse():
    bare = chances_of(at_setting(shipped()))
    for kg in (10.0, 40.0, 200.0):
        laid = chances_of(at_setting(shipped(ballast_kg=kg)))
        for (up, down), (up_before, down_before) in zip(laid, bare, strict=True):
            assert down >= down_before, "ballast holds down"
            assert up == up_before, "and does not sag"
        bare = laid
    rows = [evolve(shipped(), fan=fan_from_label("fan", flow, 500)) for flow in (0.3, 0.7, 1.2, 2.0)]
    found = [at_setting(row) for row in rows]
    for weak, strong in pairwise(found):
        for slow, fast in zip(weak.air.speeds, strong.air.speeds, strict=True):
            assert fast.setting.chance_up >= slow.setting.chance_up
            assert fast.setting.chance_down <= slow.setting.chance_down
            assert fast.inside.co2_ppm.high <= slow.inside.co2_ppm.high
        assert strong.people.capacity.by_air >= weak.people.capacity.by_air
    for few, many in (
        ({"visits_in_a_row": 1}, {"visits_in_a_row": 6}),
        ({"attendants": 2}, {"attendants": 0}),
    ):
        good, bad = (verdict_of(shipped(**site), 64) for site in (few, many))
        assert bad.air.used.inside.co2_ppm.likely >= good.air.used.inside.co2_ppm.likely
        assert bad.people.escape.chance <= good.people.escape.chance
        assert len(bad.failing) >= len(good.failing)

"""What would make it a yes: each way tried again, and the least of its kind."""

import math

import pytest
from attrs import evolve

from shellparts.base.ranges import Judgement
from shellparts.loads.hold_down import BAG_SPACING_M, bags_round_base
from shellparts.loads.remedies import ways_to_yes
from shellparts.loads.verdict import assess
from shellparts.parameters.fan_sources import fan_from_label, fan_from_points
from shellparts.parameters.site import Site

LIMIT_MM = 4000.0


def ways_of(room, fan, cloth, site=None):
    site = site or Site()
    verdict = assess(room, fan, cloth, site)
    return verdict, ways_to_yes(verdict, LIMIT_MM)


@pytest.fixture
def short_vent(build_room):
    return build_room(vent_longest_mm=700.0)


def test_the_ballast_found_is_the_least_that_does_it(short_vent, fan, cloth):
    verdict, ways = ways_of(short_vent, fan, cloth)
    assert not verdict.answers.likely.stays_down
    for kg, holds in (
        (ways.ballast_probable_kg, lambda a: a.likely.stays_down),
        (ways.ballast_sure_kg, lambda a: a.stays_down is Judgement.FINE),
    ):
        assert holds(assess(short_vent, fan, cloth, Site(ballast_kg=kg)).answers)
        assert not holds(assess(short_vent, fan, cloth, Site(ballast_kg=max(0.0, 0.7 * kg - 5.0))).answers)
    assert ways.ballast_probable_kg < ways.ballast_sure_kg


def test_the_vent_found_is_the_least_that_does_it(short_vent, fan, cloth):
    _, ways = ways_of(short_vent, fan, cloth)
    longer, shorter = ways.vent_probable_mm, ways.vent_probable_mm - 200.0
    assert 700.0 < longer <= LIMIT_MM
    assert assess(evolve(short_vent, vent_longest_mm=longer), fan, cloth, Site()).answers.likely.stays_down
    assert not assess(
        evolve(short_vent, vent_longest_mm=shorter), fan, cloth, Site()
    ).answers.likely.stays_down


def test_the_bags_advised_satisfy_the_factor_and_the_warning(short_vent, fan, cloth):
    _, ways = ways_of(short_vent, fan, cloth)
    assert ways.laid.hold_down.ballast_needed_kg <= ways.bags.total_kg
    assert ways.laid.answers.likely.stays_down
    assert ways.laid.air.used.pressure_Pa.likely < ways.laid.air.band.lift_Pa.likely
    assert ways.laid.site.ballast_kg == ways.bags.total_kg


def test_what_needs_nothing_gets_nothing(build_room, cloth):
    room = build_room(flap_depth_m=0.5, vent_longest_mm=4000.0)
    fan = fan_from_points("blower", (0.0, 0.5, 1.0), (60.0, 50.0, 0.0), 350.0)
    verdict, ways = ways_of(room, fan, cloth, Site(ballast_kg=150.0))
    assert verdict.answers.stays_down is Judgement.FINE
    found = (ways.ballast_probable_kg, ways.ballast_sure_kg, ways.vent_probable_mm, ways.vent_sure_mm)
    assert found == (None,) * 4
    assert ways.fan_probable is None
    assert ways.known_fan_Pa is None, "its curve is known"


@pytest.mark.parametrize(("flow", "stronger"), [(0.05, True), (3.0, False)])
def test_another_fan_is_told_where_this_one_is_wrong(short_vent, cloth, flow, stronger):
    verdict, ways = ways_of(short_vent, fan_from_label("fan", flow, 250.0 if stronger else 550.0), cloth)
    assert verdict.answers.likely.stands_up is not stronger
    assert ways.fan_probable is None or (ways.fan_probable > 1.0) == stronger
    if not stronger:
        assert ways.fan_probable is not None


def test_a_known_fan_narrows_the_range(room, cloth):
    _, ways = ways_of(room, fan_from_label("fan", 1.0), cloth)
    wide = ways.laid.air.used.pressure_Pa
    assert wide.low < ways.known_fan_Pa.low < ways.known_fan_Pa.high < wide.high


@pytest.mark.parametrize("need", [0.1, 8.0, 14.1, 150.0, 1000.0])
@pytest.mark.parametrize("around", [3.0, 14.0, 40.0])
def test_bags_are_whole_enough_and_near_each_other(need, around):
    bags = bags_round_base(need, around)
    assert bags.total_kg >= need
    assert bags.spacing_mm <= 1000 * BAG_SPACING_M + 1e-9
    assert bags.count * bags.spacing_mm == pytest.approx(1000 * around)
    assert bags.each_kg <= 20.0
    if bags.each_kg > 2.0:  # lighter ones would not do
        assert bags.count * bags.each_kg / need < 2.0 or math.isclose(bags.each_kg, 20.0)


def test_one_bag_of_eight_kilograms_by_hand(room, cloth):
    """8 kg are 78 N; over the floor that the flap leaves, 15.2 m2 less 0.85 of 3.86 m2, that is 6.6 Pa."""
    fan = fan_from_label("fan", 1.0)
    bare, laid = (assess(room, fan, cloth, Site(ballast_kg=kg)).air.band.lift_Pa.likely for kg in (0.0, 8.0))
    assert laid - bare == pytest.approx(8 * 9.80665 / (15.2053 - 0.85 * 3.8642), rel=1e-4)

"""Everything at once: consistent, on the careful side, and changed by what changes it; the plan does what it says."""

import math

import numpy as np
import pytest
from attrs import evolve
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from one_draw import setting_at

from shellparts.base.errors import ParameterError
from shellparts.loads.air_limits import CAREFUL, UTMOST, least_flow_for_air
from shellparts.loads.assess import assess
from shellparts.loads.ballast import ballast_need
from shellparts.loads.band_picture import band_picture
from shellparts.loads.changes import Change, plan_changes
from shellparts.loads.inside_air import air_task
from shellparts.loads.results import Decision, Grade, Must
from shellparts.loads.settings import SURE_CHANCE
from shellparts.parameters.fan_sources import fan_from_label, fan_from_points
from shellparts.parameters.site import AgeGroup, Crowd, Site, crowd_of

CHILDREN = (Crowd(AgeGroup.BOYS_6_10, 12), Crowd(AgeGroup.WOMEN_30_39, 1))
LIMIT_MM = 4000.0
STRONG = fan_from_points("strong", (0.0, 2.0, 4.0), (200.0, 160.0, 0.0), 500.0)
WEAK = fan_from_points("weak", (0.0, 0.05), (3.0, 0.0), 200.0)


@pytest.fixture
def short_vent(build_room):
    return build_room(vent_longest_mm=700.0)


def setting_at_flow(verdict, speed, opening_mm):
    """The same setting, asked for by itself with the flow that the people need."""
    drawn = verdict.drawn
    task = air_task(drawn.draws, drawn.room, drawn.site, verdict.people.crowd, verdict.fan.power_W)
    least = least_flow_for_air(task, CAREFUL if verdict.air.strict else UTMOST).flow_m3_s
    return setting_at(drawn, speed, opening_mm, least)


def test_numbers_hang_together(room, fan, cloth):
    verdict = assess(room, fan, cloth, Site(crowd=CHILDREN, ballast_kg=14))
    air, used, drawn = verdict.air, verdict.air.used, verdict.drawn
    speed = fan.speed(air.setting.speed)
    assert air.setting == setting_at_flow(verdict, speed, air.setting.opening_mm)
    point = drawn.working(speed, air.setting.opening_mm)
    spread = drawn.draws.spread
    assert air.setting.pressure_Pa == spread(point.pressure_Pa)
    assert used.lift_ratio == spread(point.pressure_Pa / drawn.lift_Pa)
    assert used.inside.changes_h.likely == pytest.approx(
        3600 * spread(point.flow_m3_s).likely / room.envelope_volume_m3
    )
    assert used.inside.fresh_L_s_person.likely == pytest.approx(used.inside.fresh_L_s.likely / 13)
    # no more than all of the flow reaches people
    assert used.inside.fresh_L_s.high <= 1000 * point.flow_m3_s.max()
    up = point.pressure_Pa * (room.floor_area_m2 - drawn.held_share * room.flap_area_m2)
    assert verdict.hold_down.uplift_N == spread(up)
    assert used.door_pressure_Pa.likely < air.setting.pressure_Pa.likely < used.shut_pressure_Pa.likely
    assert verdict.hold_down.weight_N == pytest.approx((room.cloth_mass_kg + 14) * 9.80665)


def test_a_vent_that_the_site_gives_is_taken_and_one_too_long_is_refused(room, fan, cloth):
    verdict = assess(room, fan, cloth, Site(vent_opening_mm=700.0))
    assert verdict.air.setting.opening_mm == 700.0
    # a lens of 700 mm that gapes by 0.1 to 0.3 of its length, the middle ones of ten draws
    area = verdict.air.vent_area_m2
    assert area.likely == pytest.approx(2 / 3 * 0.2 * 0.49, rel=0.01)
    assert (area.low, area.high) == pytest.approx((2 / 3 * 0.11 * 0.49, 2 / 3 * 0.29 * 0.49), rel=0.01)
    with pytest.raises(ParameterError, match="vent opening is 1901 mm"):
        assess(room, fan, cloth, Site(vent_opening_mm=1901.0))


def test_thin_air_up_high_weakens_the_fan(room, fan, cloth):
    low, high = (assess(room, fan, cloth, Site(altitude_m=h)).air for h in (0.0, 2500.0))
    assert high.density_kg_m3 < 0.8 * low.density_kg_m3
    assert high.speeds[-1].shut_pressure_Pa.likely < low.speeds[-1].shut_pressure_Pa.likely


def test_a_room_is_judged_with_its_base_down(room, fan, cloth):
    """With the vent shut the base lifts and air comes through; it is not counted on."""
    verdict = assess(room, fan, cloth, Site(vent_opening_mm=0.0, crowd=crowd_of(children=40)))
    drawn, setting = verdict.drawn, verdict.air.setting
    assert setting.chance_down < 0.1
    assert setting.flow_m3_s == drawn.draws.spread(drawn.working(fan.speed(setting.speed), 0.0).flow_m3_s)
    lifted = drawn.draws.spread(drawn.fan.flow(fan.speed(setting.speed), drawn.lift_Pa))
    assert setting.flow_m3_s.likely < 0.8 * lifted.likely
    assert verdict.musts[Must.AIR] is not Grade.MET


def test_ballast_for_the_worst_case_makes_it_stay_down(room, fan, cloth):
    worst = assess(room, fan, cloth, Site(crowd=CHILDREN)).hold_down.shut_kg.high
    held = assess(room, fan, cloth, Site(crowd=CHILDREN, ballast_kg=worst + 1.0))
    assert held.musts[Must.BALLAST] is held.musts[Must.SETTING] is Grade.MET
    assert all(speed.shut_chance_down > 0.99 for speed in held.air.speeds)


def test_the_verdict_takes_the_careful_side(room, fan, cloth):
    verdict = assess(room, fan, cloth, Site(crowd=CHILDREN, ballast_kg=30))
    used, escapes = verdict.air.used, verdict.people.escapes
    # people pass the doorways: never later down than with them shut, never more of them out in time for less
    assert all(one.sink_s.likely < one.sink_shut_s.likely for one in escapes)
    assert verdict.people.escape is escapes[0]
    assert used.fill_set_s.likely > used.fill_shut_s.likely
    # the seams are asked at the highest pressure that may be, not at the one that is meant
    highest = max(speed.shut_pressure_Pa.high for speed in verdict.air.speeds)
    assert verdict.membrane.pressure_Pa == highest > verdict.air.setting.pressure_Pa.high


def test_a_fan_far_too_strong_stands_it_up_and_does_not_keep_it_down(room, cloth):
    for site in (Site(crowd=CHILDREN), Site(crowd=CHILDREN, vent_opening_mm=0.0)):
        setting = assess(room, STRONG, cloth, site).air.setting
        assert (setting.chance_up, setting.chance_down) == (1.0, 0.0)
        assert setting.chance == 0.0 and setting.from_mm is None


def test_a_weak_fan_does_not_stand_it_up(room, cloth):
    verdict = assess(room, WEAK, cloth, Site(crowd=CHILDREN))
    assert (verdict.air.setting.chance_up, verdict.air.setting.chance_down) == (0.0, 1.0)
    # what never rises needs no ballast
    assert verdict.musts[Must.SETTING] is Grade.NOT and verdict.musts[Must.BALLAST] is Grade.MET
    assert math.isinf(verdict.air.used.fill_shut_s.likely)


@given(
    flow=st.floats(0.1, 3.0),
    ballast=st.floats(0.0, 200.0),
    vent=st.floats(0.0, 3000.0),
    indoors=st.booleans(),
)
@settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_doing_all_is_never_likelier_than_doing_one(build_room, cloth, flow, ballast, vent, indoors):
    site = Site(ballast_kg=ballast, indoors=indoors, crowd=CHILDREN)
    verdict = assess(build_room(vent_longest_mm=vent), fan_from_label("fan", flow), cloth, site)
    for setting in verdict.air.settings.by_speed:
        each = setting.chance_up, setting.chance_down, setting.chance_air
        assert sum(each) - 2.0 - 1e-9 <= setting.chance <= min(each) + 1e-9
        assert setting.chance <= verdict.air.settings.chance_some + 1e-9
        assert (setting.from_mm is not None) == (setting.chance >= SURE_CHANCE)
    assert (verdict.musts[Must.SETTING] is Grade.MET) == (verdict.air.setting.chance >= SURE_CHANCE)
    if not indoors:
        assert verdict.musts[Must.OUTDOORS] is not Grade.MET


# the plan


def planned(room, fan, cloth, **site):
    verdict = assess(room, fan, cloth, Site(crowd=CHILDREN, attendants=2, **site))
    return verdict, plan_changes(verdict, None, LIMIT_MM)


def test_the_ballast_found_does_it_and_the_next_less_does_not(short_vent, fan, cloth):
    verdict, plan = planned(short_vent, fan, cloth)
    assert not verdict.holds and plan.decision is Decision.CHANGES
    step, after = plan.step(Change.BALLAST), plan.after
    assert after.drawn.site.ballast_kg == step.amount == step.bags.laid_kg
    assert after.musts[Must.SETTING] is after.musts[Must.BALLAST] is Grade.MET
    # its factor of 1.5 is that of the bags laid
    point = after.drawn.working(fan.speed(after.air.setting.speed), after.air.setting.opening_mm).pressure_Pa
    need = ballast_need(
        after.drawn.draws, after.drawn.room, after.drawn.site.floor, after.drawn.weight_N / 9.80665, point
    )
    assert float(np.median(need)) <= step.amount + 1e-6
    less = evolve(after.drawn.site, ballast_kg=0.6 * step.amount)
    short = assess(after.drawn.room, fan, cloth, less)
    assert Grade.NOT in (short.musts[Must.SETTING], short.musts[Must.BALLAST])


def test_what_needs_nothing_gets_nothing(build_room, cloth):
    room = build_room(flap_depth_m=0.5, vent_longest_mm=4000.0, exit_height_mm=2100.0)
    fan = fan_from_points("blower", (0.0, 0.5, 1.0), (60.0, 50.0, 0.0), 350.0)
    verdict, plan = planned(room, fan, cloth, ballast_kg=150.0)
    assert verdict.holds, verdict.failing
    assert (plan.decision, plan.steps, plan.after, plan.lacking) == (Decision.GO, (), verdict, ())


@pytest.mark.parametrize(
    ("flow", "outlet", "stronger"),
    [pytest.param(0.05, 250.0, True, marks=pytest.mark.sweep), (4.0, 700.0, False)],
)
def test_another_fan_is_told_where_this_one_is_wrong(short_vent, cloth, flow, outlet, stronger):
    _, plan = planned(short_vent, fan_from_label("fan", flow, outlet), cloth)
    fans = [one for one in (*plan.steps, *plan.others) if one.change is Change.FAN]
    assert all((one.amount > 1.0) == stronger for one in fans)
    if not stronger:
        assert fans and plan.after.musts[Must.SETTING] is Grade.MET


def test_too_many_people_are_told_how_many(room, fan, cloth):
    verdict = assess(room, fan, cloth, Site(crowd=crowd_of(children=60), attendants=6))
    plan = plan_changes(verdict, None, LIMIT_MM)
    assert verdict.musts[Must.PEOPLE] is Grade.NOT
    most = plan.step(Change.PEOPLE).amount
    assert plan.after.people.inside == most <= verdict.people.capacity.by_floor
    assert plan.after.musts[Must.PEOPLE] is Grade.MET


# the picture


def test_the_picture_of_the_band_falls_with_the_opening(build_room, room, fan, cloth):
    verdict = assess(room, fan, cloth, Site())
    picture = band_picture(verdict, points=9)
    assert (picture.vent_opening_mm[0], picture.vent_opening_mm[-1]) == (0.0, room.vent_longest_mm)
    assert [line.name for line in picture.lines] == [speed.name for speed in fan.speeds]
    for line in picture.lines:
        for pressures in (line.low_Pa, line.likely_Pa, line.high_Pa):
            assert pressures.shape == (9,)
            assert (np.diff(pressures) < 0.0).all()
        assert (line.low_Pa <= line.likely_Pa).all()
        assert (line.likely_Pa <= line.high_Pa).all()
        assert ((line.chance >= 0.0) & (line.chance <= 1.0)).all()
    assert (picture.hold_up_Pa, picture.lift_Pa) == (verdict.air.hold_up_Pa, verdict.air.lift_Pa)
    with pytest.raises(ParameterError, match="points of the picture"):
        band_picture(verdict, points=1)
    with pytest.raises(ParameterError, match="longest vent opening"):
        band_picture(assess(build_room(vent_longest_mm=0.0), fan, cloth, Site()))

"""Everything at once: consistent, and on the careful side."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shellparts.loads.band import Standing
from shellparts.loads.leaks import DOOR_IN_USE_SHARE, closed_room_leaks, doorway_leak, opening_leak
from shellparts.loads.timing import deflate_time
from shellparts.loads.verdict import assess

from shellparts.base.ranges import Judgement
from shellparts.loads.breathing import people_for_outdoor_air
from shellparts.parameters.fan_sources import fan_from_label, fan_from_points
from shellparts.parameters.site import AgeGroup, Crowd, FloorKind, Site, Space

CHILDREN = (Crowd(AgeGroup.BOYS_6_10, 12), Crowd(AgeGroup.WOMEN_30_39, 1))


def test_numbers_hang_together(room, fan, cloth):
    verdict = assess(room, fan, cloth, Site(crowd=CHILDREN))
    air, used = verdict.air, verdict.air.used
    assert used.pressure_Pa.likely == pytest.approx(air.band.target_Pa, rel=1e-6)
    assert used.lift_ratio.likely == pytest.approx(used.pressure_Pa.likely / air.band.lift_Pa.likely)
    breath = verdict.breathing[0]
    assert breath.air_changes_per_h.likely == pytest.approx(
        3600 * used.flow_m3_s.likely / room.envelope_volume_m3
    )
    assert breath.fresh_air_L_s_person.likely == pytest.approx(1000 * used.flow_m3_s.likely / 13)
    up = used.pressure_Pa.likely * (room.floor_area_m2 - 0.85 * room.flap_area_m2)
    assert verdict.hold_down.uplift_N.likely == pytest.approx(up)
    assert used.door_pressure_Pa.likely < used.pressure_Pa.likely < used.shut_pressure_Pa.likely


def test_a_vent_that_the_site_gives_is_taken(room, fan, cloth):
    verdict = assess(room, fan, cloth, Site(vent_opening_mm=700.0))
    assert verdict.air.vent_opening_mm == 700.0
    assert verdict.air.vent_area_m2.likely == pytest.approx(2 / 3 * 0.2 * 0.49)


def test_thin_air_up_high_weakens_the_fan(room, fan, cloth):
    low, high = (assess(room, fan, cloth, Site(altitude_m=h)).air for h in (0.0, 2500.0))
    assert high.density_kg_m3 < 0.8 * low.density_kg_m3
    assert high.used.shut_pressure_Pa.likely < low.used.shut_pressure_Pa.likely


def test_a_room_that_lifts_gets_more_air_and_is_judged_by_that_with_the_base_down(room, fan, cloth):
    verdict = assess(room, fan, cloth, Site(vent_opening_mm=0.0, crowd=CHILDREN))
    used = verdict.air.used
    assert used.shut_gap_mm > 0.0
    assert used.flow_m3_s.likely < 0.3 < 0.5 < used.lifted_flow_m3_s.likely
    assert used.lifted_flow_m3_s.likely <= fan.likely.free_air_m3_s
    assert verdict.answers.breathable is Judgement.UNCERTAIN, (
        "a tight room with its vent shut lets little through"
    )


def test_ballast_for_the_worst_case_makes_it_stay_down(room, fan, cloth):
    worst = assess(room, fan, cloth, Site(crowd=CHILDREN)).hold_down.ballast_vent_shut_kg.high
    held = assess(room, fan, cloth, Site(crowd=CHILDREN, ballast_kg=worst + 1.0))
    assert held.answers.stays_down is Judgement.FINE
    assert held.air.used.shut_standing is not Standing.LIFTS
    assert not held.air.lifting_when_shut


def test_a_room_used_with_its_vent_shut_does_not_stay_down(room, cloth):
    strong = fan_from_points("strong", (0.0, 2.0, 4.0), (200.0, 160.0, 0.0), 500.0)
    lifted = assess(room, strong, cloth, Site(crowd=CHILDREN, vent_opening_mm=0.0))
    assert lifted.answers.stays_down is Judgement.NOT_MET


def test_the_verdict_takes_the_careful_side(room, fan, cloth):
    verdict = assess(room, fan, cloth, Site(crowd=CHILDREN))
    used, density = verdict.air.used, verdict.air.density_kg_m3
    # four fifths of the least flow, for the people that the air allows and for each of those inside
    least = 0.8 * 1000 * used.flow_m3_s.low
    assert verdict.breathing[0].fresh_air_L_s_person.low == pytest.approx(least / 13)
    by_air = people_for_outdoor_air(Space.CLASSROOM, least, room.floor_area_m2)
    assert verdict.people.capacity.by_air == by_air
    # sinking: vent as set, and the doorway as people leave by it
    leaks = [
        *closed_room_leaks(room, cloth, FloorKind.HALL_FLOOR, density),
        opening_leak("vent", verdict.air.vent_area_m2, density),
        doorway_leak(room, DOOR_IN_USE_SHARE, density),
    ]
    assert verdict.air.deflate_s == deflate_time(room, fan, leaks, verdict.air.band, density)


def test_a_fan_far_too_strong_stands_it_up_and_does_not_keep_it_down(room, cloth):
    strong = fan_from_points("strong", (0.0, 2.0, 4.0), (200.0, 160.0, 0.0), 500.0)
    answers = assess(room, strong, cloth, Site(crowd=CHILDREN)).answers
    assert (answers.stands_up, answers.stays_down) == (Judgement.FINE, Judgement.NOT_MET)
    assert (answers.likely.stands_up, answers.likely.stays_down) == (True, False)


def test_a_weak_fan_does_not_stand_it_up(room, cloth):
    weak = fan_from_points("weak", (0.0, 0.05), (3.0, 0.0), 200.0)
    answers = assess(room, weak, cloth, Site(crowd=CHILDREN)).answers
    assert (answers.stands_up, answers.likely.stands_up) == (Judgement.NOT_MET, False)
    assert answers.likely.stays_down


@given(
    flow=st.floats(0.1, 3.0),
    ballast=st.floats(0.0, 200.0),
    vent=st.floats(0.0, 3000.0),
    indoors=st.booleans(),
)
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_what_is_sure_is_likely(build_room, cloth, flow, ballast, vent, indoors):
    site = Site(ballast_kg=ballast, indoors=indoors, crowd=CHILDREN)
    answers = assess(build_room(vent_longest_mm=vent), fan_from_label("fan", flow), cloth, site).answers
    for name in ("stands_up", "stays_down", "breathable", "out_in_time"):
        sure, likely = getattr(answers, name), getattr(answers.likely, name)
        assert likely or sure is not Judgement.FINE
        assert not likely or sure is not Judgement.NOT_MET

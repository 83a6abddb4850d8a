"""Outdoors with a plain no, ballast by what the hem spans, floors that let air through, and dangers in order."""

import math

import numpy as np
import pytest
from one_draw import ENDS

from shellparts.base.errors import ParameterError
from shellparts.loads.ballast import BAG_KG, BallastLimit, ballast_need, ballast_plan, hem_rise, hem_span
from shellparts.loads.draws import draws
from shellparts.loads.hazards import Hazard, HazardCase, hazards_of
from shellparts.loads.leak_draws import GROUND_GAP_MM
from shellparts.loads.outdoors import (
    WIND_CEILING_M_S,
    OutdoorNo,
    frontal_area,
    outdoors_at,
    strongest_gust,
    tab_strength,
    velocity_pressure,
)
from shellparts.loads.room_draws import FLAP_HELD, room_draws
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.fan_sources import fan_from_label
from shellparts.parameters.site import FloorKind, Site, crowd_of

DRAWS = draws(256)
FAN = fan_from_label("fan", "2100 cfm", 400)
STRONG = np.full(DRAWS.count, 200.0)
STRONG_CLOTH = Cloth(strength_N_m=60e3, stitch_rows=4, thread_strength_N=60.0)


def at_gust(room, gust, cloth=None, strongest=STRONG, **site):
    place = Site(indoors=False, floor=FloorKind.GRASS, **site)
    return outdoors_at(DRAWS, room, cloth or Cloth(), place, gust, 5.5, strongest, 1.2)


def test_every_floor_is_known_everywhere():
    assert set(FLAP_HELD) == set(FloorKind)
    assert set(GROUND_GAP_MM) == {(floor, flap) for floor in FloorKind for flap in (False, True)}
    for floor in FloorKind:
        assert GROUND_GAP_MM[floor, True].high < GROUND_GAP_MM[floor, False].high


# What a trial found: "it would take 7 anchors", with which the windward side caves in at 3.5 m/s


def test_seven_anchors_at_seven_pascal_are_no_answer(room):
    weak = np.full(DRAWS.count, 7.0)
    assert OutdoorNo.FAN_TOO_WEAK in at_gust(room, 3.5, strongest=weak, anchors=7).reasons
    ceiling = at_gust(room, WIND_CEILING_M_S, strongest=weak, anchors=7)
    assert set(ceiling.reasons) == {
        OutdoorNo.FAN_TOO_WEAK,
        OutdoorNo.TOO_MANY_ANCHORS,
        OutdoorNo.TOO_FEW_ANCHORS,
    }
    assert OutdoorNo.CEILING in at_gust(room, WIND_CEILING_M_S + 0.1).reasons
    best = strongest_gust(
        DRAWS, room, Cloth(), Site(indoors=False, anchors=7), 5.5, np.full(DRAWS.count, 7.0), 1.2
    )
    assert best is not None
    assert best.gust_m_s < 3.5
    assert best.anchors <= 7


def test_the_pressure_against_a_gust_lifts_the_room(room):
    calm, windy = at_gust(room, 1.0), at_gust(room, 6.0)
    assert calm.pressure_Pa == pytest.approx(5.5)  # what holds the cloth up
    assert windy.pressure_Pa == pytest.approx(0.6 * 36.0)
    assert windy.air_uplift_N > 3.0 * calm.air_uplift_N
    held = room.floor_area_m2 - 0.3 * room.flap_area_m2
    assert windy.air_uplift_N == pytest.approx(windy.pressure_Pa * held, rel=0.02)


def test_an_anchor_bears_no_more_than_its_tab(room):
    cotton, strong = at_gust(room, 6.0), at_gust(room, 6.0, STRONG_CLOTH)
    assert cotton.anchor_N == cotton.tab_N == tab_strength(Cloth())
    assert strong.anchor_N == pytest.approx(STRONG_CLOTH.strength_N_m * 0.08 / 5.0)
    assert strong.anchors < cotton.anchors
    # all of it is carried, with its factor
    force = 1.5 * (cotton.air_uplift_N + cotton.wind_uplift_N) - 9.80665 * room.cloth_mass_kg
    assert cotton.anchors * 0.5 * cotton.anchor_N > 0.9 * force
    assert cotton.spacing_m == pytest.approx(room.base_perimeter_m / cotton.anchors)
    assert OutdoorNo.TOO_MANY_ANCHORS in at_gust(room, 9.0).reasons


def test_more_wind_takes_more_and_ballast_helps(room):
    counts = [at_gust(room, gust).anchors for gust in (2.0, 4.0, 6.0, 8.0)]
    assert counts == sorted(counts)
    assert at_gust(room, 5.0, ballast_kg=40.0).anchors < at_gust(room, 5.0).anchors
    assert strongest_gust(DRAWS, room, Cloth(), Site(indoors=False), 5.5, np.zeros(DRAWS.count), 1.2) is None
    with pytest.raises(ParameterError, match="gust"):
        at_gust(room, -1.0)


# floors


def on(room, floor, ballast_kg=0.0):
    return room_draws(room, FAN, Cloth(), Site(floor=floor, ballast_kg=ballast_kg), DRAWS)


def test_carpet_and_grass_hold_less_of_the_flap(room):
    hall, carpet, grass = (
        on(room, floor).lift_Pa for floor in (FloorKind.HALL_FLOOR, FloorKind.CARPET, FloorKind.GRASS)
    )
    assert (carpet < hall).all()
    assert (grass < hall).all()
    more = ballast_need(DRAWS, room, FloorKind.CARPET, room.cloth_mass_kg, 9.0)
    assert (more >= ballast_need(DRAWS, room, FloorKind.HALL_FLOOR, room.cloth_mass_kg, 9.0)).all()


def test_ballast_holds_its_factor(room):
    for floor in FloorKind:
        drawn = on(room, floor)
        cloth_kg = drawn.weight_N / 9.80665
        need = ballast_need(DRAWS, room, floor, cloth_kg, 12.0)
        assert (need > 0.0).all()
        up = 18.0 * (room.floor_area_m2 - drawn.held_share * room.flap_area_m2)
        assert (need + cloth_kg) * 9.80665 == pytest.approx(up), "it lifts at 1.5 times the pressure"
    assert (ballast_need(DRAWS, room, FloorKind.CARPET, room.cloth_mass_kg, 1.0) == 0.0).all()


# wind


def test_frontal_area_of_a_cone():
    assert frontal_area(np.array([2000.0, 0.0]), np.array([0.0, 3000.0])) == pytest.approx((6.0, 1.0))


def test_anchors_for_a_gust_by_hand(build_room):
    """Upright drum on grass without a flap; at 95 of 100 of three draws drag and lift stand at their upper ends."""
    drum = build_room(0.0, profile_height_mm=[0.0, 3400.0, 3400.0, 3400.0], cloth_mass_kg=20.0)
    site = Site(indoors=False, floor=FloorKind.GRASS)
    found = outdoors_at(ENDS, drum, STRONG_CLOTH, site, 5.0, 5.5, 99.0, 1.2)
    push = 0.5 * 1.2 * 25.0
    side, up = push * 1.2 * 4.4 * 3.4, push * 1.1 * drum.floor_area_m2
    air = max(push, 5.5) * drum.floor_area_m2
    assert (found.wind_drag_N, found.wind_uplift_N, found.air_uplift_N) == pytest.approx((side, up, air))
    lifting = 1.5 * (up + air) - 20.0 * 9.80665
    tipping = (1.5 * side * 1.7 + lifting * 2.2) / (0.75 * 2.2)
    expected = math.ceil((max(lifting, tipping) + 1.5 * side) / (0.5 * found.anchor_N))
    assert found.anchors == max(4, expected)


def test_wind_on_a_wider_middle_uses_the_widest_level(build_room):
    barrel = build_room(
        profile_radius_mm=[2200.0, 3300.0, 2200.0, 0.0], profile_height_mm=[0.0, 1200.0, 2400.0, 3400.0]
    )
    narrow, wide = (at_gust(one, 5.0).wind_uplift_N for one in (build_room(), barrel))
    assert wide == pytest.approx(2.25 * narrow)


def test_bad_wind_is_refused():
    with pytest.raises(ParameterError, match="wind is -1 m/s"):
        velocity_pressure(-1.0)


# bags


def test_a_hem_spans_less_with_more_load_and_less_rise():
    assert hem_span(0.0, 20.0, 1e5) < hem_span(0.0, 60.0, 1e5)
    spans = [hem_span(load, 60.0, 1e5) for load in (0.0, 1.0, 10.0, 100.0, 1000.0)]
    assert spans == sorted(spans, reverse=True)
    assert hem_span(20.0, 60.0, 1e5) > hem_span(20.0, 60.0, 1e4)
    assert (hem_rise(0.0), hem_rise(300.0)) == (20.0, 60.0)


@pytest.mark.parametrize("need", [0.5, 5.0, 14.0, 27.4, 100.0, 300.0, 700.0])
@pytest.mark.parametrize("flap_m", [0.0, 0.3])
def test_bags_make_up_the_mass_within_the_span(build_room, need, flap_m):
    room = build_room(flap_depth_m=flap_m)
    plan = ballast_plan(room, Cloth(), need)
    assert plan.limit is None
    assert plan.laid_kg >= need
    apart_m = max(plan.span_m, 0.3)  # side by side no hem is free
    assert plan.base.spacing_mm <= 1000.0 * apart_m + 1e-6
    assert plan.base.spacing_mm >= 250.0
    assert plan.base.each_kg in BAG_KG
    assert plan.tunnel_count >= 2
    assert plan.tunnel_count / 2 * apart_m >= 1.2 - 1e-9
    if plan.outside is not None:
        assert plan.outside.each_kg * 9.80665 <= tab_strength(Cloth())
        assert plan.outside.total_kg >= need


@pytest.mark.parametrize("need", [3000.0, 20000.0, 1e6])
def test_an_absurd_ballast_is_a_plain_no(room, need):
    plan = ballast_plan(room, Cloth(), need)
    assert plan.limit is BallastLimit.NOT_WITH_BALLAST
    assert plan.base.count == plan.tunnel_count == 0
    assert plan.need_kg == need


def test_no_ballast_is_no_bags(room, build_room):
    plan = ballast_plan(room, Cloth(), 0.0)
    assert (plan.base.count, plan.tunnel_count, plan.outside, plan.limit) == (0, 0, None, None)
    assert ballast_plan(build_room(tunnel_length_mm=0.0), Cloth(), 20.0).tunnel_count == 0
    with pytest.raises(ParameterError, match="ballast"):
        ballast_plan(room, Cloth(), -1.0)


# dangers


def found_in(room, crowd=(), **more):
    site = {key: more.pop(key) for key in ("generator", "indoors", "wheelchairs") if key in more}
    return [one.hazard for one in hazards_of(HazardCase(room, Site(**site), crowd, **more))]


def test_each_danger_has_its_condition(room, build_room):
    adults, children = crowd_of(adults=3), crowd_of(children=3)
    plain = found_in(build_room(flap_depth_m=0.0, exit_height_mm=2100.0), adults)
    assert plain == [Hazard.LEAD, Hazard.TRIP_SLEEVE]
    upright = build_room(exit_height_mm=2100.0)
    for more, crowd, hazard in (
        ({"generator": True}, adults, Hazard.EXHAUST),
        ({}, children, Hazard.SHEET_OVER_FACES),
        ({}, (), Hazard.SHEET_OVER_FACES),
        ({"indoors": False}, adults, Hazard.RAIN_POOLS),
        ({"bags_inside": 8}, adults, Hazard.NO_TUNNEL_BAGS),
        ({"bags_inside": 8, "tunnel_bags": 2}, adults, Hazard.BAGS_UNDER_SHEET),
        ({"wheelchairs": True, "tunnel_flap_mm": 150.0}, adults, Hazard.WHEELCHAIR_FLAP),
        ({"tunnel_flap_mm": 150.0}, adults, Hazard.TRIP_FLAP),
    ):
        assert hazard in found_in(upright, crowd, **more)
        assert hazard not in plain
    assert Hazard.NO_TUNNEL_BAGS not in found_in(upright, adults, bags_inside=8, tunnel_bags=2)
    narrow = build_room(exit_width_mm=800.0)
    assert Hazard.WHEELCHAIR_DOOR in found_in(narrow, adults, wheelchairs=True)
    assert Hazard.WHEELCHAIR_DOOR not in found_in(narrow, adults)
    assert Hazard.WHEELCHAIR_DOOR not in found_in(room, adults, wheelchairs=True)


@pytest.mark.parametrize(
    ("height", "hazard"), [(700.0, Hazard.CRAWLING_WAY), (1650.0, Hazard.LOW_DOORWAY), (2040.0, None)]
)
def test_a_low_doorway_is_named_once(build_room, height, hazard):
    low = {Hazard.CRAWLING_WAY, Hazard.LOW_DOORWAY}
    assert low & set(found_in(build_room(exit_height_mm=height))) == ({hazard} if hazard else set())


def test_dangers_stand_in_order_of_gravity_and_each_is_explained(room):
    order = list(Hazard)
    found = found_in(
        room,
        crowd_of(children=9),
        generator=True,
        indoors=False,
        wheelchairs=True,
        tunnel_flap_mm=150.0,
        bags_inside=9,
    )
    assert found == sorted(found, key=order.index)
    assert found[0] is Hazard.EXHAUST
    for hazard in Hazard:
        assert f"\n    {hazard.name}: " in (Hazard.__doc__ or "")
    assert not any(math.isnan(one.figure or 0.0) for one in hazards_of(HazardCase(room, Site(), ())))

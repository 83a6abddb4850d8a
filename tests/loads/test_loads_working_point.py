"""The working point: balance, limits, monotone where physics is."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shellparts.base.ranges import End
from shellparts.base.tolerances import TOLERANCES
from shellparts.loads.leaks import LeakLaw, closed_room_leaks, leak_flow
from shellparts.loads.working_point import fan_flow, solve_working_point, working_range
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.fan_curve import FanCurve, curve_at, fan_pressure
from shellparts.parameters.fan_sources import fan_from_label
from shellparts.parameters.site import FloorKind


@st.composite
def curves(draw):
    steps = draw(st.lists(st.floats(0.01, 1.0), min_size=2, max_size=6))
    flow = [0.0]
    for step in steps:
        flow.append(flow[-1] + step)
    drops = draw(st.lists(st.floats(0.5, 100.0), min_size=len(steps), max_size=len(steps)))
    pressure = [sum(drops[i:]) for i in range(len(drops))] + [0.0]
    return FanCurve(tuple(flow), tuple(pressure), 1.2)


laws = st.lists(
    st.builds(LeakLaw, st.floats(1e-8, 10.0), st.sampled_from([0.5, 0.6, 0.65, 0.7, 1.0])),
    min_size=1,
    max_size=5,
)


@given(curves(), laws)
@settings(max_examples=300, deadline=None)
def test_flows_balance(curve, ways):
    point = solve_working_point(curve, ways)
    assert leak_flow(ways, point.pressure_Pa) == pytest.approx(
        point.flow_m3_s, rel=TOLERANCES.flow_balance_ratio
    )
    # and the point lies on the fan's curve, looked up from the flow
    on_curve = fan_pressure(curve, min(point.flow_m3_s, curve.free_air_m3_s))
    assert on_curve == pytest.approx(point.pressure_Pa, abs=TOLERANCES.flow_balance_ratio * curve.shut_off_Pa)


@given(curves(), laws, st.floats(1.0001, 3.0))
@settings(max_examples=100, deadline=None)
def test_a_larger_leak_lowers_the_pressure_and_raises_the_flow(curve, ways, factor):
    first = solve_working_point(curve, ways)
    second = solve_working_point(curve, [LeakLaw(w.coefficient * factor, w.exponent) for w in ways])
    assert second.pressure_Pa <= first.pressure_Pa * (1 + 1e-12)
    assert second.flow_m3_s >= first.flow_m3_s * (1 - 1e-12)


@given(curves(), laws, st.floats(1.0001, 2.0))
@settings(max_examples=100, deadline=None)
def test_a_faster_fan_raises_both(curve, ways, ratio):
    first = solve_working_point(curve, ways)
    second = solve_working_point(curve_at(curve, ratio, 1.2), ways)
    assert second.pressure_Pa > first.pressure_Pa * (1 - 1e-12)
    assert second.flow_m3_s > first.flow_m3_s * (1 - 1e-12)


@settings(deadline=None)
@given(curves())
def test_no_leak_gives_the_shut_off_pressure(curve):
    for ways in ([], [LeakLaw(0.0, 0.5)]):
        point = solve_working_point(curve, ways)
        assert (point.pressure_Pa, point.flow_m3_s) == (curve.shut_off_Pa, 0.0)
    tiny = solve_working_point(curve, [LeakLaw(1e-13, 0.5)])
    assert tiny.pressure_Pa == pytest.approx(curve.shut_off_Pa, rel=1e-6)


@settings(deadline=None)
@given(curves())
def test_an_open_end_gives_free_air(curve):
    point = solve_working_point(curve, [LeakLaw(1e9, 0.5)])
    assert point.flow_m3_s == pytest.approx(curve.free_air_m3_s, rel=1e-6)
    assert point.pressure_Pa < 1e-12
    assert leak_flow([LeakLaw(1e9, 0.5)], point.pressure_Pa) == pytest.approx(point.flow_m3_s, rel=1e-9)


@settings(deadline=None)
@given(curves(), st.floats(0.0, 1.0))
def test_fan_flow_is_the_inverse_of_fan_pressure(curve, share):
    pressure = share * curve.shut_off_Pa
    assert fan_pressure(curve, fan_flow(curve, pressure)) == pytest.approx(
        pressure, abs=1e-9 * curve.shut_off_Pa
    )
    assert fan_flow(curve, curve.shut_off_Pa * 1.1) == 0.0


@settings(deadline=None)
@given(st.floats(1.0, 200.0), st.floats(0.05, 3.0), st.floats(1e-3, 2.0))
def test_a_straight_curve_and_one_opening_have_a_closed_form(shut_off, free, coefficient):
    # p = p0·(1 − Q/Q0), Q = c·√p: a quadratic in √p
    b = shut_off * coefficient / free
    root = (-b + math.sqrt(b * b + 4.0 * shut_off)) / 2.0
    point = solve_working_point(FanCurve((0.0, free), (shut_off, 0.0)), [LeakLaw(coefficient, 0.5)])
    assert math.sqrt(point.pressure_Pa) == pytest.approx(root, rel=1e-7)


def test_every_corner_lies_inside_the_range(room):
    fan = fan_from_label("drum", 1.2, outlet=500.0)
    leaks = closed_room_leaks(room, Cloth(), FloorKind.GROUND, 1.2)
    span = working_range(fan, fan.speeds[0], leaks, 1.2)
    for strength in End:
        for leakiness in End:
            curve = fan.curve(fan.speeds[0], strength, 1.2)
            point = solve_working_point(curve, [leak.law(leakiness) for leak in leaks])
            assert span.pressure_Pa.low <= point.pressure_Pa <= span.pressure_Pa.high
            assert span.flow_m3_s.low <= point.flow_m3_s <= span.flow_m3_s.high


def test_the_stall_s_flat_stretch_has_a_working_point():
    curve = FanCurve((0.0, 0.2, 0.4, 0.6), (90.0, 60.0, 60.0, 0.0))
    for coefficient in (1e-4, 0.03, 0.04, 0.05, 1.0):
        way = [LeakLaw(coefficient, 0.5)]
        point = solve_working_point(curve, way)
        assert leak_flow(way, point.pressure_Pa) == pytest.approx(point.flow_m3_s, rel=1e-9)
        assert fan_pressure(curve, point.flow_m3_s) == pytest.approx(point.pressure_Pa, abs=1e-7)

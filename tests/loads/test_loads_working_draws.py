"""Leaks and working points of all draws at once: each as a solver for one case has it, and monotone where physics is."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from one_draw import ENDS, balance, curve_in
from scipy.optimize import brentq

from shellparts.base.ranges import Range, exact
from shellparts.loads.draws import draws
from shellparts.loads.fan_draws import fan_draws
from shellparts.loads.leak_draws import (
    CURTAIN_GAP_SHARE,
    DISCHARGE,
    GROUND_GAP_MM,
    HOLE_OPEN_SHARE,
    LAP_CRACK,
    LeakDraws,
    leak_draws,
    opening_coefficient,
    slit_area,
)
from shellparts.loads.root import rising_root
from shellparts.loads.working import working
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.fan import Fan, fans_together
from shellparts.parameters.fan_curve import FanCurve
from shellparts.parameters.fan_sources import fan_from_label, fan_from_points
from shellparts.parameters.site import FloorKind

SOME = draws(128)
CLOTH = Cloth(air_permeability_mm_s=Range(0.0, 2.0, 20.0))
#: Ways out from hardly any to a wide open end.
LEAKS = 10.0 ** np.random.default_rng(4).uniform(-8, 1, (3, SOME.count))


@pytest.fixture
def leaks(room):
    return leak_draws(room, CLOTH, FloorKind.HALL_FLOOR, SOME, 1.2)


def ways(opening, lap=0.0, cloth=0.0) -> LeakDraws:
    """Given ways out, one case each."""
    rows = np.broadcast_arrays(
        *(np.asarray(one, float) for one in (opening, lap, cloth)), np.zeros(SOME.count)
    )
    none = np.zeros(SOME.count)
    return LeakDraws(rows[0], rows[1], rows[2], none, none, none, none, 1.2)


@pytest.mark.parametrize("opening", [0.0, 3.0, 700.0, 1900.0, 1e6])
@pytest.mark.parametrize(
    "fan",
    [
        fan_from_label("label", "2100 cfm", 400),
        fan_from_points("dip", (0, 0.2, 0.4, 0.6, 0.8), (90, 60, 70, 50, 0), 400),
    ],
    ids=["label", "dip"],
)
def test_each_draw_is_solved_as_by_itself(leaks, fan, opening):
    out, drawn = leaks.opened(opening), fan_draws(fan, SOME, 1.2)
    speed = fan.speeds[0]
    point = working(drawn, speed, out)
    for i in range(0, 128, 4):
        laws = [(out.opening[i], 0.5), (out.lap[i], 0.65), (out.cloth[i], 1.0)]
        pressure, flow = balance(*curve_in(drawn, speed, SOME, i), laws)
        assert point.pressure_Pa[i] == pytest.approx(pressure, rel=1e-12)
        assert point.flow_m3_s[i] == pytest.approx(flow, rel=1e-12)


@st.composite
def fans(draw):
    steps = draw(st.lists(st.floats(0.01, 1.0), min_size=2, max_size=6))
    drops = draw(st.lists(st.floats(0.5, 100.0), min_size=len(steps), max_size=len(steps)))
    flow = np.concatenate([[0.0], np.cumsum(steps)])
    pressure = np.concatenate([np.cumsum(drops[::-1])[::-1], [0.0]])
    curve = FanCurve(tuple(flow), tuple(pressure))
    return Fan("any", curve, curve, {"half": 0.5, "full": 1.0}, exact(0.1))


@given(fans())
@settings(max_examples=40, deadline=None)
def test_flows_balance_and_rise_and_fall_as_they_must(fan):
    drawn = fan_draws(fan, SOME, 1.2)
    half, full = fan.speeds
    out = ways(*LEAKS)
    point = working(drawn, full, out)
    assert out.flow(point.pressure_Pa) == pytest.approx(point.flow_m3_s, rel=1e-9)
    shut_off = drawn.shut_off(full)
    # and the point lies on the fan's curve, looked up from the flow
    assert drawn.pressure(full, point.flow_m3_s) == pytest.approx(point.pressure_Pa, abs=1e-9 * shut_off[0])
    wider = working(drawn, full, ways(*(1.3 * LEAKS)))
    assert (wider.pressure_Pa <= point.pressure_Pa * (1 + 1e-12)).all()
    assert (wider.flow_m3_s >= point.flow_m3_s * (1 - 1e-12)).all()
    slower = working(drawn, half, out)
    assert (slower.pressure_Pa < point.pressure_Pa * (1 + 1e-12)).all()
    assert (slower.flow_m3_s < point.flow_m3_s * (1 + 1e-12)).all()
    # the ends: no way out, and an open one
    tight, open_end = working(drawn, full, ways(0.0)), working(drawn, full, ways(1e9))
    assert (tight.pressure_Pa == shut_off).all() and (tight.flow_m3_s == 0.0).all()
    assert open_end.flow_m3_s == pytest.approx(drawn.free_air(full), rel=1e-6)
    assert (open_end.pressure_Pa < 1e-12).all()


@settings(deadline=None)
@given(st.floats(1.0, 200.0), st.floats(0.05, 3.0), st.floats(1e-3, 2.0))
def test_a_straight_curve_and_one_opening_have_a_closed_form(shut_off, free, coefficient):
    # p = p0·(1 − Q/Q0), Q = c·√p: a quadratic in √p
    b = shut_off * coefficient / free
    root = (-b + math.sqrt(b * b + 4.0 * shut_off)) / 2.0
    curve = FanCurve((0.0, free), (shut_off, 0.0))
    fan = fan_draws(Fan("straight", curve, curve, {"on": 1.0}, exact(0.1)), SOME, 1.2)
    found = working(fan, fan.fan.speeds[0], ways(coefficient)).pressure_Pa
    assert np.sqrt(found) == pytest.approx(np.full(SOME.count, root), rel=1e-7)


def test_the_stall_s_flat_stretch_has_a_working_point():
    curve = FanCurve((0.0, 0.2, 0.4, 0.6), (90.0, 60.0, 60.0, 0.0))
    fan = fan_draws(Fan("flat", curve, curve, {"on": 1.0}, exact(0.1)), SOME, 1.2)
    out = ways(np.geomspace(1e-4, 1.0, SOME.count))
    point = working(fan, fan.fan.speeds[0], out)
    assert out.flow(point.pressure_Pa) == pytest.approx(point.flow_m3_s, rel=1e-9)
    on_curve = fan.pressure(fan.fan.speeds[0], point.flow_m3_s)
    assert on_curve == pytest.approx(point.pressure_Pa, abs=1e-7)


def hole_flow(area_m2, pressure_Pa, discharge=0.61):
    return discharge * area_m2 * np.sqrt(2.0 * pressure_Pa / 1.2)


def test_the_leaks_of_a_draw_are_the_sum_of_the_plain_formulas(build_room):
    """At both ends of all ranges and in the middle, at 8 Pa: ground, needle holes, curtain, window, laps, cloth."""
    room = build_room(open_area_m2=0.01, exit_count=2)
    cloth = Cloth(
        stitches_per_m=250, stitch_rows=2, needle_mm=1.0, air_permeability_mm_s=Range(0.0, 1.0, 20.0)
    )
    flow = leak_draws(room, cloth, FloorKind.HALL_FLOOR, ENDS, 1.2).flow(8.0)
    gap, share = GROUND_GAP_MM[FloorKind.HALL_FLOOR, True], HOLE_OPEN_SHARE
    for i, place in enumerate((0.0, 0.5, 1.0)):
        gap_mm, open_share, curtain, lap, cd, mm_s = (
            one.low + place * (one.high - one.low)
            for one in (gap, share, CURTAIN_GAP_SHARE, LAP_CRACK, DISCHARGE, cloth.air_permeability_mm_s)
        )
        holes = 250 * 2 * 55.0 * np.pi / 4 * 1e-6 * open_share
        area = gap_mm / 1000.0 * room.base_perimeter_m + holes + 2 * 0.95 * 1.9 * curtain + 0.01
        through = mm_s / 1000.0 * room.surface_area_m2 * 8.0 / 100.0  # tested at 100 Pa
        by_hand = hole_flow(area, 8.0, cd) + lap * 55.0 * 8.0**0.65 + through
        assert flow[i] == pytest.approx(by_hand)


def test_a_flap_closes_the_ground(room, bare_room, cloth):
    for floor in FloorKind:
        with_flap, without = (leak_draws(one, cloth, floor, ENDS, 1.2).flow(5.0) for one in (room, bare_room))
        assert (with_flap < without).all()


def test_people_in_the_doorway_open_part_of_every_way_out(build_room):
    one, two = (
        leak_draws(build_room(exit_count=n), CLOTH, FloorKind.HALL_FLOOR, SOME, 1.2).door for n in (1, 2)
    )
    assert two == pytest.approx(2 * one)
    # who passes a doorway lower than 2.03 m opens as much of it as of one that high
    full = 2032.0 / 1900.0 * hole_flow(0.95 * 1.9, 1.0)
    assert (0.09 * full * 0.55 / 0.61 < one).all() and (one < 0.71 * full * 0.75 / 0.61).all()


def test_a_slit_is_a_lens_of_two_arcs():
    # two flat parabolas, each with sagitta g·L/2: numerically integrated
    x = np.linspace(-0.5, 0.5, 20001)
    assert slit_area(1000.0, 0.2) == pytest.approx(np.trapezoid(0.2 * (1 - (2 * x) ** 2), x), rel=1e-6)


def test_a_leak_s_pressure_is_where_its_flow_is(leaks):
    for flow in (1e-6, 0.01, 0.3):
        assert leaks.flow(leaks.pressure(flow, 1e9)) == pytest.approx(np.full(SOME.count, flow), rel=1e-12)
    for pressure in (0.5, 5.0):
        step = 1e-6 * pressure
        slope = (leaks.flow(pressure + step) - leaks.flow(pressure - step)) / (2 * step)
        assert leaks.slope(pressure) == pytest.approx(slope, rel=1e-6)


def test_more_openings_let_out_more(leaks):
    shut = leaks.flow(5.0)
    for more in (leaks.opened(300.0), leaks.with_door_in_use()):
        assert (more.flow(5.0) > shut).all()
    four = leaks.opened(800.0).flow(5.0) - shut
    assert leaks.opened(400.0).flow(5.0) - shut == pytest.approx(four / 4.0)


def test_vents_of_two_doorways_share_the_opening(build_room):
    one, two = (
        leak_draws(build_room(vent_count=count), CLOTH, FloorKind.HALL_FLOOR, SOME, 1.2) for count in (1, 2)
    )
    # two slits of half the length have half the area of one
    shut = one.flow(5.0)
    assert two.opened(800.0).flow(5.0) - shut == pytest.approx(0.5 * (one.opened(800.0).flow(5.0) - shut))


def test_one_of_two_fans_that_stops_lowers_the_pressure(leaks):
    both = fans_together(fan_from_label("box", 0.9, 500), 2)
    fan, left = (fan_draws(one, SOME, 1.2) for one in (both, both.one_stopped()))
    speed = both.speeds[-1]
    together, tied = (working(one, speed, leaks.opened(600.0)).pressure_Pa for one in (fan, left))
    idle = opening_coefficient(left.outlet_m2 * leaks.idle_share, leaks.discharge, 1.2)
    loose = working(left, speed, ways(leaks.opened(600.0).opening + idle, leaks.lap, leaks.cloth)).pressure_Pa
    assert (loose < tied).all() and (tied < together).all()


def test_roots_of_steep_and_flat_functions():
    rng = np.random.default_rng(5)
    a = 10.0 ** rng.uniform(-6, 6, 200)

    def steep(x):
        with np.errstate(divide="ignore"):
            return np.sqrt(x) + x**3 - a, 0.5 / np.sqrt(x) + 3 * x**2

    roots = rising_root(steep, np.zeros(200), np.full(200, 1e3))
    for root, one in zip(roots, a, strict=True):
        alone = brentq(lambda x, one=one: np.sqrt(x) + x**3 - one, 0, 1e3, xtol=1e-300, rtol=1e-15)
        assert root == pytest.approx(alone, rel=1e-12)
    # an end of the bracket where there is no root in it
    ends = rising_root(lambda x: (x + 1.0, np.ones_like(x)), np.zeros(1), np.ones(1))
    assert ends == pytest.approx([0.0], abs=1e-12)
    with pytest.raises(ArithmeticError, match="not a number"):
        rising_root(lambda x: (x * np.nan, x), np.zeros(1), np.ones(1))

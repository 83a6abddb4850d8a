"""Leaks and working points of all draws at once: each as the solver for one case has it."""

import numpy as np
import pytest
from scipy.optimize import brentq

from shellparts.base.ranges import End, Range
from shellparts.loads.draws import draws
from shellparts.loads.fan_draws import fan_draws
from shellparts.loads.leak_draws import leak_draws
from shellparts.loads.leaks import LeakLaw, closed_room_leaks, leak_flow
from shellparts.loads.root import rising_root
from shellparts.loads.working import working
from shellparts.loads.working_point import solve_working_point
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.fan import fans_together
from shellparts.parameters.fan_curve import FanCurve
from shellparts.parameters.fan_sources import fan_from_label, fan_from_points
from shellparts.parameters.site import FloorKind

SOME = draws(128)
CLOTH = Cloth(air_permeability_mm_s=Range(0.0, 2.0, 20.0))


@pytest.fixture
def leaks(room):
    return leak_draws(room, CLOTH, FloorKind.HALL_FLOOR, SOME, 1.2)


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
    ways, drawn = leaks.opened(opening), fan_draws(fan, SOME, 1.2)
    speed = fan.speeds[0]
    point = working(drawn, speed, ways)
    for i in range(100):
        flow = drawn.ratio(speed)[i] * drawn.flow_scale[i]
        pressure = drawn.ratio(speed)[i] ** 2 * drawn.pressure_scale[i]
        weak, strong = np.array(fan.weak.pressure_Pa), np.array(fan.strong.pressure_Pa)
        told = weak + SOME.between("fan stall", Range(0, 0.5, 1))[i] * (strong - weak)
        curve = FanCurve(
            tuple(flow * np.array(fan.weak.flow_m3_s)), tuple(told * pressure), 1.2, fan.weak.parabolic
        )
        laws = [LeakLaw(ways.opening[i], 0.5), LeakLaw(ways.lap[i], 0.65), LeakLaw(ways.cloth[i], 1.0)]
        alone = solve_working_point(curve, laws)
        assert point.pressure_Pa[i] == pytest.approx(alone.pressure_Pa, rel=1e-12)
        assert point.flow_m3_s[i] == pytest.approx(alone.flow_m3_s, rel=1e-12)


def test_the_leaks_of_a_draw_lie_between_the_ends_of_their_ranges(room, leaks):
    plain = closed_room_leaks(room, CLOTH, FloorKind.HALL_FLOOR, 1.2)
    low, high = (leak_flow([leak.law(end) for leak in plain], 8.0) for end in (End.LOW, End.HIGH))
    flow = leaks.flow(8.0)
    assert low < flow.min() and flow.max() < high
    # in the one draw in the middle of every range they are the plain formulas of the middles
    middle = leaks.flow(8.0)[np.argsort(flow)[64]]
    assert 0.25 * (low + high) < 1.3 * middle and middle < 0.5 * (low + high)


def test_a_leak_s_pressure_is_where_its_flow_is(leaks):
    for flow in (1e-6, 0.01, 0.3):
        assert leaks.flow(leaks.pressure(flow, 1e9)) == pytest.approx(np.full(SOME.count, flow), rel=1e-12)
    for pressure in (0.5, 5.0):
        step = 1e-6 * pressure
        slope = (leaks.flow(pressure + step) - leaks.flow(pressure - step)) / (2 * step)
        assert leaks.slope(pressure) == pytest.approx(slope, rel=1e-6)


def test_more_openings_let_out_more(leaks):
    shut = leaks.flow(5.0)
    for more in (leaks.opened(300.0), leaks.with_door_in_use(), leaks.with_idle_outlet(0.1)):
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


def test_one_of_two_fans_that_stops_is_a_hole(leaks):
    both = fans_together(fan_from_label("box", 0.9, 500), 2)
    fan, left = (fan_draws(one, SOME, 1.2) for one in (both, both.one_stopped()))
    speed = both.speeds[-1]
    together = working(fan, speed, leaks.opened(600.0)).pressure_Pa
    tied = working(left, speed, leaks.opened(600.0)).pressure_Pa
    loose = working(left, speed, leaks.opened(600.0).with_idle_outlet(left.outlet_m2)).pressure_Pa
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

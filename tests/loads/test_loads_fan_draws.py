"""A fan in every draw: the same as the one curve that it is in that draw."""

import numpy as np
import pytest
from one_draw import ENDS, curve_in, root

from shellparts.base.ranges import Range, exact
from shellparts.loads.draws import draws
from shellparts.loads.fan_draws import fan_draws
from shellparts.parameters.fan import fans_together
from shellparts.parameters.fan_sources import THREE_SPEEDS, fan_from_label, fan_from_points

SOME = draws(128)
DENSITY = 1.1
FANS = {
    "label": fan_from_label("a", "2100 cfm", 400),
    "label without outlet": fan_from_label("b", 1.0),
    "shut-off known": fan_from_label("c", 1.0, 450, shut_off_Pa=Range(30, 40, 60)),
    "table": fan_from_points("d", (0, 0.2, 0.4, 0.55), (60, 52, 30, 0), 350, speeds=THREE_SPEEDS),
    "table with a dip": fan_from_points(
        "e", (0, 0.2, 0.4, 0.6, 0.8), (90, 60, 70, 50, 0), 400, density_kg_m3=1.25, read_by_hand=True
    ),
}


@pytest.mark.parametrize("name", FANS)
def test_flow_and_pressure_are_those_of_the_curve_in_that_draw(name):
    fan = fan_draws(FANS[name], SOME, DENSITY)
    rng = np.random.default_rng(3)
    for speed in fan.fan.speeds:
        flows = rng.uniform(0.0, 1.0, SOME.count) * fan.free_air(speed)
        pressures = rng.uniform(0.0, 1.0, SOME.count) * fan.shut_off(speed)
        pressure, flow = fan.pressure(speed, flows), fan.flow(speed, pressures)
        for draw in range(0, SOME.count, 5):
            curve, free = curve_in(fan, speed, SOME, draw)
            assert fan.shut_off(speed)[draw] == pytest.approx(curve(0.0), rel=1e-12)
            assert fan.free_air(speed)[draw] == pytest.approx(free, rel=1e-12)
            assert pressure[draw] == pytest.approx(curve(flows[draw]), rel=1e-9)
            alone = root(lambda q, curve=curve, at=pressures[draw]: at - curve(q), 0.0, free)
            assert flow[draw] == pytest.approx(alone, rel=1e-9)


@pytest.mark.parametrize("name", FANS)
def test_the_ends_of_the_curve(name):
    fan = fan_draws(FANS[name], SOME, DENSITY)
    speed = fan.fan.speeds[0]
    assert fan.flow(speed, fan.shut_off(speed)) == pytest.approx(0.0, abs=1e-7)
    assert (fan.flow(speed, 1e6) == 0.0).all()
    assert fan.flow(speed, 0.0) == pytest.approx(fan.free_air(speed))
    assert (fan.pressure(speed, 1e3) == 0.0).all()
    assert fan.pressure(speed, 0.0) == pytest.approx(fan.shut_off(speed))


@pytest.mark.parametrize("name", FANS)
def test_every_draw_lies_between_the_weakest_and_the_strongest_curve(name):
    told = FANS[name]
    fan = fan_draws(told, SOME, 1.2)
    speed = told.speeds[-1]
    ends = fan_draws(told, ENDS, 1.2)
    for drawn, end in (
        (fan.free_air(speed), ends.free_air(speed)),
        (fan.shut_off(speed), ends.shut_off(speed)),
    ):
        assert (end[0] * (1 - 1e-12) <= drawn).all() and (drawn <= end[-1] * (1 + 1e-12)).all()
    # and they fill more than four fifths of it
    assert np.ptp(fan.free_air(speed)) > 0.8 * (ends.free_air(speed)[-1] - ends.free_air(speed)[0])


def test_a_label_has_one_speed_of_the_air_in_a_draw():
    """Flow and shut-off go together: in slow air, where nothing is cut off, the factor lies between 1.5 and 4."""
    fan = fan_draws(fan_from_label("slow", 0.5, 500), SOME, 1.2)
    speed = fan.fan.speeds[-1]
    moving = 0.5 * 1.2 * (fan.free_air(speed) / fan.outlet_m2) ** 2
    factor = fan.shut_off(speed) / moving
    assert 1.5 - 1e-9 <= factor.min() < 1.55 and 3.95 < factor.max() <= 4.0 + 1e-9


def test_speeds_of_a_fan_keep_their_place_in_a_draw():
    fan = fan_draws(FANS["label"], SOME, 1.2)
    low, middle, high = (fan.ratio(speed) for speed in fan.fan.speeds)
    assert np.corrcoef(low, middle)[0, 1] == pytest.approx(1.0)
    assert (low < middle).all() and (high == 1.0).all()
    exactly = fan_from_label("a", 1.0, 400, speeds={"low": 0.6, "high": 1.0})
    assert exactly.speeds[0].ratio == exact(0.6)
    assert (fan_draws(exactly, SOME, 1.2).ratio(exactly.speeds[0]) == 0.6).all()


def test_two_fans_are_the_same_fan_twice_in_every_draw():
    one, two = (fan_draws(fan, SOME, 1.2) for fan in (FANS["label"], fans_together(FANS["label"], 2)))
    for speed in one.fan.speeds:
        assert two.flow(speed, 5.0) == pytest.approx(2 * one.flow(speed, 5.0))
    assert two.outlet_m2 == pytest.approx(2 * one.outlet_m2)

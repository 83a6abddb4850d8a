"""Passing the doorway, filling, leaving and sinking, draw by draw."""

import numpy as np
import pytest

from shellparts.base.errors import ParameterError
from shellparts.loads.doorway_traffic import (
    doorway_traffic,
    fill_time,
    let_in_time,
)
from shellparts.loads.draws import Draws, draws
from shellparts.loads.sinking import (
    Drains,
    SinkingVariant,
    height_at_radius,
    out_in_time,
    people_out_in_time,
    sagging,
    sinking_steps,
    sinking_times,
)
from shellparts.loads.way_out import (
    CRAWL_MM,
    STAND_MM,
    WayTrouble,
    escape_of,
    leaving_time,
    posture_share,
    way_troubles,
)
from shellparts.parameters.opening import WayOut

DRAWS = draws(256)


def way(width_mm, height_mm, length_mm=1200.0):
    return WayOut(width_mm, height_mm, length_mm, 0.0)


DOOR = way(950.0, 1900.0)
TALL = way(950.0, 2100.0)


def root(coefficient):
    return lambda pressure: coefficient * np.sqrt(pressure)


def drains(door_m2=0.4, vent_m2=0.15, fan_m2=0.06, closed_m2=0.03, second=None):
    """Openings with Cd 0.61 and air of 1.2 kg/m³."""
    return Drains(
        *(root(0.61 * area * (2.0 / 1.2) ** 0.5) for area in (closed_m2, door_m2, vent_m2, fan_m2)), second
    )


def sunk(room, hold_up_Pa=5.0, **openings):
    return sinking_times(sinking_steps(room), drains(**openings), np.full(DRAWS.count, hold_up_Pa))


# doorway


def test_a_passage_costs_what_a_trial_measured():
    """Four seconds open lose about 3 m³; 27 s to recover; 23 people need about 10 minutes."""
    flow = 0.61 * 0.3 * 0.95 * 1.65 * (2.0 * 5.8 / 1.2) ** 0.5
    traffic = doorway_traffic(flow, 0.115, 37.0)
    assert float(traffic.lost_m3) == pytest.approx(3.1, abs=0.2)
    assert float(traffic.recover_s) == pytest.approx(27.0, abs=1.5)
    assert float(let_in_time(23, traffic)) == pytest.approx(600.0, rel=0.2)
    assert float(traffic.people_a_minute) == pytest.approx(60.0 / 31.0, rel=0.05)


def test_a_strong_fan_loses_nothing_and_a_weak_one_never_recovers():
    strong, weak = doorway_traffic(0.5, 0.6, 37.0), doorway_traffic(0.5, 0.0, 37.0)
    assert float(strong.lost_m3) == float(strong.recover_s) == 0.0
    assert float(let_in_time(23, strong)) == 23 * 4.0
    assert float(let_in_time(23, strong, doorways=2)) == 12 * 4.0
    assert np.isinf(weak.recover_s)
    assert float(weak.people_a_minute) == 0.0
    assert float(let_in_time(1, weak)) == 4.0
    assert float(let_in_time(0, weak)) == 0.0
    assert np.isinf(let_in_time(2, weak))
    assert float(doorway_traffic(1e3, 0.1, 37.0).lost_m3) == 37.0


def test_filling_with_clips_on_is_faster_than_with_the_vent_set():
    on, off = fill_time(37.0, [0.6, 0.5], 0.1), fill_time(37.0, [0.6, 0.5], 0.1, 0.4)
    assert on == pytest.approx([74.0, 92.5])
    assert off[0] == pytest.approx(370.0)
    assert np.isinf(off[1])


# leaving


def test_low_ways_are_slower_and_say_so():
    assert way_troubles(TALL) == ()
    assert way_troubles(DOOR) == (WayTrouble.STOOP,)
    assert way_troubles(way(700.0, 700.0)) == (WayTrouble.CRAWL, WayTrouble.NARROW)
    assert way_troubles(way(500.0, STAND_MM)) == (WayTrouble.SINGLE, WayTrouble.NARROW)
    heights = np.linspace(300.0, 2500.0, 500)
    share = posture_share(heights)
    assert (np.diff(share) >= 0.0).all()
    assert share.max() == 1.0
    assert share[heights < CRAWL_MM].max() <= 0.4


def test_a_way_of_700_mm_takes_much_longer():
    """A trial found 44 s for both."""
    low, tall = (leaving_time(escape_of(DRAWS, [one], 4400.0), 20) for one in (way(950.0, 700.0), TALL))
    assert (low > 1.3 * tall).all()
    assert DRAWS.spread(low / tall).likely > 1.6


def test_ways_share_people():
    one = escape_of(DRAWS, [TALL], 4400.0)
    two = escape_of(DRAWS, [TALL, TALL], 4400.0)
    mixed = escape_of(DRAWS, [TALL, way(950.0, 700.0)], 4400.0)
    assert two.each_s == pytest.approx(one.each_s / 2.0)
    assert (mixed.each_s < one.each_s).all()
    assert (mixed.each_s > two.each_s).all()
    assert (mixed.first_s > one.first_s).all()
    assert (leaving_time(one, 0) == 0.0).all()
    assert leaving_time(one, 10) == pytest.approx(one.first_s + 10 * one.each_s)
    with pytest.raises(ParameterError, match="ways out"):
        escape_of(DRAWS, [], 4400.0)


# sinking


def test_steps_hold_the_volume_and_the_falling_pressure(room, build_room):
    steps = sinking_steps(room, 1800.0)
    # over the inner half of the floor a roof of slope 1 in 2.2 stands 3.4 − 1/√2 m high: all below 1.8 m of that sinks
    sunk_mm = 3400.0 - 1000.0 / 2.0**0.5 - 1800.0
    assert steps.volume_m3.sum() == pytest.approx(room.floor_area_m2 * sunk_mm / 1000.0, rel=5e-3)
    assert (np.diff(steps.pressure_share) <= 1e-12).all()
    assert 0.9 < steps.pressure_share[0] <= 1.0
    assert sinking_steps(room, 1300.0).volume_m3.sum() > steps.volume_m3.sum()
    cone = build_room(profile_radius_mm=[2200.0, 0.0], profile_height_mm=[0.0, 3400.0])
    assert sinking_steps(cone).pressure_share == pytest.approx(1.0)  # a cone's weight goes with its area
    low = build_room(profile_height_mm=[0.0, 500.0, 500.0, 900.0], height_mm=900.0)
    assert 0.0 < sinking_steps(low).volume_m3.sum() < low.envelope_volume_m3
    brim = build_room(profile_radius_mm=[2200.0, 1000.0, 0.0], profile_height_mm=[0.0, 0.0, 3400.0])
    assert sinking_steps(brim).volume_m3.sum() == 0.0


def test_height_over_a_place():
    radius, height = np.array([2.0, 3.0, 0.0]), np.array([0.0, 1.0, 4.0])
    assert height_at_radius(radius, height, 2.5) == pytest.approx(
        1.5
    )  # the roof, not the leaning wall below it
    assert height_at_radius(radius, height, 5.0) == 0.0


def test_sinking_of_an_upright_drum_by_hand(build_room):
    """A flat top keeps its weight, so the pressure falls only with the wall that is left."""
    drum = build_room(
        profile_radius_mm=[2200.0, 2200.0, 2200.0, 0.0],
        profile_height_mm=[0.0, 3400.0, 3400.0, 3400.0],
        envelope_volume_m3=51.7,
    )
    steps = sinking_steps(drum, 1800.0)
    assert steps.volume_m3.sum() == pytest.approx(51.7 * 1.6 / 3.4, rel=1e-3)
    # of wall 2·3.4 and roof 2.2 (both in units of pi·r) the last step still carries all but about 1.55 m of wall
    assert steps.pressure_share[-1] == pytest.approx((2 * (3.4 - 1.55) + 2.2) / (2 * 3.4 + 2.2), rel=5e-3)
    low = build_room(
        profile_height_mm=[0.0, 2000.0, 2000.0, 2000.0], height_mm=2000.0, envelope_volume_m3=51.7
    )
    assert sinking_steps(low, 1800.0).volume_m3.sum() == pytest.approx(51.7 * 0.25, rel=2e-3)


def test_what_slows_sinking_slows_it(room):
    found = sunk(room)
    shut = {variant: float(one.shut_s[0]) for variant, one in found.items()}
    V = SinkingVariant
    assert V.SECOND_FAN not in shut
    assert shut[V.AS_SET] < shut[V.SLEEVE_FLAP] < shut[V.CLIPS_AND_FLAP]
    assert shut[V.AS_SET] < shut[V.CLIPS_ON] < shut[V.CLIPS_AND_FLAP]
    assert all((one.in_use_s < one.shut_s).all() for one in found.values())
    assert (sunk(room, 8.0)[V.AS_SET].shut_s < found[V.AS_SET].shut_s).all()


def test_a_second_fan_keeps_it_up(room):
    def running(pressure):
        return np.full_like(pressure, 2.0)

    found = sunk(room, second=running)[SinkingVariant.SECOND_FAN]
    assert np.isinf(found.in_use_s).all()
    escape = escape_of(DRAWS, [DOOR], 4400.0)
    assert out_in_time(DRAWS, escape, found, 40) == 1.0
    assert people_out_in_time(DRAWS, escape, found) == 10_000


def test_the_answer_can_be_yes_and_no(build_room):
    large = build_room(
        floor_area_m2=78.5,
        base_diameter_mm=10000.0,
        envelope_volume_m3=330.0,
        height_mm=5500.0,
        profile_radius_mm=[5000.0, 5000.0, 5000.0, 0.0],
        profile_height_mm=[0.0, 3500.0, 3500.0, 5500.0],
    )
    escape = escape_of(DRAWS, sagging([way(1200.0, 2200.0)] * 2), 10000.0, stooping_inside=True)
    most = {variant: people_out_in_time(DRAWS, escape, one) for variant, one in sunk(large).items()}
    assert most[SinkingVariant.CLIPS_AND_FLAP] > most[SinkingVariant.CLIPS_ON] >= most[SinkingVariant.AS_SET]
    assert most[SinkingVariant.CLIPS_AND_FLAP] >= 30
    small = escape_of(DRAWS, sagging([DOOR]), 4400.0, stooping_inside=True)
    assert people_out_in_time(DRAWS, small, sunk(build_room(), door_m2=1.2)[SinkingVariant.AS_SET]) == 0


def test_weights_of_readings_count(room):
    escape, one = escape_of(DRAWS, [TALL], 4400.0), sunk(room)[SinkingVariant.CLIPS_AND_FLAP]
    late = escape.first_s > np.median(escape.first_s)
    slow, quick = (Draws(DRAWS.uniform, half / half.sum()) for half in (1.0 * late, 1.0 - late))
    half_of_cases = people_out_in_time(DRAWS, escape, one, chance=0.5)
    assert out_in_time(slow, escape, one, half_of_cases) < out_in_time(quick, escape, one, half_of_cases)
    assert people_out_in_time(slow, escape, one) < people_out_in_time(quick, escape, one)


def test_the_most_people_are_the_most(room):
    escape = escape_of(DRAWS, [TALL], 4400.0)
    one = sunk(room, closed_m2=0.005)[SinkingVariant.CLIPS_AND_FLAP]
    most = people_out_in_time(DRAWS, escape, one)
    assert most > 0
    assert out_in_time(DRAWS, escape, one, most) >= 0.9 > out_in_time(DRAWS, escape, one, most + 1)


def test_a_room_knows_each_of_its_ways(build_room):
    assert build_room(exit_count=2).ways_out == (way(950.0, 1900.0),) * 2
    both = (way(900.0, 1800.0, 1000.0), way(1200.0, 2100.0))
    assert build_room(exit_count=2, ways=both).ways_out == both
    with pytest.raises(ParameterError, match="ways out is 3"):
        build_room(ways=3)

"""How far to open the vent, and how long things take."""

import attrs
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shellparts.base.ranges import End, Judgement, Range, exact
from shellparts.loads.band import working_band
from shellparts.loads.leaks import (
    LeakLaw,
    closed_room_leaks,
    cloth_leak,
    doorway_leak,
    leak_flow,
    needle_hole_leak,
    opening_leak,
)
from shellparts.loads.timing import (
    deflate_time,
    height_at_radius,
    inflate_time,
    time_to_leave,
    volume_to_lose,
)
from shellparts.loads.vent import (
    clips_each_side,
    slit_area,
    slit_length,
    vent_area_for_pressure,
    vent_setting,
)
from shellparts.loads.working_point import solve_working_point
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.fan_curve import FanCurve
from shellparts.parameters.fan_sources import fan_from_points
from shellparts.parameters.site import FloorKind


def hole_flow(area_m2, pressure_Pa):
    return 0.61 * area_m2 * np.sqrt(2.0 * pressure_Pa / 1.2)


@settings(deadline=None)
@given(st.floats(2.0, 55.0), st.floats(0.0, 1e-3))
def test_the_vent_s_area_brings_the_room_to_the_chosen_pressure(pressure, crack):
    curve = FanCurve((0.0, 0.5, 1.0), (60.0, 45.0, 0.0))
    other = [LeakLaw(crack, 0.65)]
    area = vent_area_for_pressure(curve, other, pressure, 1.2)
    vent = opening_leak("vent", exact(area), 1.2, exact(0.61)).law(End.LIKELY)
    assert solve_working_point(curve, [*other, vent]).pressure_Pa == pytest.approx(pressure, rel=1e-9)


def test_a_weak_fan_asks_for_a_negative_vent():
    assert vent_area_for_pressure(FanCurve((0.0, 1.0), (5.0, 0.0)), [LeakLaw(0.1, 0.5)], 6.0, 1.2) < 0.0


@settings(deadline=None)
@given(st.floats(0.0, 5000.0), st.floats(0.05, 0.5))
def test_slit_area_and_length_are_inverse(length, gape):
    assert slit_length(slit_area(length, gape), gape) == pytest.approx(length, abs=1e-6)


def test_a_slit_is_a_lens_of_two_arcs():
    # two flat parabolas, each with sagitta g·L/2: numerically integrated
    x = np.linspace(-0.5, 0.5, 20001)
    assert slit_area(1000.0, 0.2) == pytest.approx(np.trapezoid(0.2 * (1 - (2 * x) ** 2), x), rel=1e-6)


@pytest.mark.parametrize(
    ("length", "longest", "each"),
    [(0, 1200, 0), (1, 1200, 1), (1000, 1200, 5), (1001, 1200, 6), (9e9, 1250, 7), (500, 0, 0)],
)
def test_clips_on_each_side_are_never_more_than_there_are(length, longest, each):
    assert clips_each_side(length, longest, 100.0) == each


@pytest.mark.parametrize("longest", [0.0, 650.0, 1900.0])
def test_the_clips_of_a_setting_are_even_and_no_more_than_there_are(room, cloth, fan, longest):
    leaks = closed_room_leaks(room, cloth, FloorKind.HALL_FLOOR, 1.2)
    clips = vent_setting(fan, fan.speeds[0], leaks, 7.0, 1.2, longest, 100.0).clips
    assert clips % 2 == 0
    assert clips <= 2 * np.ceil(longest / 2 / 100.0)


def test_reach_of_the_vent(room, cloth, fan):
    leaks = closed_room_leaks(room, cloth, FloorKind.HALL_FLOOR, 1.2)
    pressure = working_band(room, cloth).target_Pa
    reach = {
        longest: vent_setting(fan, fan.speeds[0], leaks, pressure, 1.2, longest, 100.0).reach
        for longest in (10.0, 1500.0, 9000.0)
    }
    assert reach == {10.0: Judgement.NOT_MET, 1500.0: Judgement.UNCERTAIN, 9000.0: Judgement.FINE}
    weak = fan_from_points("weak", (0.0, 0.1), (pressure / 2, 0.0), 300.0)
    setting = vent_setting(weak, weak.speeds[0], leaks, pressure, 1.2, 9000.0, 100.0)
    assert setting.reach is Judgement.NOT_MET
    assert setting.area_m2 == exact(0.0)


def test_the_leaks_of_a_closed_room_add_up(room):
    cloth = Cloth(air_permeability_mm_s=Range(1.0, 2.0, 3.0))
    leaks = closed_room_leaks(room, cloth, FloorKind.GROUND, 1.2)
    assert [leak.name for leak in leaks] == [
        "gap at the ground",
        "needle holes",
        "seam laps",
        "doorway",
        "cloth",
    ]
    for end in End:
        total = leak_flow([leak.law(end) for leak in leaks], 10.0)
        assert total == pytest.approx(sum(leak_flow([leak.law(end)], 10.0) for leak in leaks))
    low, likely, high = (leak_flow([leak.law(end) for leak in leaks], 10.0) for end in End)
    assert low < likely < high


def test_a_flap_closes_the_ground(room, bare_room, cloth):
    with_flap = closed_room_leaks(room, cloth, FloorKind.GROUND, 1.2)[0].coefficient
    without = closed_room_leaks(bare_room, cloth, FloorKind.GROUND, 1.2)[0].coefficient
    assert with_flap.high < without.likely
    assert with_flap.likely < without.low


def test_leaks_by_hand():
    cloth = Cloth(stitches_per_m=250, stitch_rows=2, needle_mm=1.0)
    holes = needle_hole_leak(10.0, cloth, 1.2).law(End.LIKELY)
    area = 250 * 2 * 10 * np.pi / 4 * 1e-6 * 0.2
    assert leak_flow([holes], 8.0) == pytest.approx(hole_flow(area, 8.0))
    through = cloth_leak(50.0, exact(10.0)).law(End.LIKELY)  # 10 mm/s at 100 Pa over 50 m² is 0.5 m³/s there
    assert leak_flow([through], 100.0) == pytest.approx(0.5)
    assert leak_flow([through], 5.0) == pytest.approx(0.025)


def test_the_doorway_counts_every_way_out(build_room):
    one = doorway_leak(build_room(), exact(1.0), 1.2).coefficient.likely
    two = doorway_leak(build_room(exit_count=2), exact(1.0), 1.2).coefficient.likely
    assert two == pytest.approx(2 * one)
    assert one * np.sqrt(8.0) == pytest.approx(hole_flow(0.95 * 1.9, 8.0))


def test_inflating_without_leaks_is_volume_over_flow(fan):
    times = inflate_time(30.0, fan, fan.speeds[0], [], 0.0, 1.2)
    # the table's flow, and a tenth more and less
    assert (times.low, times.likely, times.high) == pytest.approx([30.0 / 0.55 / k for k in (1.1, 1.0, 0.9)])
    hopeless = inflate_time(30.0, fan, fan.speeds[0], [opening_leak("hole", exact(5.0), 1.2)], 5.0, 1.2)
    assert hopeless == exact(float("inf"))


def test_a_leakier_room_sinks_sooner(room, fan, cloth):
    band = working_band(room, cloth)
    leaks = closed_room_leaks(room, cloth, FloorKind.HALL_FLOOR, 1.2)
    tight = deflate_time(room, fan, leaks, band, 1.2)
    open_ = deflate_time(room, fan, [*leaks, opening_leak("vent", exact(0.3), 1.2)], band, 1.2)
    assert open_.low < tight.low
    assert open_.high < tight.high


def test_volume_to_lose_in_an_upright_room(build_room):
    # an upright drum with a flat top: over the inner half of the floor the cloth sinks from 3.4 m to 1.8 m
    drum = build_room(
        profile_radius_mm=[2200.0, 2200.0, 2200.0, 0.0],
        profile_height_mm=[0.0, 3400.0, 3400.0, 3400.0],
        envelope_volume_m3=51.7,
    )
    assert volume_to_lose(drum) == pytest.approx(51.7 * 1.6 / 3.4, rel=1e-3)
    low = attrs.evolve(drum, profile_height_mm=[0.0, 2000.0, 2000.0, 2000.0], height_mm=2000.0)
    assert volume_to_lose(low) == pytest.approx(51.7 * 0.25, rel=2e-3)


def test_height_over_a_place():
    radius, height = np.array([2.0, 3.0, 0.0]), np.array([0.0, 1.0, 4.0])
    assert height_at_radius(radius, height, 2.5) == pytest.approx(
        1.5
    )  # the roof, not the leaning wall below it
    assert height_at_radius(radius, height, 5.0) == 0.0


@settings(deadline=None)
@given(st.integers(0, 300))
def test_leaving_takes_longer_with_more_people(people):
    from shellparts.loads.room_figures import RoomFigures

    room = RoomFigures(12.57, 31.4, 16.8, 4000, 4000, [2000, 0], [0, 4000], 12, 40, 12.57, 7, 900, 2000)
    now, more = time_to_leave(people, room), time_to_leave(people + 1, room)
    assert more.low > now.low
    assert more.high > now.high
    wider = attrs.evolve(room, exit_count=2)
    assert time_to_leave(people + 1, wider).likely < more.likely


def test_sinking_through_a_standing_fan_alone_by_hand(room, fan, cloth):
    # half of the outlet counts as open
    band = working_band(room, cloth)
    outflow = hole_flow(0.5 * np.pi / 4 * 0.35**2, band.hold_up_Pa.likely)
    assert deflate_time(room, fan, [], band, 1.2).likely == pytest.approx(volume_to_lose(room) / outflow)


def test_a_longer_way_takes_longer(build_room):
    short, long = (time_to_leave(10, build_room(tunnel_length_mm=mm)) for mm in (0.0, 4000.0))
    assert long.likely - short.likely == pytest.approx(4.0 / 0.8)

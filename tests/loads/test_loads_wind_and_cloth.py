"""Wind, holding down and cloth forces: properties and refusals."""

import math
from itertools import pairwise

import attrs
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shellparts.loads.hold_down import HOLD_FACTOR, anchors_needed, ballast_needed, uplift
from shellparts.loads.wind import (
    WIND_CEILING_M_S,
    WindTrouble,
    anchors_for_wind,
    frontal_area,
    velocity_pressure,
    wind_limits,
)

from shellparts.base.errors import ParameterError
from shellparts.base.ranges import Range, exact
from shellparts.loads.atmosphere import GRAVITY_M_S2
from shellparts.loads.cloth_forces import factor_of_safety, membrane_forces, wrinkled_share
from shellparts.parameters.site import FloorKind


@settings(deadline=None)
@given(st.floats(0.0, 100.0), st.floats(1.0, 100.0))
def test_ballast_holds_with_its_factor(pressure, mass):
    up = uplift(pressure, 15.0, 3.0, 0.8)
    kg = ballast_needed(up, mass)
    assert (kg + mass) * GRAVITY_M_S2 >= HOLD_FACTOR * up * (1 - 1e-12)
    assert kg == 0.0 or (kg + mass) * GRAVITY_M_S2 == pytest.approx(HOLD_FACTOR * up)


def test_a_flap_larger_than_the_floor_is_refused():
    with pytest.raises(ParameterError, match="flap area is 20 m²"):
        uplift(5.0, 15.0, 20.0)


def test_anchors_by_hand():
    assert [anchors_needed(f, 1.0) for f in (0.0, 1.0, 800.0, 800.1, 8000.0)] == [0, 1, 1, 2, 10]


def test_more_ballast_and_anchors_never_lower_the_wind_limit(room):
    pressure = exact(6.0)
    limits = [wind_limits(room, pressure, FloorKind.GROUND, kg, 0, 1.2) for kg in (0, 50, 200, 1000)]
    for before, after in pairwise(limits):
        assert after.slide_m_s.low >= before.slide_m_s.low
        assert after.overturn_m_s.low >= before.overturn_m_s.low
        assert after.fly_m_s.low >= before.fly_m_s.low
        assert after.limit_m_s >= before.limit_m_s
    anchored = wind_limits(room, pressure, FloorKind.GROUND, 50, 8, 1.2)
    assert anchored.slide_m_s.low > limits[1].slide_m_s.low


def test_a_floating_room_stands_no_wind(room):
    assert wind_limits(room, exact(50.0), FloorKind.GROUND, 0.0, 0, 1.2).limit_m_s == 0.0


def test_the_ceiling_holds_however_well_it_is_anchored(room):
    # pressed hard from inside and tied down like a ship: the published stop limit still rules
    limits = wind_limits(room, exact(300.0), FloorKind.GROUND, 5000.0, 200, 1.2)
    assert limits.limit_m_s == WIND_CEILING_M_S
    assert limits.governed_by is WindTrouble.CEILING


def test_sliding_by_hand(build_room):
    # upright drum, likely values: friction 0.4, drag 0.8, lift 11/16, factor 1.5
    drum = build_room(0.0, profile_height_mm=[0.0, 3400.0, 3400.0, 3400.0], cloth_mass_kg=20.0)
    net = (20.0 + 300.0) * GRAVITY_M_S2 - 6.0 * drum.floor_area_m2
    q = 0.4 * net / (1.5 * (0.8 * 4.4 * 3.4 + 0.4 * 11 / 16 * drum.floor_area_m2))
    found = wind_limits(drum, exact(6.0), FloorKind.GROUND, 300.0, 0, 1.2).slide_m_s.likely
    assert found == pytest.approx(math.sqrt(2 * q / 1.2))


def test_tipping_and_flying_by_hand(build_room):
    # upright drum, likely values, 10 anchors of which each counts with 800 N: moments about the lee edge
    drum = build_room(0.0, profile_height_mm=[0.0, 3400.0, 3400.0, 3400.0], cloth_mass_kg=20.0)
    net, hold = (20.0 + 300.0) * GRAVITY_M_S2 - 6.0 * drum.floor_area_m2, 10 * 800.0
    push, rise = 1.5 * 0.8 * 4.4 * 3.4, 1.5 * 11 / 16 * drum.floor_area_m2
    found = wind_limits(drum, exact(6.0), FloorKind.GROUND, 300.0, 10, 1.2)
    q = (net + 0.75 * hold) * 2.2 / (push * 1.7 + rise * 2.2)
    assert found.overturn_m_s.likely == pytest.approx(math.sqrt(2 * q / 1.2))
    assert found.fly_m_s.likely == pytest.approx(math.sqrt(2 * (net + hold) / rise / 1.2))
    assert found.dent_m_s.likely == pytest.approx(math.sqrt(2 * 6.0 / 1.2))


def test_anchors_for_wind_by_hand(build_room):
    drum = build_room(0.0, profile_height_mm=[0.0, 3400.0, 3400.0, 3400.0], cloth_mass_kg=20.0)
    gust = 1.5 * 0.5 * 1.2 * 10.0**2
    side = gust * 1.2 * 4.4 * 3.4
    up = gust * 1.1 * drum.floor_area_m2 + 6.0 * drum.floor_area_m2 - 20.0 * GRAVITY_M_S2
    tip = (side * 1.7 + up * 2.2) / (0.75 * 2.2)
    expected = math.ceil(max(up, tip) / 800.0) + math.ceil(side / 800.0)
    assert anchors_for_wind(drum, 10.0, 6.0, 0.0, 1.2) == expected


def test_anchors_for_wind_grow_with_the_wind(room):
    counts = [anchors_for_wind(room, v, 6.0, 0.0, 1.2) for v in (2.0, 6.0, 10.0, 14.0)]
    assert counts == sorted(counts)
    assert counts[0] >= 4
    assert counts[-1] > counts[0]


def test_frontal_area_of_a_cone():
    area, middle = frontal_area(np.array([2000.0, 0.0]), np.array([0.0, 3000.0]))
    assert (area, middle) == pytest.approx((6.0, 1.0))


def test_bad_wind_is_refused():
    with pytest.raises(ParameterError, match="wind is -1 m/s"):
        velocity_pressure(-1.0)


def dome(radius_mm=2500.0, height_mm=2500.0, points=400):
    t = np.linspace(0.0, math.pi / 2, points)
    r = radius_mm * np.cos(t)
    r[-1] = 0.0
    return r, height_mm * np.sin(t)


@settings(deadline=None)
@given(st.floats(1.0, 500.0), st.floats(500.0, 6000.0), st.floats(500.0, 6000.0))
def test_forces_grow_with_the_pressure(pressure, radius, height):
    one, two = (membrane_forces(*dome(radius, height, 60), p) for p in (pressure, 2 * pressure))
    assert two.meridian_N_m == pytest.approx(2 * one.meridian_N_m)
    assert two.hoop_N_m == pytest.approx(2 * one.hoop_N_m)


def test_vertical_balance_at_every_level():
    r, z = dome(2500.0, 1900.0)
    forces = membrane_forces(r, z, 20.0, 0.2)
    s_r, s_z = np.gradient(r), np.gradient(z)
    belts = math.pi * (r[:-1] + r[1:]) * np.hypot(np.diff(r), np.diff(z)) * 1e-6
    weight = 0.2 * GRAVITY_M_S2 * np.concatenate([np.cumsum(belts[::-1])[::-1], [0.0]])
    up = 20.0 * math.pi * (r / 1000.0) ** 2 - weight
    pull = forces.meridian_N_m * 2 * math.pi * r / 1000.0 * s_z / np.hypot(s_r, s_z)
    assert pull[2:-2] == pytest.approx(up[2:-2], rel=2e-3, abs=0.05)


def test_a_flat_dome_wrinkles_at_its_rim_and_a_round_one_does_not():
    assert wrinkled_share(membrane_forces(*dome(2500.0, 2500.0), 50.0)) == 0.0
    assert wrinkled_share(membrane_forces(*dome(2500.0, 1700.0), 50.0)) > 0.05


def test_a_roof_on_a_wall_presses_the_ring_between():
    # cone of slope 45° on a wall: pressure pulls the roof's rim inward with p·r/2·cot(45°) a metre, r times
    # that along the ring
    forces = membrane_forces(
        np.array([2000.0, 2000.0, 2000.0, 0.0]), np.array([0.0, 2000.0, 2000.0, 4000.0]), 50.0
    )
    (ring,) = forces.rings
    assert ring.height_mm == 2000.0
    assert ring.force_N == pytest.approx(-50.0 * 2.0 / 2.0 * 2.0)


def test_a_level_roof_s_force_is_not_known():
    forces = membrane_forces(
        np.array([2000.0, 2000.0, 2000.0, 0.0]), np.array([0.0, 2000.0, 2000.0, 2000.0]), 50.0
    )
    assert np.isnan(forces.meridian_N_m[2:]).all()
    assert forces.largest_N_m == pytest.approx(100.0)


def test_a_point_given_three_times_is_refused():
    with pytest.raises(ParameterError, match="a point given three times"):
        membrane_forces(np.array([2.0, 2.0, 2.0, 0.0]), np.array([0.0, 0.0, 0.0, 2.0]), 50.0)


def test_factor_of_safety_takes_the_weakest():
    assert factor_of_safety(50.0, 1000.0, 400.0) == 8.0
    assert factor_of_safety(0.0, 1000.0) == math.inf


def test_wind_on_a_wider_middle_uses_the_widest_level(build_room):
    straight = build_room()
    barrel = attrs.evolve(
        straight,
        profile_radius_mm=[2200.0, 3300.0, 2200.0, 0.0],
        profile_height_mm=[0.0, 1200.0, 2400.0, 3400.0],
    )
    a, b = (wind_limits(x, exact(6.0), FloorKind.GROUND, 500.0, 0, 1.2) for x in (straight, barrel))
    assert b.fly_m_s.likely == pytest.approx(a.fly_m_s.likely / 1.5)


def test_the_windward_side_caves_in_first_where_the_pressure_may_be_low(room):
    limits = wind_limits(room, Range(5.0, 20.0, 40.0), FloorKind.GROUND, 5000.0, 200, 1.2)
    assert limits.limit_m_s == pytest.approx(math.sqrt(2 * 5.0 / 1.2))
    assert limits.governed_by is WindTrouble.DENTS

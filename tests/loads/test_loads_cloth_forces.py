"""Forces in the cloth by membrane theory: balance, corners, refusals."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shellparts.base.errors import ParameterError
from shellparts.loads.atmosphere import GRAVITY_M_S2
from shellparts.loads.cloth_forces import factor_of_safety, membrane_forces, wrinkled_share


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

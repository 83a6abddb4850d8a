"""Cloth forces against statics and membrane theory."""

import math

import numpy as np
import pytest
from plain_room import make_room

from shellparts.loads.atmosphere import GRAVITY_M_S2
from shellparts.loads.ballast import ballast_need
from shellparts.loads.cloth_forces import membrane_forces, wrinkled_share
from shellparts.loads.draws import draws
from shellparts.parameters.site import FloorKind


def profile(radius_m, height_m, points=801):
    t = np.linspace(0.0, math.pi / 2, points)
    r = 1000.0 * radius_m * np.cos(t)
    r[-1] = 0.0
    return r, 1000.0 * height_m * np.sin(t)


# statics: p 50 Pa, R 2.5 m
def test_sphere_and_its_uplift():
    forces = membrane_forces(*profile(2.5, 2.5), 50.0)
    assert forces.meridian_N_m == pytest.approx(np.full(801, 62.5), rel=1e-5)
    assert forces.hoop_N_m == pytest.approx(np.full(801, 62.5), rel=1e-5)
    # what holds it down, cloth and ballast, is 1.5 times p·pi·R²
    room = make_room(flap_depth_m=0.0, floor_area_m2=math.pi * 2.5**2)
    need = ballast_need(draws(2), room, FloorKind.HALL_FLOOR, 10.0, 50.0)
    assert (need + 10.0) * GRAVITY_M_S2 / 1.5 == pytest.approx(981.748, abs=5e-4)


def test_cylinder():
    forces = membrane_forces(
        np.array([2500.0, 2500.0, 2500.0, 0.0]), np.array([0.0, 3000.0, 3000.0, 5500.0]), 50.0
    )
    assert forces.meridian_N_m[:2] == pytest.approx([62.5, 62.5])
    assert forces.hoop_N_m[:2] == pytest.approx([125.0, 125.0])


# membrane theory: cone of 45°, r 1 m, p 50 Pa
def test_cone():
    forces = membrane_forces(np.array([1000.0, 0.0]), np.array([0.0, 1000.0]), 50.0)
    assert forces.meridian_N_m[0] == pytest.approx(35.355, abs=5e-4)
    assert forces.hoop_N_m[0] == pytest.approx(70.711, abs=5e-4)


# membrane theory: oblate spheroid, a 2.5, b 1.7, p 50 Pa
def test_spheroid():
    forces = membrane_forces(*profile(2.5, 1.7), 50.0)
    assert forces.meridian_N_m[-1] == pytest.approx(91.912, abs=5e-3)
    assert forces.hoop_N_m[-1] == pytest.approx(91.912, abs=5e-3)
    assert forces.meridian_N_m[0] == pytest.approx(62.5, abs=5e-4)
    assert forces.hoop_N_m[0] == pytest.approx(-10.164, abs=5e-3)


def test_wrinkles_where_the_spheroid_is_flatter_than_its_limit():
    limit = 2.5 / math.sqrt(2)
    assert wrinkled_share(membrane_forces(*profile(2.5, 0.99 * limit), 50.0)) > 0.0
    assert wrinkled_share(membrane_forces(*profile(2.5, 1.01 * limit), 50.0)) == 0.0

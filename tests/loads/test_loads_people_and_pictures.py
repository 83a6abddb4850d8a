"""Capacity, ways out, breathing, pictures: properties and refusals."""

import math

import numpy as np
import pytest

from shellparts.base.errors import ParameterError
from shellparts.loads.breathing import co2_given_off, co2_rise_rate
from shellparts.loads.people import CapacityLimit, capacity, usable_floor
from shellparts.loads.picture_throw import (
    chord_width,
    picture_on_panels,
    sagitta,
)
from shellparts.parameters.site import AgeGroup, Crowd, Posture


@pytest.mark.parametrize("posture", list(Posture))
def test_capacity_is_the_least_of_three(room, posture):
    for air in (0, 3, 1000):
        found = capacity(room, posture, air)
        assert found.people == min(found.by_floor, found.by_exits, found.by_air)
        assert {"floor": found.by_floor, "exits": found.by_exits, "fresh air": found.by_air}[
            found.limited_by.value
        ] == found.people


def test_headroom_takes_floor_off(build_room):
    tent = build_room(profile_radius_mm=[2200.0, 0.0], profile_height_mm=[0.0, 3400.0])
    standing, seated = (capacity(tent, p, 1000).usable_floor_m2 for p in (Posture.STANDING, Posture.ON_FLOOR))
    assert standing < seated < tent.floor_area_m2
    # a cone: half of the height, a quarter of the floor
    radius, height = np.array([2.0, 0.0]), np.array([0.0, 4.0])
    assert usable_floor(radius, height, 12.0, 2.0) == pytest.approx(3.0)
    assert usable_floor(radius, height, 12.0, 4.0) == 0.0
    low = build_room(profile_height_mm=[0.0, 500.0, 500.0, 900.0], height_mm=900.0)
    assert capacity(low, Posture.ON_FLOOR, 1000).people == 0


def test_one_exit_takes_no_more_than_49(build_room):
    hall = build_room(floor_area_m2=200.0)
    assert capacity(hall, Posture.ON_FLOOR, 1000).people == 49
    assert capacity(hall, Posture.ON_FLOOR, 1000).limited_by is CapacityLimit.EXITS


def test_crowds_add_up():
    assert co2_given_off([]) == 0.0
    with pytest.raises(ParameterError, match="volume is 0 m³"):
        co2_rise_rate(0.1, 0.0)
    each = sum(co2_given_off([Crowd(g, 1)]) for g in AgeGroup)
    assert co2_given_off([Crowd(g, 1) for g in AgeGroup]) == pytest.approx(each)


def test_the_search_finds_the_closed_form_on_one_straight_panel(build_room):
    tent = build_room(profile_radius_mm=[2200.0, 0.0], profile_height_mm=[0.0, 3400.0])
    base, slope = chord_width(4400.0, 12), math.hypot(2200.0, 3400.0)
    expected = base / (1.0 + base / (16.0 / 9.0 * slope))  # similar triangles
    found = picture_on_panels(tent)
    assert found.width_mm == pytest.approx(expected, rel=1e-4)
    assert (found.bottom_mm, found.depth_mm) == pytest.approx((0.0, 0.0), abs=1e-6)


def test_a_picture_on_more_panels_is_larger_and_deeper(room):
    pictures = [picture_on_panels(room, k, lowest_mm=500.0) for k in (1, 2, 3)]
    assert [p.panels for p in pictures] == [1, 2, 3]
    assert pictures[0].width_mm < pictures[1].width_mm < pictures[2].width_mm
    assert pictures[0].depth_mm < pictures[1].depth_mm < pictures[2].depth_mm
    assert all(p.bottom_mm >= 500.0 for p in pictures)
    assert pictures[0].width_mm == pytest.approx(chord_width(4400.0, 12))
    assert pictures[0].throw_mm == pytest.approx(1.2 * pictures[0].width_mm)
    assert not picture_on_panels(room, 3, throw_ratio=3.0).fits_inside


def test_depth_of_neighbouring_panels():
    # two panels of a square through a diameter of 2: their chord is the diameter, the corner between stands
    # 1 off
    assert sagitta(2.0, 4, 2) == pytest.approx(1.0)
    # three of a hexagon: chord the diameter, the middle panel stands its apothem off
    assert sagitta(2.0, 6, 3) == pytest.approx(math.sqrt(3) / 2)


def test_bad_pictures_are_refused(room):
    with pytest.raises(ParameterError, match="panels side by side"):
        chord_width(4400.0, 12, 7)
    with pytest.raises(ParameterError, match="picture's lower edge"):
        picture_on_panels(room, lowest_mm=3400.0)


def test_the_way_to_the_exit_is_kept_free(room):
    # all of the upright room's floor has headroom for sitting
    free = room.floor_area_m2 - 0.95 * math.sqrt(room.floor_area_m2 / math.pi)
    found = capacity(room, Posture.ON_FLOOR, 1000)
    assert found.usable_floor_m2 == pytest.approx(free)
    assert found.by_floor == math.floor(free / 0.65)


def test_the_tunnel_is_no_floor_for_people(room, build_room):
    """The air bears on the tunnel's floor too, but nobody may sit in the way out."""
    tunnel = build_room(floor_area_m2=room.floor_area_m2 + 1.5, shell_floor_m2=room.floor_area_m2)
    assert capacity(tunnel, Posture.ON_FLOOR, 1000) == capacity(room, Posture.ON_FLOOR, 1000)
    with pytest.raises(ParameterError, match=r"floor of the shell is 50 m²; .*at most the whole floor"):
        build_room(shell_floor_m2=50.0)


def test_a_curved_wall_bows_the_picture(build_room):
    t = np.linspace(0.0, math.pi / 2, 400)
    radius = 2200.0 * np.cos(t)
    radius[-1] = 0.0
    dome = build_room(profile_radius_mm=radius, profile_height_mm=2200.0 * np.sin(t), height_mm=2200.0)
    picture = picture_on_panels(dome)
    # sagitta of an arc of radius 2200 as long as the picture is high
    arc = picture.picture_height_mm / 2200.0
    assert picture.depth_mm == pytest.approx(2200.0 * (1 - math.cos(arc / 2)), rel=0.02)

"""People and breathing against published values."""

import math

import pytest
from scipy.optimize import linprog

from shellparts.loads.breathing import CO2_L_S, co2_given_off, co2_rise_rate, required_outdoor_air
from shellparts.loads.hall_air import Visits, co2_after_visits
from shellparts.loads.people import FLOOR_PER_PERSON_M2, clear_width_needed, exit_capacity
from shellparts.loads.picture_throw import chord_width, picture_on_panels
from shellparts.loads.sinking import STAYS_UP_S
from shellparts.parameters.site import AgeGroup, Crowd, Posture, Space

CROWD = [Crowd(AgeGroup.BOYS_6_10, 25), Crowd(AgeGroup.MEN_30_39, 1)]


# ASHRAE 62.1-2016, table 6.2.2.1
@pytest.mark.parametrize(
    ("space", "a_person", "a_metre"),
    [(Space.CLASSROOM, 5.0, 0.6), (Space.LECTURE_HALL, 3.8, 0.3), (Space.MULTI_USE_ASSEMBLY, 3.8, 0.3)],
)
def test_outdoor_air(space, a_person, a_metre):
    assert required_outdoor_air(space, 1, 0.0) == pytest.approx(a_person)
    assert required_outdoor_air(space, 0, 1.0) == pytest.approx(a_metre)


def test_outdoor_air_of_a_full_classroom():
    assert required_outdoor_air(Space.CLASSROOM, 25, 20.0) == pytest.approx(137.0)


# A. Persily and L. de Jonge, Indoor Air 27, 2017, at 1.2 met
def test_co2_given_off():
    assert [CO2_L_S[g] for g in AgeGroup] == [0.0030, 0.0027, 0.0041, 0.0035, 0.0046]
    assert co2_given_off(CROWD) == pytest.approx(25 * 0.0030 + 0.0046)


# mass balance of a mixed room that has settled, in the open air: 10⁶·G/Q over the outdoors'
@pytest.mark.parametrize(
    ("given", "flow", "over"), [(0.0048, 10.0, 480.0), (co2_given_off(CROWD), 137.0, 581.0)]
)
def test_steady_co2(given, flow, over):
    settled, _ = co2_after_visits(given, flow / 1000.0, 40.0, math.inf, 0.0, Visits(1e7))
    assert float(settled) - 420.0 == pytest.approx(over, abs=0.05)


def test_rise_without_fan():
    assert co2_rise_rate(co2_given_off(CROWD), 40.0) * 60.0 == pytest.approx(119.4, abs=0.05)


# NFPA 101-2009 / IBC table 1004.5: 7, 15 and 20 ft²
@pytest.mark.parametrize(
    ("posture", "printed", "square_feet"),
    [(Posture.CHAIRS, 0.65, 7), (Posture.TABLES, 1.4, 15), (Posture.CLASSROOM, 1.9, 20)],
)
def test_floor_per_person(posture, printed, square_feet):
    assert FLOOR_PER_PERSON_M2[posture] == printed
    assert FLOOR_PER_PERSON_M2[posture] == pytest.approx(square_feet * 0.3048**2, abs=0.05)


# IBC; ADA Standards 404.2.3
def test_exits():
    assert exit_capacity(1, 5000.0) == 49
    assert exit_capacity(2, 36 * 25.4) == 2 * 36 / 0.2
    assert clear_width_needed(24.0 * 25.4) == pytest.approx(32 * 25.4)
    assert clear_width_needed(24.1 * 25.4) == pytest.approx(36 * 25.4)


# a US state's rule for inflated devices
def test_five_minutes():
    assert STAYS_UP_S == 5 * 60


# similar triangles, and a linear programme in width and lower edge
@pytest.mark.parametrize(("height", "lowest"), [(1500.0, 0.0), (3400.0, 600.0), (9000.0, 2000.0)])
def test_largest_picture_on_a_cone_by_linear_programming(build_room, height, lowest):
    room = build_room(profile_radius_mm=[2200.0, 0.0], profile_height_mm=[0.0, height], height_mm=height)
    base, slope = chord_width(4400.0, 12), math.hypot(2200.0, height)
    rows = [
        [1.0 + base / slope * level, base / slope] for level in (0.0, 9 / 16)
    ]  # w <= base·(1 - level/slope)
    least = lowest * slope / height
    best = linprog([-1.0, 0.0], A_ub=rows, b_ub=[base, base], bounds=[(0, None), (least, None)])
    assert picture_on_panels(room, lowest_mm=lowest).width_mm == pytest.approx(best.x[0], rel=1e-4)
    if lowest == 0.0:
        assert best.x[0] == pytest.approx(base / (1 + 9 * base / (16 * slope)))


# Machinery's Handbook, chords of a divided circle
@pytest.mark.parametrize(
    ("n", "d", "chord", "digits"),
    [(8, 6.0, 2.296, 3), (12, 1.0, 0.258819, 6), (24, 1.0, 0.130526, 6), (56, 1.0, 0.05607, 5)],
)
def test_chords(n, d, chord, digits):
    assert round(chord_width(d, n), digits) == chord
    assert chord_width(d, n) == pytest.approx(d * math.sin(math.pi / n))

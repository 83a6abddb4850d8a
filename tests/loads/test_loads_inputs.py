"""Bad numbers are refused by one sentence; ranges keep their order and their honesty."""

import math

import attrs
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shellparts.base.checks import above, between
from shellparts.base.errors import ParameterError
from shellparts.base.ranges import Range, exact
from shellparts.loads.atmosphere import moist_air_density, standard_pressure
from shellparts.parameters.air_units import CFM_M3_S, IN_WG_PA, read_flow, read_pressure
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.site import AgeGroup, Crowd, Site


@pytest.mark.parametrize("bad", [math.nan, math.inf, -1.0, True, "3", None])
def test_numbers_that_cannot_be_are_refused(bad):
    with pytest.raises(ParameterError, match=r"floor.*must be.*Remedy: measure"):
        between("floor", bad, 0.0, math.inf, "m²", "measure")
    with pytest.raises(ParameterError, match=r"floor.*more than 0 m².*Remedy: measure"):
        above("floor", bad, 0.0, "m²", "measure")


def test_the_error_gives_value_unit_limit_and_remedy():
    with pytest.raises(
        ParameterError, match=r"^altitude is 9000 m; it must be from -500 to 5000 m\. Remedy: "
    ):
        standard_pressure(9000.0)
    with pytest.raises(ParameterError, match=r"relative humidity is 50 as a share; .*write 50 % as 0\.5"):
        moist_air_density(20.0, 50.0)


@pytest.mark.parametrize("text", ["fast", "12", "12 Pa", "cfm", "1.2.3 cfm", "-5 cfm", ""])
def test_a_flow_without_number_or_unit_is_refused(text):
    with pytest.raises(ParameterError, match=r"flow is .*units m3/s"):
        read_flow(text)


def test_a_pressure_with_a_flow_s_unit_is_refused():
    with pytest.raises(ParameterError, match=r"pressure is '3 cfm'"):
        read_pressure("3 cfm")


@settings(deadline=None)
@given(st.floats(1e-3, 1e3))
def test_units_go_there_and_back(value):
    assert read_flow(f"{value!r} cfm") / CFM_M3_S == pytest.approx(value, rel=1e-12)
    assert read_pressure(f"{value!r} in wg") / IN_WG_PA == pytest.approx(value, rel=1e-12)


def test_a_range_out_of_order_is_refused():
    with pytest.raises(ParameterError, match=r"range is 3, 2, 4"):
        Range(3, 2, 4)
    with pytest.raises(ParameterError, match=r"range is nan"):
        Range(math.nan, 2, 4)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"profile_radius_mm": [2200.0, 100.0]}, "profile"),
        ({"profile_radius_mm": [2200.0, 2200.0, 500.0, 100.0]}, "0 mm in radius at its top"),
        ({"profile_height_mm": [0.0, 2400.0, 1000.0, 3400.0]}, "rising from 0 mm"),
        ({"profile_height_mm": [10.0, 2400.0, 2400.0, 3400.0]}, "rising from 0 mm"),
        ({"profile_radius_mm": [2200.0, math.nan, 2200.0, 0.0]}, "finite radii"),
        ({"floor_area_m2": -1.0}, "floor area m2"),
        ({"flap_area_m2": 400.0}, "less than the floor"),
        ({"base_diameter_mm": 4700.0}, "base diameter is 4700 mm; it must be the profile's, 4400 mm"),
        ({"height_mm": 3000.0}, "height is 3000 mm; it must be the profile's, 3400 mm"),
        ({"panel_count": 2}, "panel count"),
        ({"panel_count": 12.5}, "a whole number"),
        ({"exit_width_mm": 0.0}, "exit width mm"),
        ({"cloth_mass_kg": math.nan}, "cloth mass kg"),
    ],
)
def test_a_room_that_cannot_be_is_refused(build_room, changes, message):
    with pytest.raises(ParameterError, match=message):
        build_room(**changes)


def test_bad_cloth_site_and_crowd_are_refused():
    with pytest.raises(ParameterError, match=r"mass kg m2 is 200 kg/m².*200 g/m² is 0\.2"):
        Cloth(mass_kg_m2=200)
    with pytest.raises(ParameterError, match="clip spacing mm"):
        Site(clip_spacing_mm=0.0)
    with pytest.raises(ParameterError, match="number of people is -1 people"):
        Crowd(AgeGroup.BOYS_6_10, -1)


def test_a_room_is_frozen_and_equal_to_its_copy(build_room):
    room = build_room()
    assert room == build_room()
    assert room != build_room(panel_count=10)
    with pytest.raises(attrs.exceptions.FrozenInstanceError):
        room.height_mm = 1.0
    with pytest.raises(ValueError, match="read-only"):
        room.profile_radius_mm[0] = 1.0
    assert np.array_equal(room.profile_radius_mm, [2200.0, 2200.0, 2200.0, 0.0])


def test_plain_numbers_become_exact_ranges():
    assert Cloth(mass_kg_m2=0.15).mass_kg_m2 == exact(0.15)

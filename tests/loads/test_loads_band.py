"""Hold-up, lift, and what opens the band."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shellparts.loads.band import (
    FIRM_RATIO,
    Band,
    Standing,
    floating_gap,
    hold_up_pressure,
    lift_pressure,
    standing_of,
    working_band,
)
from shellparts.loads.leaks import leak_flow, opening_leak
from shellparts.loads.verdict import assess

from shellparts.base.errors import ParameterError
from shellparts.base.ranges import End, Range, exact
from shellparts.loads.atmosphere import GRAVITY_M_S2
from shellparts.loads.band_picture import band_picture
from shellparts.loads.cloth_forces import membrane_forces
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.site import Site


def test_without_flap_or_ballast_there_is_no_band(bare_room, cloth):
    band = working_band(bare_room, cloth)
    weight = bare_room.cloth_mass_kg * GRAVITY_M_S2
    assert band.hold_up_Pa.likely == pytest.approx(weight / bare_room.floor_area_m2)
    assert band.lift_Pa.likely == pytest.approx(band.hold_up_Pa.likely)
    assert band.ratio == pytest.approx(1.0)


def test_flap_and_ballast_open_the_band(build_room, bare_room, cloth):
    flaps = [working_band(build_room(flap_depth_m=depth), cloth) for depth in (0.0, 0.1, 0.2, 0.4, 0.8)]
    ratios = [band.ratio for band in flaps]
    assert ratios[0] == pytest.approx(1.0)
    assert ratios == sorted(ratios)
    assert len(set(ratios)) == len(ratios)
    # the flap never changes what holds the shell up
    assert len({round(band.hold_up_Pa.likely, 9) for band in flaps}) == 1
    lifts = [working_band(bare_room, cloth, kg).lift_Pa.likely for kg in (0.0, 10.0, 50.0)]
    assert np.diff(lifts) == pytest.approx(np.array([10.0, 40.0]) * GRAVITY_M_S2 / bare_room.floor_area_m2)


def test_a_flap_that_lies_flat_holds_by_statics():
    # free body of all the cloth: p·A up on the shell, p·A_flap down on the flap, weight down
    area, flap, weight, kg = 15.0, 4.0, 90.0, 12.0
    p = lift_pressure(weight, area, flap, kg)
    assert p * area - p * flap == pytest.approx(weight + kg * GRAVITY_M_S2)


@settings(deadline=None)
@given(st.floats(0.1, 0.9), st.floats(0.5, 5.0))
def test_hold_up_of_a_cone_is_that_of_its_slope(share, radius):
    height = radius * share * 3.0
    weight = 40.0
    area = math.pi * radius**2
    p = hold_up_pressure(np.array([radius, 0.0]), np.array([0.0, height]), weight, area)
    assert p == pytest.approx(weight / area)


def test_a_neck_asks_for_more_than_the_base():
    # a wide head on a narrow neck: the neck's area must carry the head
    radius, height = np.array([2.0, 0.5, 1.5, 0.0]), np.array([0.0, 2.0, 3.0, 4.0])
    p = hold_up_pressure(radius, height, 100.0, math.pi * 4.0)
    assert p > 2.0 * 100.0 / (math.pi * 4.0)


def test_hold_up_is_where_the_meridian_force_is_nowhere_compression():
    t = np.linspace(0.0, math.pi / 2, 600)
    radius, height = 2500.0 * np.cos(t), 2500.0 * np.sin(t)
    radius[-1] = 0.0
    area, mass = math.pi * 2.5**2, 0.2
    # at the top of a dome the pressure must carry the cloth's own weight: more than nothing, less than at
    # the base
    p = hold_up_pressure(radius, height, 2.0 * area * mass * GRAVITY_M_S2, area)
    assert np.nanmin(membrane_forces(radius, height, p * 1.001, mass).meridian_N_m) > 0.0
    assert np.nanmin(membrane_forces(radius, height, p * 0.98, mass).meridian_N_m) < 0.0


def test_bad_flaps_are_refused(build_room, cloth):
    with pytest.raises(ParameterError, match="less than the floor"):
        lift_pressure(80.0, 16.0, 16.0)
    with pytest.raises(ParameterError, match=r"cloth mass is 0\.5 kg"):
        working_band(build_room(cloth_mass_kg=0.5), cloth)


@pytest.mark.parametrize(
    ("pressure", "standing"),
    [
        (Range(5.5, 5.8, 6.0), Standing.STANDS),
        (Range(8.1, 9.0, 20.0), Standing.LIFTS),
        (Range(1.0, 2.0, 4.4), Standing.SAGS),
        (Range(5.5, 5.8, 7.0), Standing.UNCERTAIN),
        (Range(4.8, 5.8, 6.0), Standing.UNCERTAIN),
        (Range(1.0, 5.8, 20.0), Standing.UNCERTAIN),
    ],
)
def test_a_verdict_that_flips_inside_the_range_is_uncertain(pressure, standing):
    assert standing_of(pressure, Band(Range(4.5, 5.0, 5.5), Range(6.0, 7.0, 8.0))) is standing


def test_no_band_is_never_surely_standing():
    band = Band(Range(4.5, 5.0, 5.5), Range(4.5, 5.0, 5.5))
    for p in np.linspace(3.0, 7.0, 41):
        assert standing_of(exact(float(p)), band) is not Standing.STANDS


def test_the_floating_gap_lets_out_the_surplus():
    gap = floating_gap(0.7, 5.0, 14.0, 1.2)
    hole = opening_leak("gap", exact(gap / 1000.0 * 14.0), 1.2, exact(0.61)).law(End.LIKELY)
    assert leak_flow([hole], 5.0) == pytest.approx(0.7)
    assert floating_gap(-0.1, 5.0, 14.0, 1.2) == 0.0


def test_the_target_is_inside_the_band_and_no_more_than_firm():
    assert Band(exact(4.0), exact(5.0)).target_Pa == pytest.approx(math.sqrt(20.0))
    assert Band(exact(4.0), exact(100.0)).target_Pa == pytest.approx(4.0 * FIRM_RATIO)


def test_the_picture_of_the_band_falls_with_the_opening(build_room, room, fan, cloth):
    verdict = assess(room, fan, cloth, Site())
    picture = band_picture(verdict, points=9)
    assert picture.vent_opening_mm[0] == 0.0
    assert picture.vent_opening_mm[-1] == room.vent_longest_mm
    assert [line.name for line in picture.lines] == [speed.name for speed in fan.speeds]
    for line in picture.lines:
        for pressures in (line.low_Pa, line.likely_Pa, line.high_Pa):
            assert pressures.shape == (9,)
            assert (np.diff(pressures) < 0.0).all()
        assert (line.low_Pa <= line.likely_Pa).all()
        assert (line.likely_Pa <= line.high_Pa).all()
    assert picture.hold_up_Pa == verdict.air.band.hold_up_Pa
    with pytest.raises(ParameterError, match="points of the picture"):
        band_picture(verdict, points=1)
    with pytest.raises(ParameterError, match="longest vent opening"):
        band_picture(assess(build_room(vent_longest_mm=0.0), fan, cloth, Site()))


def test_heavier_cloth_spreads_the_limits(room):
    band = working_band(room, Cloth(mass_kg_m2=Range(0.18, 0.2, 0.24)))
    assert band.hold_up_Pa.low / band.hold_up_Pa.likely == pytest.approx(0.9)
    assert band.hold_up_Pa.high / band.hold_up_Pa.likely == pytest.approx(1.2)


def test_the_flap_s_hold_is_a_range(room, cloth):
    # 60, 85 or 100 % of the flap is really pressed down
    lift = working_band(room, cloth).lift_Pa
    weight = room.cloth_mass_kg * GRAVITY_M_S2
    expected = [weight / (room.floor_area_m2 - share * room.flap_area_m2) for share in (0.6, 0.85, 1.0)]
    assert [lift.low, lift.likely, lift.high] == pytest.approx(expected)

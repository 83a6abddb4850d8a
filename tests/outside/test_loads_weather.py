"""Weather and holding down against published values and theory."""

import math

import pytest
from scipy.integrate import dblquad

from shellparts.loads.cloth_forces import seam_strength
from shellparts.loads.outdoors import ANCHOR_PULL_N, ANCHOR_SHARE, LIFT, WIND_CEILING_M_S, velocity_pressure
from shellparts.loads.people import MEMBRANE_PERMIT_M2, SIGNS_PEOPLE
from shellparts.parameters.cloth import Cloth


# ASCE 7: 0.613·V²
@pytest.mark.parametrize(("wind", "pressure"), [(1.0, 0.613), (10.7, 70.18), (11.176, 76.57)])
def test_velocity_pressure(wind, pressure):
    assert round(velocity_pressure(wind), 3 if wind == 1.0 else 2) == pressure


# ISO 20187, EN 14960, by analogy only: they exclude air-supported buildings
def test_stop_limits():
    assert pytest.approx(38.0) == WIND_CEILING_M_S * 3.6
    assert ANCHOR_PULL_N == 1600.0
    # any reading of 30 to 45 degrees leaves at least half of the pull upwards and sideways
    for degrees in (30, 45, 60):
        both = math.sin(math.radians(degrees)), math.cos(math.radians(degrees))
        assert min(both) >= ANCHOR_SHARE * (1 - 1e-12)


# potential flow
def test_hemisphere_in_ideal_flow():
    # surface pressure 1 − (9/4)·sin²(angle from the wind) over the plan area, in plan coordinates
    def suction(y: float, x: float) -> float:
        return 2.25 * (1 - x * x) - 1 if x * x + y * y <= 1 else 0.0

    lift, _ = dblquad(suction, -1, 1, lambda x: -math.sqrt(1 - x * x), lambda x: math.sqrt(1 - x * x))
    assert lift / math.pi == pytest.approx(LIFT.likely, rel=1e-6)


# IFC chapter 31; clauses differ by state
def test_permits():
    assert MEMBRANE_PERMIT_M2 == 37.0
    assert SIGNS_PEOPLE == 50


# trade rule, not a standard: stitches/in × thread strength × 1.5; 10 × 4 lb -> 60 lbf/in
def test_seam_strength():
    pound, inch = 4.4482216152605, 0.0254
    assert seam_strength(10 / inch, 4 * pound) == pytest.approx(60 * pound / inch)


# relief-shelter specification
def test_woven_polyethylene_sheet():
    sheet = Cloth()
    assert sheet.strength_N_m == 500 / 0.05
    assert (sheet.mass_kg_m2.low, sheet.mass_kg_m2.high) == (0.187, 0.227)

"""Air against values from outside: standard atmosphere, moist air, openings, cracks, fan laws, units."""

import fluids
import numpy as np
import pint
import psychrolib
import pytest

from shellparts.base.ranges import exact
from shellparts.loads.atmosphere import (
    moist_air_density,
    saturation_pressure,
    standard_pressure,
)
from shellparts.loads.draws import draws
from shellparts.loads.fan_draws import fan_draws
from shellparts.loads.leak_draws import LeakDraws, opening_coefficient
from shellparts.parameters.air_units import CFM_M3_S, IN_WG_PA, read_flow, read_pressure
from shellparts.parameters.fan import Fan
from shellparts.parameters.fan_curve import FanCurve


@pytest.fixture(scope="module", autouse=True)
def si_units():
    psychrolib.SetUnitSystem(psychrolib.SI)


# US Standard Atmosphere 1976: printed values, and the tables of the fluids library
@pytest.mark.parametrize(("height", "density"), [(0.0, 1.22500), (1000.0, 1.11166), (2000.0, 1.00655)])
def test_standard_atmosphere_printed(height, density):
    warmth = fluids.ATMOSPHERE_1976(height).T - 273.15
    assert moist_air_density(warmth, 0.0, standard_pressure(height)) == pytest.approx(density, abs=5e-6)
    assert standard_pressure(0.0) == 101325.0


@pytest.mark.parametrize("height", [-300.0, 0.0, 500.0, 1500.0, 2500.0, 4000.0])
def test_standard_atmosphere_against_fluids(height):
    assert standard_pressure(height) == pytest.approx(fluids.ATMOSPHERE_1976(height).P, rel=1e-5)


# psychrolib and CoolProp, values within 0.05 %
@pytest.mark.parametrize(
    ("t", "share", "density"), [(20.0, 0.0, 1.204), (20.0, 0.5, 1.199), (35.0, 0.8, 1.126)]
)
def test_moist_air_printed(t, share, density):
    assert moist_air_density(t, share) == pytest.approx(density, rel=5e-4)


@pytest.mark.parametrize("t", [-20.0, 0.0, 15.0, 30.0, 45.0])
@pytest.mark.parametrize("share", [0.0, 0.4, 1.0])
@pytest.mark.parametrize("pressure", [75000.0, 101325.0])
def test_moist_air_against_psychrolib(t, share, pressure):
    ratio = psychrolib.GetHumRatioFromRelHum(t, share, pressure)
    reference = psychrolib.GetMoistAirDensity(t, ratio, pressure)
    assert moist_air_density(t, share, pressure) == pytest.approx(reference, rel=5e-4)


@pytest.mark.parametrize("t", [0.0, 10.0, 20.0, 30.0, 40.0])
def test_saturation_against_psychrolib(t):
    assert saturation_pressure(t) == pytest.approx(psychrolib.GetSatVapPres(t), rel=4e-3)


def leaks(opening: float = 0.0, lap: float = 0.0) -> LeakDraws:
    none = np.zeros(1)
    return LeakDraws(none + opening, none + lap, none, none, none, none, none, 1.2)


def flow_through(area_m2: float, pressure_Pa: float) -> float:
    return float(leaks(opening=opening_coefficient(area_m2, 0.61, 1.2)).flow(pressure_Pa)[0])


# orifice equation; Cd 0.61 from memory
@pytest.mark.parametrize(("pressure", "flow"), [(10.0, 0.12452), (50.0, 0.27843)])
def test_opening_printed(pressure, flow):
    assert flow_through(0.05, pressure) == pytest.approx(flow, abs=5e-6)


def test_opening_against_fluids():
    # a hole small against the pipe before it: the flow-meter equation of the fluids library tends to the same
    mass = fluids.flow_meter.flow_meter_discharge(D=50.0, Do=0.25, P1=101375.0, P2=101325.0, rho=1.2, C=0.61)
    assert flow_through(3.141592653589793 * 0.25**2 / 4, 50.0) == pytest.approx(mass / 1.2, rel=1e-6)


def test_crack_law():
    # exponent 0.6 to 0.7 as in ASHRAE Fundamentals
    laps = leaks(lap=3e-5)
    assert float(laps.flow(10.0)[0] / laps.flow(50.0)[0]) == pytest.approx(0.351293, abs=5e-7)


def test_fan_laws_handbook_example():
    # 1200 to 1500 rpm: 10000 -> 12500 cfm, 2.0 -> 3.125 in wg
    curve = FanCurve((0.0, read_flow("10000 cfm")), (read_pressure("2.0 in wg"), 0.0))
    fan = Fan("duct", curve, curve, {"1200": 1.0, "1500": 1500 / 1200}, exact(0.1))
    drawn, faster = fan_draws(fan, draws(2), curve.density_kg_m3), fan.speed("1500")
    assert drawn.free_air(faster) == pytest.approx(read_flow("12500 cfm"))
    assert drawn.shut_off(faster) / IN_WG_PA == pytest.approx(3.125, abs=5e-4)


def test_units_printed_and_against_pint():
    units = pint.UnitRegistry()
    assert pytest.approx(0.4719474, abs=5e-8) == CFM_M3_S * 1000.0
    assert pytest.approx(249.0889, abs=5e-5) == IN_WG_PA
    assert pytest.approx(units.Quantity(1.0, "foot**3/minute").to("m**3/s").magnitude, rel=1e-12) == CFM_M3_S
    water = units.Quantity(1000.0, "kg/m**3") * units.Quantity(1.0, "standard_gravity")
    inch_of_water = units.Quantity(1.0, "inch") * water
    assert pytest.approx(inch_of_water.to("Pa").magnitude, rel=1e-12) == IN_WG_PA

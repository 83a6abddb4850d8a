"""Air inside, moisture, ways out and holding down against values and solvers from outside."""

import importlib.util
import math
import sys
from unittest.mock import patch

import numpy as np
import pytest
from plain_room import HEIGHT_M, RADIUS_M, WALL_M, make_room
from scipy.constants import R, zero_Celsius
from scipy.integrate import quad, solve_ivp

from shellparts.loads.ballast import hem_span
from shellparts.loads.hall_air import Visits, co2_after_visits, co2_at_site
from shellparts.loads.moisture import moisture_ratio, wet_bulb
from shellparts.loads.outdoors import tab_strength
from shellparts.loads.room_draws import FLAP_HELD
from shellparts.loads.sinking import Drains, SinkingVariant, sinking_steps, sinking_times
from shellparts.loads.warmth import moisture_gained, temperature_inside
from shellparts.loads.way_out import STAND_MM
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.site import FloorKind

GIVEN_L_S = 25 * 0.0030 + 0.0046  # A. Persily and L. de Jonge, Indoor Air 27, 2017, at 1.2 met
FLOW_M3_S, ROOM_M3 = 0.137, 40.0  # ASHRAE 62.1-2016: 25 people in 20 m²


def plain_psychrolib():
    """Its Python as it is written: compiled, its wet bulb alone takes twelve seconds to get ready."""
    spec = importlib.util.find_spec("psychrolib")
    module = importlib.util.module_from_spec(spec)
    with patch.dict(sys.modules, {"numba": None}):
        spec.loader.exec_module(module)
    module.SetUnitSystem(module.SI)
    return module


psychrolib = plain_psychrolib()


# mass balance of a mixed room in the open air
@pytest.mark.parametrize(("minutes", "ppm"), [(5, 793.1), (15, 974.4)])
def test_transient(minutes, ppm):
    room, hall = co2_after_visits(GIVEN_L_S, FLOW_M3_S, ROOM_M3, math.inf, 0.0, Visits(60.0 * minutes))
    assert round(float(room), 1) == ppm
    assert hall == 420.0


def test_steady_state_and_the_rise_without_fan():
    room, _ = co2_after_visits(GIVEN_L_S, FLOW_M3_S, ROOM_M3, math.inf, 0.0, Visits(1e7))
    assert round(float(room), 1) == 1001.0
    still, _ = co2_after_visits(GIVEN_L_S, 0.0, ROOM_M3, 1500.0, 1.0, Visits(60.0))
    assert round(float(still) - 420.0, 1) == 119.4


# numerical integration of the two balances, visit by visit (scipy.integrate.solve_ivp)
@pytest.mark.parametrize(
    ("flow", "room", "hall", "changes", "visits"),
    [
        (0.3, 40.0, 1500.0, 1.0, Visits(1800.0, 4, 600.0)),
        (0.3, 40.0, 200.0, 0.0, Visits(1800.0, 3, 600.0)),
        (0.01, 130.0, 100.0, 3.0, Visits(600.0, 2)),
        (1.5, 40.0, 40.0, 0.2, Visits(900.0, 2, 60.0)),
        (0.0, 40.0, 300.0, 2.0, Visits(900.0, 2, 60.0)),
    ],
)
def test_two_volumes(flow, room, hall, changes, visits):
    def balance(_, rise, given):
        through = flow * (rise[0] - rise[1])
        return [(-through + 1e3 * given) / room, through / hall - changes / 3600.0 * rise[1]]

    rise = np.zeros(2)
    for visit in range(visits.count):
        phases = [(visits.visit_s, GIVEN_L_S), (visits.pause_s, 0.0)][: 1 if visit == visits.count - 1 else 2]
        for seconds, given in phases:
            if seconds:
                run = solve_ivp(
                    balance, (0, seconds), rise, args=(given,), rtol=1e-10, atol=1e-9, method="DOP853"
                )
                rise = run.y[:, -1]
    found = co2_after_visits(GIVEN_L_S, flow, room, hall, changes, visits, 500.0)
    assert np.array(found) == pytest.approx(500.0 + rise, abs=1e-5)


# nothing is lost in a hall without air change: V·r + H·s is what was given off
def test_a_closed_hall_keeps_all():
    room, hall = co2_after_visits(GIVEN_L_S, 0.4, 40.0, 700.0, 0.0, Visits(1500.0, 3, 400.0), 0.0)
    assert 40.0 * room + 700.0 * hall == pytest.approx(1e3 * GIVEN_L_S * 4500.0)


# ideal gas: the same moles everywhere. A trial with a steady 634 ppm at sea level asked for 772 at 4000 m
# (61,640 Pa) from the pressure alone; the published litres are for 0 °C, which makes it 797.5 in air of 20 °C.
def test_litres_of_co2_at_altitude():
    for pressure, celsius in ((101325.0, 0.0), (61640.0, 0.0), (61640.0, 20.0), (54020.0, 35.0)):
        moles = float(co2_at_site(1.0, pressure, celsius)) * pressure / (R * (zero_Celsius + celsius))
        assert moles == pytest.approx(101325.0 / (R * zero_Celsius))
    assert round(420.0 + 214.0 * float(co2_at_site(1.0, 61640.0, 0.0))) == 772
    assert round(420.0 + 214.0 * float(co2_at_site(1.0, 61640.0, 20.0)), 1) == 797.5


# psychrolib (the ASHRAE equations). Its saturation pressure is finer than ours, 0.4 %: 0.05 K up to 50 °C
def test_wet_bulb():
    for celsius in (5.0, 12.0, 20.0, 28.0, 35.0, 42.0, 50.0):
        for share in (0.1, 0.3, 0.5, 0.8, 1.0):
            for pressure in (101325.0, 61640.0):
                theirs = psychrolib.GetTWetBulbFromRelHum(celsius, share, pressure)
                if theirs > 0.5:
                    assert float(wet_bulb(celsius, share, pressure)) == pytest.approx(theirs, abs=0.05)
                ratio = psychrolib.GetHumRatioFromRelHum(celsius, share, pressure)
                assert float(moisture_ratio(celsius, share, pressure)) == pytest.approx(ratio, rel=6e-3)


# the psychrometer's formula e = es(t*) − 6.62e-4·p·(t − t*), Assmann's constant from memory
def test_wet_bulb_by_the_psychrometer():
    for celsius, share in ((20.0, 0.5), (30.0, 0.6), (42.0, 0.6), (50.0, 0.5)):
        wet = float(wet_bulb(celsius, share, 101325.0))
        vapour = psychrolib.GetSatVapPres(wet) - 6.62e-4 * 101325.0 * (celsius - wet)
        assert vapour == pytest.approx(share * psychrolib.GetSatVapPres(celsius), rel=0.02)


# balance of enthalpy by psychrolib: nothing through the cloth, what people, lamps and fan give is in the air
def test_people_warm_and_wet_the_air_by_what_they_give_off():
    ratio = psychrolib.GetHumRatioFromRelHum(22.0, 0.5, 101325.0)
    warm = float(temperature_inside(22.0, 0.4, 1400.0, 300.0, 1e-9, 1.2))
    moist = ratio + float(moisture_gained(warm, 0.4, 1400.0, 1.2))
    gained = psychrolib.GetMoistAirEnthalpy(warm, moist) - psychrolib.GetMoistAirEnthalpy(22.0, ratio)
    # 1400 W is 0.6 of what 20 people give off; vapour at the skin's temperature carries a little more
    assert 0.4 * 1.2 * gained == pytest.approx(1400.0 / 0.6 + 300.0, rel=0.04)


# a floor that lets air through: the pressure under a flap falls in a straight line from its inner edge to its hem
@pytest.mark.parametrize("floor", [FloorKind.CARPET, FloorKind.GROUND, FloorKind.GRASS])
def test_flap_on_a_porous_floor(floor):
    held, _ = quad(lambda x: 1.0 - (1.0 - x), 0.0, 1.0)
    assert FLAP_HELD[floor].likely == pytest.approx(held)
    assert FLAP_HELD[floor].high < FLAP_HELD[FloorKind.HALL_FLOOR].likely


# trade rule for seams over 80 mm: about 650 N, 130 N with the factor of 5
def test_what_a_tab_bears():
    assert 5.0 * tab_strength(Cloth()) == pytest.approx(650.0, rel=0.01)
    assert tab_strength(Cloth()) == pytest.approx(130.0, rel=0.01)


# IBC and ADA 307.4, from memory
def test_headroom_of_a_way_out():
    assert round(STAND_MM) == 2032


# statics of a rope: length of the parabola by quadrature, pull from its stretch, rise from the pull; the length's
# next term in the series is 2.4·(h/L)² of the stretch, about twice that where slack takes half of it
@pytest.mark.parametrize("load", [5.0, 50.0, 300.0])
def test_hem_as_a_rope(load):
    rise, stiffness = 0.06, 100e3
    span = hem_span(load, 1000.0 * rise, stiffness)
    length, _ = quad(lambda x: math.hypot(1.0, 8.0 * rise * x / span**2), -span / 2.0, span / 2.0)
    pull = 0.1 * stiffness * (length / span - 1.0 - 0.002)
    assert load * span**2 / (8.0 * pull) == pytest.approx(rise, rel=5.0 * (rise / span) ** 2)


# closed form for an upright wall, p falling in a straight line: t = 2A/(C·dp/dz)·(√p0 − √p1)
def test_sinking_of_an_upright_wall():
    room, per_root_Pa = make_room(), 0.3
    cone = math.pi * RADIUS_M * math.hypot(RADIUS_M, HEIGHT_M - WALL_M)
    wall = 2.0 * math.pi * RADIUS_M * WALL_M
    over_half = WALL_M + (HEIGHT_M - WALL_M) * (1.0 - 1.0 / math.sqrt(2.0))
    sunk = over_half - 1.3
    first = 5.0
    last = first * (cone + wall * (1.0 - sunk / WALL_M)) / (cone + wall)
    expected = (
        2.0
        * room.floor_area_m2
        / (per_root_Pa * (first - last) / sunk)
        * (math.sqrt(first) - math.sqrt(last))
    )

    def drain(pressure):
        return per_root_Pa * np.sqrt(pressure)

    def none(pressure):
        return 0.0 * pressure

    times = sinking_times(sinking_steps(room), Drains(drain, none, none, none), np.array([first]))
    assert float(times[SinkingVariant.AS_SET].shut_s[0]) == pytest.approx(expected, rel=2e-3)

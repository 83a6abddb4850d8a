"""Air inside, draw by draw: the hall that fills up, least flows, and what a trial found answered wrongly."""

import math

import numpy as np
import pytest

from shellparts.base.errors import ParameterError
from shellparts.loads.air_limits import (
    CAREFUL,
    UTMOST,
    AirGrade,
    AirNeed,
    judge_air,
    least_flow_for_air,
)
from shellparts.loads.draws import draws
from shellparts.loads.hall_air import Visits, co2_after_visits
from shellparts.loads.inside_air import air_task, inside_air
from shellparts.loads.moisture import moisture_at_wet_bulb, moisture_ratio, relative_humidity_of
from shellparts.loads.warmth import moisture_gained, temperature_inside
from shellparts.parameters.site import AgeGroup, Crowd, Site, crowd_of

DRAWS = draws(256)
CROWD = crowd_of(children=20, adults=2)


def task_at(room, crowd=CROWD, **site):
    return air_task(DRAWS, room, Site(**site), crowd, 150.0)


def judged(room, flow_m3_s=0.4, crowd=CROWD, **site):
    task = task_at(room, crowd, **site)
    return judge_air(DRAWS, task, inside_air(task, flow_m3_s))


def test_a_usual_room_is_good(room):
    found = judged(room)
    assert found.grade is AirGrade.GOOD
    assert found.chance_good > 0.99


# What a trial found: "Is the air good enough? yes"
@pytest.mark.parametrize(
    ("site", "worst"),
    [
        ({"air_temperature_C": 50.0, "relative_humidity": 0.5}, AirNeed.WET_BULB),
        ({"air_temperature_C": 42.0, "relative_humidity": 0.6}, AirNeed.WET_BULB),
        ({"background_co2_ppm": 5000.0}, AirNeed.CO2),
        ({"hall_volume_m3": 150.0, "hall_air_changes_h": 0.2}, AirNeed.CO2),
        ({"air_temperature_C": 43.0, "relative_humidity": 0.12}, AirNeed.HEAT),
    ],
)
def test_bad_air_is_called_bad_however_strong_the_fan(room, site, worst):
    for flow in (0.4, 4.0):
        found = judged(room, flow, **site)
        assert found.grade is AirGrade.NO
        assert found.worst is worst
    least = least_flow_for_air(task_at(room, **site), UTMOST)
    asked_for = (least.co2_m3_s, least.wet_bulb_m3_s, least.heat_m3_s, least.outdoor_m3_s)
    asked = asked_for[list(AirNeed).index(worst)]
    assert DRAWS.chance(np.isinf(asked)) > 0.5
    assert DRAWS.chance(asked >= np.max(asked_for, axis=0)) > 0.5


def test_hot_lamps_ask_for_air_in_a_dry_hall(room):
    site = {"lamps_W": 20_000.0, "air_temperature_C": 22.0, "relative_humidity": 0.2}
    assert judged(room, 0.3, **site).worst is AirNeed.HEAT
    assert judged(room, 0.3, **site).grade is AirGrade.NO
    assert judged(room, 8.0, **site).grade is AirGrade.GOOD


def test_between_good_and_bad_is_caution(room):
    assert judged(room, air_temperature_C=30.0, relative_humidity=0.65).grade is AirGrade.CAUTION
    assert judged(room, background_co2_ppm=1400.0).grade is AirGrade.CAUTION
    short = judged(room, 0.1)
    assert short.grade is AirGrade.CAUTION
    assert short.within[AirNeed.OUTDOOR_AIR] == 0.0


@pytest.mark.parametrize("limit", [CAREFUL, UTMOST])
@pytest.mark.parametrize(
    "site",
    [
        {},
        {"altitude_m": 4000.0},
        {"indoors": False},
        {"air_temperature_C": 28.0, "relative_humidity": 0.6, "hall_volume_m3": 600.0},
    ],
)
def test_the_least_flow_is_just_enough(room, site, limit):
    task = task_at(room, **site)
    least = least_flow_for_air(task, limit)
    for flow, figure, most in (
        (least.co2_m3_s, "co2_ppm", limit.co2_ppm),
        (least.wet_bulb_m3_s, "wet_bulb_C", limit.wet_bulb_C),
        (least.heat_m3_s, "temperature_C", limit.temperature_C),
    ):
        there = np.isfinite(flow) & (flow > 0.0)
        assert there.any() or figure != "co2_ppm"
        at = np.where(there, flow, 1.0)
        assert getattr(inside_air(task, at * 1.0001), figure)[there] == pytest.approx(most, rel=1e-3)
        assert (getattr(inside_air(task, at * (1 + 1e-6)), figure)[there] <= most).all()
        assert (getattr(inside_air(task, at * 0.99), figure)[there] > most).all()
    assert (least.flow_m3_s >= least.co2_m3_s).all()
    assert (least.outdoor_m3_s > 0.0).all() == limit.outdoor_rule
    known = np.isfinite(least.flow_m3_s)
    judgement = judge_air(DRAWS, task, inside_air(task, np.where(known, least.flow_m3_s * (1 + 1e-6), 1.0)))
    chance = judgement.chance_good if limit is CAREFUL else judgement.chance_bearable
    assert chance == pytest.approx(DRAWS.chance(known), abs=1e-9)


def test_nobody_needs_no_air(room):
    task = task_at(room, crowd=())
    least = least_flow_for_air(task)
    assert least.co2_m3_s.tolist() == least.outdoor_m3_s.tolist() == [0.0] * DRAWS.count
    assert inside_air(task, 0.3).co2_ppm.tolist() == [420.0] * DRAWS.count


def test_thin_air_needs_more_flow(room):
    sea, high = (least_flow_for_air(task_at(room, altitude_m=m, indoors=False)).co2_m3_s for m in (0, 4000))
    # the same moles are 101325/61640 as many litres; a little less where the visit ends before it is steady
    assert (high / sea > 1.55).all()
    assert (high / sea < 1.75).all()


def test_the_hall_matters():
    def room_ppm(hall, changes, count):
        return float(co2_after_visits(0.08, 0.3, 40.0, hall, changes, Visits(1800.0, count, 600.0))[0])

    open_air = room_ppm(math.inf, 0.0, 1)
    assert open_air < room_ppm(1500.0, 1.0, 1) < room_ppm(1500.0, 1.0, 4) < room_ppm(1500.0, 0.0, 4)
    assert room_ppm(1500.0, 0.0, 4) < room_ppm(300.0, 0.0, 4)
    assert room_ppm(1e12, 0.0, 1) == pytest.approx(open_air)


def test_more_flow_is_never_worse_and_mixes_both_volumes_at_last():
    flow = np.geomspace(1e-4, 1e6, 400)
    for hall, changes in ((1500.0, 1.0), (60.0, 0.0), (math.inf, 0.0)):
        room, there = co2_after_visits(0.08, flow, 40.0, hall, changes, Visits(1800.0, 3, 300.0))
        assert (np.diff(room) <= 1e-9).all()
        assert (room >= there - 1e-6).all()
    one, _ = co2_after_visits(0.08, 1e9, 40.0, 1500.0, 0.0, Visits(1800.0))
    assert float(one) == pytest.approx(420.0 + 1e3 * 0.08 * 1800.0 / 1540.0)


@pytest.mark.parametrize("flow", [0.0, 1e-9, 40.0 / 3600.0])
def test_edges_of_the_balance_are_finite(flow):
    for hall, changes in ((math.inf, 0.0), (math.inf, 1.0), (100.0, 0.0), (1500.0, 1.0)):
        found = co2_after_visits(0.08, flow, 40.0, hall, changes, Visits(900.0, 2))
        assert np.isfinite(found).all()


def test_a_room_gets_warmer_and_moister_with_less_air(room):
    task = task_at(room)
    some, more = inside_air(task, 0.1), inside_air(task, 0.4)
    assert (some.wet_bulb_C > more.wet_bulb_C).all()
    assert (more.temperature_C > 20.0).all()
    assert (some.wet_bulb_C <= some.temperature_C + 1e-9).all()
    still = inside_air(task, 0.0)
    assert (still.relative_humidity == 1.0).all()
    assert still.wet_bulb_C == pytest.approx(still.temperature_C)


def test_warmth_goes_over_into_vapour_as_skin_is_reached():
    for fan_air, share in ((10.0, 1.0), (30.0, 0.5), (45.0, 0.0)):
        inside = float(temperature_inside(fan_air, 1e6, 1200.0, 0.0, 1.0, 1.2))
        assert inside == pytest.approx(fan_air, abs=1e-3)
        vapour = float(moisture_gained(inside, 1.0, 1200.0, 1.2)) * 1.2 * 2.43e6
        assert vapour == pytest.approx(1200.0 / 0.6 - share * 1200.0, rel=1e-3)
    # continuous where the formula changes, and falling with the flow throughout
    flow = np.geomspace(1e-3, 10.0, 2000)
    for fan_air in (5.0, 22.0, 33.0, 40.0):
        warm = temperature_inside(fan_air, flow, 1400.0, 300.0, 60.0, 1.2)
        assert (np.diff(warm) <= 0.0).all()
        assert np.abs(np.diff(warm)).max() < 0.5


def test_moisture_and_humidity_are_inverse():
    share = np.linspace(0.05, 1.0, 20)
    ratio = moisture_ratio(31.0, share, 9e4)
    assert relative_humidity_of(31.0, ratio, 9e4) == pytest.approx(share)
    assert float(moisture_at_wet_bulb(25.0, 25.0, 9e4)) == pytest.approx(
        float(moisture_ratio(25.0, 1.0, 9e4))
    )
    assert relative_humidity_of(20.0, np.inf, 9e4) == 1.0


def test_crowds_from_plain_counts():
    assert crowd_of() == ()
    assert crowd_of(teens=3) == (Crowd(AgeGroup.BOYS_11_15, 3),)
    assert Site(crowd=crowd_of(children=20, adults=2)).crowd == CROWD
    for wrong in (-1, 2.5, "two", True, None):
        with pytest.raises(ParameterError, match=r"^number of people is "):
            crowd_of(children=wrong)


@pytest.mark.parametrize(
    ("field", "wrong"),
    [
        ("hall_volume_m3", 5.0),
        ("hall_air_changes_h", -1.0),
        ("visit_minutes", 0.0),
        ("visits_in_a_row", 0),
        ("pause_minutes", -1.0),
    ],
)
def test_a_site_that_cannot_be_is_refused(field, wrong):
    with pytest.raises(ParameterError, match=field.replace("_", " ")):
        Site(**{field: wrong})

"""Fan curves: points, files, free air, speeds."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shellparts.base.errors import ParameterError
from shellparts.base.ranges import Range, exact
from shellparts.parameters.fan import Fan, FanCurve, FanSpeed, curve_at, fan_pressure
from shellparts.parameters.fan_sources import fan_from_csv, fan_from_label, fan_from_points


@pytest.mark.parametrize(
    ("flow", "pressure", "message"),
    [
        ((0.0,), (10.0,), "two or more pairs"),
        ((0.0, 1.0), (10.0,), "two or more pairs"),
        ((0.1, 1.0), (10.0, 0.0), "begin with 0"),
        ((0.0, 1.0, 0.5), (10.0, 5.0, 0.0), "rising flows"),
        ((0.0, 1.0), (10.0, 2.0), "down to 0 Pa in free air"),
        ((0.0, 1.0), (0.0, 0.0), "down to 0 Pa in free air"),
        ((0.0, 0.5, 1.0), (10.0, -1.0, 0.0), "finite pressures"),
        ((0.0, 0.5, 1.0), (10.0, 11.0, 0.0), "never rising"),
        ((0.0, 0.5, float("nan")), (10.0, 5.0, 0.0), "finite pressures"),
    ],
)
def test_points_that_are_no_curve_are_refused(flow, pressure, message):
    with pytest.raises(ParameterError, match=message):
        FanCurve(flow, pressure)


def test_a_curve_goes_through_its_points_and_never_rises():
    curve = FanCurve((0.0, 0.2, 0.5, 0.9), (80.0, 78.0, 40.0, 0.0))
    assert [fan_pressure(curve, q) for q in curve.flow_m3_s] == pytest.approx(curve.pressure_Pa)
    pressures = [fan_pressure(curve, q) for q in np.linspace(0.0, 0.9, 200)]
    assert (np.diff(pressures) <= 0.0).all()


def test_a_flow_beyond_free_air_is_refused():
    with pytest.raises(ParameterError, match=r"flow is 2 m³/s; .*to 1 m³/s, the fan's free air"):
        fan_pressure(FanCurve((0.0, 1.0), (10.0, 0.0)), 2.0)


@settings(deadline=None)
@given(st.floats(0.1, 2.0), st.floats(0.1, 2.0), st.floats(0.0, 1.0))
def test_fan_laws_compose(a, b, share):
    curve = FanCurve((0.0, 0.5, 1.0), (50.0, 40.0, 0.0))
    twice, once = curve_at(curve_at(curve, a, 1.1), b, 1.2), curve_at(curve, a * b, 1.2)
    assert twice.free_air_m3_s == pytest.approx(once.free_air_m3_s)
    flow = share * min(twice.free_air_m3_s, once.free_air_m3_s)
    assert fan_pressure(twice, flow) == pytest.approx(fan_pressure(once, flow), abs=1e-9 * once.shut_off_Pa)


def test_a_stopped_fan_is_no_speed():
    with pytest.raises(ParameterError, match="speed ratio is 0 of full speed"):
        curve_at(FanCurve((0.0, 1.0), (10.0, 0.0)), 0.0, 1.2)
    curve = FanCurve((0.0, 1.0), (10.0, 0.0))
    with pytest.raises(ParameterError, match="slowest first"):
        Fan("f", curve, curve, curve, (FanSpeed("a", exact(1.0)), FanSpeed("b", exact(0.5))), exact(0.1))


def test_a_stall_dip_lies_between_the_weakest_and_the_strongest_curve():
    fan = fan_from_points("axial", (0.0, 0.2, 0.4, 0.6, 0.8), (90.0, 60.0, 70.0, 50.0, 0.0), 400.0)
    assert fan.low.pressure_Pa == (90.0, 60.0, 60.0, 50.0, 0.0)
    assert fan.high.pressure_Pa == (90.0, 70.0, 70.0, 50.0, 0.0)
    assert not fan.assumed


def test_a_curve_without_dip_has_no_range():
    fan = fan_from_points("blower", (0.0, 0.5, 1.0), (80.0, 60.0, 0.0), 400.0)
    assert fan.low == fan.likely == fan.high


def test_a_table_reads_in_cfm_and_inches(tmp_path):
    path = tmp_path / "blower.csv"
    path.write_text("flow [cfm],pressure [in wg]\n0,0.4\n1000,0.3\n2000,0\n", encoding="utf-8")
    fan = fan_from_csv(path, 350.0)
    assert fan.name == "blower"
    assert fan.likely.free_air_m3_s == pytest.approx(0.943895, rel=1e-6)
    assert fan.likely.shut_off_Pa == pytest.approx(99.6356, rel=1e-6)


@pytest.mark.parametrize(
    "text", ["", "flow,pressure\n0,1\n", "flow [cfm],pressure [Pa]\n0\n", "flow [cfm],pressure [Pa]\na,b\n"]
)
def test_a_table_that_is_none_is_refused(tmp_path, text):
    path = tmp_path / "t.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ParameterError, match=r"fan (table|curve) is"):
        fan_from_csv(path, 350.0)


def test_a_missing_table_is_refused(tmp_path):
    with pytest.raises(ParameterError, match=r"fan table is .*none\.csv"):
        fan_from_csv(tmp_path / "none.csv", 350.0)


def test_free_air_alone_is_marked_as_assumed_and_is_a_range():
    fan = fan_from_label("drum", 1.65)
    assert fan.assumed
    assert fan.low.shut_off_Pa < fan.likely.shut_off_Pa < fan.high.shut_off_Pa
    assert fan.low.free_air_m3_s < fan.high.free_air_m3_s == pytest.approx(1.65)
    with pytest.raises(ParameterError, match="free-air flow"):
        fan_from_label("none", 0.0)
    with pytest.raises(ParameterError, match="outlet diameter"):
        fan_from_label("none", 1.0, outlet=-5.0)


def test_a_known_shut_off_pressure_is_taken():
    fan = fan_from_label("drum", 1.0, shut_off_Pa=Range(40, 50, 60))
    assert (fan.low.shut_off_Pa, fan.likely.shut_off_Pa, fan.high.shut_off_Pa) == (40, 50, 60)


def test_a_flow_without_its_unit_is_not_taken_for_cubic_metres():
    with pytest.raises(
        ParameterError, match=r"flow is 2100, without a unit; .*write '2100 cfm', or '1 m3/s'"
    ):
        fan_from_label("drum", 2100, 400)
    assert fan_from_label("drum", 1.65, 610) == fan_from_label("drum", "1.65 m3/s", "610 mm")


def test_a_negative_flow_is_told_in_its_own_unit():
    with pytest.raises(ParameterError, match=r"flow is '-5 cfm'; it must be more than 0"):
        fan_from_label("drum", "-5 cfm")


def test_an_outlet_that_no_such_fan_has_is_refused():
    with pytest.raises(
        ParameterError, match=r"outlet is 20 mm, .* at \d+ m/s; .*measure across the whole outlet"
    ):
        fan_from_label("drum", "2100 cfm", 20)
    # 1 m3/s through a disc of 150 mm is 56.6 m/s, through one of 140 mm 65.0 m/s
    assert fan_from_label("jet", 1.0, 150.0).assumed
    with pytest.raises(ParameterError, match="65 m/s"):
        fan_from_label("jet", 1.0, 140.0)

"""Fan curves: points, files, free air, speeds."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shellparts.base.errors import ParameterError
from shellparts.base.ranges import Range, exact
from shellparts.parameters.fan import Fan, FanSpeed, fans_together
from shellparts.parameters.fan_curve import FanCurve, curve_at, fan_pressure
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
        Fan("f", curve, curve, (FanSpeed("a", exact(1.0)), FanSpeed("b", exact(0.5))), exact(0.1))


def test_a_stall_dip_lies_between_the_weakest_and_the_strongest_curve():
    fan = fan_from_points("axial", (0.0, 0.2, 0.4, 0.6, 0.8), (90.0, 60.0, 70.0, 50.0, 0.0), 400.0)
    assert fan.weak.pressure_Pa == (90.0, 60.0, 60.0, 50.0, 0.0)
    assert fan.strong.pressure_Pa == (90.0, 70.0, 70.0, 50.0, 0.0)
    assert fan.low.pressure_Pa == pytest.approx((81.0, 54.0, 54.0, 45.0, 0.0))
    assert fan.likely.pressure_Pa == pytest.approx((90.0, 65.0, 65.0, 50.0, 0.0))
    assert not fan.assumed


@pytest.mark.parametrize(("by_hand", "about"), [(False, 0.10), (True, 0.15)])
def test_a_true_fan_is_near_its_table_and_less_near_to_points_read_by_hand(tmp_path, by_hand, about):
    path = tmp_path / "blower.csv"
    path.write_text("flow [m3/s],pressure [Pa]\n0,80\n0.5,60\n1,0\n", encoding="utf-8")
    told = fan_from_points("blower", (0.0, 0.5, 1.0), (80.0, 60.0, 0.0), 400.0, read_by_hand=by_hand)
    for fan in (told, fan_from_csv(path, 400.0, read_by_hand=by_hand)):
        assert fan.likely.pressure_Pa == (80.0, 60.0, 0.0)
        for curve, share in ((fan.low, 1.0 - about), (fan.high, 1.0 + about)):
            assert curve.free_air_m3_s == pytest.approx(share)
            assert curve.shut_off_Pa == pytest.approx(80.0 * share)


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
        ParameterError, match=r"outlet is 20 mm, .* at [\d.]+ m/s; .*measure across the whole outlet"
    ):
        fan_from_label("drum", "2100 cfm", 20)
    # 3600 l/s through 400 mm is 28.6 m/s, which would reckon up to more than 1000 Pa
    with pytest.raises(
        ParameterError, match=r"28\.6 m/s; .*15 m/s at most.*of a blower give the maker's curve"
    ):
        fan_from_label("drum", "3600 l/s", 400)
    # where the shut-off pressure is known: 1 m3/s through a disc of 150 mm is 56.6 m/s, through 140 mm 65.0 m/s
    known = Range(200, 300, 400)
    assert fan_from_label("jet", 1.0, 150.0, shut_off_Pa=known).high.shut_off_Pa == pytest.approx(400.0)
    with pytest.raises(ParameterError, match=r"65\.0 m/s"):
        fan_from_label("jet", 1.0, 140.0, shut_off_Pa=known)


def test_a_small_label_is_legal():
    assert fan_from_label("bathroom fan", "150 cfm").assumed
    assert fan_from_label("bathroom fan", "150 cfm", 400).high.shut_off_Pa < 1.0


def test_flow_and_shut_off_of_a_label_go_with_one_speed_of_the_air():
    """The weakest flow goes with the shut-off of just that flow, not with that of the whole label."""
    fan = fan_from_label("slow", 0.5, 500.0)
    for curve, factor in ((fan.low, 1.5), (fan.likely, 2.5), (fan.high, 4.0)):
        velocity = curve.free_air_m3_s / (np.pi / 4.0 * 0.5**2)
        assert curve.shut_off_Pa == pytest.approx(factor * 0.5 * 1.2 * velocity**2)


@pytest.mark.parametrize(("flow", "outlet"), [("2100 cfm", 400), ("3500 cfm", "24 in"), ("1 m3/s", None)])
def test_a_label_alone_promises_no_more_than_such_fans_do(flow, outlet):
    fan = fan_from_label("fan", flow, outlet)
    assert 5.0 < fan.low.shut_off_Pa < fan.likely.shut_off_Pa < fan.high.shut_off_Pa <= 60.0 + 1e-9


def test_speeds_as_measured_are_exact():
    flows = fan_from_label("fan", "2000 cfm", 500, speeds={"low": "1300 cfm", "high": "2000 cfm"})
    ratios = fan_from_label("fan", "2000 cfm", 500, speeds={"low": 0.65, "high": 1})
    assert [one.ratio.likely for one in flows.speeds] == pytest.approx([0.65, 1.0])
    for fan in (flows, ratios):
        assert [(one.name, one.ratio.low == one.ratio.high) for one in fan.speeds] == [
            ("low", True),
            ("high", True),
        ]
    with pytest.raises(ParameterError, match="speed of the fan is 'middle'; it must be one of low, high"):
        ratios.speed("middle")
    with pytest.raises(ParameterError, match="each another name"):
        fan_from_label("fan", 1.0, 500, speeds=(FanSpeed("a", 0.5), FanSpeed("a", 1)))


def test_two_fans_give_twice_the_flow_at_the_same_pressure():
    for one in (fan_from_label("box", 0.9, 500), fan_from_points("b", (0, 0.5, 1), (80, 60, 0), 400)):
        two = fans_together(one, 2)
        assert two.count == 2
        for single, double in ((one.low, two.low), (one.likely, two.likely), (one.high, two.high)):
            assert double.shut_off_Pa == pytest.approx(single.shut_off_Pa)
            assert double.free_air_m3_s == pytest.approx(2 * single.free_air_m3_s)
        assert two.outlet_area_m2.likely == pytest.approx(2 * one.outlet_area_m2.likely)
        assert two.power_W == 2 * one.power_W
        assert two.one_stopped().likely.free_air_m3_s == pytest.approx(one.likely.free_air_m3_s)
        for wrong in (0, 1.5, "two", 13):
            with pytest.raises(ParameterError, match="number of fans"):
                fans_together(one, wrong)
    with pytest.raises(ParameterError, match="number of fans is 1"):
        one.one_stopped()

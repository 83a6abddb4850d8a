"""Fan curves: points, files, free air, speeds, and what they are at the ends of their ranges."""

import numpy as np
import pytest
from one_draw import ENDS

from shellparts.base.errors import ParameterError
from shellparts.base.ranges import Range, exact
from shellparts.loads.fan_draws import fan_draws
from shellparts.parameters.fan import Fan, FanSpeed, fans_together
from shellparts.parameters.fan_curve import FanCurve
from shellparts.parameters.fan_sources import fan_from_csv, fan_from_label, fan_from_points


def ends(fan: Fan) -> tuple[np.ndarray, np.ndarray]:
    """Free air and shut-off at full speed, at both ends of all ranges and in the middle, in air of 1.2 kg/m³."""
    drawn, full = fan_draws(fan, ENDS, 1.2), fan.speeds[-1]
    return drawn.free_air(full), drawn.shut_off(full)


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


def test_a_stopped_fan_is_no_speed():
    with pytest.raises(ParameterError, match="above 0, slowest first"):
        fan_from_label("fan", 1.0, 500, speeds={"off": 0.0, "on": 1.0})
    curve = FanCurve((0.0, 1.0), (10.0, 0.0))
    with pytest.raises(ParameterError, match="slowest first"):
        Fan("f", curve, curve, (FanSpeed("a", exact(1.0)), FanSpeed("b", exact(0.5))), exact(0.1))


def test_a_stall_dip_lies_between_the_weakest_and_the_strongest_curve():
    fan = fan_from_points("axial", (0.0, 0.2, 0.4, 0.6, 0.8), (90.0, 60.0, 70.0, 50.0, 0.0), 400.0)
    assert fan.weak.pressure_Pa == (90.0, 60.0, 60.0, 50.0, 0.0)
    assert fan.strong.pressure_Pa == (90.0, 70.0, 70.0, 50.0, 0.0)
    # at the weak end of a tenth, in the middle, at the strong end; the flows go with it
    drawn, share = fan_draws(fan, ENDS, 1.2), np.array([0.9, 1.0, 1.1])
    for flow in (0.2, 0.4):
        assert drawn.pressure(fan.speeds[-1], share * flow) == pytest.approx([54.0, 65.0, 77.0])
    assert not fan.assumed


@pytest.mark.parametrize(("by_hand", "about"), [(False, 0.10), (True, 0.15)])
def test_a_true_fan_is_near_its_table_and_less_near_to_points_read_by_hand(tmp_path, by_hand, about):
    path = tmp_path / "blower.csv"
    path.write_text("flow [m3/s],pressure [Pa]\n0,80\n0.5,60\n1,0\n", encoding="utf-8")
    told = fan_from_points("blower", (0.0, 0.5, 1.0), (80.0, 60.0, 0.0), 400.0, read_by_hand=by_hand)
    for fan in (told, fan_from_csv(path, 400.0, read_by_hand=by_hand)):
        assert fan.weak.pressure_Pa == fan.strong.pressure_Pa == (80.0, 60.0, 0.0)
        free, shut_off = ends(fan)
        assert free == pytest.approx([1.0 - about, 1.0, 1.0 + about])
        assert shut_off == pytest.approx([80.0 * (1.0 - about), 80.0, 80.0 * (1.0 + about)])


def test_a_table_reads_in_cfm_and_inches(tmp_path):
    path = tmp_path / "blower.csv"
    path.write_text("flow [cfm],pressure [in wg]\n0,0.4\n1000,0.3\n2000,0\n", encoding="utf-8")
    fan = fan_from_csv(path, 350.0)
    assert fan.name == "blower"
    assert fan.weak.free_air_m3_s == pytest.approx(0.943895, rel=1e-6)
    assert fan.weak.shut_off_Pa == pytest.approx(99.6356, rel=1e-6)


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
    free, shut_off = ends(fan)
    assert shut_off[0] < shut_off[1] < shut_off[2]
    assert free[0] < free[1] < free[2] == pytest.approx(1.65)
    with pytest.raises(ParameterError, match="free-air flow"):
        fan_from_label("none", 0.0)
    with pytest.raises(ParameterError, match="outlet diameter"):
        fan_from_label("none", 1.0, outlet=-5.0)


def test_a_known_shut_off_pressure_is_taken():
    fan = fan_from_label("drum", 1.0, shut_off_Pa=Range(40, 50, 60))
    assert ends(fan)[1] == pytest.approx([40.0, 50.0, 60.0])


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
    assert ends(fan_from_label("jet", 1.0, 150.0, shut_off_Pa=known))[1] == pytest.approx(
        [200.0, 300.0, 400.0]
    )
    with pytest.raises(ParameterError, match=r"65\.0 m/s"):
        fan_from_label("jet", 1.0, 140.0, shut_off_Pa=known)


def test_a_small_label_is_legal():
    assert fan_from_label("bathroom fan", "150 cfm").assumed
    assert (ends(fan_from_label("bathroom fan", "150 cfm", 400))[1] < 1.0).all()


def test_flow_and_shut_off_of_a_label_go_with_one_speed_of_the_air():
    """The weakest flow goes with the shut-off of just that flow, not with that of the whole label."""
    fan = fan_from_label("slow", 0.5, 500.0)
    free, shut_off = ends(fan)
    velocity = free / (np.pi / 4.0 * 0.5**2)
    assert shut_off == pytest.approx(np.array([1.5, 2.75, 4.0]) * 0.5 * 1.2 * velocity**2)


@pytest.mark.parametrize(("flow", "outlet"), [("2100 cfm", 400), ("3500 cfm", "24 in"), ("1 m3/s", None)])
def test_a_label_alone_promises_no_more_than_such_fans_do(flow, outlet):
    fan = fan_from_label("fan", flow, outlet)
    low, middle, high = ends(fan)[1]
    assert 5.0 < low < middle < high <= 60.0 + 1e-9


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
        (free, shut_off), (twice, same) = ends(one), ends(two)
        assert same == pytest.approx(shut_off)
        assert twice == pytest.approx(2 * free)
        assert two.outlet_area_m2.likely == pytest.approx(2 * one.outlet_area_m2.likely)
        assert two.power_W == 2 * one.power_W
        assert ends(two.one_stopped())[0] == pytest.approx(free)
        for wrong in (0, 1.5, "two", 13):
            with pytest.raises(ParameterError, match="number of fans"):
                fans_together(one, wrong)
    with pytest.raises(ParameterError, match="number of fans is 1"):
        one.one_stopped()

"""Readings of one room: what is expected, what narrows, what is questioned and what it may have been."""

import math

import numpy as np
import pytest
from scipy.special import ndtri

from shellparts.base.errors import ParameterError
from shellparts.base.ranges import Range
from shellparts.loads.draws import UNCERTAIN, Draws, draws
from shellparts.loads.narrowing import narrow
from shellparts.loads.readings import Slip, expected, read_room
from shellparts.loads.room_draws import room_draws
from shellparts.loads.settings import find_settings
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.fan_sources import fan_from_label
from shellparts.parameters.readings import reading
from shellparts.parameters.site import Site

FAN = fan_from_label("fan", "2100 cfm", 400)


@pytest.fixture
def drawn(build_room):
    return room_draws(build_room(), FAN, Cloth(), Site(ballast_kg=14))


def test_what_is_expected_of_each_kind(drawn):
    low, high = FAN.speeds[0], FAN.speeds[-1]
    told = expected(drawn, reading("pressure", 7, "low", "4 clips"))
    assert (told == drawn.working(low, 800.0).pressure_Pa).all()
    told = expected(drawn, reading("cloth weight", 12))
    assert told == pytest.approx(drawn.weight_N / 9.80665)
    told = expected(drawn, reading("fan flow", "0.9 m3/s at 10 Pa", "high"))
    assert (told == drawn.fan.flow(high, 10.0)).all()
    told = expected(drawn, reading("lifts", None, "low", "2 clips"))
    lifting = told > 0
    point = drawn.working(low, np.where(lifting, told, 0.0)).pressure_Pa
    assert point[lifting] == pytest.approx(drawn.lift_Pa[lifting])
    seconds = expected(drawn, reading("fill time", "60 s", "high", "shut"))
    supply = drawn.fan.flow(high, drawn.hold_up_Pa) - drawn.shut.flow(drawn.hold_up_Pa)
    assert seconds == pytest.approx(drawn.room.envelope_volume_m3 / supply)
    weak = room_draws(drawn.room, fan_from_label("weak", "60 cfm", 400), Cloth(), Site())
    assert np.isinf(expected(weak, reading("fill time", "60 s", "low", "9 clips"))).all()


def test_a_reading_that_the_room_cannot_have_is_refused(drawn):
    for one, message in (
        (
            reading("pressure", 7, "turbo", "shut"),
            "speed of the fan is 'turbo'; it must be one of low, middle",
        ),
        (reading("pressure", 7, "low", "40 clips"), "clips off is 40"),
    ):
        with pytest.raises(ParameterError, match=message):
            read_room(drawn, [one])


def test_no_reading_changes_nothing(drawn):
    after = read_room(drawn, [])
    assert after.checks == () and after.effective == pytest.approx(2048)
    assert (after.room.hold_up_Pa == drawn.hold_up_Pa).all()


def test_a_pressure_narrows_pressure_and_moves_the_setting(drawn):
    one = reading("pressure", "11 Pa", "low", "4 clips")
    after = read_room(drawn, [one])
    before, now = (
        room.draws.spread(room.working(FAN.speeds[0], 800.0).pressure_Pa) for room in (drawn, after.room)
    )
    assert before.low < now.low < now.likely < now.high < before.high
    assert now.low < 11.0 < now.high
    assert find_settings(after.room).chance_some >= find_settings(drawn).chance_some - 0.01
    assert not after.checks[0].questioned and after.checks[0].may_be == ()
    assert after.checks[0].expected == before


@pytest.mark.parametrize("value", [11.0, 25.0])
def test_drawing_anew_gives_what_weighting_very_many_draws_gives(build_room, value):
    """An unlikely and exact reading, against plain weights on 65,536 draws of another generator."""
    uniform = np.random.default_rng(4).uniform(size=(65536, len(UNCERTAIN)))
    many = Draws(uniform, np.full(65536, 1.0 / 65536))
    few, plenty = (
        room_draws(build_room(), FAN, Cloth(), Site(ballast_kg=14), some) for some in (draws(), many)
    )
    one = reading("pressure", value, "low", "4 clips")
    after = read_room(few, [one])
    assert not after.checks[0].questioned
    assert after.effective >= 400.0
    speed = FAN.speeds[0]
    log_p = np.log(plenty.working(speed, 800.0).pressure_Pa)
    weight = np.exp(-0.5 * ((math.log(value) - log_p) / one.error) ** 2)
    weighted = Draws(uniform, weight / weight.sum())
    for opening in (400.0, 800.0, 1600.0):
        for ratio in (False, True):
            got, want = (
                some.spread((room.lift_Pa if ratio else 1.0) / room.working(speed, opening).pressure_Pa)
                for some, room in ((after.room.draws, after.room), (weighted, plenty))
            )
            for end in ("low", "likely", "high"):
                assert getattr(got, end) == pytest.approx(getattr(want, end), rel=0.06), (opening, ratio, end)


def test_the_evidence_is_the_mean_likelihood():
    """A normal likelihood over one normal number: known in closed form, also where draws are made anew."""
    for middle, width in ((0.5, 0.5), (2.5, 0.05)):

        def likelihood(some, middle=middle, width=width):
            z = ndtri(some.uniform[:, UNCERTAIN.index("vent gape")])
            return -0.5 * ((z - middle) / width) ** 2 - math.log(width * math.sqrt(2 * math.pi))

        after = narrow(draws(), likelihood)
        spread = math.hypot(1.0, width)
        exactly = -0.5 * (middle / spread) ** 2 - math.log(spread * math.sqrt(2 * math.pi))
        # a tenth of a natural logarithm decides nothing: slips are told by three and more
        assert after.log_evidence == pytest.approx(exactly, abs=0.1)
        assert after.effective >= 400.0
        z = ndtri(after.draws.uniform[:, UNCERTAIN.index("vent gape")])
        mean = float(after.draws.weight @ z)
        assert mean == pytest.approx(middle / spread**2, abs=0.05)
        sd = math.sqrt(float(after.draws.weight @ (z - mean) ** 2))
        assert sd == pytest.approx(width / spread, rel=0.1)


def test_millimetres_of_water_and_a_slipped_point_are_both_offered(drawn):
    likely = drawn.draws.spread(drawn.working(FAN.speeds[0], 800.0).pressure_Pa).likely
    after = read_room(drawn, [reading("pressure", likely / 9.80665, "low", "4 clips")])
    check = after.checks[0]
    assert check.questioned and check.chance_wrong > 0.9
    assert {one.slip for one in check.may_be} >= {Slip.MM_WATER, Slip.POINT_LEFT}
    corrected = next(one.value for one in check.may_be if one.slip is Slip.MM_WATER)
    assert corrected == pytest.approx(likely)
    # and it is not used
    assert (after.room.draws.weight == drawn.draws.weight).all()
    assert after.room.draws.uniform is drawn.draws.uniform


@pytest.mark.parametrize("wrong", [0, 1, 2])
def test_the_wrong_one_of_three_is_the_one_that_is_questioned(drawn, wrong):
    values = [11.0, 11.5, 10.5]
    values[wrong] *= 9.80665
    after = read_room(drawn, [reading("pressure", value, "low", "4 clips") for value in values])
    assert [check.questioned for check in after.checks] == [i == wrong for i in range(3)]
    assert Slip.PASCAL_AS_MM in {one.slip for one in after.checks[wrong].may_be}
    # what is left is what the two right ones alone give
    right = [reading("pressure", value, "low", "4 clips") for i, value in enumerate(values) if i != wrong]
    alone = read_room(drawn, right)
    assert alone.room.draws.uniform == pytest.approx(after.room.draws.uniform)


def test_two_that_contradict_each_other_alike_are_both_left_out(drawn):
    likely = drawn.draws.spread(drawn.working(FAN.speeds[0], 800.0).pressure_Pa).likely
    told = [reading("pressure", likely * factor, "low", "4 clips") for factor in (0.45, 1 / 0.45)]
    after = read_room(drawn, told)
    assert [check.questioned for check in after.checks] == [True, True]
    assert sum(check.chance_wrong for check in after.checks) > 0.5


def test_minutes_and_pounds_are_recognised(drawn):
    seconds = drawn.draws.spread(expected(drawn, reading("fill time", 60, "high", "shut"))).likely
    kilograms = drawn.draws.spread(drawn.weight_N).likely / 9.80665
    after = read_room(
        drawn,
        [reading("fill time", seconds / 60.0, "high", "shut"), reading("cloth weight", kilograms * 2.2046)],
    )
    assert [check.questioned for check in after.checks] == [True, True]
    assert [check.may_be[0].slip for check in after.checks] == [Slip.MINUTES, Slip.POUNDS]


def test_a_reading_that_no_draw_can_have_is_questioned_not_an_error(drawn):
    # the base cannot lift: there is a tonne on it
    heavy = room_draws(drawn.room, FAN, Cloth(), Site(ballast_kg=1000))
    after = read_room(heavy, [reading("lifts", None, "low", "3 clips")])
    assert after.checks[0].questioned


def test_the_same_readings_give_the_same_draws(drawn):
    told = [reading("pressure", 14, "low", "4 clips"), reading("fill time", "45 s", "high", "shut")]
    first, second = read_room(drawn, told), read_room(drawn, told)
    assert (first.room.draws.uniform == second.room.draws.uniform).all()
    assert (first.room.draws.weight == second.room.draws.weight).all()
    assert first.checks == second.checks
    assert isinstance(first.checks[0].expected, Range)

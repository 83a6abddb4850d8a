"""One setting that does all three at once: its ends against the solved pressures, its chances by counting."""

import math
from itertools import pairwise

import hypothesis
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from one_draw import setting_at

from shellparts.base.errors import ParameterError
from shellparts.base.ranges import exact
from shellparts.loads.cloth_forces import membrane_forces
from shellparts.loads.draws import Draws, draws
from shellparts.loads.room_draws import FLAP_HELD, FORM_FACTOR, hold_up_pressure, room_draws
from shellparts.loads.settings import (
    SURE_CHANCE,
    clip_openings,
    clips_each_side,
    find_settings,
    settings_for_air,
    vent_ends,
)
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.fan_sources import fan_from_label, fan_from_points
from shellparts.parameters.site import FloorKind, Site

FAN = fan_from_label("fan", "2100 cfm", 400)
TABLE = fan_from_points(
    "t", (0, 0.2, 0.4, 0.6, 0.8), (90, 60, 70, 50, 0), 400, speeds={"low": 0.6, "high": 1}
)
SOME = draws(256)


@pytest.fixture
def drawn(build_room):
    return room_draws(build_room(), FAN, Cloth(), Site(ballast_kg=14), SOME)


def test_hold_up_and_lift_are_plain_statics_in_every_draw(drawn):
    room, cloth = drawn.room, drawn.cloth
    heavier = SOME.between("cloth mass", cloth.mass_kg_m2) / cloth.mass_kg_m2.likely
    form, held = SOME.between("form", FORM_FACTOR), SOME.between("held flap", FLAP_HELD[FloorKind.HALL_FLOOR])
    flap_N = cloth.mass_kg_m2.likely * room.flap_area_m2 * 9.80665
    for i in range(0, 256, 16):
        all_N = room.cloth_mass_kg * 9.80665 * heavier[i]
        shell_N = all_N - flap_N * heavier[i]
        hold_up = hold_up_pressure(
            room.profile_radius_mm, room.profile_height_mm, shell_N, room.floor_area_m2
        )
        assert drawn.hold_up_Pa[i] == pytest.approx(form[i] * hold_up)
        # free body of all the cloth: p·A up on the shell, p·A_flap down on what is held of the flap, weight down
        lift = drawn.lift_Pa[i]
        up = lift * (room.floor_area_m2 - held[i] * room.flap_area_m2)
        assert up == pytest.approx(all_N + 14.0 * 9.80665)
        assert drawn.with_ballast(0.0).lift_Pa[i] < lift


@pytest.mark.parametrize("fan", [FAN, TABLE], ids=["label", "table"])
@pytest.mark.parametrize("vents", [1, 2])
def test_the_ends_are_where_the_solved_pressures_pass_the_limits(build_room, fan, vents):
    """The explicit ends against the root of every draw, at openings all over the vent."""
    drawn = room_draws(build_room(vent_count=vents), fan, Cloth(), Site(ballast_kg=14), SOME)
    needed = np.linspace(0.0, 1.2, 256)
    for speed in fan.speeds:
        ends = vent_ends(drawn, speed, needed)
        for opening in (0.0, 150.0, 400.0, 900.0, 1900.0):
            point = drawn.working(speed, opening)
            up = point.pressure_Pa >= drawn.hold_up_Pa
            down = point.pressure_Pa <= drawn.lift_Pa
            air = point.flow_m3_s >= needed
            assert ((opening <= ends.up_mm) == up).all()
            assert ((opening >= ends.down_mm) == down).all()
            assert ((opening >= ends.air_mm) == air).all()
            assert (ends.holds(opening) == (up & down & air)).all()


def test_chances_are_the_weight_of_the_draws_that_hold(drawn):
    rng = np.random.default_rng(8)
    weight = rng.uniform(size=256)
    uneven = Draws(SOME.uniform, weight / weight.sum())
    openings = np.array([0.0, 77.0, 300.0, 500.0, 800.0, 1900.0])
    for speed in FAN.speeds:
        ends = vent_ends(drawn, speed, np.linspace(0.0, 0.9, 256))
        counted = [uneven.chance(ends.holds(opening)) for opening in openings]
        assert ends.chances(uneven, openings) == pytest.approx(counted, abs=1e-12)
        at_an_end = ends.up_mm[(ends.up_mm > 0) & (ends.up_mm < 1900)][:5]
        counted = [uneven.chance(ends.holds(opening)) for opening in at_an_end]
        assert ends.chances(uneven, at_an_end) == pytest.approx(counted, abs=1e-12)


def test_the_best_setting_is_the_likeliest_and_tuning_finds_more(drawn):
    found = find_settings(drawn)
    assert found.best.chance >= found.chances.max() - 0.02
    assert found.chance_some >= found.chances.max()
    # counted again, draw by draw
    some = np.zeros(256, bool)
    for speed in FAN.speeds:
        ends = vent_ends(drawn, speed)
        for opening in found.openings_mm:
            some |= ends.holds(opening)
    assert found.chance_some == pytest.approx(SOME.chance(some))
    row = [speed.name for speed in FAN.speeds].index(found.best.speed)
    column = list(found.openings_mm).index(found.best.opening_mm)
    assert found.chances[row, column] == pytest.approx(found.best.chance)
    assert found.best == setting_at(drawn, FAN.speed(found.best.speed), found.best.opening_mm)


def test_how_far_it_may_be_mis_set(drawn):
    best = find_settings(drawn.with_ballast(30.0)).best
    assert best.chance >= SURE_CHANCE
    assert best.from_mm <= best.opening_mm <= best.to_mm
    speed, room = FAN.speed(best.speed), drawn.with_ballast(30.0)
    for inside in np.linspace(best.from_mm, best.to_mm, 7):
        assert setting_at(room, speed, float(inside)).chance >= SURE_CHANCE
    longest = drawn.room.vent_longest_mm
    for outside in (best.from_mm - 2.0, best.to_mm + 2.0):
        if 0.0 <= outside <= longest:
            assert setting_at(room, speed, float(outside)).chance < SURE_CHANCE
    # and a setting that is not relied on may not be mis-set at all
    bare = find_settings(drawn.with_ballast(0.0)).best
    assert bare.chance < SURE_CHANCE and bare.from_mm is None and bare.to_mm is None


def test_more_ballast_never_lowers_a_chance(drawn):
    rows = [find_settings(drawn.with_ballast(kg)).chances for kg in (0.0, 10.0, 30.0, 100.0)]
    for less, more in pairwise(rows):
        assert (more >= less - 1e-12).all()
    assert rows[-1].max() > 0.99 > rows[0].max()


def test_people_who_need_more_air_than_there_is_are_never_content(drawn):
    plenty, none = find_settings(drawn, 0.05), find_settings(drawn, math.inf)
    assert plenty.best.chance_air == 1.0
    assert none.best.chance == none.best.chance_air == none.chance_some == 0.0
    assert none.best.chance_up > 0.0
    # air that is good in every second draw
    half = find_settings(drawn, np.where(np.arange(256) % 2, 0.0, math.inf))
    assert half.best.chance_air == pytest.approx(0.5)
    assert half.chance_some <= 0.5


def test_whole_clips_of_one_doorway_and_of_two(build_room):
    room = build_room(vent_longest_mm=1250.0)
    assert clip_openings(room, 100.0) == pytest.approx([0, 200, 400, 600, 800, 1000, 1200, 1250])
    # two doorways of 312.5 mm a side: a clip on each of four sides
    room = build_room(vent_longest_mm=1250.0, vent_count=2)
    assert clip_openings(room, 100.0) == pytest.approx([0, 400, 800, 1200, 1250])
    drawn = room_draws(room, FAN, Cloth(), Site(), SOME)
    assert [setting_at(drawn, FAN.speeds[0], mm).clips for mm in (0.0, 400.0, 1200.0, 1250.0)] == [0, 1, 3, 4]


@pytest.mark.parametrize(("length", "each"), [(0, 0), (1, 1), (1000, 5), (1001, 6), (9e9, 7)])
def test_clips_on_each_side_are_never_more_than_there_are(length, each):
    assert clips_each_side(length, 1250.0, 100.0) == each


def test_a_room_without_a_vent_has_one_opening(build_room):
    drawn = room_draws(build_room(vent_longest_mm=0.0), FAN, Cloth(), Site(ballast_kg=100), SOME)
    found = find_settings(drawn)
    assert list(found.openings_mm) == [0.0]
    assert found.best.clips == 0 and found.best.chance > 0.9
    with pytest.raises(ParameterError, match=r"vent opening is 5 mm; .*make a vent"):
        setting_at(drawn, FAN.speeds[0], 5.0)


def test_a_vent_that_is_set_beforehand_is_the_one_opening(build_room):
    drawn = room_draws(build_room(), FAN, Cloth(), Site(vent_opening_mm=730), SOME)
    assert list(find_settings(drawn).openings_mm) == [730.0]
    with pytest.raises(ParameterError, match="vent opening is 1901 mm"):
        setting_at(drawn, FAN.speeds[0], 1901.0)


def test_a_fan_too_weak_holds_nothing_up(build_room):
    weak = fan_from_points("weak", (0.0, 0.05), (3.0, 0.0), 200.0)
    found = find_settings(room_draws(build_room(), weak, Cloth(), Site(), SOME))
    assert found.best.chance == found.best.chance_up == found.chance_some == 0.0
    assert found.best.chance_down == 1.0


def test_the_form_under_air_replaces_the_formula(build_room):
    def twelve(drawn):
        return np.full(drawn.count, 12.0)

    drawn = room_draws(build_room(), FAN, Cloth(), Site(), SOME, hold_up=twelve)
    assert (drawn.hold_up_Pa == 12.0).all()
    assert (drawn.redrawn(draws(64)).hold_up_Pa == np.full(64, 12.0)).all()


def test_cloth_that_weighs_less_than_its_flap_is_refused(build_room):
    room = build_room(cloth_mass_kg=0.5)
    with pytest.raises(ParameterError, match="more than the flap's"):
        room_draws(room, FAN, Cloth(mass_kg_m2=exact(0.2)), Site(), SOME)


def test_without_flap_or_ballast_there_is_no_band_and_both_open_it(build_room):
    cloth = Cloth(mass_kg_m2=exact(0.2))
    rooms = [room_draws(build_room(depth), FAN, cloth, Site(), SOME) for depth in (0.0, 0.1, 0.2, 0.4, 0.8)]
    bare = rooms[0]
    form = bare.hold_up_Pa / bare.lift_Pa
    assert form == pytest.approx(SOME.between("form", FORM_FACTOR)), (
        "but for the form, both are weight over floor"
    )
    for less, more in pairwise(rooms):
        assert (more.lift_Pa > less.lift_Pa).all()
        assert more.hold_up_Pa == pytest.approx(less.hold_up_Pa), (
            "the flap never changes what holds the shell up"
        )
    lifts = np.array([bare.with_ballast(kg).lift_Pa for kg in (0.0, 10.0, 50.0)])
    heavier = np.array([10.0, 40.0]) * 9.80665 / bare.room.floor_area_m2
    assert np.diff(lifts, axis=0) == pytest.approx(np.repeat(heavier[:, None], 256, axis=1))


@hypothesis.settings(deadline=None)
@given(st.floats(0.1, 0.9), st.floats(0.5, 5.0))
def test_hold_up_of_a_cone_is_that_of_its_slope(share, radius):
    area = math.pi * radius**2
    p = hold_up_pressure(np.array([radius, 0.0]), np.array([0.0, radius * share * 3.0]), 40.0, area)
    assert p == pytest.approx(40.0 / area)


def test_a_neck_asks_for_more_than_the_base():
    # a wide head on a narrow neck: the neck's area must carry the head
    radius, height = np.array([2.0, 0.5, 1.5, 0.0]), np.array([0.0, 2.0, 3.0, 4.0])
    assert hold_up_pressure(radius, height, 100.0, math.pi * 4.0) > 2.0 * 100.0 / (math.pi * 4.0)


def test_hold_up_is_where_the_meridian_force_is_nowhere_compression():
    t = np.linspace(0.0, math.pi / 2, 600)
    radius, height = 2500.0 * np.cos(t), 2500.0 * np.sin(t)
    radius[-1] = 0.0
    area, mass = math.pi * 2.5**2, 0.2
    # at the top of a dome the pressure must carry the cloth's own weight: more than nothing, less than at the base
    p = hold_up_pressure(radius, height, 2.0 * area * mass * 9.80665, area)
    assert np.nanmin(membrane_forces(radius, height, p * 1.001, mass).meridian_N_m) > 0.0
    assert np.nanmin(membrane_forces(radius, height, p * 0.98, mass).meridian_N_m) < 0.0


def test_good_air_is_asked_for_wherever_it_can_surely_be_had(drawn, build_room):
    """Also where bearable air would leave a better setting: the verdict and the plan go by this one rule."""
    little, much, none = 0.0, 1e3, math.inf
    settings, strict = settings_for_air(drawn, little, lambda: pytest.fail("not asked"))
    assert strict
    assert settings.best.chance_air == 1.0
    settings, strict = settings_for_air(drawn, much, lambda: little)
    assert not strict
    assert settings.best.chance == find_settings(drawn, little).best.chance
    assert settings_for_air(drawn, none, lambda: much)[0].best.chance == 0.0
    weak = fan_from_label("fan", "60 cfm", 400)  # nothing stands: the air is not to blame
    slack = room_draws(build_room(), weak, Cloth(), Site(), SOME)
    settings, strict = settings_for_air(slack, little, lambda: pytest.fail("not asked"))
    assert strict
    assert settings.best.chance < SURE_CHANCE

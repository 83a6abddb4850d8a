"""What is given to a room is of the right kind, or refused by name where it is given: no error of Python's, no room."""

import pytest

from shellparts import (
    Cloth,
    Design,
    Doorway,
    ParameterError,
    Shell,
    Site,
    build,
    fan_from_csv,
    fan_from_label,
    fan_from_points,
)
from shellparts.base.ranges import exact
from shellparts.build.room import Room
from shellparts.parameters.fan import Fan

DESIGN = Design(
    name="bare",
    shell=Shell(panels=6, across="3 m", height=2400),
    doorway=Doorway(width="0.9 m", height="1.6 m", length="1 m", vent="600 mm"),
)
FAN = fan_from_label("fan", "2100 cfm", 400)
#: Nothing that is given to a room is one of these.
WRONG = ["my fan", 3, 2.5, b"x", [], (), {}, [1], object, print, True]


@pytest.mark.parametrize("wrong", WRONG, ids=repr)
@pytest.mark.parametrize("what", ["design", "fan", "cloth", "site", "workshop"])
def test_a_room_of_the_wrong_kinds_is_refused_by_name(what, wrong):
    given = {"design": DESIGN, "fan": FAN, what: wrong}
    for make in (build, Room):
        with pytest.raises(
            ParameterError, match=rf"(?s)^{what} is .*; it must be a {what.title()}.*Remedy: "
        ):
            make(**given)


def test_a_room_needs_a_design():
    with pytest.raises(ParameterError, match=r"^design is None; it must be a Design"):
        build(None)
    with pytest.raises(ParameterError, match=r"^design is Design; it must be a Design"):
        build(Design)


@pytest.mark.parametrize("wrong", ["crowd", 5, [5], None, [None], ["boys", 3]], ids=repr)
def test_a_crowd_is_made_of_crowds(wrong):
    with pytest.raises(ParameterError, match=r"^crowd is .*; it must be a Crowd"):
        Site(crowd=wrong)


@pytest.mark.parametrize("wrong", [None, "", "fast", [], True, float("nan")], ids=repr)
def test_a_flow_that_is_none_is_refused(wrong):
    with pytest.raises(ParameterError, match=r"flow is .*Remedy: "):
        fan_from_label("fan", wrong, 400)


@pytest.mark.parametrize("wrong", ["abc", None, 3, [0, "x"], [0, None]], ids=repr)
def test_points_that_are_no_numbers_are_refused(wrong):
    for flow, pressure in ((wrong, [80, 0]), ([0, 1], wrong)):
        with pytest.raises(ParameterError, match=r"^fan curve is .*Remedy: "):
            fan_from_points("fan", flow, pressure, 400)


@pytest.mark.parametrize("wrong", ["three", 3, (), [], ("low", "high"), None], ids=repr)
def test_speeds_that_are_none_are_refused(wrong):
    with pytest.raises(ParameterError, match=r"speeds? (of the fan )?(is|are) .*Remedy: "):
        fan_from_label("fan", "2100 cfm", 400, speeds=wrong)


def test_a_fan_is_made_of_curves(tmp_path):
    for place, what in enumerate(("weaker", "stronger")):
        curves = [FAN.weak, FAN.strong]
        curves[place] = "steep"
        with pytest.raises(
            ParameterError, match=rf"^{what} curve of the fan is 'steep'; it must be a FanCurve"
        ):
            Fan("fan", *curves, FAN.speeds, exact(0.1))
    with pytest.raises(ParameterError, match=r"^fan table is .*nowhere.csv"):
        fan_from_csv(tmp_path / "nowhere.csv", 400)


@pytest.mark.parametrize("opening", [1200.1, 1500, 1e5])
def test_a_vent_cannot_be_opened_farther_than_it_is_long(opening):
    """Both sides of 600 mm."""
    room = build(DESIGN, FAN, Cloth(), Site(vent_opening_mm=opening))
    for ask in (lambda: room.first_look, room.advice, room.numbers, room.band, lambda: room.plan):
        with pytest.raises(
            ParameterError, match=r"^vent opening is .* mm; it must be from 0 to 1200 mm.*longer vent"
        ):
            ask()
    set_wide = build(DESIGN, FAN, Cloth(), Site(vent_opening_mm=1200)).first_look.air.verdict
    assert set_wide.air.setting.opening_mm == 1200


def test_a_folder_that_is_no_path_is_refused():
    for wrong in (3, b"room", ["room"], "a\0b"):
        with pytest.raises(ParameterError, match=r"^output folder is "):
            build(DESIGN).write(wrong)

"""Fields and plain records of them: a number that is added brings its unit along."""

from enum import Enum

import attrs
import pytest
from attrs import frozen

from shellparts.base.errors import ParameterError
from shellparts.base.fields import (
    angle_field,
    choice_field,
    count_field,
    flag_field,
    length_field,
    number_field,
    part_field,
    parts_field,
    range_field,
    record,
)
from shellparts.base.ranges import Range


class Colour(Enum):
    RED = "red"


@frozen(kw_only=True)
class Hook:
    reach: float = length_field("reach", 0.0, 900.0, "shorten it")
    tilt: float | None = length_field("tilt", 0.0, 90.0, "tilt it less", optional=True)


@frozen(kw_only=True)
class Rail:
    lean: float = angle_field("lean", 0.0, 45.0, "lean it less", default=30)
    screws: int | None = count_field("screws", 1, 9, "count them", optional=True)
    colour: Colour | None = choice_field("colour", Colour, optional=True)
    painted: bool = flag_field("painted", default=True)
    mass_kg: float = number_field("mass", "kg", 0.0, 90.0, "weigh it", default=2.5)
    load_N: Range = range_field("load", "N", 0.0, 90.0, "weigh it", default=3)
    end: Hook | None = part_field("end", Hook, optional=True)
    hooks: tuple[Hook, ...] = parts_field("hooks", Hook, "write Hook(…)", default=())


def test_a_record_has_the_unit_of_every_length_and_angle_and_no_other():
    rail = Rail(screws=4.0, colour="red", hooks=Hook(reach="10 cm"))
    assert record(rail) == {
        "lean_deg": 30.0,
        "screws": 4,
        "colour": "red",
        "painted": True,
        "mass_kg": 2.5,
        "load_N": {"low": 3.0, "likely": 3.0, "high": 3.0},
        "end": None,
        "hooks": [{"reach_mm": 100.0, "tilt_mm": None}],
    }


def test_what_may_be_left_out_may_be_none_and_nothing_else_may():
    assert attrs.astuple(Hook(reach=1), recurse=False) == (1.0, None)
    assert Rail(end=None, screws=None, colour=None) == Rail()
    for name in ("lean", "painted", "mass_kg", "load_N", "hooks"):
        with pytest.raises(ParameterError, match="is None; it must be"):
            Rail(**{name: None})


@pytest.mark.parametrize("wrong", ["3", True, [], -1.0, Range(-1, 0, 1), Range(1, 2, 91), 10**400])
def test_a_range_is_held_to_its_limits_at_both_ends(wrong):
    with pytest.raises(ParameterError, match=r"^load is .*; it must be from 0 to 90 N\. Remedy: weigh it\.$"):
        Rail(load_N=wrong)

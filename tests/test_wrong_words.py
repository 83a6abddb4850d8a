"""Whatever a reader may write for a parameter: taken, or refused by name with what it may be; never passed by in silence.

The classes are walked field by field, by the kind of each field, so that a field that is added is held to it too.
"""

import math
import re
from enum import Enum
from typing import Any, Union, get_args, get_origin, get_type_hints

import attrs
import pytest

import shellparts
from shellparts import (
    Allowances,
    Cloth,
    Design,
    Doorway,
    Flap,
    Marking,
    Printer,
    Printing,
    Shell,
    Site,
    Sleeve,
    Workshop,
    cloth_roll,
    cloth_sheet,
)
from shellparts.base.errors import ParameterError
from shellparts.parameters import Reinforcement
from shellparts.parameters.boards import Boards
from shellparts.parameters.readings import Reading, ReadingKind
from shellparts.parameters.site import AgeGroup, Crowd
from shellparts.parameters.stocks import Roll, Sheet, Turning, TurnRule
from shellparts.parameters.workshop import Prices

SHELL = {"panels": 8, "across": 4000, "height": 3000}
ROLL = cloth_roll("example roll", "2 m").roll
SHEET = cloth_sheet("example sheet", ("4 m", "3 m"), ("3.9 m", "2.9 m"), 20).sheets[0]
#: Of each class the arguments that it cannot do without.
EXAMPLES: dict[type, dict[str, Any]] = {
    Shell: SHELL,
    Doorway: {"width": 900, "height": 1800, "length": 1500},
    Sleeve: {"diameter": 400, "length": 1200, "height": 450},
    Flap: {"depth": 300},
    Allowances: {},
    Reading: {"kind": ReadingKind.PRESSURE, "value": 20.0, "speed": "full", "opening": "shut"},
    Reinforcement: {},
    Marking: {},
    Printer: {},
    Printing: {},
    Design: {"name": "trial", "shell": Shell(**SHELL)},
    Cloth: {},
    Site: {},
    Crowd: {"group": AgeGroup.BOYS_6_10, "count": 3},
    Workshop: {},
    Prices: {},
    Boards: {},
    Turning: {"rule": TurnRule.FREE},
    Roll: attrs.asdict(ROLL, recurse=False),
    Sheet: attrs.asdict(SHEET, recurse=False),
}
#: Made by functions that check what they are given, or results that nobody writes; a room's kinds: test_kinds.
CHECKED_ELSEWHERE = {"FaceReport", "Fan", "FanCurve", "FanSpeed", "Outline", "Range", "Room"}
WRONG = {
    float: [math.nan, math.inf, "x", True, [], object()],
    int: [1.5, math.nan, "x", True, []],
    bool: ["yes", 1, []],
    Enum: ["nonsense", 3, [], True],
}


def kinds_of(hint: Any) -> list[type]:
    """The plain kinds that an annotation allows."""
    if get_origin(hint) in (Union, type(int | str)):
        return [kind for one in get_args(hint) for kind in kinds_of(one)]
    return [hint] if isinstance(hint, type) else []


def cases() -> list[tuple[type, str, type]]:
    found = []
    for owner in EXAMPLES:
        hints = get_type_hints(owner)
        for field in attrs.fields(owner):
            if not field.init:
                continue
            for kind in kinds_of(hints[field.name]):
                plain = Enum if issubclass(kind, Enum) else kind
                if plain in WRONG and not (plain is int and float in kinds_of(hints[field.name])):
                    found.append((owner, field.name, kind))
    return found


def with_value(owner: type, name: str, value: Any) -> Any:
    words = EXAMPLES[owner] | {name: value}
    if owner is Sleeve and name in {"girth", "width", "depth"}:
        words = {key: one for key, one in words.items() if key != "diameter"}
        words |= {"width": {"depth": 300}, "depth": {"width": 300}, "girth": {}}[name]
    return owner(**words)


@pytest.mark.parametrize(("owner", "name", "kind"), cases(), ids=lambda one: getattr(one, "__name__", one))
def test_a_wrong_value_is_refused_by_name(owner, name, kind):
    for value in WRONG[Enum if issubclass(kind, Enum) else kind]:
        with pytest.raises(ParameterError) as caught:
            with_value(owner, name, value)
        assert caught.value.what and caught.value.limit and caught.value.remedy
        assert re.search(r"[^.?!…][.?!…]$", str(caught.value))
        if issubclass(kind, Enum):
            for member in kind:
                assert str(member.value) in caught.value.limit, (value, str(caught.value))


@pytest.mark.parametrize(
    ("owner", "name", "kind"),
    [case for case in cases() if issubclass(case[2], Enum)],
    ids=lambda one: getattr(one, "__name__", one),
)
def test_the_right_words_are_taken_as_text_and_as_members(owner, name, kind):
    for member in kind:
        if owner is Printing and member.value == "roll":
            continue  # it needs a width
        if owner is Shell:
            continue  # a profile needs its own sizes
        if member is ReadingKind.LIFTS:
            continue  # it has no value
        for word in (member, member.value):
            assert getattr(with_value(owner, name, word), name) is member


def test_every_class_that_a_reader_makes_is_walked():
    made = {
        value
        for name in shellparts.__all__
        if isinstance(value := getattr(shellparts, name), type)
        and attrs.has(value)
        and name not in CHECKED_ELSEWHERE
    }
    assert made <= set(EXAMPLES)


def test_a_word_that_is_nearly_right_is_recognised():
    with pytest.raises(ParameterError, match=re.escape("did you mean 'dome'?")):
        Shell(**SHELL, profile="dom")

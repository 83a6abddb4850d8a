"""Classes that a reader makes: their errors, how they are shown, and the words that type checkers know."""

import inspect
from enum import Enum
from typing import Annotated, Literal, get_args, get_origin, get_type_hints

import attrs
import pytest
from test_wrong_words import EXAMPLES

from shellparts.base.classes import Mm, Reads, evolve, frozen_fields
from shellparts.base.errors import ParameterError
from shellparts.base.fields import count_field, length_field
from shellparts.parameters import Design, Shell


@frozen_fields()
class Plank:
    """A board."""

    long: Mm = length_field("length", 0.0, 4000.0, "")
    pieces: int = count_field("pieces", 1, 9, "", default=2)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: Plank(lnog="1 m"), r"^argument of Plank is 'lnog'; .* one of long, pieces\. .*mean 'long'"),
        (lambda: Plank(1000, colour="red"), r"^argument of Plank is 'colour'; .*Remedy: leave it out"),
        (
            lambda: Plank(pieces=3),
            r"^long of Plank is missing; it must be given\. Remedy: write Plank\(long=",
        ),
        (lambda: evolve(Plank(1), wide=3), r"^argument of Plank is 'wide'"),
        (lambda: evolve(Plank(1), pieces=10), r"^pieces is 10; it must be from 1 to 9"),
    ],
)
def test_arguments_that_are_unknown_or_missing_are_told_in_our_words(make, message):
    with pytest.raises(ParameterError, match=message):
        make()


def test_what_is_shown_can_be_written():
    """The repr is what one would write: it makes the same object, and leaves out what is usual."""
    for owner, values in EXAMPLES.items():
        one = owner(**values)
        names = {kind.__name__: kind for kind in EXAMPLES} | {
            "Range": getattr(one, "mass_kg_m2", None).__class__
        }
        assert eval(repr(one), names) == one, repr(one)
        assert len(repr(one)) < 500
    assert repr(Plank("2.5 m")) == "Plank(long=2500)"
    assert repr(Plank(1, 3)) == "Plank(long=1, pieces=3)"


def written(owner: type) -> dict[str, object]:
    """Of each field of a class whose annotation says so, what may be written."""
    hints = get_type_hints(owner, include_extras=True)
    return {
        name: get_args(hint)[2]
        for name, hint in hints.items()
        if get_origin(hint) is Annotated and get_args(hint)[1] is Reads
    }


def kinds_in(union: object) -> list[object]:
    """Members of a union, or the one."""
    return (
        [part for one in get_args(union) for part in kinds_in(one)]
        if get_origin(union) is not Literal and get_args(union)
        else [union]
    )


def test_every_word_that_is_taken_is_known_to_type_checkers():
    """The words that an annotation names are those of the enum, all of them."""
    found = 0
    for owner in EXAMPLES:
        for field in attrs.fields(owner):
            kept = [one for one in kinds_in(get_type_hints(owner)[field.name]) if isinstance(one, type)]
            for kind in (one for one in kept if issubclass(one, Enum)):
                parts = kinds_in(written(owner)[field.name])
                assert kind in parts
                (words,) = (get_args(part) for part in parts if get_origin(part) is Literal)
                assert list(words) == [member.value for member in kind], f"{owner.__name__}.{field.name}"
                found += 1
    assert found >= 20


def test_a_signature_says_what_may_be_written():
    shell = inspect.signature(Shell).parameters
    assert shell["across"].annotation == float | int | str | None
    assert "dome" in str(shell["profile"].annotation)
    assert set(inspect.signature(Design).parameters) >= {"name", "doorway", "sleeve", "openings"}

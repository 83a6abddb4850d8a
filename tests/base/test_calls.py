"""Calls that do not fit: whatever Python would answer with a TypeError, for every class and function of the package."""

import inspect
import re

import attrs
import pytest

import shellparts
from shellparts import Crowd, Doorway, ParameterError, Range, Shell, build, fan_from_label

CALLED = {
    name: thing
    for name in shellparts.__all__
    if inspect.isfunction(thing := getattr(shellparts, name)) or (inspect.isclass(thing) and attrs.has(thing))
}


def needed(kind):
    return [one.name for one in attrs.fields(kind) if one.init and one.default is attrs.NOTHING]


#: Results that nobody makes.
GIVEN = {"FaceReport", "Outline"}
MADE = sorted(CALLED.keys() - GIVEN)
#: Where nothing must be given.
WITHOUT = {name for name in MADE if attrs.has(CALLED[name]) and not needed(CALLED[name])}
#: Values for those functions that hand on what they do not know.
HANDED_ON = {"cloth_roll": ("roll", "2 m"), "cloth_sheet": ("sheet", ("4 m", "3 m"), ("3.9 m", "2.9 m"), 20)}


def parameters(name):
    return list(inspect.signature(CALLED[name]).parameters.values())


def refused(call):
    with pytest.raises(ParameterError) as caught:
        call()
    assert caught.value.what and caught.value.limit and caught.value.remedy
    assert "\n" not in str(caught.value)
    return str(caught.value)


def test_the_package_is_walked():
    assert {"Shell", "Doorway", "Room", "Range", "build", "fan_from_label", "laid_flat"} <= set(MADE)


@pytest.mark.parametrize("name", MADE)
def test_too_many_values_are_refused(name):
    assert f" of {name} is 0;" in refused(lambda: CALLED[name](*[0] * (len(parameters(name)) + 1)))


@pytest.mark.parametrize("name", MADE)
def test_an_argument_that_is_not_there_is_refused(name):
    """Functions that hand theirs on are answered by the class that takes them."""
    told = refused(lambda: CALLED[name](*HANDED_ON.get(name, ()), no_such_thing=0))
    assert re.search(r" is 'no_such_thing'; it must be (one of \w+|left out)", told)


@pytest.mark.parametrize("name", sorted(set(MADE) - {"register", "crowd_of", *WITHOUT}))
def test_an_argument_that_lacks_is_named(name):
    first = next(one.name for one in parameters(name) if one.default is one.empty)
    assert refused(CALLED[name]) == (
        f"{first} of {name} is missing; it must be given. Remedy: write {name}({first}=…)."
    )


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (
            lambda: Shell(12),
            "argument 1 of Shell is 12; it must be given by its name. Remedy: write Shell(panels=…).",
        ),
        (
            lambda: Doorway("flat", width=900),
            "argument 1 of Doorway is 'flat'; it must be given by its name. Remedy: write Doorway(height=…).",
        ),
        (
            lambda: Crowd("men 30-39", 2, group="boys 6-10"),
            "group of Crowd is 'men 30-39' and 'boys 6-10'; it must be given once. Remedy: leave one of the two out.",
        ),
        (
            lambda: Crowd("men 30-39", 2, 3),
            "argument 3 of Crowd is 3; it must be left out, for there are 2. Remedy: see help(Crowd) for what "
            "it takes.",
        ),
        (
            lambda: fan_from_label("fan", "2100 cfm", outlt=400),
            "argument of fan_from_label is 'outlt'; it must be one of name, flow, outlet, speeds, shut_off_Pa, "
            "power_W. Remedy: did you mean 'outlet'?",
        ),
        (
            lambda: Range(1, "two", 3),
            "range is 'two'; it must be of numbers. Remedy: write Range(low, likely, high).",
        ),
    ],
)
def test_it_is_told_in_one_line(call, message):
    assert refused(call) == message


def test_it_is_one_function_however_it_is_got():
    from shellparts import build as again

    assert again is build is shellparts.build
    assert inspect.signature(build) == inspect.signature(inspect.unwrap(build))

"""Lengths as people write them; the factors against a library of units."""

import math
import re

import pint
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from shellparts.base.errors import ParameterError
from shellparts.base.units import feet_inches, to_mm


@pytest.mark.parametrize(
    "unit",
    [
        "mm",
        "cm",
        "m",
        "in",
        "ft",
        "yd",
        "inch",
        "inches",
        "foot",
        "feet",
        "yard",
        "yards",
        "metre",
        "meters",
        "millimetres",
    ],
)
def test_every_unit_is_that_of_a_library_of_units(unit):
    expected = pint.UnitRegistry().Quantity(2.5, unit).to("mm").magnitude
    assert to_mm(f"2.5 {unit}") == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("unit", ["parsecs", "fathoms", "miles", "km", "kg", "M", "IN", "mms", "ms"])
def test_a_unit_that_no_tape_has_is_refused(unit):
    with pytest.raises(ParameterError, match=rf"'{unit}' is none that a tape has \(mm, cm, m, in, ft, yd\)"):
        to_mm(f"3 {unit}")


@pytest.mark.parametrize(
    ("text", "advice"),
    [
        ("3,6 m", r"write a point: '3\.6 m'\."),
        ("14 ft 6,5 in", r"write a point: '14 ft 6\.5 in'\."),
        ("3,600 mm", r"write a point: '3\.600 mm', or '3600 mm' without the comma"),
    ],
)
def test_a_comma_is_answered_with_a_point(text, advice):
    with pytest.raises(ParameterError, match=advice):
        to_mm(text, "height")


def test_marks_of_feet_and_inches():
    assert to_mm("14' 6 1/2\"") == to_mm("14 ft 6 1/2 in") == pytest.approx(174.5 * 25.4)
    assert to_mm(feet_inches(4432.3)) == pytest.approx(4432.3)


@pytest.mark.parametrize(
    ("text", "length"), [("5000", 5000.0), (" 12.5 ", 12.5), ("-3", -3.0), ("1e3", 1000.0), ("0", 0.0)]
)
def test_a_bare_number_in_text_is_millimetres(text, length):
    assert to_mm(text) == length


@pytest.mark.parametrize(
    "text", ["3 m 4 m", "3 m 4 ft", "5 in 3 ft", "2 mm 3 mm", "20 cm 1 m", "1 yd 2 m", "3 ft 2 ft 1 in"]
)
def test_a_sum_that_nobody_writes_is_refused(text):
    with pytest.raises(ParameterError, match=r"width is .* it must be one length: each unit once"):
        to_mm(text, "width")


@pytest.mark.parametrize(
    ("text", "length"), [("1 m 20 cm", 1200.0), ("2 m 5 cm 3 mm", 2053.0), ("1 yd 2 ft 3 in", 1600.2)]
)
def test_units_of_one_tape_add_up_from_the_longest(text, length):
    assert to_mm(text) == pytest.approx(length)


PIECES = st.sampled_from(
    [
        "1",
        "2.5",
        "1/2",
        "6 1/2",
        "-",
        "+",
        "m",
        "cm",
        "mm",
        "in",
        "ft",
        "yd",
        "'",
        '"',
        " ",
        ".",
        "e",
        "nan",
        "1e9",
        "1e400",
        ",",
    ]
)


@given(st.text(max_size=12) | st.lists(PIECES, max_size=8).map("".join))
@example("1e400")
@example("nan m")
@example("1/0 in")
def test_any_text_is_a_length_that_a_library_of_units_agrees_with_or_is_refused(text):
    try:
        length = to_mm(text, "width")
    except ParameterError as error:
        assert str(error).startswith("width is ")
        return
    assert math.isfinite(length)
    body = (
        text.strip()
        .lstrip("+-")
        .replace("'", " ft ")
        .replace('"', " in ")
        .replace("′", " ft ")
        .replace("″", " in ")
    )
    if not any(c.isalpha() and c not in "eE" for c in body):
        assert abs(length) == pytest.approx(float(body), rel=1e-12)
        return
    # Every number with its unit as the library reads it; a mixed number is a sum.
    total = sum(
        sum(fraction(part) for part in number.split()) * UNITS.Quantity(1.0, unit).to("mm").magnitude
        for number, unit in re.findall(
            r"((?:\d[\d./]*|\.\d+)(?:[eE][+-]?\d+)?(?:\s+\d+/\d+)?)\s*([^\W\d]+)", body
        )
    )
    assert abs(length) == pytest.approx(total, rel=1e-9, abs=1e-8)


UNITS = pint.UnitRegistry()


def fraction(part):
    top, _, bottom = part.partition("/")
    return float(top) / float(bottom or 1)

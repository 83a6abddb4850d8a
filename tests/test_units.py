"""Lengths as people write them; the factors against a library of units."""

import pint
import pytest

from shellparts.errors import ParameterError
from shellparts.units import feet_inches, in_unit, to_mm


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
    with pytest.raises(ParameterError, match="unit of length"):
        in_unit(1.0, unit)


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

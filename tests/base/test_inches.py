"""What a reader with an inch tape is told, against units by definition and the library's own reader of lengths."""

import re

import pytest

from shellparts.base.counted import counted
from shellparts.base.errors import ParameterError
from shellparts.base.inches import error_in_inches, in_inches, speaks_inches
from shellparts.base.units import to_mm
from shellparts.openings import Doorway
from shellparts.parameters import Design, Marking, Shell


@pytest.mark.parametrize(
    ("metric", "imperial"),
    [
        ("20 cm open", "7 3/4 in (20 cm) open"),
        ("(40 cm open)", "(1 ft 3 3/4 in = 40 cm open)"),
        ("A way out 1,650 mm high", "A way out 5 ft 4 15/16 in (1,650 mm) high"),
        ("4880 x 3880 mm", "16 ft 0 1/8 in x 12 ft 8 3/4 in (4880 x 3880 mm)"),
        ("14 bags of 2 kg", "14 bags of 4.4 lb (2 kg)"),
        ("500 m of thread", "1640 ft (500 m) of thread"),
        ('vent="900 mm" in the script', 'vent="900 mm" in the script'),
        ("did you mean '3.6 m'?", "did you mean '3.6 m'?"),
        ("gusts of 12 m/s, 15 Pa, 3 min", "gusts of 27 mph (12 m/s), 15 Pa, 3 min"),
        ("19.1 m2 of floor, 49.6 m³ of air", "206 sq ft (19.1 m2) of floor, 1,752 cu ft (49.6 m³) of air"),
        ("187 to 227 g/m2; 27 L/s", "5.5 to 6.7 oz/sq yd (187 to 227 g/m2); 27 L/s"),
        ("6.5 m3 (1.1 to 13) of air", "230 cu ft (39 to 459) = 6.5 m3 (1.1 to 13) of air"),
        ("3.48 m (92%)", "11 ft 5 in = 3.48 m (92%)"),
        ("from 17 to 29 cm a side", "from 6 3/4 to 11 1/2 in (17 to 29 cm) a side"),
        ("from 20 to 40 cm", "from 7 3/4 in to 1 ft 3 3/4 in (20 to 40 cm)"),
        ("ballast is -1 kg", "ballast is -2.2 lb (-1 kg)"),
        ("a 5 mm2 face, 3 min, S12 m", "a 5 mm2 face, 3 min, S12 m"),
    ],
)
def test_metric_words_are_told_in_inches(metric, imperial):
    assert in_inches(metric) == imperial


@pytest.mark.parametrize("value_mm", [1, 7, 25, 63, 180, 999, 1829, 2032, 5944])
def test_what_is_told_is_the_length(value_mm):
    """Read back: within half of 1/16 in."""
    told = re.fullmatch(r"(.*) \((\d+ mm)\)", in_inches(f"{value_mm} mm"))
    assert told[2] == f"{value_mm} mm"
    assert to_mm(told[1]) == pytest.approx(value_mm, abs=25.4 / 32 + 1e-9)


@pytest.mark.parametrize("text", ["14 ft", "14ft 6 in", "14'", '6 1/2"', "3 yards", "2 feet"])
def test_feet_and_inches_are_known(text):
    assert speaks_inches(text)


@pytest.mark.parametrize("value", ["4.4 m", "950", 950, None, "2 minutes", "panel in"])
def test_other_values_are_not_taken_for_inches(value):
    assert not speaks_inches(value)


def test_a_length_in_feet_is_answered_in_feet():
    with pytest.raises(ParameterError, match=r"is 90 ft \(27432 mm\); .* to 65 ft 7 3/8 in \(20000 mm\)"):
        Shell(panels=12, across="90 ft", height="20 ft")
    with pytest.raises(ParameterError, match=r"is 27432 mm; it must be from 1000 mm to 20000 mm"):
        Shell(panels=12, across=27432, height=6000)


def test_parts_that_do_not_fit_are_told_by_the_tape_at_hand():
    shell, door = Shell(panels=12, across=4800, height=3600), Doorway(width=900, height=3400, length=1500)
    with pytest.raises(ParameterError, match=r"\d mm") as metric:
        Design(name="a", shell=shell, doorway=door)
    with pytest.raises(ParameterError, match=r" in \(\d+ mm\)") as imperial:
        Design(name="a", shell=shell, doorway=door, marking=Marking(tape="imperial"))
    assert str(error_in_inches(metric.value)) == str(imperial.value)
    assert error_in_inches(imperial.value) is imperial.value


@pytest.mark.parametrize(
    ("number", "noun", "told"),
    [
        (1, "sheet", "1 sheet"),
        (0, "sheet", "0 sheets"),
        (2, "box of 10", "2 boxes of 10"),
        (1.5, "m2", "1.5 m2"),
    ],
)
def test_nouns_agree_with_their_numbers(number, noun, told):
    assert counted(number, noun) == told

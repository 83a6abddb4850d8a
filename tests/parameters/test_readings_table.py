"""Readings as people write them down: units, openings, tables; what cannot be read is refused by name."""

import pytest

from shellparts.base.errors import ParameterError
from shellparts.parameters.readings import (
    Reading,
    ReadingKind,
    opening_text_mm,
    reading,
    readings_from_csv,
)

TABLE = """what,value,speed,opening
pressure,7.2 Pa,low,4 clips
Pressure,0.03 in wg,low,40 cm each side

fill time,1.5 min,high,shut
cloth weight,26 lb,,
fan flow,0.9 m3/s at 10 Pa,high,
fan flow,1900 cfm,high
lifts,,low,2 clips
"""


def test_a_table_of_readings(tmp_path):
    path = tmp_path / "readings.csv"
    path.write_text(TABLE, encoding="utf-8-sig")
    found = readings_from_csv(path)
    kinds = ["pressure", "pressure", "fill time", "cloth weight", "fan flow", "fan flow", "lifts"]
    assert [one.kind.value for one in found] == kinds
    values = [7.2, 0.03 * 249.08891, 90.0, 11.79340, 0.9, 1900 * 4.719474e-4, None]
    for one, value in zip(found, values, strict=True):
        assert one.value == (value if value is None else pytest.approx(value, rel=1e-6))
    assert [one.opening for one in found[:3]] == ["4 clips", "40 cm each side", "shut"]
    assert found[4].against_Pa == 10.0 and found[5].against_Pa == 0.0
    assert found[0].error == 0.15 and found[3].error == 0.03


@pytest.mark.parametrize(
    ("row", "message"),
    [
        (
            "presure,7 Pa,low,shut",
            r"line 2 of the readings, what was read, is 'presure'; .*one of pressure, fill",
        ),
        ("pressure,7,low,shut", r"line 2 of the readings, pressure, is '7'; .*one of the units Pa|pa"),
        ("pressure,7 cfm,low,shut", r"line 2 .*pressure, is '7 cfm'"),
        ("pressure,-7 Pa,low,shut", r"line 2 .*more than 0"),
        ("pressure,0 Pa,low,shut", r"line 2 .*value that was read, is 0"),
        ("pressure,,low,shut", r"line 2 .*value of 'pressure', is missing"),
        ("pressure,7 Pa,,shut", r"line 2 .*speed of 'pressure', is ''"),
        (
            "pressure,7 Pa,low,",
            r"line 2 .*opening of 'pressure', is missing.*write 'shut', 'open', '4 clips'",
        ),
        ("pressure,7 Pa,low,40 cm", r"line 2 .*opening of the vent, is '40 cm'.*each side"),
        ("pressure,7 Pa,low,half", r"line 2 .*opening of the vent, is 'half'"),
        ("pressure,7 Pa,low,x each side", r"line 2 .*opening of the vent"),
        ("fill time,35 m,low,shut", r"line 2 .*fill time, is '35 m'; .*s, sec, min"),
        ("cloth weight,12 stone,,", r"line 2 .*cloth weight, is '12 stone'; .*kg, lb"),
        ("fan flow,10 Pa,low,", r"line 2 .*flow, is '10 Pa'"),
        ("fan flow,1 m3/s at 5 cfm,low,", r"line 2 .*pressure, is '5 cfm'"),
        ("lifts,5 clips,low,5 clips", r"line 2 .*value of 'lifts', is '5 clips'; it must be left out"),
        ("pressure,7 Pa,low,shut,9", r"line 2 of the readings is 5 cells"),
    ],
)
def test_a_line_that_cannot_be_read_is_refused_by_its_number(tmp_path, row, message):
    path = tmp_path / "readings.csv"
    path.write_text(f"what,value,speed,opening\n{row}\n", encoding="utf-8")
    with pytest.raises(ParameterError, match=message):
        readings_from_csv(path)


@pytest.mark.parametrize("text", ["", "what,value\npressure,7 Pa\n", "what,value,speed,opening\n"])
def test_a_table_without_header_or_lines_is_refused(tmp_path, text):
    path = tmp_path / "readings.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ParameterError, match=r"readings is .*write a header"):
        readings_from_csv(path)


def test_a_table_that_is_not_there_or_no_text_is_refused(tmp_path):
    (tmp_path / "b.csv").write_bytes(b"\xff\xfe\x00\x01")
    for path in (tmp_path / "none.csv", tmp_path, tmp_path / "b.csv"):
        with pytest.raises(ParameterError, match=r"readings is .*readable table"):
            readings_from_csv(path)


def test_openings_of_each_side_are_those_of_all_sides():
    assert opening_text_mm("shut", 1200.0, 1, 100.0) == opening_text_mm("", 1200.0, 1, 100.0) == 0.0
    assert opening_text_mm("open", 1250.0, 1, 100.0) == 1250.0
    assert opening_text_mm("1 clip", 1250.0, 1, 100.0) == 200.0
    # the last clip frees the rest of its side
    assert opening_text_mm("7 clips", 1250.0, 1, 100.0) == 1250.0
    assert opening_text_mm("2 clips", 2400.0, 2, 100.0) == 800.0
    assert opening_text_mm("1 ft each side", 1200.0, 1, 100.0) == pytest.approx(609.6)
    with pytest.raises(ParameterError, match="clips off is 8; it must be at most 7 on each side"):
        opening_text_mm("8 clips", 1250.0, 1, 100.0)
    with pytest.raises(ParameterError, match="at most 625 mm each side"):
        opening_text_mm("70 cm each side", 1250.0, 1, 100.0)


@pytest.mark.parametrize("wrong", [True, [], object(), float("nan"), float("inf")])
def test_values_of_no_kind_are_refused(wrong):
    for what in ("pressure", "fill time", "cloth weight", "fan flow"):
        with pytest.raises(ParameterError):
            reading(what, wrong, "low", "shut")
    with pytest.raises(ParameterError):
        reading(wrong, "7 Pa", "low", "shut")
    with pytest.raises(ParameterError):
        reading("pressure", "7 Pa", "low", wrong)
    with pytest.raises(ParameterError):
        Reading(ReadingKind.PRESSURE, 7.0, "low", "shut", error=wrong)


def test_plain_numbers_are_in_the_unit_of_their_kind():
    assert reading("pressure", 7, "low", "shut") == Reading(ReadingKind.PRESSURE, 7.0, "low", "shut")
    assert reading(ReadingKind.CLOTH_WEIGHT, 12).value == 12.0

"""What was read on the real room: pressures, times, weights, written down with their units.

Glossary: a *reading* is one number and the setting at which it was read: the fan's speed, and how far the vent was
open, on each side of each doorway. In a table, one reading a line::

    what,value,speed,opening
    pressure,7.2 Pa,low,4 clips
    pressure,0.03 in wg,low,40 cm each side
    fill time,35 s,high,shut
    cloth weight,11.8 kg,,
    fan flow,0.9 m3/s at 10 Pa,high,
    lifts,,low,2 clips

*lifts* is the opening at which the base begins to lift while the vent is closed clip by clip. This module does not
know whether a reading is right.
"""

import csv
import math
import re
from enum import Enum
from pathlib import Path
from typing import Any, Literal

from attrs import Factory, field

from shellparts.base.checks import above, require
from shellparts.base.classes import Reads, frozen_fields
from shellparts.base.errors import ParameterError
from shellparts.base.fields import choice_field, number_field
from shellparts.base.units import to_mm
from shellparts.parameters.air_units import read_flow, read_pressure

__all__ = ["Reading", "ReadingKind", "opening_text_mm", "reading", "readings_from_csv"]

ReadingKindWord = Literal["pressure", "fill time", "cloth weight", "fan flow", "lifts"]


class ReadingKind(Enum):
    """What was read."""

    PRESSURE = "pressure"
    FILL_TIME = "fill time"
    CLOTH_WEIGHT = "cloth weight"
    FAN_FLOW = "fan flow"
    LIFTS = "lifts"


#: How far a reading may be off [-], as one standard deviation over its value: ours. A gauge made at home; when a room
#: is full; a bathroom scale; a vane held into the air; the clip at which somebody sees the base move.
_ERRORS = {
    ReadingKind.PRESSURE: 0.15,
    ReadingKind.FILL_TIME: 0.2,
    ReadingKind.CLOTH_WEIGHT: 0.03,
    ReadingKind.FAN_FLOW: 0.15,
    ReadingKind.LIFTS: 0.15,
}
_WITH_SPEED = set(ReadingKind) - {ReadingKind.CLOTH_WEIGHT}
_WITH_OPENING = {ReadingKind.PRESSURE, ReadingKind.FILL_TIME, ReadingKind.LIFTS}
_TIMES_S = {"s": 1.0, "sec": 1.0, "min": 60.0, "minutes": 60.0, "seconds": 1.0}
_MASSES_KG = {"kg": 1.0, "lb": 0.45359237}
_OPENING = re.compile(r"(?P<word>shut|open)|(?P<clips>\d+) clips?|(?P<length>.+?) each side", re.IGNORECASE)
_COLUMNS = ("what", "value", "speed", "opening")
_SAY_OPENING = "write 'shut', 'open', '4 clips' or '40 cm each side'"


def _opening(value: Any) -> str:
    """Refuse an opening that cannot be read."""
    text = value.strip() if isinstance(value, str) else value
    if text in ("", None):
        return ""
    match = _OPENING.fullmatch(text) if isinstance(text, str) else None
    limit = "a number of clips off on each side, or a length on each side"
    require(match is not None, "opening of the vent", repr(value), limit, _SAY_OPENING)
    if match is not None and match["length"]:
        above("opening of the vent", to_mm(match["length"], "opening of the vent"), 0.0, "mm", _SAY_OPENING)
    return str(text)


@frozen_fields()
class Reading:
    """One reading; made by `reading`, which takes units.

    Parameters
    ----------
    kind : ReadingKind
        What was read.
    value : float or None
        The number [Pa, s, kg, m³/s]; None where the opening is what was read.
    speed : str
        Speed of the fan, as on its switch; empty where it does not matter.
    opening : str
        ``"shut"``, ``"open"``, ``"4 clips"`` or ``"40 cm each side"``; empty where it does not matter.
    against_Pa : float
        Pressure that the fan blew against when its flow was read [Pa].
    error : float
        One standard deviation of the reading over its value, a share; that of its kind unless given.

    Raises
    ------
    ParameterError
        If a value cannot be, or speed or opening is missing.
    """

    kind: Reads[ReadingKind | ReadingKindWord, ReadingKind] = choice_field("what was read", ReadingKind)
    value: float | None = number_field(
        "value that was read", "", 0.0, 1e6, "read it again", above=True, optional=True
    )
    speed: str = ""
    opening: str = field(default="", converter=_opening)
    against_Pa: float = number_field(
        "pressure against the fan", "Pa", 0.0, 5000.0, "0 for a fan that blows freely", default=0.0
    )
    error: float = number_field(
        "error of the reading",
        "as a share",
        0.001,
        2.0,
        "15 % is 0.15",
        default=Factory(lambda self: _ERRORS[self.kind], takes_self=True),
    )

    def __attrs_post_init__(self) -> None:
        name = self.kind.value
        lifts = self.kind is ReadingKind.LIFTS
        told = "missing" if self.value is None else f"{self.value:g}"
        limit = "left out: it is the opening that is read" if lifts else "a number with its unit"
        require((self.value is None) == lifts, f"value of {name!r}", told, limit, "correct the table")
        named = (isinstance(self.speed, str) and bool(self.speed)) or self.kind not in _WITH_SPEED
        require(named, f"speed of {name!r}", repr(self.speed), "as on the fan's switch", "say which it was")
        set_ = bool(self.opening) or self.kind not in _WITH_OPENING
        require(set_, f"opening of {name!r}", "missing", "how far the vent was open", _SAY_OPENING)


def opening_text_mm(text: str, longest_mm: float, vent_count: int, clip_spacing_mm: float) -> float:
    """Length that all vents are open over, from what was written of each side.

    Parameters
    ----------
    text : str
        As in `Reading.opening`; empty is shut.
    longest_mm : float
        Longest opening there is, all doorways' both sides together [mm].
    vent_count : int
        Doorways with a vent [-].
    clip_spacing_mm : float
        Distance between clips [mm].

    Returns
    -------
    float
        The length, all doorways' both sides together [mm].

    Raises
    ------
    ParameterError
        If the vents are not so long.

    Examples
    --------
    >>> opening_text_mm("4 clips", 1200.0, 1, 100.0), opening_text_mm("35 cm each side", 1200.0, 1, 100.0)
    (800.0, 700.0)
    """
    match = _OPENING.fullmatch(_opening(text))
    if match is None or (match["word"] or "").lower() == "shut":
        return 0.0
    if match["word"]:
        return longest_mm
    sides = 2 * vent_count
    if match["clips"]:
        clips = int(match["clips"])
        most = math.ceil(longest_mm / sides / clip_spacing_mm - 1e-9)
        limit = f"at most {most} on each side, all that there are"
        require(clips <= most, "clips off", str(clips), limit, "count the clips of one side")
        return float(min(clips * clip_spacing_mm * sides, longest_mm))
    each = to_mm(match["length"], "opening of the vent")
    limit = f"at most {longest_mm / sides:g} mm each side, the whole vent"
    require(each * sides <= longest_mm * (1 + 1e-9), "opening of the vent", text, limit, "measure one side")
    return float(each * sides)


def reading(
    what: str | ReadingKind, value: float | str | None = None, speed: str = "", opening: str = ""
) -> Reading:
    """Write down one reading.

    Parameters
    ----------
    what : str
        ``"pressure"``, ``"fill time"``, ``"cloth weight"``, ``"fan flow"`` or ``"lifts"``.
    value : str or float
        With its unit, ``"7.2 Pa"``, ``"0.03 in wg"``, ``"35 s"``, ``"11.8 kg"``, ``"0.9 m3/s at 10 Pa"``; a plain
        number is in Pa, s, kg or m³/s.
    speed, opening : str
        As in `Reading`.

    Returns
    -------
    Reading

    Raises
    ------
    ParameterError
        If it cannot be read.

    Examples
    --------
    >>> one = reading("pressure", "0.03 in wg", "low", "4 clips")
    >>> round(one.value, 2), one.error
    (7.47, 0.15)
    """
    words = ", ".join(kind.value for kind in ReadingKind)
    text = what.strip().lower() if isinstance(what, str) else what
    known = {kind.value: kind for kind in ReadingKind} | {kind: kind for kind in ReadingKind}
    fits = isinstance(text, str | ReadingKind) and text in known
    require(fits, "what was read", repr(what), f"one of {words}", "use one of these words")
    kind = known[text]
    if isinstance(value, float | int):  # of which a switch is none, see the field
        return Reading(kind, value, speed, opening)
    if value is None or (isinstance(value, str) and not value.strip()):
        return Reading(kind, None, speed, opening)
    number, against = _read(kind, value)
    return Reading(kind, number, speed, opening, against)


def _read(kind: ReadingKind, text: Any) -> tuple[float | None, float]:
    """Number in the unit of its kind, and the pressure that a fan blew against."""
    if kind is ReadingKind.PRESSURE:
        return read_pressure(text), 0.0
    if kind is ReadingKind.FILL_TIME:
        return _with_unit(text, _TIMES_S, "fill time", "write '35 s' or '1.5 min'"), 0.0
    if kind is ReadingKind.CLOTH_WEIGHT:
        return _with_unit(text, _MASSES_KG, "cloth weight", "write '11.8 kg' or '26 lb'"), 0.0
    if kind is ReadingKind.FAN_FLOW and isinstance(text, str):
        flow, _, against = text.partition(" at ")
        return read_flow(flow), read_pressure(against) if against.strip() else 0.0
    raise ParameterError(f"value of {kind.value!r}", repr(text), "left out", "write the opening only")


def _with_unit(text: Any, units: dict[str, float], what: str, remedy: str) -> float:
    match = (
        re.fullmatch(r"\s*(\d+\.?\d*|\.\d+)\s*([a-z]+)\s*", text, re.IGNORECASE)
        if isinstance(text, str)
        else None
    )
    unit = units.get(match[2].lower()) if match else None
    if match is None or unit is None:
        raise ParameterError(what, repr(text), "a number with one of the units " + ", ".join(units), remedy)
    return float(match[1]) * unit


def readings_from_csv(path: str | Path) -> tuple[Reading, ...]:
    """Read a table of readings: a header ``what,value,speed,opening``, then one a line.

    Parameters
    ----------
    path : str or Path
        Text with commas, UTF-8.

    Returns
    -------
    tuple of Reading
        In the order of the table.

    Raises
    ------
    ParameterError
        If the table or a line of it cannot be read; the message names the line.
    """
    remedy = "write a header 'what,value,speed,opening' and one reading a line"
    try:
        with Path(path).open(newline="", encoding="utf-8-sig") as stream:
            rows = [[cell.strip() for cell in row] for row in csv.reader(stream)]
    except (OSError, UnicodeError, csv.Error, TypeError, ValueError) as fault:
        raise ParameterError("readings", f"{path} ({fault})", "a readable table", remedy) from fault
    header = tuple(cell.lower() for cell in rows[0]) if rows else ()
    require(header == _COLUMNS, "header of the readings", ",".join(header), ",".join(_COLUMNS), remedy)
    found = []
    for number, row in enumerate(rows[1:], 2):
        if not any(row):
            continue
        require(
            len(row) <= 4,
            f"line {number} of the readings",
            f"{len(row)} cells",
            "four cells",
            "remove a comma",
        )
        what, value, speed, opening = row + [""] * (4 - len(row))
        try:
            found.append(reading(what, value, speed, opening))
        except ParameterError as fault:
            where = f"line {number} of the readings, {fault.what},"
            raise ParameterError(where, fault.value, fault.limit, fault.remedy) from fault
    require(bool(found), "readings", f"{path} with no reading", "at least one", remedy)
    return tuple(found)

"""Metric figures in a sentence, told again in feet, inches, pounds and their kin, the metric ones beside them.

Pascals, litres a second and degrees Celsius stay: gauges, labels of fans and the page itself speak of them.
"""

import re
from functools import partial

from shellparts.base.errors import ParameterError
from shellparts.base.units import feet_inches

__all__ = ["error_in_inches", "in_inches", "speaks_inches"]

_NUMBER = r"-?\d{1,3}(?:,\d{3})+|-?\d+(?:\.\d+)?"
_UNIT = r"mm|cm|m/s|m[2²]|m[3³]|m|kg|g/m[2²]"
#: A figure with its unit; with one before it that shares the unit; with a range in brackets behind it that does.
_METRIC = re.compile(
    rf"(?<![\w.,\x22\x27-])(?:({_NUMBER})( x | to ))?({_NUMBER}) ({_UNIT})(?![\w/²³])"
    rf"(?: \(({_NUMBER}) to ({_NUMBER})\))?"
)
_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0}
#: Told to the nearest part of an inch, no finer than the metric figure is.
_PARTS = {"mm": 16, "cm": 4, "m": 1}
#: From here on metres are told in whole feet.
_LONG_M = 10.0
#: Other units: what they are told in, and how much of that one of them is. All are exact by definition.
_OTHERS = {
    "kg": ("lb", 1.0 / 0.45359237),
    "m2": ("sq ft", 1.0 / 0.3048**2),
    "m3": ("cu ft", 1.0 / 0.3048**3),
    "g/m2": ("oz/sq yd", 0.9144**2 / 28.349523125),
    "m/s": ("mph", 3600.0 / 1609.344),
}
_OF_AN_INCH_TAPE = re.compile(r"\d\s*(?:ft|in|yd|foot|feet|inch|inches|yards?|['\"′″])(?![a-z])")
_PLAIN = str.maketrans("²³", "23")


def _told(number: str, unit: str) -> tuple[str, str]:
    """A figure, and the unit to stand behind it, if it is not in the figure."""
    value = float(number.replace(",", ""))
    if unit in _OTHERS:
        name, many = _OTHERS[unit]
        told = value * many
        return f"{told:,.{0 if abs(told) >= 10.0 or not told else 1}f}", f" {name}"
    if unit == "m" and abs(value) >= _LONG_M:
        return f"{value * 1000.0 / 304.8:.0f}", " ft"
    return feet_inches(value * _MM[unit], _PARTS[unit]), ""


def _found(match: re.Match[str], alone: bool) -> str:
    before, between, number, unit, low, high = match.groups()
    unit = unit.translate(_PLAIN)
    told, name = _told(number, unit)
    if before is not None:
        first = _told(before, unit)[0]
        if between == " to " and first.count(" in") == told.count(" in") == 1 and "ft" not in first + told:
            first = first.removesuffix(" in")
        told = f"{first}{between}{told}"
    told += name
    if low is not None:
        told += f" ({_told(low, unit)[0]} to {_told(high, unit)[0]})"
    if alone:
        return told
    if low is not None:
        return f"{told} = {match[0]}"
    text = match.string
    if text[match.start() - 1 : match.start()] == "(" or text[match.end() : match.end() + 2] == " (":
        return f"{told} = {match[0]}"
    return f"{told} ({match[0]})"


def in_inches(text: str, alone: bool = False) -> str:
    """Tell metric lengths, areas, volumes, masses and winds in feet, inches and pounds, the metric ones beside them.

    Parameters
    ----------
    text : str
        A sentence; what stands in quotes stays as it is.
    alone : bool
        Whether the metric figures are left out, where room is short.

    Returns
    -------
    str
        Lengths are rounded to 1/16 in, from centimetres to 1/4 in, from metres to 1 in, from 10 m on to 1 ft.

    Examples
    --------
    >>> in_inches("2 clips off (20 cm open), 14 bags of 2 kg, a ceiling of 3.8 m")
    '2 clips off (7 3/4 in = 20 cm open), 14 bags of 4.4 lb (2 kg), a ceiling of 12 ft 6 in (3.8 m)'
    >>> in_inches("it costs 6.5 m3 (1.1 to 13) of air")
    'it costs 230 cu ft (39 to 459) = 6.5 m3 (1.1 to 13) of air'
    """
    return _METRIC.sub(partial(_found, alone=alone), text)


def speaks_inches(value: object) -> bool:
    """Whether a length was written in feet, inches or yards.

    Examples
    --------
    >>> speaks_inches("14 ft 6 1/2 in"), speaks_inches("4.4 m"), speaks_inches(950)
    (True, False, False)
    """
    return isinstance(value, str) and _OF_AN_INCH_TAPE.search(value) is not None


def error_in_inches(error: ParameterError) -> ParameterError:
    """The same error, told for a reader with an inch tape; once, however often it is asked.

    Examples
    --------
    >>> told = error_in_inches(ParameterError("wall", "3000 mm", "at most 2000 mm", "lower the wall"))
    >>> print(error_in_inches(told))
    wall is 9 ft 10 1/8 in (3000 mm); it must be at most 6 ft 6 3/4 in (2000 mm). Remedy: lower the wall.
    """
    if error.in_inches:
        return error
    told = type(error)(error.what, *map(in_inches, (error.value, error.limit, error.remedy)))
    told.in_inches = True
    return told

"""Lengths as people write them, and as a tape measure shows them.

Glossary: a *length* is a number of millimetres, also as text, or a text with units, ``"4.4 m"``, ``"14 ft 6 1/2
in"``; the units are those of a tape: mm, cm, m, in, ft, yd.
Inside the library every length is a float in millimetres. This module knows nothing of rooms.
"""

import itertools
import math
import re
from fractions import Fraction
from functools import cache
from typing import Any

from shellparts.base.errors import ParameterError

__all__ = ["Length", "feet_inches", "meant_metres", "metric", "to_mm"]

Length = float | int | str

_NUMBER = r"(?:\d+\s+\d+/\d+|\d+/\d+|\d+\.\d*|\.\d+|\d+)(?:[eE][+-]?\d+)?"
_TERM = re.compile(rf"\s*(?P<number>{_NUMBER})\s*(?P<unit>[A-Za-zµ]+|['\"′″])\s*")
_TYPED_MARKS = {"'": "ft", "′": "ft", '"': "in", "″": "in"}
#: Units that a tape or a label has, by pint's names; it knows parsecs too, which would hide a slip of the pen.
_OF_A_TAPE = {"millimeter", "centimeter", "meter", "inch", "foot", "yard"}
#: No length of a room; beyond what a float holds an integer could not even be converted [mm].
_TOO_LARGE = 1e300
#: A bare number below this is more likely metres than millimetres [mm].
_MAYBE_METRES = 20.0
_REMEDY = "write millimetres, or a length with its unit such as '4.4 m', '950 mm', '14 ft 6 1/2 in'"
#: Units that may follow one another in one text, each once, the longer before the shorter.
_FAMILIES = (("meter", "centimeter", "millimeter"), ("yard", "foot", "inch"))
_BARE = re.compile(r"\d+\.\d*(?:[eE][+-]?\d+)?|\.\d+(?:[eE][+-]?\d+)?|\d+(?:[eE][+-]?\d+)?")
_COMMA = re.compile(r"(\d),(\d+)")


@cache
def _registry() -> Any:
    """Pint's unit registry; made on first use, for it takes a moment."""
    import pint

    return pint.UnitRegistry()


@cache
def _unit(unit: str) -> tuple[str, float] | None:
    """Pint's name of a `unit`, and the millimetres in it; None when it is no unit of length that a tape has."""
    import pint

    try:
        one = _registry().Quantity(1.0, _TYPED_MARKS.get(unit, unit))
    except (pint.UndefinedUnitError, ValueError):
        return None  # no unit, or, like "nan", a number to pint
    name = str(one.units)
    return (name, float(one.to("mm").magnitude)) if name in _OF_A_TAPE else None


def _in_order(names: list[str]) -> bool:
    """Whether units can stand in one text one after the other: of one family, each once, shorter and shorter."""
    for family in _FAMILIES:
        places = [family.index(name) for name in names if name in family]
        if len(places) == len(names):
            return all(a < b for a, b in itertools.pairwise(places))
    return False


def meant_metres(value_mm: float, low_mm: float, high_mm: float) -> str:
    """Guess that a small bare number was meant as metres.

    Parameters
    ----------
    value_mm : float
        What was read as millimetres [mm].
    low_mm, high_mm : float
        What is allowed [mm].

    Returns
    -------
    str
        A question, or nothing where metres would not do either.

    Examples
    --------
    >>> meant_metres(3.6, 800, 10000), meant_metres(3.6, 1, 500), meant_metres(360, 800, 10000)
    ("did you mean '3.6 m'?", '', '')
    """
    if 0.0 < value_mm < _MAYBE_METRES and low_mm <= 1000.0 * value_mm <= high_mm:
        return f"did you mean '{value_mm:g} m'?"
    return ""


def _number(text: str) -> float:
    """Value of ``"6"``, ``"6.5"``, ``"1/2"`` or ``"6 1/2"``."""
    total = 0.0
    for part in text.split():
        numerator, _, denominator = part.partition("/")
        total += float(numerator) / float(denominator or 1)
    return total


def to_mm(value: Length, what: str = "length") -> float:
    """Read a length.

    Parameters
    ----------
    value : float or int or str
        Millimetres; or a text: a number of millimetres, or numbers each followed by a unit, of metres, centimetres and
        millimetres or of yards, feet and inches, the longer before the shorter.
    what : str
        How the user knows the value; used in the error.

    Returns
    -------
    float
        The length [mm].

    Raises
    ------
    ParameterError
        If `value` is not a finite number or not a text that reads as a length.

    Examples
    --------
    >>> to_mm("4.4 m")
    4400.0
    >>> to_mm("14 ft 6 1/2 in")
    4432.3
    >>> to_mm(950)
    950.0
    """
    if isinstance(value, str):
        return _text_to_mm(value, what)
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < _TOO_LARGE:
        raise ParameterError(what, repr(value), "a finite length", _REMEDY)
    return float(value)


def _text_to_mm(text: str, what: str) -> float:
    """Read a text; the sign, if any, stands before everything."""
    body = text.strip()
    sign = -1.0 if body.startswith("-") else 1.0
    body = body.lstrip("+-")
    if _BARE.fullmatch(body):
        return to_mm(sign * float(body), what)
    if _COMMA.search(body):
        pointed, joined = _COMMA.sub(r"\1.\2", text.strip()), _COMMA.sub(r"\1\2", text.strip())
        thousands = f", or '{joined}' without the comma" if re.search(r"\d,\d{3}(?!\d)", body) else ""
        raise ParameterError(what, repr(text), "without a comma", f"write a point: '{pointed}'{thousands}")
    position, total, names = 0, 0.0, []
    while position < len(body):
        term = _TERM.match(body, position)
        if term is None:
            raise ParameterError(what, repr(text), "numbers each followed by a unit of length", _REMEDY)
        unit = _unit(term["unit"])
        if unit is None:
            raise ParameterError(
                what,
                repr(text),
                f"in a unit of length, and {term['unit']!r} is none that a tape has (mm, cm, m, in, ft, yd)",
                _REMEDY,
            )
        try:
            total += _number(term["number"]) * unit[1]
        except ZeroDivisionError:
            raise ParameterError(what, repr(text), "free of fractions over zero", _REMEDY) from None
        names.append(unit[0])
        position = term.end()
    if names and not _in_order(names):
        raise ParameterError(
            what,
            repr(text),
            "one length: each unit once, the longer before the shorter, metres with centimetres or feet with inches",
            "write one number with one unit, or such as '1 m 20 cm' or '14 ft 6 1/2 in'",
        )
    if position == 0 or not math.isfinite(total):
        raise ParameterError(what, repr(text), "a finite length", _REMEDY)
    return round(sign * total, 9)


def metric(value_mm: float, decimals: int = 0) -> str:
    """Write a length as a metric tape shows it.

    Parameters
    ----------
    value_mm : float
        A length [mm].
    decimals : int
        Digits after the point.

    Examples
    --------
    >>> metric(1234.56)
    '1235 mm'
    """
    return f"{round(value_mm, decimals) + 0.0:.{decimals}f} mm"  # + 0.0: no minus before a zero


def feet_inches(value_mm: float, denominator: int = 16) -> str:
    """Write a length as an inch tape shows it, to the nearest ``1/denominator`` inch.

    Parameters
    ----------
    value_mm : float
        A length [mm].
    denominator : int
        Finest division of the inch on the tape; a power of two.

    Examples
    --------
    >>> feet_inches(4432.3)
    '14 ft 6 1/2 in'
    >>> feet_inches(100), feet_inches(2440)
    ('3 15/16 in', '8 ft 0 1/16 in')
    """
    sign = "-" if value_mm < 0 else ""
    parts = round(abs(value_mm) / 25.4 * denominator)
    inches, rest = divmod(parts, denominator)
    feet, inches = divmod(inches, 12)
    words = [f"{feet} ft"] if feet else []
    if inches or bool(rest) is bool(feet):
        words.append(str(inches))
    if rest:
        words.append(str(Fraction(rest, denominator)))
    return sign + " ".join(words) + (" in" if inches or rest or not feet else "")

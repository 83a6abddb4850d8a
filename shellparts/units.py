"""Lengths as people write them, and as a tape measure shows them.

Glossary: a *length* is a number of millimetres or a text with units, ``"4.4 m"``, ``"14 ft 6 1/2 in"``.
Inside the library every length is a float in millimetres. This module knows nothing of rooms.
"""

import math
import re
from functools import cache
from typing import Any

from shellparts.errors import ParameterError

__all__ = ["Length", "feet_inches", "in_unit", "metric", "to_mm"]

Length = float | int | str

_NUMBER = r"(?:\d+\s+\d+/\d+|\d+/\d+|\d+\.\d*|\.\d+|\d+)(?:[eE][+-]?\d+)?"
_TERM = re.compile(rf"\s*(?P<number>{_NUMBER})\s*(?P<unit>[A-Za-zµ]+|['\"′″])\s*")
_TYPED_MARKS = {"'": "ft", "′": "ft", '"': "in", "″": "in"}
#: No length of a room; beyond what a float holds an integer could not even be converted [mm].
_TOO_LARGE = 1e300
_REMEDY = "write a number of millimetres or a text such as '4.4 m', '950 mm', '14 ft 6 1/2 in'"


@cache
def _registry() -> Any:
    """Pint's unit registry; made on first use, for it takes a moment."""
    import pint

    return pint.UnitRegistry()


@cache
def _mm_per(unit: str) -> float | None:
    """Millimetres in one `unit`, or None when it is not a unit of length."""
    import pint

    try:
        return float(_registry().Quantity(1.0, _TYPED_MARKS.get(unit, unit)).to("mm").magnitude)
    except (pint.UndefinedUnitError, pint.DimensionalityError, ValueError):
        return None  # not a unit, or a unit of something else, or, like "nan", a number to pint


def _number(text: str) -> float:
    """Value of ``"6"``, ``"6.5"``, ``"1/2"`` or ``"6 1/2"``."""
    total = 0.0
    for part in text.split():
        numerator, slash, denominator = part.partition("/")
        total += float(numerator) / float(denominator) if slash else float(part)
    return total


def to_mm(value: Length, what: str = "length") -> float:
    """Read a length.

    Parameters
    ----------
    value : float or int or str
        Millimetres, or a text of one or more numbers each followed by a unit.
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
    if body == "0":
        return 0.0
    position, total = 0, 0.0
    while position < len(body):
        term = _TERM.match(body, position)
        if term is None:
            raise ParameterError(what, repr(text), "numbers each followed by a unit of length", _REMEDY)
        factor = _mm_per(term["unit"])
        if factor is None:
            raise ParameterError(
                what, repr(text), f"in a unit of length, and {term['unit']!r} is none", _REMEDY
            )
        try:
            total += _number(term["number"]) * factor
        except ZeroDivisionError:
            raise ParameterError(what, repr(text), "free of fractions over zero", _REMEDY) from None
        position = term.end()
    if position == 0 or not math.isfinite(total):
        raise ParameterError(what, repr(text), "a finite length", _REMEDY)
    return round(sign * total, 9)


def in_unit(value_mm: float, unit: str) -> float:
    """Convert millimetres to any unit of length that pint knows.

    Parameters
    ----------
    value_mm : float
        A length [mm].
    unit : str
        Name of the unit.

    Returns
    -------
    float
        The length in `unit`.

    Raises
    ------
    ParameterError
        If `unit` is not a unit of length.

    Examples
    --------
    >>> round(in_unit(304.8, "ft"), 9)
    1.0
    """
    factor = _mm_per(unit)
    if factor is None:
        raise ParameterError("unit", repr(unit), "a unit of length", "use mm, cm, m, in or ft")
    return value_mm / factor


def metric(value_mm: float, decimals: int = 0) -> str:
    """Write a length as a metric tape shows it.

    Parameters
    ----------
    value_mm : float
        A length [mm].
    decimals : int
        Digits after the point.

    Returns
    -------
    str
        Millimetres with the unit.

    Examples
    --------
    >>> metric(1234.56)
    '1235 mm'
    """
    return f"{value_mm:.{decimals}f} mm"


def feet_inches(value_mm: float, denominator: int = 16) -> str:
    """Write a length as an inch tape shows it, to the nearest ``1/denominator`` inch.

    Parameters
    ----------
    value_mm : float
        A length [mm].
    denominator : int
        Finest division of the inch on the tape; a power of two.

    Returns
    -------
    str
        Feet, inches and a reduced fraction.

    Examples
    --------
    >>> feet_inches(4432.3)
    '14 ft 6 1/2 in'
    >>> feet_inches(100)
    '3 15/16 in'
    """
    sign = "-" if value_mm < 0 else ""
    parts = round(abs(value_mm) / 25.4 * denominator)
    inches, rest = divmod(parts, denominator)
    feet, inches = divmod(inches, 12)
    words = [f"{feet} ft"] if feet else []
    fraction = ""
    if rest:
        common = math.gcd(rest, denominator)
        fraction = f"{rest // common}/{denominator // common}"
    if inches or rest or not feet:
        whole = str(inches) if inches or not rest else ""
        words.append(" ".join(part for part in (whole, fraction) if part) + " in")
    return sign + " ".join(words)

"""Checks of a value: refused with what it is, what it may be, and what to do.

A message never shows a value and its limit as the same number, and what it names as the limit is allowed. A
number is shown with its unit, anything else as it was written. This module does not know what the values are for.
"""

import math
import sys
from numbers import Real
from typing import Any

from shellparts.base.errors import ParameterError
from shellparts.base.units import metric

__all__ = [
    "above",
    "at_least",
    "at_most",
    "between",
    "is_number",
    "need",
    "require",
    "shown",
    "told_apart",
]

#: Digits after the point that a message shows at most [mm]; a value nearer than this to its limit is on it.
_FINEST = 6


def require(condition: bool, what: str, value: str, limit: str, remedy: str) -> None:
    """Raise a `ParameterError` unless `condition` holds.

    Parameters
    ----------
    condition : bool
        What must be true.
    what, value, limit, remedy : str
        The value as the user knows it, what it is with its unit, what it may be, and what to do.
    """
    if not condition:
        raise ParameterError(what, value, limit, remedy)


def is_number(value: Any) -> bool:
    """Whether it is a finite real number; True and False are none."""
    if not isinstance(value, Real) or isinstance(value, bool):
        return False
    size: Any = abs(value)
    return bool(size <= sys.float_info.max)


def shown(value: Any, unit: str) -> str:
    """How a message shows a value: a number with its unit, which may be empty, anything else as it was written."""
    return f"{value:g} {unit}".rstrip() if is_number(value) else repr(value)


def told_apart(value: float, limit: float, down: bool) -> tuple[str, str]:
    """Write a length beyond its limit, and the limit, with as many digits as tell them apart.

    Parameters
    ----------
    value, limit : float
        The value and what it passes [mm].
    down : bool
        Whether the limit is an upper one: it is rounded to where it is kept.

    Returns
    -------
    tuple of str
        Both, with the unit.
    """
    for digits in range(_FINEST):
        scale = 10.0**digits
        bound = (math.floor if down else math.ceil)(limit * scale) / scale
        rounded = round(value, digits)
        if rounded > bound if down else rounded < bound:
            break
    else:
        digits, bound = _FINEST, limit
    return metric(value, digits), metric(bound, digits)


def at_most(what: str, value: float, limit: float, why: str, remedy: str) -> None:
    """Refuse a length that is more than its limit.

    Parameters
    ----------
    what : str
        The value, as the user knows it.
    value, limit : float
        What it is, and the most that it may be [mm].
    why : str
        What follows the limit in the message: ``", or the flaps would meet"``.
    remedy : str
        What to do.

    Raises
    ------
    ParameterError
        If it is more; the message tells the two apart, however near they are.

    Examples
    --------
    >>> at_most("width", 2182.4, 2182.2, "", "narrow it")
    Traceback (most recent call last):
    shellparts.base.errors.ParameterError: width is 2182.4 mm; it must be at most 2182.2 mm. Remedy: narrow it.
    """
    if value > limit + 10.0**-_FINEST:
        told, bound = told_apart(value, limit, True)
        raise ParameterError(what, told, f"at most {bound}{why}", remedy)


def at_least(what: str, value: float, limit: float, why: str, remedy: str) -> None:
    """Refuse a length that is less than its limit.

    Parameters
    ----------
    what : str
        The value, as the user knows it.
    value, limit : float
        What it is, and the least that it may be [mm].
    why, remedy : str
        As in `at_most`.

    Raises
    ------
    ParameterError
        If it is less.
    """
    if value < limit - 10.0**-_FINEST:
        told, bound = told_apart(value, limit, False)
        raise ParameterError(what, told, f"at least {bound}{why}", remedy)


def between(what: str, value: float, low: float, high: float, unit: str, remedy: str) -> float:
    """Accept a number within two limits, both allowed.

    Parameters
    ----------
    what : str
        The value, as the user knows it.
    value, low, high : float
        The number, and the least and the most that it may be [as `unit` says]; `high` may be infinite, and `value`
        must then still be finite.
    unit, remedy : str
        Of all three, ``"m2"``; what to do about a bad one.

    Returns
    -------
    float
        The number [as `unit` says].

    Raises
    ------
    ParameterError
        If it is outside, infinite, or no number.
    """
    if is_number(value) and low <= value <= high:
        return float(value)
    ends = f"from {low:g} to {high:g}" if math.isfinite(high) else f"a finite number, at least {low:g}"
    raise ParameterError(what, shown(value, unit), f"{ends} {unit}", remedy)


def above(what: str, value: float, low: float, unit: str, remedy: str) -> float:
    """Accept a finite number greater than a limit.

    Parameters
    ----------
    what : str
        The value, as the user knows it.
    value, low : float
        The number, and what it must exceed [as `unit` says].
    unit, remedy : str
        Of both; what to do about a bad one.

    Returns
    -------
    float
        The number [as `unit` says].

    Raises
    ------
    ParameterError
        If it does not exceed the limit, is infinite, or is no number.
    """
    if is_number(value) and value > low:
        return float(value)
    raise ParameterError(what, shown(value, unit), f"more than {low:g} {unit}".rstrip(), remedy)


def need(what: str, value: float, unit: str) -> float:
    """Accept a figure that quantities are computed from: finite, and not negative.

    Parameters
    ----------
    what : str
        The figure, as the user knows it.
    value : float
        The figure [as `unit` says].
    unit : str
        May be empty.

    Returns
    -------
    float
        The figure [as `unit` says].

    Raises
    ------
    ParameterError
        If it is negative, infinite, or no number.
    """
    if is_number(value) and value >= 0.0:
        return float(value)
    told = f"{value:g} {unit}".rstrip() if isinstance(value, float) else shown(value, unit)
    raise ParameterError(what, told, f"{f'0 {unit}'.rstrip()} or more", "correct the figure")

"""Refusing numbers that cannot be: one sentence each, with the unit and the remedy.

Glossary: a *limit* here is what makes a number meaningless beyond it, not a warning.
This module does not know what the numbers are for.
"""

import math
from collections.abc import Callable
from numbers import Real
from typing import Any

from shellparts.errors import ParameterError
from shellparts.loads.ranges import Range

__all__ = ["above", "between", "counts", "limits", "range_limits"]


def between(what: str, value: float, low: float, high: float, unit: str, remedy: str) -> float:
    """Accept a number within two limits, both allowed.

    Parameters
    ----------
    what : str
        The value, as the user knows it.
    value : float
        The number [as `unit` says].
    low : float
        Least that is allowed [as `unit` says].
    high : float
        Most that is allowed [as `unit` says]; may be infinite, and then `value` must still be finite.
    unit : str
        Unit of all three, ``"m2"``.
    remedy : str
        What to do about a bad one.

    Returns
    -------
    float
        The number [as `unit` says].

    Raises
    ------
    ParameterError
        If the number is outside, infinite, or no number.
    """
    number = isinstance(value, Real) and not isinstance(value, bool) and math.isfinite(value)
    if number and low <= value <= high:
        return float(value)
    limit = (
        f"from {low:g} to {high:g} {unit}"
        if math.isfinite(high)
        else f"a finite number, at least {low:g} {unit}"
    )
    raise ParameterError(what, f"{value:g} {unit}" if number else repr(value), limit, remedy)


def above(what: str, value: float, low: float, unit: str, remedy: str) -> float:
    """Accept a finite number greater than a limit.

    Parameters
    ----------
    what : str
        The value, as the user knows it.
    value : float
        The number [as `unit` says].
    low : float
        What it must exceed [as `unit` says].
    unit : str
        Unit of both.
    remedy : str
        What to do about a bad one.

    Returns
    -------
    float
        The number [as `unit` says].

    Raises
    ------
    ParameterError
        If the number does not exceed the limit, is infinite, or is no number.
    """
    number = isinstance(value, Real) and not isinstance(value, bool) and math.isfinite(value)
    if number and value > low:
        return float(value)
    raise ParameterError(
        what, f"{value:g} {unit}" if number else repr(value), f"more than {low:g} {unit}", remedy
    )


def limits(low: float, high: float, unit: str, remedy: str) -> Callable[[Any, Any, float], None]:
    """Make an attrs validator from two limits, both allowed.

    Parameters
    ----------
    low : float
        Least that is allowed [as `unit` says].
    high : float
        Most that is allowed [as `unit` says].
    unit : str
        Unit of the value.
    remedy : str
        What to do about a bad one.

    Returns
    -------
    Callable
        The validator; it names the field with spaces for underscores.
    """

    def check(_instance: Any, attribute: Any, value: float) -> None:
        between(attribute.name.replace("_", " "), value, low, high, unit, remedy)

    return check


def counts(low: int, high: int, unit: str, remedy: str) -> Callable[[Any, Any, int], None]:
    """Make an attrs validator for a whole number.

    Parameters
    ----------
    low : int
        Least that is allowed [as `unit` says].
    high : int
        Most that is allowed [as `unit` says].
    unit : str
        What is counted.
    remedy : str
        What to do about a bad one.

    Returns
    -------
    Callable
        The validator.

    Raises
    ------
    ParameterError
        From the validator, if the number is outside or not whole.
    """

    def check(_instance: Any, attribute: Any, value: int) -> None:
        name = attribute.name.replace("_", " ")
        between(name, value, low, high, unit, remedy)
        if value != int(value):
            raise ParameterError(name, f"{value:g} {unit}", "a whole number", remedy)

    return check


def range_limits(low: float, high: float, unit: str, remedy: str) -> Callable[[Any, Any, Range], None]:
    """Make an attrs validator for all three values of a range.

    Parameters
    ----------
    low : float
        Least that is allowed [as `unit` says].
    high : float
        Most that is allowed [as `unit` says].
    unit : str
        Unit of the value.
    remedy : str
        What to do about a bad one.

    Returns
    -------
    Callable
        The validator.
    """

    def check(_instance: Any, attribute: Any, value: Range) -> None:
        for one in (value.low, value.likely, value.high):
            between(attribute.name.replace("_", " "), one, low, high, unit, remedy)

    return check

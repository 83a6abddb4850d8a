"""Refusing numbers that cannot be: one sentence each, with the unit and the remedy.

Glossary: a *limit* here is what makes a number meaningless beyond it, not a warning.
This module does not know what the numbers are for.
"""

import math
from collections.abc import Callable
from numbers import Real
from typing import Any

from shellparts.base.errors import ParameterError
from shellparts.base.ranges import Range

__all__ = ["above", "between", "counts", "kinds", "limits", "range_limits"]


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


def kinds(
    what: str, kind: type, remedy: str, optional: bool = False, several: bool = False
) -> Callable[[Any, Any, Any], None]:
    """Make an attrs validator for a value of one kind, or a tuple of such values.

    Parameters
    ----------
    what : str
        The value, as the user knows it.
    kind : type
        What it must be.
    remedy : str
        How to make one.
    optional : bool
        Whether it may be None.
    several : bool
        Whether it is a tuple, and each in it must be of that kind.

    Returns
    -------
    Callable
        The validator.

    Raises
    ------
    ParameterError
        From the validator, if the value is of another kind.
    """

    def check(_instance: Any, _attribute: Any, value: Any) -> None:
        for one in value if several else (value,):
            if not isinstance(one, kind) and not (optional and one is None):
                told = one.__name__ if isinstance(one, type) else repr(one)
                short = told if len(told) <= 60 else f"{told[:60]}…"
                raise ParameterError(
                    what, short, f"a {kind.__name__}{' or None' if optional else ''}", remedy
                )

    return check

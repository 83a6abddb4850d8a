"""Refusing a value with its limit: what it is, what it may be, and what to do.

A message never shows a value and its limit as the same number, and what it names as the limit is allowed.
"""

import math

from shellparts.base.errors import ParameterError
from shellparts.base.units import metric

__all__ = ["at_least", "at_most", "require", "told_apart"]


def require(condition: bool, what: str, value: str, limit: str, remedy: str) -> None:
    """Raise a `ParameterError` unless `condition` holds.

    Parameters
    ----------
    condition : bool
        What must be true.
    what : str
        The value, as the user knows it.
    value : str
        What it is, with its unit.
    limit : str
        What it may be.
    remedy : str
        What to do.

    Raises
    ------
    ParameterError
        If `condition` is false.
    """
    if not condition:
        raise ParameterError(what, value, limit, remedy)


#: Digits after the point that a message shows at most [mm]; a value nearer than this to its limit is on it.
_FINEST = 6


def told_apart(value: float, limit: float, down: bool) -> tuple[str, str]:
    """Write a value beyond its limit, and the limit, with as many digits as tell them apart.

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
        shown = round(value, digits)
        if shown > bound if down else shown < bound:
            break
    else:
        digits, bound = _FINEST, limit
    return metric(value, digits), metric(bound, digits)


def at_most(what: str, value: float, limit: float, why: str, remedy: str) -> None:
    """Raise a `ParameterError` if a length is more than its limit.

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
        If the value is more than the limit; the message tells the two apart, however near they are.

    Examples
    --------
    >>> at_most("width", 2182.4, 2182.2, "", "narrow it")
    Traceback (most recent call last):
    shellparts.base.errors.ParameterError: width is 2182.4 mm; it must be at most 2182.2 mm. Remedy: narrow it.
    """
    if value > limit + 10.0**-_FINEST:
        shown, bound = told_apart(value, limit, True)
        raise ParameterError(what, shown, f"at most {bound}{why}", remedy)


def at_least(what: str, value: float, limit: float, why: str, remedy: str) -> None:
    """Raise a `ParameterError` if a length is less than its limit; see `at_most` for the arguments.

    Parameters
    ----------
    what : str
        The value, as the user knows it.
    value, limit : float
        What it is, and the least that it may be [mm].
    why : str
        What follows the limit in the message.
    remedy : str
        What to do.

    Raises
    ------
    ParameterError
        If the value is less than the limit.
    """
    if value < limit - 10.0**-_FINEST:
        shown, bound = told_apart(value, limit, False)
        raise ParameterError(what, shown, f"at least {bound}{why}", remedy)

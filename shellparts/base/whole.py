"""Small checks on figures that quantities are computed from. This module knows no cloth."""

import math
from numbers import Real

from shellparts.base.errors import ParameterError

__all__ = ["need", "whole_up"]


def need(what: str, value: float, unit: str, above_zero: bool = False) -> None:
    """Refuse a figure that is negative, not finite, or zero where that makes no sense.

    Parameters
    ----------
    what : str
        How the user knows the figure.
    value : float
        The figure, in any unit: [-].
    unit : str
        Its unit.
    above_zero : bool
        Whether zero is refused too.

    Raises
    ------
    ParameterError
        If it is refused.
    """
    number = isinstance(value, Real) and not isinstance(value, bool)
    if not number or not math.isfinite(value) or value < 0.0 or (above_zero and value == 0.0):
        limit = f"more than 0 {unit}" if above_zero else f"0 {unit} or more"
        raise ParameterError(
            what, f"{value:g} {unit}" if number else repr(value), limit, "correct the figure"
        )


def whole_up(value: float) -> int:
    """Round up, forgiving what floating point adds to a whole number.

    Parameters
    ----------
    value : float
        A number.

    Returns
    -------
    int
        The next whole number.

    Examples
    --------
    >>> whole_up(3.0000000001), whole_up(3.01)
    (3, 4)
    """
    return math.ceil(value - 1e-9)

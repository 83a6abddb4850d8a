"""A number that is not known exactly, and what a comparison of two of them is worth.

Glossary: a *range* is the lowest value to reckon with, the likely one and the highest; an *end* picks one
of the three; a *judgement* is "fine", "uncertain" or "not met": a comparison that flips inside the ranges
is uncertain, never fine. This module does not know where a range comes from, nor how two ranges hang
together: each is taken as independent, which is the careful side.
"""

from collections.abc import Callable
from enum import Enum

from attrs import field, frozen

from shellparts.base.errors import ParameterError

__all__ = ["End", "Judgement", "Range", "exact", "judge_at_least", "judge_at_most", "map_range"]


class End(Enum):
    """Which of the three values of a range."""

    LOW = "low"
    LIKELY = "likely"
    HIGH = "high"


class Judgement(Enum):
    """What a comparison is worth."""

    FINE = "fine"
    UNCERTAIN = "uncertain"
    NOT_MET = "not met"


@frozen
class Range:
    """Lowest, likely and highest value of one quantity.

    Parameters
    ----------
    low, likely, high : float
        The lowest value to reckon with, the one to plan with, the highest, which may be infinite [unit of the
        quantity].

    Raises
    ------
    ParameterError
        If the three are not in order or not numbers.
    """

    low: float = field(converter=float)
    likely: float = field(converter=float)
    high: float = field(converter=float)

    def __attrs_post_init__(self) -> None:
        if not self.low <= self.likely <= self.high:  # as it is with no number among them
            raise ParameterError(
                "range",
                f"{self.low:g}, {self.likely:g}, {self.high:g}",
                "in rising order",
                "sort the three values",
            )

    def at(self, end: End) -> float:
        """Value at one end."""
        return float(getattr(self, end.value))

    def scaled(self, factor: float) -> "Range":
        """All three times a number that is not negative."""
        return Range(self.low * factor, self.likely * factor, self.high * factor)

    def times(self, other: "Range") -> "Range":
        """Product of two ranges of values that are not negative."""
        return Range(self.low * other.low, self.likely * other.likely, self.high * other.high)


def exact(value: float) -> Range:
    """Range of a value that is known.

    Parameters
    ----------
    value : float
        The value [any unit].

    Returns
    -------
    Range
        All three of it the value.

    Examples
    --------
    >>> exact(2)
    Range(low=2.0, likely=2.0, high=2.0)
    """
    return Range(value, value, value)


def map_range(formula: Callable[[float], float], value: Range) -> Range:
    """Carry a range through a monotone formula, rising or falling.

    Parameters
    ----------
    formula : Callable
        Of one number.
    value : Range
        What goes in.

    Returns
    -------
    Range
        What comes out, in rising order.

    Examples
    --------
    >>> map_range(lambda x: 1 / x, Range(1, 2, 4))
    Range(low=0.25, likely=0.5, high=1.0)
    """
    return Range(*sorted((formula(value.low), formula(value.likely), formula(value.high))))


def judge_at_least(value: Range, limit: Range) -> Judgement:
    """Judge whether a value reaches a limit.

    Parameters
    ----------
    value, limit : Range
        What there is, and what is needed.

    Returns
    -------
    Judgement
        FINE only if the lowest value reaches the highest limit; NOT_MET only if the highest value stays
        below the lowest limit.

    Examples
    --------
    >>> judge_at_least(Range(4, 5, 6), exact(5)).value
    'uncertain'
    """
    if value.low >= limit.high:
        return Judgement.FINE
    return Judgement.NOT_MET if value.high < limit.low else Judgement.UNCERTAIN


def judge_at_most(value: Range, limit: Range) -> Judgement:
    """Judge whether a value stays within a limit.

    Parameters
    ----------
    value, limit : Range
        What there is, and what is allowed.

    Returns
    -------
    Judgement
        FINE only if the highest value stays within the lowest limit; NOT_MET only if the lowest value is
        above the highest limit.
    """
    if value.high <= limit.low:
        return Judgement.FINE
    return Judgement.NOT_MET if value.low > limit.high else Judgement.UNCERTAIN

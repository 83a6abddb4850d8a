"""A number that is not known exactly: the lowest value to reckon with, the likely one and the highest.

This module does not know where a range comes from, nor how two ranges hang together.
"""

from attrs import field, frozen

from shellparts.base.calls import plain_init
from shellparts.base.errors import ParameterError

__all__ = ["Range", "exact"]


def _number(value: float) -> float:
    """One of the three."""
    try:
        return float(value)
    except (TypeError, ValueError, OverflowError):
        raise ParameterError(
            "range", repr(value)[:60], "of numbers", "write Range(low, likely, high)"
        ) from None


@plain_init
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

    low: float = field(converter=_number)
    likely: float = field(converter=_number)
    high: float = field(converter=_number)

    def __attrs_post_init__(self) -> None:
        if not self.low <= self.likely <= self.high:  # as it is with no number among them
            raise ParameterError(
                "range",
                f"{self.low:g}, {self.likely:g}, {self.high:g}",
                "in rising order",
                "sort the three values",
            )

    def scaled(self, factor: float) -> "Range":
        """All three times a number that is not negative."""
        return Range(self.low * factor, self.likely * factor, self.high * factor)


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

"""How a hem is turned in: how much first, how much then, where the row runs."""

from attrs import frozen

__all__ = ["HemTurns", "hem_turns"]

#: The first turn hides the raw edge: a quarter of the allowance, at most this [mm]; narrow hems are turned once.
_FIRST_SHARE, _FIRST_MOST_MM, _ONCE_BELOW_MM = 0.25, 15.0, 15.0
#: The row runs so far inside the inner fold [mm], or a quarter of the hem where that is less.
_ROW_MM = 3.0


@frozen
class HemTurns:
    """Turns of a hem, from the cutting line inward.

    Parameters
    ----------
    first_mm : float
        Turned in first [mm]; 0 where the hem is turned once.
    second_mm : float
        Turned in then, up to the finished edge: how wide the hem is [mm].
    row_mm : float
        From the finished edge to the row of stitches [mm].
    """

    first_mm: float
    second_mm: float
    row_mm: float


def hem_turns(allowance_mm: float) -> HemTurns:
    """Divide an allowance into the turns of a hem.

    Parameters
    ----------
    allowance_mm : float
        Cloth outside the finished edge [mm].

    Returns
    -------
    HemTurns
        The turns together are the allowance.

    References
    ----------
    Common practice for woven sheet, from memory: the raw edge is hidden by a narrow first turn.

    Examples
    --------
    >>> hem_turns(40.0)
    HemTurns(first_mm=10.0, second_mm=30.0, row_mm=27.0)
    """
    first = 0.0 if allowance_mm < _ONCE_BELOW_MM else min(_FIRST_MOST_MM, _FIRST_SHARE * allowance_mm)
    second = allowance_mm - first
    return HemTurns(first, second, second - min(_ROW_MM, second / 4))

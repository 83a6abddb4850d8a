"""The root of a rising function, in every draw at once.

Newton's steps, kept inside a bracket; where a step leaves it or halves it too slowly, the bracket is halved. A few
steps do for thousands of draws, about ten times as fast as a general solver that works without the slope.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

__all__ = ["rising_root"]

_MOST_STEPS = 200
#: A step smaller than this share of the value only turns its last digit.
_LAST_DIGIT = 1e-15


def rising_root(
    function: Callable[[NDArray[np.float64]], tuple[NDArray[np.float64], NDArray[np.float64]]],
    low: NDArray[np.float64],
    high: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Find where a rising function is 0, to the last digits.

    Parameters
    ----------
    function : Callable
        From values, shape (n,), to the function and its slope there; the slope may be infinite.
    low, high : ndarray, shape (n,)
        Values between which the root lies [unit of the values].

    Returns
    -------
    ndarray, shape (n,)
        The roots; an end of the bracket where the function has one sign all over it.

    Raises
    ------
    ArithmeticError
        If a function is not a number.

    Examples
    --------
    >>> square = np.array([4.0, 9.0])
    >>> rising_root(lambda x: (x * x - square, 2 * x), np.zeros(2), np.full(2, 10.0))
    array([2., 3.])
    """
    low, high = np.array(low, float), np.array(high, float)
    at = 0.5 * (low + high)
    before = high - low
    done = np.zeros(at.shape, bool)
    for _ in range(_MOST_STEPS):
        value, slope = function(at)
        if np.isnan(value).any():
            raise ArithmeticError("a function is not a number between the ends of its bracket")
        over = value > 0.0
        high, low = np.where(over, at, high), np.where(over, low, at)
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            step = np.where(value == 0.0, 0.0, value / slope)
        narrow = np.minimum(np.abs(step), high - low)
        done |= narrow <= _LAST_DIGIT * np.abs(at)
        if done.all():
            break
        reached = at - step
        good = (reached >= low) & (reached <= high) & (np.abs(step) <= 0.5 * before)
        reached = np.where(good, reached, 0.5 * (low + high))
        before = np.abs(reached - at)
        at = np.where(done, at, reached)
    return at

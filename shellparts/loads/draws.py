"""What is known only roughly, as many equally likely cases: one fixed sequence of draws for everything.

Glossary: a *draw* is one case in which every uncertain quantity has one value, evenly spread between the lowest
and the highest to reckon with; a quantity keeps its value in a draw for all speeds, openings and questions, so that
answers about one room agree with each other. A *chance* is the share of the draws, by weight, in which something
holds; a *spread* is what nine draws in ten lie within. Readings of the real room change the weights, never the
ranges. This module does not know what the quantities mean.
"""

from functools import lru_cache

import numpy as np
from attrs import frozen
from numpy.typing import ArrayLike, NDArray
from scipy.stats import qmc

from shellparts.base.checks import require
from shellparts.base.ranges import Range

__all__ = ["UNCERTAIN", "Draws", "draws"]

Floats = NDArray[np.float64]

#: Every quantity that is drawn, those that matter most first, for the first columns are spread most evenly.
UNCERTAIN = (
    "vent gape",
    "curtain gap",
    "fan speed",
    "fan free air",
    "discharge",
    "fan shut-off",
    "gap at the ground",
    "cloth mass",
    "form",
    "held flap",
    "fan outlet",
    "fan stall",
    "needle holes",
    "seam laps",
    "cloth permeability",
    "door in use",
    "idle fan",
    "mixing",
    "people's warmth",
    "cloth's U-value",
    "people's CO2",
    "setting off",
    "walking",
    "doorway rate",
    "drag",
    "lift",
    "friction",
)
#: How many draws; at 2,048 a chance is within 0.01.
_COUNT = 2048
#: Seed of the sequence: any would do; one, so that the same input gives the same answer.
_SEED = 20


@frozen(eq=False)
class Draws:
    """Cases with their weights.

    Parameters
    ----------
    uniform : ndarray, shape (n, k)
        Place of each quantity of `UNCERTAIN` in its range, 0 to 1 [-].
    weight : ndarray, shape (n,)
        Share of each case [-]; their sum is 1.
    """

    uniform: Floats
    weight: Floats

    @property
    def count(self) -> int:
        """How many cases."""
        return len(self.weight)

    def between(self, name: str, known: Range) -> Floats:
        """Values of one quantity, evenly spread over its range [unit of the range].

        Examples
        --------
        >>> values = draws(1024).between("discharge", Range(0.55, 0.61, 0.75))
        >>> round(float(values.mean()), 3)
        0.65
        """
        place = self.uniform[:, UNCERTAIN.index(name)]
        return known.low + place * (known.high - known.low)

    def chance(self, holds: ArrayLike) -> float:
        """Share of the cases in which something holds [-].

        Examples
        --------
        >>> some = draws(1024)
        >>> round(some.chance(some.between("friction", Range(0, 1, 2)) < 0.5), 3)
        0.25
        """
        return float(np.minimum(1.0, self.weight @ np.broadcast_to(np.asarray(holds, float), self.count)))

    def spread(self, values: ArrayLike) -> Range:
        """What 5, 50 and 95 in 100 of the cases do not exceed [unit of the values].

        Examples
        --------
        >>> some = draws(1024)
        >>> spread = some.spread(some.between("friction", Range(0, 1, 2)))
        >>> [round(value, 2) for value in (spread.low, spread.likely, spread.high)]
        [0.1, 1.0, 1.9]
        """
        each = np.broadcast_to(np.asarray(values, float), self.count)
        order = np.argsort(each, kind="stable")
        below = np.cumsum(self.weight[order])
        at = np.minimum(np.searchsorted(below, np.array([0.05, 0.5, 0.95]) * below[-1]), self.count - 1)
        return Range(*each[order][at])


@lru_cache(maxsize=4)
def draws(count: int = _COUNT) -> Draws:
    """Draws before anything of the room was measured.

    Parameters
    ----------
    count : int
        How many [-], a power of two from 2 to 65,536.

    Returns
    -------
    Draws
        The same for the same count; they cannot be written to.

    Raises
    ------
    ParameterError
        If the count is not such a power.

    References
    ----------
    Scrambled Sobol points, `scipy.stats.qmc`.

    Examples
    --------
    >>> draws(2048).uniform.shape == (2048, len(UNCERTAIN))
    True
    """
    power = int(count).bit_length() - 1
    require(
        count == 2**power and 1 <= power <= 16, "draws", f"{count}", "a power of two, 2 to 65536", "take 2048"
    )
    uniform = qmc.Sobol(len(UNCERTAIN), rng=_SEED).random_base2(power)
    uniform = np.clip(uniform, 1e-9, 1.0 - 1e-9)
    weight = np.full(count, 1.0 / count)
    for array in (uniform, weight):
        array.setflags(write=False)
    return Draws(uniform, weight)

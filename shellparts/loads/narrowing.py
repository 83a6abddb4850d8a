"""Draws that agree with what was read: the same draws, weighted and where that is too few drawn anew.

Glossary: the *likelihood* of a draw is how well it explains the readings; the *evidence* is its mean over all draws
before any reading; the *effective* number of draws is how many equally weighted ones would tell as much. Places in
the ranges are carried to normal numbers ``z`` with mean 0 and variance 1; where weights alone leave too few
effective draws, new ones come from a normal about those that agree, one in eight still from all, and each is
weighted by prior times likelihood over the density of that mixture. This module does not know what was read.
"""

from collections.abc import Callable
from functools import lru_cache

import numpy as np
from attrs import frozen
from numpy.typing import NDArray
from scipy.special import logsumexp, ndtr, ndtri

from shellparts.loads.draws import UNCERTAIN, Draws

__all__ = ["Narrowed", "narrow"]

Floats = NDArray[np.float64]
#: Share of the draws that must be effective [-]: 400 of 2,048.
_LEAST_EFFECTIVE = 400.0 / 2048.0
#: Rounds of drawing anew: three were enough for every reading that was not a slip.
_ROUNDS = 4
#: The normal is made wider than what it was fitted to, and turned a little towards the prior, each round half as much.
_WIDER, _TOWARDS_PRIOR = 1.2, 0.1
#: One in so many new draws comes from the prior.
_FROM_PRIOR = 8
#: What readings can say something about: all of `UNCERTAIN` up to here; the rest keep their draws.
_MOVED = UNCERTAIN.index("door in use")


@frozen(eq=False)
class Narrowed:
    """Draws after the readings.

    Parameters
    ----------
    draws : Draws
        With places and weights that follow the readings.
    log_evidence : float
        Logarithm of the mean likelihood before the readings [-].
    effective : float
        Effective number of the draws [-].
    """

    draws: Draws
    log_evidence: float
    effective: float


@lru_cache(maxsize=4)
def _normal(prior: Draws) -> Floats:
    """Normal numbers of the places that move; they cannot be written to."""
    z = ndtri(prior.uniform[:, :_MOVED])
    z.setflags(write=False)
    return z


def _share(log_weight: Floats) -> Floats:
    weight = np.exp(log_weight - log_weight.max())
    return weight / weight.sum()


def _effective(weight: Floats) -> float:
    return float(1.0 / np.square(weight).sum())


def _tempered(log_ratio: Floats, log_likelihood: Floats, least: float) -> Floats:
    """Weights by the highest power of the likelihood, at most 1, that leaves `least` of them effective."""
    low, high = 0.0, 1.0
    for _ in range(12):
        power = 0.5 * (low + high)
        enough = _effective(_share(log_ratio + power * log_likelihood)) >= least
        low, high = (power, high) if enough else (low, power)
    return _share(log_ratio + max(low, 1e-4) * log_likelihood)


def narrow(prior: Draws, log_likelihood: Callable[[Draws], Floats]) -> Narrowed:
    """Weight draws by a likelihood, and draw anew where too few agree.

    Parameters
    ----------
    prior : Draws
        Draws before any reading, with equal weights.
    log_likelihood : callable
        From draws to the logarithm of the likelihood of each, shape (n,), finite.

    Returns
    -------
    Narrowed

    References
    ----------
    Adaptive importance sampling with a defensive mixture, for example A. Owen and Y. Zhou, J. Amer. Statist. Assoc.
    95, 2000; tempering of the likelihood as in sequential Monte Carlo.

    Examples
    --------
    >>> from shellparts.base.ranges import Range
    >>> from shellparts.loads.draws import draws
    >>> def likelihood(some):
    ...     return -0.5 * ((some.between("friction", Range(0, 1, 2)) - 0.4) / 0.1) ** 2
    >>> after = narrow(draws(1024), likelihood).draws
    >>> round(after.spread(after.between("friction", Range(0, 1, 2))).likely, 1)
    0.4
    """
    places = prior.uniform
    count, least = prior.count, _LEAST_EFFECTIVE * prior.count
    base = _normal(prior)
    z, log_ratio = base, np.full(count, -np.log(count))
    likelihood = log_likelihood(prior)
    for turn in range(_ROUNDS):
        weight = _share(log_ratio + likelihood)
        if _effective(weight) >= least:
            break
        guide = _tempered(log_ratio, likelihood, 0.5 * least)
        middle = guide @ z
        scatter = (z - middle).T @ ((z - middle) * guide[:, None])
        towards = _TOWARDS_PRIOR * 0.5**turn
        scatter = _WIDER * ((1.0 - towards) * scatter + towards * np.eye(_MOVED))
        root = np.linalg.cholesky(scatter)
        z = middle + base @ root.T
        kept = slice(count // _FROM_PRIOR)
        z[kept] = base[kept]
        log_prior = -0.5 * np.square(z).sum(axis=1)
        turned = base.copy()  # where each draw lies in the new normal
        turned[kept] = np.linalg.solve(root, (base[kept] - middle).T).T
        log_normal = -0.5 * np.square(turned).sum(axis=1) - np.log(np.diag(root)).sum()
        share = 1.0 / _FROM_PRIOR
        mixture = np.logaddexp(np.log(1.0 - share) + log_normal, np.log(share) + log_prior)
        log_ratio = log_prior - mixture - np.log(count)
        places = np.hstack([np.clip(ndtr(z), 1e-12, 1.0 - 1e-12), prior.uniform[:, _MOVED:]])
        likelihood = log_likelihood(Draws(places, prior.weight))
    log_weight = log_ratio + likelihood
    weight = _share(log_weight)
    return Narrowed(Draws(places, weight), float(logsumexp(log_weight)), _effective(weight))

"""Which pieces go on which sheet: an integer program over cutting patterns.

Glossary: a *cutting pattern* is how many of each piece lie on one sheet of one kind; it is *feasible* when a
verified layout of it exists, taken as *infeasible* when none was found, and *open* before it was tried; it
*dominates* another when it has at least as many of each piece, and is infeasible if the other is; a *shortage* is a
piece for which there is no sheet left. The areas of open patterns fit, so the program's first answer is a bound that
no layout can beat. This module knows numbers only: no shapes and no cloth.
"""

import itertools
from collections.abc import Iterator, Sequence

import numpy as np
from attrs import frozen
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp

from shellparts.base.errors import ShellpartsError

__all__ = ["Counts", "CuttingPattern", "CuttingPlan", "children", "choose", "dominates", "largest_patterns"]

Counts = tuple[int, ...]
#: A shortage outweighs any number of sheets on a job, and a sheet any saving of money.
_SHORTAGE = 1000.0
_TIME_LIMIT_S = 10.0


@frozen
class CuttingPattern:
    """How many of each piece lie on one sheet."""

    sheet: int
    counts: Counts


@frozen
class CuttingPlan:
    """Patterns with how often each is used, and the pieces left over; proven optimal, or the best in the time."""

    uses: tuple[tuple[CuttingPattern, int], ...]
    shortage: Counts
    optimal: bool

    @property
    def sheets(self) -> int:
        """Sheets used."""
        return sum(times for _, times in self.uses)


def dominates(large: Counts, small: Counts) -> bool:
    """Whether one pattern has at least as many of each piece as another."""
    return all(a >= b for a, b in zip(large, small, strict=True))


def largest_patterns(
    areas: Sequence[float], demand: Counts, room: float, limit: int = 4000
) -> tuple[list[Counts], bool]:
    """Every pattern whose area fits and to which no piece can be added, and whether these are all below the limit."""
    order = sorted(range(len(areas)), key=lambda k: -areas[k])

    def fill(depth: int, left: float, counts: list[int]) -> Iterator[Counts]:
        if depth == len(order):
            spare = any(counts[k] < demand[k] and areas[k] <= left * (1 + 1e-12) for k in order)
            if not spare and any(counts):
                yield tuple(counts)
            return
        k = order[depth]
        for count in range(min(demand[k], int(left / areas[k] + 1e-9)), -1, -1):
            counts[k] = count
            yield from fill(depth + 1, left - count * areas[k], counts)
        counts[k] = 0

    found = list(itertools.islice(fill(0, room, [0] * len(areas)), limit + 1))
    return found[:limit], len(found) <= limit


def children(pattern: CuttingPattern, infeasible: Counts) -> list[CuttingPattern]:
    """Largest patterns inside one that do not dominate an infeasible one: one less of one of its pieces each."""
    found = []
    for k, count in enumerate(infeasible):
        if count:
            counts = list(pattern.counts)
            counts[k] = count - 1
            if any(counts):
                found.append(CuttingPattern(pattern.sheet, tuple(counts)))
    return found


def choose(
    patterns: Sequence[CuttingPattern],
    feasible: Sequence[bool],
    demand: Counts,
    on_hand: Sequence[int | None],
    prices: Sequence[float],
) -> CuttingPlan:
    """Fewest sheets, then least cost, over given patterns, trimmed to the demand; of equals the feasible ones."""
    pieces, columns = len(demand), len(patterns)
    dearest = max([1e-9, *prices]) * max(1, sum(demand))
    weights = np.array(
        [
            1.0 + 0.5 * prices[p.sheet] / dearest + (0.0 if sure else 1e-5)
            for p, sure in zip(patterns, feasible, strict=True)
        ]
    )
    cover = np.zeros((pieces, columns + pieces))
    for k, pattern in enumerate(patterns):
        cover[:, k] = pattern.counts
    cover[:, columns:] = np.eye(pieces)
    kinds = np.zeros((len(on_hand), columns + pieces))
    for k, pattern in enumerate(patterns):
        kinds[pattern.sheet, k] = 1.0
    most = np.array([np.inf if count is None else float(count) for count in on_hand])
    limits = [
        LinearConstraint(cover, np.array(demand, dtype=float), np.inf),
        LinearConstraint(kinds, -np.inf, most),
    ]
    each = np.r_[np.ones(columns), np.full(pieces, _SHORTAGE)]
    parts = milp(each, bounds=Bounds(0.0, np.inf), constraints=limits)
    if parts.x is not None and parts.x[columns:].sum() < 1e-6:
        # fewer sheets than parts of sheets would do are impossible: said in so many words, the proof takes no time
        least = np.ceil(parts.fun - 1e-6)
        limits.append(LinearConstraint(np.r_[np.ones(columns), np.zeros(pieces)], least, np.inf))
    answer = milp(
        np.r_[weights, np.full(pieces, _SHORTAGE)],
        integrality=np.ones(columns + pieces),
        bounds=Bounds(0.0, np.inf),
        constraints=limits,
        options={"time_limit": _TIME_LIMIT_S, "mip_rel_gap": 1e-7},
    )
    if (
        answer.x is None and parts.x is not None
    ):  # a busy machine: parts of sheets, rounded up, cover the demand too
        whole = np.ceil(parts.x - 1e-6)
        if (kinds @ whole <= most).all():
            return _trimmed(patterns, whole.astype(int), demand, optimal=False)
    if answer.x is None:
        raise ShellpartsError(f"the integer program for the sheets gave no answer: {answer.message}")
    return _trimmed(patterns, np.round(answer.x).astype(int), demand, answer.status == 0)


def _trimmed(
    patterns: Sequence[CuttingPattern], times: NDArray[np.int_], demand: Counts, optimal: bool
) -> CuttingPlan:
    """Take surplus pieces off the patterns, sheet by sheet."""
    left = list(demand)
    uses: dict[CuttingPattern, int] = {}
    for pattern, count in zip(patterns, times, strict=False):
        for _ in range(count):
            counts = tuple(min(has, want) for has, want in zip(pattern.counts, left, strict=True))
            left = [want - has for want, has in zip(left, counts, strict=True)]
            if any(counts):
                trimmed = CuttingPattern(pattern.sheet, counts)
                uses[trimmed] = uses.get(trimmed, 0) + 1
    return CuttingPlan(tuple(uses.items()), tuple(left), optimal)

"""Several trials of the packer on one strip, as many at a time as there are cores.

Glossary: a *trial* is one run of the packer with its own items and seed. What a trial finds does not depend on the
others, and what is given back is decided by their order and not by which ends first: the same trials always give the
same answer. This module does not choose the best.
"""

import os
import threading
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor, wait

import numpy as np
from attrs import frozen

from shellparts.stock.layout import Ended
from shellparts.stock.packer import Effort, Item, Packed, pack_strip

__all__ = ["Trial", "pack_in_trials"]

_ASK_S = 0.1
"""How often to ask whether to go on [s]."""


@frozen(eq=False)
class Trial:
    """Items and seed of one run of the packer."""

    items: Sequence[Item]
    seed: int


def pack_in_trials(
    trials: Sequence[Trial],
    width_mm: float,
    gap_mm: float,
    effort: Effort,
    target_mm: float | None = None,
    keep_going: Callable[[float, float], bool] | None = None,
) -> list[Packed]:
    """Results of the trials, in order, up to the first as short as the target; on a stop the best that each had."""
    stop = threading.Event()
    shares, lengths = [0.0] * len(trials), [np.inf] * len(trials)

    def run(number: int) -> Packed:
        def told(share: float, length: float) -> bool:
            shares[number], lengths[number] = share, length
            return not stop.is_set()

        if stop.is_set():
            return Packed(np.inf, (), Ended.STOPPED, 0)
        trial = trials[number]
        found = pack_strip(trial.items, width_mm, gap_mm, effort, trial.seed, target_mm, told)
        shares[number], lengths[number] = 1.0, found.length_mm
        return found

    with ThreadPoolExecutor(max_workers=min(len(trials), os.cpu_count() or 1)) as pool:
        futures = [pool.submit(run, number) for number in range(len(trials))]
        try:
            while wait(futures, timeout=_ASK_S).not_done and not stop.is_set():
                told = sum(shares) / len(trials), min(lengths)
                if _enough(futures, target_mm) or (keep_going is not None and not keep_going(*told)):
                    stop.set()
        except KeyboardInterrupt:
            pass  # the best so far is what was asked for
        finally:
            stop.set()  # whatever ends the search, no trial goes on behind it
    found = [future.result() for future in futures]
    met = next((k for k, one in enumerate(found) if _meets(one, target_mm)), len(found))
    return found[: met + 1]


def _meets(packed: Packed, target_mm: float | None) -> bool:
    """Whether a strip came out as short as was asked."""
    return target_mm is not None and packed.length_mm <= target_mm


def _enough(futures: Sequence["Future[Packed]"], target_mm: float | None) -> bool:
    """Whether some trial met the target and all before it are done."""
    for future in futures:
        if not future.done():
            return False
        if _meets(future.result(), target_mm):
            return True
    return False

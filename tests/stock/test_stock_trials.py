"""Several trials of the packer at a time."""

import os

import numpy as np
import pytest

from shellparts.parameters.stocks import Roll, Turning
from shellparts.stock.layout import Ended
from shellparts.stock.packer import Effort, pack_strip
from shellparts.stock.roll import packer_items
from shellparts.stock.trials import Trial, pack_in_trials

WIDTH_MM, GAP_MM = 3000.0, 10.0
ENDLESS = Effort(steps=10**9, hard=10**9, failures=10**9, clock_s=60.0)


@pytest.fixture
def trials(room):
    items = packer_items(room, Roll(name="r", width_mm=WIDTH_MM), Turning(), [p.count for p in room])
    return [Trial(items, seed) for seed in (1, 2, 3)]


def test_each_is_what_it_would_be_alone_however_many_run_at_a_time(trials, short_effort, monkeypatch):
    alone = [pack_strip(one.items, WIDTH_MM, GAP_MM, short_effort, one.seed) for one in trials]
    for cores in (1, 2, 8):
        monkeypatch.setattr(os, "cpu_count", lambda cores=cores: cores)
        assert pack_in_trials(trials, WIDTH_MM, GAP_MM, short_effort) == alone


def test_the_first_that_meets_the_target_is_the_last_that_counts(trials, short_effort):
    lengths = [one.length_mm for one in pack_in_trials(trials, WIDTH_MM, GAP_MM, short_effort)]
    for target, count in (
        (1.2 * max(lengths), 1),
        (sorted(lengths)[1], None),
        (0.5 * min(lengths), len(trials)),
    ):
        found = pack_in_trials(trials, WIDTH_MM, GAP_MM, short_effort, target)
        met = [one.length_mm <= target for one in found]
        assert not any(met[:-1])
        assert met[-1] or len(found) == len(trials)
        assert count in (None, len(found))


def test_a_target_far_out_of_reach_takes_few_steps(trials, short_effort):
    far = pack_in_trials(trials, WIDTH_MM, GAP_MM, short_effort, 100.0)
    free = pack_in_trials(trials, WIDTH_MM, GAP_MM, short_effort)
    assert sum(one.steps for one in far) < sum(one.steps for one in free)


@pytest.mark.parametrize("stop", [False, KeyboardInterrupt])
def test_each_keeps_the_best_so_far_when_stopped(trials, stop):
    def ask(share, length):
        assert 0.0 <= share <= 1.0
        if np.isfinite(length) and stop is KeyboardInterrupt:
            raise KeyboardInterrupt
        return not np.isfinite(length)

    found = pack_in_trials(trials, WIDTH_MM, GAP_MM, ENDLESS, keep_going=ask)
    assert len(found) == len(trials)
    assert {one.ended for one in found} == {Ended.STOPPED}
    assert any(one.placements for one in found)


def test_share_never_goes_back(trials, short_effort):
    told = []
    pack_in_trials(
        trials, WIDTH_MM, GAP_MM, short_effort, keep_going=lambda share, _: told.append(share) or True
    )
    assert told == sorted(told)

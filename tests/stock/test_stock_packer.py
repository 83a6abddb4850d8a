"""The packer in its own process: repeatable, stoppable, and safe where it fails."""

import os

import numpy as np
import pytest

from shellparts.base.errors import ParameterError
from shellparts.parameters.stocks import Roll, Turning, TurnRule
from shellparts.pattern.cut_pieces import CutPiece
from shellparts.stock.layout import Ended, assemble
from shellparts.stock.packer import Effort, Item, Trial, pack_in_trials, pack_strip
from shellparts.stock.roll import packer_items
from shellparts.stock.verify import faults

ROLL = Roll(name="r", width_mm=3000.0)
FEW = Turning(TurnRule.FEW_DEGREES, 6.0)
ENDLESS = Effort(steps=10**9, hard=10**9, failures=10**9, clock_s=60.0)


def items(room):
    return packer_items(room, ROLL, FEW, [p.count for p in room])


def test_a_target_ends_the_search_early(room, short_effort):
    full = pack_strip(items(room), 3000.0, 10.0, short_effort)
    met = pack_strip(items(room), 3000.0, 10.0, short_effort, target_mm=full.length_mm * 1.1)
    assert met.steps < full.steps
    assert met.length_mm <= full.length_mm * 1.1 + 0.05


def test_a_packer_that_fails_says_so(short_effort):
    # Too wide for the strip: the stage checks before, the packer itself panics.
    wide = Item(0, 1, np.array([(0.0, 0.0), (100.0, 0.0), (100.0, 500.0), (0.0, 500.0)]), np.array([0.0]))
    packed = pack_strip([wide], 300.0, 10.0, short_effort)
    assert (packed.ended, packed.placements) == (Ended.FALLBACK, ())
    assert "fit" in packed.fault


def test_exact_fit_across_the_strip(short_effort):
    piece = CutPiece("p", 3, [(0, 0), (400, 0), (400, 300), (0, 300)])
    roll = Roll(name="r", width_mm=300.0)
    straight = packer_items([piece], roll, Turning(TurnRule.STRAIGHT), [3])
    for gap in (0.0, 10.0):
        packed = pack_strip(straight, 300.0, gap, short_effort)
        layout = assemble(roll, [piece], packed.placements)
        assert len(layout.pieces) == 3
        assert faults(layout, gap) == ()
        assert layout.length_mm == pytest.approx(1200.0 + 2 * gap, rel=0.02)


def test_effort_needs_a_step():
    with pytest.raises(ParameterError, match=r"effort is .*at least one step"):
        Effort(steps=0)


# Several trials at a time


@pytest.fixture
def trials(room):
    return [Trial(items(room), seed) for seed in (1, 2, 3)]


def test_each_is_what_it_would_be_alone_however_many_run_at_a_time(trials, short_effort, monkeypatch):
    alone = [pack_strip(one.items, 3000.0, 10.0, short_effort, one.seed) for one in trials]
    assert {one.ended for one in alone} == {Ended.STEPS}
    assert alone[0].placements != alone[1].placements
    for cores in (1, 2, 8):
        monkeypatch.setattr(os, "cpu_count", lambda cores=cores: cores)
        assert pack_in_trials(trials, 3000.0, 10.0, short_effort) == alone


def test_the_first_that_meets_the_target_is_the_last_that_counts(trials, short_effort):
    lengths = [one.length_mm for one in pack_in_trials(trials, 3000.0, 10.0, short_effort)]
    for target, count in (
        (1.2 * max(lengths), 1),
        (sorted(lengths)[1], None),
        (0.5 * min(lengths), len(trials)),
    ):
        found = pack_in_trials(trials, 3000.0, 10.0, short_effort, target)
        met = [one.length_mm <= target for one in found]
        assert not any(met[:-1])
        assert met[-1] or len(found) == len(trials)
        assert count in (None, len(found))


def test_a_target_far_out_of_reach_takes_few_steps(trials, short_effort):
    far = pack_in_trials(trials, 3000.0, 10.0, short_effort, 100.0)
    free = pack_in_trials(trials, 3000.0, 10.0, short_effort)
    assert sum(one.steps for one in far) < sum(one.steps for one in free)


@pytest.mark.parametrize("stop", [False, KeyboardInterrupt])
def test_each_keeps_the_best_so_far_when_stopped(trials, room, stop):
    def ask(share, length):
        assert 0.0 <= share <= 1.0
        if np.isfinite(length) and stop is KeyboardInterrupt:
            raise KeyboardInterrupt
        return not np.isfinite(length)

    found = pack_in_trials(trials, 3000.0, 10.0, ENDLESS, keep_going=ask)
    assert len(found) == len(trials)
    assert {one.ended for one in found} == {Ended.STOPPED}
    best = [one.placements for one in found if one.placements]
    assert best
    assert all(faults(assemble(ROLL, room, placements), 10.0) == () for placements in best)


def test_share_never_goes_back(trials, short_effort):
    told = []
    pack_in_trials(trials, 3000.0, 10.0, short_effort, keep_going=lambda share, _: told.append(share) or True)
    assert told == sorted(told)

"""Random designs on random stock: whatever is laid is valid, and every piece is laid or named."""

import numpy as np
import pytest

from shellparts.parameters.stocks import Roll, Sheet, Side, Turning, TurnRule
from shellparts.pattern.cut_pieces import CutPiece
from shellparts.stock.packer import Effort
from shellparts.stock.roll import lay_on_roll
from shellparts.stock.sheets import lay_on_sheets
from shellparts.stock.verify import count_faults, faults

TINY = Effort(steps=40, hard=4, pattern_tests=1, pattern_steps=30, pattern_seeds=1, clock_s=60.0)
TURNINGS = [Turning(TurnRule.STRAIGHT), Turning(TurnRule.FEW_DEGREES, 6.0), Turning(TurnRule.FREE)]


def shape(rng):
    """Box, trapezium, gore, disc, or a blank with a dent: not convex."""
    kind, a, b = rng.integers(5), rng.uniform(200.0, 3600.0), rng.uniform(150.0, 1500.0)
    x = np.linspace(0.0, a, 20)
    if kind == 0:
        return [(0.0, 0.0), (a, 0.0), (a, b), (0.0, b)]
    if kind == 1:
        top = rng.uniform(0.05, 0.9) * b
        return [(0.0, -b / 2), (a, -top / 2), (a, top / 2), (0.0, b / 2)]
    if kind == 2:
        half = b / 2 * np.cos(x / a * 0.97 * np.pi / 2)
        return np.r_[np.c_[x, -half], np.c_[x, half][::-1]]
    if kind == 3:
        turn = np.linspace(0.0, 2 * np.pi, 40, endpoint=False)
        return min(a, b) / 2 * np.c_[np.cos(turn), np.sin(turn)]
    dent = b * (1.0 - 0.5 * np.sin(np.pi * x / a) ** 2)
    return np.r_[[(0.0, 0.0), (a, 0.0)], np.c_[x, dent][::-1][1:]]


def design(rng):
    """A few pieces, now and then one with its mirror image."""
    grains = rng.choice([0.0, 17.0, 90.0], size=5)
    pieces = [
        CutPiece(f"p{k}", int(rng.integers(1, 6)), shape(rng), grains[k]) for k in range(rng.integers(1, 6))
    ]
    if rng.random() < 0.3:
        first = pieces[0]
        pieces.append(CutPiece("mirror", first.count, first.outline * (1, -1), -first.grain_deg, "p0"))
    return pieces, TURNINGS[rng.integers(3)], float(rng.choice([0.0, 5.0, 10.0, 20.0]))


def check(layouts, pieces, unfitting, left_over, gap):
    lost = {one.name for one in unfitting}
    wanted = {p.name: p.count - left_over.get(p.name, 0) for p in pieces if p.name not in lost}
    assert count_faults(tuple(layouts), {name: count for name, count in wanted.items() if count}) == ()
    for layout in layouts:
        assert faults(layout, gap) == ()


@pytest.mark.parametrize("seed", range(5))
def test_random_designs_on_a_roll(seed):
    rng = np.random.default_rng([1, seed])
    pieces, turning, gap = design(rng)
    roll = Roll(name="r", width_mm=rng.uniform(900.0, 3200.0), edge_mm=10.0, side=list(Side)[seed % 2])
    result = lay_on_roll(pieces, roll, turning, gap, TINY)
    check([result.layout], pieces, result.unfitting, {}, gap)
    if result.hand_rule is not None:
        assert result.layout.length_mm <= result.hand_rule.length_mm


@pytest.mark.parametrize("seed", range(5))
def test_random_designs_on_sheets(seed):
    rng = np.random.default_rng([2, seed])
    pieces, turning, gap = design(rng)
    sheets = []
    for k in range(rng.integers(1, 4)):
        size = {"nominal_length_mm": 6000, "nominal_width_mm": 6000}
        size |= {"finished_length_mm": rng.uniform(2000, 6000), "finished_width_mm": rng.uniform(1500, 4000)}
        count = None if k else int(rng.integers(1, 4))
        sheets.append(Sheet(name=f"s{k}", hem_mm=30, price=rng.uniform(5, 40), count=count, **size))
    result = lay_on_sheets(pieces, sheets, turning, gap, TINY)
    check(result.layouts, pieces, result.unfitting, dict(result.left_over), gap)
    assert len(result.layouts) >= result.area_bound or result.left_over

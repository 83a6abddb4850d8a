"""Pieces, their turns, and whether they fit."""

import numpy as np
import pytest

from shellparts.base.errors import ParameterError
from shellparts.parameters.stocks import Roll, Sheet, Turning, TurnRule, Weave
from shellparts.pattern.cut_pieces import CutPiece, extent, fits, laid, nominal_turns, turns
from shellparts.stock.joins import suggest_join, unfitting

ROLL = Roll(name="roll", width_mm=1500.0)
TRIANGLE = [(0.0, 0.0), (3000.0, 0.0), (0.0, 900.0)]
BLANK = CutPiece("tunnel", 1, [(0, 0), (4000, 0), (4000, 1600), (0, 1600)])


def test_closing_point_is_dropped_and_outline_is_frozen():
    piece = CutPiece("p", 1, [*TRIANGLE, TRIANGLE[0]])
    assert piece.outline.shape == (3, 2)
    with pytest.raises(ValueError, match="read-only"):
        piece.outline[0, 0] = 1.0


@pytest.mark.parametrize(
    ("outline", "count", "message"),
    [
        (TRIANGLE, 0, "count of 'p' is 0"),
        ([(0, 0), (1, 1), (1, 0), (0, 1)], 1, "Self-intersection"),
        ([(0, 0), (1, 1)], 1, "n >= 3"),
        ([(0, 0), (1, 0), (np.nan, 1)], 1, "finite"),
    ],
)
def test_bad_pieces_are_refused(outline, count, message):
    with pytest.raises(ParameterError, match=message):
        CutPiece("p", count, outline)


def test_turns_follow_the_weave():
    piece = CutPiece("p", 1, TRIANGLE, grain_deg=30.0)
    roll = Roll(name="r", width_mm=1500.0, weave_deg=10.0)
    assert nominal_turns(piece, roll) == pytest.approx([160.0, 340.0])
    assert nominal_turns(piece, roll, face_down=True) == pytest.approx([40.0, 220.0])
    square = Roll(name="r", width_mm=1500.0, weave=Weave.SQUARE)
    assert nominal_turns(piece, square) == pytest.approx([60.0, 150.0, 240.0, 330.0])
    nap = Roll(name="r", width_mm=1500.0, weave=Weave.ONE_WAY)
    assert nominal_turns(piece, nap) == pytest.approx([330.0])


def test_few_degrees_stay_within_the_tolerance():
    off = turns(CutPiece("p", 1, TRIANGLE), ROLL, Turning(TurnRule.FEW_DEGREES, 6.5))
    distance = np.abs((off + 90.0) % 180.0 - 90.0)
    assert distance.max() == pytest.approx(6.5)
    assert np.diff(np.sort(off)).min() > 0.0


def test_free_turn_finds_the_narrowest():
    # The narrowest strip that holds a triangle is its smallest height.
    piece = CutPiece("p", 1, TRIANGLE)
    free = turns(piece, ROLL, Turning(TurnRule.FREE))
    height = 2.0 * 0.5 * 3000.0 * 900.0 / np.hypot(3000.0, 900.0)
    assert extent(piece.outline, free)[:, 1].min() == pytest.approx(height, rel=1e-9)
    narrow = Roll(name="n", width_mm=height + 0.01)
    assert fits(piece, narrow, Turning(TurnRule.FREE))
    assert not fits(piece, narrow, Turning(TurnRule.STRAIGHT))


def test_face_down_mirrors():
    shape = np.array(TRIANGLE)
    twice = laid(laid(shape, 0.0, face_down=True), 0.0, face_down=True)
    assert twice == pytest.approx(shape)
    assert np.linalg.det(laid(np.eye(2), 25.0, face_down=True)) == pytest.approx(-1.0)


def test_diagonal_fit_on_a_sheet():
    sheet = Sheet(
        name="s",
        nominal_length_mm=1000,
        nominal_width_mm=1000,
        finished_length_mm=1000,
        finished_width_mm=1000,
    )
    lath = CutPiece("lath", 1, [(0, 0), (1300, 0), (1300, 50), (0, 50)])
    assert fits(lath, sheet, Turning(TurnRule.FREE))
    assert not fits(lath, sheet, Turning(TurnRule.FEW_DEGREES, 10.0))


def test_join_is_named_and_its_parts_fit():
    turning = Turning(TurnRule.STRAIGHT)
    assert not fits(BLANK, ROLL, turning)
    join = suggest_join(BLANK, ROLL, turning, allowance_mm=15.0)
    assert (join.across_weave, join.at_mm) == (False, (800.0,))
    told = unfitting(BLANK, (ROLL,), turning).message
    assert "tunnel (1 x, 4000 x 1600 mm) fits no stock" in told
    assert "joined along the weave at 800 mm it fits roll" in told


def test_join_reckons_with_its_allowance():
    # Halves of 745 mm need 760 mm with their allowance: too much for a 750 mm roll, so three parts.
    narrow = Roll(name="n", width_mm=750.0)
    piece = CutPiece("p", 1, [(0, 0), (4000, 0), (4000, 1490), (0, 1490)])
    assert suggest_join(piece, narrow, Turning(TurnRule.STRAIGHT), 4.0).at_mm == (745.0,)
    assert len(suggest_join(piece, narrow, Turning(TurnRule.STRAIGHT), 15.0).at_mm) == 2


def test_nothing_helps_a_giant():
    giant = CutPiece("giant", 1, 1000.0 * np.array([(0, 0), (90, 0), (90, 80), (0, 80)]))
    lost = unfitting(giant, (Roll(name="tiny", width_mm=100.0),), Turning())
    assert lost.join is None
    assert "use wider cloth" in lost.message

"""Pieces on a roll."""

import numpy as np
import pytest

from shellparts.base.errors import ParameterError
from shellparts.parameters.stocks import Roll, Side, Turning, TurnRule
from shellparts.pattern.cut_pieces import CutPiece
from shellparts.stock.layout import Ended
from shellparts.stock.results import stock_summary, stock_warnings
from shellparts.stock.roll import easier_turning, lay_on_roll, packer_items
from shellparts.stock.verify import count_faults, faults

ROLL = Roll(name="example roll", width_mm=3000.0, edge_mm=10.0, price_per_m=9.0)


def test_a_room_on_a_roll(room, short_effort):
    result = lay_on_roll(room, ROLL, effort=short_effort)
    assert faults(result.layout, 10.0) == ()
    assert count_faults((result.layout,), {p.name: p.count for p in room}) == ()
    assert result.layout.length_mm <= result.hand_rule.length_mm
    again = lay_on_roll(room, ROLL, effort=short_effort)
    assert again.layout == result.layout


def test_summary_holds_the_contracts_keys(room, short_effort):
    summary = stock_summary(lay_on_roll(room, ROLL, effort=short_effort))
    keys = {"sheets_used", "area_bound_sheets", "utilisation", "roll_length_m", "hand_rule_utilisation"}
    assert keys <= set(summary)
    used = sum(p.count * p.area_m2 for p in room) / (summary["roll_length_m"] * 3.0)
    assert summary["utilisation"] == pytest.approx(used, rel=1e-9)
    assert summary["repeatable"] is True


def test_what_fits_nothing_is_named_and_the_rest_is_laid(room, short_effort):
    blank = CutPiece("tunnel", 1, [(0, 0), (4000, 0), (4000, 3100), (0, 3100)])
    result = lay_on_roll([*room, blank], ROLL, effort=short_effort)
    assert [lost.name for lost in result.unfitting] == ["tunnel"]
    assert count_faults((result.layout,), {p.name: p.count for p in room}) == ()
    (warning,) = stock_warnings(result)
    assert warning["code"] == "piece-fits-nothing"
    assert "joined along the weave at 1550 mm" in warning["message"]


def test_few_degrees_are_searched_before_any_turn_where_the_pieces_then_fit(room):
    free = Turning(TurnRule.FREE)
    assert easier_turning(room, ROLL, free) == Turning(TurnRule.FEW_DEGREES, 8.0)
    lath = CutPiece("lath", 1, [(0, 0), (3100, 0), (3100, 50), (0, 50)], 90.0)
    assert easier_turning([lath], ROLL, free) is free


def test_nothing_fits():
    blank = CutPiece("tunnel", 1, [(0, 0), (4000, 0), (4000, 3100), (0, 3100)])
    result = lay_on_roll([blank], ROLL)
    assert result.layout.pieces == ()
    assert result.layout.utilisation == 0.0


def test_progress_is_told_and_stops_the_search(room):
    told = []

    def stop(progress):
        told.append(progress)
        return False

    result = lay_on_roll(room, ROLL, progress=stop)
    assert result.ended is Ended.STOPPED
    assert told
    assert 0.0 <= told[0].fraction <= 1.0
    assert faults(result.layout, 10.0) == ()
    assert stock_summary(result)["repeatable"] is False


def test_a_short_roll_is_noted(room, short_effort):
    short = Roll(name="rest", width_mm=3000.0, length_mm=4000.0)
    assert any("4000 mm are on hand" in note for note in lay_on_roll(room, short, effort=short_effort).notes)


def test_mirror_images_differ_only_on_cloth_with_a_right_side(short_effort):
    left = CutPiece("left", 4, [(0, 0), (900, 0), (0, 400)])
    right = CutPiece("right", 4, np.array([(0, 0), (900, 0), (0, -400)]), mirrored_of="left")
    straight = Turning(TurnRule.STRAIGHT)
    plain = Roll(name="p", width_mm=1000.0)
    flipped = packer_items([left, right], plain, straight, [4, 4], flip=True)
    assert [item.face_down for item in flipped] == [False, True]
    assert np.asarray(flipped[1].outline) == pytest.approx(left.outline)
    two_runs = type(short_effort)(steps=60, seeds=(1, 2), clock_s=60.0)
    coated = Roll(name="c", width_mm=1000.0, side=Side.RIGHT)
    laid_out = lay_on_roll([left, right], coated, straight, effort=two_runs)
    assert not any(placed.face_down for placed in laid_out.layout.pieces)
    laid_plain = lay_on_roll([left, right], plain, straight, effort=two_runs)
    assert faults(laid_plain.layout, 10.0) == ()
    assert laid_plain.layout.length_mm <= laid_out.layout.length_mm + 1e-6


def test_pieces_stay_within_their_tolerance(room, short_effort):
    result = lay_on_roll(room, ROLL, Turning(TurnRule.FEW_DEGREES, 4.0), effort=short_effort)
    off = np.abs((np.array([p.turn_deg for p in result.layout.pieces]) + 90.0) % 180.0 - 90.0)
    assert off.max() <= 4.0 + 1e-3


@pytest.mark.parametrize(
    ("pieces", "gap", "message"),
    [
        (["a", "a"], 10.0, "piece name is 'a'"),
        (["a"], -1.0, "cutting gap is -1 mm"),
    ],
)
def test_bad_input(pieces, gap, message):
    made = [CutPiece(name, 1, [(0, 0), (1, 0), (0, 1)]) for name in pieces]
    with pytest.raises(ParameterError, match=message):
        lay_on_roll(made, ROLL, gap_mm=gap)


def test_a_mirror_image_needs_its_original():
    with pytest.raises(ParameterError, match="mirrored_of of 'b' is 'a'"):
        lay_on_roll([CutPiece("b", 1, [(0, 0), (1, 0), (0, 1)], mirrored_of="a")], ROLL)

"""The skyline engine and the rules of the hand."""

import numpy as np
import pytest

from shellparts.base.tolerances import TOLERANCES
from shellparts.parameters.stocks import Roll, Sheet, Turning, TurnRule, Weave
from shellparts.pattern.cut_pieces import CutPiece
from shellparts.stock.hand import box_rows, hand_rule
from shellparts.stock.layout import assemble
from shellparts.stock.roll import skyline_items
from shellparts.stock.skyline import drop_best, drop_fill
from shellparts.stock.verify import count_faults, faults

STRAIGHT, FEW, FREE = Turning(TurnRule.STRAIGHT), Turning(TurnRule.FEW_DEGREES, 6.0), Turning(TurnRule.FREE)


@pytest.mark.parametrize("turning", [STRAIGHT, FEW, FREE])
@pytest.mark.parametrize("width", [1500.0, 3000.0])
def test_rows_and_hand_give_valid_layouts(room, turning, width):
    roll = Roll(name="r", width_mm=width, edge_mm=12.0)
    rows = drop_best(
        skyline_items(room, roll, turning, [p.count for p in room], 10.0), roll.usable_width_mm + 10.0
    )
    hand = hand_rule(room, roll, turning, 10.0)
    for length, placements in (rows, hand):
        layout = assemble(roll, room, placements)
        assert faults(layout, 10.0) == ()
        assert count_faults((layout,), {p.name: p.count for p in room}) == ()
        assert layout.length_mm <= length + TOLERANCES.layout_slip_mm


def test_rows_fill_a_strip_of_boxes_exactly():
    # 6 boxes of 500 x 240, two abreast on 490 mm with 10 mm gaps: 3 x 500 + 2 x 10 mm.
    boxes = [CutPiece("box", 6, [(0, 0), (500, 0), (500, 240), (0, 240)])]
    roll = Roll(name="r", width_mm=490.0)
    length, _ = drop_best(skyline_items(boxes, roll, STRAIGHT, [6], 10.0), 500.0)
    assert length - 10.0 == pytest.approx(1520.0, abs=0.1)


def test_fill_leaves_out_what_does_not_fit():
    boxes = [CutPiece("box", 5, [(0, 0), (500, 0), (500, 240), (0, 240)])]
    roll = Roll(name="r", width_mm=490.0)
    rows = skyline_items(boxes, roll, STRAIGHT, [5], 10.0)
    assert drop_best(rows, 500.0, 1020.0) is None
    assert len(drop_fill(rows, 500.0, 1020.0)) == 4


def test_hand_rule_lays_head_to_tail_where_half_turns_are_allowed():
    triangle = [CutPiece("t", 4, [(0, 0), (1000, 0), (0, 300)])]
    two_way, one_way = (Roll(name="r", width_mm=640.0, weave=w) for w in (Weave.TWO_WAY, Weave.ONE_WAY))
    with_turns, _ = hand_rule(triangle, two_way, STRAIGHT, 0.0)
    without, _ = hand_rule(triangle, one_way, STRAIGHT, 0.0)
    # With half turns two rectangles of two triangles each stand abreast; without, they nest in a file.
    assert with_turns == pytest.approx(1000.0, abs=1.0)
    assert without > 1.4 * with_turns


def test_box_rows_by_hand():
    sheet = Sheet(
        name="s", nominal_length_mm=1000, nominal_width_mm=600, finished_length_mm=1000, finished_width_mm=600
    )
    # Shelves: two of 490 x 290 side by side, twice; the sixth opens a second sheet.
    boxes = [CutPiece("b", 6, [(0, 0), (490, 0), (490, 290), (0, 290)])]
    sheets = box_rows(boxes, sheet, STRAIGHT, 10.0)
    assert [len(placements) for placements in sheets] == [4, 2]
    assert all(faults(assemble(sheet, boxes, placements), 10.0) == () for placements in sheets)
    assert box_rows([CutPiece("b", 1, np.array([(0, 0), (1100, 0), (0, 10)]))], sheet, STRAIGHT, 10.0) is None

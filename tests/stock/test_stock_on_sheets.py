"""Pieces on sheets: patterns, the integer program, claims."""

import pytest

from shellparts.base.errors import ParameterError
from shellparts.parameters.stocks import Sheet, Turning, TurnRule
from shellparts.pattern.cut_pieces import CutPiece
from shellparts.stock.cutting_patterns import CuttingPattern, children, choose, largest_patterns
from shellparts.stock.layout import Ended
from shellparts.stock.results import Claim, stock_summary, stock_warnings
from shellparts.stock.sheets import lay_on_sheets
from shellparts.stock.verify import count_faults, faults


def sheet(length, width, **more):
    size = {"nominal_length_mm": length, "nominal_width_mm": width}
    size |= {"finished_length_mm": length, "finished_width_mm": width}
    return Sheet(name=f"{length} x {width}", **size, **more)


def box(name, count, length, width):
    return CutPiece(name, count, [(0, 0), (length, 0), (length, width), (0, width)])


def test_largest_patterns_are_all_and_only_those():
    areas, demand, room = [5.0, 3.0, 2.0], (2, 3, 4), 11.0
    found, every = largest_patterns(areas, demand, room)
    assert every
    fitting = {
        (a, b, c)
        for a in range(3) for b in range(4) for c in range(5) if 5 * a + 3 * b + 2 * c <= room
    }  # fmt: skip
    steps = ((1, 0, 0), (0, 1, 0), (0, 0, 1))
    largest = {
        p
        for p in fitting
        if not any(tuple(x + y for x, y in zip(p, s, strict=True)) in fitting for s in steps)
    }
    assert set(found) == largest
    assert len(found) == len(largest)
    assert largest_patterns(areas, demand, room, limit=2)[1] is False


def test_what_is_left_of_a_pattern_when_a_smaller_one_does_not_fit():
    left = children(CuttingPattern(0, (3, 1)), (2, 1))
    assert [child.counts for child in left] == [(1, 1), (3, 0)]


def test_fewest_sheets_come_before_cost():
    # Two dear sheets or three cheap ones: two sheets. At equal number the cheap ones.
    patterns = [CuttingPattern(0, (2,)), CuttingPattern(1, (3,))]
    assert choose(patterns, [True, True], (6,), [None, None], [1.0, 100.0]).uses == (
        (CuttingPattern(1, (3,)), 2),
    )
    assert choose(patterns, [True, True], (4,), [None, None], [1.0, 100.0]).uses == (
        (CuttingPattern(0, (2,)), 2),
    )


def test_sheets_on_hand_limit_the_choice():
    patterns = [CuttingPattern(0, (2,)), CuttingPattern(1, (3,))]
    choice = choose(patterns, [True, True], (6,), [1, 1], [1.0, 1.0])
    assert (choice.sheets, choice.shortage) == (2, (1,))


def test_rectangles_that_fill_their_sheets():
    # 2 x 3 boxes of 490 x 190 with 10 mm gaps fill 990 x 590 to the last millimetre: 12 boxes, two sheets.
    result = lay_on_sheets([box("b", 12, 490, 190)], [sheet(990, 590)], Turning(TurnRule.STRAIGHT), 10.0)
    assert [len(one.pieces) for one in result.layouts] == [6, 6]
    assert (result.area_bound, result.claim) == (2, Claim.FEWEST)
    assert all(faults(one, 10.0) == () for one in result.layouts)


def test_room_on_sheets(room, short_effort):
    stock = [sheet(5000, 4000, hem_mm=30, price=28.0), sheet(3000, 2000, hem_mm=30, price=9.0)]
    result = lay_on_sheets(room, stock, effort=short_effort)
    assert count_faults(result.layouts, {p.name: p.count for p in room}) == ()
    assert all(faults(one, 10.0) == () for one in result.layouts)
    assert result.area_bound <= len(result.layouts) <= result.box_rows_sheets
    assert result.cost == sum(one.stock.price for one in result.layouts)
    assert (result.claim is Claim.FEWEST) == (result.area_bound == len(result.layouts))
    assert lay_on_sheets(room, stock, effort=short_effort).layouts == result.layouts


def test_smaller_sheet_where_it_costs_less(short_effort):
    stock = [sheet(2000, 1000, price=20.0), sheet(1000, 1000, price=8.0)]
    result = lay_on_sheets([box("b", 1, 900, 900)], stock, effort=short_effort)
    assert (result.cost, result.claim) == (8.0, Claim.FEWEST)


def test_too_few_sheets_name_what_is_left_over(short_effort):
    result = lay_on_sheets(
        [box("b", 5, 490, 490)], [sheet(1000, 1000, count=1)], gap_mm=10.0, effort=short_effort
    )
    assert result.left_over == (("b", 1),)
    assert result.claim is Claim.BEST_FOUND
    assert [w["code"] for w in stock_warnings(result)] == ["sheets-short"]
    assert stock_summary(result)["left_over"] == [{"name": "b", "count": 1}]


def test_a_piece_larger_than_every_sheet(short_effort):
    result = lay_on_sheets(
        [box("b", 1, 490, 490), box("long", 1, 1900, 300)], [sheet(1000, 1000)], effort=short_effort
    )
    assert [lost.name for lost in result.unfitting] == ["long"]
    assert result.unfitting[0].join.at_mm == (950.0,)
    assert len(result.layouts) == 1


def test_a_price_that_is_missing_is_not_nothing(short_effort):
    assert lay_on_sheets([box("b", 1, 490, 490)], [sheet(1000, 1000)], effort=short_effort).cost is None


def test_the_reader_can_stop_it(room):
    result = lay_on_sheets(room, [sheet(4000, 3000)], progress=lambda told: False)
    assert result.ended is Ended.STOPPED
    assert count_faults(result.layouts, {p.name: p.count for p in room}) == ()
    assert len(result.layouts) <= result.box_rows_sheets


def test_exact_and_diagonal_fits_are_laid(short_effort):
    pieces = [box("whole", 1, 1000, 1000), box("lath", 1, 1300, 50)]
    result = lay_on_sheets(pieces, [sheet(1000, 1000)], Turning(TurnRule.FREE), effort=short_effort)
    assert count_faults(result.layouts, {"whole": 1, "lath": 1}) == ()
    assert len(result.layouts) == 2


def test_no_sheets_is_an_error():
    with pytest.raises(ParameterError, match="stock is without sheets"):
        lay_on_sheets([box("b", 1, 1, 1)], [])


def test_a_busy_machine_gets_a_plan_that_covers_the_demand(monkeypatch):
    """Without time for the integer program parts of sheets are rounded up, and nothing is claimed of the plan."""
    patterns = [CuttingPattern(0, (2, 0)), CuttingPattern(0, (1, 1)), CuttingPattern(0, (0, 3))]
    ask = (patterns, [True] * 3, (7, 5), [None], [10.0])
    best = choose(*ask)
    monkeypatch.setattr("shellparts.stock.cutting_patterns._TIME_LIMIT_S", 0.0)
    plan = choose(*ask)
    assert best.optimal and not plan.optimal
    made = [sum(times * pattern.counts[piece] for pattern, times in plan.uses) for piece in (0, 1)]
    assert made == [7, 5] and plan.shortage == (0, 0)
    assert plan.sheets >= best.sheets

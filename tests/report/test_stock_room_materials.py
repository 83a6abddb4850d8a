"""The list of a whole room, worked out again by hand."""

import math

import pytest
from attrs import evolve
from click.testing import CliRunner

from shellparts import Design, Shell, Workshop, build, cloth_roll, cloth_sheet
from shellparts.base.progress import Silent
from shellparts.cli import main
from shellparts.parameters.workshop import EffortLevel, Prices, Templates
from shellparts.report.room_materials import lay, layouts_of, room_materials
from shellparts.sewing.bundle import SewingGraph
from shellparts.sewing.parts import strips_of
from shellparts.stock.results import RollResult
from shellparts.stock.verify import count_faults, faults
from shellparts.writers.pages import write_layouts


def line(materials, item):
    return next(one for one in materials.lines if one.item == item)


def test_every_layout_of_a_room_passes_its_checks(model_room):
    layouts = layouts_of(model_room.layout)
    assert not [fault for layout in layouts for fault in faults(layout, 10.0)]
    wanted = {piece.name: piece.count for piece in model_room.pattern.pieces}
    assert count_faults(layouts, wanted) == ()
    assert model_room.layout.unfitting == ()


def test_cloth_is_bought_by_the_sheet_or_by_the_metre(model_room):
    materials, layouts = model_room.materials, layouts_of(model_room.layout)
    cloth, second = materials.lines[:2]
    if isinstance(model_room.layout, RollResult):
        assert cloth.quantity == pytest.approx(math.ceil(layouts[0].length_mm / 100.0) / 10.0)
        assert second.quantity == pytest.approx(math.ceil(0.05 * cloth.quantity * 10.0) / 10.0)
    else:  # more than the spare share is left over: no whole sheet is bought for it
        assert materials.use.wasted_share > 0.05
        assert cloth.quantity == len(layouts)
        assert not [one.item for one in materials.lines if one.item.endswith("spare")]
    assert cloth.cost == pytest.approx(cloth.quantity * cloth.unit_price)
    assert materials.use.bought_m2 == pytest.approx(
        sum(one.length_mm * one.width_mm for one in layouts) / 1e6
    )


def test_mass_is_that_of_the_faces_and_the_allowances(model_room):
    materials = model_room.materials
    faces = sum(p.outline.flat_area_mm2 * p.count for p in model_room.pattern.pieces) * 1e-6
    mass = faces * model_room.cloth.mass_kg_m2.likely
    assert materials.mass_kg == pytest.approx(mass / (1.0 - materials.allowance_share))
    assert 0.02 < materials.allowance_share < 0.12


def test_thread_cord_and_tape_by_hand(model_room):
    materials = model_room.materials
    thread = line(materials, "sewing thread")
    seams = sum(max(seam.lengths_mm) for seam in model_room.pattern.seams) * 1e-3
    assert materials.seam_m == pytest.approx(seams, rel=1e-3)
    # A lockstitch takes 2 + 2 T S of thread (trade formula, ISO 4915 type 301): one row through one layer at
    # least, four rows through four layers of 0.25 mm at most, over all that is sewn, with 15 % for ends.
    sewn = materials.seam_m + materials.finished_m
    metres = model_room.order.thread_m
    assert 2.0 * sewn < metres < 4 * (2.0 + 2.0 * 1.0 / 2.0) * 1.15 * (sewn + 20.0)
    assert (thread.unit, thread.quantity) == ("spool of 500 m", math.ceil(1.1 * metres / 500.0))
    assert thread.cost == pytest.approx(0.01 * 500.0 * thread.quantity, abs=0.005)
    (sleeve,) = (p for p in model_room.pattern.pieces if p.kind.drawn)
    mouth = sum(edge.length_mm for edge in sleeve.edges if edge.role.value == "hem")
    tabs = sum(piece.count for piece in model_room.pattern.patches if piece.name == "tab")
    # A tie of 1.5 m for every tab, hanks of 20 m, rolls of tape of 25 m.
    cord = (mouth + 600.0) * 1e-3 + 1.5 * tabs
    assert line(materials, "cord").quantity == math.ceil(cord / 20.0)
    around = sum(one.length_mm for one in strips_of(SewingGraph.of(model_room.pattern))) * 1e-3
    assert line(materials, "tape").quantity == math.ceil(around / 25.0)
    vents = [e for p in model_room.pattern.pieces if p.kind.word == "tunnel" for e in p.edges if e.clips_mm]
    clips = sum(math.ceil(edge.length_mm / 100.0 - 1e-6) for edge in vents)
    assert line(materials, "clips for the vent").quantity == clips


def test_a_sheet_is_bought_to_spare_where_the_layouts_leave_too_little(rooms):
    room = rooms["lantern_room"]
    greedy = evolve(room, workshop=evolve(room.workshop, spare=room.materials.use.wasted_share + 0.05))
    spare = next(one for one in greedy.materials.lines if one.item.endswith("spare"))
    assert (spare.unit, spare.quantity) == ("sheet", 3)  # 43 % of five, rounded up


def test_bags_hold_what_the_room_needs(model_room):
    """Those of the plan: with them nothing that holding down asks for is lacking."""
    laid = model_room.plan.after.hold_down.plan
    assert laid.laid_kg >= laid.need_kg
    laid = model_room.known.air.bags
    bags = [one.quantity for one in model_room.materials.lines if one.item == "ballast bags"]
    count = laid.base.count + laid.tunnel_count
    assert bags == ([count] if count else [])


def test_the_total_is_the_sum_of_its_lines(model_room):
    record = model_room.materials.summary()
    costs = [one["cost"] for one in record["materials"]]
    assert record["cost_total"] == pytest.approx(sum(cost for cost in costs if cost is not None))
    assert record["cost_unpriced"] == ["fan"]
    assert [one["item"] for one in record["materials"] if one["cost"] is None] == ["fan"]


def test_the_summary_keeps_the_keys_that_others_rely_on(model_room):
    record = model_room.summary()
    promised = {"sheets_used", "area_bound_sheets", "utilisation", "roll_length_m", "hand_rule_utilisation"}
    assert promised <= set(record["stock"])
    assert all({"item", "quantity", "unit", "cost"} <= set(one) for one in record["materials"])
    assert record["cost_total"] > 0.0
    assert record["stock"]["utilisation"] == pytest.approx(
        record["stock"]["cut_m2"] / record["stock"]["bought_m2"]
    )


@pytest.fixture(scope="module")
def bare():
    """A small room without doorway or fan; its panels are some 1.2 m by 2.6 m."""
    return build(Design(name="bare", shell=Shell(panels=8, across="3 m", height="2.4 m")))


def test_what_is_too_large_is_joined_of_parts(bare):
    small = cloth_sheet("small", (2200, 1600), (2100, 1500), 20, price=5.0)
    room = evolve(bare, cloth=small)
    assert room.layout.unfitting == ()
    assert {"panel_a_1", "panel_b_1"} <= {piece.name for piece in room.pattern.pieces}


def test_what_no_join_can_help_is_named_and_the_run_goes_on(bare):
    """The flat cap is never joined."""
    small = cloth_sheet("small", (230, 210), (220, 200), 20, price=5.0)
    room = evolve(bare, cloth=small)
    names = [one.name for one in room.layout.unfitting]
    assert "panel" in names
    assert "piece-fits-nothing" in {one.code for one in room.warnings}
    missing = line(room.materials, "cloth for pieces not laid out")
    assert missing.cost is None
    lost = sum(room.pattern.piece(name).cut_area_mm2 * room.pattern.piece(name).count for name in names)
    assert missing.quantity == pytest.approx(lost * 1e-6)
    assert room.materials.summary()["cost_unpriced"] == ["cloth for pieces not laid out"]
    assert "without cloth for pieces not laid out" in room.materials.told
    assert room.summary()["stock"]["unfitting"] == names


def test_a_room_that_fits_nothing_at_all_still_has_its_list(bare, tmp_path):
    room = evolve(bare, cloth=cloth_roll("ribbon", width=60))
    assert layouts_of(room.layout) == ()
    assert room.materials.use.bought_m2 == 0.0
    assert "none is laid out" in room.materials.told
    write_layouts(layouts_of(room.layout), "bare", room.design.marking, tmp_path)
    assert list(tmp_path.iterdir()) == []
    assert room.summary()["stock"]["roll_length_m"] == 0.0


def test_sheets_that_run_out_are_said(bare):
    few = cloth_sheet("few", (3000, 2000), (2900, 1900), 20, price=5.0, on_hand=1)
    room = evolve(bare, cloth=few)
    assert len(room.layout.layouts) == 1
    assert "sheets-short" in {one.code for one in room.warnings}
    assert line(room.materials, "cloth for pieces not laid out").quantity > 0.0


def test_the_same_input_gives_the_same_layout(bare):
    cloth = cloth_roll("roll", width="1.5 m")
    first, second = (lay(bare.pattern, cloth, Workshop()) for _ in range(2))
    assert first.layout == second.layout


def test_prices_that_are_not_known_are_named(bare):
    cloth, workshop = cloth_roll("roll", width="1.5 m"), Workshop(prices=Prices(thread_m=None))
    found = room_materials(bare.pattern, lay(bare.pattern, cloth, workshop), workshop, bare.order, 0.2)
    assert set(found.summary()["cost_unpriced"]) >= {"roll", "sewing thread"}


@pytest.mark.parametrize(
    ("templates", "item"),
    [(Templates.BOARD, "board for templates"), (Templates.PAPER, "paper for templates")],
)
def test_templates_are_of_board_or_paper(bare, templates, item):
    found = evolve(bare, workshop=Workshop(templates=templates)).materials
    assert line(found, item).quantity >= 1
    assert sum("templates" in one.item for one in found.lines) == 1


def test_more_patience_can_be_asked_for(bare):
    assert bare.with_layout("better").workshop.layout.value == "better"
    assert bare.with_layout("better").design is bare.design


def test_the_command_line_knows_the_words_of_patience():
    words = {patience.value for patience in EffortLevel}
    (option,) = (one for one in main.commands["make"].params if one.name == "layout")
    assert set(option.type.choices) == words
    refused = CliRunner().invoke(main, ["make", "room.py", "--layout", "slow"])
    assert refused.exit_code == 2
    assert all(word in refused.output for word in words)


def test_the_search_tells_how_far_it_is_and_is_done_once(rooms):
    class Watcher(Silent):
        def part(self, share):
            told.append(share)

    room, told = evolve(rooms["lantern_room"], fan=None), []  # without a fan no form is looked for
    made = room.made(Watcher())
    assert told
    assert told == sorted(told)
    assert 0.0 <= told[0] <= told[-1] <= 1.0
    assert room.layout is made.layout
    count = len(told)
    assert room.made(Watcher()).layout is made.layout
    assert len(told) == count

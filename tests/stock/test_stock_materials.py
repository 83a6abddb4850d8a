"""Quantities and cost, worked again by hand."""

import pytest

from shellparts.base.errors import ParameterError
from shellparts.parameters.stocks import Roll, Sheet
from shellparts.pattern.cut_pieces import CutPiece
from shellparts.stock import quantities as q
from shellparts.stock.layout import Placement, assemble
from shellparts.stock.materials import MaterialLine, cloth_lines, cost_total, materials_summary, spare_line

FLAP = CutPiece("flap", 1, [(0, 0), (1230, 0), (1230, 1000), (0, 1000)])
ROLL = Roll(name="example roll", width_mm=1500.0, price_per_m=4.0, mass_g_m2=70.0)
SHEET = Sheet(
    name="example sheet", nominal_length_mm=3000, nominal_width_mm=2000,
    finished_length_mm=2900, finished_width_mm=1900, hem_mm=30, price=9.0,
)  # fmt: skip


def test_cloth_bought_cut_and_wasted():
    use = q.cloth_use([assemble(ROLL, [FLAP], [Placement(0, 0.0, 0.0, 0.0)])])
    assert use.bought_m2 == pytest.approx(1.23 * 1.5)
    assert use.cut_m2 == pytest.approx(1.23)
    assert use.wasted_m2 == pytest.approx(1.23 * 0.5)
    assert use.wasted_share == pytest.approx(1 / 3)
    assert q.cloth_use([]).wasted_share == 0.0


def test_pages_by_hand():
    # 190 x 277 mm pages with 10 mm overlap advance 180 x 267 mm. A 3600 x 1100 mm panel: upright 20 x 5 = 100
    # (3590/180 -> 20, 1090/267 -> 5), lying 14 x 7 = 98 (3590/267 -> 14, 1090/180 -> 7).
    assert q.paper_pages(3600.0, 1100.0) == 98
    with pytest.raises(ParameterError, match="page is 10 mm"):
        q.paper_pages(100.0, 100.0, page_mm=(10.0, 277.0), overlap_mm=10.0)


def test_mass_of_the_room_within_its_allowances():
    # Faces of 24.0 m2 cut out at 25.2 m2, cloth of 110 g/m2: 2.64 kg of faces, 2.772 kg of room.
    share = q.allowance_share(25.2, 24.0)
    assert share == pytest.approx(0.047619, abs=1e-6)
    assert q.cloth_mass_kg(25.2, 110.0) * (1.0 - share) == pytest.approx(24.0 * 0.110)
    with pytest.raises(ParameterError, match="sewn area is 26 m2; it must be at most the cut area, 25 m2"):
        q.allowance_share(25.0, 26.0)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: q.strip_m([-1.0]), "length of a run is -1 mm"),
        (lambda: q.cloth_mass_kg(float("nan"), 1.0), "area of cloth is nan m2"),
        (lambda: MaterialLine("cord", -1.0, "m", 1.0, ""), "quantity of 'cord' is -1"),
        (lambda: spare_line(MaterialLine("cord", 1.0, "m", 1.0, ""), -0.1), "spare of 'cord' is -0.1"),
    ],
)
def test_bad_figures_are_refused(call, message):
    with pytest.raises(ParameterError, match=message):
        call()


def test_cost_worked_by_hand():
    layouts = [assemble(ROLL, [FLAP], [Placement(0, 0.0, 0.0, 0.0)])] + [
        assemble(SHEET, [FLAP], [Placement(0, 0.0, 0.0, 0.0)])
    ] * 2
    lines = [*cloth_lines(layouts)]
    assert [(line.item, line.quantity, line.unit, line.cost) for line in lines] == [
        ("example roll", 1.3, "m", 5.2),
        ("example sheet", 2, "sheet", 18.0),
    ]
    lines.append(spare_line(lines[0], 0.1))
    lines.append(MaterialLine("thread", 236.9, "m", 0.012, "41.2 m x 2.5 x 2 + 15 %"))
    lines.append(MaterialLine("bag", 8, "bag", None, "120 kg at 15 kg"))
    total = cost_total(lines)
    # 5.20 + 18.00 + 0.52 + 2.84
    assert (total.cost, total.unpriced) == (pytest.approx(26.56), ("bag",))
    summary = materials_summary(lines)
    assert set(summary["materials"][0]) == {"item", "quantity", "unit", "cost", "basis"}
    assert summary["materials"][-1]["cost"] is None
    assert summary["cost_total"] == pytest.approx(sum(m["cost"] or 0.0 for m in summary["materials"]))
    assert summary["cost_unpriced"] == ["bag"]
    assert "rounded up" in summary["materials"][0]["basis"]

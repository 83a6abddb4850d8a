"""The tables, read back with the csv module and with the library's own reader of lengths."""

import csv

import pytest

from shellparts.base.units import to_mm
from shellparts.parameters import Marking
from shellparts.report.order_record import order_record
from shellparts.stock.materials import MaterialLine
from shellparts.writers.sewing_tables import write_notches, write_seams, write_sewing_order
from shellparts.writers.table import columns, write_table
from shellparts.writers.tables import (
    write_materials,
    write_patches,
    write_pieces,
    write_stations,
)


def rows_of(path):
    text = path.read_bytes()
    assert b"\r" not in text
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert all(None not in row and None not in row.values() for row in rows), (
        "a row of another length than its head"
    )
    return rows


def test_a_row_of_another_length_than_the_head_is_refused(tmp_path):
    with pytest.raises(ValueError, match="zip"):
        write_table(tmp_path / "a.csv", columns("one two"), [(1, 2, 3)])


def test_pieces(model_room, tmp_path):
    write_pieces(model_room.pattern, model_room.design.marking, tmp_path / "pieces.csv")
    rows = rows_of(tmp_path / "pieces.csv")
    assert [row["piece"] for row in rows] == [piece.name for piece in model_room.pattern.pieces]
    for row, piece in zip(rows, model_room.pattern.pieces, strict=True):
        assert int(row["count"]) == len(row["sheets"].split()) == piece.count
        assert float(row["sewing_area_m2"]) == pytest.approx(piece.outline.flat_area_mm2 / 1e6, abs=6e-5)
        assert float(row["cut_area_m2"]) > float(row["sewing_area_m2"])
        assert float(row["cut_area_m2"]) <= float(row["length_mm"]) * float(row["width_mm"]) / 1e6 + 1e-4
    names = {row["piece"] for row in rows}
    assert {row["mirror_of"] for row in rows} - {""} <= names
    assert sum(int(row["count"]) for row in rows) == len(model_room.body.sheets)


def test_patches(model_room, tmp_path):
    write_patches(model_room.pattern, model_room.design.marking, tmp_path / "patches.csv")
    rows = rows_of(tmp_path / "patches.csv")
    hosts = {piece.name: piece for piece in model_room.pattern.pieces}
    for patch in model_room.pattern.patches:
        own = [row for row in rows if row["patch"] == patch.name]
        assert sum(int(row["count"]) for row in own) == patch.count
        assert {row["side"] for row in own} == {"outside" if patch.name == "tab" else "inside"}
    for row in rows:
        ys = hosts[row["sewn_onto"]].outline.outer.polyline(1.0)[:, 1]
        assert ys.min() - 0.1 <= float(row["up_mm"]) <= ys.max() + 0.1


def test_seams(model_room, tmp_path):
    write_seams(model_room.pattern, model_room.design.marking, tmp_path / "seams.csv")
    rows = rows_of(tmp_path / "seams.csv")
    ids = [row["seam"] for row in rows]
    assert ids == sorted(set(ids))
    edges = {(piece.name, edge.id) for piece in model_room.pattern.pieces for edge in piece.all_edges}
    sheets = {sheet.name for sheet in model_room.body.sheets}
    for row in rows:
        assert {(row["piece_a"], row["edge_a"]), (row["piece_b"], row["edge_b"])} <= edges
        assert {row["sheet_a"], row["sheet_b"]} <= sheets
        assert float(row["length_a_mm"]) == pytest.approx(float(row["length_b_mm"]), abs=0.11)
        assert float(row["allowance_mm"]) > 0
        assert int(row["notches"]) >= 0


def test_notches_of_both_edges_of_a_seam_lie_alike(model_room, tmp_path):
    """Read from the table alone: along the one edge from its beginning as along the other from its end."""
    marking = model_room.design.marking
    write_notches(model_room.pattern, marking, tmp_path / "notches.csv")
    write_seams(model_room.pattern, marking, tmp_path / "seams.csv")
    by_edge: dict[str, list] = {}
    for row in rows_of(tmp_path / "notches.csv"):
        by_edge.setdefault(f"{row['piece']}:{row['edge']}", []).append(row)
        if marking.tape.value == "imperial":
            assert to_mm(row["at_tape"]) == pytest.approx(float(row["at_mm"]), abs=25.4 / 32 + 0.1)
    for seam in rows_of(tmp_path / "seams.csv"):
        one, other = (f"{seam[f'piece_{x}']}:{seam[f'edge_{x}']}" for x in "ab")
        mine, theirs = by_edge.get(one, []), by_edge.get(other, [])
        assert len(mine) == len(theirs) == int(seam["notches"])
        for a, b in zip(mine, reversed(theirs), strict=True):
            assert (a["ticks"], a["seams"].count(seam["seam"])) == (b["ticks"], 1)
            assert float(a["at_mm"]) == pytest.approx(float(b["left_to_end_mm"]), abs=0.11)
            assert other in a["meets"].split()


@pytest.mark.parametrize(("tape", "half_step"), [("metric", 0.5), ("imperial", 25.4 / 32)])
def test_stations_say_the_same_on_both_tapes(model_room, tmp_path, tape, half_step):
    """A metric tape reads whole millimetres, an imperial one sixteenths of an inch: the text is within half a step."""
    write_stations(model_room.pattern, Marking(tape=tape), tmp_path / "stations.csv")
    rows = rows_of(tmp_path / "stations.csv")
    assert {row["piece"] for row in rows} == {piece.name for piece in model_room.pattern.pieces}
    for row in rows:
        for column in ("distance", "left_sewing", "right_sewing", "left_cutting", "right_cutting"):
            if not row[f"{column}_mm"]:
                assert not row[f"{column}_tape"] and "sewing" in column
                continue
            value, text = float(row[f"{column}_mm"]), row[f"{column}_tape"]
            shown = -to_mm(text[1:], column) if text.startswith("-") else to_mm(text, column)
            assert abs(shown - value) <= half_step + 0.051, (column, value, text)
            assert ('"' in text or "in" in text or "ft" in text) == (tape == "imperial"), text
        if row["left_sewing_mm"]:
            assert float(row["left_cutting_mm"]) >= float(row["left_sewing_mm"]) - 0.05
            assert float(row["right_cutting_mm"]) >= float(row["right_sewing_mm"]) - 0.05


def test_stations_go_up_and_openings_lie_inside(model_room, tmp_path):
    write_stations(model_room.pattern, model_room.design.marking, tmp_path / "stations.csv")
    last: dict[str, float] = {}
    for row in rows_of(tmp_path / "stations.csv"):
        distance = float(row["distance_mm"])
        assert distance >= last.get(row["piece"], -1e9)
        last[row["piece"]] = distance
        edge = -float(row["left_sewing_mm"] or 0.0)
        for gap in row["openings_mm"].split():
            a, b = map(float, gap.split(".."))
            assert edge - 0.1 <= a <= b <= float(row["right_sewing_mm"] or 0.0) + 0.1
            edge = b
        assert "-0.0" not in ",".join(row.values()).replace("-0.05", "").split(",")


def test_sewing_order(model_room, tmp_path):
    write_sewing_order(
        model_room.order, model_room.pattern, model_room.design.marking, tmp_path / "order.csv"
    )
    table = rows_of(tmp_path / "order.csv")
    assert [int(row["step"]) for row in table] == list(range(1, len(table) + 1))
    seams = [seam for row in table for seam in row["seams"].split()]
    assert sorted(seams) == sorted(seam.id for seam in model_room.pattern.seams)
    lengths = {seam.id: seam.lengths_mm[0] for seam in model_room.pattern.seams}
    for row in table:
        if row["do"] == "sew":
            total = sum(lengths[seam] for seam in row["seams"].split())
            assert float(row["length_mm"]) == pytest.approx(total, abs=0.051)
        assert row["how"]
        assert int(row["hands"]) >= 1


def test_the_record_of_the_order_adds_up(model_room):
    record = order_record(model_room.order)
    steps = record["steps"]
    assert record["thread_m"] == pytest.approx(sum(step["thread_m"] for step in steps))
    assert record["time_h"] == pytest.approx(sum(step["time_min"] for step in steps) / 60)
    assert record["seam_length_mm"] == pytest.approx(
        sum(seam.lengths_mm[0] for seam in model_room.pattern.seams)
    )
    # Needle and bobbin thread lie along every row at least once each, and no cloth here doubles that.
    sewn = (record["seam_length_mm"] + record["hem_length_mm"]) / 1000
    assert 2 * sewn < record["thread_m"] < 3 * 3 * sewn


def test_materials_and_their_total(tmp_path):
    lines = (
        MaterialLine("cord, white", 20.25, "m", 0.4, "hem, all around"),
        MaterialLine("bags", 8, "bag", None, "ballast"),
    )
    write_materials(lines, tmp_path / "m.csv")
    cord, bags, total = rows_of(tmp_path / "m.csv")
    assert (cord["item"], cord["quantity"], cord["unit"], cord["cost"]) == (
        "cord, white",
        "20.25",
        "m",
        "8.10",
    )
    assert cord["basis"] == "hem, all around"
    assert (bags["quantity"], bags["unit_price"], bags["cost"]) == ("8", "", "")
    assert (total["item"], total["cost"]) == ("total", "8.10")
    assert "bags" in total["basis"]


def test_materials_of_a_room_add_up(model_room, tmp_path):
    write_materials(model_room.materials.lines, tmp_path / "m.csv")
    *lines, total = rows_of(tmp_path / "m.csv")
    assert len(lines) == len(model_room.materials.lines)
    priced = [one for one in lines if one["cost"]]
    assert [one["item"] for one in lines if not one["cost"]] == ["fan"]
    assert abs(sum(float(one["cost"]) for one in priced) - float(total["cost"])) < 0.005
    for one in priced:
        assert abs(float(one["quantity"]) * float(one["unit_price"]) - float(one["cost"])) < 0.02

"""The table of materials, read back."""

import csv

from shellparts.stock.materials import MaterialLine
from shellparts.writers.materials_table import write_materials


def rows(path):
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_lines_and_total_are_read_back(tmp_path):
    lines = (
        MaterialLine("cord, white", 20.25, "m", 0.4, "hem, all around"),
        MaterialLine("bags", 8, "bag", None, "ballast"),
    )
    write_materials(lines, tmp_path / "m.csv")
    cord, bags, total = rows(tmp_path / "m.csv")
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


def test_a_room_adds_up(model_room, tmp_path):
    write_materials(model_room.materials.lines, tmp_path / "m.csv")
    *lines, total = rows(tmp_path / "m.csv")
    assert len(lines) == len(model_room.materials.lines)
    assert abs(sum(float(one["cost"]) for one in lines) - float(total["cost"])) < 0.005
    for one in lines:
        assert abs(float(one["quantity"]) * float(one["unit_price"]) - float(one["cost"])) < 0.02

"""The order of sewing as a table and in the summary."""

import csv

import pytest

from shellparts.writers.order_table import order_record, write_sewing_order


def test_the_table_read_back(model_room, tmp_path):
    write_sewing_order(model_room.order, tmp_path / "order.csv")
    with (tmp_path / "order.csv").open(encoding="utf-8", newline="") as file:
        table = list(csv.DictReader(file))
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


def test_the_record_adds_up(model_room):
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

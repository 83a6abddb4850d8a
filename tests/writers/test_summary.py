"""summary.json: the keys that others script against, a unit at the end of every one, finite numbers only."""

import json
import math

import pytest

from shellparts.report.pattern_record import summary_text, write_summary

PIECE = {
    "name", "part", "count", "faces", "sewing_area_m2", "face_area_m2", "sewing_perimeter_mm", "closure_mm",
    "cut_area_m2", "length_mm", "width_mm", "edges",
}  # fmt: skip
BODY = {
    "height_mm", "base_diameter_mm", "surface_area_m2", "floor_area_m2", "envelope_volume_m3", "solids", "watertight",
}  # fmt: skip
SEAM = {"id", "pieces", "edges", "length_a_mm", "length_b_mm", "mismatch_mm", "notches", "allowance_mm"}
UNITS = (
    "_mm", "_m", "_mm2", "_m2", "_m3", "_deg", "_Pa", "_N", "_kg", "_m3_s", "_m_s", "_s", "_W", "_N_per_m", "_C", "_K",
    "_l_s_person", "_co2_steady_ppm", "_ppm", "_per_h", "_g_m2", "_kg_m2", "_kg_m3", "_rad", "_J", "_min", "_h", "_l_s",
    "_L_s", "_L_s_person", "_L_s_m2", "_percent", "_met", "_lm", "_m2_K_W", "_W_m2_K", "_mm_tape",
)  # fmt: skip
#: Numbers that have no unit: counts, shares, factors.
PLAIN = {"at",
    "panels", "panel", "model_scale", "solids", "count", "faces", "notches", "capacity", "lift_ratio", "wide", "high",
}  # fmt: skip


@pytest.fixture
def record(model_room):
    return json.loads(summary_text(model_room.summary()))


def numbers(value, key="", path=""):
    """Every number of a record, with its own key and the way to it."""
    if isinstance(value, dict):
        for name, item in value.items():
            yield from numbers(item, name, f"{path}/{name}")
    elif isinstance(value, list):
        for item in value:
            yield from numbers(item, key, path)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield key, path, value


def test_the_promised_keys_are_there(record):
    assert {"name", "version", "parameters", "body", "pieces", "seams", "warnings"} <= set(record)
    assert set(record["body"]) >= BODY
    assert record["body"]["solids"] == 1
    assert record["body"]["watertight"] is True
    for piece in record["pieces"]:
        assert set(piece) >= PIECE
        for edge in piece["edges"]:
            assert set(edge) >= {"id", "length_mm", "face_edge_length_mm", "kind", "seam"}
            assert edge["kind"] in {"seam", "hem", "fold", "open"}
            assert (edge["seam"] is not None) == (edge["kind"] == "seam")
    for seam in record["seams"]:
        assert set(seam) >= SEAM
    for warning in record["warnings"]:
        assert set(warning) >= {"code", "message", "remedy"}


def test_the_heights_at_each_pressure_are_told(record):
    curve = record["inflated"]["standing_curve"]
    assert len(curve) >= 5
    for row in curve:
        assert set(row) == {"pressure_Pa", "roof_height_mm", "way_out_height_mm", "residual"}
        assert row["way_out_height_mm"] < row["roof_height_mm"] < 1.01 * record["body"]["height_mm"]
    assert [row["pressure_Pa"] for row in curve] == sorted(row["pressure_Pa"] for row in curve)


def test_every_number_is_finite(record):
    assert all(math.isfinite(value) for _, _, value in numbers(record))


def test_every_size_of_the_solid_and_the_cloth_ends_with_its_unit(record):
    """Of the body, the pieces, the seams and the parameters of the shape."""
    shape = {name: record[name] for name in ("body", "pieces", "seams", "parameters")}
    faults = {path for key, path, _ in numbers(shape) if not key.endswith(UNITS) and key not in PLAIN}
    assert faults == set()


def test_seams_and_pieces_refer_to_each_other(record):
    edges = {(piece["name"], edge["id"]): edge for piece in record["pieces"] for edge in piece["edges"]}
    assert len(edges) == sum(len(piece["edges"]) for piece in record["pieces"])
    seams = {seam["id"] for seam in record["seams"]}
    assert len(seams) == len(record["seams"])
    for seam in record["seams"]:
        for piece, edge in zip(seam["pieces"], seam["edges"], strict=True):
            assert edges[piece, edge]["kind"] == "seam"
    assert {s for edge in edges.values() for s in edge.get("seams", ())} <= seams


def test_parameters_give_the_same_design_again(model_room, record):
    """What is recorded is what was asked, in millimetres."""
    shell = record["parameters"]["shell"]
    assert shell["panels"] == model_room.design.shell.panels
    assert shell["across_mm"] == pytest.approx(model_room.design.shell.across)
    assert shell["height_mm"] == pytest.approx(model_room.design.shell.height)


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_a_number_that_is_none_is_refused(bad):
    with pytest.raises(ValueError, match="finite"):
        summary_text({"a": [{"b_mm": bad}]})


def test_numbers_are_printed_to_twelve_digits():
    assert json.loads(summary_text({"a": math.pi * 1000})) == {"a": 3141.59265359}
    assert json.loads(summary_text({"a": (1, True, None, "x", 0.1 + 0.2)})) == {
        "a": [1, True, None, "x", 0.3]
    }


def test_the_file_is_ascii_with_plain_line_ends(tmp_path):
    write_summary({"title": "Café – 14′"}, tmp_path / "summary.json")
    raw = (tmp_path / "summary.json").read_bytes()
    raw.decode("ascii")
    assert raw.endswith(b"}\n")
    assert b"\r" not in raw
    assert json.loads(raw) == {"title": "Café – 14′"}

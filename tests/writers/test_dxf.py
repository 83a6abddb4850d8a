"""DXF read back with ezdxf's own audit, entity by entity."""

import math
import os
import subprocess
import sys

import ezdxf
import numpy as np
import pytest
from ezdxf import path as ezpath

from shellparts.drawing.piece import draw_piece, draw_sheet_of_pieces
from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke, stroke_of_points
from shellparts.drawing.styles import CLOTH_LAYERS
from shellparts.writers.dxf import write_dxf

#: DXF reference, header variable $INSUNITS: 4 is millimetres.
MILLIMETRES = 4


def read(path):
    document = ezdxf.readfile(path)
    audit = document.audit()
    assert not audit.errors
    assert not audit.fixes
    return document


def measured(polyline) -> tuple[float, float]:
    """Length and signed area of a closed polyline with bulges, in closed form."""
    rows = np.array(polyline.get_points("xyb"))
    length = area = 0.0
    for (x0, y0, bulge), (x1, y1, _) in zip(rows, np.roll(rows, -1, axis=0), strict=True):
        chord = math.hypot(x1 - x0, y1 - y0)
        area += (x0 * y1 - y0 * x1) / 2
        if bulge:
            angle = 4 * math.atan(bulge)
            radius = chord / (2 * math.sin(abs(angle) / 2))
            length += radius * abs(angle)
            area += radius**2 * (angle - math.sin(angle)) / 2
        else:
            length += chord
    return length, area


@pytest.fixture
def sheet(model_room, tmp_path):
    write_dxf(draw_sheet_of_pieces(model_room.pattern.pieces), tmp_path / "room.dxf")
    return model_room, read(tmp_path / "room.dxf")


def test_header_says_millimetres_and_extents(sheet):
    _, document = sheet
    assert document.header["$INSUNITS"] == MILLIMETRES
    assert document.header["$MEASUREMENT"] == 1
    lines = document.modelspace().query("LWPOLYLINE")
    points = np.array([(p.x, p.y) for line in lines for p in ezpath.make_path(line).flattening(0.01)])
    assert document.header["$EXTMIN"][:2] == pytest.approx(points.min(axis=0), abs=0.02)
    assert document.header["$EXTMAX"][:2] == pytest.approx(points.max(axis=0), abs=0.02)


def test_every_layer_has_a_purpose_and_nothing_lies_on_layer_0(sheet):
    _, document = sheet
    space = document.modelspace()
    wanted = {layer.value for layer in CLOTH_LAYERS}
    assert {layer.dxf.name for layer in document.layers} == {*wanted, "0", "Defpoints"}
    used = {entity.dxf.layer for entity in space}
    assert used <= wanted
    assert {entity.dxftype() for entity in space} == {"LWPOLYLINE", "TEXT"}
    # Colour by layer: 256 is "by layer".
    assert {entity.dxf.color for entity in space} == {256}


def test_sewing_lines_are_closed_and_measure_what_the_faces_do(model_room, tmp_path):
    """Each piece in a file of its own; a polyline is at most 0.02 mm inside its curve."""
    for piece in model_room.pattern.pieces:
        write_dxf(draw_piece(piece), tmp_path / "piece.dxf")
        lines = read(tmp_path / "piece.dxf").modelspace().query('LWPOLYLINE[layer=="SEW_HERE"]')
        assert len(lines) == 1 + len(piece.holes)
        assert all(line.closed for line in lines)
        sums = np.sum([measured(line) for line in lines], axis=0)
        assert sums[0] == pytest.approx(piece.outline.perimeter_mm, rel=1e-5, abs=0.01)
        slack = 0.02 * piece.outline.perimeter_mm + 1e-6
        assert sums[1] == pytest.approx(piece.outline.flat_area_mm2, abs=slack)
        assert sums[1] == pytest.approx(
            piece.outline.face_area_mm2, rel=1e-6 if piece.kind.word != "cap" else 1, abs=slack
        )


def test_cutting_lines_are_closed_and_there_is_one_of_each_piece(sheet):
    room, document = sheet
    lines = document.modelspace().query('LWPOLYLINE[layer=="CUT_HERE"]')
    assert all(line.closed for line in lines)
    areas = sorted(measured(line)[1] for line in lines)
    outer = sorted(a for a in areas if a > 0)
    assert len(outer) == len(room.pattern.pieces)
    total = sum(piece.cut_area_mm2 for piece in room.pattern.pieces)
    assert sum(areas) == pytest.approx(total, rel=1e-6)


def test_arcs_stay_arcs(tmp_path):
    """A half disc of radius 50: one bulge of 1 and one straight line."""
    half = Stroke(Layer.SEWING, np.array([[50.0, 0.0], [-50.0, 0.0]]), np.array([1.0, 0.0]), True)
    write_dxf(Drawing((half,)), tmp_path / "half.dxf")
    document = read(tmp_path / "half.dxf")
    (line,) = document.modelspace()
    assert measured(line) == pytest.approx((50 * math.pi + 100, 1250 * math.pi))
    assert document.header["$EXTMAX"][:2] == pytest.approx((50, 50))
    assert document.header["$EXTMIN"][:2] == pytest.approx((-50, 0))


def test_a_text_is_centred_and_turned(tmp_path):
    square = stroke_of_points(Layer.CUTTING, [[0, 0], [100, 0], [100, 100]], closed=True)
    label = Label(Layer.EDGE, "S01", np.array([30.0, 40.0]), 7.5, math.pi / 3)
    write_dxf(Drawing((square,), (label,)), tmp_path / "a.dxf")
    (text,) = read(tmp_path / "a.dxf").modelspace().query("TEXT")
    _, place, _ = text.get_placement()
    assert tuple(place)[:2] == pytest.approx((30, 40))
    assert (text.dxf.height, text.dxf.rotation) == pytest.approx((7.5, 60))


def test_the_same_drawing_gives_the_same_bytes_and_leaves_ezdxf_as_it_was(rooms, tmp_path):
    drawing = draw_sheet_of_pieces(rooms["lantern_room"].pattern.pieces)
    before = ezdxf.options.write_fixed_meta_data_for_testing
    write_dxf(drawing, tmp_path / "a.dxf")
    write_dxf(drawing, tmp_path / "b.dxf")
    assert (tmp_path / "a.dxf").read_bytes() == (tmp_path / "b.dxf").read_bytes()
    assert ezdxf.options.write_fixed_meta_data_for_testing == before
    assert read(tmp_path / "a.dxf").dxfversion == "AC1024"  # R2010


def test_other_processes_write_the_same_bytes(tmp_path):
    """Python's hashes, and with them the order of sets of words, change from process to process."""
    code = (
        "import sys\nfrom pathlib import Path\n"
        "from shellparts.drawing.strokes import Drawing, Layer, stroke_of_points\n"
        "from shellparts.writers.dxf import write_dxf\n"
        "write_dxf(Drawing((stroke_of_points(Layer.FOLD, [[0, 0], [9, 4]]),)), Path(sys.argv[1]))\n"
    )
    for seed in ("1", "2", "77", "1234"):
        environment = {**os.environ, "PYTHONHASHSEED": seed}
        subprocess.run([sys.executable, "-c", code, tmp_path / f"{seed}.dxf"], env=environment, check=True)
    assert len({path.read_bytes() for path in tmp_path.iterdir()}) == 1

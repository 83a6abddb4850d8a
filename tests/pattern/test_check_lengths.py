"""Diagonals, marks on curves and half templates, measured with shapely."""

import csv

import numpy as np
import pytest
import shapely
from room_checks import cutting_polygon, ring_of, sewing_polygon

from shellparts.parameters import Marking
from shellparts.pattern.check_lengths import Check, check_lengths, corners_of, half_stations
from shellparts.writers.tables import write_check_lengths


def rows(piece, what, **words):
    return [row for row in check_lengths(piece, 200.0, **words) if row.what is what]


def test_a_plain_panel_lies_square_when_its_diagonals_are_equal(model_room):
    piece = model_room.pattern.piece("panel")
    a, b = rows(piece, Check.DIAGONAL)
    assert a.length_mm == pytest.approx(b.length_mm, abs=1e-2)
    left, low, right, high = sewing_polygon(piece).bounds
    assert a.length_mm <= np.hypot(right - left, high - low) + 1e-6
    assert a.length_mm > 0.9 * (high - low)
    assert corners_of(piece)["lower left"][0] == pytest.approx(-corners_of(piece)["lower right"][0], abs=1e-2)


@pytest.mark.parametrize("sagitta", [1.0, 0.2])
def test_straight_lines_between_marks_stay_within_the_sagitta(model_room, sagitta):
    worst = 0.0
    for piece in model_room.pattern.pieces:
        for edge in piece.all_edges:
            marks = [row for row in rows(piece, Check.MARK, sagitta_mm=sagitta) if row.name == edge.id]
            if not marks:
                continue
            points = np.array([(row.across_mm, row.along_mm) for row in marks])
            curve = shapely.LineString(edge.polyline(0.002))
            apart = shapely.hausdorff_distance(shapely.LineString(points), curve, densify=0.01)
            assert apart <= sagitta + 0.005, (piece.name, edge.id)
            worst = max(worst, apart)
            ring = curve.is_ring  # where the last mark lies on the first one
            places = [curve.project(shapely.Point(p)) for p in points[: -1 if ring else None]]
            assert [row.length_mm for row in marks] == pytest.approx(
                [*places, edge.length_mm] if ring else places, abs=2.0
            )
            straight = np.linalg.norm(np.diff(points, axis=0), axis=1)
            assert [row.straight_mm for row in marks[1:]] == pytest.approx(straight)
    assert worst > 0.5 * sagitta  # the marks are not wastefully close


def test_a_half_template_on_the_fold_gives_the_whole(model_room):
    piece = model_room.pattern.piece("panel")
    half = [row for row in half_stations(piece, 25.0) if row.across_mm is not None]
    along = np.array([row.along_mm for row in half])
    area = 2 * np.trapezoid([row.across_mm for row in half], along)
    assert area == pytest.approx(sewing_polygon(piece).area, rel=2e-3)
    middle = len(half) // 2
    level = shapely.LineString([(-1e5, along[middle]), (1e5, along[middle])])
    assert half[middle].cutting_mm == pytest.approx(
        cutting_polygon(piece).intersection(level).bounds[2], abs=1e-2
    )


def test_a_piece_that_is_not_alike_on_both_sides_has_none(rooms):
    assert half_stations(rooms["tide_dome"].pattern.piece("panel_doorway_2"), 200.0) == []
    assert half_stations(rooms["tide_dome"].pattern.piece("panel_sleeve"), 200.0) == []


def test_the_table(rooms, tmp_path):
    pattern = rooms["orchard_pavilion"].pattern
    write_check_lengths(pattern, Marking(tape="imperial"), tmp_path / "check.csv")
    with (tmp_path / "check.csv").open(encoding="utf-8", newline="") as file:
        table = list(csv.DictReader(file))
    for piece in pattern.pieces:
        found = [row for row in table if row["piece"] == piece.name and row["what"] == "edge"]
        assert sum(float(row["length_mm"]) for row in found) == pytest.approx(
            sum(shapely.LinearRing(ring_of(loop)).length for loop in (piece.edges, *piece.holes)),
            abs=0.1 * len(found),
        )
        assert all("in" in row["length_tape"] or "ft" in row["length_tape"] for row in found)

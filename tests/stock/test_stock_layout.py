"""Layouts, their checks and what a chalk-out sheet needs of them."""

import numpy as np
import pytest
import shapely

from shellparts.parameters.stocks import Roll, Sheet
from shellparts.pattern.cut_pieces import CutPiece
from shellparts.stock.layout import Placement, assemble, cut_pieces, running_dimensions
from shellparts.stock.verify import count_faults, faults

FLAP = CutPiece("flap", 2, [(0, 0), (500, 0), (500, 400), (0, 400)])
ROLL = Roll(name="roll", width_mm=1000.0, edge_mm=20.0)
SHEET = Sheet(
    name="sheet", nominal_length_mm=2100, nominal_width_mm=1100,
    finished_length_mm=2000, finished_width_mm=1000, hem_mm=30,
)  # fmt: skip


def kinds(layout, gap):
    return [fault.kind for fault in faults(layout, gap)]


def test_a_good_layout_has_no_faults():
    layout = assemble(ROLL, [FLAP], [Placement(0, 0.0, 0.0, 0.0), Placement(0, 0.0, 0.0, 410.0)])
    assert faults(layout, 10.0) == ()
    assert layout.length_mm == 500.0
    assert layout.utilisation == pytest.approx(2 * 0.2 / 0.5)


@pytest.mark.parametrize(
    ("placement", "gap", "kind", "amount"),
    [
        (Placement(0, 0.0, 0.0, 395.0), 0.0, "overlap", 500.0 * 5.0),
        (Placement(0, 0.0, 0.0, 409.8), 10.0, "gap", 0.2),
        (Placement(0, 0.0, 0.0, 560.2), 10.0, "margin", 0.2),
        (Placement(0, 0.0, -0.2, 410.0), 10.0, "margin", 0.2),
    ],
)
def test_each_fault_is_found_and_measured(placement, gap, kind, amount):
    layout = assemble(ROLL, [FLAP], [Placement(0, 0.0, 0.0, 0.0), placement])
    (fault,) = faults(layout, gap)
    assert (fault.kind, fault.amount) == (kind, pytest.approx(amount, rel=1e-6))


def test_overlap_that_only_one_corner_has():
    tip = CutPiece("tip", 1, [(0, 0), (50, 0), (0, 50)])
    layout = assemble(ROLL, [FLAP, tip], [Placement(0, 0.0, 0.0, 0.0), Placement(1, 0.0, 495.0, 395.0)])
    assert kinds(layout, 0.0) == ["overlap"]


def test_faults_below_the_tolerance_pass():
    layout = assemble(ROLL, [FLAP], [Placement(0, 0.0, 0.0, 0.0), Placement(0, 0.0, 0.0, 409.95)])
    assert faults(layout, 10.0) == ()


def test_hem_is_kept_on_all_four_sides():
    whole = CutPiece("whole", 1, [(0, 0), (1940, 0), (1940, 940), (0, 940)])
    assert faults(assemble(SHEET, [whole], [Placement(0, 0.0, 0.0, 0.0)]), 0.0) == ()
    for x, y in ((1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)):
        assert kinds(assemble(SHEET, [whole], [Placement(0, 0.0, x, y)]), 0.0) == ["margin"]


def test_counts_are_checked():
    layout = assemble(ROLL, [FLAP], [Placement(0, 0.0, 0.0, 0.0)])
    assert [(f.pieces, f.amount) for f in count_faults((layout,), {"flap": 2, "cap": 1})] == [
        (("cap",), -1),
        (("flap",), -1),
    ]
    assert count_faults((layout, layout), {"flap": 2}) == ()


def test_cut_order_runs_from_the_cut_end():
    placements = [Placement(0, 0.0, 900.0, 0.0), Placement(0, 0.0, 0.0, 420.0), Placement(0, 0.0, 0.0, 0.0)]
    layout = assemble(ROLL, [FLAP], placements)
    assert [placed.order for placed in layout.pieces] == [1, 2, 3]
    assert [placed.outline[:, 0].min() for placed in layout.pieces] == [0.0, 0.0, 900.0]
    assert layout.pieces[0].outline[:, 1].min() < layout.pieces[1].outline[:, 1].min()


def test_label_circle_lies_inside_its_piece(straight, dome):
    crescent = shapely.Point(0, 0).buffer(500).difference(shapely.Point(300, 0).buffer(450))
    for outline in (straight, dome, np.array(crescent.exterior.coords)):
        (placed,) = assemble(ROLL, [CutPiece("p", 1, outline)], [Placement(0, 17.0, 0.0, 0.0)]).pieces
        circle = shapely.Point(placed.label_at).buffer(placed.label_radius_mm * 0.999)
        assert shapely.Polygon(placed.outline).contains(circle)
        assert placed.label_radius_mm > 50.0


def test_running_dimensions_draw_the_piece_again(dome):
    layout = assemble(SHEET, [CutPiece("p", 1, dome / 3.0)], [Placement(0, 0.0, 100.0, 400.0)])
    marks = running_dimensions(layout, sagitta_mm=4.0)
    again = shapely.Polygon([(mark.along_mm, mark.across_mm) for mark in marks])
    placed = shapely.Polygon(layout.pieces[0].outline)
    assert shapely.hausdorff_distance(again.exterior, placed.exterior) < 4.1
    assert len(marks) < len(layout.pieces[0].outline)
    assert [mark.point for mark in marks] == list(range(1, len(marks) + 1))


def test_every_piece_comes_from_the_pattern_whole_on_the_weave_and_not_turned_over(model_room):
    pattern = model_room.pattern
    pieces = cut_pieces(pattern)
    assert [(piece.name, piece.count) for piece in pieces] == [(p.name, p.count) for p in pattern.pieces]
    for piece, sewn in zip(pieces, pattern.pieces, strict=True):
        holes = sum(shapely.Polygon(ring).area for ring in sewn.cutting[1:])
        assert np.isclose(piece.area_m2 * 1e6, sewn.cut_area_mm2 + holes, rtol=1e-12)
        assert piece.grain_deg == 0.0
        width, length = sewn.extent_mm
        assert np.allclose(np.ptp(piece.outline, axis=0), [length, width], atol=1e-9)
        before, after = shapely.LinearRing(sewn.cutting[0]), shapely.LinearRing(piece.outline)
        assert before.is_ccw == after.is_ccw


def test_a_mirror_image_covers_its_original_when_it_lies_face_down(model_room):
    pieces = {piece.name: piece for piece in cut_pieces(model_room.pattern)}
    mirrored = [piece for piece in pieces.values() if piece.mirrored_of is not None]
    assert mirrored
    for piece in mirrored:
        turned_over = shapely.Polygon(piece.outline * [1.0, -1.0])
        original = pieces[piece.mirrored_of].polygon
        assert turned_over.symmetric_difference(original).area < 1.0  # mm2

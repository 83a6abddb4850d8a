"""The drawing of pieces: closed forms of strokes and arcs, and what lies where on the three model rooms."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from text_boxes import none_overlap, text_box

from shellparts.body.seams import EdgeRole
from shellparts.drawing.piece import draw_piece, draw_sheet_of_pieces, in_rows
from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke, arc_of, stroke_of_points


def strokes_on(drawing: Drawing, layer: Layer) -> list[Stroke]:
    return [stroke for stroke in drawing.strokes if stroke.layer is layer]


def measured(stroke: Stroke) -> tuple[float, float]:
    """Length [mm] and signed area [mm2] of a closed stroke, its arcs in closed form."""
    length = area = 0.0
    for a, b, bulge in zip(stroke.points, np.roll(stroke.points, -1, axis=0), stroke.bulges, strict=True):
        chord = math.hypot(*(b - a))
        area += (a[0] * b[1] - a[1] * b[0]) / 2
        if bulge:
            angle = 4 * math.atan(bulge)
            radius = chord / (2 * math.sin(abs(angle) / 2))
            length += radius * abs(angle)
            area += radius**2 * (angle - math.sin(angle)) / 2
        else:
            length += chord
    return length, area


def dense(stroke: Stroke) -> np.ndarray:
    """Points of a stroke, arcs in short steps, shape (n, 2) [mm]."""
    points = []
    for a, b, bulge in zip(stroke.points, np.roll(stroke.points, -1, axis=0), stroke.bulges, strict=True):
        points.append(a)
        if bulge:
            centre, radius, start, sweep = arc_of(a, b, float(bulge))
            angles = start + sweep * np.linspace(0, 1, 60)[1:-1]
            points += list(centre + radius * np.column_stack([np.cos(angles), np.sin(angles)]))
    return np.array(points)


# Strokes


@pytest.mark.parametrize(
    ("bulge", "radius", "sweep"),
    [(1.0, 5.0, math.pi), (-1.0, 5.0, -math.pi), (math.tan(math.pi / 8), 5 * math.sqrt(2), math.pi / 2)],
)
def test_the_bulge_is_the_tangent_of_a_quarter_of_the_angle(bulge, radius, sweep):
    """A half circle and a quarter circle over a chord of 10, by hand."""
    centre, r, start, turned = arc_of(np.array([0.0, 0.0]), np.array([10.0, 0.0]), bulge)
    assert (r, turned) == pytest.approx((radius, sweep))
    assert centre + r * np.array([math.cos(start), math.sin(start)]) == pytest.approx([0.0, 0.0], abs=1e-12)
    end = start + turned
    assert centre + r * np.array([math.cos(end), math.sin(end)]) == pytest.approx([10.0, 0.0], abs=1e-12)


@given(
    st.floats(0.01, 20).flatmap(lambda b: st.sampled_from([b, -b])),
    st.floats(0, 2 * math.pi),
    st.floats(1, 5000),
)
def test_an_arc_begins_and_ends_at_its_points(bulge, angle, chord):
    a, b = np.array([3.0, -7.0]), np.array([3.0, -7.0]) + chord * np.array([math.cos(angle), math.sin(angle)])
    centre, radius, start, sweep = arc_of(a, b, bulge)
    size = radius + chord
    assert centre + radius * np.array([math.cos(start), math.sin(start)]) == pytest.approx(a, abs=1e-9 * size)
    end = start + sweep
    assert centre + radius * np.array([math.cos(end), math.sin(end)]) == pytest.approx(b, abs=1e-9 * size)
    # The height of the arc over its chord is the bulge times half the chord.
    middle = centre + radius * np.array([math.cos(start + sweep / 2), math.sin(start + sweep / 2)])
    assert math.hypot(*(middle - (a + b) / 2)) == pytest.approx(abs(bulge) * chord / 2, rel=1e-9)


def test_the_box_holds_the_whole_of_an_arc():
    """A full circle of radius 5 as two half circles, of which only two points are given."""
    circle = Stroke(Layer.SEWING, np.array([[-5.0, 1.0], [5.0, 1.0]]), np.array([1.0, 1.0]), True)
    low, high = Drawing((circle,)).box
    assert (*low, *high) == pytest.approx((-5, -4, 5, 6))
    assert measured(circle) == pytest.approx((10 * math.pi, 25 * math.pi))


def test_a_moved_drawing_moves_all_of_it():
    drawing = Drawing(
        (stroke_of_points(Layer.CUTTING, [[0, 0], [2, 0], [2, 3]], closed=True),),
        (Label(Layer.NAME, "a", np.array([1.0, 1.0]), 2.0),),
    )
    moved = drawing.moved([10, -4])
    assert moved.box[0] == pytest.approx([10, -4])
    assert moved.labels[0].at == pytest.approx([11, -3])
    assert drawing.box[0] == pytest.approx([0, 0])
    assert len((drawing + moved).strokes) == 2


def square(side: float) -> Drawing:
    return Drawing(
        (stroke_of_points(Layer.CUTTING, [[0, 0], [side, 0], [side, side], [0, side]], closed=True),)
    )


def test_rows_are_filled_and_never_overlap():
    sides = [30, 50, 20, 90, 10, 40]
    whole = in_rows([square(s) for s in sides], 100.0, 5.0)
    boxes = [shapely.Polygon(stroke.points) for stroke in whole.strokes]
    assert [math.sqrt(box.area) for box in boxes] == pytest.approx(sides)
    for i, one in enumerate(boxes):
        for other in boxes[:i]:
            assert one.distance(other) >= 5.0 - 1e-9
    assert max(box.bounds[2] for box in boxes) <= 100.0 + 1e-9


def test_something_wider_than_a_row_gets_its_own():
    whole = in_rows([square(300), square(10)], 100.0, 5.0)
    assert (
        shapely.Polygon(whole.strokes[0].points).distance(shapely.Polygon(whole.strokes[1].points))
        >= 5.0 - 1e-9
    )


# Pieces of the three rooms


def test_pieces_with_arcs_keep_them_as_arcs(rooms):
    """The cap is a circle: two half circles or more, and no polyline at all."""
    for room in rooms.values():
        (cap,) = (piece for piece in room.pattern.pieces if piece.kind.word == "cap")
        (line,) = strokes_on(draw_piece(cap), Layer.SEWING)
        assert np.all(line.bulges != 0)
        length, area = measured(line)
        assert area == pytest.approx(length**2 / (4 * math.pi), rel=1e-9)
    # The round sleeve's opening in a flat panel is cut at a slope: an ellipse, which is no arc.
    arched = rooms["lantern_room"].pattern.piece("curtain_left")
    assert np.count_nonzero(strokes_on(draw_piece(arched), Layer.SEWING)[0].bulges) >= 1


def test_the_cutting_line_lies_outside_the_sewing_line(model_room):
    for piece in model_room.pattern.pieces:
        drawing = draw_piece(piece)
        sewing, cutting = (
            shapely.Polygon(dense(lines[0]), [dense(line) for line in lines[1:]])
            for lines in (strokes_on(drawing, Layer.SEWING), strokes_on(drawing, Layer.CUTTING))
        )
        least = min(edge.allowance_mm for edge in piece.all_edges)
        assert cutting.buffer(0.05).contains(sewing)
        # A rounded hole may be all allowance; where there is a cutting line it keeps its distance.
        assert cutting.exterior.distance(sewing.exterior) >= least - 0.05


def test_every_notch_is_a_tick_half_way_across_the_allowance(model_room):
    for piece in model_room.pattern.pieces:
        drawing = draw_piece(piece)
        ticks = strokes_on(drawing, Layer.NOTCH)
        assert len(ticks) == sum(len(edge.ticks_mm) for edge in piece.all_edges)
        sewing = [shapely.LinearRing(dense(line)) for line in strokes_on(drawing, Layer.SEWING)]
        allowances = {round(edge.allowance_mm / 2, 6) for edge in piece.all_edges}
        for tick in ticks:
            start, end = tick.points
            assert min(line.distance(shapely.Point(start)) for line in sewing) < 0.03
            assert round(float(math.hypot(*(end - start))), 6) in allowances
            assert min(line.distance(shapely.Point(end)) for line in sewing) > 0.4 * min(allowances)


def test_every_edge_carries_its_one_name(model_room):
    """The id that every table uses, and the seam where it is that of every copy, or what is done there."""
    for piece in model_room.pattern.templates:
        texts = [label.text for label in draw_piece(piece).labels if label.layer is Layer.EDGE]
        assert sorted(text.split()[0] for text in texts) == sorted(edge.id for edge in piece.all_edges)
        for edge in piece.all_edges:
            (text,) = (text for text in texts if text.split()[0] == edge.id)
            if edge.role is EdgeRole.SEAM:
                told = edge.words if piece.count > 1 else " ".join(edge.seams)
                assert told and text == f"{edge.id} {told}"
            else:
                assert text.split(" ", 1)[1] in {"hem", "vent hem", "cord channel", "sew down"}


def test_every_piece_carries_its_name_and_count(model_room):
    for piece in model_room.pattern.pieces:
        names = [label.text for label in draw_piece(piece).labels if label.layer is Layer.NAME]
        assert names == [piece.name, f"cut {piece.count}"]


def test_texts_stay_inside_their_piece_and_clear_of_each_other(model_room):
    for piece in model_room.pattern.pieces:
        drawing = draw_piece(piece)
        rings = [dense(line) for line in strokes_on(drawing, Layer.SEWING)]
        inside = shapely.Polygon(rings[0], rings[1:])
        for label in drawing.labels:
            assert inside.contains(text_box(label)), f"{label.text} leaves {piece.name}"
        assert none_overlap(drawing.labels), piece.name


def test_no_line_runs_through_a_name(model_room):
    for piece in model_room.pattern.pieces:
        drawing = draw_piece(piece)
        names = [text_box(label) for label in drawing.labels if label.layer is Layer.NAME]
        patches = [text_box(label) for label in drawing.labels if label.layer is Layer.PATCH]
        for stroke in drawing.strokes:
            ends = np.vstack([stroke.points, stroke.points[:1]]) if stroke.closed else stroke.points
            line = shapely.LineString(ends)
            clear = [*names, *(patches if stroke.layer is Layer.STRIP else [])]
            assert not any(line.intersects(name) for name in clear), f"{stroke.layer.value} on {piece.name}"


def test_texts_are_large_enough_to_read_and_grow_with_the_piece(model_room):
    for piece in model_room.pattern.pieces:
        drawing = draw_piece(piece)
        size = math.hypot(*(drawing.box[1] - drawing.box[0]))
        name = next(label for label in drawing.labels if label.layer is Layer.NAME)
        assert name.height_mm >= max(2.5, size / 100)
        for label in drawing.labels:
            assert -math.pi / 2 - 1e-6 <= label.angle <= math.pi / 2 + 1e-6, "upside down"


def test_the_sheet_shows_every_piece_once_without_overlap(model_room):
    pieces = model_room.pattern.pieces
    cutting = strokes_on(draw_sheet_of_pieces(pieces), Layer.CUTTING)
    outer = [shapely.Polygon(line.points) for line in cutting if measured(line)[1] > 0]
    assert len(outer) == len(pieces)
    for i, one in enumerate(outer):
        for other in outer[:i]:
            assert one.distance(other) > 100.0


def test_folds_over_flat_places_are_not_drawn_as_folds(rooms):
    """The lantern room's panels fold at the wall's head and at the floor: two lines straight across."""
    panel = rooms["lantern_room"].pattern.piece("panel")
    folds = strokes_on(draw_piece(panel), Layer.FOLD)
    assert sorted(float(fold.points[0, 1]) for fold in folds) == pytest.approx([0.0, 1200.0])
    # The tide dome's wall meets the dome at an angle, its dome is one smooth face.
    dome = rooms["tide_dome"].pattern.piece("panel")
    assert len(strokes_on(draw_piece(dome), Layer.FOLD)) == len(dome.outline.folds)

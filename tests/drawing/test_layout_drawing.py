"""Layout sheets, read back with other libraries and measured."""

import math
import re

import ezdxf
import numpy as np
import pytest
import shapely
from svgelements import SVG, Path
from text_boxes import none_overlap, text_box

from shellparts.base.units import to_mm
from shellparts.drawing.layout import draw_layout
from shellparts.drawing.layout_pages import layout_pages
from shellparts.drawing.noted_page import FRAME
from shellparts.drawing.strokes import Layer
from shellparts.drawing.styles import SMALL_PENS
from shellparts.drawing.tape import tape_text
from shellparts.parameters import Marking
from shellparts.parameters.stocks import Roll, Sheet
from shellparts.pattern.cut_pieces import CutPiece
from shellparts.report.room_materials import layouts_of
from shellparts.stock.layout import Placement, assemble, running_dimensions
from shellparts.writers.pages import write_layouts
from shellparts.writers.svg import svg_text


@pytest.fixture(scope="module", params=["lantern_room", "tide_dome", "orchard_pavilion"])
def job(request, rooms):
    """Layouts of a shipped room, its tape, and its pages."""
    room = rooms[request.param]
    layouts, marking = layouts_of(room.layout), room.design.marking
    return layouts, marking, layout_pages(layouts, room.design.name, marking)


def layout_of(page, layouts):
    number = int(page.file.rsplit("_", 1)[1])
    return layouts[0] if page.file.startswith("roll") else layouts[number - 1]


def words_of(placed):
    return f"{placed.order}. {placed.name.replace('_', ' ')}"


def test_no_label_lies_outside_its_piece(job):
    layouts, _, pages = job
    for page in pages:
        pieces = layout_of(page, layouts).pieces
        outlines = {words_of(p): shapely.Polygon(p.outline) for p in pieces}
        for label in page.drawn.drawing.labels:
            if label.layer is Layer.RULER:
                continue
            home = [shape for shape in outlines.values() if shape.contains(text_box(label))]
            assert len(home) == 1, label.text
            named = [shape for words, shape in outlines.items() if words.startswith(label.text)]
            assert label.layer is Layer.MEASURE or label.text == "face down" or home[0] in named


def test_labels_do_not_cover_each_other(job):
    for page in job[2]:
        assert none_overlap([one for one in page.drawn.drawing.labels if one.layer is not Layer.RULER])


def test_every_piece_is_named_on_some_page(job):
    layouts, _, pages = job
    for layout in layouts:
        told = {
            label.text
            for page in pages
            if layout_of(page, layouts) is layout
            for label in page.drawn.drawing.labels
            if label.layer is Layer.NAME
        }
        for placed in layout.pieces:
            assert words_of(placed) in told or f"{placed.order}." in told


def numbers_of(page):
    """All pairs of running dimensions on a page, as text."""
    labels = [one for one in page.drawn.drawing.labels if one.layer is Layer.MEASURE]
    pairs = {(a.text, b.text) for a, b in zip(labels[::2], labels[1::2], strict=True)}
    for note in page.drawn.notes:
        listed = note.split(": ", 1)[1].replace("\N{NO-BREAK SPACE}", " ")
        pairs |= {tuple(one.split(" / ")) for one in listed.split(", ") if " / " in one}
    return pairs


def test_every_point_to_chalk_is_on_a_page_in_the_drawing_or_beside_it(job):
    layouts, marking, pages = job
    for layout in layouts:
        told = set().union(*(numbers_of(page) for page in pages if layout_of(page, layouts) is layout))
        round_ones = {p.name for p in layout.pieces if p.name == "cap"}
        for mark in running_dimensions(layout):
            pair = (tape_text(mark.along_mm, marking), tape_text(mark.across_mm, marking))
            assert pair in told or mark.piece in round_ones


def test_a_chalked_point_is_within_the_tape_of_the_cutting_line(job):
    """What a person reads off the page, measured back, lies on the cutting line."""
    layouts, marking, pages = job
    finest = 1.0 if marking.tape.value == "metric" else 25.4 / 8
    for page in pages:
        lines = shapely.MultiLineString(
            [np.vstack([p.outline, p.outline[:1]]) for p in layout_of(page, layouts).pieces]
        )
        for pair in numbers_of(page):
            if any("centre" in one for one in pair):
                continue
            along, across = (to_mm(one if re.search("['\"]", one) else float(one)) for one in pair)
            assert lines.distance(shapely.Point(along, across)) <= finest / math.sqrt(2) + 0.1


def test_pages_are_a4_and_hold_everything_in_legible_size(job):
    for page in job[2]:
        text = svg_text(page.on_paper, page.heading[0], FRAME, SMALL_PENS)
        assert 'width="297mm" height="210mm" viewBox="0 0 297 210"' in text  # ISO 216
        sizes = [float(size) for size in re.findall(r'font-size="([\d.]+)"', text)]
        assert min(sizes) * 0.72 >= 1.3 - 1e-3  # capitals [mm]
        places = re.findall(r"translate\(([-\d.]+) ([-\d.]+)\)", text)
        assert all(5.0 <= float(x) <= 292.0 and 5.0 <= float(y) <= 205.0 for x, y in places)


def test_cutting_lines_on_paper_measure_true_at_the_scale_that_is_said(job, tmp_path):
    layouts, _, pages = job
    for page in pages:
        layout = layout_of(page, layouts)
        (tmp_path / "page.svg").write_text(
            svg_text(page.on_paper, page.heading[0], FRAME, SMALL_PENS), encoding="utf-8"
        )
        drawn = SVG.parse(str(tmp_path / "page.svg"), ppi=25.4)
        group = next(one for one in drawn.elements() if one.values.get("id") == "CUT_HERE")
        length = 0.0
        for path in group.select(lambda one: isinstance(one, Path)):
            points = np.array([(float(point.x), float(point.y)) for point in path.as_points()])
            length += np.linalg.norm(np.diff(points, axis=0), axis=1).sum()
        window = shapely.box(page.low_mm, 0.0, page.high_mm, layout.width_mm)
        rings = [shapely.LinearRing(p.outline).intersection(window).length for p in layout.pieces]
        assert f"1 to {page.scale:g}" in page.heading[0]
        assert length * page.scale == pytest.approx(sum(rings), rel=1e-3)


def test_the_dxf_holds_every_piece_at_true_size(job, tmp_path):
    layouts, marking, _ = job
    write_layouts(layouts, "room", marking, tmp_path)
    files = sorted(tmp_path.glob("*.dxf"))
    assert len(files) == len(layouts)
    for file, layout in zip(files, layouts, strict=True):
        document = ezdxf.readfile(file)
        assert document.units == ezdxf.units.MM
        cut = document.modelspace().query('LWPOLYLINE[layer=="CUT_HERE"]')
        areas = sorted(shapely.Polygon([p[:2] for p in line.get_points()]).area for line in cut)
        assert areas == pytest.approx(sorted(shapely.Polygon(p.outline).area for p in layout.pieces))
        (edge,) = document.modelspace().query('LWPOLYLINE[layer=="CLOTH_EDGE"]')
        size = np.ptp(np.array([p[:2] for p in edge.get_points()]), axis=0)
        assert size.tolist() == pytest.approx([layout.length_mm, layout.width_mm])


def test_corner_numbers_of_one_box_by_hand():
    sheet = Sheet(
        name="s",
        nominal_length_mm=2000,
        nominal_width_mm=1500,
        finished_length_mm=1950,
        finished_width_mm=1450,
        hem_mm=25,
    )
    box = CutPiece("flap", 1, [(0, 0), (800, 0), (800, 600), (0, 600)])
    layout = assemble(sheet, [box], [Placement(0, 0.0, 100.0, 200.0)])
    drawn = draw_layout(layout, Marking(), 10.0)
    assert drawn.notes == ()
    (page,) = layout_pages((layout,), "room", Marking())
    assert numbers_of(page) == {("125", "225"), ("925", "225"), ("925", "825"), ("125", "825")}
    (margin,) = (one for one in drawn.drawing.strokes if one.layer is Layer.MARGIN)
    assert margin.points.min(axis=0).tolist() == [25.0, 25.0]
    assert margin.points.max(axis=0).tolist() == [1925.0, 1425.0]


def test_a_round_piece_is_given_by_its_centre_and_radius():
    turn = np.linspace(0.0, 2.0 * math.pi, 90, endpoint=False)
    disc = CutPiece("lid", 1, 300.0 * np.column_stack([np.cos(turn), np.sin(turn)]))
    layout = assemble(Roll(name="r", width_mm=1500.0), [disc], [Placement(0, 0.0, 300.0, 400.0)])
    drawn = draw_layout(layout, Marking())
    assert [note.replace("\N{NO-BREAK SPACE}", " ") for note in drawn.notes] == [
        "1. lid: centre 300 / 400, radius 300"
    ]


def test_a_piece_laid_face_down_says_so():
    piece = CutPiece("left", 1, [(0, 0), (900, 0), (900, 500), (0, 300)])
    layout = assemble(
        Roll(name="r", width_mm=1500.0), [piece], [Placement(0, 0.0, 0.0, 600.0, face_down=True)]
    )
    assert "face down" in {label.text for label in draw_layout(layout, Marking()).drawing.labels}


def test_a_long_roll_takes_pages_that_meet_without_a_gap():
    piece = CutPiece("band", 3, [(0, 0), (9000, 0), (9000, 400), (0, 400)])
    spots = [Placement(0, 0.0, 9100.0 * k, 0.0) for k in range(3)]
    layout = assemble(Roll(name="r", width_mm=1500.0), [piece], spots)
    pages = layout_pages((layout,), "room", Marking())
    assert pages[0].low_mm == 0.0 and pages[-1].high_mm == layout.length_mm
    assert [page.low_mm for page in pages[1:]] == [page.high_mm for page in pages[:-1]]


def test_a_sliver_of_a_piece_at_the_pages_edge_is_told_in_the_notes():
    flap = CutPiece("flap", 1, [(0, 0), (1000, 0), (1000, 400), (0, 400)])
    layout = assemble(Roll(name="roll", width_mm=1500.0), [flap], [Placement(0, 0.0, 0.0, 0.0)])
    drawn = draw_layout(layout, Marking(), 20.0, (999.5, 2000.0))
    assert not [label for label in drawn.drawing.labels if label.layer is not Layer.RULER]
    assert any("flap" in note for note in drawn.notes)


def test_a_point_rounded_beyond_the_end_of_the_cloth_is_told():
    flap = CutPiece("flap", 1, [(0, 0), (1000.07, 0), (1000.07, 400), (0, 400)])
    layout = assemble(Roll(name="roll", width_mm=1500.0), [flap], [Placement(0, 0.0, 0.0, 0.0)])
    assert max(mark.along_mm for mark in running_dimensions(layout)) > layout.length_mm
    drawn = draw_layout(layout, Marking())
    told = {label.text for label in drawn.drawing.labels if label.layer is Layer.MEASURE}
    assert told == {"0", "1000", "400"}

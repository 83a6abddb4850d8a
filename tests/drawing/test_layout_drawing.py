"""Layout sheets, read back with other libraries and measured."""

import math
import re
from itertools import chain

import ezdxf
import numpy as np
import pytest
import shapely
from svgelements import SVG, Path
from text_boxes import none_overlap, text_box

from shellparts.base.units import to_mm
from shellparts.drawing.edge_names import edge_text
from shellparts.drawing.laid import laid_pieces
from shellparts.drawing.layout import draw_layout
from shellparts.drawing.layout_pages import layout_pages
from shellparts.drawing.noted_page import FRAME
from shellparts.drawing.places import places_page
from shellparts.drawing.strokes import Layer
from shellparts.drawing.styles import SMALL_PENS
from shellparts.drawing.tape import tape_text
from shellparts.parameters import Marking
from shellparts.parameters.stocks import Roll, Sheet
from shellparts.pattern.cut_pieces import CutPiece
from shellparts.pattern.naming import INNER_UP, OUTER_UP
from shellparts.report.room_materials import layouts_of
from shellparts.stock.layout import Placement, assemble, running_dimensions
from shellparts.writers.pages import write_layouts
from shellparts.writers.svg import svg_text


@pytest.fixture(scope="module", params=["lantern_room", "tide_dome", "orchard_pavilion"])
def job(request, rooms):
    """Layouts of a shipped room, its tape, its pages, and its pieces by the names of their places."""
    room = rooms[request.param]
    layouts, marking = layouts_of(room.layout), room.design.marking
    pages = layout_pages(layouts, room.design.name, marking, room.pattern)
    return layouts, marking, pages, laid_pieces(layouts, room.pattern)


@pytest.fixture(scope="module")
def plans(rooms):
    """The rooms from above, with the place of every piece."""
    return [places_page(rooms[name].design, rooms[name].pattern) for name in rooms]


def shown(pages):
    """Pages that show cloth, without those that hold notes alone."""
    return [page for page in pages if "_notes_" not in page.file]


def number_of(page):
    return 0 if page.file.startswith("roll") else int(page.file.split("_")[1]) - 1


def layout_of(page, layouts):
    return layouts[number_of(page)]


def zero_of(page):
    """Where the tape begins on a page, as it says itself."""
    told = re.search(r"Corner 0 of this page is (\S.*?) from", page.heading[1])
    return to_mm(told[1] if re.search("['\"]", told[1]) else float(told[1])) if told else 0.0


def points_of(page, marking):
    """Points as a person reads them off a page [mm], and the labels that tell them."""
    labels = [one for one in page.drawn.drawing.labels if one.layer is Layer.MEASURE]
    for a, b in zip(labels[::2], labels[1::2], strict=True):
        yield (a.text, b.text), (a, b)
    for note in page.drawn.notes:
        listed = note.split(": ", 1)[-1].replace("\N{NO-BREAK SPACE}", " ")
        for one in listed.split(", "):
            if " / " in one:
                yield tuple(re.sub(r"^((?:near )?\(\d+\)|centre|.* at) ", "", one).split(" / ")), ()


def millimetres(pair, page):
    along, across = (to_mm(one if re.search("['\"]", one) else float(one)) for one in pair)
    return np.array([along + zero_of(page), across])


def test_a_label_stands_on_no_piece_but_its_own(job):
    """Words beside a point stand on its own piece or on none; else a leader ends at the point."""
    layouts, marking, pages, _ = job
    for page in shown(pages):
        outlines = [shapely.Polygon(placed.outline) for placed in layout_of(page, layouts).pieces]
        drawing = page.drawn.drawing
        leaders = [s.points for s in drawing.strokes if s.layer is Layer.MEASURE and not s.closed]
        for pair, labels in points_of(page, marking):
            at = millimetres(pair, page)
            own = [o for o in outlines if o.exterior.distance(shapely.Point(at)) < 5.0]
            # The outline of an opening is no outline of a piece.
            own = own or [o for o in outlines if o.contains(shapely.Point(at))]
            assert own
            for label in labels:
                box = text_box(label)
                assert not any(box.intersects(other) for other in outlines if other not in own), pair
                near = box.distance(shapely.Point(at)) < 8.0 * page.scale
                led = any(np.hypot(*(points - at).T).min() < 5.0 for points in leaders)
                assert near or led, (pair, box.distance(shapely.Point(at)) / page.scale)


def test_labels_do_not_cover_each_other(job):
    for page in shown(job[2]):
        assert none_overlap([one for one in page.drawn.drawing.labels if one.layer is not Layer.RULER])


def test_every_copy_is_named_by_its_place_and_says_which_side_is_up(job):
    _, _, pages, laid = job
    names = [one.sheet for row in laid for one in row]
    assert len(names) == len(set(names))
    for number, row in enumerate(laid):
        own = [page for page in pages if number_of(page) == number]
        told = [
            label.text for page in own for label in page.drawn.drawing.labels if label.layer is Layer.NAME
        ]
        notes = [note for page in own for note in page.drawn.notes]
        for one in row:
            title = f"{one.placed.order}. {one.sheet}"
            side = INNER_UP if one.placed.face_down else OUTER_UP
            beside = [told[k : k + 3] for k, text in enumerate(told) if text == title]
            assert any(text.startswith(side) for texts in beside for text in texts) or any(
                note.startswith(title) and side in note for note in notes
            )


def test_every_edge_of_every_laid_piece_is_named_with_its_seam(job):
    _, _, pages, laid = job
    for number, row in enumerate(laid):
        own = [page for page in pages if number_of(page) == number]
        texts = [
            label.text for page in own for label in page.drawn.drawing.labels if label.layer is Layer.EDGE
        ]
        notes = " ".join(note for page in own for note in page.drawn.notes).replace("\N{NO-BREAK SPACE}", " ")
        for one in row:
            for edge in one.piece.all_edges:
                text = edge_text(one.piece, edge, one.seams.get(edge.id, ()))
                assert text in texts or text in notes, (one.sheet, text)


def test_lines_of_a_laid_piece_lie_on_it(job):
    """Sewing lines and notches, turned and shifted with their piece, keep their distance from its cutting line."""
    for row in job[3]:
        for one in row:
            cloth = shapely.Polygon(one.placed.outline).buffer(0.01)
            least = min(edge.allowance_mm for edge in one.piece.edges)
            sewing = next(line for line in one.lines if line.layer is Layer.SEWING)
            points = shapely.points(sewing.points)
            assert shapely.contains(cloth, points).all()
            assert shapely.distance(cloth.exterior, points).min() >= least - 0.1
            assert sum(line.layer is Layer.NOTCH for line in one.lines) == sum(
                len(edge.ticks_mm) for edge in one.piece.all_edges
            )


def test_every_point_to_chalk_is_on_a_page_in_the_drawing_or_beside_it(job):
    layouts, marking, pages, _ = job
    for number, layout in enumerate(layouts):
        own = [page for page in pages if number_of(page) == number]
        told = {(zero_of(page), *pair) for page in own for pair, _ in points_of(page, marking)}
        round_ones = {p.name for p in layout.pieces if p.name == "cap"}
        for mark in running_dimensions(layout):
            across = tape_text(mark.across_mm, marking)
            pairs = {(zero, tape_text(mark.along_mm - zero, marking), across) for zero in map(zero_of, own)}
            assert pairs & told or mark.piece in round_ones


def said_alone(page):
    """Numbers of points as a person finds them on a page: on the drawing, in the notes, and those that are pointed to."""
    drawn = [one.text for one in page.drawn.drawing.labels if one.layer is Layer.POINT]
    notes = " ".join(page.drawn.notes).replace("\N{NO-BREAK SPACE}", " ")
    return drawn, re.findall(r"(?<!near )\((\d+)\)", notes), re.findall(r"near \((\d+)\)", notes)


def test_every_number_on_a_drawing_stands_in_its_notes_and_the_other_way_round(job):
    """On the page itself, or on the pages of notes that it names; counted from 1 without a gap; no point has none."""
    _, _, pages, _ = job
    by_file = {page.file: page for page in pages}
    numbered = 0
    for page in shown(pages):
        others = re.findall(rf"{page.file}_notes_\d+", page.heading[1])
        behind = [file for file in by_file if file.startswith(f"{page.file}_notes_")]
        assert others == behind[:1]
        sides = [page, *(by_file[file] for file in behind)]
        assert all(
            f"These notes belong to the drawing before them, {page.file}." in one.heading[1]
            for one in sides[1:]
        )
        drawn, noted, beside = ([*chain(*lists)] for lists in zip(*map(said_alone, sides), strict=True))
        assert sorted(map(int, drawn)) == sorted(map(int, noted)) == list(range(1, len(drawn) + 1))
        assert set(beside) <= set(drawn)
        numbered += len(drawn)
        for note in (note for one in sides for note in one.drawn.notes):
            listed = note.split(": ", 1)[-1].replace("\N{NO-BREAK SPACE}", " ").split(", ")
            bare = [one for one in listed if re.match(r"[\d'\" /]+ / ", one)]
            assert not bare, (page.file, bare)
    assert numbered > 2


def test_words_of_a_whole_page_are_large_enough_and_clear_of_each_other(job, plans):
    """Headings, rulers, names and notes; capitals of 1.8 mm are type of 2.5 mm."""
    for page in (*job[2], *plans):
        labels = page.on_paper.labels
        assert min(label.height_mm for label in labels) >= 1.8 - 1e-9
        heads = [one for one in labels if one.layer is Layer.WORDS and -one.at[1] < 29.0 and one.align == 0.0]
        assert len([one for one in heads if one.at[0] < 11.0]) <= 3, page.file
        below = [one for one in labels if one.layer is not Layer.WORDS]
        top = min((-one.at[1] - one.height_mm for one in below), default=210.0)
        own = max(-one.at[1] + one.height_mm / 2 for one in heads if one.at[0] < 11.0 and -one.at[1] < 25.0)
        assert own <= top, (page.file, own, top)


def test_a_chalked_point_is_within_the_tape_of_the_cutting_line(job):
    """What a person reads off the page, measured back, lies on the cutting line."""
    _, marking, pages, laid = job
    finest = 1.0 if marking.tape.value == "metric" else 25.4 / 8
    for page in pages:
        row = laid[number_of(page)]
        rings = [
            ring for one in row for ring in (one.placed.outline, *map(one.on_cloth, one.piece.cutting[1:]))
        ]
        lines = shapely.MultiLineString([np.vstack([ring, ring[:1]]) for ring in rings])
        for pair, labels in points_of(page, marking):
            note = next(
                (n for n in page.drawn.notes if " / ".join(pair) in n.replace("\N{NO-BREAK SPACE}", " ")), ""
            )
            if not labels and ("centre" in note or " at" in note):
                continue
            at = shapely.Point(millimetres(pair, page))
            assert lines.distance(at) <= finest / math.sqrt(2) + 0.1


def test_no_point_of_a_roll_is_beyond_the_reach_of_the_tape(job):
    """A page of a roll begins at a line of its own; a tape of 5 m, or 16 ft, reaches every point of it."""
    for page in job[2]:
        if page in shown(job[2]) and page.file.startswith("roll"):
            assert page.high_mm - page.low_mm <= 5000.0
            assert "Corner 0 of this page is" in page.heading[1]


def test_curved_stretches_are_shaded_and_straight_ones_are_not(job):
    """Between two points that are not joined by shading the outline is straight to half a millimetre."""
    layouts, _, pages, _ = job
    for page in shown(pages)[:2]:
        shading = [s.points for s in page.drawn.drawing.strokes if s.layer is Layer.CURVE]
        shaded = shapely.union_all([shapely.LineString(points).buffer(0.5) for points in shading])
        for placed in layout_of(page, layouts).pieces:
            polygon = shapely.Polygon(placed.outline)
            corners = shapely.LinearRing(shapely.simplify(polygon, 5.0).exterior.coords)
            window = shapely.box(page.low_mm, 0.0, page.high_mm, 1e5)
            off = shapely.points(placed.outline)[
                shapely.distance(corners, shapely.points(placed.outline)) > 0.5
            ]
            off = off[shapely.contains(window, off)]
            is_round = placed.name == "cap"
            assert is_round or shapely.covers(shaded, off).all()


def test_pages_are_a4_and_hold_everything_in_legible_size(job):
    for page in job[2]:
        text = svg_text(page.on_paper, page.heading[0], FRAME, SMALL_PENS)
        assert 'width="297mm" height="210mm" viewBox="0 0 297 210"' in text  # ISO 216
        sizes = [float(size) for size in re.findall(r'font-size="([\d.]+)"', text)]
        assert min(sizes) >= 2.5 - 1e-3  # type [mm]
        places = re.findall(r"translate\(([-\d.]+) ([-\d.]+)\)", text)
        assert all(5.0 <= float(x) <= 292.0 and 5.0 <= float(y) <= 205.0 for x, y in places)


def test_cutting_lines_on_paper_measure_true_at_the_scale_that_is_said(job, tmp_path):
    layouts, _, pages, _ = job
    for page in shown(pages):
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
        legend = 8.0 * any(
            layer is Layer.CUTTING for layer, _ in page.legend
        )  # its sample of a cutting line [mm]
        assert (length - legend) * page.scale == pytest.approx(sum(rings), rel=1e-3)


def test_the_dxf_holds_every_piece_at_true_size(job, tmp_path):
    layouts, marking, _, _ = job
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
    told = {pair for pair, _ in points_of(page, Marking())}
    assert told == {("125", "225"), ("925", "225"), ("925", "825"), ("125", "825")}
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
    assert INNER_UP in {label.text for label in draw_layout(layout, Marking()).drawing.labels}


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

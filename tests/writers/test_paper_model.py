"""The paper model: its parts measured with shapely, its pages read by PDFium."""

import math
import re
from collections import Counter
from itertools import combinations

import cadquery as cq
import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import given, settings
from hypothesis import strategies as st
from pdf_pages import Pages

from shellparts.base.errors import ParameterError
from shellparts.drawing.paper import MARGIN_MM, sheet_of
from shellparts.drawing.paper_model import fitting_scale, paper_model_pages
from shellparts.drawing.paper_parts import BACK, FLAT, TOWARDS, paper_parts, tab_fold
from shellparts.drawing.paper_tabs import TAB_MM, tab_teeth
from shellparts.drawing.shelves import shelve
from shellparts.drawing.strokes import Layer
from shellparts.parameters import Printing, Tape
from shellparts.parameters.part import Role
from shellparts.writers.pages import write_paper_model

A4 = sheet_of(Printing(), Tape.METRIC)
SCALE = 25


@pytest.fixture(scope="module")
def models(rooms, tmp_path_factory):
    """The three rooms at 1:25: pattern, parts, what was printed, pages."""
    folder = tmp_path_factory.mktemp("models")
    made = {}
    for name, room in rooms.items():
        run = write_paper_model(room.pattern, name, SCALE, A4, folder / f"{name}.pdf")
        made[name] = (room.pattern, paper_parts(room.pattern, SCALE), run, Pages(folder / f"{name}.pdf"))
    return made


@pytest.fixture(params=["lantern_room", "tide_dome", "orchard_pavilion"])
def model(request, models):
    return models[request.param]


#: Widths of Helvetica's letters, as shares of the size (Adobe's font metrics); 0.667 for S and 0.556 for others.
WIDTHS = {
    "S": 0.667,
    **dict.fromkeys("il", 0.222),
    **dict.fromkeys("ft ", 0.278),
    "r": 0.333,
    "w": 0.722,
    "m": 0.833,
}
WIDTHS.update(dict.fromkeys("ckvs", 0.5))


def box_of(label) -> shapely.Polygon:
    """What a label covers; capitals are 0.718 of the size."""
    half = sum(WIDTHS.get(letter, 0.556) for letter in label.text) / 0.718 * label.height_mm / 2
    box = shapely.box(-half, -label.height_mm / 2, half, label.height_mm / 2)
    turned = shapely.affinity.rotate(box, label.angle, origin=(0, 0), use_radians=True)
    return shapely.affinity.translate(turned, *label.at)


def sewing_shape(piece) -> shapely.Polygon:
    outer, *holes = (loop.polyline(0.05) for loop in piece.outline.loops)
    return shapely.Polygon(outer, holes)


def test_each_sheet_is_a_part_of_the_right_size(model):
    pattern, parts, run, _ = model
    assert sorted(part.sheet for part in parts) == sorted(s for piece in pattern.pieces for s in piece.sheets)
    assert run.parts == sum(piece.count for piece in pattern.pieces)
    for part in parts:
        piece = next(piece for piece in pattern.pieces if part.sheet in piece.sheets)
        flat = shapely.affinity.scale(sewing_shape(piece), 1 / SCALE, 1 / SCALE, origin=(0, 0))
        assert flat.difference(part.shape.buffer(0.03)).is_empty
        # What lies outside the sewing line is tab.
        assert part.shape.difference(flat.buffer(TAB_MM + 0.1)).area < 1e-6


def test_every_seam_has_one_tab_and_its_number_on_both_sides(model):
    pattern, parts, run, pages = model
    tabs = Counter(seam for part in parts for seam, teeth in part.tabs.items() if teeth)
    assert tabs == {seam.id: 1 for seam in pattern.seams}
    assert run.seams_with_tabs == len(pattern.seams)
    said = Counter(
        word for words in pages.texts for word in re.findall(r"S\d\d", words)
    )  # PDFium joins close words
    assert {seam.id: said[seam.id] for seam in pattern.seams} == {seam.id: 2 for seam in pattern.seams}


def test_seam_numbers_are_beside_their_own_edge(model):
    """Each number lies nearer to an edge of its seam than to any other edge of the part, or a thin line leads there."""
    pattern, parts, _, _ = model
    for part in parts:
        piece = next(piece for piece in pattern.pieces if part.sheet in piece.sheets)
        lines = {e.id: shapely.LineString(e.polyline(0.1) / SCALE) for e in piece.all_edges}
        for label in part.drawing.labels:
            if label.layer is not Layer.EDGE:
                continue
            own = {
                edge
                for seam in pattern.seams
                if seam.id in label.text.split()
                for sheet, edge in zip(seam.sheets, seam.edges, strict=True)
                if sheet == part.sheet
            }
            box = box_of(label)
            nearest = min(lines, key=lambda edge: lines[edge].distance(box))
            ends = [s.points for s in part.drawing.strokes if s.layer is Layer.THIN]
            led = [a for a, b in ends if box.buffer(1.0).intersects(shapely.Point(b))]
            reached = {edge for edge in own for a in led if lines[edge].distance(shapely.Point(a)) < 0.1}
            assert nearest in own or reached, f"{label.text} on {part.sheet}"


def test_texts_lie_inside_and_on_no_line(model):
    _, parts, _, _ = model
    for part in parts:
        boxes = [box_of(label) for label in part.drawing.labels]
        lines = [shapely.LineString(stroke.points) for stroke in part.drawing.strokes]
        assert all(part.with_words.buffer(1e-6).contains(box) for box in boxes)
        assert not any(box.intersects(line) for box in boxes for line in lines)
        assert not any(a.intersects(b) for a, b in combinations(boxes, 2))
        assert sum(label.layer is Layer.NAME for label in part.drawing.labels) == 1


def test_type_is_not_smaller_than_2_mm(model):
    assert min(label.height_mm for part in model[1] for label in part.drawing.labels) >= 2.0


def test_type_of_the_heading_is_not_smaller_either(models):
    pages, _ = paper_model_pages(models["lantern_room"][0], "room", SCALE, A4)
    assert min(one.height_mm for page in pages for shown in page.shown for one in shown.drawing.labels) >= 2.0


def test_no_tab_is_narrower_than_scissors_cut(model):
    """Every tooth holds a disc of 2 mm, and nothing but teeth lies outside the sewing line."""
    pattern, parts, _, _ = model
    teeth = 0
    for part in parts:
        piece = next(piece for piece in pattern.pieces if part.sheet in piece.sheets)
        flat = shapely.affinity.scale(sewing_shape(piece), 1 / SCALE, 1 / SCALE, origin=(0, 0))
        for tooth in shapely.get_parts(part.shape.difference(flat.buffer(0.05))):
            if tooth.area > 0.01:
                teeth += 1
                assert not tooth.buffer(-0.9).is_empty, part.sheet
    assert teeth >= len(pattern.seams) / 2


def meetings(body):
    """For each edge of the body all faces there: sheet, outward normal, and direction into the face."""
    found = {}
    for sheet in body.sheets:
        for one in sheet.faces:
            face = cq.Face(one.face)
            for coedge in (coedge for loop in one.loops for coedge in loop):
                before, at, after = coedge.sampled(201)[[109, 110, 111]]
                normal = np.array(face.normalAt(cq.Vector(*at)).toTuple())
                into = np.cross(normal, (after - before) / np.linalg.norm(after - before))
                found.setdefault(coedge.link.key, []).append((sheet.name, normal, into))
    return found


@pytest.mark.parametrize("name", ["lantern_room", "tide_dome", "orchard_pavilion"])
def test_tabs_are_folded_as_the_sheets_meet_in_space(rooms, name):
    """A tab goes on in its own sheet's plane and is glued behind the other sheet: which way it bends the body says."""
    room, meets = rooms[name], meetings(rooms[name].body)
    roles = {sheet.name: sheet.kind.role for sheet in room.body.sheets}
    checked = set()
    for seam in room.pattern.seams:
        wanted = tab_fold(seam, (roles[seam.sheets[0]], roles[seam.sheets[1]]))
        for key, faces in meets.items():
            sheets = [sheet for sheet, _, _ in faces]
            if key in room.body.vents | room.body.loose or Counter(seam.sheets) - Counter(sheets):
                continue
            if seam.sheets[0] == seam.sheets[1] and key not in room.body.joints:
                continue
            first = next(one for one in faces if one[0] == seam.sheets[0])
            second = next(one for one in faces if one[0] == seam.sheets[1] and one is not first)
            bend = float(
                first[2] @ second[1]
            )  # how far the other sheet rises over the outer side of the tab's
            if (
                wanted is BACK
                and np.abs(room.body.links[key].sampled(3)[:, 2]).max() < 1e-6
                and abs(bend) < 1e-6
            ):
                continue  # flaps that are one with their panels; see the test of what is drawn
            is_right = {TOWARDS: bend > 0.02, BACK: bend < -0.02, FLAT: abs(bend) < 0.05}
            assert is_right[wanted], (seam.sheets, bend)
            checked.add(wanted)
    assert checked == {TOWARDS, BACK, FLAT}


@pytest.mark.parametrize("name", ["lantern_room", "tide_dome", "orchard_pavilion"])
def test_the_fold_of_every_tab_is_drawn(models, name):
    """Along the edge with the tab runs the line of its fold, and the page says what that line means."""
    pattern, parts, _, pages = models[name]
    roles = {sheet: piece.kind.role for piece in pattern.pieces for sheet in piece.sheets}
    edges = {(piece.name, edge.id): edge for piece in pattern.pieces for edge in piece.all_edges}
    for seam in pattern.seams:
        part = next(part for part in parts if part.sheet == seam.sheets[1])
        edge = edges[seam.pieces[1], seam.edges[1]]
        middle = shapely.Point(edge.at(0.45 * edge.length_mm)[0] / SCALE)
        fold = tab_fold(seam, (roles[seam.sheets[0]], roles[seam.sheets[1]]))
        there = {
            s.layer for s in part.drawing.strokes if shapely.LineString(s.points).distance(middle) < 0.05
        }
        assert fold in there
        assert Layer.CUTTING not in there
        for flat in edge.flat:
            on_floor = {roles[sheet] for sheet in seam.sheets} == {Role.PANEL} and flat.at(
                flat.length_mm / 2
            )[0][1] < 0
            middle = shapely.Point(flat.at(0.45 * flat.length_mm)[0] / SCALE)
            there = {
                s.layer for s in part.drawing.strokes if shapely.LineString(s.points).distance(middle) < 0.05
            }
            assert not on_floor or FLAT in there
    for words in pages.texts:
        assert all(told in words for told in ("fold back, away from you", "fold towards you", "leave flat"))


def test_a_folded_edge_is_dashed_and_a_free_one_is_cut(models):
    pattern, parts, _, _ = models["lantern_room"]
    panel = next(part for part in parts if part.sheet == "panel_03")
    piece = pattern.piece("panel")
    cut = sum(shapely.LineString(s.points).length for s in panel.drawing.strokes if s.layer is Layer.CUTTING)
    folded = [s for s in panel.drawing.strokes if s.layer in (BACK, FLAT)]
    fold = sum(shapely.LineString(s.points).length for s in folded)
    with_tab = [s for s in pattern.seams if s.sheets[1] == "panel_03"]
    edges = {edge.id: edge.length_mm for edge in piece.all_edges}
    tabbed = {s.edges[1] for s in with_tab}
    assert 0 < len(tabbed) < len(edges)
    folds = sum(f.edge.length_mm for f in piece.outline.folds if f.angle_rad > 1e-3)
    assert fold * SCALE == pytest.approx(sum(edges[e] for e in tabbed) + folds, rel=1e-3)
    assert cut * SCALE > sum(length for edge, length in edges.items() if edge not in tabbed)


def test_pages_are_a4_and_bars_are_true(model):
    _, _, run, pages = model
    assert len(pages) == run.pages
    for number in range(1, run.pages + 1):
        assert pages.size_mm(number) == pytest.approx([210.0, 297.0], abs=1e-3)
        assert f"paper model 1:{SCALE} Page {number} of {run.pages}." in pages.texts[number - 1]
        ink = pages.ink(number, 300)
        y = 297.0 - MARGIN_MM - 5.6
        metres = ink.runs([118.0, y + 1.0], [204.0, y + 1.0])
        feet = ink.runs([118.0, y - 1.0], [204.0, y - 1.0])
        assert metres - metres[0] == pytest.approx([0.0, 500.0 / SCALE, 1000.0 / SCALE], abs=0.1)
        assert (feet[-1] - feet[0]) * SCALE / 304.8 == pytest.approx(
            round((feet[-1] - feet[0]) * SCALE / 304.8), abs=0.01
        )


def test_nothing_is_printed_in_the_margins(model):
    _, _, run, pages = model
    for number in range(1, run.pages + 1):
        ink = pages.ink(number, 100)
        inner = ink.dark.copy()
        x, y = (np.round((MARGIN_MM - 0.5) * ink.per_mm)).astype(int)
        inner[y:-y, x:-x] = 0
        assert inner.max() == 0


def test_the_scale_that_fits(rooms, tmp_path):
    pattern = rooms["tide_dome"].pattern
    least = fitting_scale(pattern, A4)
    assert write_paper_model(pattern, "dome", least, A4, tmp_path / "a.pdf").scale == least
    message = (
        rf"^scale of the model is 1:{least - 1}; it must be 1:{least} or smaller, for every part to fit A4"
    )
    with pytest.raises(ParameterError, match=message):
        write_paper_model(pattern, "dome", least - 1, A4, tmp_path / "b.pdf")
    assert fitting_scale(pattern, sheet_of(Printing(paper="A3"), Tape.METRIC)) < least


def laid(shape, spot):
    return shapely.affinity.translate(
        shapely.affinity.rotate(shape, 90 * spot.quarters, origin=(0, 0)), spot.dx, spot.dy
    )


def check_shelves(shapes, width, height, gap):
    spots = shelve(shapes, width, height, gap)
    placed = [laid(shape, spot) for shape, spot in zip(shapes, spots, strict=True)]
    page = shapely.box(0, 0, width, height).buffer(1e-6)
    assert all(page.contains(shape) for shape in placed)
    for (a, p), (b, q) in combinations(zip(placed, spots, strict=True), 2):
        assert p.page != q.page or a.distance(b) > gap - 0.02  # a round corner is a polygon to shapely
    return spots


def test_parts_lie_apart_on_their_pages(model):
    _, parts, run, _ = model
    spots = check_shelves([part.with_words for part in parts], 190.0, 257.0, 3.0)
    assert 1 + max(spot.page for spot in spots) == run.pages


@given(st.lists(st.tuples(st.floats(5, 120), st.floats(5, 90), st.floats(-40, 40)), min_size=1, max_size=12))
@settings(max_examples=40, deadline=None)
def test_any_triangles_lie_apart(sizes):
    check_shelves(
        [shapely.Polygon([(0, 0), (w, 0), (w / 2 + lean, h)]) for w, h, lean in sizes], 190.0, 200.0, 3.0
    )


def test_wedges_lie_head_to_tail():
    wedge = shapely.Polygon([(0, 0), (60, 0), (30, 200)])
    assert max(spot.page for spot in check_shelves([wedge] * 4, 190.0, 262.0, 3.0)) == 0
    assert max(spot.page for spot in check_shelves([wedge.envelope] * 4, 190.0, 262.0, 3.0)) == 1


def test_a_part_that_is_too_large_is_refused():
    with pytest.raises(ValueError, match=r"^a part of 300\.0 x 300\.0 mm does not fit 190\.0 x 262\.0 mm"):
        shelve([shapely.box(0, 0, 300, 300)], 190.0, 262.0, 3.0)


def test_teeth_around_a_circle_do_not_overlap():
    angles = np.linspace(
        0, -2 * math.pi, 200
    )  # clockwise: the outside is on the left, so the tabs are inside
    ring = 20.0 * np.column_stack([np.cos(angles), np.sin(angles)])
    teeth = tab_teeth([ring], 2 * math.pi, [])
    assert len(teeth) == 21
    assert all(a.intersection(b).area < 0.05 * a.area for a, b in combinations(teeth, 2))
    assert shapely.union_all(teeth).difference(shapely.Polygon(ring)).area < 1e-6

"""Halves on the fold line, pages left out and points by tape: put together again and held against the pattern."""

import re
from pathlib import Path

import numpy as np
import pytest
import shapely
import shapely.affinity
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st
from pdf_pages import Pages
from printed_rooms import A4, printed_of

from shellparts.body.seams import EdgeRole
from shellparts.drawing.full_size import full_size_pages, printed_pieces
from shellparts.drawing.labels import LARGE
from shellparts.drawing.paper import FOOT_MM, MARGIN_MM
from shellparts.drawing.strokes import Layer
from shellparts.parameters import Tape
from shellparts.parameters.part import PANEL
from shellparts.pattern.pieces import Piece, PieceEdge
from shellparts.unroll.flat_edge import FlatEdge
from shellparts.unroll.outline import Loop, Outline
from shellparts.writers.pdf import write_pdf

NAMES = ("lantern_room", "tide_dome", "orchard_pavilion")
FAR = 1e6


@pytest.fixture(scope="module")
def all_printed():
    return {name: printed_of(name) for name in NAMES}


@pytest.fixture(scope="module")
def lantern(all_printed, tmp_path_factory):
    """The lantern room's pages as PDFium reads them."""
    path = Path(tmp_path_factory.mktemp("halves")) / "a.pdf"
    pages, run = full_size_pages(all_printed["lantern_room"], A4, "lantern_room")
    write_pdf(pages, "a", path)
    return all_printed["lantern_room"], run, Pages(path)


def turned(shape):
    return shapely.affinity.scale(shape, -1.0, 1.0, origin=(0, 0))


def rings_of(piece):
    return shapely.MultiLineString([np.vstack([ring, ring[:1]]) for ring in piece.cutting])


def marked(one, before):
    """What somebody marks of the cutting line: what pages show, strings between them, and all of it turned over."""
    strokes = [s for s in one.drawing.strokes if s.layer is Layer.CUTTING]
    lines = shapely.union_all(
        [shapely.LineString(np.vstack([s.points, s.points[:1]]) if s.closed else s.points) for s in strokes]
    )
    windows = shapely.union_all([shapely.box(*tile.window) for tile in one.tiling.tiles])
    shown = lines.intersection(windows)
    if one.lines.base:
        shown = shown.union(before[one.lines.base])
        hidden = lines.difference(windows).difference(before[one.lines.base].buffer(0.3))
    else:
        hidden = lines.difference(windows)
    strings = [
        shapely.LineString([part.coords[0], part.coords[-1]])
        for part in shapely.get_parts(shapely.line_merge(hidden))
        if not part.is_empty
    ]
    whole = shapely.union_all([shown, *strings])
    return whole.union(turned(whole)) if one.lines.is_half else whole


def check(printed):
    before = {}
    for one in printed:
        before[one.piece.name] = made = marked(one, before)
        wanted = rings_of(one.piece)
        assert made.buffer(0.5).covers(wanted), one.piece.name
        assert wanted.buffer(0.5).covers(made), one.piece.name


@pytest.mark.parametrize("name", NAMES)
def test_what_is_marked_is_the_whole_cutting_line(all_printed, name):
    check(all_printed[name])


@pytest.mark.parametrize("name", NAMES)
def test_each_shape_is_printed_once_and_what_can_be_halved_is(all_printed, rooms, name):
    printed = all_printed[name]
    told = [piece.name for one in printed for piece in (one.piece, *one.turned)]
    assert sorted(told) == sorted(piece.name for piece in rooms[name].pattern.templates)
    assert all(other.mirror_of == one.piece.name for one in printed for other in one.turned)
    for one in printed:
        ring = shapely.Polygon(one.piece.cutting[0], one.piece.cutting[1:])
        off = ring.symmetric_difference(turned(ring)).area / ring.length
        assert not one.lines.is_half or off < 0.2
        assert one.lines.is_half or off > 0.2, one.piece.name


def random_piece(heights, widths, lean):
    """A piece of straight edges, alike on both sides unless it leans."""
    y = np.cumsum([0.0, *heights])
    right = np.column_stack([np.array(widths[: len(y)]) + lean, y])
    left = np.column_stack([-np.array(widths[: len(y)]), y])[::-1]
    corners = np.vstack([right, left])
    flat = tuple(FlatEdge.straight(a, b) for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True))
    area = shapely.Polygon(corners).area
    outline = Outline(Loop(flat, 0.0), (), (), area, area, 0.0, 1)
    edges = tuple(PieceEdge(f"e{i}", EdgeRole.HEM, (one,), 20.0) for i, one in enumerate(flat, 1))
    cut = shapely.Polygon(corners).buffer(20.0, join_style="mitre").normalize()
    ring = np.asarray(shapely.orient_polygons(cut).exterior.coords)[:-1]
    return Piece("panel", PANEL, ("panel_01", "panel_02"), None, outline, edges, (), (ring,))


@given(
    st.lists(st.integers(150, 1800), min_size=2, max_size=3),
    st.lists(st.integers(60, 900), min_size=4, max_size=4),
    st.sampled_from([0.0, 7.0]),
)
@settings(max_examples=6, deadline=None, derandomize=True)
def test_random_pieces_come_out_whole(heights, widths, lean):
    printed = printed_pieces([random_piece(heights, widths, lean)], A4)
    assert printed[0].lines.is_half == (lean == 0.0)
    check(printed)


def crossing(text):
    """Where tapes meet, from what the page says: across and along."""
    number, where = text.split(": ", 1)
    lengths = [float(one) for one in re.findall(r"(\d+) mm", where)]
    if where.startswith("on the"):
        return int(number), np.array([0.0, lengths[0]])
    reach, start, second, end = lengths
    along = (start**2 - end**2 - reach**2 + second**2) / (2 * (start - end))
    across = np.sqrt(max(reach**2 - (along - start) ** 2, 0.0))
    return int(number), np.array([across if where.startswith("right") else -across, along])


@pytest.mark.parametrize("name", NAMES)
def test_tapes_meet_at_the_points(all_printed, name):
    """Each point comes out where it is printed from the lengths as they are told, rounded to millimetres."""
    found = 0
    for one in all_printed[name]:
        low = one.piece.cutting[0][:, 1].min()
        told = dict(crossing(row) for row in one.rows if re.match(r"\d+: ", row))
        assert sorted(told) == [point.number for point in one.points]
        for point in one.points:
            assert np.hypot(*(told[point.number] + [0.0, low] - point.at)) < 1.5, (
                one.piece.name,
                point.number,
            )
            found += 1
        groups = one.tiling.groups
        if len(groups) > 1 or one.lines.base:
            for group in groups:
                windows = shapely.union_all([shapely.box(*tile.window) for tile in group])
                own = [point for point in one.points if windows.contains(shapely.Point(point.at))]
                assert len(own) == 2 or (len(own) == 1 and own[0].at[0] == 0.0), one.piece.name
    assert found > 10


@pytest.mark.parametrize("name", NAMES)
def test_notches_without_paper_are_in_the_list(all_printed, name):
    """Every notch whose page is left out is told, with the number of its ticks."""
    missing = 0
    for one in all_printed[name]:
        windows = shapely.union_all([shapely.box(*tile.window) for tile in one.tiling.tiles])
        if one.lines.is_half:
            windows = windows.intersection(shapely.box(0, -FAR, FAR, FAR))
        turned_from = next((k for k, row in enumerate(one.rows) if row.endswith("turned over:")), None)
        for edge in one.piece.all_edges:
            rows = (row for row in one.rows[:turned_from] if row.startswith(f"notches on {edge.id} "))
            row = next(rows, "")
            told = re.findall(r"(\d+) mm(?: \((\d) ticks\))?", row)
            assert not told or len(told) == len(edge.notches_mm)
            for k, (at, ticks) in enumerate(zip(edge.notches_mm, edge.ticks, strict=True)):
                shown = windows.contains(shapely.Point(edge.at(at)[0]))
                left = one.lines.is_half and windows.contains(shapely.Point(edge.at(at)[0] * [-1, 1]))
                missing += not shown and not left
                assert told or shown or left
                assert not told or abs(float(told[k][0]) - at) <= 0.5
                assert not told or int(told[k][1] or 1) == ticks
        for other in one.turned:
            rows = one.rows[one.rows.index(f"{other.name}, this paper turned over:") :]
            for edge in other.all_edges:
                if edge.notches_mm:
                    row = next(row for row in rows if row.startswith(f"notches on {edge.id} "))
                    told = [int(many or 1) for many in re.findall(r"\d+ mm(?: \((\d) ticks\))?", row)]
                    assert told == list(edge.ticks)
    assert missing > 10


@pytest.mark.parametrize("name", NAMES)
def test_words_are_on_their_pages_and_cover_nothing(all_printed, name):
    for one in all_printed[name]:
        if not one.lines.is_half and not one.points:
            continue
        groups = [shapely.union_all([shapely.box(*t.window) for t in group]) for group in one.tiling.groups]
        boxes = [
            LARGE.boxes([la.text], [(0.8 * la.height_mm, la.at, la.angle)])[0] for la in one.drawing.labels
        ]
        assert all(any(group.contains(box) for group in groups) for box in boxes)
        lines = shapely.union_all([shapely.LineString(s.points) for s in one.lines.strokes])
        shapely.prepare(lines)
        assert not any(lines.intersects(box) for box in boxes), one.piece.name
        first, second = shapely.STRtree(boxes).query(boxes, predicate="overlaps")
        assert not [(a, b) for a, b in zip(first, second, strict=True) if a < b], one.piece.name
        names = [label for label in one.drawing.labels if label.text == one.piece.name]
        assert len(names) == len(groups)
        if one.lines.is_half:
            assert any(label.text.startswith("fold line") for label in one.drawing.labels)
        assert min(label.height_mm for label in one.drawing.labels) >= 2.5


def on_paper(tile):
    return np.array([MARGIN_MM, MARGIN_MM + FOOT_MM]) - tile.window[:2]


def test_points_are_printed_where_they_are(lantern):
    printed, run, pages = lantern
    one = next(one for one in printed if one.piece.name == "panel")
    for point in one.points[:4]:
        index, tile = next(
            (k, t)
            for k, t in enumerate(one.tiling.tiles)
            if shapely.box(*t.core).contains(shapely.Point(point.at))
        )
        ink = pages.ink(run.first_pages["panel"] + index, 300)
        place = point.at + on_paper(tile)
        off = np.array([3.6, 1.2])  # across the ring beside its cross: a ring of 2.6 mm about the point
        if point.at[0] == 0.0:
            continue  # the fold line runs through it
        wide = np.sqrt(2.6**2 - 1.2**2)
        found = ink.runs(place + off * [-1, 1], place + off)
        assert found[[0, -1]] - 3.6 == pytest.approx([-wide, wide], abs=0.15)


def test_a_known_length_is_true_on_the_page(lantern):
    """Half of the corner patch is a circle of 110 mm; 30 mm from the fold line it is 2 sqrt(110² - 30²) tall."""
    printed, run, pages = lantern
    one = next(one for one in printed if one.piece.name == "patch_corner")
    assert one.lines.is_half
    (tile,) = one.tiling.tiles
    middle = (one.piece.cutting[0].min(axis=0) + one.piece.cutting[0].max(axis=0)) / 2
    ink = pages.ink(run.first_pages["patch_corner"], 300)
    place, up = middle + np.array([30.0, 0.0]) + on_paper(tile), np.array([0.0, 118.0])
    runs = ink.runs(place - up, place + up)
    assert runs[-1] - runs[0] == pytest.approx(2 * np.sqrt(110.0**2 - 30.0**2), abs=0.2)


def test_a_lone_piece_that_mirrors_another_is_printed_itself(rooms):
    piece = rooms["lantern_room"].pattern.piece("curtain_right")
    (one,) = printed_pieces([piece], A4)
    assert one.piece is piece
    assert one.turned == ()


def test_lengths_are_told_by_the_tape_at_hand(rooms):
    piece = rooms["lantern_room"].pattern.piece("panel")
    (one,) = printed_pieces([piece], A4, Tape.IMPERIAL)
    told = [row for row in one.rows if re.match(r"\d+: ", row)]
    assert told
    assert all(" ft" in row or " in" in row for row in told)
    assert not any(" mm" in row for row in one.rows)


def test_another_edge_makes_a_piece_whole(rooms):
    """A piece of which one side has another allowance is not printed by half."""
    piece = rooms["lantern_room"].pattern.piece("panel")
    ring = piece.cutting[0].copy()
    ring[ring[:, 0] > 0.0] += [8.0, 0.0]
    (one,) = printed_pieces([evolve(piece, cutting=(ring,))], A4)
    assert not one.lines.is_half
    check([one])

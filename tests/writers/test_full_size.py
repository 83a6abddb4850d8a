"""Patterns at full size, printed by PDFium and measured on the print."""

import re
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from pdf_pages import Pages
from printed_rooms import A4, printed_of

from shellparts.base.errors import ParameterError
from shellparts.drawing.full_size import full_size_pages, spread
from shellparts.drawing.letters import plain_text
from shellparts.drawing.paper import FOOT_MM, MARGIN_MM, PaperSheet, sheet_of
from shellparts.drawing.printed import Page, Shown
from shellparts.drawing.strokes import Drawing, Layer, stroke_of_points
from shellparts.drawing.tiling import OVERLAP_MM, tile_shape
from shellparts.parameters import Design, Paper, Printing, Shell, Tape
from shellparts.writers.pages import write_full_size
from shellparts.writers.pdf import write_pdf

NOTHING = shapely.Polygon()


def on_paper(tile) -> np.ndarray:
    """What to add to a piece's own coordinates to get to its place on the page [mm]."""
    return np.array([MARGIN_MM, MARGIN_MM + FOOT_MM]) - tile.window[:2]


@pytest.fixture(scope="module")
def prints(rooms, tmp_path_factory):
    """The three rooms on A4: pieces as they are printed, what was printed, the pages."""
    folder = tmp_path_factory.mktemp("prints")
    made = {}
    for name in rooms:
        path = folder / f"{name}.pdf"
        printed = printed_of(name)
        sheets, run = full_size_pages(printed, A4, name)
        write_pdf(sheets, name, path)
        made[name] = (printed, run, Pages(path))
    return made


@pytest.fixture(params=["lantern_room", "tide_dome", "orchard_pavilion"])
def printed(request, prints):
    return prints[request.param]


def test_no_page_is_empty(printed):
    for one in printed[0]:
        lines = shapely.union_all([shapely.LineString(stroke.points) for stroke in one.lines.strokes])
        assert all(lines.intersects(shapely.box(*tile.window)) for tile in one.tiling.tiles if one.points)
        assert all(
            one.lines.cloth.buffer(3.0).intersects(shapely.box(*tile.core)) for tile in one.tiling.tiles
        )


def test_every_page_says_what_it_is(printed):
    pieces, run, pages = printed
    assert len(pages) == run.pages
    for number, words in enumerate(pages.texts, 1):
        assert f"page {number} of {run.pages}" in words
        assert "Print at 100 %, not fitted to the page." in words
        assert all(mark in words for mark in ("50 mm", "100 mm", "1 in", "2 in", "3 in", "4 in"))
    for one in pieces:
        piece, first = one.piece, run.first_pages[one.piece.name]
        above = " ".join(pages.texts[: first - 1])
        if len(one.tiling.tiles) > 2:
            assert f"{piece.name}: cut {piece.count}" in above
        for other in one.turned:
            assert f"{other.name} (cut {other.count}) is this paper turned over" in above
            assert run.first_pages[other.name] == first
        for number, tile in enumerate(one.tiling.tiles, first):
            assert f"{piece.name} r{tile.row} c{tile.column} page" in pages.texts[number - 1]


def test_neighbours_name_each_other(printed):
    pieces, run, pages = printed
    opposite = {"left": "right", "right": "left", "above": "below", "below": "above"}
    for one in pieces:
        first, count = run.first_pages[one.piece.name], len(one.tiling.tiles)
        said = {}
        for words in pages.texts[first - 1 : first - 1 + count]:
            own = re.search(r"(r\d+ c\d+) page", words)[1]
            for side in opposite:
                near = re.search(rf"\b{side} ((?:r\d+ c\d+(?:, )?)+)", words)
                said[own, side] = set(re.findall(r"r\d+ c\d+", near[1])) if near else set()
        assert all(
            own in said[other, opposite[side]] for (own, side), found in said.items() for other in found
        )
        # All pages of a group hang together, and with no other one.
        for group in one.tiling.groups:
            reached, todo = set(), [group[0].address]
            while todo:
                own = todo.pop()
                if own not in reached:
                    reached.add(own)
                    todo += [other for side in opposite for other in said[own, side]]
            assert reached == {tile.address for tile in group}


def test_the_bar_is_true(printed):
    _, run, pages = printed
    numbers = [1, 2, 3, run.pages // 2, run.pages]
    for number in numbers:
        ink = pages.ink(number, 300)
        left, line = MARGIN_MM + 2.0, MARGIN_MM + 6.5
        for y, pitch, count in ((line + 1.0, 10.0, 11), (line - 1.0, 12.7, 9)):
            ticks = ink.runs([left - 1.5, y], [left + 103.0, y])
            assert len(ticks) == count
            assert np.abs(ticks - ticks[0] - pitch * np.arange(count)).max() < 0.1


def test_cutting_lines_are_where_they_belong_on_every_page(printed):
    """The print's darkness along short ways across the cutting line has its middle on it, within 0.1 mm."""
    pieces, run, pages = printed
    measured = 0
    for one in pieces:
        piece, tiles, first = one.piece, one.tiling.tiles, run.first_pages[one.piece.name]
        wanted = one.lines.cloth.buffer(1.0)
        sewing = shapely.MultiLineString(
            [np.vstack([p, p[:1]]) for p in (loop.polyline(0.02) for loop in piece.outline.loops)]
        )
        others = [stroke for stroke in one.drawing.strokes if stroke.layer is not Layer.CUTTING]
        near = shapely.union_all([shapely.LineString(stroke.points) for stroke in others])
        marks = shapely.MultiPoint(one.tiling.marks(NOTHING))
        for index in range(len(tiles) // 4, len(tiles), max(1, len(tiles) // 2)):
            tile, ink = tiles[index], pages.ink(first + index, 300)
            for ring in piece.cutting:
                line = shapely.LineString(np.vstack([ring, ring[:1]]))
                for s in np.arange(15.0, line.length - 15.0, 37.0):
                    before, at, after = (
                        np.array(line.interpolate(s + d).coords[0]) for d in (-1.5, 0.0, 1.5)
                    )
                    # Straight here, well inside the window, and nothing else is drawn near.
                    chord = after - before
                    bend = abs(chord[0] * (at - before)[1] - chord[1] * (at - before)[0]) / 3
                    inside = shapely.box(*tile.window).buffer(-OVERLAP_MM - 2.0).contains(shapely.Point(at))
                    if not inside or bend > 0.01 or min(marks.distance(shapely.Point(at)), 99) < 6.0:
                        continue
                    if not wanted.contains(shapely.Point(at)) or near.distance(shapely.Point(at)) < 4.0:
                        continue
                    if sewing.distance(shapely.Point(at)) < 4.0:
                        continue
                    out = np.array([chord[1], -chord[0]]) / np.hypot(*chord)
                    place = at + on_paper(tile)
                    (middle,) = ink.runs(place - 1.2 * out, place + 1.2 * out)
                    assert abs(middle - 1.2) < 0.1, f"{piece.name} {tile.address} at {at}"
                    measured += 1
    assert measured > 20


def _marks_on(ink, tile, marks) -> dict[tuple[float, float], np.ndarray]:
    """Where registration marks are found on a printed page; those that something else touches are left out."""
    found = {}
    for mark in marks:
        place = mark + on_paper(tile)
        if (np.abs(np.asarray(mark) - tile.window[:2]) < 4.5).any() or (
            np.abs(np.asarray(mark) - tile.window[2:]) < 4.5
        ).any():
            continue
        if not shapely.box(*tile.window).contains(shapely.Point(mark)):
            continue
        centre, area = ink.centre(place, 4.2)
        # A cross of 7.2 mm and a ring of 3.6 mm across, drawn 0.2 mm wide.
        if abs(area - 0.2 * (2 * 7.2 + np.pi * 3.6)) < 0.4:
            found[tuple(mark)] = centre
    return found


def test_an_assembled_piece_is_true(prints):
    """Pages are laid on each other mark on mark, as on the floor; then the piece is measured over all of them."""
    pieces, run, pages = prints["tide_dome"]
    one = next(one for one in pieces if one.piece.name == "panel")
    group = max(one.tiling.groups, key=len)
    assert len({tile.row for tile in group}) > 8
    marks = np.round(one.tiling.marks(NOTHING), 6)
    shift, previous, ends = np.zeros(2), None, []
    edge = shapely.LineString(one.piece.cutting[0])
    for row in sorted({tile.row for tile in group}):
        tile = next(tile for tile in group if tile.row == row)
        ink = pages.ink(run.first_pages["panel"] + one.tiling.tiles.index(tile), 300)
        found = _marks_on(ink, tile, marks)
        if previous is not None:
            shared = found.keys() & previous.keys()
            assert shared, f"no marks between {tile.address} and the page above"
            shift = shift + np.mean([previous[key] - found[key] for key in shared], axis=0)
        previous = found
        level = (tile.core[1] + tile.core[3]) / 2
        truth = edge.intersection(shapely.LineString([(5.0, level), (2000.0, level)]))
        if not truth.is_empty and shapely.box(*tile.window).buffer(-12.0).contains(truth):
            place = np.array([truth.x, truth.y]) + on_paper(tile)
            way = np.array([1.0, 0.0])
            (middle,) = ink.runs(place - 3.0 * way, place + 3.0 * way)
            ends.append((np.array([truth.x, truth.y]), place + (middle - 3.0) * way + shift))
    (true_a, a), *_, (true_b, b) = ends
    assert np.hypot(*(a - b)) == pytest.approx(np.hypot(*(true_a - true_b)), abs=0.5)
    assert np.hypot(*(true_a - true_b)) > 2000.0


def test_marks_are_the_same_on_all_pages_that_share_them(prints):
    """Each mark stands at one place of the piece, on two pages at least."""
    pieces, run, pages = prints["orchard_pavilion"]
    tiling = next(one.tiling for one in pieces if one.piece.name == "flap_2")
    marks = np.round(tiling.marks(NOTHING), 6)
    seen = {}
    for number, tile in enumerate(tiling.tiles, run.first_pages["flap_2"]):
        for mark, centre in _marks_on(pages.ink(number, 300), tile, marks).items():
            seen.setdefault(mark, []).append(centre - on_paper(tile))
    assert len(seen) > len(marks) / 2
    for mark, places in seen.items():
        assert np.abs(np.array(places) - mark).max() < 0.1


def test_few_pages(printed):
    _, run, _ = printed
    assert run.pages < 150
    assert run.pattern_pages < 0.25 * run.least_pages


def test_the_same_pieces_give_the_same_bytes(rooms, tmp_path):
    pieces = rooms["orchard_pavilion"].pattern.pieces[6:]
    for name in ("a.pdf", "b.pdf"):
        write_full_size(pieces, A4, "room", tmp_path / name)
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()


@pytest.mark.parametrize(
    "printing",
    [Printing(paper=Paper.LETTER), Printing(paper="A3"), Printing(paper="roll", roll_width="24 in")],
)
def test_other_paper(rooms, tmp_path, printing):
    sheet = sheet_of(printing, Tape.METRIC)
    piece = rooms["orchard_pavilion"].pattern.piece("curtain_left")
    run = write_full_size([piece], sheet, "room", tmp_path / "a.pdf")
    pages = Pages(tmp_path / "a.pdf")
    _, tiling = spread(piece, sheet)
    assert run.pattern_pages == len(tiling.tiles)
    for number in range(run.first_pages[piece.name], run.pages + 1):
        assert pages.size_mm(number) == pytest.approx(
            [tiling.sheet.width_mm, tiling.sheet.height_mm], abs=1e-3
        )
        ink = pages.ink(number, 150)
        ticks = ink.runs([MARGIN_MM + 0.5, MARGIN_MM + 7.5], [MARGIN_MM + 105.0, MARGIN_MM + 7.5])
        assert ticks[-1] - ticks[0] == pytest.approx(100.0, abs=0.1)


def test_a_roll_is_not_wider_than_it_is():
    sheet = sheet_of(Printing(paper="roll", roll_width=914), Tape.METRIC)
    tiling = tile_shape(shapely.box(0, 0, 2000, 6000), sheet)
    assert tiling.sheet.width_mm == 914
    assert tiling.sheet.height_mm <= sheet.height_mm
    assert (tiling.rows, tiling.columns) == (3, 3)


@given(
    st.lists(st.tuples(st.integers(-900, 900), st.integers(-900, 900)), min_size=3, max_size=12),
    st.sampled_from([A4, sheet_of(Printing(paper="tabloid"), Tape.METRIC)]),
)
@settings(max_examples=40, deadline=None)
def test_any_shape_is_covered(points, sheet):
    shape = shapely.MultiPoint(points).convex_hull.buffer(5.0)
    tiling = tile_shape(shape, sheet)
    cores = [shapely.box(*tile.core) for tile in tiling.tiles]
    assert shape.difference(shapely.union_all(cores).buffer(1e-6)).is_empty
    assert all(shape.buffer(3.0).intersects(core) for core in cores)
    assert all(a.intersection(b).area < 1e-3 for i, a in enumerate(cores) for b in cores[:i])
    assert len({tile.address for tile in tiling.tiles}) == len(tiling.tiles)


def test_rows_hold_as_few_pages_as_fit():
    """Two legs 1 m apart take one page each, and no page lies between them."""
    legs = shapely.union_all(
        [shapely.box(0, 0, 150, 600), shapely.box(1150, 0, 1300, 600), shapely.box(0, 500, 1300, 600)]
    )
    tiling = tile_shape(legs, A4)
    lowest = [tile for tile in tiling.tiles if tile.row == tiling.rows]
    assert len(lowest) == 2
    left, right = lowest
    assert tiling.beside(left)["right"] == []
    assert right.core[0] - left.core[2] > 500


def test_marks_avoid_texts_where_they_can():
    tiling = tile_shape(shapely.box(0, 0, 500, 600), A4)
    free = tiling.marks(NOTHING)
    taken = shapely.MultiPoint(free[:1]).buffer(20.0)
    moved = tiling.marks(taken)
    assert shapely.intersects_xy(taken, free).any()
    assert not shapely.intersects_xy(taken, moved).any()


def test_paper_of_a_design():
    def paper(**options):
        return Design(name="bare", shell=Shell(panels=8, across=3000, height=2400), **options)

    assert sheet_of(paper().printing, paper().marking.tape).name == "A4"
    assert sheet_of(Printing(), Tape.IMPERIAL).name == "letter"
    assert sheet_of(Printing(paper="A3"), Tape.IMPERIAL).name == "A3"
    assert paper(printing=Printing(paper="roll", roll_width=914)).parameters()["printing"] == {
        "paper": "roll",
        "roll_width_mm": 914.0,
    }


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: Printing(paper="A5"), r"^paper is 'A5'; it must be one of A4, A3, letter, tabloid, roll"),
        (lambda: Printing(paper="roll"), r"^width of the paper roll is not given; it must be given where"),
        (
            lambda: Printing(roll_width=900),
            r"^width of the paper roll is 900 mm; it must be given where the paper is a roll",
        ),
        (
            lambda: Printing(paper="roll", roll_width=100),
            r"^width of the paper roll is 100 mm; it must be from 250 mm",
        ),
        (
            lambda: PaperSheet(900, 6000, "plot"),
            r"^size of the page is 900 x 6000 mm; it must be at most 5080 mm long",
        ),
        (
            lambda: PaperSheet(150, 300, "card"),
            r"^size of the page is 150 x 300 mm; it must be at least 200 mm wide",
        ),
    ],
)
def test_what_cannot_be_true_to_size_is_refused(make, message):
    with pytest.raises(ParameterError, match=message):
        make()


def test_letters_that_a_reader_lacks():
    assert plain_text("Zelt für Šárka ☂") == "Zelt für Sárka ?"


def test_rows_are_counted_from_the_top():
    tiling = tile_shape(shapely.box(0, 0, 100, 900), A4)
    assert all(a.core[1] == pytest.approx(b.core[3]) for a, b in pairwise(tiling.tiles))


def test_a_line_that_starts_far_off_the_page_is_straight_on_it(tmp_path):
    """PDFium moves points more than 50 000 dots off the page: 2.1 m at 600 dots an inch."""
    long = Drawing((stroke_of_points(Layer.CUTTING, [(0.0, 0.0), (200.0, 6000.0)]),))
    write_pdf([Page(210.0, 297.0, (Shown(long, [(0.0, -5600.0)]),))], "a line", tmp_path / "a.pdf")
    ink = Pages(tmp_path / "a.pdf").ink(1, 600)
    for y in (20.0, 150.0, 280.0):
        (middle,) = ink.runs(np.array([150.0, y]), np.array([205.0, y]))
        assert 150.0 + middle == pytest.approx((5600.0 + y) / 30.0, abs=0.05)


def test_dashes_begin_anew_at_the_same_places(tmp_path):
    """A dashed line is dashed alike however much of it lies off the page, and kept in the file once."""
    fold = Drawing((stroke_of_points(Layer.FOLD, [(100.0, 0.0), (100.0, 6000.0)]),))
    pages = [Page(210.0, 297.0, (Shown(fold, [(0.0, -low)]),)) for low in (0.0, 5200.0)]
    write_pdf(pages, "a fold", tmp_path / "a.pdf")
    assert (tmp_path / "a.pdf").read_bytes().count(b"/Subtype /Form") == 1
    near, far = (
        Pages(tmp_path / "a.pdf").ink(n, 300).runs(np.array([100.0, 15.0]), np.array([100.0, 290.0]))
        for n in (1, 2)
    )
    assert len(near) > 15
    assert far[1:-1] == pytest.approx(near[1:-1], abs=0.1)  # 5200 mm are 400 periods of 13 mm


def test_what_is_shown_is_turned_moved_and_cut_at_its_window(tmp_path):
    """A line of 100 mm along, turned upright at 50 / 40, seen up to 100 mm above the paper's edge."""
    level = Drawing((stroke_of_points(Layer.CUTTING, [(0.0, 0.0), (100.0, 0.0)]),))
    shown = Shown(level, [(50.0, 40.0)], quarters=1, window=(0.0, 0.0, 210.0, 100.0))
    write_pdf([Page(210.0, 297.0, (shown,))], "a line", tmp_path / "a.pdf")
    ink = Pages(tmp_path / "a.pdf").ink(1, 300)
    for y, count in ((38.0, 0), (42.0, 1), (98.0, 1), (102.0, 0)):
        middles = ink.runs(np.array([30.0, y]), np.array([70.0, y]))
        assert middles == pytest.approx([20.0] * count, abs=0.05)

"""The build book before it is set in type: cards of steps, sketches of seams, lengths in the reader's measure."""

import csv
import re

import numpy as np
import pytest
import shapely
from book_rooms import book_of, flat
from model_rooms import room_of
from text_boxes import none_overlap

from shellparts.base.classes import evolve
from shellparts.drawing.blocks import Chapter, Figure, Grid, Section, Words
from shellparts.drawing.book import book_blocks
from shellparts.drawing.book_sewing import sewing_chapter
from shellparts.drawing.paper import book_paper
from shellparts.drawing.piece import draw_piece
from shellparts.drawing.places import places_page
from shellparts.drawing.step_sketch import Marked, facing, seam_sketch
from shellparts.drawing.strokes import Layer
from shellparts.loads.results import Decision, Must
from shellparts.parameters.workshop import Workshop
from shellparts.report.buy_list import Extras, buy_lines
from shellparts.writers.sewing_tables import write_fittings, write_rows, write_sewing_order, write_strips


@pytest.fixture(scope="module")
def book():
    return book_of(room_of("lantern_room"), with_stock=False)


def marked(book, seam):
    found = []
    for sheet, edge in zip(seam.sheets, seam.edges, strict=True):
        piece = book.where[sheet]
        found.append(Marked(piece, (next(one for one in piece.all_edges if one.id == edge),), sheet))
    return found


def line(lying, layer):
    return next(points for found, points, _ in lying.lines if found is layer)


def open_seams(book):
    """Seams of two sheets whose edges do not run all around."""
    for seam in book.pattern.seams:
        first, second = marked(book, seam)
        edge = first.edges[0]
        if seam.sheets[0] != seam.sheets[1] and np.hypot(*(edge.flat[-1].end - edge.flat[0].start)) > 1.0:
            yield seam, first, second


def test_edges_of_a_seam_face_each_other(book):
    """The first edge runs right with its cloth above, the second left with its cloth below, end across from end."""
    seams = list(open_seams(book))
    assert len(seams) > 25
    for seam, first, second in seams:
        upper, lower = facing(first, second)
        one, other = line(upper, Layer.FIRST_EDGE), line(lower, Layer.SECOND_EDGE)
        chords = [abs(points[-1] - points[0]) for points in (one, other)]
        assert one[-1][0] - one[0][0] == pytest.approx(np.hypot(*chords[0])), seam.id
        assert other[0][0] - other[-1][0] == pytest.approx(np.hypot(*chords[1])), seam.id
        differ = (
            abs(np.hypot(*chords[0]) - np.hypot(*chords[1]))
            + 0.5 * abs(np.ptp(one[:, 0]) - chords[0][0])
            + 30.0
        )
        assert abs(one[0][0] - other[-1][0]) <= differ, seam.id
        for lying, points, up in ((upper, one, 1.0), (lower, other, -1.0)):
            middle = len(points) // 2 - (len(points) % 2 == 0)
            at, way = (
                (points[middle] + points[middle + 1 - (middle + 1 == len(points))]) / 2.0,
                points[-1] - points[0],
            )
            if len(points) > 2:
                continue  # a curve may bend to either side
            side = np.array([-way[1], way[0]]) / np.hypot(*way)  # to the left: the cloth
            assert side[1] == pytest.approx(up, abs=1e-6), seam.id
            assert lying.shape.buffer(1e-6).contains(shapely.Point(at + 2.0 * side)), seam.id


def test_notches_stand_across_from_each_other(book):
    """Ticks of the two edges lie at the same distances, one counted from its start and one from its end."""
    for seam, first, second in open_seams(book):
        one, other = first.edges[0], second.edges[0]
        stretch = one.length_mm / other.length_mm
        across = [one.length_mm - at * stretch for at in reversed(other.notches_mm)]
        np.testing.assert_allclose(one.notches_mm, across, atol=2.0, err_msg=seam.id)


def test_words_of_sketches_stand_clear(book):
    for seam in book.pattern.seams:
        drawn = seam_sketch(*marked(book, seam))
        assert none_overlap(drawn.labels), seam.id
        assert {label.text for label in drawn.labels} >= {*seam.sheets, *seam.edges}, seam.id


def test_every_step_stands_on_one_card_with_a_box_to_tick(book):
    blocks = list(flat(sewing_chapter(book)))
    assert isinstance(blocks[0], Chapter)
    numbers = []
    for block in blocks:
        if isinstance(block, Section):
            first, last = re.match(r"Steps? (\d+)(?: (?:to|and) (\d+))?\.", block.title).groups()
            numbers += range(int(first), int(last or first) + 1)
    assert numbers == [step.number for step in book.order.steps]
    grids = [block for block in blocks if isinstance(block, Grid)]
    assert all(row[-1] == "\u2610" for grid in grids for row in grid.rows)


def told_rows(book):
    """Every row of stitches as the cards tell it: step, cells by their heads, what is said of it, whether of one run."""
    step, common = 0, ""
    for block in flat(sewing_chapter(book)):
        if isinstance(block, Section):
            step, common = int(re.match(r"Steps? (\d+)", block.title)[1]), ""
        if isinstance(block, Words) and block.text.startswith("**How:**"):
            common = block.text
        if isinstance(block, Grid) and "length" in block.header:
            for cells in block.rows:
                row = dict(zip(block.header, cells, strict=True))
                said = "; ".join([common.replace("**", "").replace(".", ";"), *cells])
                yield int(row.get("step", step)), row, said, "one run" in common


@pytest.mark.parametrize("name", ["lantern_room", "orchard_pavilion"])
def test_book_and_table_say_the_same_of_every_row(rooms, name, tmp_path):
    """One after the other: the same step, seam, edges, length, how, from where to where, what to mind."""
    book, path = book_of(rooms[name], with_stock=False), tmp_path / "rows.csv"
    write_rows(book.order, book.pattern, book.marking, path)
    with path.open(encoding="utf-8", newline="") as file:
        table = list(csv.DictReader(file))
    told = list(told_rows(book))
    assert len(told) == len(table) > 50
    for k, (line, (step, row, said, in_run)) in enumerate(zip(table, told, strict=True)):
        edges = [row[head] for head in ("first edge", "second edge", "edge") if head in row]
        assert (line["step"], line["seam"]) == (f"{step}", row.get("seam", ""))
        assert [one.replace(":", " ") for one in (line["edge"], line["other_edge"]) if one] == edges
        length = line["length_tape"] if "length_tape" in line else f"{float(line['length_mm']):.0f} mm"
        assert row["length"].partition(" of ")[0] == length
        assert line["made"] in said
        if line["on_top_or_turned_towards"]:
            which = "first" if line["on_top_or_turned_towards"] == line["edge"] else "second"
            assert f"the {which} edge" in said
        for turn in ("first_turn", "second_turn", "row_from_finished_edge"):
            tape = line.get(f"{turn}_tape") or (
                f"{float(line[f'{turn}_mm']):.0f} mm" if line[f"{turn}_mm"] else ""
            )
            assert tape in said
        inner = [
            line["start"] == "on from the row before",
            line["stop"] == "on into the next row, needle down",
        ]
        same = [near["step"] == line["step"] for near in (table[k - 1], (table + table[:1])[k + 1])]
        around = line["stop"] == "over its beginning"
        if in_run:
            assert inner == same and (around or inner[1] or line["stop"] in said), line
            minded = [one for one in line["remark"].split("; ") if "stitches back" not in one]
        else:
            for end in ("start", "stop"):
                at_edge = line[end] not in (
                    "any place",
                    "over its beginning",
                    "on from the row before",
                    "on into the next row, needle down",
                )
                assert (f"{line[end]} at {line[f'{end}_beside']}" if at_edge else line[end]) in said, line
            minded = line["remark"].split("; ")
        assert all(one in said for one in minded if one), line


#: Other words for the sides of cloth than outer and inner.
OTHER_SIDES = re.compile(
    r"this side|\bside out|\bface[sd]? (?:up|down)|(?:right|wrong|front|back|good) side|(?:out|in)side (?:up|down|out)",
    re.IGNORECASE,
)


def said_of(block):
    """Every text of a block."""
    texts = [getattr(block, name, "") for name in ("text", "title", "caption")]
    texts += [*getattr(block, "items", ()), *getattr(block, "header", ())]
    texts += [cell for row in getattr(block, "rows", ()) for cell in row]
    drawing = getattr(block, "drawing", None)
    return texts + ([label.text for label in drawing.labels] if drawing is not None else [])


def test_sides_of_cloth_have_one_name_everywhere(book, tmp_path):
    """Drawings of pieces, the book with its sketches, tables: outer side, inner side."""
    assert OTHER_SIDES.search("up; this side out") and OTHER_SIDES.search("laid face down")
    drawn = {piece.name: draw_piece(piece).labels for piece in book.pattern.templates}
    told = [label.text for labels in drawn.values() for label in labels]
    assert sum("outer side up" in text for text in told) >= 6
    said = [text for block in flat(book_blocks(book)) for text in said_of(block)]
    assert sum("outer side" in text for text in said) >= 3
    write_rows(book.order, book.pattern, book.marking, tmp_path / "rows.csv")
    write_strips(book.pattern, book.marking, tmp_path / "strips.csv")
    write_sewing_order(book.order, book.pattern, book.marking, tmp_path / "order.csv")
    tables = [path.read_text(encoding="utf-8") for path in tmp_path.glob("*.csv")]
    assert [text for text in (*told, *said, *tables) if OTHER_SIDES.search(text)] == []


def test_cord_is_as_long_in_the_book_the_table_and_the_list_of_what_to_get(book, tmp_path):
    """For the same knots; farther apart than the channel by just these."""
    pattern, marking, path = book.pattern, book.marking, tmp_path / "fittings.csv"
    for knots_mm in (0.0, 450.0, 600.0):
        workshop = Workshop(knots_mm=knots_mm)
        write_fittings(book.order, pattern, marking, knots_mm, path)
        with path.open(encoding="utf-8", newline="") as file:
            (table,) = (row["cord_each_mm"] for row in csv.DictReader(file) if row["part"] == "drawcord")
        told = marking.length(float(table))
        lines = buy_lines(pattern, book.order, workshop, Extras(), marking)
        assert f"1 drawcord of {told}, knots included" in next(
            one.basis for one in lines if one.item == "cord"
        )
        if knots_mm != 450.0:
            continue
        rows = [
            row
            for block in flat(sewing_chapter(evolve(book, knots_mm=knots_mm)))
            if isinstance(block, Grid)
            for row in block.rows
            if row[0] == "drawcord"
        ]
        assert [row[3].split(",")[0] for row in rows] == [told]
        (channel,) = (
            edge.length_mm for edge in book.where["sleeve"].edges if edge.id == rows[0][2].split()[-1]
        )
        assert float(table) == pytest.approx(channel + knots_mm, abs=0.1)


@pytest.mark.parametrize(
    "name",
    [
        "lantern_room",
        *(pytest.param(one, marks=pytest.mark.sweep) for one in ("tide_dome", "orchard_pavilion")),
    ],
)
def test_the_plan_in_the_book_is_whole_and_large_enough_to_read(rooms, name):
    """With a picture below it or without: every name of the plan's own page, capitals of 1.8 mm as they are printed."""
    book = book_of(rooms[name], with_stock=False)
    whole = {label.text for label in places_page(book.design, book.pattern).drawn.drawing.labels}
    for pictures in ((), ((b"", "the room"), (b"", "under air"))):
        shown = next(
            block for block in book_blocks(evolve(book, pictures=pictures)) if isinstance(block, Figure)
        )
        assert {label.text for label in shown.drawing.labels} == whole
        assert min(label.height_mm for label in shown.drawing.labels) >= 1.8 - 1e-9
        wide, tall = shown.drawing.box[1] - shown.drawing.box[0]
        paper = book_paper(book.design.printing, book.marking.tape)
        # Never shrunk: the text of a page is 36 mm narrower than the paper, a figure takes up to 0.8 of its height.
        assert wide <= paper[0] - 36.0 and tall <= 0.8 * (paper[1] - 48.0)


def test_equal_steps_share_a_card(book):
    """Ten equal panels whose patches are sewn on take one sketch, not ten."""
    blocks = list(flat(sewing_chapter(book)))
    figures = sum(isinstance(block, Figure) for block in blocks)
    assert figures <= len(book.order.steps) - 12
    patched = next(b.title for b in blocks if isinstance(b, Section) and "Steps" in b.title)
    assert patched.startswith("Steps 2 to 11. Flat work: sew patches on panel_02")


def test_a_room_not_to_be_used_has_no_setting_in_its_book(rooms):
    """What to do on the day is told where it is a go, and where it is a go after changes."""
    book = book_of(rooms["lantern_room"], with_air=True, with_stock=False)
    plan = evolve(book.air.plan, decision=Decision.NOT, lacking=(Must.AIR,))
    refused = evolve(book, air=evolve(book.air, plan=plan))
    for one, told in ((book, True), (refused, False)):
        titles = {block.title for block in flat(book_blocks(one)) if isinstance(block, Section)}
        assert {"Dangers, gravest first", "Taking down"} <= titles
        assert ({"Signs of trouble", "If the fan stops: the drill", "For the day"} <= titles) is told
        words = " ".join(block.text for block in flat(book_blocks(one)) if isinstance(block, Words))
        assert ("The setting:" in words) is told
        assert ("No setting is given." in words) is not told

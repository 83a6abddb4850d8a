"""Boards on paper and in DXF, read back with other libraries and measured."""

import csv
import math
import re

import ezdxf
import ezdxf.path
import numpy as np
import pytest
import shapely
from ezdxf.fonts import fonts
from svgelements import SVG, Path
from text_boxes import none_overlap, text_box

from shellparts.base.units import to_mm
from shellparts.drawing.board import corners_to_measure, draw_board
from shellparts.drawing.board_pages import board_pages
from shellparts.drawing.noted_page import FRAME
from shellparts.drawing.strokes import Layer
from shellparts.drawing.styles import BOARD_LAYERS, SMALL_PENS
from shellparts.drawing.tape import board_tape, point_pair, round_shape
from shellparts.parameters import Marking
from shellparts.parameters.boards import Boards
from shellparts.pattern.cut_pieces import CutPiece
from shellparts.stock.layout import Placement, assemble
from shellparts.templates.on_stock import SawnBoard, SawnShape, board_of, lay_on_boards
from shellparts.templates.parts import BoardPart, BoardTemplate
from shellparts.writers.pages import write_boards
from shellparts.writers.svg import svg_text
from shellparts.writers.tables import write_boards_table

SETTINGS = {"half": Boards(), "sewing line": Boards(line="sewing", half=False, width=700, length=1500)}


@pytest.fixture(scope="module", params=SETTINGS)
def job(request, model_room):
    """Plan of a shipped room, its tape, its pages."""
    plan, marking = lay_on_boards(model_room.pattern, SETTINGS[request.param]), model_room.design.marking
    return plan, marking, board_pages(plan, model_room.design.name, marking)


def labels_of(page):
    return [one for one in page.drawn.drawing.labels if one.layer is not Layer.RULER]


def sawn_board(template, boards):
    """A board with the one part of a template at its lower left corner."""
    (part,) = template.parts
    stock, piece = board_of(boards), CutPiece(part.name, 1, part.outline)
    low = -part.outline.min(axis=0)
    layout = assemble(stock, [piece], [Placement(0, 0.0, float(low[0]), float(low[1]))])
    shift = layout.pieces[0].outline[0] - part.outline[0]
    return SawnBoard(1, layout, (SawnShape(template, part, layout.pieces[0], tuple(shift.tolist())),))


def mm_of(text):
    return to_mm(text if re.search("['\"]", text) else float(text))


def test_texts_stay_on_the_board_and_off_each_other(job):
    plan, _, pages = job
    for page, board in zip(pages, plan.boards, strict=True):
        frame = shapely.box(0, 0, board.layout.length_mm, board.layout.width_mm)
        assert all(frame.contains(text_box(one)) for one in labels_of(page))
        assert none_overlap(labels_of(page))


def test_texts_cover_no_line(job):
    for page in job[2]:
        strokes = [
            one for one in page.drawn.drawing.strokes if one.layer in (Layer.SAW, Layer.SEWN, Layer.REGISTER)
        ]
        lines = [np.vstack([one.points, one.points[:1]]) if one.closed else one.points for one in strokes]
        drawn = shapely.union_all([shapely.LineString(line) for line in lines])
        for label in labels_of(page):
            assert not drawn.intersects(text_box(label)), label.text


def test_every_part_is_named_inside_itself(job):
    plan, _, pages = job
    for page, board in zip(pages, plan.boards, strict=True):
        labels = [one for one in labels_of(page) if one.layer is Layer.PART]
        for one in board.shapes:
            home = shapely.Polygon(one.placed.outline)
            inside = [label.text for label in labels if home.contains(text_box(label))]
            assert inside, one.shape.name
            assert inside[0].split(" of ")[0] in one.shape.name
            others = [
                label for label in labels if home.intersects(text_box(label)) and label.text not in inside
            ]
            assert others == []


def test_both_sides_of_a_joint_bear_its_letter(job):
    plan, _, pages = job
    found: dict[str, int] = {}
    for page, board in zip(pages, plan.boards, strict=True):
        letters = [one for one in labels_of(page) if one.layer is Layer.JOINT]
        for one in board.shapes:
            if isinstance(one.shape, BoardPart):
                home = shapely.Polygon(one.placed.outline)
                told = {label.text for label in letters if home.contains(text_box(label))}
                assert told == {letter for letter, _ in one.shape.ticks}
                for letter in told:
                    found[letter] = found.get(letter, 0) + 1
    assert found == {joint.letter: 2 for template in plan.templates for joint in template.joints}


def pairs_of(page):
    """All pairs of numbers on a page, in the drawing or in the notes, as text."""
    labels = [one for one in labels_of(page) if one.layer is Layer.MEASURE]
    pairs = {(a.text, b.text) for a, b in zip(labels[::2], labels[1::2], strict=True)}
    for note in page.drawn.notes:
        found = note.rsplit(": ", 1)[-1].split(", ")
        pairs |= {
            tuple(one.replace("\u00a0/\u00a0", "|").replace("\u00a0", " ").split("|"))
            for one in found
            if "\u00a0/\u00a0" in one
        }
    return pairs


def test_every_corner_tick_and_notch_is_told(job):
    plan, marking, pages = job
    for page, board in zip(pages, plan.boards, strict=True):
        told = pairs_of(page)
        for one in board.shapes:
            disc = round_shape(one.placed.outline, 0.2)
            points = [] if disc is not None else list(corners_to_measure(one.placed.outline))
            if isinstance(one.shape, BoardPart):
                points += [one.on_board(tick)[0] for _, tick in one.shape.ticks]
                points += [
                    one.on_board(notch)[-1 if plan.settings.line.value == "cutting" else 0]
                    for notch in one.shape.notches
                ]
            for point in points:
                assert tuple(board_tape(float(v), marking) for v in point) in told, (one.shape.name, point)


def test_what_is_read_off_the_page_lies_on_an_edge(job):
    plan, marking, pages = job
    finest = 1.0 if marking.tape.value == "metric" else 25.4 / 16
    for page, board in zip(pages, plan.boards, strict=True):
        rings = [np.vstack([one.placed.outline, one.placed.outline[:1]]) for one in board.shapes]
        edges = shapely.MultiLineString(rings)
        for pair in pairs_of(page):
            if "centre" in pair[0]:
                continue
            point = shapely.Point(*(mm_of(text) for text in pair))
            assert edges.distance(point) <= finest / math.sqrt(2) + 0.6, (
                pair
            )  # a cutting line is not drawn to a notch


def test_an_edge_drawn_through_the_told_points_is_the_edge_within_a_millimetre(job):
    plan, _, _ = job
    for board in plan.boards:
        for one in board.shapes:
            points = corners_to_measure(one.placed.outline)
            home = shapely.Polygon(one.placed.outline)
            drawn = shapely.box(*points.ravel()) if len(points) == 2 else shapely.Polygon(points)
            assert shapely.hausdorff_distance(drawn.exterior, home.exterior, densify=0.01) <= 1.0 + 1e-6


def test_pages_are_a4_and_hold_every_text_in_legible_size(job):
    font = fonts.make_font("DejaVuSans.ttf", 1.0)
    for page in job[2]:
        text = svg_text(page.on_paper, page.heading[0], FRAME, SMALL_PENS)
        assert 'width="297mm" height="210mm" viewBox="0 0 297 210"' in text  # ISO 216
        pattern = (
            r'translate\(([-\d.]+) ([-\d.]+)\)(?: rotate\(([-\d.]+)\))?" font-size="([\d.]+)" '
            r'y="[-\d.]+" text-anchor="(\w+)">([^<]*)<'
        )
        found = re.findall(pattern, text)
        assert len(found) == text.count("<text ")
        for x, y, turn, size, anchor, words in found:
            capitals = 0.72 * float(size)
            assert capitals >= 1.3 - 1e-3
            width = font.text_width(words.replace("&quot;", '"').replace("&amp;", "&")) * capitals
            low = float(x) - (0.0 if anchor == "start" or turn else width / 2)
            high = low + (capitals if turn else width)
            assert low >= 3.0 and high <= 294.0, words
            assert 3.0 + capitals / 2 <= float(y) <= 207.0 - capitals / 2, words


def test_a_page_says_how_to_carry_the_sewing_line_over(job):
    plan, _, pages = job
    for page, board in zip(pages, plan.boards, strict=True):
        words = " ".join(page.drawn.notes)
        if plan.settings.line.value == "cutting":
            assert "Blue dashes: the sewing line. Drill a small hole" in words
        else:
            assert "The edge is the sewing line: draw round it, then add the allowance outside." in words
        parts = [one for one in board.shapes if isinstance(one.shape, BoardPart)]
        assert ("Green edge of a half template" in words) == any(one.template.half for one in parts)
        assert ("Red ticks: register marks" in words) == any(one.template.joints for one in board.shapes)
        assert f"board {board.number} of {len(plan.boards)}" in page.heading[0]


def test_lines_on_paper_measure_true_at_the_scale_that_is_said(job, tmp_path):
    plan, _, pages = job
    for page, board in zip(pages, plan.boards, strict=True):
        (tmp_path / "page.svg").write_text(
            svg_text(page.on_paper, page.heading[0], FRAME, SMALL_PENS), encoding="utf-8"
        )
        drawn = SVG.parse(str(tmp_path / "page.svg"), ppi=25.4)
        group = next(one for one in drawn.elements() if one.values.get("id") == "SAW_HERE")
        length = 0.0
        for path in group.select(lambda one: isinstance(one, Path)):
            points = np.array([(float(point.x), float(point.y)) for point in path.as_points()])
            length += np.linalg.norm(np.diff(points, axis=0), axis=1).sum()
        wanted = sum(shapely.Polygon(one.placed.outline).length for one in board.shapes)
        assert f"1 to {page.scale:g}" in page.heading[0]
        assert length * page.scale == pytest.approx(wanted, rel=2e-3)


def test_the_dxf_is_sound_and_holds_every_part_at_true_size(job, tmp_path):
    plan, marking, _ = job
    write_boards(plan, "room", marking, tmp_path)
    document = ezdxf.readfile(tmp_path / "boards.dxf")
    assert document.units == ezdxf.units.MM
    auditor = document.audit()
    assert not auditor.errors and not auditor.fixes
    space = document.modelspace()
    assert {entity.dxf.layer for entity in space} <= {layer.value for layer in BOARD_LAYERS}
    named = {layer.dxf.name for layer in document.layers} - {"0", "Defpoints"}
    assert named == {layer.value for layer in BOARD_LAYERS}

    def rings(layer):
        found = space.query(f'LWPOLYLINE[layer=="{layer}"]')
        return [np.array([point[:2] for point in line.get_points()]) for line in found]

    sawn = sorted(shapely.Polygon(ring).area for ring in rings("SAW_HERE"))
    shapes = [one for board in plan.boards for one in board.shapes]
    assert sawn == pytest.approx(sorted(shapely.Polygon(one.placed.outline).area for one in shapes))
    long, wide = plan.settings.length, plan.settings.width
    edges = rings("BOARD_EDGE")
    assert len(edges) == len(plan.boards)
    for edge in edges:
        assert np.ptp(edge, axis=0).tolist() == pytest.approx([long, wide])
    inside = shapely.union_all([shapely.box(*edge.min(axis=0), *edge.max(axis=0)) for edge in edges])
    assert all(inside.covers(shapely.LineString(ring)) for ring in rings("SAW_HERE"))
    parts = [one.shape for one in shapes if isinstance(one.shape, BoardPart)]
    assert len(rings("REGISTER_MARK")) == sum(len(part.ticks) for part in parts)
    assert len(rings("NOTCH")) == sum(len(part.notches) for part in parts)
    holes = space.query('LWPOLYLINE[layer=="DRILL_HERE"]')
    assert len(holes) == sum(len(part.drill) for part in parts)
    for hole in holes:  # arcs, not corners: 3 mm across in every direction
        points = np.array([(p.x, p.y) for p in ezdxf.path.make_path(hole).flattening(0.001)])
        assert np.linalg.norm(points - points.mean(axis=0), axis=1) == pytest.approx(1.5, abs=0.02)
    sewn = sum(np.linalg.norm(np.diff(line, axis=0), axis=1).sum() for line in rings("SEWING_LINE"))
    wanted = sum(
        np.linalg.norm(np.diff(line, axis=0), axis=1).sum() for part in parts for line in part.sewing
    )
    assert sewn == pytest.approx(wanted)


def test_the_table_has_a_row_for_every_part_and_strip(job, tmp_path):
    plan, _, _ = job
    write_boards_table(plan, Marking(), tmp_path / "boards.csv")
    with (tmp_path / "boards.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == sum(len(template.shapes) for template in plan.templates)
    by_name = {row["part"]: row for row in rows}
    for board in plan.boards:
        for one in board.shapes:
            row = by_name[one.shape.name]
            assert int(row["board"]) == board.number
            assert row["template"] == one.template.name
            assert row["form"] == ("half" if one.template.half else "whole")
            assert int(row["times_drawn"]) == one.template.times
            size = sorted(np.ptp(one.placed.outline, axis=0).tolist(), reverse=True)
            assert [float(row["length_mm"]), float(row["width_mm"])] == pytest.approx(size, abs=0.051)
            for piece in one.template.drawn:
                assert f"{piece.name} x{piece.count}" in row["pieces"]
    for template in plan.templates:
        for joint in template.joints:
            for i in joint.parts:
                assert joint.letter in by_name[template.parts[i].name]["joints"].split()


def test_the_same_plan_gives_the_same_bytes(rooms, tmp_path):
    room = rooms["lantern_room"]
    for name in ("a", "b"):
        (tmp_path / name).mkdir()
        plan = lay_on_boards(room.pattern, Boards())
        write_boards(plan, room.design.name, room.design.marking, tmp_path / name)
        write_boards_table(plan, Marking(), tmp_path / name / "boards.csv")
    files = sorted(file.name for file in (tmp_path / "a").iterdir())
    assert files == ["board_01.svg", "board_02.svg", "boards.csv", "boards.dxf"]
    for file in files:
        assert (tmp_path / "a" / file).read_bytes() == (tmp_path / "b" / file).read_bytes()


def test_nothing_is_drawn_where_there_is_no_board(rooms, tmp_path):
    plan = lay_on_boards(rooms["lantern_room"].pattern, Boards(at_least=1000))
    write_boards(plan, "room", Marking(), tmp_path)
    assert list(tmp_path.iterdir()) == []
    write_boards_table(plan, Marking(), tmp_path / "boards.csv")
    assert (tmp_path / "boards.csv").read_text(encoding="utf-8").count("\n") == 1


def test_an_inch_tape_is_read_to_a_sixteenth():
    imperial = Marking(tape="imperial")
    for value in np.linspace(0.0, 2440.0, 977):
        assert abs(to_mm(board_tape(float(value), imperial)) - value) <= 25.4 / 32 + 1e-9
    pair = point_pair(np.array([25.4, 304.8]), lambda value: board_tape(value, imperial))
    assert pair.replace("\u00a0", " ") == "1\" / 1'"


def test_a_rectangle_that_lies_straight_is_told_by_two_corners_and_a_slanted_one_by_four():
    box = shapely.box(10, 20, 410, 120)
    assert len(corners_to_measure(np.asarray(box.exterior.coords)[:-1])) == 2
    turned = shapely.affinity.rotate(box, 5.0)
    assert len(corners_to_measure(np.asarray(turned.exterior.coords)[:-1])) == 4


def test_a_round_part_is_told_by_its_centre_and_radius():
    turn = np.linspace(0.0, 2.0 * math.pi, 90, endpoint=False)
    outline = 110.0 * np.column_stack([np.cos(turn), np.sin(turn)])
    template = BoardTemplate(
        name="disc",
        line="cutting",
        half=False,
        outline=outline,
        parts=(BoardPart("disc", outline),),
        joints=(),
        drawn=(),
    )
    drawn = draw_board(sawn_board(template, Boards()), Marking(), 10.0, True)
    assert [note.replace("\u00a0", " ") for note in drawn.notes] == ["disc: centre 120 / 120, radius 110"]
    labels = [label for label in drawn.drawing.labels if label.layer is not Layer.RULER]
    assert [label.text for label in labels] == ["disc"]
    assert not shapely.Point(120, 120).buffer(3.0).intersects(text_box(labels[0]))


def test_rings_are_large_enough_to_be_seen_on_paper(rooms):
    board = lay_on_boards(rooms["lantern_room"].pattern, Boards()).boards[0]
    for on_paper, radius in ((False, 1.5), (True, 4.5)):
        drawn = draw_board(board, Marking(), 10.0, on_paper).drawing
        ring = next(one for one in drawn.strokes if one.layer is Layer.DRILL)
        assert np.linalg.norm(ring.points - ring.points.mean(axis=0), axis=1) == pytest.approx(radius)

"""The build book before it is set in type: cards of steps, sketches of seams, lengths in the reader's measure."""

import itertools
import re

import numpy as np
import pytest
import shapely
from book_rooms import book_of
from model_rooms import room_of
from text_boxes import none_overlap

from shellparts.drawing.blocks import Chapter, Figure, Grid, Section, Together
from shellparts.drawing.book_of import in_inches
from shellparts.drawing.book_runs import run_of
from shellparts.drawing.book_sewing import sewing_chapter
from shellparts.drawing.step_sketch import Marked, facing, seam_sketch
from shellparts.drawing.strokes import Layer
from shellparts.sewing.bundle import SewingGraph
from shellparts.sewing.rows import sewn_rows


@pytest.fixture(scope="module")
def book():
    return book_of(room_of("lantern_room"))


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


def test_seams_that_meet_are_sewn_in_one_run(book):
    """Doorway, curtain and cap: each row begins where the one before ends, from a free end to a free end or all around."""
    graph, rows = SewingGraph.of(book.pattern), {}
    for row in sewn_rows(book.order, graph):
        rows.setdefault(row.step, []).append(row)
    runs = [run for found in rows.values() if (run := run_of(found, graph)) is not None]
    assert [len(run.rows) for run in runs] == [2, 2, 3, 12]
    for run in runs:
        edges = [[graph.edge(row.edges[side]) for row in run.rows] for side in (0, 1)]
        side = next(k for k in (0, 1) if len({row.edges[k][0] for row in run.rows}) == 1)
        for before, after in itertools.pairwise(edges[side]):
            np.testing.assert_allclose(before.flat[-1].end, after.flat[0].start, atol=1e-6)
        closed = np.allclose(edges[side][-1].flat[-1].end, edges[side][0].flat[0].start)
        assert closed is (run.ends == ())
    doorway = next(run for run in runs if len(run.rows) == 3)
    assert doorway.ends == ("finished edge at panel_01 e4", "finished edge at panel_01 e8")


def test_rows_that_do_not_meet_are_no_run(book):
    graph = SewingGraph.of(book.pattern)
    hem = [row for row in sewn_rows(book.order, graph) if len(row.edges) == 1]
    assert run_of(hem, graph) is None
    doorway = [row for row in sewn_rows(book.order, graph) if row.seam in ("S03", "S05")]
    assert run_of(doorway, graph) is None


def flat(blocks):
    for block in blocks:
        if isinstance(block, Together):
            yield from flat(block.blocks)
        else:
            yield block


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


def test_equal_steps_share_a_card(book):
    """Ten equal panels whose patches are sewn on take one sketch, not ten."""
    blocks = list(flat(sewing_chapter(book)))
    figures = sum(isinstance(block, Figure) for block in blocks)
    assert figures <= len(book.order.steps) - 12
    patched = next(b.title for b in blocks if isinstance(b, Section) and "Steps" in b.title)
    assert patched.startswith("Steps 2 to 11. Flat work: sew patches on panel_02")


@pytest.mark.parametrize(
    ("metric", "imperial"),
    [
        ("20 cm open", "7 3/4 in (20 cm) open"),
        ("(40 cm open)", "(1 ft 3 3/4 in = 40 cm open)"),
        ("A way out 1,650 mm high", "A way out 5 ft 4 15/16 in (1,650 mm) high"),
        ("4880 x 3880 mm", "16 ft 0 1/8 in x 12 ft 8 3/4 in (4880 x 3880 mm)"),
        ("14 bags of 2 kg", "14 bags of 4.4 lb (2 kg)"),
        ("500 m of thread", "1640 ft (500 m) of thread"),
        ('vent="900 mm" in the script', 'vent="900 mm" in the script'),
        ("12 m/s, 15 Pa, 3 min", "12 m/s, 15 Pa, 3 min"),
    ],
)
def test_metric_words_are_told_in_inches(metric, imperial):
    assert in_inches(metric) == imperial

"""Rows of stitches: in the order of the needle, each end where it can be, what goes on going on into something."""

import itertools

import numpy as np
import pytest

from shellparts.sewing.bundle import SewingGraph
from shellparts.sewing.order_steps import Action
from shellparts.sewing.rows import RowEnd, sewn_rows
from shellparts.sewing.runs import runs_of


@pytest.fixture(scope="module")
def graph(model_room):
    return SewingGraph.of(model_room.pattern)


@pytest.fixture(scope="module")
def runs(model_room, graph):
    """Rows of every run, by step and number of the run."""
    found = {}
    for row in sewn_rows(model_room.order, graph):
        found.setdefault((row.step, row.run), []).append(row)
    return found


def ends(graph, row, side=0):
    """Where the needle starts and stops along an edge of a row, on the flat piece."""
    edge = graph.edge(row.edges[side])
    points = edge.flat[0].start, edge.flat[-1].end
    return points[:: -1 if row.at_end is (side == 0) else 1]


def test_every_seam_and_finished_edge_is_one_row_in_its_step(model_room, runs):
    rows = list(itertools.chain.from_iterable(runs.values()))
    expected = [
        (step.number, *([seam] if seam else []), edge)
        for step in model_room.order.steps
        for seam, edge in [
            *((seam, None) for seam in step.task.seams),
            *(("", edge) for edge in step.task.edges if step.task.action in (Action.HEM, Action.REINFORCE)),
        ]
    ]
    told = [(row.step, *([row.seam] if row.seam else []), None if row.seam else row.edges[0]) for row in rows]
    assert sorted(told, key=str) == sorted(expected, key=str)
    assert [row.step for row in rows] == sorted(row.step for row in rows)


def test_a_row_goes_on_only_where_the_next_one_begins(runs):
    """Within a run every row but the last goes on, and every one but the first comes from the one before."""
    for rows in runs.values():
        for k, row in enumerate(rows):
            assert (row.start is RowEnd.FROM) is (k > 0), row
            assert (row.stop is RowEnd.ON) is (k < len(rows) - 1), row
        assert (rows[-1].stop is RowEnd.ROUND) is (rows[0].start in (RowEnd.RING, RowEnd.ANY))


def gaps(graph, before, after):
    """How far the stop of one row is from the start of another, on each flat sheet that both lie on [mm]."""
    return [
        float(np.hypot(*(ends(graph, before, a)[1] - ends(graph, after, b)[0])))
        for a, b in itertools.product(range(len(before.edges)), range(len(after.edges)))
        if before.edges[a][0] == after.edges[b][0]
    ]


def test_rows_of_a_run_meet_at_points_of_the_cloth(graph, runs):
    """The one starts where the other stops, on a sheet that is flat there; hems may meet across a sewn seam."""
    met = 0
    for rows in runs.values():
        for before, after in itertools.pairwise(rows):
            found = gaps(graph, before, after)
            assert min(found, default=0.0) < 1e-6, (before, after)
            assert found or before.turns is not None
            met += bool(found)
    assert met > 10


def test_a_run_all_around_ends_where_it_began(graph, runs):
    closed = [rows for rows in runs.values() if rows[-1].stop is RowEnd.ROUND]
    assert any("cap" in {place[0] for place in rows[0].edges} for rows in closed)
    for rows in closed:
        assert min(gaps(graph, rows[-1], rows[0]), default=0.0) < 1e-6


def test_a_row_by_itself_rises(graph, runs):
    for rows in runs.values():
        if len(rows) == 1 and rows[0].stop is not RowEnd.ROUND:
            start, stop = ends(graph, rows[0])
            assert stop[1] >= start[1] - 1e-9


def test_what_was_turned_in_before_is_a_finished_edge(model_room, graph, runs):
    """A row that ends beside a hem stops at its fold exactly when that hem is sewn before it."""
    hemmed, seen = set(), 0
    for rows in runs.values():
        for row in rows:
            for end, beside in ((row.start, row.start_at), (row.stop, row.stop_at)):
                if end in (RowEnd.FINISHED, RowEnd.RAW) and not row.seam and row.turns is not None:
                    assert (end is RowEnd.FINISHED) is ((row.edges[0][0], beside) in hemmed), row
                    seen += 1
        hemmed |= {row.edges[0] for row in rows if row.turns is not None}
    assert seen > 5


def test_a_hem_across_seams_is_one_run(rooms):
    """Under the lantern room the foot is turned in from the doorway round to the doorway without a stop."""
    room = rooms["lantern_room"]
    foot = [
        row
        for row in sewn_rows(room.order, SewingGraph.of(room.pattern))
        if row.step == len(room.order.steps) - 1
    ]
    assert {row.run for row in foot} == {1} and len(foot) == 13
    assert (foot[0].start, foot[-1].stop) == (RowEnd.FINISHED, RowEnd.FINISHED)


def test_rows_that_do_not_meet_are_runs_of_their_own():
    """Three edges of a loop of four, the second taken away: no way leads from the first to the third."""
    follows = {"e1": "e2", "e2": "e3", "e3": "e4", "e4": "e1"}

    def after(place):
        return place[0], follows[place[1]]

    def rows(*names):
        return [[("sheet", name)] for name in names]

    assert [len(run.rows) for run in runs_of(rows("e1", "e3"), after)] == [1, 1]
    assert [run.closed for run in runs_of(rows("e1", "e2", "e3"), after)] == [False]
    assert [run.closed for run in runs_of(rows("e3", "e1", "e2", "e4"), after)] == [True]


def test_edges_of_a_cone_that_meet_at_its_tip_are_no_run():
    """A sheet sewn to itself, whose two edges meet in a corner: the seam cannot go on into itself."""
    (run,) = runs_of([[("cone", "e1"), ("cone", "e2")]], lambda place: {"e1": ("cone", "e2")}.get(place[1]))
    assert run.rows == ((0, False),) and not run.closed


def test_an_edge_called_finished_is_turned_in_by_then(model_room, graph, runs):
    """Whatever piece it is on: hemmed in a step before, or in the same one; an edge called raw is not."""
    hemmed, seen = set(), 0
    for rows in runs.values():
        for row in rows:
            for end, beside in ((row.start, row.start_at), (row.stop, row.stop_at)):
                sheet, edge = beside.split() if " " in beside else (row.edges[0][0], beside)
                if end is RowEnd.FINISHED or (end is RowEnd.RAW and row.seam):
                    assert ((sheet, edge) in hemmed) is (end is RowEnd.FINISHED), row
                    seen += 1
            if row.turns is not None:
                hemmed.add(row.edges[0])
    assert seen > 5


def test_a_hem_goes_on_where_it_goes_straight_on(graph, runs):
    """Two rows of one step never meet on a straight line."""
    for (step, _), rows in runs.items():
        last = rows[-1]
        if last.turns is None or last.stop is RowEnd.ROUND or last.at_end:
            continue
        beyond = (last.edges[0][0], last.stop_at)
        begun = [other[0].edges[0] for (at, _), other in runs.items() if at == step]
        if beyond in begun:
            turn = graph.edge(beyond).at(0.0)[1] - graph.edge(last.edges[0]).at(last.length_mm)[1]
            assert abs(np.angle(np.exp(1j * turn))) > np.radians(5.0), last


def test_a_row_beside_a_cord_channel_is_as_long_as_it_is_sewn(graph, runs):
    short = [row for rows in runs.values() for row in rows if row.short_mm]
    assert short
    for row in short:
        assert row.length_mm == pytest.approx(graph.edge(row.edges[0]).length_mm - row.short_mm)

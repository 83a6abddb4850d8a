"""CSV tables for the person at the machine: seams, notches along each edge, the order of sewing."""

from pathlib import Path

from shellparts.parameters import Marking
from shellparts.pattern.made import Pattern
from shellparts.pattern.notch_places import notch_places
from shellparts.pattern.pieces import Seam
from shellparts.report.row_words import made_words, remark
from shellparts.sewing.bundle import Place, SewingGraph
from shellparts.sewing.order_steps import Action, SewingOrder, Step
from shellparts.sewing.parts import fittings_of, strips_of
from shellparts.sewing.rows import sewn_rows
from shellparts.writers.table import Column, columns, lengths, mm, twice, write_table

__all__ = [
    "write_fittings",
    "write_notches",
    "write_rows",
    "write_seams",
    "write_sewing_order",
    "write_strips",
]


def _yes(value: bool) -> str:
    return "yes" if value else "no"


def _place(place: Place) -> str:
    return ":".join(place)


def _ticks(pattern: Pattern, seam: Seam) -> tuple[int, ...]:
    edges = pattern.piece(seam.pieces[0]).all_edges
    return next(edge.ticks for edge in edges if edge.id == seam.edges[0])


def write_seams(pattern: Pattern, marking: Marking, path: Path) -> None:
    """One row a seam: which edges meet, how long they are, how many notches they carry."""
    head = (
        *columns("seam sheet_a piece_a edge_a sheet_b piece_b edge_b"),
        *lengths("length_a length_b allowance", marking),
        *columns("notches kind"),
        *lengths("allowance_a allowance_b", marking),
        Column("ticks", show=lambda ticks: " ".join(map(str, ticks))),
    )
    rows = []
    for seam in pattern.seams:
        sides = zip(seam.sheets, seam.pieces, seam.edges, strict=True)
        allowances = (seam.allowance_mm, seam.notches, seam.kind.value, *seam.allowances_mm)
        words = (word for side in sides for word in side)
        rows.append((seam.id, *words, *seam.lengths_mm, *allowances, _ticks(pattern, seam)))
    write_table(path, head, rows)


def write_notches(pattern: Pattern, marking: Marking, path: Path) -> None:
    """One row a notch: how far along its edge by tape, from which corner, with how many ticks.

    ``along`` and ``across`` are its place on the piece: up the centre line from the lower edge, and to the right.
    """
    head = (
        *columns("piece edge"),
        *columns("meets seams", show=" ".join),
        *columns("from_corner_with to_corner_with notch ticks"),
        *lengths("at left_to_end along across", marking),
    )
    rows = [
        (
            *(one.piece, one.edge, one.meets, one.seams, one.from_edge, one.to_edge, one.number, one.ticks),
            *(one.at_mm, one.left_mm, one.along_mm, one.across_mm),
        )
        for one in notch_places(pattern)
    ]
    write_table(path, head, rows)


def _edges(step: Step, seams: dict[str, Seam]) -> list[str]:
    """Every edge of a step by name: both edges of a seam with a plus between them."""
    task = step.task
    both = [
        "+".join(_place(place) for place in zip(seams[one].sheets, seams[one].edges, strict=True))
        for one in task.seams
    ]
    return [*both, *(_place(place) for place in (*task.edges, *task.patches))]


def write_sewing_order(order: SewingOrder, pattern: Pattern, marking: Marking, path: Path) -> None:
    """One row a step: who sews what to what, when, and what it takes."""
    head = (
        *columns("step stage do"),
        *columns("seams edges sheets", show=" ".join),
        Column("how", show=" / ".join),
        *lengths("length", marking),
        Column("bundle_sheets"),
        twice(Column("bundle", "kg", lambda kg: f"{kg:.2f}"), marking),
        Column("hands"),
        Column("closes_tube", show=_yes),
        *lengths("ring", marking),
        twice(Column("thread", "m", mm), marking),
        Column("minutes", show=mm),
    )
    seams = {seam.id: seam for seam in pattern.seams}
    rows = []
    for step in order.steps:
        task = step.task
        what = (
            step.number,
            task.stage,
            task.action.value,
            task.seams,
            _edges(step, seams),
            step.sheets,
            step.makes,
        )
        bundle = (step.length_mm, step.bundle_sheets, step.bundle_kg, step.hands)
        rows.append((*what, *bundle, step.closes_tube, step.ring_mm, step.thread_m, step.minutes))
    write_table(path, head, rows)


def write_rows(order: SewingOrder, pattern: Pattern, marking: Marking, path: Path) -> None:
    """One row of stitches a line, as the needle goes: both edges, which lies on top, where it starts and stops.

    Rows of one step with the same ``run`` are sewn in one go, from the start of the first to the stop of the last.
    """
    head = (
        *columns(
            "step seam edge other_edge made on_top_or_turned_towards start_beside start stop_beside stop"
        ),
        *lengths("length stop_short first_turn second_turn row_from_finished_edge", marking),
        *columns("remark run"),
    )
    rows = []
    for row in sewn_rows(order, SewingGraph.of(pattern)):
        edges = [*map(_place, row.edges), None][:2]
        top = None if row.on_top is None else _place(row.on_top)
        ends = (row.start_at, row.start.value, row.stop_at, row.stop.value)
        turns = (
            (None,) * 3 if row.turns is None else (row.turns.first_mm, row.turns.second_mm, row.turns.row_mm)
        )
        sizes = (row.length_mm, row.short_mm or None, *turns)
        rows.append(
            (row.step, row.seam, *edges, made_words(row), top, *ends, *sizes, remark(row, marking), row.run)
        )
    write_table(path, head, rows)


def write_strips(pattern: Pattern, marking: Marking, path: Path) -> None:
    """One row a strip or tape: along which edges it lies, how wide, how long."""
    head = (
        *columns("strip lies_on"),
        Column("edges", show=lambda edges: " ".join(map(_place, edges))),
        *lengths("width length", marking),
        *columns("how"),
    )
    inside = "inner side, one edge of it on the cutting line, its ends overlapping"
    over = "inner side, over the allowances of the seam, its middle on the seam"
    rows = [
        (
            one.name,
            one.seam or one.edges[0][0],
            one.edges,
            one.width_mm,
            one.length_mm,
            over if one.seam else inside,
        )
        for one in strips_of(SewingGraph.of(pattern))
    ]
    write_table(path, head, rows)


def write_fittings(
    order: SewingOrder, pattern: Pattern, marking: Marking, knots_mm: float, path: Path
) -> None:
    """One row for every place that clips, a cord or ties are put on; ``from_start`` is along the edge by tape.

    ``cord_each`` is what is cut of cord, that for knots [mm] with it.
    """
    head = (
        *columns("part count"),
        Column("place", show=_place),
        Column("step"),
        *lengths("cord_each", marking),
        twice(Column("from_start", "mm", lambda places: " ".join(map(mm, places))), marking),
    )
    step = next((one.number for one in order.steps if one.task.action is Action.FIT), None)
    graph = SewingGraph.of(pattern)
    rows = []
    for one in fittings_of(graph, knots_mm):
        at = graph.edge(one.place).clips_mm if one.part == "clip" else None
        rows.append((one.part, one.count, one.place, step, one.length_mm or None, at))
    write_table(path, head, rows)

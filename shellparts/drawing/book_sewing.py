"""Sewing as the book tells it: a card for every step, its pieces sketched, its rows of stitches with boxes to tick.

Glossary: a *card* is one step, or steps that follow each other and do the same to equal edges of equal pieces. What
is true of all its rows is said once, above the table of them.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import groupby

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from shellparts.base.counted import counted
from shellparts.drawing.blocks import Block, Chapter, Figure, Grid, Numbered, Section, Together, Words
from shellparts.drawing.book_before import eased, looked_to
from shellparts.drawing.book_of import BookOf
from shellparts.drawing.step_sketch import Marked, hem_sketch, seam_sketch
from shellparts.pattern.pieces import PieceEdge
from shellparts.report import book_words as said
from shellparts.report.row_words import from_to, how_made, minded, remark, run_words
from shellparts.sewing.bundle import Place, SewingGraph
from shellparts.sewing.order_steps import Action, Step
from shellparts.sewing.parts import fittings_of, strips_of, vents_of
from shellparts.sewing.rows import Row, RowEnd, sewn_rows

__all__ = ["sewing_chapter", "sewing_tables"]

Array = NDArray[np.float64]
_BOX = "\u2610"
#: Shares of a table's width.
_SHARES = {"How": 5.0, "Row": 7.0, "Mind": 5.0}
#: What is done in a step, where the word for it does not stand well before a name.
_DOES = {Action.PATCH: "sew patches on", Action.FIT: "fit clips, cords, ties"}
_SKETCH_WORDS = {
    0: "Dashed: where patches and tabs lie. The layouts have a dot with two numbers: the middle of the patch, or "
    "for a tab and its patch the middle of their lower end. Push a pin through there and chalk the inner side "
    "too.",
    1: "Wide line: the edge to sew. Dot: start here.",
    2: "Wide line: the first edge; dashed: the second. Dot: start here, on the first edge.",
}


@frozen(eq=False)
class _Sewing:
    """What cards are made from."""

    book: BookOf
    graph: SewingGraph
    rows: dict[int, list[Row]]

    @classmethod
    def of(cls, book: BookOf) -> "_Sewing":
        graph = SewingGraph.of(book.pattern)
        rows: dict[int, list[Row]] = {}
        for row in sewn_rows(book.order, graph):
            rows.setdefault(row.step, []).append(row)
        return cls(book, graph, rows)

    def edge(self, place: Place) -> PieceEdge:
        return next(one for one in self.book.where[place[0]].all_edges if one.id == place[1])

    def alike(self, place: Place) -> Place:
        """An edge or a patch by the name of its piece: equal for equal pieces."""
        piece = self.book.where.get(place[0])
        return (piece.name if piece is not None else place[0], place[1])

    def kind(self, step: Step) -> tuple[object, ...]:
        """Equal for steps that stand on one card."""
        task = step.task
        rows = [
            (
                *map(self.alike, row.edges),
                how_made(row, self.book.marking),
                from_to(row),
                remark(row, self.book.marking),
            )
            for row in self.rows.get(step.number, [])
        ]
        places = tuple(map(self.alike, (*task.edges, *task.patches)))
        return task.stage, task.action, step.makes, step.hands, tuple(rows), places

    def start(self, row: Row) -> Array:
        """Where a row starts, on the piece of its first edge [mm]."""
        edge = self.edge(row.edges[0])
        before = row.short_mm if row.start is RowEnd.CHANNEL else 0.0
        return np.asarray(edge.at(edge.length_mm - before if row.at_end else before)[0])

    def unsewn(self, row: Row, side: int) -> tuple[float, float]:
        """How much of an edge of a row stays unsewn at its beginning and its end, beside a cord channel [mm]."""
        before, after = (row.short_mm * (end is RowEnd.CHANNEL) for end in (row.start, row.stop))
        return (after, before) if row.at_end is (side == 0) else (before, after)

    def starts(self, rows: Sequence[Row]) -> tuple[tuple[str, Array], ...]:
        """On which edges the runs begin that rows of one step belong to, and where."""
        return tuple((row.edges[0][1], self.start(row)) for row in rows if row.start is not RowEnd.FROM)


def _is_one_run(rows: Sequence[Row]) -> bool:
    return len(rows) > 1 and all((row.start is RowEnd.FROM) is (k > 0) for k, row in enumerate(rows))


def _named(place: Place) -> str:
    return f"{place[0]} {place[1]}"


def _sketch(sewing: _Sewing, step: Step) -> tuple[Figure, tuple[str, ...]] | None:
    """The pieces of a step with the edges that it works on, and the names of their sheets."""
    task, where, rows = step.task, sewing.book.where, sewing.rows.get(step.number, [])
    if task.seams:
        sheets = rows[0].edges[0][0], rows[0].edges[1][0]
        same = [row for row in rows if (row.edges[0][0], row.edges[1][0]) == sheets]
        starts = sewing.starts(same)
        top = same[0].on_top
        note = "on top" if same[0].made == "lapped" else "allowances this way"
        first, second = (
            Marked(
                where[sheets[side]],
                tuple(sewing.edge(row.edges[side]) for row in same),
                sheets[side],
                note if top == same[0].edges[side] and sheets[0] != sheets[1] else "",
                starts if side == 0 else (),
                tuple(sewing.unsewn(row, side) for row in same),
            )
            for side in (0, 1)
        )
        return Figure(seam_sketch(first, second), _SKETCH_WORDS[2]), sheets
    places = task.edges or task.patches
    if not places or places[0][0] not in where:
        return None
    sheet = places[0][0]
    edges = tuple(sewing.edge(place) for place in task.edges if place[0] == sheet)
    starts = sewing.starts([row for row in rows if row.edges[0][0] == sheet])
    words = _SKETCH_WORDS[1] if starts else _SKETCH_WORDS[0] * (task.action is Action.PATCH)
    return Figure(hem_sketch(Marked(where[sheet], edges, sheet, "", starts)), words), (sheet,)


def _shared(rows: Sequence[str]) -> tuple[str, list[str]]:
    """Clauses that stand in all texts, and the rest of each."""
    clauses = [row.split("; ") if row else [] for row in rows]
    shared = [one for one in clauses[0] if all(one in other for other in clauses)]
    return "; ".join(shared), ["; ".join(one for one in row if one not in shared) for row in clauses]


def _table(sewing: _Sewing, steps: Sequence[Step], rows: Sequence[Row]) -> tuple[list[str], Grid]:
    """What is true of all rows, and the rest row by row."""
    both = len(rows[0].edges) == 2
    marking = sewing.book.marking
    told = {
        "How": _shared([how_made(row, marking) for row in rows]),
        "Row": _shared([from_to(row) for row in rows]),
        "Mind": _shared([remark(row, marking) for row in rows]),
    }
    if _is_one_run(rows):
        told |= {
            "Row": (run_words(rows, marking), [""] * len(rows)),
            "Mind": _shared(["; ".join(minded(row, marking)) for row in rows]),
        }
    common = [f"**{name}:** {words}." for name, (words, _) in told.items() if words]
    columns: list[tuple[str, float, list[str]]] = []
    if len(steps) > 1:
        columns.append(("step", 1.2, [f"{row.step}" for row in rows]))
    if both:
        columns.append(("seam", 1.4, [row.seam for row in rows]))
    for side, name in enumerate(("first edge", "second edge") if both else ("edge",)):
        columns.append((name, 3.0, [_named(row.edges[side]) for row in rows]))
    columns.append(("length", 2.4, [_length(sewing, row) for row in rows]))
    columns += [(name.lower(), _SHARES[name], own) for name, (_, own) in told.items() if any(own)]
    columns.append(("done", 1.5, [_BOX] * len(rows)))
    head, shares, cells = zip(*columns, strict=True)
    return common, Grid(head, tuple(zip(*cells, strict=True)), shares)


def _length(sewing: _Sewing, row: Row) -> str:
    """How much is sewn, and of how much where some of the edge stays unsewn."""
    sewn = sewing.book.length(row.length_mm)
    return f"{sewn} of {sewing.book.length(row.length_mm + row.short_mm)}" if row.short_mm else sewn


def _strips(sewing: _Sewing, steps: Sequence[Step]) -> list[str]:
    """Strips and tapes that some steps take."""
    places = {place for step in steps for place in step.task.edges}
    seams = {seam for step in steps for seam in step.task.seams}
    reinforce = steps[0].task.action is Action.REINFORCE
    return [
        f"{one.name}: {sewing.book.length(one.width_mm)} wide, {sewing.book.length(one.length_mm)} long, along "
        f"{', '.join(map(_named, one.edges))}.{eased(one)}"
        for one in strips_of(sewing.graph)
        if (one.seam in seams if one.seam else reinforce and places.intersection(one.edges))
    ]


def _places(steps: Sequence[Step]) -> Iterator[tuple[str, ...]]:
    """A row for every sheet of some steps: what is sewn on it, or which edges are cut."""
    for step in steps:
        for sheet, places in groupby((*step.task.edges, *step.task.patches), lambda place: place[0]):
            counts = Counter(name for _, name in places)
            words = (f"{many} \u00d7 {name}" if many > 1 else name for name, many in counts.items())
            yield f"{step.number}", sheet, ", ".join(words), _BOX


def _fittings(sewing: _Sewing) -> Grid:
    """Every clip, cord and tie, with its place by tape; equal ones in turn share a row."""
    rows = []
    across = dict(vents_of(sewing.graph))
    for one in fittings_of(sewing.graph, sewing.book.knots_mm):
        where, on = "", _named(one.place)
        if one.part == "clip":
            before = sewing.graph.neighbours(one.place)[0][1]
            places = ", ".join(sewing.book.length(max(0.0, at)) for at in sewing.edge(one.place).clips_mm)
            where = f"from the corner with {before}: {places}"
            on += f", onto {_named(across[one.place])}" if one.place in across else ""
        cord = sewing.book.length(one.length_mm) if one.length_mm else ""
        cord += ", ends to tie with it" if one.part == "drawcord" and sewing.book.knots_mm else ""
        rows.append(((one.part, f"{one.count}", cord, where), on))
    found = [
        (part, count, ", ".join(place for _, place in group), cord, at, _BOX)
        for (part, count, cord, at), group in groupby(rows, lambda row: row[0])
    ]
    head = ("part", "each place", "where", "cord each", "from", "done")
    return Grid(head, tuple(found), (1.8, 1.8, 5, 2.2, 5, 1.4))


def _heading(steps: Sequence[Step], sheets: Sequence[str]) -> str:
    task = steps[0].task
    numbers = f"Step {steps[0].number}"
    if len(steps) > 1:
        numbers = f"Steps {steps[0].number} {'and' if len(steps) == 2 else 'to'} {steps[-1].number}"
    names = " to ".join(dict.fromkeys(sheets)) if task.seams else "".join(sheets[:1])
    more = " and so on" if len(steps) > 1 or len(set(steps[0].sheets) - set(sheets)) else ""
    what = "" if task.action is Action.FIT else f" {'of ' * (task.action is Action.CUT)}{names}{more}"
    return f"{numbers}. {task.stage.capitalize()}: {_DOES.get(task.action, task.action.value)}{what}"


def _card(sewing: _Sewing, steps: Sequence[Step]) -> Iterator[Block]:
    first, task = steps[0], steps[0].task
    drawn = _sketch(sewing, first)
    head: list[Block] = [Section(_heading(steps, drawn[1] if drawn is not None else ()))]
    makes = "; ".join(first.makes)
    each = " each" if len(steps) > 1 else ""
    head.append(
        Words(
            f"{makes[:1].upper()}{makes[1:]}. Hands: {first.hands}; about {max(1.0, first.minutes):.0f} min{each}."
        )
    )
    rows = [row for step in steps for row in sewing.rows.get(step.number, [])]
    if drawn is not None:
        figure, sheets = drawn
        others = len(steps) > 1 or any({place[0] for place in row.edges} - set(sheets) for row in rows)
        shown = f"{' and '.join(dict.fromkeys(sheets))}. " + (
            "The others in the same way. " if others else ""
        )
        head.append(Figure(figure.drawing, shown + figure.caption))
    head += [Words(text) for text in _strips(sewing, steps)]
    head += [Words(text) for text in looked_to(sewing.book, sewing.graph, steps, rows)]
    grids: list[Grid] = []
    if rows:
        common, grid = _table(sewing, steps, rows)
        head += [Words(" ".join(common))] if common else []
        grids.append(grid)
    elif task.action is Action.FIT:
        head.append(Words("Everything that is fitted, as in fittings.csv:"))
        grids.append(_fittings(sewing))
    else:
        grids.append(Grid(("step", "sheet", "what", "done"), tuple(_places(steps)), (1, 3, 6, 1.3)))
    yield Together((*head, *grids))


def sewing_chapter(book: BookOf) -> Iterator[Block]:
    """Every step of sewing, in order.

    Parameters
    ----------
    book : BookOf

    Yields
    ------
    Block
    """
    yield Chapter("Sewing, step by step")
    yield Numbered(said.SEWING_RULES)
    yield Words(
        f"{counted(len(book.order.steps), 'step')}, about {book.order.hours:.0f} hours at the machine, "
        f"{book.told(f'{book.order.thread_m:.0f} m')} of thread."
    )
    sewing = _Sewing.of(book)
    for _, steps in groupby(book.order.steps, sewing.kind):
        yield from _card(sewing, list(steps))


def sewing_tables(book: BookOf) -> Iterator[Block]:
    """Every seam with its edges and its step, every strip to cut, for looking up.

    Parameters
    ----------
    book : BookOf

    Yields
    ------
    Block
    """
    sewing = _Sewing.of(book)
    steps = {seam: step.number for step in book.order.steps for seam in step.task.seams}
    yield Chapter("Tables: seams, strips")
    yield Words("All seams, as in seams.csv, and the step in which each is sewn:")
    rows = []
    for seam in book.pattern.seams:
        a, b = sewing.graph.places(seam.id)
        lengths = tuple(map(book.length, seam.lengths_mm))
        own = (*dict.fromkeys(lengths),)
        rows.append(
            (seam.id, _named(a), _named(b), " and ".join(own), f"{seam.notches}", f"{steps[seam.id]}")
        )
    yield Grid(
        ("seam", "first edge", "second edge", "length", "notches", "step"),
        tuple(rows),
        (1.2, 3, 3, 3, 1.4, 1),
    )
    strips = [
        (one.name, ", ".join(map(_named, one.edges)), book.length(one.width_mm), book.length(one.length_mm))
        for one in strips_of(sewing.graph)
    ]
    if strips:
        yield Section("Strips and tapes to cut (strips.csv)")
        yield Grid(("strip", "lies along", "width", "length"), tuple(strips), (2, 4, 1, 1.4))

"""The build book: from a bare hall to the first show, as blocks to set in type.

Glossary: a *chapter* begins on a page of its own; a *step* of sewing stands together with the sketch of just its
pieces. What is said of the air is what `shellparts check` says.
"""

from collections.abc import Iterator, Sequence

from attrs import frozen

from shellparts.base.units import feet_inches, metric
from shellparts.drawing.blocks import (
    Block,
    Boxes,
    Chapter,
    Figure,
    Grid,
    NewPage,
    Numbered,
    Picture,
    Section,
    Together,
    Words,
)
from shellparts.drawing.edge_names import what_is_done
from shellparts.drawing.layout_pages import layout_pages
from shellparts.drawing.noted_page import FRAME
from shellparts.drawing.overview import dimensioned
from shellparts.drawing.places import places_page
from shellparts.drawing.step_sketch import Marked, hem_sketch, seam_sketch
from shellparts.parameters import Design, Marking, Tape
from shellparts.pattern.made import Pattern
from shellparts.pattern.pieces import Piece, PieceEdge
from shellparts.report import book_words as said
from shellparts.report.change_words import danger_words, lacking_words, step_words
from shellparts.report.page import drill, reading_lines, signs, steps, to_get
from shellparts.report.row_words import made_words, remark
from shellparts.report.subject import Subject
from shellparts.report.words import chance, clips_in_words, span
from shellparts.sewing.bundle import Place, SewingGraph
from shellparts.sewing.order_steps import SewingOrder, Step
from shellparts.sewing.parts import fittings_of, strips_of
from shellparts.sewing.rows import Row, sewn_rows
from shellparts.stock.layout import StockLayout
from shellparts.stock.materials import MaterialLine

__all__ = ["BookOf", "book_blocks"]

#: Readings that the form has room for.
_FORM_ROWS = 12


@frozen(eq=False)
class BookOf:
    """What the book is made of.

    Parameters
    ----------
    design : Design
    pattern : Pattern
    order : SewingOrder
    layouts : tuple of StockLayout
        Pieces on the cloth.
    lines : tuple of MaterialLine
        What to get.
    figures : tuple of (str, float)
        Sizes of the room: words, and mm.
    air : Subject or None
        What is known of its air.
    pictures : tuple of (bytes, str)
        PNG files with what they show, the room first.
    """

    design: Design
    pattern: Pattern
    order: SewingOrder
    layouts: tuple[StockLayout, ...]
    lines: tuple[MaterialLine, ...]
    figures: tuple[tuple[str, float], ...]
    air: Subject | None
    pictures: tuple[tuple[bytes, str], ...]

    @property
    def marking(self) -> Marking:
        """Which tape lengths are told by."""
        return self.design.marking

    def length(self, value_mm: float) -> str:
        """A length as the tape at hand shows it."""
        return feet_inches(value_mm) if self.marking.tape is Tape.IMPERIAL else metric(value_mm)


def _front(book: BookOf) -> Iterator[Block]:
    for png, caption in book.pictures[:1]:
        yield Picture(png, caption, 0.9)
    if book.air is not None:
        yield Words(f"**{book.air.plan.decision.value.capitalize()}.** {_first(book.air)}", loud=True)
    yield Words(
        "For planning: local codes and licensed practice decide. Read the chapters \u201cOn the day\u201d and "
        "\u201cChecks\u201d aloud "
        "to everybody who helps before the fan is switched on."
    )


def _first(air: Subject) -> str:
    plan = air.plan
    words = [lacking_words(plan.after, must) for must in plan.lacking[:2]]
    words += [step_words(air.verdict, step) for step in plan.steps] if not words else []
    return " ".join(words) or "See \u201cOn the day\u201d for the one setting."


def _room(book: BookOf) -> Iterator[Block]:
    yield Chapter("The room")
    yield Grid(("size", ""), tuple((words, book.length(mm)) for words, mm in book.figures), (3, 2))
    if book.air is not None:
        people = book.air.plan.after.people
        yield Words(
            f"Reckoned with {people.inside} people; room for {people.capacity.people}, limited by "
            f"{people.capacity.limited_by.value}."
        )
    yield Section("From above: where each panel goes")
    yield Words(
        "Stand outside and face the doorway: panels are counted to the right along the wall. The number is chalked on "
        "each panel; the names beside the lines are those of the seams."
    )
    yield Figure(places_page(book.design, book.pattern).on_paper, frame=FRAME)
    for png, caption in book.pictures[1:]:
        yield Picture(png, caption, 0.8)


def _get(book: BookOf) -> Iterator[Block]:
    yield Chapter("What to get")
    rows = tuple((one.item, f"{one.quantity:g} {one.unit}", one.basis) for one in book.lines)
    yield Grid(("what", "how much", "reckoned from"), rows, (3, 2, 7))
    yield Section("Tools")
    yield Boxes(said.TOOLS)
    if book.air is not None:
        yield Section("For the day")
        yield Words(to_get(book.air))


def _marking(book: BookOf) -> Iterator[Block]:
    yield Chapter("Marking and cutting")
    yield Numbered(said.HOW_TO_MARK)
    for page in layout_pages(book.layouts, book.design.name, book.marking, book.pattern):
        yield NewPage()
        yield Figure(page.on_paper, turned=True, frame=FRAME)


def _edges(book: BookOf, piece: Piece) -> Grid:
    rows = [
        (
            edge.id,
            " ".join(edge.seams) or what_is_done(piece, edge) or edge.words,
            book.length(edge.length_mm),
            book.length(edge.allowance_mm),
            f"{len(edge.notches_mm)}",
        )
        for edge in piece.all_edges
    ]
    return Grid(
        ("edge", "what happens there", "length", "allowance", "notches"), tuple(rows), (1, 3, 2, 2, 1)
    )


def _pieces(book: BookOf) -> Iterator[Block]:
    yield Chapter("The pieces")
    yield Words(
        "Every piece is drawn side out. Its cutting line is black, its sewing line blue; lengths of edges are those of "
        "the sewing line."
    )
    for piece in book.pattern.templates:
        mirror = f"; the mirror image of {piece.mirror_of}" if piece.mirror_of else ""
        sheets = ", ".join(piece.sheets) if piece.sheets != (piece.name,) else piece.name
        wide, tall = piece.extent_mm
        yield Section(f"{piece.name}: cut {piece.count}{mirror}")
        yield Words(f"For: {sheets}. As cut {book.length(tall)} long and {book.length(wide)} wide.")
        yield Figure(dimensioned(piece, book.marking.tape), share=0.45)
        yield _edges(book, piece)
        yield NewPage()


def _named(place: Place) -> str:
    return f"{place[0]} {place[1]}"


def _row_line(book: BookOf, row: Row) -> tuple[str, ...]:
    edges = " with ".join(map(_named, row.edges))
    top = f"; {_named(row.on_top)} on top" if row.on_top is not None else ""
    turned = ""
    if row.turns is not None:
        turned = (
            f"; turn in {book.length(row.turns.first_mm)}, then {book.length(row.turns.second_mm)}, row "
            f"{book.length(row.turns.row_mm)} from the edge"
        )
    ends = f"{row.start.value} to {row.stop.value}"
    return (
        row.seam or "",
        edges,
        made_words(row) + top + turned,
        book.length(row.length_mm),
        ends,
        remark(row, book.marking),
    )


def _sketch(book: BookOf, graph: SewingGraph, step: Step) -> Figure | None:
    """The pieces of a step with the edges that it works on."""
    where = {sheet: piece for piece in book.pattern.pieces for sheet in piece.sheets}
    task = step.task

    def edge(place: Place) -> PieceEdge:
        return next(one for one in where[place[0]].all_edges if one.id == place[1])

    if task.seams:
        pairs = [graph.places(seam) for seam in task.seams]
        sheets = pairs[0][0][0], pairs[0][1][0]
        same = [pair for pair in pairs if (pair[0][0], pair[1][0]) == sheets]
        first, second = (
            Marked(where[sheets[side]], tuple(edge(pair[side]) for pair in same), sheets[side])
            for side in (0, 1)
        )
        more = f"; and so on for {len(pairs) - len(same)} more" if len(pairs) > len(same) else ""
        return Figure(seam_sketch(first, second), f"{sheets[0]} and {sheets[1]}{more}")
    places = task.edges or task.patches
    if not places or places[0][0] not in where:
        return None
    sheet = places[0][0]
    edges = tuple(edge(place) for place in task.edges if place[0] == sheet)
    return Figure(hem_sketch(Marked(where[sheet], edges, sheet)), sheet)


def _sewing(book: BookOf) -> Iterator[Block]:
    yield Chapter("Sewing, step by step")
    yield Numbered(said.SEWING_RULES)
    graph = SewingGraph.of(book.pattern)
    rows: dict[int, list[Row]] = {}
    for row in sewn_rows(book.order, graph):
        rows.setdefault(row.step, []).append(row)
    yield Words(
        f"{len(book.order.steps)} steps, about {book.order.hours:.0f} hours at the machine, "
        f"{book.order.thread_m:.0f} m of thread."
    )
    for step in book.order.steps:
        body: list[Block] = [
            Section(f"Step {step.number}. {step.task.stage.capitalize()}: {step.task.action.value}"),
            Words(f"{'; '.join(step.makes)}. Hands: {step.hands}; about {step.minutes:.0f} min."),
        ]
        figure = _sketch(book, graph, step)
        body += [figure] if figure is not None else []
        lines = [_row_line(book, row) for row in rows.get(step.number, [])]
        if not lines:
            lines = [("", _named(place), "", "", "", "") for place in (*step.task.edges, *step.task.patches)]
        grid = Grid(("seam", "edges", "how", "length", "from - to", "mind"), tuple(lines), (3, 7, 7, 4, 6, 8))
        body += [grid] if lines else []
        if len(lines) > 8:  # too long to stand on one page with its sketch
            yield Together(tuple(body[:-1]))
            yield grid
        else:
            yield Together((*body, Boxes(("done",))))


def _parts(book: BookOf) -> Iterator[Block]:
    graph = SewingGraph.of(book.pattern)
    strips = [
        (one.name, " ".join(map(_named, one.edges)), book.length(one.width_mm), book.length(one.length_mm))
        for one in strips_of(graph)
    ]
    if strips:
        yield Section("Strips and tapes")
        yield Grid(("strip", "lies along", "width", "length"), tuple(strips), (2, 4, 1, 1))
    fittings = [
        (one.part, f"{one.count}", _named(one.place), book.length(one.length_mm) if one.length_mm else "")
        for one in fittings_of(graph)
    ]
    if fittings:
        yield Section("Clips, cords and ties")
        yield Grid(("part", "how many", "where", "cord each"), tuple(fittings), (1, 1, 3, 1))


def _day(book: BookOf) -> Iterator[Block]:
    if book.air is None:
        return
    air, after = book.air, book.air.plan.after
    yield Chapter("On the day")
    yield Words(f"**{air.plan.decision.value.capitalize()}.** {_first(air)}", loud=True)
    setting, site = after.air.setting, after.drawn.site
    where = clips_in_words(setting, after.drawn.room, site.clip_spacing_mm)
    yield Words(
        f"**The setting:** speed {setting.speed!r}, {where}. It holds the room up, keeps it down and keeps its "
        "air good in "
        f"{chance(setting.chance)} cases; {span(setting.pressure_Pa, 'Pa')} inside, held up from "
        f"{span(after.air.hold_up_Pa, 'Pa')}, the base lifts at {span(after.air.lift_Pa, 'Pa')}."
    )
    yield Section("Putting up")
    yield Numbered(tuple(steps(air)))
    yield Section("Signs of trouble")
    yield Boxes(tuple(signs(air)))
    yield Section("If the fan stops")
    words = drill(air)
    yield Words(words[:1].upper() + words[1:], loud=True)
    yield Section("Dangers, gravest first")
    yield Numbered(tuple(danger_words(found) for found in after.hazards))
    lines = tuple(reading_lines(air.verdict))
    if lines:
        yield Section("What was read")
        yield Numbered(lines)
    yield Section("Taking down, packing")
    yield Numbered((*said.TAKING_DOWN, *said.PACKING))


def _checks(book: BookOf) -> Iterator[Block]:
    yield Chapter("Checks")
    for title, items in (
        ("Before cutting", said.BEFORE_CUTTING),
        ("Before switching on", said.BEFORE_SWITCHING_ON),
        ("Every hour", said.EVERY_HOUR),
    ):
        yield Section(title)
        yield Boxes(items)
    yield Section("Readings")
    yield Words(
        "Write down what you read of the real room and hand it to `shellparts check` as a table: one pressure at "
        "a known "
        "setting tells most."
    )
    yield Grid(said.READINGS_HEAD, tuple(("\u00a0",) * len(said.READINGS_HEAD) for _ in range(_FORM_ROWS)))


def book_blocks(book: BookOf) -> Sequence[Block]:
    """The whole book, in the order of the work.

    Parameters
    ----------
    book : BookOf

    Returns
    -------
    sequence of Block
    """
    return (
        *_front(book),
        *_room(book),
        *_get(book),
        *_marking(book),
        *_pieces(book),
        *_sewing(book),
        *_parts(book),
        *_day(book),
        *_checks(book),
    )

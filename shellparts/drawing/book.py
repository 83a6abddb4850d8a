"""The build book: from a bare hall to the first show, as blocks to set in type.

Glossary: a *chapter* begins on a page of its own; a *step* of sewing stands together with the sketch of just its
pieces. What is said of the air is what **shellparts check** says.
"""

from collections import Counter
from collections.abc import Iterator, Sequence

from shellparts.base.counted import counted
from shellparts.drawing.blocks import (
    Block,
    Boxes,
    Chapter,
    Figure,
    Grid,
    Numbered,
    Photo,
    Section,
    Together,
    Words,
)
from shellparts.drawing.book_of import BookOf
from shellparts.drawing.book_pieces import pieces_chapter
from shellparts.drawing.book_sewing import sewing_chapter, sewing_tables
from shellparts.drawing.layout_pages import layout_pages
from shellparts.drawing.noted_page import FRAME
from shellparts.drawing.paper import book_paper
from shellparts.drawing.places import places_page
from shellparts.loads.results import Decision, Verdict
from shellparts.report import book_words as said
from shellparts.report.adult_words import adults_of, drill_known, putting_up
from shellparts.report.change_words import danger_words, lacking_words, step_words
from shellparts.report.drill_words import drill_figures, drill_orders
from shellparts.report.page import TUBE_MM_PA, reading_lines, signs, steps, to_get
from shellparts.report.subject import Subject
from shellparts.report.words import chance, clips_in_words, people_in_words, span
from shellparts.sewing.bundle import SewingGraph
from shellparts.sewing.parts import vents_of

__all__ = ["book_blocks"]

#: Readings that the form has room for: so few that it is not broken.
_FORM_ROWS = 7
#: Of a page's height, what the view from above takes where a picture follows it.
_PLAN_SHARE, _PLAN_ALONE_SHARE = 0.42, 0.6
#: Of a page's width, what a picture below the view from above takes, and below a large view.
_PICTURE_SHARE, _SMALL_PICTURE_SHARE = 0.45, 0.35
#: Paper that the view from above leaves free, along and across [mm].
_PLAN_SIDES_MM, _PLAN_ENDS_MM = 45.0, 60.0


def _front(book: BookOf) -> Iterator[Block]:
    for png, caption in book.pictures[:1]:
        yield Photo(png, caption, 0.9)
    if book.air is not None:
        yield Words(
            f"**{book.air.plan.decision.value.capitalize()}.** {book.told(_first(book.air))}", loud=True
        )
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
        yield Words(_how_many(book.air))
    yield Section("From above: where each panel goes")
    yield Words(
        "Stand outside and face the doorway: panels are counted to the right along the wall. The number is chalked on "
        "each panel; the names beside the lines are those of the seams."
    )
    under_air = book.pictures[1:]
    plan, share = _plan(book, _PLAN_SHARE if under_air else _PLAN_ALONE_SHARE)
    yield plan
    for png, caption in under_air:
        yield Photo(png, caption, _PICTURE_SHARE if share == _PLAN_SHARE else _SMALL_PICTURE_SHARE)


def _plan(book: BookOf, share: float) -> tuple[Figure, float]:
    """The view from above, drawn as it is printed, and its share of the page.

    It is larger, or shrunk from its own page, where names lack room.
    """
    wide, tall = book_paper(book.design.printing, book.marking.tape)
    whole = places_page(book.design, book.pattern)
    for taken in (share, _PLAN_ALONE_SHARE):
        room = wide - _PLAN_SIDES_MM, taken * (tall - _PLAN_ENDS_MM)
        own = places_page(book.design, book.pattern, room)
        if len(own.drawn.drawing.labels) == len(whole.drawn.drawing.labels):
            shown = own.drawn.drawing.moved([0.0, 0.0], 1.0 / own.scale)
            caption = "Panels are counted the way of the arrow. Chalk each name on its piece."
            return Figure(shown, caption), taken
    return Figure(whole.on_paper, frame=FRAME, share=share), share


def _how_many(air: Subject) -> str:
    """The one number of people that all figures are for, and what the other one means."""
    people = air.plan.after.people
    inside, most = people.inside, people.capacity
    why = f"limited by {most.limited_by.value}"
    if air.plan.decision is Decision.NOT or not inside:
        return f"Reckoned with {people_in_words(inside)} inside; there is room for {most.people}, {why}."
    more = (
        f" There would be room for {most.people}, {why}: run it again with that number before more come in."
    )
    return (
        f"Everything here is reckoned with {people_in_words(inside)} inside at once: let in no more."
        f"{more if most.people > inside else ''} "
        f"It takes at least {counted(people.attendants_needed, 'adult')} who practised the drill, one of them at the "
        "doorway."
    )


def _get(book: BookOf) -> Iterator[Block]:
    yield Chapter("What to get")
    rows = tuple(
        (one.item, book.told(counted(one.quantity, one.unit)), book.told(one.basis)) for one in book.lines
    )
    yield Grid(("what", "how much", "reckoned from"), rows, (3, 2, 7))
    yield Section("Tools")
    yield Boxes(tuple(map(book.told, said.TOOLS)))
    if book.air is not None and book.air.plan.decision is not Decision.NOT:
        yield Section("For the day")
        yield Words(book.told(f"{to_get(book.air)} {said.AT_HAND}"))


def _scale_model(book: BookOf) -> Iterator[Block]:
    if not book.models:
        return
    yield Chapter("A scale model first", follows=True)
    for file in book.models:
        title, items = said.MODELS[file.rpartition(".")[2]]
        yield Section(f"{title}: {file}")
        for item in items:
            yield Words(item)


def _words(book: BookOf) -> Iterator[Block]:
    yield Chapter("Words of this book", follows=True)
    rows = tuple((word, book.told(meaning)) for word, meaning in said.WORDS)
    yield Grid(("word", "what it means"), rows, (1.6, 8))


def _marking(book: BookOf) -> Iterator[Block]:
    yield Chapter("Marking and cutting", follows=True)
    yield Numbered(tuple(map(book.told, said.HOW_TO_MARK)))
    if any(one.item == "board for templates" for one in book.lines):
        yield Words(
            "Where a template is sawn of board, as in the folder boards, draw along it instead of measuring. Saw "
            "with the board clamped down and eyes guarded."
        )
    yield Words("What lies on each cloth; its drawings follow, each on a page of its own:")
    rows = []
    for number, layout in enumerate(book.layouts, 1):
        counts = Counter(placed.name for placed in layout.pieces)
        words = ", ".join(f"{many} \u00d7 {name}" if many > 1 else name for name, many in counts.items())
        size = f"{book.length(layout.length_mm)} by {book.length(layout.width_mm)}"
        rows.append((f"{number}. {layout.stock.name}", size, words))
    yield Grid(("cloth", "used", "pieces"), tuple(rows), (3, 3, 6))
    drawn = book.drawn
    if drawn is None:
        drawn = layout_pages(book.layouts, book.design.name, book.marking, book.pattern)
    for page in drawn:
        yield Figure(page.on_paper, alone=True)


def _vent(book: BookOf) -> Iterator[str]:
    """What the vent is: said where it is first set."""
    pairs = [f"{a} {b} and {c} {d}" for (a, b), (c, d) in vents_of(SewingGraph.of(book.pattern))]
    if pairs:
        yield (
            f"The vent is the slit between an open edge of the tunnel and that of the curtain beside it: "
            f"{'; '.join(pairs)}. Clips hold it shut; every clip off lets more air out."
        )


def _use(book: BookOf, air: Subject) -> Iterator[Block]:
    """The one setting, what to do in order, signs of trouble, and the drill."""
    after = air.plan.after
    setting, site = after.air.setting, after.drawn.site
    where = book.told(clips_in_words(setting, after.drawn.room, site.clip_spacing_mm))
    yield Words(
        f"**The setting:** speed {setting.speed!r}, {where}. It holds the room up, keeps it down and keeps its "
        "air good in "
        f"{chance(setting.chance)} cases; {span(setting.pressure_Pa, 'Pa')} inside, stays up from "
        f"{span(after.air.hold_up_Pa, 'Pa')}, the base lifts at {span(after.air.lift_Pa, 'Pa')}."
    )
    todo = tuple(book.told(step) for step in steps(air))
    yield Words("First the boxes of \u201cBefore switching on\u201d, in the chapter Checks.")
    first = 1
    for title, items in zip(said.DAY, (todo[:-4], todo[-4:-2], todo[-2:]), strict=True):
        yield Section(title)
        if title == said.DAY[1]:
            yield from map(Words, _vent(book))
        elif title == said.DAY[0]:
            yield Words(putting_up(adults_of(after), bool(site.ballast_kg)))
        yield Numbered(items, first)
        first += len(items)
        if title == said.DAY[1]:
            yield Words(_on_the_board(book, after))
    yield Section("Signs of trouble")
    yield Words("Whatever the sign: people out first, and nobody in until it is gone.")
    yield Boxes(tuple(map(book.told, signs(air))))
    yield Section("If the fan stops: the drill")
    words = f"{drill_orders(air)} {said.FAN_STOPPED}"
    yield Words(words[:1].upper() + words[1:], loud=True)
    yield Words(book.told(drill_figures(air)))


def _on_the_board(book: BookOf, after: Verdict) -> str:
    """The bounds of the pressure as the tube shows them."""
    sags, lifts = (
        book.told(f"{pressure * TUBE_MM_PA:.0f} mm")
        for pressure in (after.air.hold_up_Pa.high, after.air.lift_Pa.low)
    )
    return (
        f"What is read is how far apart the two water levels stand, along the board: below {sags} the walls may "
        f"sag, from {lifts} on the base may lift. Either is a sign of trouble: see there."
    )


def _day(book: BookOf) -> Iterator[Block]:
    if book.air is None:
        return
    air, after = book.air, book.air.plan.after
    yield Chapter("On the day")
    yield Words(f"**{air.plan.decision.value.capitalize()}.** {book.told(_first(air))}", loud=True)
    if air.plan.decision is Decision.NOT:  # no setting: somebody would use it
        yield Words("No setting is given. Mend that first, run it again, and print this chapter again.")
    else:
        yield from _use(book, air)
    yield Section("Dangers, gravest first")
    yield Numbered((*(book.told(danger_words(found)) for found in after.hazards), f"{said.NO_FLAME}."))
    if after.drawn.site.indoors:
        yield Words(said.OUTDOORS)
    lines = tuple(map(book.told, reading_lines(air.verdict)))
    if lines:
        yield Section("What was read")
        yield Numbered(lines)
    last = (("Taking down", said.TAKING_DOWN), ("Packing", said.PACKING))
    yield Together(tuple(block for title, items in last for block in (Section(title), Numbered(items))))


def _wind(air: Subject | None) -> tuple[str, ...]:
    """What is looked for in the forecast, where the room stands outdoors."""
    if air is None or air.plan.after.drawn.site.indoors:
        return ()
    wind = air.plan.after.hold_down.wind
    limit = f"below {wind.gust_m_s:.1f} m/s" if wind else "nil: it stands no wind at all"
    return (f"Gusts, forecast and felt, are {limit}; if not, people out, fan off, cloth down",)


def _adults(book: BookOf) -> int:
    """Who looks after the room; two, where nothing is known of its people."""
    return adults_of(book.air.plan.after) if book.air is not None else 2


def _checks(book: BookOf) -> Iterator[Block]:
    yield Chapter("Checks", follows=True)
    for title, items in (
        ("Before cutting", said.BEFORE_CUTTING),
        ("Before switching on", (*said.BEFORE_SWITCHING_ON, drill_known(_adults(book)))),
        ("Before anybody comes in", said.BEFORE_PEOPLE),
        ("Every hour", said.EVERY_HOUR + tuple(map(book.told, _wind(book.air)))),
    ):
        yield Section(title)
        yield Boxes(items)
    form = (("\u00a0",) * len(said.READINGS_HEAD),) * _FORM_ROWS
    told = (
        "Write down what you read of the real room and hand it to **shellparts check** as a table: one pressure at a "
        "known setting tells most."
    )
    yield Together((Section("Readings"), Words(told), Grid(said.READINGS_HEAD, form)))


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
        *_scale_model(book),
        *_words(book),
        *_marking(book),
        *pieces_chapter(book),
        *sewing_chapter(book),
        *_day(book),
        *_checks(book),
        *sewing_tables(book),
    )

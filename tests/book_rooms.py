"""The build book of a room, without pictures, and what its pages say."""

import re
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

import pypdfium2 as pdfium

from shellparts.build.room import Room
from shellparts.drawing.blocks import Block, Together
from shellparts.drawing.book import book_blocks
from shellparts.drawing.book_of import BookOf
from shellparts.drawing.paper import book_paper
from shellparts.report.room_materials import layouts_of
from shellparts.writers.book import write_book

__all__ = ["BookPages", "book_of", "flat", "lacking", "write"]


def book_of(room: Room, with_air: bool = False, with_stock: bool = True) -> BookOf:
    """The book's contents, as a run hands them on; without its stock no layout is looked for, which takes longest."""
    name = room.design.name
    return BookOf(
        design=room.design,
        pattern=room.pattern,
        order=room.order,
        layouts=layouts_of(room.layout) if with_stock else (),
        lines=room.materials.lines if with_stock else (),
        figures=(("height of the top", room.body.figures.height_mm),),
        air=room.known.air if with_air else None,
        models=(f"flat/{name}_paper_model.pdf", f"solids/{name}_1-20.3mf"),
    )


def flat(blocks: Iterable[Block]) -> Iterator[Block]:
    """Blocks one after the other, those that stand together too."""
    for block in blocks:
        if isinstance(block, Together):
            yield from flat(block.blocks)
        else:
            yield block


def write(book: BookOf) -> Path:
    """The file of a book."""
    path = Path(mkdtemp()) / "book.pdf"
    paper = book_paper(book.design.printing, book.marking.tape)
    write_book(book_blocks(book), book.design.name, book.design.title, paper, path)
    return path


class BookPages:
    """What the pages of a book say, as PDFium reads them."""

    def __init__(self, path: Path):
        self.document = pdfium.PdfDocument(path)
        texts = [page.get_textpage().get_text_range() for page in self.document]
        self.texts = [text.replace("\u00a0", " ") for text in texts]

    @property
    def everything(self) -> str:
        return " ".join(" ".join(self.texts).split())

    def cards(self) -> dict[int, str]:
        """What is said of each step, without spaces."""
        first = next(
            k
            for k, text in enumerate(self.texts)
            if k > 1 and "Sewing, step by step" in " ".join(text.split())
        )
        text = "\n".join(self.texts[first:]).partition("On the day")[0].partition("Tables: seams")[0]
        heads = list(re.finditer(r"Steps? (\d+)(?: (?:to|and) (\d+))?\. (?=[A-Z])", text))
        found = {}
        for head, after in zip(heads, [*(one.start() for one in heads[1:]), len(text)], strict=True):
            said = "".join(text[head.start() : after].split())
            for number in range(int(head[1]), int(head[2] or head[1]) + 1):
                assert number not in found, f"step {number} has two cards"
                found[number] = said
        return found


def lacking(book: BookOf, pages: BookPages) -> list[str]:
    """Everything of a room that its book does not name where it should."""
    faults = []
    whole, cards = pages.everything, pages.cards()
    glued = "".join(whole.split())
    faults += [
        f"piece {piece.name}"
        for piece in book.pattern.templates
        if f"{piece.name}: cut {piece.count}" not in whole
    ]
    seams = {seam.id: seam for seam in book.pattern.seams}
    sewn = set()
    for step in book.order.steps:
        card = cards.get(step.number)
        if card is None:
            faults.append(f"step {step.number}")
            continue
        for name in step.task.seams:
            sewn.add(name)
            seam = seams[name]
            sides = [f"{sheet}{edge}" for sheet, edge in zip(seam.sheets, seam.edges, strict=True)]
            faults += [f"step {step.number}: {one}" for one in (name, *sides) if one not in card]
        for sheet, what in (*step.task.edges, *step.task.patches):
            faults += [f"step {step.number}: {sheet} {what}"] if sheet not in card or what not in card else []
    faults += [f"seam {name}" for name in seams if name not in sewn]
    return faults + _parts(book, cards, glued)


@cache
def _graph(pattern):  # type: ignore[no-untyped-def]
    from shellparts.sewing.bundle import SewingGraph

    return SewingGraph.of(pattern)


def _parts(book: BookOf, cards: dict[int, str], glued: str) -> list[str]:
    from shellparts.sewing.parts import fittings_of, strips_of

    graph, last = _graph(book.pattern), cards[max(cards)]
    faults = [
        f"strip {one.name}"
        for one in strips_of(graph)
        if f"{one.name}:{''.join(book.length(one.width_mm).split())}wide" not in "".join(cards.values())
    ]
    return faults + [
        f"{one.part} at {one.place}"
        for one in fittings_of(graph, book.knots_mm)
        if one.part not in last or "".join(one.place) not in last
    ]

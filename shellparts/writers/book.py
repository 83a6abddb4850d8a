"""A bound document as PDF: contents, running heads, page numbers around blocks that are set in type."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

from shellparts.base.unparted import unparted
from shellparts.base.version import VERSION
from shellparts.drawing.blocks import Block, Chapter
from shellparts.drawing.paper import POINTS_PER_MM
from shellparts.writers.pdf import ink
from shellparts.writers.typesetter import BARE_MM, FONT, Typesetter

__all__ = ["write_book"]

_MM = POINTS_PER_MM
#: Around the text, at its head, and between the columns of the contents [mm].
_MARGIN_MM, _HEAD_MM, _GAP_MM = 18.0, 12.0, 8.0
#: The heading of the contents takes so much [mm], and a line of them so much above and below [points].
_CONTENTS_MM, _CLOSE = 12.0, 0.2
_GREY, _RULE = "#4a463e", "#b9b2a3"


def _close() -> Any:
    """Lines of the contents, one close below the other."""
    from reportlab.platypus import TableStyle

    flat = [(side, (0, 0), (-1, -1), _CLOSE) for side in ("TOPPADDING", "BOTTOMPADDING")]
    return TableStyle([*flat, ("LEFTPADDING", (0, 0), (-1, -1), 0), ("RIGHTPADDING", (0, 0), (-1, -1), 0)])


def _line_height(words: str, style: Any, width: float) -> float:
    """What a line of the contents takes, which is broken where it is long [points]."""
    from reportlab.platypus import Paragraph

    return float(Paragraph(escape(unparted(words)), style).wrap(width, 1e6)[1]) + 2.0 * _CLOSE


def _half(heights: Sequence[float]) -> float:
    """How tall two columns are that hold these lines one after the other, and are as short as they can be [points]."""
    whole, first = sum(heights), 0.0
    for one in heights:
        if first >= whole - first:
            break
        first += one
    return max(first, whole - first)


def write_book(
    blocks: Sequence[Block], title: str, under: str, paper_mm: tuple[float, float], path: Path
) -> None:
    """Set blocks in type; the same blocks give the same bytes.

    Parameters
    ----------
    blocks : sequence of Block
        In the order of reading; what stands before the first chapter stands on the title page.
    title, under : str
        On the title page; the title runs along every head.
    paper_mm : tuple of float
        Width and height of the paper [mm].
    path : Path
        The file.
    """
    from reportlab import rl_config
    from reportlab.platypus import (
        BaseDocTemplate,
        Frame,
        FrameBreak,
        NextPageTemplate,
        PageBreak,
        PageTemplate,
        Paragraph,
    )
    from reportlab.platypus.tableofcontents import TableOfContents

    wide, tall = (side * _MM for side in paper_mm)
    edge, head = _MARGIN_MM * _MM, _HEAD_MM * _MM
    width, height = wide - 2 * edge, tall - 2 * edge - head
    setter = Typesetter(width, height, paper_mm)

    class Book(BaseDocTemplate):
        """Notes headings for the contents as they are laid."""

        chapter = ""

        def beforeDocument(self) -> None:
            self.chapter = ""
            setter.pass_.laid += 1

        def afterFlowable(self, flowable: Any) -> None:
            if isinstance(flowable, Paragraph) and hasattr(flowable, "entry"):
                level, words, key = flowable.entry
                self.canv.bookmarkPage(key)
                self.canv.addOutlineEntry(words, key, level, closed=True)
                self.notify("TOCEntry", (level, escape(unparted(words)), self.page, key))
                self.chapter = self.chapter if level else words

    def numbered(canvas: Any, document: Any) -> None:
        canvas.setFont(FONT, 7.5)
        canvas.setFillColor(ink(_GREY))
        across = canvas._pagesize[0]
        canvas.drawRightString(
            across - BARE_MM * _MM, 4.2 * _MM, f"{document.chapter}  {document.page}".strip()
        )

    def running(canvas: Any, document: Any) -> None:
        if document.page == 1:
            return
        canvas.setFont(FONT, 7.5)
        canvas.setFillColor(ink(_GREY))
        canvas.drawString(edge, tall - edge, title)
        canvas.drawRightString(wide - edge, tall - edge, document.chapter)
        canvas.drawRightString(wide - edge, edge - 5 * _MM, f"{document.page}")
        canvas.setStrokeColor(ink(_RULE))
        canvas.setLineWidth(0.5)
        canvas.line(edge, tall - edge - 2 * _MM, wide - edge, tall - edge - 2 * _MM)

    story = [setter.words(title, "title"), setter.words(under, "under")]
    first = next((i for i, block in enumerate(blocks) if isinstance(block, Chapter)), len(blocks))
    story += [flowable for block in blocks[:first] for flowable in setter.set(block)]
    laid = [flowable for block in blocks[first:] for flowable in setter.set(block)]
    column = (width - _GAP_MM * _MM) / 2.0
    lines = [setter.styles["line"], setter.styles["step"]]
    heights = [_line_height(words, lines[level], column) for level, words in setter.pass_.headings]
    below = height - _CONTENTS_MM * _MM
    short = min(below, _half(heights) + 1.0)
    bare = BARE_MM * _MM
    pages = [PageTemplate("page", [Frame(edge, edge, width, height, 0, 0, 0, 0)], onPageEnd=running)]
    for name, top, tall_mm in (("contents", below, short), ("more contents", height, height)):
        frames = [
            Frame(edge + k * (width - column), edge + top - tall_mm, column, tall_mm, 0, 0, 0, 0)
            for k in range(2)
        ]
        head_frame = [Frame(edge, edge + top, width, height - top, 0, 0, 0, 0)] * (top < height)
        pages.append(PageTemplate(name, [*head_frame, *frames], onPageEnd=running))
    for name, size in (("bare", (wide, tall)), ("lying", (tall, wide))):
        frame = Frame(bare, bare, size[0] - 2 * bare, size[1] - 2 * bare, 0, 0, 0, 0)
        pages.append(PageTemplate(name, [frame], onPageEnd=numbered, pagesize=size))
    book = Book(
        str(path),
        pagesize=(wide, tall),
        pageTemplates=pages,
        title=title,
        author="",
        creator=f"shellparts {VERSION}",
        invariant=1,
    )
    contents = TableOfContents(levelStyles=lines, dotsMinLevel=0, tableStyle=_close())
    story += [NextPageTemplate("contents"), PageBreak(), setter.words("Contents", "chapter")]
    story += [FrameBreak(), NextPageTemplate("more contents"), contents, NextPageTemplate("page")]
    story += [PageBreak()] * bool(laid)
    story += laid
    # Packed pages as they are: written in letters, which every reader would undo, they take longer and are larger.
    in_letters, rl_config.useA85 = rl_config.useA85, 0
    try:
        book.multiBuild(story)
    finally:
        rl_config.useA85 = in_letters

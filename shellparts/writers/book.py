"""A bound document as PDF: blocks set in type, with contents, running heads and page numbers.

Drawings are painted as they are everywhere, in the colours of a screen, their lines as fine as small pages need. The
letters are those of an open typeface that is embedded, so that fractions and signs look alike for every reader.
"""

import io
import math
import re
from collections.abc import Sequence
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

import numpy as np
from attrs import define

from shellparts.base.version import VERSION
from shellparts.drawing.blocks import (
    Block,
    Boxes,
    Chapter,
    Figure,
    Grid,
    NewPage,
    Numbered,
    Photo,
    Section,
    Together,
    Words,
)
from shellparts.drawing.letters import text_width
from shellparts.drawing.paper import POINTS_PER_MM
from shellparts.drawing.strokes import Drawing
from shellparts.drawing.styles import STYLES
from shellparts.writers.pdf import trace, write_label

__all__ = ["write_book"]

_MM = POINTS_PER_MM
_MARGIN_MM, _HEAD_MM = 18.0, 12.0
#: Margin of pages that one drawing has to itself: what a printer needs [mm].
_BARE_MM = 7.0
#: Lines of figures are finer than at full size by this [-].
_PENS = 0.45
_INK, _PALE, _RULE = "#1c1c1c", "#f1ede4", "#b9b2a3"
_FONT, _BOLD = "BookSans", "BookSans-Bold"
#: Most of a page's height that one figure takes [-].
_TALLEST = 0.8


def _register_fonts() -> None:
    """Embed the open typeface that comes with the plotting library."""
    from reportlab.pdfbase.pdfmetrics import registerFont, registerFontFamily
    from reportlab.pdfbase.ttfonts import TTFont

    spec = find_spec("matplotlib")
    assert spec is not None and spec.origin is not None  # a dependency of ours
    folder = Path(spec.origin).parent / "mpl-data" / "fonts" / "ttf"
    for name, file in ((_FONT, "DejaVuSans.ttf"), (_BOLD, "DejaVuSans-Bold.ttf")):
        registerFont(TTFont(name, str(folder / file)))
    registerFontFamily(_FONT, normal=_FONT, bold=_BOLD, italic=_FONT, boldItalic=_BOLD)


@lru_cache(maxsize=1)
def _styles() -> dict[str, Any]:
    from reportlab.lib.styles import ParagraphStyle

    _register_fonts()
    body = ParagraphStyle("body", fontName=_FONT, fontSize=9.2, leading=12.6, textColor=_INK, spaceAfter=4)

    def style(name: str, **changes: Any) -> Any:
        return ParagraphStyle(name, parent=body, **changes)

    return {
        "body": body,
        "title": style("title", fontName=_BOLD, fontSize=26, leading=31, spaceAfter=8),
        "under": style("under", fontSize=12, leading=17, spaceAfter=14),
        "chapter": style("chapter", fontName=_BOLD, fontSize=17, leading=22, spaceAfter=8),
        "section": style(
            "section", fontName=_BOLD, fontSize=11.5, leading=15, spaceBefore=7, spaceAfter=3, keepWithNext=1
        ),
        "step": style("step", fontSize=7.2, leading=8.4, leftIndent=12, spaceAfter=0),
        "caption": style("caption", fontSize=8.2, leading=11, textColor="#4a463e", spaceAfter=8),
        "cell": style("cell", fontSize=8.2, leading=10.6, spaceAfter=0),
        "head": style("head", fontName=_BOLD, fontSize=8.2, leading=10.6, spaceAfter=0),
        "line": style("line", fontSize=8.6, leading=11, spaceAfter=0),
    }


def _marked(text: str) -> str:
    """Words as the typesetter reads them, quotes and apostrophes as in print; a quote after a figure is a unit."""
    text = re.sub(r"(?<![\w'])'(\w[^']*)'(?!\w)", "\u2018\\1\u2019", text)
    text = re.sub(r"(?<=[^\W\d_])'(?=\w)|(?<=s)'(?=\s)", "\u2019", text)
    text = re.sub(r'(?<![\w"=])"(\w[^"]*)"(?!\w)', "\u201c\\1\u201d", text)
    return re.sub(r"\*\*(.+?)\*\*", r"<b>\1</b>", escape(text))


def _close() -> Any:
    """Lines of the contents, one close below the other."""
    from reportlab.platypus import TableStyle

    flat = [(side, (0, 0), (-1, -1), 0.2) for side in ("TOPPADDING", "BOTTOMPADDING")]
    return TableStyle([*flat, ("LEFTPADDING", (0, 0), (-1, -1), 0), ("RIGHTPADDING", (0, 0), (-1, -1), 0)])


def _around(drawing: Drawing) -> tuple[Any, Any]:
    """Corners of the box around strokes and texts [mm]."""
    low, high = drawing.box
    for label in drawing.labels:
        along = np.array([math.cos(label.angle), math.sin(label.angle)])
        long = text_width(label.text, label.height_mm, label.bold)
        ends = [label.at - label.align * long * along, label.at + (1.0 - label.align) * long * along]
        low = np.minimum(low, np.min(ends, axis=0) - 0.7 * label.height_mm)
        high = np.maximum(high, np.max(ends, axis=0) + 0.7 * label.height_mm)
    return low, high


@define
class _Pass:
    """Pages are laid at least twice, for the contents; only what is laid last needs painted drawings."""

    laid: int = 0
    headings: int = 0

    @property
    def stays(self) -> bool:
        return self.laid > 1 or not self.headings


def _figure_class() -> Any:
    from reportlab.platypus import Flowable

    class DrawnFigure(Flowable):
        """A drawing, shrunk to the room that it gets."""

        def __init__(self, figure: Figure, tallest: float, pass_: _Pass) -> None:
            super().__init__()
            self.figure, self.tallest, self.pass_ = figure, tallest, pass_
            corners: Any = figure.frame or _around(figure.drawing)
            self.low, self.size = corners[0], (corners[1] - corners[0]).tolist()
            self.shrunk = 1.0

        def wrap(self, width: float, height: float) -> tuple[float, float]:
            """Width and height that it takes [points]."""
            wide, tall = self.size
            self.shrunk = min(1.0, width / _MM / wide, self.tallest / _MM / tall)
            return wide * self.shrunk * _MM, tall * self.shrunk * _MM

        def draw(self) -> None:
            """Paint it, on pages that stay."""
            if not self.pass_.stays:
                return
            self.canv.saveState()
            self.canv.scale(_MM, _MM)
            _paint(self.canv, self.figure.drawing.moved(-self.low * self.shrunk, self.shrunk), _PENS)
            self.canv.restoreState()

    return DrawnFigure


def _paint(canvas: Any, drawing: Drawing, pens: float) -> None:
    """Strokes and labels in their colours, one unit a millimetre."""
    for layer, style in STYLES.items():
        strokes = [stroke for stroke in drawing.strokes if stroke.layer is layer]
        if not strokes:
            continue
        dashes = [pens * dash for dash in style.dashes]
        canvas.setLineWidth(pens * style.width_mm)
        canvas.setDash(dashes)
        canvas.setStrokeColor(style.colour)
        for stroke in strokes:
            path = canvas.beginPath()
            trace(path, stroke, sum(dashes))
            canvas.drawPath(path)
    for label in drawing.labels:
        canvas.setFillColor(STYLES[label.layer].colour)
        write_label(canvas, label)


class _Typesetter:
    """Turns blocks into what the layout engine lays on pages."""

    def __init__(self, width: float, height: float, paper_mm: tuple[float, float]) -> None:
        self.styles, self.width, self.tallest, self.whole = _styles(), width, _TALLEST * height, 0.98 * height
        self.bare = [side * _MM - 2.0 * _BARE_MM * _MM - 1.0 for side in paper_mm]
        self.figure = _figure_class()
        self.pass_ = _Pass()

    def words(self, text: str, style: str) -> Any:
        from reportlab.platypus import Paragraph

        return Paragraph(_marked(text), self.styles[style])

    def set(self, block: Block) -> list[Any]:
        from reportlab.platypus import KeepTogether, PageBreak

        match block:
            case Chapter(title):
                return [PageBreak(), self.entered(title, "chapter", 0)]
            case Section(title):
                return [self.entered(title, "section", 1)]
            case Words(text, loud):
                return [self.framed(text)] if loud else [self.words(text, "body")]
            case Numbered(items, first):
                return [self.listed([str(n) + "." for n in range(first, first + len(items))], items)]
            case Boxes(items):
                return [self.listed(["\u2610"] * len(items), items)]
            case Grid():
                return [self.table(block)]
            case Figure() if block.alone:
                return self.alone(block)
            case Figure():
                room = block.share * self.whole or self.tallest
                return self.captioned(self.figure(block, room, self.pass_), block.caption)
            case Photo(png, caption, share):
                return self.captioned(self.image(png, share), caption)
            case Together(blocks):
                return [KeepTogether([flowable for one in blocks for flowable in self.set(one)])]
            case NewPage():
                return [PageBreak()]

    def entered(self, title: str, style: str, level: int) -> Any:
        """A heading that stands in the list of contents."""
        self.pass_.headings += 1
        head = self.words(title, style)
        head.entry = level, title, f"heading-{self.pass_.headings}"
        return head

    def alone(self, figure: Figure) -> list[Any]:
        """A figure on a page of its own, which lies on its side where the figure is wider than tall."""
        from reportlab.platypus import NextPageTemplate, PageBreak

        drawn = self.figure(figure, 0.0, self.pass_)
        lying = drawn.size[0] > drawn.size[1]
        drawn.tallest = self.bare[0 if lying else 1]
        template = "lying" if lying else "bare"
        return [NextPageTemplate(template), PageBreak(), drawn, NextPageTemplate("page")]

    def captioned(self, flowable: Any, caption: str) -> list[Any]:
        """A figure and what it shows; kept together by hand, for the engine does not keep what is kept already."""
        if not caption:
            return [flowable]
        flowable.keepWithNext = 1
        return [flowable, self.words(caption, "caption")]

    def framed(self, text: str) -> Any:
        from reportlab.platypus import Table

        look = [
            ("BOX", (0, 0), (-1, -1), 1.2, _INK),
            ("BACKGROUND", (0, 0), (-1, -1), _PALE),
            *((side, (0, 0), (-1, -1), 6) for side in ("TOPPADDING", "BOTTOMPADDING", "LEFTPADDING")),
        ]
        return Table([[self.words(text, "body")]], [self.width], style=look, spaceBefore=4, spaceAfter=8)

    def listed(self, marks: Sequence[str], items: Sequence[str]) -> Any:
        from reportlab.platypus import Table

        rows = [
            [self.words(mark, "body"), self.words(item, "body")]
            for mark, item in zip(marks, items, strict=True)
        ]
        look = [
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            *((side, (0, 0), (-1, -1), 0) for side in ("TOPPADDING", "BOTTOMPADDING", "LEFTPADDING")),
        ]
        return Table(rows, [8 * _MM, self.width - 8 * _MM], style=look, spaceAfter=4)

    def table(self, grid: Grid) -> Any:
        from reportlab.platypus import LongTable

        shares = grid.shares or (1.0 / len(grid.header),) * len(grid.header)
        widths = [share / sum(shares) * self.width for share in shares]
        rows = [[self.words(cell, "head") for cell in grid.header]]
        rows += [[self.words(cell, "cell") for cell in row] for row in grid.rows]
        look = [
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LINEBELOW", (0, 0), (-1, 0), 1.0, _INK),
            ("LINEBELOW", (0, 1), (-1, -1), 0.3, _RULE),
            ("TOPPADDING", (0, 0), (-1, -1), 2.2),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 2.2),
            ("LEFTPADDING", (0, 0), (-1, -1), 2),
            ("RIGHTPADDING", (0, 0), (-1, -1), 4),
        ]
        return LongTable(rows, widths, repeatRows=1, style=look, spaceBefore=3, spaceAfter=8)

    def image(self, png: bytes, share: float) -> Any:
        from reportlab.lib.utils import ImageReader
        from reportlab.platypus import Image

        wide, tall = ImageReader(io.BytesIO(png)).getSize()
        width = min(self.width * share, self.tallest * wide / tall)
        return Image(io.BytesIO(png), width, width * tall / wide)


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
    from reportlab.platypus import BaseDocTemplate, Frame, PageBreak, PageTemplate, Paragraph
    from reportlab.platypus.tableofcontents import TableOfContents

    wide, tall = (side * _MM for side in paper_mm)
    edge, head = _MARGIN_MM * _MM, _HEAD_MM * _MM
    width, height = wide - 2 * edge, tall - 2 * edge - head
    setter = _Typesetter(width, height, paper_mm)

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
                self.notify("TOCEntry", (level, escape(words), self.page, key))
                self.chapter = self.chapter if level else words

    def numbered(canvas: Any, document: Any) -> None:
        canvas.setFont(_FONT, 7.5)
        canvas.setFillColor("#4a463e")
        across = canvas._pagesize[0]
        canvas.drawRightString(
            across - _BARE_MM * _MM, 4.2 * _MM, f"{document.chapter}  {document.page}".strip()
        )

    def running(canvas: Any, document: Any) -> None:
        if document.page == 1:
            return
        canvas.setFont(_FONT, 7.5)
        canvas.setFillColor("#4a463e")
        canvas.drawString(edge, tall - edge, title)
        canvas.drawRightString(wide - edge, tall - edge, document.chapter)
        canvas.drawRightString(wide - edge, edge - 5 * _MM, f"{document.page}")
        canvas.setStrokeColor(_RULE)
        canvas.setLineWidth(0.5)
        canvas.line(edge, tall - edge - 2 * _MM, wide - edge, tall - edge - 2 * _MM)

    bare = _BARE_MM * _MM
    pages = [PageTemplate("page", [Frame(edge, edge, width, height, 0, 0, 0, 0)], onPageEnd=running)]
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
    levels = [setter.styles["line"], setter.styles["step"]]
    contents = TableOfContents(levelStyles=levels, dotsMinLevel=0, tableStyle=_close())
    first = next((i for i, block in enumerate(blocks) if isinstance(block, Chapter)), len(blocks))
    story = [setter.words(title, "title"), setter.words(under, "under")]
    story += [flowable for block in blocks[:first] for flowable in setter.set(block)]
    story += [PageBreak(), setter.words("Contents", "chapter"), contents]
    story += [flowable for block in blocks[first:] for flowable in setter.set(block)]
    book.multiBuild(story)

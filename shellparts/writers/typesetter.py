"""Blocks set in type: each becomes what the layout engine lays on pages.

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
from attrs import define, field

from shellparts.base.unparted import unparted
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
from shellparts.writers.pdf import draw_on, ink

__all__ = ["BARE_MM", "FONT", "Typesetter"]

_MM = POINTS_PER_MM
#: Margin of pages that one drawing has to itself: what a printer needs [mm].
BARE_MM = 7.0
#: Lines of figures are finer than at full size by this [-].
_PENS = 0.45
_INK, _PALE, _RULE = "#1c1c1c", "#f1ede4", "#b9b2a3"
FONT, _BOLD = "BookSans", "BookSans-Bold"
#: Of a page's height: the most that one figure takes, what a chapter needs that follows on, and what of a page must be
#: left for one that begins a page to begin on this one: a page less than a third full is waste [-].
_TALLEST, _ROOM, _BARELY_BEGUN = 0.8, 0.38, 0.66
#: Rows of a table that stand with what is above it; one that is hardly longer is not broken.
_KEPT_ROWS, _UNBROKEN_ROWS = 4, 7
#: Fewer of its last rows do not stand on the next page alone.
_LEFT_ROWS = 3
#: Letters of a table, the distance of its lines, and the white at the sides of a cell [points].
_CELL, _CELL_LINE, _CELL_SIDES = 8.2, 10.6, (2.0, 4.0)
#: In a line of the contents, kept for the number of the page [points].
_PAGE_ENDS = 22.0
#: White above and below a cell, and a row of one line [points].
_CELL_ENDS = 2.2
_ROW = _CELL_LINE + 2.0 * _CELL_ENDS


def _register_fonts() -> None:
    """Embed the open typeface that comes with the plotting library."""
    from reportlab.pdfbase.pdfmetrics import registerFont, registerFontFamily
    from reportlab.pdfbase.ttfonts import TTFont

    spec = find_spec("matplotlib")
    assert spec is not None and spec.origin is not None  # a dependency of ours
    folder = Path(spec.origin).parent / "mpl-data" / "fonts" / "ttf"
    for name, file in ((FONT, "DejaVuSans.ttf"), (_BOLD, "DejaVuSans-Bold.ttf")):
        registerFont(TTFont(name, str(folder / file)))
    registerFontFamily(FONT, normal=FONT, bold=_BOLD, italic=FONT, boldItalic=_BOLD)


@lru_cache(maxsize=1)
def _styles() -> dict[str, Any]:
    from reportlab.lib.styles import ParagraphStyle

    _register_fonts()
    body = ParagraphStyle(
        "body", fontName=FONT, fontSize=9.2, leading=12.6, textColor=ink(_INK), spaceAfter=4
    )

    def style(name: str, **changes: Any) -> Any:
        return ParagraphStyle(name, parent=body, **changes)

    return {
        "body": body,
        "title": style("title", fontName=_BOLD, fontSize=26, leading=31, spaceAfter=8),
        "under": style("under", fontSize=12, leading=17, spaceAfter=14),
        "chapter": style("chapter", fontName=_BOLD, fontSize=17, leading=22, spaceBefore=18, spaceAfter=8),
        "section": style(
            "section", fontName=_BOLD, fontSize=11.5, leading=15, spaceBefore=7, spaceAfter=3, keepWithNext=1
        ),
        "step": style("step", fontSize=8.0, leading=9.8, leftIndent=12, rightIndent=_PAGE_ENDS, spaceAfter=0),
        "caption": style("caption", fontSize=8.2, leading=11, textColor=ink("#4a463e"), spaceAfter=8),
        "cell": style("cell", fontSize=_CELL, leading=_CELL_LINE, spaceAfter=0),
        "head": style("head", fontName=_BOLD, fontSize=_CELL, leading=_CELL_LINE, spaceAfter=0),
        "line": style("line", fontSize=9.2, leading=12.2, rightIndent=_PAGE_ENDS, spaceAfter=0),
    }


def _marked(text: str) -> str:
    """Words as the typesetter reads them."""
    return re.sub(r"\*\*(.+?)\*\*", r"<b>\1</b>", escape(_printed(text)))


def _printed(text: str) -> str:
    """Quotes and apostrophes as in print; a quote after a figure is a unit."""
    text = re.sub(r"(?<![\w'])'(\w[^']*)'(?!\w)", "\u2018\\1\u2019", text)
    text = re.sub(r"(?<=[^\W\d_])'(?=\w)|(?<=s)'(?=\s)", "\u2019", text)
    return re.sub(r'(?<![\w"=])"(\w[^"]*)"(?!\w)', "\u201c\\1\u201d", text)


def _narrow(text: str, font: str, width: float) -> str:
    """A cell's words, their figures with their units unless that is wider than the column [points]."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    kept = unparted(text)
    longest = max(stringWidth(word, font, _CELL) for word in kept.split(" "))
    return kept if longest <= width - sum(_CELL_SIDES) else text


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
    """Pages are laid at least twice, for the contents; only what is laid last is painted."""

    laid: int = 0
    headings: list[tuple[int, str]] = field(factory=list)  # Level and words

    @property
    def stays(self) -> bool:
        return self.laid > 1 or not self.headings


def _unpainted(flowable: Any, pass_: _Pass) -> Any:
    """A class of what is laid that paints nothing on pages that do not stay."""

    class Laid(flowable):
        """As its base."""

        def draw(self) -> None:
            """Paint it, on pages that stay."""
            if pass_.stays:
                super().draw()

    return Laid


def _table_class(pass_: _Pass) -> Any:
    from reportlab.platypus import LongTable

    class Rows(_unpainted(LongTable, pass_)):  # type: ignore[misc]  # its base is made at run time
        """A table that leaves no row or two alone on the next page."""

        def split(self, width: float, height: float) -> list[Any]:
            """What stands here, and what on the next page."""
            parts: list[Any] = super().split(width, height)
            if len(parts) == 2 and parts[1].wrap(width, height)[1] < (_LEFT_ROWS + 1) * _ROW:
                parts = super().split(width, height - (_LEFT_ROWS - 1) * _ROW)
            return parts

    return Rows


def _figure_class() -> Any:
    from reportlab.platypus import Flowable

    class DrawnFigure(Flowable):
        """A drawing, shrunk to the room that it gets."""

        def __init__(self, figure: Figure, tallest: float, pass_: _Pass) -> None:
            super().__init__()
            self._figure, self._tallest, self.pass_ = figure, tallest, pass_
            corners: Any = figure.frame or _around(figure.drawing)
            self.low, self.size = corners[0], (corners[1] - corners[0]).tolist()
            self.shrunk = 1.0

        def wrap(self, width: float, height: float) -> tuple[float, float]:
            """Width and height that it takes [points]."""
            wide, tall = self.size
            self.shrunk = min(1.0, width / _MM / wide, self._tallest / _MM / tall)
            return wide * self.shrunk * _MM, tall * self.shrunk * _MM

        def draw(self) -> None:
            """Paint it, on pages that stay."""
            if not self.pass_.stays:
                return
            self.canv.saveState()
            self.canv.scale(_MM, _MM)
            drawing = self._figure.drawing.moved(-self.low * self.shrunk, self.shrunk)
            draw_on(self.canv, drawing, _PENS, coloured=True)
            self.canv.restoreState()

    return DrawnFigure


class Typesetter:
    """Turns blocks into what the layout engine lays on pages.

    Parameters
    ----------
    width, height : float
        Of the text on a page [points].
    paper_mm : tuple of float
        Width and height of the paper [mm].
    """

    def __init__(self, width: float, height: float, paper_mm: tuple[float, float]) -> None:
        from reportlab.platypus import Paragraph

        self.styles, self.width, self._tallest, self._whole = (
            _styles(),
            width,
            _TALLEST * height,
            0.98 * height,
        )
        self._bare = [side * _MM - 2.0 * BARE_MM * _MM - 1.0 for side in paper_mm]
        self._figure = _figure_class()
        self.pass_ = _Pass()
        self._after_alone = False
        self._paragraph = _unpainted(Paragraph, self.pass_)
        self._long_table = _table_class(self.pass_)

    def words(self, text: str, style: str) -> Any:
        """A paragraph; figures stay with their units."""
        return self._paragraph(_marked(unparted(text)), self.styles[style])

    def set(self, block: Block) -> list[Any]:
        """What is laid for a block."""
        alone = isinstance(block, Figure) and block.alone
        self._after_alone, after_alone = alone, self._after_alone
        return self._set(block, after_alone)

    def _set(self, block: Block, after_alone: bool) -> list[Any]:
        from reportlab.platypus import CondPageBreak, PageBreak

        match block:
            case Chapter(title, follows):
                needs = _ROOM if follows else _BARELY_BEGUN
                away = PageBreak() if after_alone else CondPageBreak(needs * self._whole)
                return [away, self._entered(title, "chapter", 0)]
            case Section(title):
                return [self._entered(title, "section", 1)]
            case Words(text, loud):
                return [self._framed(text)] if loud else [self.words(text, "body")]
            case Numbered(items, first):
                return [self._listed([str(n) + "." for n in range(first, first + len(items))], items)]
            case Boxes(items):
                return [self._listed(["\u2610"] * len(items), items)]
            case Grid():
                return [self._table(block)]
            case Figure() if block.alone:
                return self._alone(block)
            case Figure():
                room = block.share * self._whole or self._tallest
                return self._captioned(self._figure(block, room, self.pass_), block.caption)
            case Photo(png, caption, share):
                return self._captioned(self._image(png, share), caption)
            case Together(blocks):
                return self._together(blocks)
            case NewPage():
                return [PageBreak()]

    def _together(self, blocks: Sequence[Block]) -> list[Any]:
        """Blocks on one page; if a long table is last, all above it and its first rows, the rest where it falls."""
        from reportlab.platypus import CondPageBreak, KeepTogether

        last = blocks[-1]
        laid = [flowable for one in blocks for flowable in self.set(one)]
        if not isinstance(last, Grid) or len(last.rows) <= _UNBROKEN_ROWS:
            return [KeepTogether(laid)]
        kept = [*laid[:-1], self._table(Grid(last.header, last.rows[:_KEPT_ROWS], last.shares))]
        heights = [one.wrap(self.width, self._whole)[1] for one in kept]
        white = sum(one.getSpaceBefore() + one.getSpaceAfter() for one in kept)
        return [CondPageBreak(min(sum(heights) + white, self._whole)), *laid]

    def _entered(self, title: str, style: str, level: int) -> Any:
        """A heading that stands in the list of contents."""
        self.pass_.headings.append((level, title))
        head = self.words(title, style)
        head.entry = level, title, f"heading-{len(self.pass_.headings)}"
        return head

    def _alone(self, figure: Figure) -> list[Any]:
        """A figure on a page of its own, which lies on its side where the figure is wider than tall."""
        from reportlab.platypus import NextPageTemplate, PageBreak

        drawn = self._figure(figure, 0.0, self.pass_)
        lying = drawn.size[0] > drawn.size[1]
        drawn._tallest = self._bare[0 if lying else 1]
        template = "lying" if lying else "bare"
        return [NextPageTemplate(template), PageBreak(), drawn, NextPageTemplate("page")]

    def _captioned(self, flowable: Any, caption: str) -> list[Any]:
        """A figure and what it shows; kept together by hand, for the engine does not keep what is kept already."""
        if not caption:
            return [flowable]
        flowable.keepWithNext = 1
        return [flowable, self.words(caption, "caption")]

    def _framed(self, text: str) -> Any:
        from reportlab.platypus import Table

        look = [
            ("BOX", (0, 0), (-1, -1), 1.2, _INK),
            ("BACKGROUND", (0, 0), (-1, -1), _PALE),
            *((side, (0, 0), (-1, -1), 6) for side in ("TOPPADDING", "BOTTOMPADDING", "LEFTPADDING")),
        ]
        return Table([[self.words(text, "body")]], [self.width], style=look, spaceBefore=4, spaceAfter=8)

    def _listed(self, marks: Sequence[str], items: Sequence[str]) -> Any:
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

    def _table(self, grid: Grid) -> Any:
        shares = grid.shares or (1.0 / len(grid.header),) * len(grid.header)
        widths = [share / sum(shares) * self.width for share in shares]
        rows = [self._cells(grid.header, "head", widths)]
        rows += [self._cells(row, "cell", widths) for row in grid.rows]
        look = [
            ("FONT", (0, 0), (-1, 0), _BOLD, _CELL, _CELL_LINE),
            ("FONT", (0, 1), (-1, -1), FONT, _CELL, _CELL_LINE),
            ("TEXTCOLOR", (0, 0), (-1, -1), ink(_INK)),
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LINEBELOW", (0, 0), (-1, 0), 1.0, ink(_INK)),
            ("LINEBELOW", (0, 1), (-1, -1), 0.3, ink(_RULE)),
            ("TOPPADDING", (0, 0), (-1, -1), _CELL_ENDS),
            ("BOTTOMPADDING", (0, 0), (-1, -1), _CELL_ENDS),
            ("LEFTPADDING", (0, 0), (-1, -1), _CELL_SIDES[0]),
            ("RIGHTPADDING", (0, 0), (-1, -1), _CELL_SIDES[1]),
        ]
        return self._long_table(rows, widths, repeatRows=1, style=look, spaceBefore=3, spaceAfter=8)

    def _cells(self, texts: Sequence[str], style: str, widths: Sequence[float]) -> list[Any]:
        """A row; plain texts, which are laid much faster, where none is broken into lines or marked."""
        from reportlab.pdfbase.pdfmetrics import stringWidth

        font = self.styles[style].fontName
        plain = all(
            "**" not in text and stringWidth(text, font, _CELL) < width - sum(_CELL_SIDES) - 0.5
            for text, width in zip(texts, widths, strict=True)
        )
        return [
            _printed(text)
            if plain
            else self._paragraph(_marked(_narrow(text, font, width)), self.styles[style])
            for text, width in zip(texts, widths, strict=True)
        ]

    def _image(self, png: bytes, share: float) -> Any:
        from reportlab.lib.utils import ImageReader
        from reportlab.platypus import Image

        wide, tall = ImageReader(io.BytesIO(png)).getSize()
        width = min(self.width * share, self._tallest * wide / tall)
        return Image(io.BytesIO(png), width, width * tall / wide, hAlign="LEFT")

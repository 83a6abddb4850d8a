"""What stands before the pages of full-size patterns: the first page, and a map of each piece's pages.

Glossary: the *map* of a piece shows its shape, small, and the core of every page with its row and column.
"""

import math
from collections.abc import Sequence
from textwrap import wrap
from typing import Any

import numpy as np
import shapely
from attrs import frozen

from shellparts.base.units import feet_inches, metric
from shellparts.drawing.paper import MARGIN_MM, Sheet
from shellparts.drawing.strokes import Layer
from shellparts.drawing.styles import LINE_NAMES
from shellparts.drawing.tiling import MARK_STEP_MM, Tiling
from shellparts.pattern.pieces import Piece
from shellparts.writers.pdf_strokes import legend_pen, line, pen, text, text_width
from shellparts.writers.print_foot import Foot, draw_foot

__all__ = ["PrintedPiece", "draw_first_pages", "draw_map", "first_page_count"]

_LINE_MM, _TEXT_MM = 6.0, 2.4
#: Rows of the table that the steps and the legend take the place of.
_ROWS_ABOVE_TABLE = 20
#: How to print and join, a paragraph each.
_STEPS = (
    "Print every page at 100 % on {paper}, one-sided. Turn off whatever fits, shrinks or centres pages.",
    "Measure the bar in the foot of a page with the tape that the cloth will be measured with: 100 mm, or 4 in.",
    "Each piece begins with a map. Pages are named by row and column: r3 c2 is the second page of the third row. "
    "Pages without any part of the piece are left out.",
    "Join each row first: cut a page along the thin grey line at its left, lay it over its neighbour up to the "
    "dotted line, ringed crosses on ringed crosses, and tape it down.",
    "Then cut each row along the thin grey line at its top, and lay it over the row above in the same way. "
    f"Ringed crosses between rows stand {MARK_STEP_MM:.0f} mm apart. The feet of a row vanish under the next one.",
    "Pieces are drawn as seen from outside the room. Each is cut as often as its map says.",
)


@frozen(eq=False)
class PrintedPiece:
    """A piece and its pages.

    Parameters
    ----------
    piece : Piece
    shape : shapely Polygon
        Inside the cutting line [mm].
    tiling : Tiling
        Its pages.
    first_page : int
        Number of its map in the file; the pages follow.
    """

    piece: Piece
    shape: shapely.Polygon
    tiling: Tiling
    first_page: int

    @property
    def remark(self) -> str:
        """How it is related to another piece, or nothing."""
        return f"mirror image of {self.piece.mirror_of}" if self.piece.mirror_of else ""


def _table_rows(sheet: Sheet, is_first: bool) -> int:
    height = sheet.window_mm[1] - 12.0
    return max(1, int(height / _LINE_MM) - 2 - (_ROWS_ABOVE_TABLE if is_first else 0))


def first_page_count(sheet: Sheet, pieces: int) -> int:
    """How many pages the list of pieces fills.

    Parameters
    ----------
    sheet : Sheet
        The paper, upright.
    pieces : int
        How many are listed.

    Returns
    -------
    int
    """
    left = pieces - _table_rows(sheet, True)
    return 1 + max(0, math.ceil(left / _table_rows(sheet, False)))


def draw_first_pages(
    canvas: Any, sheet: Sheet, room: str, pieces: Sequence[PrintedPiece], pages: int, begin: Any
) -> None:
    """Draw how to print and join the pages, the lines that are used, and the list of pieces.

    Parameters
    ----------
    canvas : reportlab Canvas
    sheet : Sheet
        The paper, upright.
    room : str
        Its name.
    pieces : sequence of PrintedPiece
        All of them.
    pages : int
        How many pages the file has.
    begin : callable
        Called with the sheet before each page, and without anything after it.
    """
    rows = list(pieces)
    for number in range(1, first_page_count(sheet, len(pieces)) + 1):
        begin(sheet)
        y = sheet.height_mm - MARGIN_MM - 6.0
        text(
            canvas, MARGIN_MM, y, f"{room}: patterns at full size", 4.0, bold=True, room_mm=sheet.window_mm[0]
        )
        y -= 2 * _LINE_MM
        if number == 1:
            y = _legend(canvas, _steps(canvas, y, sheet))
        many = _table_rows(sheet, number == 1)
        _table(canvas, y, sheet, rows[:many])
        rows = rows[many:]
        draw_foot(canvas, sheet, Foot(room, "read this first", "", number, pages))
        begin()


def _steps(canvas: Any, y: float, sheet: Sheet) -> float:
    letters = int(sheet.window_mm[0] / text_width("average words, as they come", _TEXT_MM) * 27)
    for number, step in enumerate(_STEPS, 1):
        for i, words in enumerate(wrap(step.format(paper=sheet.name), letters - 4)):
            if i == 0:
                text(canvas, MARGIN_MM, y, f"{number}.", _TEXT_MM, bold=True)
            text(canvas, MARGIN_MM + 7.0, y, words, _TEXT_MM, room_mm=sheet.window_mm[0] - 7.0)
            y -= 0.8 * _LINE_MM
        y -= 0.2 * _LINE_MM
    return y - 0.6 * _LINE_MM


def _legend(canvas: Any, y: float) -> float:
    for layer, words in LINE_NAMES.items():
        width, dashes = legend_pen(layer)
        pen(canvas, width, dashes)
        if layer is Layer.NOTCH:
            line(canvas, MARGIN_MM + 17.5, y - 0.8, MARGIN_MM + 17.5, y + 2.8)
        else:
            line(canvas, MARGIN_MM, y + 1.0, MARGIN_MM + 35.0, y + 1.0)
        text(canvas, MARGIN_MM + 40.0, y, words, _TEXT_MM)
        y -= 0.9 * _LINE_MM
    return y - 0.6 * _LINE_MM


def _table(canvas: Any, y: float, sheet: Sheet, rows: Sequence[PrintedPiece]) -> None:
    columns = (0.0, 68.0, 84.0, 112.0, 132.0)
    for x, words in zip(columns, ("piece", "cut", "rows, columns", "pages", "remark"), strict=True):
        text(canvas, MARGIN_MM + x, y, words, _TEXT_MM, bold=True)
    pen(canvas, 0.25)
    line(canvas, MARGIN_MM, y - 2.0, MARGIN_MM + sheet.window_mm[0], y - 2.0)
    for row in rows:
        y -= _LINE_MM
        last = row.first_page + len(row.tiling.tiles)
        cells = (
            row.piece.name,
            str(row.piece.count),
            f"{row.tiling.rows}, {row.tiling.columns}",
            f"{row.first_page} to {last}",
            row.remark,
        )
        for x, after, words in zip(columns, (*columns[1:], sheet.window_mm[0]), cells, strict=True):
            text(canvas, MARGIN_MM + x, y, words, _TEXT_MM, room_mm=after - x - 2.0)


def draw_map(canvas: Any, sheet: Sheet, printed: PrintedPiece, room: str, pages: int) -> None:
    """Draw the map of a piece's pages.

    Parameters
    ----------
    canvas : reportlab Canvas
    sheet : Sheet
        The paper, upright.
    printed : PrintedPiece
        The piece and its pages.
    room : str
        Its name.
    pages : int
        How many pages the file has.
    """
    piece, tiling = printed.piece, printed.tiling
    wide, long = piece.extent_mm
    top = sheet.height_mm - MARGIN_MM
    width = sheet.window_mm[0]
    text(canvas, MARGIN_MM, top - 7.0, f"{piece.name}: cut {piece.count}", 5.0, bold=True, room_mm=width)
    size = (
        f"{metric(wide)} wide, {metric(long)} long over the cutting line "
        f"({feet_inches(wide)}, {feet_inches(long)})"
    )
    remarks = [size, f"{len(tiling.tiles)} pages, {tiling.rows} rows. This map is small: it is no pattern."]
    if piece.mirror_of:
        remarks.append(
            f"Mirror image of {piece.mirror_of}: the same paper turned over, but for the names of seams and how many "
            "ticks each notch has."
        )
    for i, words in enumerate(remarks):
        text(canvas, MARGIN_MM, top - 14.0 - 5.0 * i, words, _TEXT_MM, room_mm=width)
    cores = np.array([tile.core for tile in tiling.tiles])
    low, high = cores[:, :2].min(axis=0), cores[:, 2:].max(axis=0)
    place = np.array([MARGIN_MM + 14.0, sheet.height_mm - MARGIN_MM - sheet.window_mm[1] + 6.0])
    free = np.array([MARGIN_MM + width, top - 16.0 - 5.0 * len(remarks)]) - place
    scale = float((free / (high - low)).min())
    origin = place + (free - scale * (high - low)) / 2 - scale * low

    canvas.setFillGray(0.82)
    path = canvas.beginPath()
    for ring in piece.cutting:
        corners = (origin + scale * ring).tolist()
        path.moveTo(*corners[0])
        for corner in corners[1:]:
            path.lineTo(*corner)
        path.close()
    canvas.drawPath(path, stroke=0, fill=1, fillMode=0)
    canvas.setFillGray(0.0)
    pen(canvas, 0.2)
    for tile in tiling.tiles:
        x, y = (origin + scale * np.array(tile.core[:2])).tolist()
        w, h = scale * (tile.core[2] - tile.core[0]), scale * (tile.core[3] - tile.core[1])
        canvas.rect(x, y, w, h)
        letter = min(2.6, 0.5 * h)
        text(canvas, x + w / 2, y + h / 2 - letter / 2, f"c{tile.column}", letter, align=0.5, room_mm=0.8 * w)
    for row in range(1, tiling.rows + 1):
        first = next(tile for tile in tiling.tiles if tile.row == row)
        x, y = (origin + scale * np.array([low[0], (first.core[1] + first.core[3]) / 2])).tolist()
        letter = min(2.6, 0.5 * scale * (first.core[3] - first.core[1]))
        text(canvas, x - 2.0, y - letter / 2, f"r{row}", letter, bold=True, align=1.0)
    draw_foot(canvas, sheet, Foot(room, f"{piece.name}  map", "", printed.first_page, pages))

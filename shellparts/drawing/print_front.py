"""What stands before the pages of full-size patterns: the first pages, and a map of each piece's pages.

Glossary: the *map* of a piece shows its shape, small, and the core of every page with its row and column.
"""

import math
from collections.abc import Iterator, Sequence
from textwrap import wrap

import numpy as np
import shapely
from attrs import evolve, frozen

from shellparts.base.units import feet_inches, metric
from shellparts.drawing.letters import text_width
from shellparts.drawing.paper import MARGIN_MM, PaperSheet
from shellparts.drawing.print_foot import footed_page
from shellparts.drawing.printed import Page, line, words
from shellparts.drawing.strokes import Label, Layer, Stroke, stroke_of_points
from shellparts.drawing.styles import LINE_NAMES
from shellparts.drawing.tiling import MARK_STEP_MM, Tiling
from shellparts.pattern.pieces import Piece

__all__ = ["PrintedPiece", "first_page_count", "first_pages", "page_map"]

_LINE_MM, _TEXT_MM = 6.0, 2.4
_COLUMNS = (0.0, 68.0, 84.0, 112.0, 132.0)
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
    """A piece, its shape inside the cutting line, its pages, and the number of its map in the file: they follow it."""

    piece: Piece
    shape: shapely.Polygon
    tiling: Tiling
    first_page: int


def _table_rows(sheet: PaperSheet, is_first: bool) -> int:
    height = sheet.window_mm[1] - 12.0
    return max(1, int(height / _LINE_MM) - 2 - (_ROWS_ABOVE_TABLE if is_first else 0))


def first_page_count(sheet: PaperSheet, pieces: int) -> int:
    """How many pages the list of so many pieces fills."""
    left = pieces - _table_rows(sheet, True)
    return 1 + max(0, math.ceil(left / _table_rows(sheet, False)))


def first_pages(sheet: PaperSheet, room: str, pieces: Sequence[PrintedPiece], pages: int) -> Iterator[Page]:
    """How to print and join the pages, the lines that are used, and the list of pieces, on upright paper."""
    wide, rows = sheet.window_mm[0], list(pieces)
    for number in range(1, first_page_count(sheet, len(pieces)) + 1):
        y = sheet.height_mm - MARGIN_MM - 6.0
        labels = [words(f"{room}: patterns at full size", MARGIN_MM, y, 4.0, bold=True, room_mm=wide)]
        strokes: list[Stroke] = []
        y -= 2 * _LINE_MM
        if number == 1:
            y = _legend(strokes, labels, _steps(labels, y, sheet))
        many = _table_rows(sheet, number == 1)
        labels += _table(y, wide, rows[:many])
        strokes.append(line(Layer.BAR, MARGIN_MM, y - 2.0, MARGIN_MM + wide, y - 2.0))
        rows = rows[many:]
        yield footed_page(sheet, room, "read this first", (number, pages), strokes=strokes, labels=labels)


def _steps(labels: list[Label], y: float, sheet: PaperSheet) -> float:
    """How to print and join, from a height down; the height below."""
    letters = int(sheet.window_mm[0] / text_width("average words, as they come", _TEXT_MM) * 27)
    for number, step in enumerate(_STEPS, 1):
        labels.append(words(f"{number}.", MARGIN_MM, y, _TEXT_MM, bold=True))
        for row in wrap(step.format(paper=sheet.name), letters - 4):
            labels.append(words(row, MARGIN_MM + 7.0, y, _TEXT_MM, room_mm=sheet.window_mm[0] - 7.0))
            y -= 0.8 * _LINE_MM
        y -= 0.2 * _LINE_MM
    return y - 0.6 * _LINE_MM


def _legend(strokes: list[Stroke], labels: list[Label], y: float) -> float:
    """What each line is for, from a height down; the height below."""
    for layer, name in LINE_NAMES.items():
        if layer is Layer.NOTCH:
            strokes.append(line(layer, MARGIN_MM + 17.5, y - 0.8, MARGIN_MM + 17.5, y + 2.8))
        else:
            strokes.append(line(layer, MARGIN_MM, y + 1.0, MARGIN_MM + 35.0, y + 1.0))
        labels.append(words(name, MARGIN_MM + 40.0, y, _TEXT_MM))
        y -= 0.9 * _LINE_MM
    return y - 0.6 * _LINE_MM


def _table(y: float, wide: float, rows: Sequence[PrintedPiece]) -> Iterator[Label]:
    """The list of pieces, from a height down."""
    for x, head in zip(_COLUMNS, ("piece", "cut", "rows, columns", "pages", "remark"), strict=True):
        yield words(head, MARGIN_MM + x, y, _TEXT_MM, bold=True)
    for row in rows:
        y -= _LINE_MM
        piece, tiling = row.piece, row.tiling
        cells = (
            piece.name,
            str(piece.count),
            f"{tiling.rows}, {tiling.columns}",
            f"{row.first_page} to {row.first_page + len(tiling.tiles)}",
            f"mirror image of {piece.mirror_of}" if piece.mirror_of else "",
        )
        for x, after, cell in zip(_COLUMNS, (*_COLUMNS[1:], wide), cells, strict=True):
            yield words(cell, MARGIN_MM + x, y, _TEXT_MM, room_mm=after - x - 2.0)


def page_map(sheet: PaperSheet, printed: PrintedPiece, room: str, pages: int) -> Page:
    """The map of a piece's pages, on upright paper."""
    piece, tiling = printed.piece, printed.tiling
    wide, long = piece.extent_mm
    top, width = sheet.height_mm - MARGIN_MM, sheet.window_mm[0]
    labels = [words(f"{piece.name}: cut {piece.count}", MARGIN_MM, top - 7.0, 5.0, bold=True, room_mm=width)]
    remarks = [
        f"{metric(wide)} wide, {metric(long)} long over the cutting line "
        f"({feet_inches(wide)}, {feet_inches(long)})",
        f"{len(tiling.tiles)} pages, {tiling.rows} rows. This map is small: it is no pattern.",
    ]
    if piece.mirror_of:
        remarks.append(
            f"Mirror image of {piece.mirror_of}: the same paper turned over, but for the names of seams and how many "
            "ticks each notch has."
        )
    for i, remark in enumerate(remarks):
        labels.append(words(remark, MARGIN_MM, top - 14.0 - 5.0 * i, _TEXT_MM, room_mm=width))
    cores = np.array([tile.core for tile in tiling.tiles])
    low, high = cores[:, :2].min(axis=0), cores[:, 2:].max(axis=0)
    place = np.array([MARGIN_MM + 14.0, sheet.height_mm - MARGIN_MM - sheet.window_mm[1] + 6.0])
    free = np.array([MARGIN_MM + width, top - 16.0 - 5.0 * len(remarks)]) - place
    scale = float((free / (high - low)).min())
    origin = place + (free - scale * (high - low)) / 2 - scale * low
    strokes = []
    named = 0
    for tile, core in zip(tiling.tiles, np.concatenate([origin, origin]) + scale * cores, strict=True):
        left, down, right, up = core.tolist()
        corners = [(left, down), (right, down), (right, up), (left, up)]
        strokes.append(stroke_of_points(Layer.THIN, corners, closed=True))
        letter = min(2.6, 0.5 * (up - down))
        y, room_mm = (down + up) / 2 - letter / 2, 0.8 * (right - left)
        labels.append(words(f"c{tile.column}", (left + right) / 2, y, letter, align=0.5, room_mm=room_mm))
        if tile.row > named:
            named, x = tile.row, float(origin[0] + scale * low[0]) - 2.0
            labels.append(words(f"r{tile.row}", x, y, letter, bold=True, align=1.0))
    number = (printed.first_page, pages)
    page = footed_page(sheet, room, f"{piece.name}  map", number, strokes=strokes, labels=labels)
    return evolve(page, shade=tuple(origin + scale * ring for ring in piece.cutting))

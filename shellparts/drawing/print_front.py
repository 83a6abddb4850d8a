"""What stands before the pages of full-size patterns: how to print and join them, the lines, the list of pieces.

Glossary: see `print_map` for maps.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from textwrap import wrap

from shellparts.drawing.letters import text_width
from shellparts.drawing.paper import MARGIN_MM, PaperSheet
from shellparts.drawing.print_foot import footed_page
from shellparts.drawing.print_map import PrintedPiece
from shellparts.drawing.printed import Page, line, words
from shellparts.drawing.strokes import Label, Layer, Stroke
from shellparts.drawing.styles import LINE_NAMES
from shellparts.drawing.tiling import MARK_STEP_MM

__all__ = ["first_page_count", "first_pages"]

#: A row of the list: piece, how often it is cut, pages, their numbers, remark.
Row = tuple[str, str, str, str, str]

_LINE_MM, _TEXT_MM = 6.0, 2.4
_COLUMNS = (0.0, 62.0, 74.0, 90.0, 114.0)
#: Rows of the table that the steps and the legend take the place of.
_ROWS_ABOVE_TABLE = 24
#: How to print and join, a paragraph each.
_STEPS = (
    "Print every page at 100 % on {paper}, one-sided. Turn off whatever fits, shrinks or centres pages.",
    "Measure the bar in the foot of a page with the tape that the cloth will be measured with: 100 mm, or 4 in.",
    "Pages are named by row and column: r3 c2 is the second page of the third row. The map of a piece shows them. "
    "Where nothing but straight lines run there are no pages: points and lengths beside the map take their place.",
    "Join each row first: cut a page along the thin grey line at its left, lay it over its neighbour up to the "
    "dotted line, ringed crosses on ringed crosses, and tape it down.",
    "Then cut each row along the thin grey line at its top, and lay it over the row above in the same way. "
    f"Ringed crosses between rows stand {MARK_STEP_MM:.0f} mm apart. The feet of a row vanish under the next one.",
    "A piece that is alike on both sides is printed as its right half. Chalk its centre line on the cloth, lay the "
    "paper's fold line on it, mark; turn the paper over about that line and mark again. Only where a piece lies alone: "
    "fold the cloth along the line instead, lay the fold line on the fold, and cut both layers at once.",
    "Pieces are drawn as seen from outside the room. Each is cut as often as the list says.",
)


def _table_rows(sheet: PaperSheet, is_first: bool) -> int:
    height = sheet.window_mm[1] - 12.0
    return max(1, int(height / _LINE_MM) - 2 - (_ROWS_ABOVE_TABLE if is_first else 0))


def first_page_count(sheet: PaperSheet, pieces: int) -> int:
    """How many pages the list of so many pieces fills."""
    left = pieces - _table_rows(sheet, True)
    return 1 + max(0, math.ceil(left / _table_rows(sheet, False)))


def first_pages(
    sheet: PaperSheet,
    room: str,
    pieces: Sequence[PrintedPiece],
    maps: Mapping[str, int],
    first: Mapping[str, int],
    pages: int,
) -> Iterator[Page]:
    """How to print and join the pages, the lines that are used, and the list of pieces, on upright paper; `maps`
    and `first` are the pages on which the map and the pages of each piece begin.
    """
    wide = sheet.window_mm[0]
    rows = [row for one in pieces for row in _rows(one, maps[one.piece.name], first)]
    for number in range(1, first_page_count(sheet, len(rows)) + 1):
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


def _rows(one: PrintedPiece, on_map: int, first: Mapping[str, int]) -> Iterator[Row]:
    """The list's rows of a piece and of those that it is turned over."""
    begin, many = first[one.piece.name], len(one.tiling.tiles)
    where = f"{begin} to {begin + many - 1}" if many > 1 else f"{begin}"
    has_map = f"map: page {on_map}" if on_map < begin else ""
    remarks = ["half, on the fold line"] * one.lines.is_half + [has_map] * bool(has_map)
    yield one.piece.name, str(one.piece.count), str(many), where, "; ".join(remarks)
    for other in one.turned:
        yield other.name, str(other.count), "", where, f"{one.piece.name} turned over; {has_map}"


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


def _table(y: float, wide: float, rows: Sequence[Row]) -> Iterator[Label]:
    """The list of pieces, from a height down."""
    for x, head in zip(_COLUMNS, ("piece", "cut", "pages", "numbers", "remark"), strict=True):
        yield words(head, MARGIN_MM + x, y, _TEXT_MM, bold=True)
    for row in rows:
        y -= _LINE_MM
        for x, after, cell in zip(_COLUMNS, (*_COLUMNS[1:], wide), row, strict=True):
            if cell:
                yield words(cell, MARGIN_MM + x, y, _TEXT_MM, room_mm=after - x - 2.0)

"""The foot of a printed page: a measuring bar, the page's address, and how to print it.

Glossary: the *bar* is 100 mm long with ticks every 10 mm above it, and 4 in long with ticks every half inch
below it.
"""

from typing import Any

from attrs import frozen

from shellparts.drawing.paper import FOOT_MM, MARGIN_MM, Sheet
from shellparts.writers.pdf_strokes import form, line, pen, text

__all__ = ["Foot", "draw_foot"]

_BAR_MM, _BAR_IN = 100, 4
#: Height of the bar's line above the margin [mm].
_BAR_AT_MM = 6.5
#: Where the text begins, from the margin [mm].
_TEXT_AT_MM = 112.0
_TEXT_MM = 1.8
_PRINT_SO = "Print at 100 %, not fitted to the page."


@frozen
class Foot:
    """What the foot says.

    Parameters
    ----------
    room : str
        The room, the same in the whole file.
    address : str
        The piece and the page's place in it.
    beside : str
        Which pages meet this one; may be empty.
    page, pages : int
        The page's number in the file, and how many there are.
    """

    room: str
    address: str
    beside: str
    page: int
    pages: int


def draw_foot(canvas: Any, sheet: Sheet, foot: Foot) -> None:
    """Draw the foot of a page.

    Parameters
    ----------
    canvas : reportlab Canvas
    sheet : Sheet
        The page.
    foot : Foot
        What it says.
    """
    name = f"foot_{sheet.width_mm:.0f}_{sheet.height_mm:.0f}"
    x, room = MARGIN_MM + _TEXT_AT_MM, sheet.width_mm - 2 * MARGIN_MM - _TEXT_AT_MM
    if not canvas.hasForm(name):
        with form(canvas, name, (0.0, 0.0, sheet.width_mm, MARGIN_MM + FOOT_MM)):
            _bar(canvas, MARGIN_MM + 2.0, MARGIN_MM + _BAR_AT_MM)
            text(canvas, x, MARGIN_MM + 0.6, f"{foot.room}. {_PRINT_SO}", _TEXT_MM, room_mm=room)
    canvas.doForm(name)
    text(canvas, x, MARGIN_MM + 10.4, foot.address, 2.6, bold=True, room_mm=room)
    text(canvas, x, MARGIN_MM + 7.0, f"page {foot.page} of {foot.pages}", _TEXT_MM, room_mm=room)
    if foot.beside:
        text(canvas, x, MARGIN_MM + 3.8, foot.beside, _TEXT_MM, room_mm=room)


def _bar(canvas: Any, x: float, y: float) -> None:
    pen(canvas, 0.25)
    line(canvas, x, y, x + _BAR_IN * 25.4, y)
    for tick in range(0, _BAR_MM + 1, 10):
        line(canvas, x + tick, y, x + tick, y + (2.6 if tick % 50 == 0 else 1.6))
    for half in range(2 * _BAR_IN + 1):
        line(canvas, x + half * 12.7, y, x + half * 12.7, y - (2.6 if half % 2 == 0 else 1.6))
    for tick in range(0, _BAR_MM + 1, 50):
        text(canvas, x + tick, y + 3.4, f"{tick} mm" if tick else "0", _TEXT_MM, align=0.5)
    for inch in range(_BAR_IN + 1):
        text(canvas, x + inch * 25.4, y - 5.2, f"{inch} in" if inch else "0", _TEXT_MM, align=0.5)

"""The foot of a printed page: a measuring bar, the page's address, and how to print it.

Glossary: the *bar* is 100 mm long with ticks every 10 mm above it, and 4 in long with ticks every half inch
below it.
"""

from collections.abc import Sequence

from shellparts.drawing.paper import MARGIN_MM, PaperSheet
from shellparts.drawing.printed import Page, Shown, line, words
from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke

__all__ = ["footed_page"]

_BAR_MM, _BAR_IN = 100, 4
#: The bar's beginning, from the left and the lower margin, and where the text begins [mm].
_BAR_AT_MM, _TEXT_AT_MM = (2.0, 6.5), 112.0
_TEXT_MM = 1.8


def _bar() -> Drawing:
    """The bar, from its left end."""
    strokes = [line(Layer.BAR, 0.0, 0.0, _BAR_IN * 25.4, 0.0)]
    for tick in range(0, _BAR_MM + 1, 10):
        strokes.append(line(Layer.BAR, tick, 0.0, tick, 2.6 if tick % 50 == 0 else 1.6))
    for half in range(2 * _BAR_IN + 1):
        strokes.append(line(Layer.BAR, half * 12.7, 0.0, half * 12.7, -2.6 if half % 2 == 0 else -1.6))
    labels = [
        words(f"{tick} mm" if tick else "0", tick, 3.4, _TEXT_MM, align=0.5)
        for tick in range(0, _BAR_MM + 1, 50)
    ]
    labels += [
        words(f"{inch} in" if inch else "0", inch * 25.4, -5.2, _TEXT_MM, align=0.5)
        for inch in range(_BAR_IN + 1)
    ]
    return Drawing(tuple(strokes), tuple(labels))


_BAR = Shown(_bar(), [(MARGIN_MM + _BAR_AT_MM[0], MARGIN_MM + _BAR_AT_MM[1])])


def footed_page(
    sheet: PaperSheet,
    room: str,
    address: str,
    number: tuple[int, int],
    beside: str = "",
    shown: Sequence[Shown] = (),
    strokes: Sequence[Stroke] = (),
    labels: Sequence[Label] = (),
) -> Page:
    """A page with its foot: the room, the piece and the page's place in it, the page's number and how many there are,
    and which pages meet this one; shown drawings, and lines and texts of its own [mm].
    """
    x, free = MARGIN_MM + _TEXT_AT_MM, sheet.width_mm - 2 * MARGIN_MM - _TEXT_AT_MM
    said = (
        words(f"{room}. Print at 100 %, not fitted to the page.", x, MARGIN_MM + 0.6, _TEXT_MM, room_mm=free),
        words(address, x, MARGIN_MM + 10.4, 2.6, bold=True, room_mm=free),
        words(f"page {number[0]} of {number[1]}", x, MARGIN_MM + 7.0, _TEXT_MM, room_mm=free),
        words(beside, x, MARGIN_MM + 3.8, _TEXT_MM, room_mm=free),
    )
    foot = [label for label in said if label.text]
    own = Drawing(tuple(strokes), (*labels, *foot))
    return Page(sheet.width_mm, sheet.height_mm, (*shown, _BAR, Shown(own)))

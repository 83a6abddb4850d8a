"""A page that shows something small: a heading above it, and notes beside it or below.

Glossary: *notes* are what has no room on the drawing. The page is A4 lying on its side, 297 mm by 210 mm (ISO 216).
On paper, places are counted from its upper left corner, upward. This module does not know what is shown.
"""

import math
import textwrap
from collections.abc import Callable, Iterator, Sequence

import numpy as np
from attrs import evolve, frozen

from shellparts.base.unparted import unparted
from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke, stroke_of_points

__all__ = ["FRAME", "NotedDrawing", "NotedPage", "fitted_page", "fitting_scale", "with_notes_apart"]

_PAGE, _EDGE_MM = (297.0, 210.0), 10.0
#: Corners of the page.
FRAME = (np.array([0.0, -_PAGE[1]]), np.array([_PAGE[0], 0.0]))
#: Paper taken by the ruler on the left, the heading, the ruler below, and between columns [mm].
_LEFT, _HEAD, _BELOW, _GAP = 10.0, 19.0, 7.0, 5.0
_SCALES = (2, 5, 10, 15, 20, 25, 30, 40, 50, 60, 80, 100, 150, 200, 400)
_NOTE_MM, _NOTE_LINE_MM, _NOTE_COLUMNS = 1.8, 3.4, (3, 4, 5)
#: Rows of notes on a page of their own.
_MOST_ALONE = 46
#: Paper for one character of a note, and the least width of a column of them beside the drawing [mm].
_CHARACTER_MM, _SIDE_MM = 1.5, 45.0
#: Heights of capitals of the second heading [mm], letters of one of its lines at the first of them, and how many lines
#: have room above the drawing; from one of its lines to the next, and paper for the legend [mm].
_HEAD_MM, _HEAD_LETTERS, _MOST_HEAD_LINES = (2.1, 1.8), 185, 2
_HEAD_LINE_MM, _LEGEND_MM = 3.9, 6.0


@frozen(eq=False)
class NotedDrawing:
    """A drawing from its lower left corner [mm], notes on what has no room on it, and what stands above them."""

    drawing: Drawing
    notes: tuple[str, ...]
    title: str = "Points without room in their pieces, along / across"

    @property
    def told(self) -> tuple[str, ...]:
        """Notes below their title; nothing without notes."""
        return (self.title, *self.notes) if self.notes else ()


@frozen(eq=False)
class NotedPage:
    """One page.

    Parameters
    ----------
    file : str
        Name of its file, without an ending.
    heading : tuple of str
        Two lines.
    drawn : NotedDrawing
        What it shows, at full size [mm].
    scale : float
        1 to this [-].
    low_mm, high_mm : float
        From where to where it is shown [mm].
    width_mm : float
        Its height on the page, at full size [mm].
    legend : tuple of (Layer, str)
        Lines that are explained at the foot of the page, with their words.
    """

    file: str
    heading: tuple[str, str]
    drawn: NotedDrawing
    scale: float
    low_mm: float
    high_mm: float
    width_mm: float
    legend: tuple[tuple[Layer, str], ...] = ()

    @property
    def on_paper(self) -> Drawing:
        """The whole page [mm on paper]."""
        corner = np.array([_EDGE_MM + _LEFT, -_EDGE_MM - _HEAD - self.width_mm / self.scale])
        shown = self.drawn.drawing.moved(corner - [self.low_mm / self.scale, 0.0], 1.0 / self.scale)
        words = [_words(self.heading[0], _EDGE_MM, _EDGE_MM + 2.5, 3.0)]
        second = unparted(self.heading[1])
        for tall in _HEAD_MM:
            lines = textwrap.wrap(second, int(_HEAD_LETTERS * _HEAD_MM[0] / tall))
            if len(lines) <= _MOST_HEAD_LINES:
                break
        for k, line in enumerate(lines):
            words.append(_words(line, _EDGE_MM, _EDGE_MM + 8.0 + k * _HEAD_LINE_MM, tall))
        return shown + Drawing((), (*words, *self._notes())) + self._explained()

    def _explained(self) -> Drawing:
        """The legend, a row of samples with their words."""
        y, x = _PAGE[1] - _EDGE_MM + 1.5, _EDGE_MM
        strokes: list[Stroke] = []
        labels: list[Label] = []
        for layer, text in self.legend:
            strokes.append(stroke_of_points(layer, [(x, -y), (x + 9.0, -y)]))
            labels.append(_words(text, x + 11.0, y, _NOTE_MM))
            x += 14.0 + _CHARACTER_MM * len(text)
        return Drawing(tuple(strokes), tuple(labels))

    def _notes(self) -> Iterator[Label]:
        if not self.drawn.notes:
            return
        cloth = (self.high_mm - self.low_mm) / self.scale
        lines = _beside(self.drawn.told, cloth)
        if lines is not None:
            x, y = _EDGE_MM + _LEFT + cloth + _GAP, _EDGE_MM + _HEAD
            rows, column = len(lines), 0.0
        else:
            x, y = _EDGE_MM, _EDGE_MM + _HEAD + self.width_mm / self.scale + _BELOW
            lines, columns = _below(self.drawn.told)
            rows, column = math.ceil(len(lines) / columns), (_PAGE[0] - 2 * _EDGE_MM) / columns
        for k, line in enumerate(lines):
            inward = 2.0 if line.startswith("  ") else 0.0
            across, down = x + k // rows * column + inward, y + k % rows * _NOTE_LINE_MM
            yield _words(line.strip(), across, down, _NOTE_MM)


def _words(text: str, x: float, down: float, height: float) -> Label:
    return Label(Layer.WORDS, text, np.array([x, -down]), height, align=0.0)


def _wrapped(notes: Sequence[str], width_mm: float) -> list[str]:
    """Notes broken into lines of a width on paper [mm]."""
    characters = int(width_mm / _CHARACTER_MM)
    return [
        line for note in notes for line in textwrap.wrap(unparted(note), characters, subsequent_indent="  ")
    ]


def _beside(notes: Sequence[str], cloth_mm: float) -> list[str] | None:
    """Lines of notes to the right of a drawing that takes so much paper; None where they have no room there."""
    side = _PAGE[0] - 2 * _EDGE_MM - _LEFT - cloth_mm - _GAP
    if side < _SIDE_MM:
        return None
    lines = _wrapped(notes, side)
    return lines if (len(lines) + 1) * _NOTE_LINE_MM <= _PAGE[1] - 2 * _EDGE_MM - _HEAD - _LEGEND_MM else None


def _below(notes: Sequence[str]) -> tuple[list[str], int]:
    """Lines of notes below the drawing, and in how many columns they take the fewest rows."""
    ways = [
        (_wrapped(notes, (_PAGE[0] - 2 * _EDGE_MM) / columns - _GAP), columns) for columns in _NOTE_COLUMNS
    ]
    return min(ways, key=lambda way: math.ceil(len(way[0]) / way[1]))


def _rows_below(notes: Sequence[str]) -> int:
    lines, columns = _below(notes)
    return math.ceil(len(lines) / columns)


def _room(rows: int) -> tuple[float, float]:
    """Paper left for the drawing above so many rows of notes, along and across [mm]."""
    foot = rows * _NOTE_LINE_MM
    return _PAGE[0] - 2 * _EDGE_MM - _LEFT, _PAGE[1] - 2 * _EDGE_MM - _HEAD - _BELOW - _LEGEND_MM - foot


def fitting_scale(least: float) -> float:
    """The next usual scale, or the least itself beyond all of them."""
    return next((float(scale) for scale in _SCALES if scale >= least), least)


Drawn = tuple[NotedDrawing, float, float]


def fitted_page(
    draw: Callable[[tuple[float, float]], tuple[float, list[Drawn]]], width_mm: float, may_part: bool = False
) -> tuple[float, list[Drawn]]:
    """Draw something as large as it fits pages together with its notes.

    Parameters
    ----------
    draw : callable
        From the paper left for the drawing, along and across [mm], to the scale and what each page shows: the
        drawing, from where, to where [mm].
    width_mm : float
        Height of the drawing on the page, at full size [mm].
    may_part : bool
        Whether notes may go on pages of their own, by `with_notes_apart`: then the drawing is as large as a page
        without notes allows.

    Returns
    -------
    (float, list)
        What `draw` gave in the end.
    """
    rows = 0
    while True:
        scale, drawn = draw(_room(rows))
        if may_part:
            return scale, drawn
        needed = [
            _rows_below(one.told) if _beside(one.told, (high - low) / scale) is None else 0
            for one, low, high in drawn
        ]
        most = max(needed)
        if most <= rows or _room(most)[1] * scale >= width_mm or scale > _SCALES[-1]:
            return scale, drawn
        rows = most


def with_notes_apart(page: NotedPage) -> list[NotedPage]:
    """The page itself; where its notes have no room beside the drawing or below, they follow on pages of their own."""
    drawn, cloth = page.drawn, (page.high_mm - page.low_mm) / page.scale
    fits_below = not drawn.notes or page.width_mm / page.scale <= _room(_rows_below(drawn.told))[1]
    if fits_below or _beside(drawn.told, cloth) is not None:
        return [page]
    groups: list[list[str]] = [[]]
    for note in drawn.notes:
        if _rows_below((drawn.title, *groups[-1], note)) > _MOST_ALONE and groups[-1]:
            groups.append([])
        groups[-1].append(note)
    first, second = page.heading
    files = [f"{page.file}_notes_{number}" for number in range(1, len(groups) + 1)]
    pages = "the next page" if len(files) == 1 else f"the next {len(files)} pages"
    told = f"{second} What has no room here is on {pages}, {files[0]}."
    apart = [
        evolve(
            page,
            file=file,
            heading=(first, f"{second} These notes belong to the drawing before them, {page.file}."),
            drawn=NotedDrawing(Drawing(), tuple(group), drawn.title),
            low_mm=0.0,
            high_mm=page.scale * _PAGE[0],
            width_mm=0.0,
        )
        for file, group in zip(files, groups, strict=True)
    ]  # as wide as the page, so that the notes stand below
    return [evolve(page, heading=(first, told), drawn=NotedDrawing(drawn.drawing, ())), *apart]

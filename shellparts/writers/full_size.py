"""Patterns at full size on ordinary paper: a PDF of every piece, page by page, to be joined.

Glossary: see `tiling` for rows, cores and marks, `print_foot` for the bar, `print_front` for maps. Nothing is
scaled: a unit of the drawing is a millimetre on paper, on every page but the maps.
"""

import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import shapely
import shapely.affinity
from attrs import evolve, frozen
from numpy.typing import NDArray

from shellparts.drawing.paper import FOOT_MM, MARGIN_MM, Sheet
from shellparts.drawing.piece import draw_piece
from shellparts.drawing.strokes import Drawing, Label
from shellparts.drawing.tiling import OVERLAP_MM, Tile, tile_shape
from shellparts.pattern.pieces import Piece
from shellparts.writers.pdf_strokes import draw, form, line, new_canvas, new_page, pen, text_width
from shellparts.writers.print_foot import Foot, draw_foot
from shellparts.writers.print_front import PrintedPiece, draw_first_pages, draw_map, first_page_count

__all__ = ["PrintRun", "write_full_size"]

Array = NDArray[np.float64]
_CROSS_MM, _RING_MM = 3.6, 1.8
_MARK_FORM = "mark"
_SIDES = ("left", "right", "above", "below")


@frozen
class PrintRun:
    """What was printed.

    Parameters
    ----------
    paper : str
        As it is sold.
    pattern_pages : int
        Pages that show a part of a piece.
    front_pages : int
        The first pages, and a map for each piece.
    least_pages : int
        Pattern pages below which no layout can come, piece by piece: the piece's area over the largest area
        that a page can be printed on.
    first_pages : dict of str to int
        Number of each piece's map in the file; its pages follow.
    """

    paper: str
    pattern_pages: int
    front_pages: int
    least_pages: int
    first_pages: dict[str, int]

    @property
    def pages(self) -> int:
        """All pages of the file."""
        return self.pattern_pages + self.front_pages


def write_full_size(pieces: Sequence[Piece], sheet: Sheet, heading: str, path: Path) -> PrintRun:
    """Write every piece at full size.

    Parameters
    ----------
    pieces : sequence of Piece
        Each is printed once, as often as it may be cut.
    sheet : Sheet
        The paper, upright.
    heading : str
        Name of the room.
    path : Path
        The file.

    Returns
    -------
    PrintRun
        How many pages, and how few there could be.

    Raises
    ------
    ParameterError
        If the paper cannot be printed true to size.
    """
    shapes = [shapely.Polygon(piece.cutting[0], piece.cutting[1:]) for piece in pieces]
    tilings = [tile_shape(shape, sheet) for shape in shapes]
    front = _upright(sheet)
    fronts = first_page_count(front, len(pieces))
    printed, number = [], fronts + 1
    for piece, shape, tiling in zip(pieces, shapes, tilings, strict=True):
        printed.append(PrintedPiece(piece, shape, tiling, number))
        number += 1 + len(tiling.tiles)
    pages = number - 1

    canvas = new_canvas(path, f"{heading}: patterns at full size")

    def begin(page: Sheet | None = None) -> None:
        if page is None:
            canvas.showPage()
        else:
            new_page(canvas, page.width_mm, page.height_mm)

    _keep_mark(canvas)
    draw_first_pages(canvas, front, heading, printed, pages, begin)
    for one in printed:
        begin(front)
        draw_map(canvas, front, one, heading, pages)
        begin()
        _draw_pages(canvas, one, heading, pages, begin)
    canvas.save()
    return PrintRun(
        paper=sheet.name,
        pattern_pages=pages - fronts - len(printed),
        front_pages=fronts + len(printed),
        least_pages=sum(math.ceil(shape.area / sheet.printable_mm2) for shape in shapes),
        first_pages={one.piece.name: one.first_page for one in printed},
    )


def _upright(sheet: Sheet) -> Sheet:
    """The paper for lists and maps: a roll is cut short for them."""
    return evolve(sheet, height_mm=max(297.0, sheet.width_mm)) if sheet.is_roll else sheet


def _draw_pages(canvas: Any, printed: PrintedPiece, heading: str, pages: int, begin: Any) -> None:
    """All pages of a piece; the drawing is kept in the file once."""
    piece, tiling = printed.piece, printed.tiling
    drawing = draw_piece(piece)
    windows = np.array([tile.window for tile in tiling.tiles])
    box = (*windows[:, :2].min(axis=0).tolist(), *windows[:, 2:].max(axis=0).tolist())
    name = f"piece_{printed.first_page}"
    with form(canvas, name, box):
        draw(canvas, drawing)
    marks = tiling.marks(_texts(drawing))
    for number, tile in enumerate(tiling.tiles, printed.first_page + 1):
        begin(tiling.sheet)
        beside = tiling.beside(tile)
        _draw_tile(canvas, tile, beside, name, marks)
        near = [f"{side} {', '.join(one.address for one in beside[side])}" for side in _SIDES if beside[side]]
        beside_it = "; ".join(near) or "the whole piece is on this page"
        foot = Foot(heading, f"{piece.name}  {tile.address}", beside_it, number, pages)
        draw_foot(canvas, tiling.sheet, foot)
        begin()


def _texts(drawing: Drawing) -> shapely.Geometry:
    """Where a mark would touch a text."""
    return shapely.union_all([_covered(label).buffer(_CROSS_MM) for label in drawing.labels])


def _covered(label: Label) -> shapely.Polygon:
    half = text_width(label.text, label.height_mm) / 2
    box = shapely.box(-half, -0.7 * label.height_mm, half, 0.7 * label.height_mm)
    turned = shapely.affinity.rotate(box, label.angle, origin=(0, 0), use_radians=True)
    return shapely.affinity.translate(turned, *label.at.tolist())


def _draw_marks(canvas: Any, marks: Array) -> None:
    """A ringed cross on each mark."""
    for place in marks.tolist():
        canvas.saveState()
        canvas.translate(*place)
        canvas.doForm(_MARK_FORM)
        canvas.restoreState()


def _keep_mark(canvas: Any) -> None:
    with form(canvas, _MARK_FORM, (-4.0, -4.0, 4.0, 4.0)):
        pen(canvas, 0.2)
        line(canvas, -_CROSS_MM, 0.0, _CROSS_MM, 0.0)
        line(canvas, 0.0, -_CROSS_MM, 0.0, _CROSS_MM)
        canvas.circle(0.0, 0.0, _RING_MM)


def _draw_tile(canvas: Any, tile: Tile, beside: dict[str, list[Tile]], name: str, marks: Array) -> None:
    """What lies in the window of a page, and where the page meets others."""
    left, low, right, high = tile.window
    canvas.saveState()
    canvas.translate(MARGIN_MM - left, MARGIN_MM + FOOT_MM - low)
    clip = canvas.beginPath()
    clip.rect(left, low, right - left, high - low)
    canvas.clipPath(clip, stroke=0, fill=0)
    canvas.doForm(name)
    shown = ((marks > [left, low]) & (marks < [right, high])).all(axis=1)
    _draw_marks(canvas, marks[shown])
    pen(canvas, 0.3, (), 0.45)
    if beside["left"]:
        line(canvas, left, low, left, high)
    if beside["above"]:
        line(canvas, left, high, right, high)
    pen(canvas, 0.3, (0.4, 1.6), 0.3)
    if beside["right"]:
        line(canvas, right - OVERLAP_MM, low, right - OVERLAP_MM, high)
    if beside["below"]:
        line(canvas, left, low + OVERLAP_MM, right, low + OVERLAP_MM)
    canvas.restoreState()

"""Patterns at full size on ordinary paper: every piece, page by page, to be joined.

Glossary: see `tiling` for rows, cores and marks, `print_foot` for the bar, `print_front` for maps. Nothing is
scaled: a unit of the drawing is a millimetre on paper, on every page but the maps.
"""

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from attrs import evolve, frozen
from numpy.typing import NDArray

from shellparts.drawing.labels import PRINTED
from shellparts.drawing.paper import FOOT_MM, MARGIN_MM, PaperSheet
from shellparts.drawing.piece import draw_piece
from shellparts.drawing.print_foot import footed_page
from shellparts.drawing.print_front import PrintedPiece, first_page_count, first_pages, page_map
from shellparts.drawing.printed import Page, Shown, line
from shellparts.drawing.strokes import Drawing, Layer, Stroke
from shellparts.drawing.tiling import OVERLAP_MM, Tile, tile_shape
from shellparts.pattern.pieces import Piece

__all__ = ["PrintRun", "full_size_pages"]

Array = NDArray[np.float64]
_CROSS_MM, _RING_MM = 3.6, 1.8
#: A registration mark.
_MARK = Drawing(
    (
        line(Layer.THIN, -_CROSS_MM, 0.0, _CROSS_MM, 0.0),
        line(Layer.THIN, 0.0, -_CROSS_MM, 0.0, _CROSS_MM),
        Stroke(Layer.THIN, np.array([[_RING_MM, 0.0], [-_RING_MM, 0.0]]), np.ones(2), True),
    )
)
#: Letters where marks should not stand.
_LETTERS = evolve(PRINTED, tall=1.4)


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


def full_size_pages(pieces: Sequence[Piece], sheet: PaperSheet, heading: str) -> tuple[list[Page], PrintRun]:
    """Draw every piece at full size.

    Parameters
    ----------
    pieces : sequence of Piece
        Each is printed once, as often as it may be cut.
    sheet : PaperSheet
        The paper, upright.
    heading : str
        Name of the room.

    Returns
    -------
    (list of Page, PrintRun)
        The pages, how many there are, and how few there could be.

    Raises
    ------
    ParameterError
        If the paper cannot be printed true to size.
    """
    shapes = [shapely.Polygon(piece.cutting[0], piece.cutting[1:]) for piece in pieces]
    # A roll is cut short for lists and maps.
    front = evolve(sheet, height_mm=max(297.0, sheet.width_mm)) if sheet.is_roll else sheet
    fronts = first_page_count(front, len(pieces))
    printed, number = [], fronts + 1
    for piece, shape in zip(pieces, shapes, strict=True):
        printed.append(PrintedPiece(piece, shape, tile_shape(shape, sheet), number))
        number += 1 + len(printed[-1].tiling.tiles)
    count = number - 1
    pages = list(first_pages(front, heading, printed, count))
    for one in printed:
        pages += [page_map(front, one, heading, count), *_pages_of(one, heading, count)]
    return pages, PrintRun(
        paper=sheet.name,
        pattern_pages=count - fronts - len(printed),
        front_pages=fronts + len(printed),
        least_pages=sum(math.ceil(shape.area / sheet.printable_mm2) for shape in shapes),
        first_pages={one.piece.name: one.first_page for one in printed},
    )


def _pages_of(printed: PrintedPiece, heading: str, pages: int) -> Iterator[Page]:
    """All pages of a piece."""
    piece, tiling = printed.piece, printed.tiling
    drawing = draw_piece(piece)
    texts = [_LETTERS.boxes([one.text], [(one.height_mm, one.at, one.angle)])[0] for one in drawing.labels]
    marks = tiling.marks(shapely.union_all([text.buffer(_CROSS_MM) for text in texts]))
    for number, tile in enumerate(tiling.tiles, printed.first_page + 1):
        beside = tiling.beside(tile)
        low, high = np.array(tile.window[:2]), np.array(tile.window[2:])
        place = np.array([MARGIN_MM, MARGIN_MM + FOOT_MM]) - low
        window = (*(low + place).tolist(), *(high + place).tolist())
        crosses = marks[((marks > low) & (marks < high)).all(axis=1)] + place
        shown = [
            Shown(drawing, [tuple(place.tolist())], window=window),
            Shown(_MARK, [tuple(mark) for mark in crosses.tolist()], window=window),
        ]
        near = [
            f"{side} {', '.join(one.address for one in found)}" for side, found in beside.items() if found
        ]
        told = "; ".join(near) or "the whole piece is on this page"
        address = f"{piece.name}  {tile.address}"
        joints = _joints(window, beside)
        yield footed_page(tiling.sheet, heading, address, (number, pages), told, shown, joints)


def _joints(window: tuple[float, float, float, float], beside: dict[str, list[Tile]]) -> list[Stroke]:
    """Where a page meets others: lines to cut along, and lines to lay it to."""
    left, low, right, high = window
    across, up = right - OVERLAP_MM, low + OVERLAP_MM
    sides = {
        "left": line(Layer.JOIN, left, low, left, high),
        "above": line(Layer.JOIN, left, high, right, high),
        "right": line(Layer.LAP, across, low, across, high),
        "below": line(Layer.LAP, left, up, right, up),
    }
    return [stroke for side, stroke in sides.items() if beside[side]]

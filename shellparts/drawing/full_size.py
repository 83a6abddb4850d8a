"""Patterns at full size on ordinary paper: every piece, page by page, to be joined.

Glossary: see `print_lines` for what is printed of a piece, `print_points` for groups and points, `tiling` for rows,
cores and marks, `print_foot` for the bar, `print_map` for maps. Nothing is scaled: a unit of the drawing is a
millimetre on paper, on every page but the maps.
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
from shellparts.drawing.print_front import first_page_count, first_pages
from shellparts.drawing.print_lines import PrintLines, print_lines
from shellparts.drawing.print_map import PrintedPiece, map_page_count, map_pages, map_rows
from shellparts.drawing.print_points import PrintPoint, print_points
from shellparts.drawing.print_words import print_drawing
from shellparts.drawing.printed import Page, Shown, line
from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke
from shellparts.drawing.tiling import OVERLAP_MM, Tile, Tiling, tile_shape
from shellparts.parameters.choices import Tape
from shellparts.pattern.pieces import Piece

__all__ = ["PrintRun", "full_size_pages", "printed_pieces", "spread"]

Array = NDArray[np.float64]
_CROSS_MM, _RING_MM = 3.6, 1.8
_POINT_CROSS_MM, _POINT_RING_MM, _POINT_TEXT_MM = 5.0, 2.6, 3.2
#: Pages that hold nothing but straight lines are left out where that saves so many, and one more for each group.
_WORTH_PAGES = 3
#: Letters where marks should not stand.
_LETTERS = evolve(PRINTED, tall=1.4)


def _mark(layer: Layer, cross: float, ring: float) -> Drawing:
    return Drawing(
        (
            line(layer, -cross, 0.0, cross, 0.0),
            line(layer, 0.0, -cross, 0.0, cross),
            Stroke(layer, np.array([[ring, 0.0], [-ring, 0.0]]), np.ones(2), True),
        )
    )


#: A registration mark, and a point that is found by tape.
_MARK = _mark(Layer.THIN, _CROSS_MM, _RING_MM)
_POINT = _mark(Layer.POINT, _POINT_CROSS_MM, _POINT_RING_MM)


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
        The first pages, and the map of each piece that has one.
    least_pages : int
        Pattern pages that would be filled, piece by piece, if all of every piece were printed: its area over the
        largest area that a page can be printed on.
    first_pages : dict of str to int
        Number of the first page that shows a part of each piece; a piece that is another one turned over has that
        one's.
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


def spread(piece: Piece, sheet: PaperSheet, printed: Sequence[Piece] = ()) -> tuple[PrintLines, Tiling]:
    """Choose how a piece is printed.

    Parameters
    ----------
    piece : Piece
    sheet : PaperSheet
        The paper, upright.
    printed : sequence of Piece
        Pieces that have paper already.

    Returns
    -------
    (PrintLines, Tiling)
        Its lines, or those of its right half where both sides are alike; its pages, without those that hold nothing
        but straight lines where that is worth the tape work. A roll is printed without gaps.
    """
    lines = print_lines(piece, () if sheet.is_roll else printed)
    whole = tile_shape(lines.cloth, sheet)
    if not sheet.is_roll:
        fewer = tile_shape(lines.needed, sheet).only(_lines(lines.own))
        if len(fewer.tiles) + len(fewer.groups) + _WORTH_PAGES <= len(whole.tiles):
            return lines, fewer
    return evolve(lines, base="", own=lines.strokes), whole


def _lines(strokes: Sequence[Stroke]) -> shapely.Geometry:
    return shapely.union_all([shapely.LineString(one.points) for one in strokes])


def full_size_pages(
    printed: Sequence[PrintedPiece], sheet: PaperSheet, heading: str
) -> tuple[list[Page], PrintRun]:
    """Draw every piece at full size.

    Parameters
    ----------
    printed : sequence of PrintedPiece
        From `printed_pieces`, for the same paper.
    sheet : PaperSheet
        The paper, upright.
    heading : str
        Name of the room.

    Returns
    -------
    (list of Page, PrintRun)
        The pages, and how many there are.

    Raises
    ------
    ParameterError
        If the paper cannot be printed true to size.
    """
    # A roll is cut short for lists and maps.
    front = evolve(sheet, height_mm=max(297.0, sheet.width_mm)) if sheet.is_roll else sheet
    pieces = [piece for one in printed for piece in (one.piece, *one.turned)]
    number = first_page_count(front, len(pieces)) + 1
    maps: dict[str, int] = {}
    first: dict[str, int] = {}
    for one in printed:
        maps[one.piece.name] = number
        number += map_page_count(front, one)
        first |= dict.fromkeys([one.piece.name, *(other.name for other in one.turned)], number)
        number += len(one.tiling.tiles)
    count = number - 1
    pages = list(first_pages(front, heading, printed, maps, first, count))
    for one in printed:
        pages += map_pages(front, one, heading, (maps[one.piece.name], count))
        pages += _pages_of(one, first[one.piece.name], heading, count)
    tiles = sum(len(one.tiling.tiles) for one in printed)
    areas = [shapely.Polygon(piece.cutting[0], piece.cutting[1:]).area for piece in pieces]
    return pages, PrintRun(
        paper=sheet.name,
        pattern_pages=tiles,
        front_pages=count - tiles,
        least_pages=sum(math.ceil(area / sheet.printable_mm2) for area in areas),
        first_pages=first,
    )


def printed_pieces(
    pieces: Sequence[Piece], sheet: PaperSheet, tape: Tape = Tape.METRIC
) -> list[PrintedPiece]:
    """Decide how each piece is printed.

    Parameters
    ----------
    pieces : sequence of Piece
        Each is printed once, as often as it may be cut; one that is another one turned over is not printed again.
    sheet : PaperSheet
        The paper, upright.
    tape : Tape
        The tape measure at hand.

    Returns
    -------
    list of PrintedPiece
    """
    names = {piece.name for piece in pieces}
    printed: list[PrintedPiece] = []
    for piece in pieces:
        if piece.mirror_of in names:
            continue
        turned = tuple(other for other in pieces if other.mirror_of == piece.name)
        lines, tiling = spread(piece, sheet, [one.piece for one in printed])
        drawing, points = _drawn(lines, tiling, tape)
        rows = map_rows(lines, points, turned, tape)
        printed.append(PrintedPiece(turned, lines, tiling, drawing, points, rows))
    return printed


def _drawn(lines: PrintLines, tiling: Tiling, tape: Tape) -> tuple[Drawing, tuple[PrintPoint, ...]]:
    """A piece as it is printed, and the points on it."""
    if not lines.is_half and not lines.base and len(tiling.groups) == 1:
        return draw_piece(lines.piece), ()
    points = print_points(lines, tiling, tape)
    drawing = print_drawing(lines, tiling, [point.at for point in points])
    for point in points:
        beside = point.at + 1.7 * _POINT_TEXT_MM
        number = Label(Layer.POINT, f"{point.number}", beside, _POINT_TEXT_MM, bold=True)
        drawing += _POINT.moved(point.at) + Drawing((), (number,))
    return drawing, points


def _pages_of(printed: PrintedPiece, first: int, heading: str, pages: int) -> Iterator[Page]:
    """All pages of a piece."""
    piece, tiling, drawing = printed.piece, printed.tiling, printed.drawing
    texts = [_LETTERS.boxes([one.text], [(one.height_mm, one.at, one.angle)])[0] for one in drawing.labels]
    points = [shapely.Point(point.at).buffer(_POINT_CROSS_MM) for point in printed.points]
    taken = [text.buffer(_CROSS_MM) for text in texts] + [point.buffer(_CROSS_MM) for point in points]
    marks = tiling.marks(shapely.union_all(taken))
    for number, tile in enumerate(tiling.tiles, first):
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
        alone = "no page is joined to this one" if printed.points else "the whole piece is on this page"
        told = "; ".join(near) or alone
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

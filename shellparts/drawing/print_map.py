"""The map of a piece's pages, and what is measured where no paper is printed.

Glossary: the *map* of a piece shows its shape, small and shaded, and the core of every page with its row and column.
Lists of points, and of notches and clips along edges, stand above it.
"""

from collections.abc import Callable, Iterator, Sequence
from textwrap import wrap

import numpy as np
import shapely
from attrs import evolve, frozen
from numpy.typing import NDArray

from shellparts.base.units import feet_inches, metric
from shellparts.drawing.edge_names import edge_text
from shellparts.drawing.letters import text_width
from shellparts.drawing.paper import MARGIN_MM, PaperSheet
from shellparts.drawing.print_foot import footed_page
from shellparts.drawing.print_lines import PrintLines, turned_edges
from shellparts.drawing.print_points import PrintPoint
from shellparts.drawing.printed import Page, words
from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke, stroke_of_points
from shellparts.drawing.tiling import Tiling
from shellparts.parameters.choices import Tape
from shellparts.pattern.pieces import Piece, PieceEdge

__all__ = ["PrintedPiece", "map_page_count", "map_pages", "map_rows"]

Array = NDArray[np.float64]
_TEXT_MM, _ROW_MM = 2.2, 4.2
_ABOVE_MM = 12.0
#: Height that a map has at least on its page, and pages that need none [mm].
_LEAST_MAP_MM, _NO_MAP_PAGES = 110.0, 2
#: Two cells of a row that are shorter than this stand side by side [letters].
_CELL_LETTERS = 60


@frozen(eq=False)
class PrintedPiece:
    """A piece as it is printed: the pieces that it is turned over, its lines, its pages, how it is drawn, its points,
    and what is told with its map.
    """

    turned: tuple[Piece, ...]
    lines: PrintLines
    tiling: Tiling
    drawing: Drawing
    points: tuple[PrintPoint, ...]
    rows: tuple[str, ...]

    @property
    def piece(self) -> Piece:
        """The piece itself."""
        return self.lines.piece


def map_rows(
    lines: PrintLines, points: Sequence[PrintPoint], turned: Sequence[Piece], tape: Tape
) -> tuple[str, ...]:
    """What is told of a piece below its map's heading: how it is used, points, notches and clips.

    Parameters
    ----------
    lines : PrintLines
    points : sequence of PrintPoint
        None where all its pages hang together.
    turned : sequence of Piece
        Pieces that are this one turned over.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    tuple of str
        A paragraph each; none of a piece that is printed whole in one group.
    """
    piece, show = lines.piece, (feet_inches if tape is Tape.IMPERIAL else metric)
    rows = []
    if lines.is_half:
        rows.append(
            "Alike on both sides: its right half is printed. Chalk the centre line on the cloth, lay the paper's fold "
            "line on it, mark; turn the paper over about that line, printed side down, and mark again."
        )
    rows += [
        f"{other.name} (cut {other.count}) is this paper turned over, printed side down; its edges and notches are "
        "listed below."
        for other in turned
    ]
    if lines.base:
        rows.append(
            f"As {lines.base} but for what these pages show: mark {lines.base}'s paper first, then lay these on it. "
            "Notches and their ticks are listed below."
        )
    if points:
        rows.append(
            "Pages that hold nothing but straight lines are left out. Chalk the centre line, "
            f"{show(piece.extent_mm[1])} long, 0 at its lower end. Join pages that belong together, and lay them so "
            "that each ringed point lies where its tapes meet; then draw every line straight on, by a string, from "
            "page to page."
        )
        rows += [point.told(show) for point in points]
    ticks = any(
        a.ticks != b.ticks
        for one, b_id in lines.partners.items()
        for a, b in [(_edge(piece, one), _edge(piece, b_id))]
    )
    if points or ticks or lines.base:
        rows += _along_edges(piece, show)
    for other in turned:
        here = turned_edges(other, piece)
        rows.append(f"{other.name}, this paper turned over:")
        rows += [
            f"{edge_text(other, edge)} lies on {here[edge.id]}" for edge in other.all_edges if edge.id in here
        ]
        rows += _along_edges(other, show)
    return tuple(rows)


def _edge(piece: Piece, name: str) -> PieceEdge:
    return next(edge for edge in piece.all_edges if edge.id == name)


def _along_edges(piece: Piece, show: Callable[[float], str]) -> Iterator[str]:
    """Notches and clips along edges, by tape."""
    for edge in piece.all_edges:
        if edge.notches_mm:
            found = [
                show(at) + (f" ({many} ticks)" if many > 1 else "")
                for at, many in zip(edge.notches_mm, edge.ticks, strict=True)
            ]
            yield f"notches on {edge_text(piece, edge)}, from either end of it: {', '.join(found)}"
        if edge.clips_mm:
            ends = np.array(edge.clips_mm)
            places = sorted(
                (ends if ends.min() <= edge.length_mm - ends.max() else edge.length_mm - ends).tolist()
            )
            yield f"clips on {edge_text(piece, edge)}, from the floor up: {', '.join(map(show, places))}"


def _wrapped(sheet: PaperSheet, rows: Sequence[str]) -> list[tuple[str, ...]]:
    """Rows as they stand on a page: short ones by two, long ones on several lines."""
    letters = int(sheet.window_mm[0] / text_width("average words, as they come", _TEXT_MM) * 27)
    found: list[tuple[str, ...]] = []
    single = False  # whether the last row has room for another one beside it
    for row in rows:
        is_short = len(row) <= _CELL_LETTERS and not row.endswith(":")
        if is_short and single:
            found[-1] = (*found[-1], row)
        else:
            found += [(part,) for part in wrap(row, letters - 2)]
        single = is_short and not single
    return found


def _pages_of_rows(sheet: PaperSheet, printed: PrintedPiece) -> list[list[tuple[str, ...]]]:
    """Rows by page; the first leaves room for the map."""
    rows, high = _wrapped(sheet, printed.rows), sheet.window_mm[1] - 30.0
    room = high - _LEAST_MAP_MM
    pages: list[list[tuple[str, ...]]] = []
    while rows or not pages:
        many = max(1, int(room / _ROW_MM))
        pages.append(rows[:many])
        rows, room = rows[many:], high
    return pages


def map_page_count(sheet: PaperSheet, printed: PrintedPiece) -> int:
    """How many pages the map and its lists take; none for a piece that a page or two show whole."""
    if len(printed.tiling.tiles) <= _NO_MAP_PAGES and not printed.points and not printed.turned:
        return 0
    return len(_pages_of_rows(sheet, printed))


def map_pages(sheet: PaperSheet, printed: PrintedPiece, room: str, number: tuple[int, int]) -> Iterator[Page]:
    """The map of a piece's pages with its lists, on upright paper; the map's number and how many pages there are."""
    if not map_page_count(sheet, printed):
        return
    piece, tiling = printed.piece, printed.tiling
    wide, long = piece.extent_mm
    width = sheet.window_mm[0]
    groups = len(tiling.groups)
    heads = [
        f"{metric(wide)} wide, {metric(long)} long over the cutting line ({feet_inches(wide)}, {feet_inches(long)})",
        f"{len(tiling.tiles)} pages, {tiling.rows} rows"
        + (f", {groups} groups" if groups > 1 else "")
        + ". This map is "
        "small: it is no pattern.",
    ]
    for k, rows in enumerate(_pages_of_rows(sheet, printed)):
        y = sheet.height_mm - MARGIN_MM - 7.0
        title = f"{piece.name}: cut {piece.count}" + (", continued" if k else "")
        labels = [words(title, MARGIN_MM, y, 5.0, bold=True, room_mm=width)]
        y -= _ABOVE_MM - 5.0
        for head in heads if k == 0 else ():
            labels.append(words(head, MARGIN_MM, y, _TEXT_MM, room_mm=width))
            y -= _ROW_MM
        y -= 1.5
        for row in rows:
            for i, cell in enumerate(row):
                share = width / len(row)
                labels.append(words(cell, MARGIN_MM + i * share, y, _TEXT_MM, room_mm=share - 2.0))
            y -= _ROW_MM
        strokes, shade = _map(sheet, printed, y, labels) if k == 0 else ([], ())
        page = footed_page(
            sheet, room, f"{piece.name}  map", (number[0] + k, number[1]), strokes=strokes, labels=labels
        )
        yield evolve(page, shade=shade)


def _map(
    sheet: PaperSheet, printed: PrintedPiece, top: float, labels: list[Label]
) -> tuple[list[Stroke], tuple[Array, ...]]:
    """The map below a height: cores with their names, points, the whole shape shaded, the centre line."""
    piece, tiling = printed.piece, printed.tiling
    cores = np.array([tile.core for tile in tiling.tiles])
    ring = piece.cutting[0]
    low = np.minimum(cores[:, :2].min(axis=0), ring.min(axis=0))
    high = np.maximum(cores[:, 2:].max(axis=0), ring.max(axis=0))
    place = np.array([MARGIN_MM + 14.0, sheet.height_mm - MARGIN_MM - sheet.window_mm[1] + 6.0])
    free = np.array([MARGIN_MM + sheet.window_mm[0], top - 2.0]) - place
    scale = float((free / (high - low)).min())
    origin = place + (free - scale * (high - low)) / 2 - scale * low
    strokes = []
    for tile, core in zip(tiling.tiles, np.concatenate([origin, origin]) + scale * cores, strict=True):
        left, down, right, up = core.tolist()
        corners = [(left, down), (right, down), (right, up), (left, up)]
        strokes.append(stroke_of_points(Layer.THIN, corners, closed=True))
        letter = min(2.4, 0.5 * (up - down))
        y, room_mm = (down + up) / 2 - letter / 2, 0.8 * (right - left)
        labels.append(words(f"c{tile.column}", (left + right) / 2, y, letter, align=0.5, room_mm=room_mm))
        if tile.column == 1:
            labels.append(words(f"r{tile.row}", left - 1.0, y, letter, bold=True, align=1.0))
    if printed.points or printed.lines.is_half:
        x, (first, last) = (
            float(origin[0]),
            (origin[1] + scale * np.array([ring[:, 1].min(), ring[:, 1].max()])).tolist(),
        )
        boxes = shapely.box(*(np.concatenate([origin, origin]) + scale * cores).T)
        centre = shapely.LineString([(x, first - 3.0), (x, last + 3.0)]).difference(shapely.union_all(boxes))
        parts = [part for part in shapely.get_parts(centre) if not part.is_empty]
        strokes += [stroke_of_points(Layer.CENTRE, np.asarray(part.coords)) for part in parts]
        labels.append(words("0", x - 1.2, first - 3.4, 2.0, align=1.0))
    return strokes, tuple(origin + scale * one for one in piece.cutting)

"""A shape spread over sheets of paper, with overlap, on as few as rows allow.

Glossary: the *core* of a page is its own part of the shape; the cores of all pages do not overlap and cover
the shape, so every point is on a page. The *window* is what the page shows: its core and half an *overlap*
on every side, which the neighbours show too. A *row* is a strip of pages that are joined side by side before
rows are joined; each row is shifted sideways on its own, so that it needs as few pages as a strip of its
width can. A *mark* lies in an overlap and is shown by all pages that meet there.

This module knows shapes; it does not know PDF, cloth or what is drawn.
"""

import math
from collections.abc import Sequence

import numpy as np
import shapely
from attrs import evolve, frozen
from numpy.typing import NDArray

from shellparts.drawing.paper import PaperSheet

__all__ = ["MARK_STEP_MM", "OVERLAP_MM", "Tile", "Tiling", "tile_shape"]

Array = NDArray[np.float64]

#: Strip that neighbouring pages both show [mm].
OVERLAP_MM = 10.0
#: Marks between rows lie at multiples of this [mm], counted from the shape's own origin.
MARK_STEP_MM = 40.0
#: Heights of the marks beside a page, as shares of its core; the nearest of so many even places are taken.
_SIDE_WISHES, _SIDE_PLACES = (0.2, 0.5, 0.8), 23
#: Cloth this close to the shape counts as part of it [mm]: the width of a pen.
_PEN_MM = 1.0
#: How many places of the first row are tried.
_TRIALS = 10


@frozen
class Tile:
    """One page of a shape: row from the top and column from the left, from 1; left, lower, right and upper limit of
    its core and of its window [mm].
    """

    row: int
    column: int
    core: tuple[float, float, float, float]
    window: tuple[float, float, float, float]

    @property
    def address(self) -> str:
        """Short name, unique within the shape."""
        return f"r{self.row} c{self.column}"


@frozen(eq=False)
class Tiling:
    """All pages of a shape, by rows, on a sheet which may lie on its side."""

    sheet: PaperSheet
    tiles: tuple[Tile, ...]

    @property
    def rows(self) -> int:
        """How many rows."""
        return max(tile.row for tile in self.tiles)

    @property
    def columns(self) -> int:
        """Pages of the longest row."""
        return max(tile.column for tile in self.tiles)

    def beside(self, tile: Tile) -> dict[str, list[Tile]]:
        """Pages that share a side with a page: ``left``, ``right``, ``above``, ``below``."""
        left, low, right, high = tile.core
        found: dict[str, list[Tile]] = {"left": [], "right": [], "above": [], "below": []}
        for other in self.tiles:
            if other.row == tile.row:
                if abs(other.core[2] - left) < 1e-6:
                    found["left"].append(other)
                elif abs(other.core[0] - right) < 1e-6:
                    found["right"].append(other)
                continue
            shared = min(other.core[2], right) - max(other.core[0], left)
            for side, gap in (("above", other.core[1] - high), ("below", other.core[3] - low)):
                if abs(gap) < 1e-6 and shared > MARK_STEP_MM + OVERLAP_MM:
                    found[side].append(other)
        return found

    def only(self, shape: shapely.Geometry) -> "Tiling":
        """Those pages whose cores meet a shape, named anew."""
        shapely.prepare(shape)
        kept = [tile for tile in self.tiles if shape.intersects(shapely.box(*tile.core))]
        rows = sorted({tile.row for tile in kept})
        columns = {row: [tile.column for tile in kept if tile.row == row] for row in rows}
        named = [
            evolve(tile, row=1 + rows.index(tile.row), column=1 + columns[tile.row].index(tile.column))
            for tile in kept
        ]
        return Tiling(self.sheet, tuple(named))

    @property
    def groups(self) -> list[list[Tile]]:
        """Pages that hang together, from the top."""
        left, found = list(self.tiles), []
        while left:
            group = [left.pop(0)]
            for tile in group:
                near = [other for side in self.beside(tile).values() for other in side if other in left]
                left = [other for other in left if other not in near]
                group += near
            found.append(sorted(group, key=lambda tile: (tile.row, tile.column)))
        return found

    def marks(self, taken: shapely.Geometry) -> Array:
        """Where registration marks stand, in the shape's own place: at least two for every joint of two pages.

        They avoid what is taken; a joint that has too little room elsewhere keeps its marks.
        """
        shapely.prepare(taken)
        found = [np.zeros((0, 2))]
        for tile in self.tiles:
            _, low, right, high = tile.core
            near = self.beside(tile)
            if near["right"]:
                heights = np.linspace(low, high, _SIDE_PLACES + 2)[1:-1]
                places = _clear(np.column_stack([np.full(_SIDE_PLACES, right), heights]), taken)
                wishes = low + np.array(_SIDE_WISHES) * (high - low)
                chosen = {int(np.abs(places[:, 1] - wish).argmin()) for wish in wishes}
                found.append(places[sorted(chosen)])
            for other in near["below"]:
                first = max(other.core[0], tile.core[0]) + OVERLAP_MM / 2
                last = min(other.core[2], tile.core[2]) - OVERLAP_MM / 2
                numbers = np.arange(math.ceil(first / MARK_STEP_MM), math.floor(last / MARK_STEP_MM) + 1)
                places = np.column_stack([numbers * MARK_STEP_MM, np.full(len(numbers), low)])
                found.append(_clear(places, taken))
        return np.concatenate(found)


def _clear(places: Array, taken: shapely.Geometry) -> Array:
    """Those of the places that are free; all where fewer than two are."""
    free = places[~shapely.intersects_xy(taken, places)]
    return free if len(free) >= 2 else places


def tile_shape(shape: shapely.Geometry, sheet: PaperSheet) -> Tiling:
    """Spread a shape over pages.

    Parameters
    ----------
    shape : shapely geometry
        In millimetres.
    sheet : PaperSheet
        The paper; unless it is a roll it may be laid on its side.

    Returns
    -------
    Tiling
        Pages without any part of the shape are left out.

    Examples
    --------
    >>> from shellparts.parameters import Printing, Tape
    >>> from shellparts.drawing.paper import sheet_of
    >>> pages = tile_shape(shapely.box(0, 0, 300, 900), sheet_of(Printing(), Tape.METRIC))
    >>> len(pages.tiles), pages.rows, pages.columns
    (8, 4, 2)
    """
    grown = shape.simplify(0.5).buffer(_PEN_MM + 0.5, join_style="mitre")
    shapely.prepare(grown)
    height = grown.bounds[3] - grown.bounds[1]
    if sheet.is_roll:
        longest = sheet.window_mm[1] - OVERLAP_MM
        rows = math.ceil(height / longest)
        pages = sheet.with_window_height(height / rows + OVERLAP_MM)
        return Tiling(pages, _fewest(grown, pages))
    choices = [Tiling(page, _fewest(grown, page)) for page in (sheet, sheet.turned())]
    return min(choices, key=lambda choice: len(choice.tiles))


def _fewest(shape: shapely.Geometry, sheet: PaperSheet) -> tuple[Tile, ...]:
    """The pages for the best place of the first row."""
    width, tall = (side - OVERLAP_MM for side in sheet.window_mm)
    low, high = float(shape.bounds[1]), float(shape.bounds[3])
    rows = math.ceil((high - low) / tall - 1e-9)
    spare = rows * tall - (high - low)
    # The middle first: it leaves as much paper above the shape as below it.
    shares = sorted(np.linspace(0.0, 1.0, _TRIALS + 1).tolist(), key=lambda share: abs(share - 0.5))
    layouts = [_laid(shape, high + share * spare, rows, width, tall) for share in shares]
    return min(layouts, key=len)


def _laid(shape: shapely.Geometry, top: float, rows: int, width: float, tall: float) -> tuple[Tile, ...]:
    left, _, right, _ = shape.bounds
    half = OVERLAP_MM / 2
    tiles, row = [], 0
    for number in range(rows):
        high = top - number * tall
        low = high - tall
        strip = shapely.clip_by_rect(shape, left - 1.0, low, right + 1.0, high)
        starts = _starts(_stretches(strip), width)
        row += bool(starts)
        for column, start in enumerate(starts, 1):
            core = (start, low, start + width, high)
            window = (start - half, low - half, start + width + half, high + half)
            tiles.append(Tile(row, column, core, window))
    return tuple(tiles)


def _stretches(strip: shapely.Geometry) -> list[tuple[float, float]]:
    """Where a strip holds something, seen from its end: separate stretches from left to right."""
    spans = sorted((part.bounds[0], part.bounds[2]) for part in shapely.get_parts(strip) if not part.is_empty)
    joined: list[tuple[float, float]] = []
    for start, end in spans:
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    return joined


def _starts(stretches: Sequence[tuple[float, float]], width: float) -> list[float]:
    """Left limits of the fewest equal intervals that cover all stretches; rows of touching ones are centred."""
    runs: list[tuple[float, float, int]] = []  # first point, last point, how many
    for start, end in stretches:
        if runs:
            first, _, count = runs[-1]
            reach = first + count * width
            if start <= reach:
                runs[-1] = (first, end, max(count, math.ceil((end - first) / width - 1e-9)))
                continue
        runs.append((start, end, math.ceil((end - start) / width - 1e-9)))
    starts: list[float] = []
    reached = -math.inf
    for first, last, count in runs:
        spare = count * width - (last - first)
        begin = max(first - spare / 2, reached)
        starts += [begin + i * width for i in range(count)]
        reached = begin + count * width
    return starts

"""Where to divide pieces that are larger than the cloth, so that the joins cost least.

Glossary: a *line* is a place where a join may run; a *stretch* is what lies between two lines. In each direction
the fewest joins that make every part fit are taken, of those the shortest in all; then the direction in which they
are shorter. Panels beside each other are joined at different heights, since two joins that meet at a seam make a
lump and a weak place. Joins keep clear of openings, folds and corners. This module lays nothing out.
"""

import re
from collections.abc import Mapping, Sequence

import numpy as np
import shapely
from attrs import frozen
from numpy.typing import NDArray

from shellparts.body.seams import EdgeRole
from shellparts.parameters.part import Role
from shellparts.parameters.stocks import Roll, Sheet, Turning
from shellparts.pattern.cut_pieces import CutPiece, fits
from shellparts.pattern.dividing import Cut, crossings
from shellparts.pattern.pieces import Piece

__all__ = ["joins_needed"]

Array = NDArray[np.float64]
#: Lines are tried at whole multiples of this from the lower edge, so that joins of neighbours meet in one point
#: or well apart [mm].
_STEP_MM = 100.0
#: A line keeps this far from every corner that it does not cut off [mm].
_CLEAR_MM = 60.0
#: Joins of neighbouring panels are at least this far apart [mm].
_STAGGER_MM = 300.0
_MOST_PARTS = 12


@frozen(eq=False)
class _Lines:
    """Lines of one piece in one direction: places, lengths of the joins, and which stretches fit the cloth."""

    level: bool
    places: Array
    lengths: Array
    reach: NDArray[np.int64]

    def cheapest(self, apart: Sequence[tuple[float, ...]] = ()) -> tuple[float, ...] | None:
        """Places of the fewest and then shortest joins, each far enough from some others; None if there are none."""
        free = np.array(
            [all(abs(p - q) >= _STAGGER_MM for other in apart for q in other) for p in self.places]
        )
        free[[0, -1]] = True
        last = len(self.places) - 1
        best: dict[int, tuple[int, float, tuple[int, ...]]] = {0: (0, 0.0, ())}
        for i in range(last):
            if i not in best or not free[i]:
                continue
            count, length, taken = best[i]
            for j in range(i + 1, int(self.reach[i]) + 1):
                if not free[j]:
                    continue
                joined = j < last
                new = (count + joined, length + joined * float(self.lengths[j]), (*taken, j))
                if j not in best or new < best[j]:
                    best[j] = new
        if last not in best or best[last][0] >= _MOST_PARTS:
            return None
        return tuple(float(self.places[j]) for j in best[last][2][:-1])

    def cost(self, chosen: Sequence[float]) -> tuple[float, int]:
        """Length of some joins in all [mm], and how many they are."""
        at = dict(zip(self.places.tolist(), self.lengths.tolist(), strict=True))
        return sum(at[place] for place in chosen), len(chosen)


def _on_weave(ring: Array) -> Array:
    """A ring of an upright piece, on its side as it lies on the cloth."""
    return np.column_stack([ring[:, 1], -ring[:, 0]])


def _is_clear(piece: Piece, cut: Cut) -> bool:
    """Whether a line crosses the piece once from side to side, between two edges that may be divided."""
    axis, places = cut.axis, crossings(piece.outline.outer, cut)
    if len(places) != 2:
        return False
    edges = piece.outline.outer.edges
    for number, s in places:
        if min(s, edges[number].length_mm - s) < _CLEAR_MM:
            return False
        roles = {e.role for e in piece.edges for flat in e.flat if flat is edges[number]}
        if EdgeRole.OPEN in roles:
            return False
    low, high = sorted(float(edges[n].at(s)[0, 1 - axis]) for n, s in places)
    for hole in piece.outline.holes:
        points = hole.polyline(1.0)
        if points[:, axis].min() - _CLEAR_MM < cut.at_mm < points[:, axis].max() + _CLEAR_MM:
            return False
    corners = np.array([edge.start for edge in edges])
    near = (np.abs(corners[:, axis] - cut.at_mm) < _CLEAR_MM) & (corners[:, 1 - axis] > low - _CLEAR_MM)
    return not bool((near & (corners[:, 1 - axis] < high + _CLEAR_MM)).any())


def _has_joint(piece: Piece) -> bool:
    """Whether an edge of the piece is sewn to another edge of the same sheet."""
    keys = [flat.key for edge in piece.edges for flat in edge.flat]
    return len(set(keys)) < len(keys)


def _lines(
    piece: Piece, level: bool, stocks: Sequence[Roll | Sheet], turning: Turning, allowance_mm: float
) -> _Lines:
    """Lines of a piece in one direction, its ends among them."""
    axis = 1 if level else 0
    cutting = shapely.Polygon(piece.cutting[0])
    low, high = cutting.bounds[axis], cutting.bounds[axis + 2]
    grid = (
        np.arange(np.ceil((low + _CLEAR_MM) / _STEP_MM), np.floor((high - _CLEAR_MM) / _STEP_MM) + 1)
        * _STEP_MM
    )
    inner = [float(at) for at in grid if _is_clear(piece, Cut(level, float(at)))]
    places = np.array([low, *inner, high])

    def width(at: float) -> float:
        ends = [[at, cutting.bounds[1 - axis]], [at, cutting.bounds[3 - axis]]]
        line = shapely.LineString([end[::-1] if level else end for end in ends])
        return float(line.intersection(cutting).length)

    def fitting(i: int, j: int) -> bool:
        box = [*cutting.bounds]
        box[axis], box[axis + 2] = places[i] - allowance_mm, places[j] + allowance_mm
        part = shapely.intersection(cutting, shapely.box(*box))
        hull = np.asarray(part.convex_hull.exterior.coords)[:-1]
        return any(fits(CutPiece(piece.name, 1, _on_weave(hull)), stock, turning) for stock in stocks)

    reach = []
    for i in range(len(places) - 1):
        # What fits grows no longer with more cloth: the farthest line is found by halving.
        near, far = i, len(places) - 1
        while near < far:
            middle = (near + far + 1) // 2
            near, far = (middle, far) if fitting(i, middle) else (near, middle - 1)
        reach.append(near)
    lengths = np.array([0.0, *(width(at) for at in inner), 0.0])
    return _Lines(level, places, lengths, np.array(reach))


def _number(sheet: str) -> tuple[str, int]:
    """Sheets in their order round the room: by what they are, then by their numbers."""
    found = re.fullmatch(r"(.*?)_?(\d+)", sheet)
    return (found[1], int(found[2])) if found else (sheet, 0)


def _rows(pieces: Sequence[Piece]) -> dict[str, int]:
    """Which of two heights each panel takes: by turns round the room, a third for the last of an odd number."""
    panels = sorted(
        (sheet for piece in pieces if piece.kind.role is Role.PANEL for sheet in piece.sheets),
        key=_number,
    )
    rows = {sheet: i % 2 for i, sheet in enumerate(panels)}
    if len(panels) % 2:
        rows[panels[-1]] = 2
    return rows


def joins_needed(
    pieces: Sequence[Piece], stocks: Sequence[Roll | Sheet], turning: Turning, allowance_mm: float
) -> Mapping[str, tuple[Cut, ...]]:
    """Find joins for every piece that fits none of the cloth.

    Parameters
    ----------
    pieces : sequence of Piece
        Whole.
    stocks : sequence of Roll or Sheet
        The cloth.
    turning : Turning
        How far off the weave pieces may be laid.
    allowance_mm : float
        Cloth outside the sewing line on either side of a join [mm].

    Returns
    -------
    mapping
        Cuts by the sheet's name, for `made.make_pattern`; sheets that fit, and those that no join helps, are
        left out.
    """
    rows = _rows(pieces)
    cuts: dict[str, tuple[Cut, ...]] = {}
    for piece in pieces:
        whole = CutPiece(piece.name, 1, _on_weave(piece.cutting[0]))
        if piece.kind.role is Role.CAP or any(fits(whole, stock, turning) for stock in stocks):
            continue
        found = [
            (lines.cost(first), lines, first)
            for level in (True, False)
            if level or not _has_joint(piece)
            for lines in [_lines(piece, level, stocks, turning, allowance_mm)]
            if (first := lines.cheapest()) is not None
        ]
        if not found:
            continue
        _, lines, first = min(found, key=lambda one: one[0])
        choices = [first]
        for _ in range(2):
            other = lines.cheapest(choices) if lines.level else None
            choices.append(other if other is not None and len(other) == len(first) else first)
        for sheet in piece.sheets:
            cuts[sheet] = tuple(Cut(lines.level, at) for at in choices[rows.get(sheet, 0)])
    return cuts

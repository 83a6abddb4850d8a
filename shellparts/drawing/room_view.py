"""A room as triangles to turn round on a screen: as sewn, under air where that is known, and laid flat.

Glossary: each triangle has three *states* on one list of points; a point is doubled where cloth is creased or sewn, so
that every piece can lie flat by itself. What the form under air leaves out is there too: flaps, which lie still, and
the second layer where two leaves overlap. Laid flat, the outside of the cloth is up. This module knows no file format.
"""

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from attrs import frozen
from numpy.typing import NDArray

from shellparts.inflate.flat_mesh import mesh_flat
from shellparts.inflate.flat_room import FlatLine, FlatRoom, FlatSheet
from shellparts.inflate.regions import Region, lying_regions
from shellparts.inflate.welded import Welded
from shellparts.parameters.part import Colour

__all__ = ["RoomView", "ViewPiece", "room_view"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: Flat points nearer to each other than this are one [mm].
_SAME_MM = 0.05
#: Between pieces laid flat [mm], and how much wider than deep they lie together.
_GAP_MM, _WIDER = 150.0, 1.5


@frozen
class ViewPiece:
    """A piece: its name, its colour, and its width and length on the table [mm]."""

    name: str
    colour: Colour
    width_mm: float
    length_mm: float


@frozen(eq=False)
class RoomView:
    """A room to turn round.

    Parameters
    ----------
    sewn : ndarray, shape (n, 3)
        Points as sewn, floor at z = 0 [mm].
    air : ndarray, shape (n, 3), or None
        The same points under air [mm]; None where that form is not known.
    flat : ndarray, shape (n, 2)
        The same points with all pieces laid side by side [mm].
    triangles : ndarray of int, shape (m, 3)
        Counter-clockwise seen from outside.
    piece_of : ndarray of int, shape (n,)
        Number of each point's piece.
    pieces : tuple of ViewPiece
    lines : ndarray of int, shape (k, 2)
        Points that edges and folds join.
    is_fold : ndarray of bool, shape (k,)
        Which of them are folds.
    """

    sewn: Floats
    air: Floats | None
    flat: Floats
    triangles: Ints
    piece_of: Ints
    pieces: tuple[ViewPiece, ...]
    lines: Ints
    is_fold: NDArray[np.bool_]


@frozen(eq=False)
class _Patch:
    """Triangles of one region of a piece, points by triangle corner: as sewn, under air (m, 3, 3), flat (m, 3, 2)."""

    sheet: str
    region: int
    sewn: Floats
    air: Floats
    flat: Floats


def _map(source: Floats, target: Floats) -> Floats:
    """The affine map, shape (3, k), that takes plane points to others in the sense of least squares."""
    return np.asarray(
        np.linalg.lstsq(np.column_stack([source, np.ones(len(source))]), target, rcond=None)[0], float
    )


def _mapped(points: Floats, by: Floats) -> Floats:
    return points @ by[:-1] + by[-1]


def _lines_of(sheet: FlatSheet) -> dict[int, FlatLine]:
    return {line.key: line for loop in (*sheet.loops, sheet.folds) for line in loop}


def _ends(line: FlatLine) -> Floats:
    """Some points of a line in its own direction."""
    points = line.xy if line.forward else line.xy[::-1]
    return points[[0, len(points) // 2, -1]]


def _standing(room: FlatRoom, welded: Welded, air: Floats) -> Iterator[_Patch]:
    """Regions that the form under air has; one of two layers comes twice."""
    sheets = {sheet.name: sheet for sheet in room.sheets}
    for number, region in enumerate(welded.regions):
        chosen = welded.region_of == number
        nodes, rest = welded.triangles[chosen], welded.rest[chosen]
        sewn, blown = welded.nodes[nodes], air[nodes]
        yield _Patch(region.sheets[0], number, sewn, blown, rest)
        for other in region.sheets[1:]:
            here, there = (_lines_of(sheets[name]) for name in (region.sheets[0], other))
            keys = sorted(region.keys)
            by = _map(*(np.concatenate([_ends(lines[key]) for key in keys]) for lines in (here, there)))
            yield _Patch(other, number, sewn, blown, _mapped(rest, by))


def _lying(
    room: FlatRoom, regions: Sequence[Region], there: Sequence[_Patch], size_mm: float
) -> Iterator[_Patch]:
    """Regions that lie on the floor: as sewn they are already plane. Along a fold they share points with `there`."""
    for number, region in enumerate(regions, 1 + max(one.region for one in there)):
        own = [one.flat.reshape(-1, 2) for one in there if one.sheet == region.sheets[0]]
        known = np.unique(np.concatenate([*own, np.zeros((0, 2))]), axis=0)
        loops = [
            np.concatenate([_spaced(line, known, size_mm)[:-1] for line in loop]) for loop in region.loops
        ]
        mesh = mesh_flat(loops, size_mm)
        space = [np.asarray(room.space[line.key], float)[[0, -1]] for line in region.lines]
        flat = [_ends(line)[[0, -1]] for line in region.lines]
        rest = mesh.points[mesh.triangles]
        sewn = _mapped(rest, _map(np.concatenate(flat), np.concatenate(space)))
        yield _Patch(region.sheets[0], number, sewn, sewn, rest)


def _spaced(line: FlatLine, known: Floats, size_mm: float) -> Floats:
    """Points along a line in walking order: those of a neighbour that lie on it, else about a size apart."""
    course = shapely.LineString(line.xy)
    on = known[shapely.distance(course, shapely.points(known)) < _SAME_MM]
    share = np.unique(np.round(shapely.line_locate_point(course, shapely.points(on)), 3))
    if len(share) < 2 or np.ptp(share) < line.length_mm - 1.0:
        share = np.linspace(0.0, line.s[-1], 1 + max(1, round(line.length_mm / size_mm)))
    return np.column_stack([np.interp(share, line.s, one) for one in line.xy.T])


def _side_by_side(sizes: Sequence[tuple[float, float]]) -> list[Floats]:
    """Lower left corners of boxes in rows, about the middle of the floor, shape (2,) [mm]."""
    area = sum((wide + _GAP_MM) * (deep + _GAP_MM) for wide, deep in sizes)
    limit = max(math.sqrt(_WIDER * area), *(wide for wide, _ in sizes))
    places, x, y, tall = [], 0.0, 0.0, 0.0
    for wide, deep in sizes:
        if x > 0.0 and x + wide > limit:
            x, y, tall = 0.0, y - tall - _GAP_MM, 0.0
        places.append(np.array([x, y - deep]))
        x, tall = x + wide + _GAP_MM, max(tall, deep)
    low = np.min(places, axis=0)
    high = np.max([place + size for place, size in zip(places, sizes, strict=True)], axis=0)
    return [place - (low + high) / 2 for place in places]


def room_view(room: FlatRoom, welded: Welded, air: Floats | None, size_mm: float) -> RoomView:
    """Make a room to turn round.

    Parameters
    ----------
    room : FlatRoom
        Its flat pieces.
    welded : Welded
        The same pieces as triangles sewn together: of `whole_room`, or of `weld` where no air is let in.
    air : ndarray, shape (n, 3), or None
        Nodes of `welded` under air [mm].
    size_mm : float
        Side of a triangle of what lies on the floor [mm].

    Returns
    -------
    RoomView
        Pieces in the order of the room.
    """
    patches = list(_standing(room, welded, welded.nodes if air is None else air))
    patches += list(_lying(room, lying_regions(room), patches, size_mm))
    names = [sheet.name for sheet in room.sheets]
    laid, pieces = {}, []
    boxes = []
    for sheet in room.sheets:
        corners = np.concatenate([one.flat.reshape(-1, 2) for one in patches if one.sheet == sheet.name])
        low, size = corners.min(axis=0), np.ptp(corners, axis=0)
        boxes.append((low, size))
        pieces.append(ViewPiece(sheet.name, sheet.kind.colour, float(size[0]), float(size[1])))
    places = _side_by_side([(float(size[0]), float(size[1])) for _, size in boxes])
    for name, (low, _), place in zip(names, boxes, places, strict=True):
        laid[name] = place - low
    number = np.concatenate([np.full(3 * len(one.flat), names.index(one.sheet)) for one in patches])
    region = np.concatenate([np.full(3 * len(one.flat), one.region) for one in patches])
    sewn, blown = (
        np.concatenate([getattr(one, state).reshape(-1, 3) for one in patches]) for state in ("sewn", "air")
    )
    flat = np.concatenate([(one.flat + laid[one.sheet]).reshape(-1, 2) for one in patches])
    told = np.column_stack([number, region, np.round(flat / _SAME_MM), np.round(sewn / _SAME_MM)])
    _, first, inverse = np.unique(told, axis=0, return_index=True, return_inverse=True)
    triangles = inverse.reshape(-1, 3)
    lines, is_fold = _edges(triangles, flat[first], number[first])
    return RoomView(
        sewn[first],
        None if air is None else blown[first],
        flat[first],
        triangles,
        number[first],
        tuple(pieces),
        lines,
        is_fold,
    )


def _edges(triangles: Ints, flat: Floats, piece: Ints) -> tuple[Ints, NDArray[np.bool_]]:
    """Sides of one triangle only; one that meets another of its own piece on the flat is a fold, and comes once."""
    sides = np.concatenate([np.roll(triangles, k, axis=1)[:, :2] for k in range(3)])
    _, first, count = np.unique(np.sort(sides, axis=1), axis=0, return_index=True, return_counts=True)
    border = sides[first[count == 1]]
    middle = np.round((flat[border[:, 0]] + flat[border[:, 1]]) / (4 * _SAME_MM))
    told = np.column_stack([piece[border[:, 0]], middle])
    _, once, twice = np.unique(told, axis=0, return_index=True, return_counts=True)
    return border[once], twice > 1

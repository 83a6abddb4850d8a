"""Divide flat pieces at their folds, and leave out what lies on the floor.

Glossary: a *region* is a part of a piece between folds; all its lines are edges. A *flap* is a region that
lies on the floor altogether: it is held there and takes no part. Where two leaves of a curtain overlap they
have a region in common; it is one region of two *layers*, for pressed together they move as one.

This module knows nothing of triangles, cloth or air.
"""

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from attrs import evolve, frozen
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from shellparts.base.errors import GeometryError
from shellparts.base.tolerances import TOLERANCES
from shellparts.inflate.flat_room import FlatLine, FlatRoom, FlatSheet
from shellparts.parameters.part import Part, Role

__all__ = ["Region", "lying_regions", "regions_of"]

Floats = NDArray[np.float64]

_BACK_RAD = 1e-9
"""A turn this near to a whole one goes back where it came from."""


@frozen(eq=False)
class Region:
    """A part of a piece between folds.

    Parameters
    ----------
    sheets : tuple of str
        The piece it is cut with; two pieces where they lie on each other.
    kind : Part
        What the piece is.
    loops : tuple of tuple of FlatLine
        The outer edge counterclockwise, then holes clockwise.
    """

    sheets: tuple[str, ...]
    kind: Part
    loops: tuple[tuple[FlatLine, ...], ...]

    @property
    def lines(self) -> tuple[FlatLine, ...]:
        """Lines of all loops."""
        return tuple(line for loop in self.loops for line in loop)

    @property
    def keys(self) -> frozenset[int]:
        """Keys of its lines."""
        return frozenset(line.key for line in self.lines)


def _corners(lines: Sequence[FlatLine]) -> NDArray[np.int64]:
    """Numbers of the corners where each line starts and ends, (k, 2)."""
    ends = np.array([point for line in lines for point in (line.xy[0], line.xy[-1])])
    pairs = cKDTree(ends).query_pairs(TOLERANCES.seam_mismatch_mm, output_type="ndarray")
    links = coo_matrix((np.ones(len(pairs)), pairs.T), shape=(len(ends), len(ends)))
    return connected_components(links, directed=False)[1].reshape(-1, 2)


def _walks(sheet: FlatSheet) -> Iterator[tuple[FlatLine, ...]]:
    """Closed walks round every region, which lies on the left: at each corner take the leftmost line."""
    lines = [line for loop in sheet.loops for line in loop]
    lines += [way for fold in sheet.folds for way in (fold, fold.reversed)]
    corners = _corners(lines)
    leaving = [np.arctan2(*(line.xy[1] - line.xy[0])[::-1]) for line in lines]
    arriving = [np.arctan2(*(line.xy[-2] - line.xy[-1])[::-1]) for line in lines]
    following = []
    for i, (_, end) in enumerate(corners):
        choices = np.flatnonzero(corners[:, 0] == end)
        turns = np.array([(arriving[i] - leaving[j]) % (2 * np.pi) for j in choices])
        # straight back along the same fold comes last
        turns[turns < _BACK_RAD] += 2 * np.pi
        following.append(int(choices[np.argmin(turns)]))
    left = set(range(len(lines)))
    while left:
        walk = [min(left)]
        while (after := following[walk[-1]]) != walk[0]:
            if after not in left or len(walk) > len(lines):
                raise GeometryError(f"the folds of {sheet.name} do not divide it")
            walk.append(after)
        left -= set(walk)
        yield tuple(lines[i] for i in walk)


def _ring(walk: Sequence[FlatLine]) -> Floats:
    """Points of a closed walk."""
    return np.concatenate([line.xy[:-1] for line in walk])


def _divided(sheet: FlatSheet) -> Iterator[Region]:
    """Regions of a piece, by their first lines."""
    outer: list[tuple[tuple[FlatLine, ...], shapely.Polygon]] = []
    holes: list[tuple[tuple[FlatLine, ...], shapely.Polygon]] = []
    for walk in _walks(sheet):
        polygon = shapely.Polygon(_ring(walk))
        (outer if polygon.exterior.is_ccw else holes).append((walk, polygon))
    inside: list[list[tuple[FlatLine, ...]]] = [[] for _ in outer]
    for hole, polygon in holes:
        homes = [i for i, (_, around) in enumerate(outer) if around.contains(polygon)]
        if not homes:
            raise GeometryError(f"a hole of {sheet.name} lies outside it")
        inside[min(homes, key=lambda i: outer[i][1].area)].append(hole)
    for (walk, _), cut in zip(outer, inside, strict=True):
        yield Region((sheet.name,), sheet.kind, (walk, *cut))


def _on_floor(region: Region, room: FlatRoom) -> bool:
    """Whether a region lies on the floor altogether."""
    return all(np.abs(room.space[key][:, 2]).max() <= TOLERANCES.seam_mismatch_mm for key in region.keys)


def regions_of(room: FlatRoom) -> tuple[Region, ...]:
    """Divide all pieces of a room at their folds.

    Parameters
    ----------
    room : FlatRoom
        The pieces.

    Returns
    -------
    tuple of Region
        In the order of the pieces; without flaps, and with the overlap of a curtain once.

    Raises
    ------
    GeometryError
        If folds do not run from edge to edge.
    """
    found: list[Region] = []
    for sheet in room.sheets:
        for region in _divided(sheet):
            if _on_floor(region, room):
                continue
            twins = [i for i, other in enumerate(found) if _lie_on_each_other(other, region)]
            for i in twins:
                found[i] = _merged(found[i], region)
            if not twins:
                found.append(region)
    return tuple(found)


def lying_regions(room: FlatRoom) -> tuple[Region, ...]:
    """The regions that `regions_of` leaves out: flaps, whole or beyond their folds, that lie on the floor."""
    return tuple(region for sheet in room.sheets for region in _divided(sheet) if _on_floor(region, room))


def _lie_on_each_other(a: Region, b: Region) -> bool:
    """Whether two leaves of a curtain have this region in common."""
    return a.kind.role is b.kind.role is Role.CLOSURE and a.keys == b.keys


def _merged(a: Region, b: Region) -> Region:
    """One region for both, in the axes of the first, sewn to all that either is sewn to."""
    other = {line.key: line.sewn_to for line in b.lines}
    loops = tuple(
        tuple(evolve(line, sewn_to=tuple(dict.fromkeys(line.sewn_to + other[line.key]))) for line in loop)
        for loop in a.loops
    )
    return Region(a.sheets + b.sheets, a.kind, loops)

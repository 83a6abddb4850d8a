"""What of a piece is printed at full size: its right half where both sides are alike, and which places need paper.

Glossary: the *fold line* is the centre line of a piece that is alike on both sides; its right half is printed, marked,
turned over about that line and marked again. A *needed* place is an end, a corner or a bend of a line; between two of
them a line is straight, and a string laid from one to the other takes the place of paper. Notches and clips on straight
stretches are measured along them. This module knows no pages.
"""

import math
from collections.abc import Iterable, Iterator, Sequence

import numpy as np
import shapely
import shapely.affinity
from attrs import frozen
from numpy.typing import NDArray

from shellparts.drawing.piece_lines import piece_lines
from shellparts.drawing.strokes import Layer, Stroke, arc_of, stroke_of_points
from shellparts.pattern.pieces import Piece, PieceEdge

__all__ = ["PrintLines", "needed_places", "opened", "print_lines", "turned_edges"]

Array = NDArray[np.float64]
#: Sides of a piece that differ by less than this are alike [mm]; edges are paired within the second.
_ALIKE_MM, _PAIRED_MM = 0.25, 1.0
#: Largest distance of a printed line from the curve it stands for, and of one that is left to a string [mm].
_SAGITTA_MM, _STRING_MM = 0.02, 0.1
#: Paper around a needed place [mm]; two that lie no farther apart than the second are joined by paper.
_AROUND_MM, _JOINED_MM = 15.0, 120.0
#: Where they lie may differ between the two sides of a piece; which of both is marked does not matter.
_EITHER = (Layer.NOTCH, Layer.CLIP)
#: They are measured along straight lines.
_BY_TAPE = (Layer.NOTCH, Layer.HOLD)
_FAR_MM = 1e6
_RIGHT = shapely.box(0.0, -_FAR_MM, _FAR_MM, _FAR_MM)


@frozen(eq=False)
class PrintLines:
    """The lines of a piece that are printed.

    Parameters
    ----------
    piece : Piece
    strokes : tuple of Stroke
        Of the whole piece, or of its right half, in its own place [mm].
    partners : dict of str to str
        Where the half is printed: for each edge the one that it becomes when the paper is turned over; else empty.
    """

    piece: Piece
    strokes: tuple[Stroke, ...]
    partners: dict[str, str]

    @property
    def is_half(self) -> bool:
        """Whether the right half is printed."""
        return bool(self.partners)

    @property
    def cloth(self) -> shapely.Geometry:
        """What of the piece is printed, inside its cutting line."""
        whole = shapely.Polygon(self.piece.cutting[0], self.piece.cutting[1:])
        return whole.intersection(_RIGHT) if self.is_half else whole

    @property
    def sewn(self) -> shapely.Geometry:
        """The same inside the sewing line."""
        loops = (self.piece.edges, *self.piece.holes)
        rings = [np.concatenate([edge.polyline(_ALIKE_MM)[:-1] for edge in loop]) for loop in loops]
        whole = shapely.Polygon(rings[0], rings[1:])
        return whole.intersection(_RIGHT) if self.is_half else whole


def print_lines(piece: Piece, halves: bool = True) -> PrintLines:
    """The lines of a piece's right half if both sides are alike and halves are wanted, else all lines."""
    strokes = [stroke_of_points(one.layer, _along(one)) for one in piece_lines(piece)]
    partners = turned_edges(piece, piece) if halves and _is_alike(strokes) else {}
    if partners:
        strokes = [half for one in strokes for half in _right_of(one)]
    return PrintLines(piece, tuple(strokes), partners)


def opened(strokes: Iterable[Stroke]) -> Iterator[Stroke]:
    """Lines of a half, then the same turned over: what is marked on the cloth in the end."""
    for one in strokes:
        yield one
        yield stroke_of_points(one.layer, one.points * [-1.0, 1.0])


def needed_places(strokes: Iterable[Stroke]) -> shapely.Geometry:
    """Where lines need paper: around their ends, corners and bends, and along curves.

    Parameters
    ----------
    strokes : iterable of Stroke
        Without arcs [mm].

    Returns
    -------
    shapely geometry
        Lines are straight within 0.1 mm from one such place to the next.
    """
    found = []
    for layer, geometry in _by_layer(strokes).items():
        if layer in _BY_TAPE:
            continue
        for part in shapely.get_parts(shapely.line_merge(geometry)):
            bends = np.asarray(_from_a_corner(part).simplify(_STRING_MM).coords)
            steps = np.hypot(*np.diff(bends, axis=0).T)
            found += [shapely.Point(at) for at in bends]
            found += [shapely.LineString(bends[i : i + 2]) for i in np.flatnonzero(steps < _JOINED_MM)]
    return shapely.union_all(found).buffer(_AROUND_MM, cap_style="square", join_style="mitre")


def _by_layer(strokes: Iterable[Stroke]) -> dict[Layer, shapely.Geometry]:
    found: dict[Layer, list[shapely.Geometry]] = {}
    for one in strokes:
        found.setdefault(one.layer, []).append(shapely.LineString(one.points))
    return {layer: shapely.union_all(lines) for layer, lines in found.items()}


def _along(stroke: Stroke) -> Array:
    """Points along a stroke, its arcs in short steps, shape (n, 2) [mm]."""
    points = np.vstack([stroke.points, stroke.points[:1]]) if stroke.closed else stroke.points
    found = [points[:1]]
    for a, b, bulge in zip(points[:-1], points[1:], stroke.bulges, strict=False):
        if bulge:
            centre, radius, start, sweep = arc_of(a, b, float(bulge))
            step = 2 * math.acos(max(0.0, 1.0 - _SAGITTA_MM / radius))
            turns = start + sweep * np.linspace(0.0, 1.0, 1 + math.ceil(abs(sweep) / step))[1:-1]
            found.append(centre + radius * np.column_stack([np.cos(turns), np.sin(turns)]))
        found.append(b[None])
    return np.concatenate(found)


def _is_alike(strokes: Sequence[Stroke]) -> bool:
    """Whether lines look the same turned over about x = 0."""
    for layer, lines in _by_layer(strokes).items():
        turned = shapely.affinity.scale(lines, -1.0, 1.0, origin=(0, 0))
        if layer not in _EITHER and not lines.buffer(_ALIKE_MM).covers(turned):
            return False
    return True


def turned_edges(piece: Piece, other: Piece) -> dict[str, str]:
    """For each edge of a piece the one of another that it becomes turned over; nothing where an edge has none."""
    middles = [(edge, edge.at(edge.length_mm / 2)[0]) for edge in other.all_edges]
    found = {}
    for edge in piece.all_edges:
        near = [one.id for one, at in middles if _falls_on(edge, one, at)]
        if not near:
            return {}
        found[edge.id] = near[0]
    return found


def _falls_on(edge: PieceEdge, other: PieceEdge, middle: Array) -> bool:
    off = np.abs(edge.at(edge.length_mm / 2)[0] * [-1.0, 1.0] - middle).max()
    alike = edge.role is other.role and len(edge.notches_mm) == len(other.notches_mm)
    return bool(off < _PAIRED_MM and alike and abs(edge.length_mm - other.length_mm) < _PAIRED_MM)


def _right_of(stroke: Stroke) -> Iterator[Stroke]:
    """What of a line lies right of x = 0."""
    kept = shapely.line_merge(shapely.LineString(stroke.points).intersection(_RIGHT))
    for part in shapely.get_parts(kept):
        if part.geom_type == "LineString":
            yield stroke_of_points(stroke.layer, np.asarray(part.coords))


def _from_a_corner(line: shapely.LineString) -> shapely.LineString:
    """The same line; a ring begins where it turns most."""
    if not line.is_closed:
        return line
    points = np.asarray(line.coords)[:-1]
    before, after = points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points
    turns = np.abs(np.angle((after @ [1, 1j]) * np.conj(before @ [1, 1j])))
    first = int(turns.argmax())
    return shapely.LineString(np.vstack([points[first:], points[: first + 1]]))

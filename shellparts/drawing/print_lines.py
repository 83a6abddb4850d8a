"""What of a piece is printed at full size: its right half where both sides are alike, and which places need paper.

Glossary: the *fold line* is the centre line of a piece that is alike on both sides; its right half is printed, marked,
turned over about that line and marked again. A *needed* place is an end, a corner or a bend of a line; between two of
them a line is straight, and a string laid from one to the other takes the place of paper. Notches and clips on straight
stretches are measured along them. This module knows no pages.
"""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence

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
#: Sides of a piece that differ by less than this are alike [mm], clips by the second; edges are paired by the third.
_ALIKE_MM, _CLIPS_MM, _PAIRED_MM = 0.25, 2.0, 1.0
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
    base : str
        Name of a piece whose paper has all its lines but the `own` ones, and no others; empty where there is none.
    own : tuple of Stroke
        The lines that need paper of this piece's own [mm].
    """

    piece: Piece
    strokes: tuple[Stroke, ...]
    partners: dict[str, str]
    base: str
    own: tuple[Stroke, ...]

    @property
    def is_half(self) -> bool:
        """Whether the right half is printed."""
        return bool(self.partners)

    @property
    def cloth(self) -> shapely.Geometry:
        """What of the piece is printed, inside its cutting line."""
        return self._whole.intersection(_RIGHT) if self.is_half else self._whole

    @property
    def needed(self) -> shapely.Geometry:
        """The places of its own lines that need paper, as far as there is cloth."""
        return needed_places(self.own).intersection(self._whole)

    @property
    def _whole(self) -> shapely.Geometry:
        return shapely.Polygon(self.piece.cutting[0], self.piece.cutting[1:])

    @property
    def sewn(self) -> shapely.Geometry:
        """The same inside the sewing line."""
        loops = (self.piece.edges, *self.piece.holes)
        rings = [np.concatenate([edge.polyline(_ALIKE_MM)[:-1] for edge in loop]) for loop in loops]
        whole = shapely.Polygon(rings[0], rings[1:])
        return whole.intersection(_RIGHT) if self.is_half else whole


def print_lines(piece: Piece, printed: Sequence[Piece] = ()) -> PrintLines:
    """Choose what is printed of a piece.

    Parameters
    ----------
    piece : Piece
    printed : sequence of Piece
        Pieces that have paper already.

    Returns
    -------
    PrintLines
    """
    strokes = _strokes(piece)
    own, base = strokes, ""
    for other in printed:
        if base == "" and other.kind.role is piece.kind.role:
            known = _by_layer(_strokes(other))
            if _lies_on(known, _by_layer(strokes)):
                base = other.name
                own = [part for one in strokes for part in _beyond(one, known)]
    partners = turned_edges(piece, piece) if _is_alike(strokes) else {}
    if partners:
        strokes, own = ([half for one in some for half in _right_of(one)] for some in (strokes, own))
    return PrintLines(piece, tuple(strokes), partners, base, tuple(own))


def _strokes(piece: Piece) -> list[Stroke]:
    return [stroke_of_points(one.layer, _along(one)) for one in piece_lines(piece)]


def _lies_on(lines: Mapping[Layer, shapely.Geometry], others: Mapping[Layer, shapely.Geometry]) -> bool:
    """Whether all lines lie on others of their layers."""
    return all(
        layer in _EITHER or (layer in others and others[layer].buffer(_off(layer)).covers(one))
        for layer, one in lines.items()
    )


def _off(layer: Layer) -> float:
    """How far lines that count as one may lie apart [mm]; clips are counted from the floor up on both sides."""
    return _CLIPS_MM if layer is Layer.HOLD else _ALIKE_MM


def _beyond(stroke: Stroke, known: Mapping[Layer, shapely.Geometry]) -> Iterator[Stroke]:
    """What of a line lies on no known one."""
    line = shapely.LineString(stroke.points)
    rest = line.difference(known[stroke.layer].buffer(_off(stroke.layer))) if stroke.layer in known else line
    for part in shapely.get_parts(rest):
        if stroke.layer not in _EITHER and not part.is_empty:
            yield stroke_of_points(stroke.layer, np.asarray(part.coords))


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
            near = np.flatnonzero(steps < _JOINED_MM)
            found += [np.hstack([bends, bends])]
            found += [
                np.hstack(
                    [np.minimum(bends[near], bends[near + 1]), np.maximum(bends[near], bends[near + 1])]
                )
            ]
    limits = np.concatenate(found) + _AROUND_MM * np.array([-1.0, -1.0, 1.0, 1.0])
    return shapely.union_all(shapely.box(*limits.T))


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
    lines = _by_layer(strokes)
    return _lies_on(
        {k: shapely.affinity.scale(one, -1.0, 1.0, origin=(0, 0)) for k, one in lines.items()}, lines
    )


def turned_edges(piece: Piece, other: Piece) -> dict[str, str]:
    """For each edge of a piece the one of another that it becomes turned over; nothing where an edge has none."""
    middles = [(edge, _middle(edge)) for edge in other.all_edges]
    found = {}
    for edge in piece.all_edges:
        near = [one.id for one, at in middles if _falls_on(edge, one, at)]
        if not near:
            return {}
        found[edge.id] = near[0]
    return found


def _falls_on(edge: PieceEdge, other: PieceEdge, middle: Array) -> bool:
    off = np.abs(_middle(edge) * [-1.0, 1.0] - middle).max()
    alike = edge.role is other.role and len(edge.notches_mm) == len(other.notches_mm)
    return bool(off < _PAIRED_MM and alike and abs(edge.length_mm - other.length_mm) < _PAIRED_MM)


def _middle(edge: PieceEdge) -> Array:
    """The middle of the box around an edge."""
    points = edge.polyline(_SAGITTA_MM)
    return (points.min(axis=0) + points.max(axis=0)) / 2


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

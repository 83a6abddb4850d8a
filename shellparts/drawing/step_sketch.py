"""Sketches of one step of sewing: just the pieces of it, the edges that are sewn in colour.

Glossary: the *first* edge is drawn as an unbroken wide line, the *second* as a dashed one in another colour; both
pieces lie outer side up, and the two edges face each other as the pages of an open book do, notch across from notch.
Where a piece is sewn to itself, or an edge is hemmed, the one piece is shown. A dot marks where a row starts.
A sketch is not to scale: it fits a strip. Of a piece many times as large as the other only the near part is shown.
"""

import math
from collections.abc import Sequence

import numpy as np
import shapely
from attrs import evolve, frozen
from numpy.typing import NDArray
from shapely.ops import substring

from shellparts.drawing.sketch_words import Pointed, Title, with_words
from shellparts.drawing.strokes import Drawing, Layer, Stroke, stroke_of_points
from shellparts.pattern.pieces import Piece, PieceEdge

__all__ = ["Marked", "facing", "hem_sketch", "seam_sketch"]

Array = NDArray[np.float64]
#: Room that a sketch takes at most, and the gap between facing edges, where their names stand [mm].
_WIDE_MM, _TALL_MM, _ONE_TALL_MM, _GAP_MM = 168.0, 56.0, 44.0, 11.0
_NOTCH_MM, _DOT_MM = 1.6, 1.1
_SAGITTA_MM = 2.0
#: Of a piece larger than this many times the other, a window around its edges is shown, so many times as large.
_FAR_LARGER, _WINDOW = 4.0, 1.3


@frozen(eq=False)
class Marked:
    """A piece with the edges of it that a step works on, what people call it, and what is said of it.

    Parameters
    ----------
    piece : Piece
    edges : tuple of PieceEdge
        In the order of the step.
    name : str
        What it is called here.
    note : str
        A second line of its name.
    starts : tuple of (str, ndarray)
        The edges on which rows of stitches start, and where, each of shape (2,) [mm].
    unsewn_mm : tuple of (float, float)
        For each edge how much of it stays unsewn at its beginning and its end [mm]; nothing where all are sewn.
    """

    piece: Piece
    edges: tuple[PieceEdge, ...]
    name: str
    note: str = ""
    starts: tuple[tuple[str, Array], ...] = ()
    unsewn_mm: tuple[tuple[float, float], ...] = ()


def _turned(points: Array, angle: float) -> Array:
    c, s = math.cos(angle), math.sin(angle)
    return points @ np.array([[c, s], [-s, c]])


def _chord(edges: Sequence[PieceEdge]) -> float:
    """Direction from the beginning of a chain of edges to its end [rad]; of a ring, that at its beginning."""
    step = np.sum([edge.flat[-1].end - edge.flat[0].start for edge in edges], axis=0)
    if np.hypot(*step) < 1.0:
        return edges[0].at(0.0)[1]
    return math.atan2(float(step[1]), float(step[0]))


@frozen(eq=False)
class _Lying:
    """A piece as it lies in the sketch, at full size: lines by layer, its shape, the points that words belong to."""

    lines: tuple[tuple[Layer, Array, bool], ...]
    shape: shapely.Geometry
    points: Array  # Middles of its edges and points off them, then starts of rows, shape (n, 2)
    words: tuple[tuple[Layer, str], ...]  # One for each edge
    starts: tuple[str, ...]  # One for each start
    title: tuple[str, ...]

    def _each(self, move: "_Move") -> "_Lying":
        lines = tuple((layer, move(points), closed) for layer, points, closed in self.lines)
        return evolve(self, lines=lines, shape=shapely.transform(self.shape, move), points=move(self.points))

    def moved(self, by: Array) -> "_Lying":
        return self._each(_Move(0.0, by))

    def turned(self, angle: float) -> "_Lying":
        return self._each(_Move(angle, np.zeros(2)))

    def box(self, *layers: Layer) -> tuple[Array, Array]:
        """Corners of the box around lines of some layers, or all."""
        points = np.concatenate([points for layer, points, _ in self.lines if layer in layers or not layers])
        return points.min(axis=0), points.max(axis=0)

    def near(self, size: float) -> "_Lying":
        """What of it lies near its marked edges."""
        low, high = self.box(Layer.FIRST_EDGE, Layer.SECOND_EDGE)
        window = shapely.box(*(low - size), *(high + size))
        lines: list[tuple[Layer, Array, bool]] = []
        for layer, points, closed in self.lines:
            whole = shapely.LineString(np.vstack([points, points[:1]]) if closed else points)
            cut = shapely.get_parts(shapely.line_merge(whole.intersection(window)))
            lines += [(layer, shapely.get_coordinates(part), False) for part in cut if part.length > 0.0]
        title = (*self.title, "only this end is shown")
        return evolve(self, lines=tuple(lines), shape=self.shape.intersection(window), title=title)


@frozen(eq=False)
class _Move:
    """A turn, then a shift."""

    angle: float
    by: Array

    def __call__(self, points: Array) -> Array:
        return _turned(points, self.angle) + self.by


def _lying(marked: Marked, layers: Sequence[Layer]) -> _Lying:
    """A piece as it lies on the table, each of its edges on its layer."""
    piece = marked.piece
    lines: list[tuple[Layer, Array, bool]] = [(Layer.CUTTING, piece.cutting[0], True)]
    rings = [
        np.concatenate([edge.polyline(_SAGITTA_MM)[:-1] for edge in loop.edges])
        for loop in piece.outline.loops
    ]
    lines += [(Layer.SEWING, ring, True) for ring in rings]
    lines += [(Layer.PATCH, patch.outline, True) for patch in piece.patches]
    points: list[Array] = []
    unsewn = marked.unsewn_mm or ((0.0, 0.0),) * len(marked.edges)
    for edge, layer, (before, after) in zip(marked.edges, layers, unsewn, strict=True):
        lines.append((layer, _part(edge.polyline(_SAGITTA_MM), before, after), False))
        for at in edge.ticks_mm:
            place, heading = edge.at(at)
            lines.append((Layer.NOTCH, np.array([place, place + _out(heading)]), False))
        middle, heading = edge.at(edge.length_mm / 2.0)
        points += [middle, middle + _out(heading)]
    words = tuple(edge.id for edge in marked.edges)
    shape = shapely.Polygon(rings[0], rings[1:])
    starts = _starts(marked)
    everything = np.array([*points, *starts.values()]).reshape(-1, 2)
    title = (marked.name, marked.note) if marked.note else (marked.name,)
    named = tuple(zip(layers, words, strict=True))
    return _Lying(tuple(lines), shape, everything, named, tuple(starts), title)


def _starts(marked: Marked) -> dict[str, Array]:
    """Words for every point where rows start; where several do, each says on which edge."""
    if len(marked.starts) == 1:
        return {"start": marked.starts[0][1]}
    points: dict[tuple[float, ...], list[str]] = {}
    for edge, at in marked.starts:
        points.setdefault(tuple(at.round(1).tolist()), []).append(edge)
    return {f"start {', '.join(edges)}": np.array(at) for at, edges in points.items()}


def _part(points: Array, before: float, after: float) -> Array:
    """A line without so much at its beginning and its end [mm]."""
    if not before and not after:
        return points
    whole = shapely.LineString(points)
    return shapely.get_coordinates(substring(whole, before, whole.length - after))


def _out(heading: float) -> Array:
    """Off the cloth, which lies to the left of an edge as it runs."""
    return np.array([math.sin(heading), -math.cos(heading)])


def facing(first: Marked, second: Marked) -> tuple[_Lying, _Lying]:
    """Lay two pieces so that their edges face each other: the first above, its edge running right.

    Parameters
    ----------
    first, second : Marked
        Of two sheets.

    Returns
    -------
    tuple
        The piece above and the one below; the two edges lie one over the other, their boxes as near as can be.
    """
    upper = _lying(first, [Layer.FIRST_EDGE] * len(first.edges)).turned(-_chord(first.edges))
    lower = _lying(second, [Layer.SECOND_EDGE] * len(second.edges)).turned(math.pi - _chord(second.edges))
    sizes = [float(np.max(part.box()[1] - part.box()[0])) for part in (upper, lower)]
    if sizes[0] > _FAR_LARGER * sizes[1]:
        upper = upper.near(_WINDOW * sizes[1])
    elif sizes[1] > _FAR_LARGER * sizes[0]:
        lower = lower.near(_WINDOW * sizes[0])
    middles = [
        np.mean(part.box(layer), axis=0)[0]
        for part, layer in ((upper, Layer.FIRST_EDGE), (lower, Layer.SECOND_EDGE))
    ]
    apart = upper.box()[0][1] - lower.box()[1][1]
    return upper, lower.moved(np.array([middles[0] - middles[1], apart]))


def _scale(parts: Sequence[_Lying], gaps: Sequence[float], tall: float) -> tuple[Array, float]:
    boxes = [part.box() for part in parts]
    low = np.min([box[0] for box in boxes], axis=0)
    wide, high = (np.max([box[1] for box in boxes], axis=0) - low).tolist()
    return low, min((_WIDE_MM - sum(gaps)) / wide, (tall - sum(gaps)) / high)


def _on_paper(parts: Sequence[_Lying], gaps: Sequence[float] = (), tall: float = _ONE_TALL_MM) -> Drawing:
    """Parts on a strip of paper, all by one scale, each moved off the one before by a gap; as lies largest."""
    upright = [part.turned(-math.pi / 2.0) for part in parts]
    aside = _scale(upright, gaps, tall)[1] > 1.15 * _scale(parts, gaps, tall)[1]
    if aside:
        parts = upright
    low, scale = _scale(parts, gaps, tall)
    strokes: list[Stroke] = []
    pointed: list[Pointed] = []
    titles: list[Title] = []
    for part, gap in zip(parts, np.cumsum([0.0, *gaps]), strict=True):
        shift = np.array([gap, 0.0]) if aside else np.array([0.0, gap])

        def laid(points: Array, shift: Array = shift) -> Array:
            return (points - low) * scale + shift

        for layer, points, closed in part.lines:
            drawn = laid(points)
            if layer is Layer.NOTCH:
                way = (drawn[-1] - drawn[0]) / np.linalg.norm(drawn[-1] - drawn[0])
                drawn = np.array([drawn[0] - way * _NOTCH_MM, drawn[0] + way * _NOTCH_MM])
            strokes.append(stroke_of_points(layer, drawn, closed))
        edges = laid(part.points)
        for (layer, text), at, off in zip(part.words, edges[::2], edges[1::2], strict=False):
            pointed.append(Pointed(layer, text, at, (off - at) / np.linalg.norm(off - at)))
        for word, at in zip(part.starts, edges[2 * len(part.words) :], strict=True):
            strokes += [_ring(at, radius) for radius in (0.4 * _DOT_MM, _DOT_MM)]
            pointed.append(Pointed(Layer.FIRST_EDGE, word, at, np.zeros(2)))
        stacked = (part.title[0], *(word for line in part.title[1:] for word in line.split(" ", 1)))
        titles.append(Title((part.title, stacked), shapely.transform(part.shape, laid)))
    return with_words(tuple(strokes), titles, pointed)


def _ring(at: Array, radius: float) -> Stroke:
    turn = np.arange(16) * math.pi / 8.0
    return stroke_of_points(
        Layer.FIRST_EDGE, at + radius * np.column_stack([np.cos(turn), np.sin(turn)]), closed=True
    )


def seam_sketch(first: Marked, second: Marked) -> Drawing:
    """Two pieces whose edges are sewn together, face to face; one piece where both are the same.

    Parameters
    ----------
    first, second : Marked
        Their edges in the order in which the first one's are sewn.

    Returns
    -------
    Drawing
        At most 168 by 56 mm of paper, and words around it.
    """
    if first.piece is second.piece and first.name == second.name:
        unsewn = (*first.unsewn_mm, *second.unsewn_mm)
        both = evolve(first, edges=(*first.edges, *second.edges), unsewn_mm=unsewn)
        layers = [Layer.FIRST_EDGE] * len(first.edges) + [Layer.SECOND_EDGE] * len(second.edges)
        return _on_paper([_lying(both, layers)])
    upper, lower = facing(first, second)
    return _on_paper([lower, upper], [_GAP_MM], _TALL_MM)


def hem_sketch(marked: Marked) -> Drawing:
    """A piece with the edges that are hemmed or reinforced, and the patches that are sewn on it."""
    return _on_paper([_lying(marked, [Layer.FIRST_EDGE] * len(marked.edges))])

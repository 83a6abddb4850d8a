"""Sketches of one step of sewing: just the pieces of it, the edges that are sewn in colour.

Glossary: the *first* edge is drawn as an unbroken wide line, the *second* as a dashed one in another colour; both
pieces lie side out, and the two edges face each other as the pages of an open book do, notch across from notch. Where
a piece is sewn to itself, or an edge is hemmed, the one piece is shown. A sketch is not to scale: it fits a strip.
"""

import math
from collections.abc import Sequence

import numpy as np
import shapely
from attrs import evolve, frozen
from numpy.typing import NDArray

from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke, stroke_of_points
from shellparts.pattern.pieces import Piece, PieceEdge

__all__ = ["Marked", "hem_sketch", "seam_sketch"]

Array = NDArray[np.float64]
#: Room that a sketch takes at most, and the gap between facing edges [mm].
_WIDE_MM, _TALL_MM, _GAP_MM = 168.0, 62.0, 7.0
_LETTERS_MM, _NOTCH_MM = 2.3, 1.6
_SAGITTA_MM = 2.0


@frozen(eq=False)
class Marked:
    """A piece with the edges of it that a step works on, and what people call it."""

    piece: Piece
    edges: tuple[PieceEdge, ...]
    name: str


def _turned(points: Array, angle: float) -> Array:
    c, s = math.cos(angle), math.sin(angle)
    return points @ np.array([[c, s], [-s, c]])


def _chord(edges: Sequence[PieceEdge]) -> float:
    """Direction from the beginning of the first edge to the end of the last [rad]."""
    step = edges[-1].polyline(_SAGITTA_MM)[-1] - edges[0].polyline(_SAGITTA_MM)[0]
    if np.hypot(*step) < 1.0:  # a ring
        step = edges[0].at(1.0)[0] - edges[0].at(0.0)[0]
    return math.atan2(float(step[1]), float(step[0]))


@frozen(eq=False)
class _Lying:
    """A piece as it lies in the sketch, at full size: lines by layer, and where its name has most room."""

    lines: tuple[tuple[Layer, Array, bool], ...]
    middle: Array
    name: str

    @property
    def edge_middle(self) -> Array:
        """Middle of the box around its marked edges."""
        marked = [points for layer, points, _ in self.lines if layer in (Layer.FIRST_EDGE, Layer.SECOND_EDGE)]
        points = np.concatenate(marked)
        return np.asarray((points.min(axis=0) + points.max(axis=0)) / 2.0)

    def moved(self, by: Array) -> "_Lying":
        lines = tuple((layer, points + by, closed) for layer, points, closed in self.lines)
        return evolve(self, lines=lines, middle=self.middle + by)

    def turned(self, angle: float) -> "_Lying":
        lines = tuple((layer, _turned(points, angle), closed) for layer, points, closed in self.lines)
        return evolve(self, lines=lines, middle=_turned(self.middle, angle))

    @property
    def box(self) -> tuple[Array, Array]:
        points = np.concatenate([points for _, points, _ in self.lines])
        return points.min(axis=0), points.max(axis=0)


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
    for edge, layer in zip(marked.edges, layers, strict=True):
        lines.append((layer, edge.polyline(_SAGITTA_MM), False))
        for at in edge.ticks_mm:
            place, heading = edge.at(at)
            out = np.array([math.sin(heading), -math.cos(heading)])
            lines.append((Layer.NOTCH, np.array([place, place + out]), False))
    inside = shapely.maximum_inscribed_circle(shapely.Polygon(rings[0], rings[1:]), tolerance=5.0)
    return _Lying(tuple(lines), np.asarray(inside.coords[0]), marked.name)


def _scale(parts: Sequence[_Lying], gaps: Sequence[float]) -> tuple[Array, float]:
    boxes = [part.box for part in parts]
    low = np.min([box[0] for box in boxes], axis=0)
    wide, tall = (np.max([box[1] for box in boxes], axis=0) - low).tolist()
    return low, min((_WIDE_MM - sum(gaps)) / wide, (_TALL_MM - sum(gaps)) / tall)


def _on_paper(parts: Sequence[_Lying], gaps: Sequence[float] = ()) -> Drawing:
    """Parts on a strip of paper, all by one scale, each moved off the one before by a gap; as lies largest."""
    upright = [part.turned(-math.pi / 2.0) for part in parts]
    aside = _scale(upright, gaps)[1] > 1.15 * _scale(parts, gaps)[1]
    if aside:
        parts = upright
    low, scale = _scale(parts, gaps)
    strokes: list[Stroke] = []
    labels: list[Label] = []
    for part, gap in zip(parts, np.cumsum([0.0, *gaps]), strict=True):
        shift = np.array([gap, 0.0]) if aside else np.array([0.0, gap])
        for layer, points, closed in part.lines:
            drawn = (points - low) * scale + shift
            if layer is Layer.NOTCH:
                way = (drawn[1] - drawn[0]) / np.linalg.norm(drawn[1] - drawn[0])
                drawn = np.array([drawn[0] - way * _NOTCH_MM, drawn[0] + way * _NOTCH_MM])
            strokes.append(stroke_of_points(layer, drawn, closed))
        labels.append(
            Label(Layer.NAME, part.name, (part.middle - low) * scale + shift, _LETTERS_MM, bold=True)
        )
    return Drawing(tuple(strokes), tuple(labels))


def seam_sketch(first: Marked, second: Marked) -> Drawing:
    """Two pieces whose edges are sewn together, face to face; one piece where both are the same.

    Parameters
    ----------
    first, second : Marked
        Their edges in the order in which the first one's are sewn.

    Returns
    -------
    Drawing
        At most 168 by 62 mm of paper.
    """
    if first.piece is second.piece and first.name == second.name:
        both = Marked(first.piece, (*first.edges, *second.edges), first.name)
        layers = [Layer.FIRST_EDGE] * len(first.edges) + [Layer.SECOND_EDGE] * len(second.edges)
        return _on_paper([_lying(both, layers)])
    # The cloth lies to the left of an edge as it runs: above it where it runs to the right.
    upper = _lying(first, [Layer.FIRST_EDGE] * len(first.edges)).turned(-_chord(first.edges))
    lower = _lying(second, [Layer.SECOND_EDGE] * len(second.edges)).turned(math.pi - _chord(second.edges))
    middle = (upper.edge_middle - lower.edge_middle)[0]
    apart = upper.box[0][1] - lower.box[1][1]
    return _on_paper([lower.moved(np.array([middle, apart])), upper], [_GAP_MM])


def hem_sketch(marked: Marked) -> Drawing:
    """A piece with the edges that are hemmed or reinforced, and the patches that are sewn on it."""
    return _on_paper([_lying(marked, [Layer.FIRST_EDGE] * len(marked.edges))])

"""A sketch of one piece for the book: all that is drawn on it, small, the name of each edge large enough to read."""

import math

import numpy as np
import shapely
from attrs import evolve
from numpy.typing import NDArray

from shellparts.drawing.edge_names import edge_text
from shellparts.drawing.piece import draw_piece
from shellparts.drawing.sketch_words import Pointed, Title, with_words
from shellparts.drawing.strokes import Drawing, Layer, Stroke, stroke_of_points
from shellparts.pattern.pieces import Piece, PieceEdge

__all__ = ["piece_sketch"]

Array = NDArray[np.float64]
_WIDE_MM, _NOTCH_MM = 150.0, 1.2
#: A sketch with more edges than this around less paper than this names its edges without their seams [mm].
_MANY_EDGES, _AROUND_MM = 12, 150.0
#: What is not drawn at this size: notches are drawn longer, arrows say what the words say.
_LEFT_OUT = (Layer.NOTCH, Layer.ARROW, Layer.CURVE, Layer.CENTRE)


def _pointed(piece: Piece, edge: PieceEdge) -> tuple[str, Array, Array]:
    middle, heading = edge.at(edge.length_mm / 2.0)
    return edge_text(piece, edge), middle, np.array([math.sin(heading), -math.cos(heading)])


def piece_sketch(piece: Piece, tall_mm: float, aside: bool) -> Drawing:
    """Sketch a piece, its outer side up.

    Parameters
    ----------
    piece : Piece
    tall_mm : float
        The sketch is no taller, without its words [mm].
    aside : bool
        Whether it lies on its side, its upper end on the right.

    Returns
    -------
    Drawing
        On paper [mm].
    """
    turn = np.array([[0.0, -1.0], [1.0, 0.0]]) if aside else np.eye(2)
    drawn = draw_piece(piece)
    strokes = [
        evolve(stroke, points=stroke.points @ turn)
        for stroke in drawn.strokes
        if stroke.layer not in _LEFT_OUT
    ]
    low, high = Drawing(tuple(strokes)).box
    scale = min(_WIDE_MM / float(high[0] - low[0]), tall_mm / float(high[1] - low[1]))

    def laid(points: Array) -> Array:
        return np.asarray((points @ turn - low) * scale)

    lines: list[Stroke] = [evolve(stroke, points=(stroke.points - low) * scale) for stroke in strokes]
    for edge in piece.all_edges:
        for at in edge.notches_mm:
            place, heading = edge.at(at)
            across = np.array([math.sin(heading), -math.cos(heading)]) @ turn * _NOTCH_MM
            lines.append(stroke_of_points(Layer.NOTCH, [laid(place) - across, laid(place) + across]))
    around = scale * sum(edge.length_mm for edge in piece.all_edges)
    crowded = len(piece.all_edges) > _MANY_EDGES and around < _AROUND_MM
    pointed = [
        Pointed(Layer.EDGE, text.split()[0] if crowded else text, laid(at), off @ turn)
        for text, at, off in (_pointed(piece, edge) for edge in piece.all_edges)
    ]
    rings = [np.concatenate([edge.polyline(2.0)[:-1] for edge in loop.edges]) for loop in piece.outline.loops]
    shape = shapely.Polygon(laid(rings[0]), [laid(ring) for ring in rings[1:]])
    return with_words(tuple(lines), [Title(((piece.name,),), shape)], pointed)

"""The lines of a piece: where it is sewn, turned in, cut, folded, notched, patched, clipped; no words.

Glossary: along a *finished edge* the cloth is turned in and sewn down there, not sewn to another piece; it is drawn
over the sewing line, which runs all around. This module places no labels.
"""

import math
from collections.abc import Iterator, Sequence
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray

from shellparts.base.tolerances import TOLERANCES
from shellparts.body.seams import EdgeRole
from shellparts.drawing.piece_marks import clips, start_marks
from shellparts.drawing.strokes import Layer, Stroke, stroke_of_points
from shellparts.parameters.part import Role
from shellparts.pattern.pieces import Piece, PieceEdge
from shellparts.unroll.outline import FlatEdge, FoldLine, Form, Loop

__all__ = ["outline_stroke", "piece_lines"]

Array = NDArray[np.float64]
_FLAT_FOLD_RAD = 1e-3
#: Length of the mark of a clip [mm].
_HOLD_MM = 25.0


def _segments(edge: FlatEdge) -> tuple[Array, Array]:
    """Points of an edge without its end, and their bulges."""
    if edge.form is Form.ARC:
        turn = float(edge.heading[-1] - edge.heading[0])
        pieces = max(1, math.ceil(abs(turn) / math.pi))
        points = edge.at(np.linspace(0.0, edge.length_mm, pieces + 1))[:-1]
        return points, np.full(pieces, math.tan(turn / pieces / 4))
    points = edge.polyline(TOLERANCES.drawing_sagitta_mm)[:-1]
    return points, np.zeros(len(points))


def _stroke(layer: Layer, edges: Sequence[FlatEdge], closed: bool) -> Stroke:
    parts = [_segments(edge) for edge in edges]
    points, bulges = (np.concatenate(side) for side in zip(*parts, strict=True))
    if not closed:
        points, bulges = np.vstack([points, edges[-1].end]), np.append(bulges, 0.0)
    return Stroke(layer, points, bulges, closed)


def _fold(fold: FoldLine, kind_overlaps: bool) -> Stroke | None:
    """A fold as a stroke; a flat one is drawn only where it shows how far another cloth overlaps."""
    if abs(fold.angle_rad) > _FLAT_FOLD_RAD:
        return _stroke(Layer.FOLD, [fold.edge], False)
    return _stroke(Layer.OVERLAP, [fold.edge], False) if kind_overlaps else None


def _notches(edge: PieceEdge) -> list[Stroke]:
    """Ticks from the sewing line half way to the cutting line."""
    ticks = []
    for distance in edge.ticks_mm:
        at, heading = edge.at(distance)
        out = np.array([math.sin(heading), -math.cos(heading)]) * edge.allowance_mm / 2
        ticks.append(stroke_of_points(Layer.NOTCH, [at, at + out]))
    return ticks


def _strips(piece: Piece) -> Iterator[Stroke]:
    """Inner edges of the strips that strengthen openings."""
    for edge in piece.all_edges:
        inward = edge.strip_mm - edge.allowance_mm
        if edge.strip_mm and inward > 1.0:
            found = shapely.LineString(edge.polyline(0.2)).offset_curve(inward, join_style="mitre")
            for part in shapely.get_parts(found):
                if part.geom_type == "LineString":
                    yield stroke_of_points(Layer.STRIP, np.asarray(part.coords))


def _holds(piece: Piece) -> Iterator[Stroke]:
    """Where clips hold open edges: a tick inward from the finished edge."""
    for edge in piece.all_edges:
        for distance in edge.clips_mm:
            at, heading = edge.at(distance)
            inward = np.array([-math.sin(heading), math.cos(heading)]) * _HOLD_MM
            yield stroke_of_points(Layer.HOLD, [at, at + inward])


def _finished(piece: Piece) -> Iterator[Stroke]:
    """Edges that are turned in."""
    for edge in piece.all_edges:
        if edge.role in (EdgeRole.HEM, EdgeRole.OPEN):
            yield _stroke(Layer.FINISHED, edge.flat, False)


@lru_cache(maxsize=256)
def piece_lines(piece: Piece) -> tuple[Stroke, ...]:
    """All lines of a piece in its own place, as seen from outside, true size [mm]."""
    loops = (piece.edges, *piece.holes)
    strokes = [_stroke(Layer.SEWING, [flat for edge in loop for flat in edge.flat], True) for loop in loops]
    strokes += _finished(piece)
    strokes += [stroke_of_points(Layer.CUTTING, ring, closed=True) for ring in piece.cutting]
    overlapping = piece.kind.role is Role.CLOSURE
    strokes += [stroke for fold in piece.outline.folds if (stroke := _fold(fold, overlapping)) is not None]
    strokes += [tick for edge in piece.all_edges for tick in _notches(edge)]
    strokes += [stroke_of_points(Layer.PATCH, patch.outline, closed=True) for patch in piece.patches]
    strokes += [stroke_of_points(Layer.LOOP, one.loop) for one in piece.patches if one.loop is not None]
    strokes += [*_strips(piece), *_holds(piece)]
    return (*strokes, *clips(piece), *start_marks(piece))


def outline_stroke(layer: Layer, loop: Loop) -> Stroke:
    """A loop as one closed stroke: lines and arcs as such, other curves as fine polylines."""
    return _stroke(layer, loop.edges, True)

"""All pieces on one sheet with their sizes: what there is, how many of each, how long and how wide.

Glossary: a *dimension* is a line between two ticks, as long as what it measures, with the length beside it as the
tape at hand shows it. Dimensions lie outside the pieces: the cut length on the left, the cut width below, and the
width between the sewing lines at the upper end above. The sheet is true to size and is meant to be printed small.
"""

import math

import numpy as np
from numpy.typing import NDArray

from shellparts.base.tolerances import TOLERANCES
from shellparts.base.units import feet_inches, metric
from shellparts.drawing.piece import draw_piece, in_rows
from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke, stroke_of_points
from shellparts.parameters import Marking, Tape
from shellparts.pattern.made import Pattern
from shellparts.pattern.pieces import Piece
from shellparts.unroll.outline import Form

__all__ = ["dimensioned", "draw_overview"]

Array = NDArray[np.float64]
_LETTERS_MM, _SHARE = 45.0, 0.045
_ROW_MM, _GAP_MM = 9_000.0, 250.0


def _dimension(a: Array, b: Array, off: Array, letters: float, words: str) -> tuple[list[Stroke], Label]:
    """A dimension between two points, moved off them."""
    start, end = a + off, b + off
    along = (end - start) / np.linalg.norm(end - start)
    tick = 0.5 * letters * np.array([-along[1], along[0]])
    strokes = [stroke_of_points(Layer.MEASURE, [start, end])]
    strokes += [stroke_of_points(Layer.MEASURE, [p - tick, p + tick]) for p in (start, end)]
    away = off / np.linalg.norm(off)
    angle = math.remainder(math.atan2(along[1], along[0]), 2 * math.pi)
    return strokes, Label(Layer.MEASURE, words, (start + end) / 2 + 1.1 * letters * away, letters, angle)


def _upper_side(piece: Piece) -> tuple[Array, Array] | None:
    """Ends of the sewing line's upper side, where it is straight and level."""
    flat = [edge for side in piece.edges for edge in side.flat]
    top = max(float(edge.polyline(1.0)[:, 1].max()) for edge in flat)
    ends = [
        end
        for edge in flat
        if edge.form is Form.LINE and min(edge.start[1], edge.end[1]) >= top - TOLERANCES.drawing_sagitta_mm
        for end in (edge.start, edge.end)
    ]
    if not ends:
        return None
    return min(ends, key=lambda p: float(p[0])), max(ends, key=lambda p: float(p[0]))


def dimensioned(piece: Piece, tape: Tape) -> Drawing:
    """A piece with its dimensions as a tape shows them, true size [mm]."""
    show = feet_inches if tape is Tape.IMPERIAL else metric
    low, high = piece.cutting[0].min(axis=0), piece.cutting[0].max(axis=0)
    size = max(float((high - low).max()), 200.0)
    letters = min(_LETTERS_MM, _SHARE * size)
    off = 1.2 * letters
    found = [
        _dimension(
            low, np.array([high[0], low[1]]), np.array([0.0, -off]), letters, show(float(high[0] - low[0]))
        ),
        _dimension(
            low, np.array([low[0], high[1]]), np.array([-off, 0.0]), letters, show(float(high[1] - low[1]))
        ),
    ]
    upper = _upper_side(piece)
    if upper is not None and upper[1][0] - upper[0][0] < 0.98 * float(high[0] - low[0]):
        at = np.array([0.0, float(high[1] - upper[0][1]) + off])
        wide = float(upper[1][0] - upper[0][0])
        found.append(_dimension(*upper, at, letters, f"{show(wide)} sewn"))
    strokes = tuple(stroke for lines, _ in found for stroke in lines)
    return draw_piece(piece) + Drawing(strokes, tuple(label for _, label in found))


def draw_overview(pattern: Pattern, marking: Marking) -> Drawing:
    """Every piece and patch once, with dimensions, in rows, true size [mm]."""
    rows = in_rows([dimensioned(piece, marking.tape) for piece in pattern.templates], _ROW_MM, _GAP_MM)
    low, high = rows.box
    low, high = low - 3 * _LETTERS_MM, high + 3 * _LETTERS_MM  # texts lie outside the lines
    frame = np.array([low, [high[0], low[1]], high, [low[0], high[1]]])
    return rows + Drawing((stroke_of_points(Layer.MEASURE, frame, closed=True),))

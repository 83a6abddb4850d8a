"""What else is marked on a piece: which way is up and out, patches, where cloth is clipped, where a cut starts.

Glossary: a *clip* is a short cut from the cutting line towards the sewing line, where the allowance of an inner
curve or corner must spread to lie flat. Everything here lies on the piece itself. This module decides nothing
about the cloth; it finds places.
"""

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from shellparts.drawing.strokes import Label, Layer, Stroke, stroke_of_points, text_box
from shellparts.pattern.pieces import Piece, PieceEdge

__all__ = ["clips", "patch_names", "start_marks", "up_mark"]

Array = NDArray[np.float64]
#: A clip ends this far from the sewing line [mm].
_SHORT_OF_MM = 4.0
#: Curves are clipped so often that the boundary turns by this much between two clips [rad], no closer than ... [mm].
_CLIP_TURN_RAD, _CLIP_LEAST_MM = 0.3, 40.0
#: Only edges that bend more sharply than this need clips: the radius in allowances.
_TIGHT = 40.0
#: A corner that turns into the cloth by more than this is clipped [rad].
_CORNER_RAD = math.radians(20.0)
_UP_WORDS, _OUT_WORDS = "up; this side out", "this side out"
_LETTER = 0.75


def _outward(heading: float) -> Array:
    return np.array([math.sin(heading), -math.cos(heading)])


def clips(piece: Piece) -> Iterator[Stroke]:
    """Find where the allowance is clipped.

    Parameters
    ----------
    piece : Piece

    Yields
    ------
    Stroke
        From the cutting line to a little short of the sewing line.
    """
    cloth = shapely.Polygon(piece.cutting[0], piece.cutting[1:])

    def clip(at: Array, out: Array, allowance: float) -> Iterator[Stroke]:
        if allowance <= 2 * _SHORT_OF_MM:
            return
        line = shapely.LineString([at + _SHORT_OF_MM * out, at + 2 * allowance * out]).intersection(cloth)
        line = next((part for part in getattr(line, "geoms", [line]) if not part.is_empty), line)
        if line.length > _SHORT_OF_MM:
            yield stroke_of_points(Layer.CLIP, np.asarray(line.coords))

    for loop in (piece.edges, *piece.holes):
        for before, edge in zip((*loop[-1:], *loop[:-1]), loop, strict=True):
            for distance in _clip_places(edge):
                at, heading = edge.at(distance)
                yield from clip(at, _outward(heading), edge.allowance_mm)
            (at, onward), (_, inward) = edge.at(0.0), before.at(before.length_mm)
            turn = math.remainder(onward - inward, 2 * math.pi)
            if turn < -_CORNER_RAD and edge.seams and before.seams:
                yield from clip(at, _outward(inward + turn / 2), min(edge.allowance_mm, before.allowance_mm))


def _clip_places(edge: PieceEdge) -> list[float]:
    """Distances along an edge that bends into the cloth, close together where it bends sharply."""
    if not edge.seams:
        return []
    found, run = [], 0.0
    for flat in edge.flat:
        bend = -flat.curvature
        tight = bend > 1.0 / (_TIGHT * max(edge.allowance_mm, 1.0))
        if tight.any():
            turned = np.concatenate([[0.0], np.cumsum(np.maximum(0.0, -np.diff(flat.heading)))])
            step = max(_CLIP_TURN_RAD, _CLIP_LEAST_MM * float(bend.max()))
            wanted = np.arange(step / 2, turned[-1], step)
            found += [run + float(s) for s in np.interp(wanted, turned, flat.s)]
        run += flat.length_mm
    return found


def start_marks(piece: Piece) -> Iterator[Stroke]:
    """Mark on the allowance of every opening where to pierce it: an angle with its point on the cutting line.

    Parameters
    ----------
    piece : Piece

    Yields
    ------
    Stroke
    """
    cloth = shapely.Polygon(piece.cutting[0], piece.cutting[1:])
    for ring, hole in zip(piece.cutting[1:], piece.holes, strict=False):
        lowest = ring[ring[:, 1] <= ring[:, 1].min() + 1.0]
        at = np.array([(lowest[:, 0].min() + lowest[:, 0].max()) / 2, ring[:, 1].min()])
        size = 0.7 * min(edge.allowance_mm for edge in hole)
        angle = stroke_of_points(Layer.ARROW, at + size * np.array([[-0.5, -1.0], [0.0, 0.0], [0.5, -1.0]]))
        if cloth.buffer(1e-6).covers(shapely.LineString(angle.points)):
            yield angle


def patch_names(piece: Piece, inside: shapely.Geometry, taken: Sequence[shapely.Polygon]) -> list[Label]:
    """Name patches where they are sewn on, if the names fit there.

    Parameters
    ----------
    piece : Piece
    inside : shapely Polygon
        Area inside the sewing line.
    taken : sequence of shapely Polygon
        What other texts cover.

    Returns
    -------
    list of Label
    """
    labels: list[Label] = []
    busy = list(taken)
    for patch in piece.patches:
        others = [other.outline for other in piece.patches if other is not patch]
        lines = [shapely.LinearRing(ring).buffer(0.5) for ring in others]
        room = (
            shapely.Polygon(patch.outline).intersection(inside).difference(shapely.union_all([*lines, *busy]))
        )
        text = patch.name.replace("_", " ") + (", outside" if patch.is_tab else "")
        label = _fitting(text, room, Layer.PATCH)
        if label is not None:
            labels.append(label)
            busy.append(text_box(label, 0.3))
    return labels


def _fitting(text: str, room: shapely.Geometry, layer: Layer) -> Label | None:
    """A text level in the largest size that fits, looked for on a grid of places."""
    if room.is_empty:
        return None
    left, low, right, high = room.bounds
    for size in (12.0, 9.0, 6.0, 4.0, 2.5):
        for y in np.linspace(high, low, 12)[1:-1]:
            for x in (left + right) / 2 + (right - left) * np.array([0.0, -0.15, 0.15, -0.25, 0.25]):
                label = Label(layer, text, np.array([x, y]), size)
                if room.contains(text_box(label)):
                    return label
    return None


def up_mark(
    free: shapely.Geometry, largest_mm: float, has_top: bool = True
) -> tuple[list[Stroke], list[Label]]:
    """An arrow that points up and says which side is out, where there is room for it.

    Parameters
    ----------
    free : shapely geometry
        Cloth without texts and lines.
    largest_mm : float
        Largest height of its letters [mm].
    has_top : bool
        Whether one end of the piece is its upper one; without, no arrow is drawn.

    Returns
    -------
    strokes : list of Stroke
        Shaft and head of the arrow; none on a piece too small even for that.
    labels : list of Label
    """
    left, low, right, high = free.bounds
    words = _UP_WORDS if has_top else _OUT_WORDS
    for size in np.geomspace(largest_mm, 2.5, 12):
        width, tall = len(words) * _LETTER * size, 6.0 * size
        for y in np.linspace(low, high, 25):
            for x in (left + right) / 2 + (right - left) * np.array([0.0, -0.2, 0.2, -0.35, 0.35]):
                box = shapely.box(x - width / 2 - size, y - tall / 2, x + width / 2 + size, y + tall / 2)
                if free.contains(box):
                    at = np.array([x, y])
                    label = Label(Layer.ARROW, words, at - np.array([0.0, 2.0 * size]), float(size))
                    return (_arrow(at + np.array([0.0, 0.9 * size]), size) if has_top else []), [label]
    at = np.asarray(free.representative_point().coords[0])
    strokes = _arrow(at, 2.0)
    fits = has_top and all(free.contains(shapely.LineString(stroke.points)) for stroke in strokes)
    return (strokes if fits else []), []


def _arrow(at: Array, size: float) -> list[Stroke]:
    shaft = at + size * np.array([[0.0, -1.8], [0.0, 1.8]])
    head = at + size * np.array([[-0.7, 0.6], [0.0, 1.8], [0.7, 0.6]])
    return [stroke_of_points(Layer.ARROW, shaft), stroke_of_points(Layer.ARROW, head)]

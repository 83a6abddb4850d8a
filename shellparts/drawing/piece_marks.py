"""What else is marked on a piece: which way is up and out, patches, where cloth is clipped, where a cut starts.

Glossary: a *snip* is a short cut from the cutting line towards the sewing line: where the allowance of an inner curve
or corner must spread to lie flat, where that of a curtain is bent around an outer corner, where an edge that is turned
in goes on into one that is not, and where a hem crosses a seam around an inner corner. Everything here lies on the
piece itself. This module decides nothing about the cloth; it finds places.
"""

import math
from collections.abc import Iterable, Iterator, Sequence

import numpy as np
import shapely
from attrs import evolve, frozen
from numpy.typing import NDArray

from shellparts.body.seams import EdgeRole
from shellparts.drawing.labels import LabelRoom, Place
from shellparts.drawing.strokes import Label, Layer, Stroke, stroke_of_points
from shellparts.parameters.part import Role
from shellparts.pattern.naming import OUTER_UP
from shellparts.pattern.pieces import Piece, PieceEdge
from shellparts.sewing.rows import PARTED_RAD

__all__ = ["SHORT_OF_MM", "Snip", "clips", "patch_names", "snips", "start_marks", "up_mark"]

Array = NDArray[np.float64]
#: A snip ends this far from the sewing line [mm].
SHORT_OF_MM = 4.0
#: Curves are clipped so often that the boundary turns by this much between two clips [rad], no closer than ... [mm].
_CLIP_TURN_RAD, _CLIP_LEAST_MM = 0.3, 40.0
#: Only edges that bend more sharply than this need clips: the radius in allowances.
_TIGHT = 40.0
#: A corner that turns by more than this is snipped [rad].
_CORNER_RAD = math.radians(20.0)
#: Two corners that are mirror images turn by the same angle but for this.
_ROUNDING_RAD = 1e-6
_UPPER_END = f"upper end; {OUTER_UP}"
#: Between the words below an arrow, by the height of their capitals.
_LINE = 1.6
_TURNED_IN = (EdgeRole.HEM, EdgeRole.OPEN)


def _outward(heading: float) -> Array:
    return np.array([math.sin(heading), -math.cos(heading)])


@frozen(eq=False)
class Snip:
    """One snip of the allowance."""

    edges: tuple[str, ...]  # The edge that bends there, or both edges that meet in a corner
    at_mm: float  # Along the last of them
    line: Array  # From near the sewing line outward, shape (n, 2) [mm]
    at_seam: bool = False  # Whether a hem crosses a seam there


def clips(piece: Piece) -> Iterator[Stroke]:
    """Lines of all snips, for a drawing."""
    return (stroke_of_points(Layer.CLIP, one.line) for one in snips(piece))


def snips(piece: Piece) -> Iterator[Snip]:
    """Where the allowance is clipped: from the cutting line to a little short of the sewing line."""
    cloth = shapely.Polygon(piece.cutting[0], piece.cutting[1:])

    def clip(
        edges: Sequence[str], along: float, at: Array, out: Array, allowance: float, reach: float = 2.0
    ) -> Iterator[Snip]:
        if allowance <= 2 * SHORT_OF_MM:
            return
        line = shapely.LineString([at + SHORT_OF_MM * out, at + reach * allowance * out]).intersection(cloth)
        line = next((part for part in getattr(line, "geoms", [line]) if not part.is_empty), line)
        if line.length > SHORT_OF_MM:
            yield Snip(tuple(edges), along, np.asarray(line.coords))

    on_foot = piece.kind.role in (Role.PANEL, Role.FLAP)
    half_inner = (math.pi - _CORNER_RAD) / 2.0 + _ROUNDING_RAD  # of an inner corner that two such pieces make
    for loop in (piece.edges, *piece.holes):
        for before, edge in zip((*loop[-1:], *loop[:-1]), loop, strict=True):
            for distance in _clip_places(edge):
                at, heading = edge.at(distance)
                yield from clip([edge.id], distance, at, _outward(heading), edge.allowance_mm)
            (at, onward), (_, inward) = edge.at(0.0), before.at(before.length_mm)
            turn = math.remainder(onward - inward, 2 * math.pi)
            both = [before.id, edge.id]
            outer = turn > _CORNER_RAD - _ROUNDING_RAD and piece.kind.role is Role.CLOSURE
            if edge.seams and before.seams and (outer or turn < _ROUNDING_RAD - _CORNER_RAD):
                narrow = min(edge.allowance_mm, before.allowance_mm)
                yield from clip(both, 0.0, at, _outward(inward + turn / 2), narrow)
            for sewn, turned, heading in ((edge, before, onward), (before, edge, inward)):
                if not sewn.seams or turned.role not in _TURNED_IN:
                    continue
                if abs(turn) < PARTED_RAD:
                    yield from clip(both, 0.0, at, _outward(heading), sewn.allowance_mm, 1.0)
                elif on_foot and 0.0 < turn < half_inner:
                    along = np.array([math.cos(heading), math.sin(heading)]) * (
                        1.0 if turned is edge else -1.0
                    )
                    yield from (
                        evolve(one, at_seam=True) for one in clip(both, 0.0, at, along, turned.allowance_mm)
                    )


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
    """Marks on the allowance of every opening where to pierce it: an angle with its point on the cutting line."""
    cloth = shapely.Polygon(piece.cutting[0], piece.cutting[1:])
    for ring, hole in zip(piece.cutting[1:], piece.holes, strict=False):
        lowest = ring[ring[:, 1] <= ring[:, 1].min() + 1.0]
        at = np.array([(lowest[:, 0].min() + lowest[:, 0].max()) / 2, ring[:, 1].min()])
        size = 0.7 * min(edge.allowance_mm for edge in hole)
        angle = stroke_of_points(Layer.ARROW, at + size * np.array([[-0.5, -1.0], [0.0, 0.0], [0.5, -1.0]]))
        if cloth.buffer(1e-6).covers(shapely.LineString(angle.points)):
            yield angle


def patch_names(piece: Piece, inside: shapely.Geometry, room: LabelRoom) -> list[Label]:
    """Name patches level where they are sewn on, inside the sewing line, if the names fit there."""
    labels: list[Label] = []
    for patch in piece.patches:
        others = [shapely.LinearRing(other.outline) for other in piece.patches if other is not patch]
        home = (
            shapely.Polygon(patch.outline)
            .intersection(inside)
            .difference(shapely.union_all([line.buffer(0.5) for line in others]))
        )
        if not home.is_empty:
            text = patch.name + (", outer side" if patch.is_tab else "")
            sizes = (12.0, 9.0, 6.0, 4.0, 2.5)
            places = _level_places(
                home, sizes, np.linspace(1.0, 0.0, 12)[1:-1], (0.0, -0.15, 0.15, -0.25, 0.25)
            )
            labels += room.put(Layer.PATCH, [text], places, home)
    return labels


def _level_places(
    home: shapely.Geometry, sizes: Iterable[float], heights: Array, shares: Sequence[float]
) -> list[Place]:
    """Places on a grid over a shape, by its height and from its middle."""
    left, low, right, high = home.bounds
    rows = [
        np.array([(left + right) / 2 + (right - left) * share, low + (high - low) * y])
        for y in heights.tolist()
        for share in shares
    ]
    return [(float(size), at, 0.0) for size in sizes for at in rows]


def up_mark(
    room: LabelRoom,
    cloth: shapely.Geometry,
    largest_mm: float,
    has_top: bool = True,
    more: Sequence[str] = (),
) -> tuple[list[Stroke], list[Label]]:
    """An arrow that points up, and which side is out, where there is room; no arrow where no end is the upper one.

    `cloth` is the piece without its lines; the letters are no larger than this [mm]; more lines follow the words.
    """
    words = [_UPPER_END if has_top else OUTER_UP, *more]
    free = cloth.difference(shapely.union_all(room.taken))
    sizes = np.geomspace(largest_mm, 2.5, 12)
    places = _level_places(free, sizes, np.linspace(0.0, 1.0, 25), (0.0, -0.2, 0.2, -0.35, 0.35))
    wide, below = max(map(room.letters.width, words)) / 2 + 1.0, _LINE * len(more)
    half = [np.array([wide, 3.0 + below / 2]) * size for size, _, _ in places]
    middles = np.array([at for _, at, _ in places])
    found = room.first(shapely.box(*(middles - half).T, *(middles + half).T), free)
    if found is not None:
        size, at, _ = places[found]
        arrow = _arrow(at + np.array([0.0, (0.9 + below / 2) * size]), size) if has_top else []
        return arrow, room.set(Layer.ARROW, words, (size, at - np.array([0.0, 2.0 * size]), 0.0))
    strokes = _arrow(np.asarray(free.representative_point().coords[0]), 2.0)
    fits = has_top and all(free.contains(shapely.LineString(stroke.points)) for stroke in strokes)
    return (strokes if fits else []), []


def _arrow(at: Array, size: float) -> list[Stroke]:
    shaft = at + size * np.array([[0.0, -1.8], [0.0, 1.8]])
    head = at + size * np.array([[-0.7, 0.6], [0.0, 1.8], [0.7, 0.6]])
    return [stroke_of_points(Layer.ARROW, shaft), stroke_of_points(Layer.ARROW, head)]

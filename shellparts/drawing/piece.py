"""A piece as a drawing: sewing line, cutting line, folds, centre line, notches, names."""

import math
from collections.abc import Sequence
from functools import lru_cache
from textwrap import wrap

import numpy as np
import shapely
from numpy.typing import NDArray

from shellparts.drawing.edge_names import edge_text
from shellparts.drawing.labels import LARGE, LabelRoom
from shellparts.drawing.piece_lines import piece_lines
from shellparts.drawing.piece_marks import patch_names, up_mark
from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke, stroke_of_points
from shellparts.parameters.part import Role
from shellparts.pattern.naming import in_short
from shellparts.pattern.pieces import Piece, PieceEdge

__all__ = ["STANDS", "draw_piece", "draw_sheet_of_pieces", "in_rows", "numbers_to_chalk"]

Array = NDArray[np.float64]
_LARGEST_TEXT_MM, _SMALLEST_TEXT_MM = 60.0, 2.5
_EDGE_TEXT_MM = 12.0
#: On a piece larger than this texts grow with it, so that the drawing can still be read as a whole.
_LARGE_PIECE_MM = 1500.0
#: Roles of pieces that stand, and so have an upper end.
STANDS = (Role.PANEL, Role.CLOSURE)
#: Letters in a line of what to chalk on copies.
_NUMBERS_LINE = 32
#: A name stands upright only where it gets this much larger than level.
_UPRIGHT_GAIN = 1.3


def _growth(inside: shapely.Geometry) -> float:
    """How much larger than usual the texts of a piece may be."""
    left, low, right, high = inside.bounds
    return max(1.0, math.hypot(right - left, high - low) / _LARGE_PIECE_MM)


def _edge_label(piece: Piece, edge: PieceEdge, room: LabelRoom) -> tuple[list[Label], list[Stroke]]:
    """Name of an edge and what is done there, along its inner side; farther off with a leader where it must be."""
    text = edge_text(piece, edge)
    height = min(
        _EDGE_TEXT_MM * _growth(room.home),
        edge.length_mm / (LARGE.width(text) * 1.6 + 1e-9),
        0.2 * math.sqrt(room.home.area),
    )
    # Beside the middle first, then beside other places, smaller when it must be.
    ways = [edge.at(edge.length_mm * share) for share in (0.5, 0.4, 0.6, 0.25, 0.75)]
    sizes = [size for size in (height, 0.6 * height, 0.35 * height) if size >= _SMALLEST_TEXT_MM]
    places = [
        (size, at + np.array([-math.sin(heading), math.cos(heading)]) * size * 1.2, heading)
        for size in sizes
        for at, heading in ways
    ]
    found = room.put(Layer.EDGE, [text], places)
    if found:
        return found, []
    largest = max(_SMALLEST_TEXT_MM, min(0.5 * _EDGE_TEXT_MM * _growth(room.home), 10.0))
    sizes = np.geomspace(largest, _SMALLEST_TEXT_MM, 4).tolist()
    return room.point_out(Layer.EDGE, [text], ways[0][0], sizes, 2.0, room.home)


def _beside_the_piece(
    piece: Piece, homeless: Sequence[PieceEdge], taken: Sequence[shapely.Geometry]
) -> tuple[list[Label], list[Stroke]]:
    """Names of edges that found no room on the piece, outside its cutting line, with leaders."""
    cloth = shapely.Polygon(piece.cutting[0])
    room = LabelRoom(cloth.buffer(400.0).difference(cloth), LARGE)
    room.taken += [one for one in taken if not cloth.contains(one)]
    labels: list[Label] = []
    leaders: list[Stroke] = []
    for edge in homeless:
        at, _ = edge.at(edge.length_mm / 2)
        told, leader = room.point_out(
            Layer.EDGE, [edge_text(piece, edge)], at, (6.0, 4.0, _SMALLEST_TEXT_MM), 2.0, room.home
        )
        labels += told
        leaders += leader
    return labels, leaders


def _name_labels(piece: Piece, cloth: shapely.Geometry, room: LabelRoom) -> list[Label]:
    """Name and count, level or upright, as large as there is room for between folds and other texts."""
    lines = [piece.name, f"cut {piece.count}"]
    low, high = cloth.bounds[1], cloth.bounds[3]
    middles = [_middle_of_row(cloth, low + share * (high - low)) for share in (0.45, 0.3, 0.6, 0.15, 0.75)]
    sizes = np.geomspace(_LARGEST_TEXT_MM * _growth(cloth), _SMALLEST_TEXT_MM, 24).tolist()
    level, upright = (
        room.find(lines, [(size, at, way) for size in sizes for at in middles], cloth, LARGE.apart)
        for way in (0.0, math.pi / 2)
    )
    gains = level is None or (upright is not None and upright[0] > _UPRIGHT_GAIN * level[0])
    best = upright if gains else level
    return [] if best is None else room.set(Layer.NAME, lines, best)


def _middle_of_row(inside: shapely.Geometry, y: float) -> Array:
    """Middle of the widest stretch that a level row has inside a shape."""
    left, _, right, _ = inside.bounds
    row = inside.intersection(shapely.LineString([(left - 1, y), (right + 1, y)]))
    stretches = [g for g in getattr(row, "geoms", [row]) if g.length > 0]
    if not stretches:
        return np.array([(left + right) / 2, y])
    return np.asarray(max(stretches, key=lambda g: g.length).interpolate(0.5, normalized=True).coords[0])


@lru_cache(maxsize=256)
def draw_piece(piece: Piece) -> Drawing:
    """A piece in its own place, as seen from outside, true size [mm]."""
    strokes = list(piece_lines(piece))
    rings = [
        np.concatenate([edge.polyline(0.5)[:-1] for edge in loop]) for loop in (piece.edges, *piece.holes)
    ]
    inside = shapely.Polygon(rings[0], rings[1:])
    patches = [stroke for stroke in strokes if stroke.layer in (Layer.PATCH, Layer.STRIP, Layer.LOOP)]
    room = LabelRoom(_without(inside, patches), LARGE)
    labels: list[Label] = []
    leaders: list[Stroke] = []
    homeless = []
    for edge in piece.all_edges:
        told, leader = _edge_label(piece, edge, room)
        labels, leaders = [*labels, *told], [*leaders, *leader]
        homeless += [] if told else [edge]
    strips = [stroke for stroke in patches if stroke.layer is Layer.STRIP]
    labels += patch_names(piece, _without(inside, strips), room)
    drawn = [stroke for stroke in strokes if stroke.layer in (Layer.FOLD, Layer.OVERLAP)]
    cloth = _without(inside, [*drawn, *patches, *leaders])
    names = _name_labels(piece, cloth, room)
    labels += names
    arrows: list[Stroke] = []
    if piece.kind.role is not Role.PATCH:
        letters = names[0].height_mm if names else _LARGEST_TEXT_MM
        arrows, words = up_mark(
            room, cloth, 0.5 * letters, piece.kind.role in STANDS, numbers_to_chalk(piece)
        )
        room.taken += [_line_of(arrow).buffer(letters * 0.3) for arrow in arrows]
        labels += words
    told, leader = _beside_the_piece(piece, homeless, room.taken)
    labels, strokes = [*labels, *told], [*strokes, *leaders, *leader]
    strokes += arrows
    strokes += _centre_line(inside, room.taken)
    return Drawing(tuple(strokes), tuple(labels))


def numbers_to_chalk(piece: Piece) -> list[str]:
    """What to chalk on the copies of a piece, so that they are told apart."""
    if piece.sheets == (piece.name,):
        return []
    told = (
        f"chalk on: {in_short(piece.sheets)}"
        if piece.count == 1
        else f"chalk on each: {in_short(piece.sheets)}"
    )
    return wrap(told, _NUMBERS_LINE)


def _without(shape: shapely.Geometry, strokes: Sequence[Stroke]) -> shapely.Geometry:
    """A shape but for strips along some strokes."""
    return shape.difference(shapely.union_all([_line_of(stroke).buffer(1.0) for stroke in strokes]))


def _line_of(stroke: Stroke) -> shapely.Geometry:
    return shapely.LinearRing(stroke.points) if stroke.closed else shapely.LineString(stroke.points)


def _centre_line(inside: shapely.Polygon, texts: Sequence[shapely.Polygon]) -> list[Stroke]:
    """The centre line where it crosses cloth, left out behind texts."""
    _, low, _, high = inside.bounds
    line = inside.intersection(shapely.LineString([(0.0, low), (0.0, high)])).difference(
        shapely.union_all(texts)
    )
    parts = [g for g in getattr(line, "geoms", [line]) if g.geom_type == "LineString" and g.length > 1.0]
    return [stroke_of_points(Layer.CENTRE, np.asarray(part.coords)) for part in parts]


def in_rows(drawings: Sequence[Drawing], row_mm: float, gap_mm: float) -> Drawing:
    """Drawings side by side, in rows from the top; a row is no longer than this unless one drawing is [mm]."""
    whole, x, y, tall = Drawing(), 0.0, 0.0, 0.0
    for drawing in drawings:
        low, high = drawing.box
        width, height = (high - low).tolist()
        if x > 0 and x + width > row_mm:
            x, y, tall = 0.0, y - tall - gap_mm, 0.0
        whole = whole + drawing.moved([x - low[0], y - height - low[1]])
        x, tall = x + width + gap_mm, max(tall, height)
    return whole


def draw_sheet_of_pieces(pieces: Sequence[Piece]) -> Drawing:
    """Every piece once, side by side in rows, true size [mm]."""
    return in_rows([draw_piece(piece) for piece in pieces], 12_000.0, 200.0)

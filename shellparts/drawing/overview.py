"""All pieces on one A4 page with their sizes: what there is, how many of each, how long and how wide.

Glossary: a *dimension* is a line between two ticks, as long as what it measures, with the length beside it as the
tape at hand shows it. Dimensions lie outside the pieces: the cut length on the left, the cut width below, and the
width between the sewing lines at the upper end above; what is too short on paper is told below the piece. The page
is A4 lying on its side, in millimetres on paper; its scale is the largest usual one at which all pieces fit.
"""

import math
from collections.abc import Callable, Iterator, Sequence

import numpy as np
import shapely
from attrs import frozen
from numpy.typing import NDArray

from shellparts.base.tolerances import TOLERANCES
from shellparts.base.units import feet_inches, metric
from shellparts.drawing.edge_names import edge_text
from shellparts.drawing.labels import PRINTED, LabelRoom
from shellparts.drawing.noted_page import FRAME
from shellparts.drawing.piece import STANDS
from shellparts.drawing.piece_lines import piece_lines
from shellparts.drawing.printed import words
from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke, stroke_of_points
from shellparts.parameters import Marking, Tape
from shellparts.pattern.made import Pattern
from shellparts.pattern.pieces import Piece
from shellparts.unroll.outline import Form

__all__ = ["dimensioned", "draw_overview"]

Array = NDArray[np.float64]
#: Heights of capitals on paper [mm]: 1.8 mm is type of 2.5 mm. Names are tried from large to small.
_TEXT_MM, _NAME_MM, _TITLE_MM = 1.8, (5.0, 4.0, 3.2, 2.5, 1.8), 3.0
#: Between a piece and its dimensions, between lines of text, between pieces, and white around the page [mm].
_OFF_MM, _LINE_MM, _GAP_MM, _EDGE_MM, _HEAD_MM = 2.0, 3.0, 4.0, 10.0, 9.0
#: What is shorter on paper has no room for its dimension [mm].
_LEAST_MM = 14.0
_UP_MM = 5.0
_SCALES = (5, 10, 15, 20, 25, 30, 40, 50, 60, 80, 100, 150, 200, 300, 400)
#: What is left off so small a drawing.
_TOO_SMALL = (Layer.CLIP, Layer.HOLD, Layer.LOOP)


@frozen(eq=False)
class _Cell:
    """A piece with everything about it, and the box around that [mm on paper]."""

    drawing: Drawing
    box: tuple[float, float, float, float]


def _dimension(a: Array, b: Array, off: Array, told: str) -> tuple[list[Stroke], Label]:
    """A dimension between two points, moved off them."""
    start, end = a + off, b + off
    along = (end - start) / np.linalg.norm(end - start)
    tick = 0.5 * _TEXT_MM * np.array([-along[1], along[0]])
    strokes = [stroke_of_points(Layer.MEASURE, [start, end])]
    strokes += [stroke_of_points(Layer.MEASURE, [p - tick, p + tick]) for p in (start, end)]
    away = off / np.linalg.norm(off)
    angle = math.remainder(math.atan2(along[1], along[0]), 2 * math.pi)
    return strokes, Label(Layer.MEASURE, told, (start + end) / 2 + 1.25 * _TEXT_MM * away, _TEXT_MM, angle)


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


def _dimensions(
    piece: Piece, scale: float, show: Callable[[float], str]
) -> tuple[list[tuple[list[Stroke], Label]], list[str]]:
    """A piece's dimensions, and in words those that have no room."""
    low, high = piece.cutting[0].min(axis=0) / scale, piece.cutting[0].max(axis=0) / scale
    width, length = piece.extent_mm
    found, told = [], []
    if width / scale >= _LEAST_MM:
        found.append(_dimension(low, np.array([high[0], low[1]]), np.array([0.0, -_OFF_MM]), show(width)))
    else:
        told.append(f"{show(width)} wide")
    if length / scale >= _LEAST_MM:
        found.append(_dimension(low, np.array([low[0], high[1]]), np.array([-_OFF_MM, 0.0]), show(length)))
    else:
        told.append(f"{show(length)} long")
    upper = _upper_side(piece)
    if upper is not None and length / scale >= _LEAST_MM and upper[1][0] - upper[0][0] < 0.98 * width:
        ends = upper[0] / scale, upper[1] / scale
        off = np.array([0.0, float(high[1] - ends[1][1]) + _OFF_MM])
        found.append(_dimension(*ends, off, f"{show(float(upper[1][0] - upper[0][0]))} sewn"))
    return found, told


def dimensioned(piece: Piece, tape: Tape, scale: float) -> Drawing:
    """A piece with its name, its edges where there is room, and its dimensions as a tape shows them.

    Parameters
    ----------
    piece : Piece
    tape : Tape
    scale : float
        The drawing is 1 to this [-].

    Returns
    -------
    Drawing
        In the piece's own place [mm on paper]; no letters are smaller than 1.8 mm, type of 2.5 mm.
    """
    lines = Drawing(tuple(one for one in piece_lines(piece) if one.layer not in _TOO_SMALL))
    strokes = list(lines.moved([0.0, 0.0], 1.0 / scale).strokes)
    loops = [
        np.concatenate([edge.polyline(0.5)[:-1] for edge in loop]) / scale
        for loop in (piece.edges, *piece.holes)
    ]
    room = LabelRoom(shapely.Polygon(loops[0], loops[1:]), PRINTED, strokes)
    found, told = _dimensions(piece, scale, feet_inches if tape is Tape.IMPERIAL else metric)
    labels: list[Label] = []
    if piece.kind.role in STANDS:
        arrow, labels = _up(room)
        strokes += arrow
    named = _name(piece, room)
    labels += named
    below = told if named else [piece.name, f"cut {piece.count}", *told]
    labels += [label for edge in piece.all_edges for label in _edge_name(piece, edge.id, scale, room)]
    for dimension, label in found:
        strokes, labels = [*strokes, *dimension], [*labels, label]
    low, high = piece.cutting[0].min(axis=0) / scale, piece.cutting[0].max(axis=0) / scale
    under = float(low[1]) - _OFF_MM - (1.8 * _LINE_MM if piece.extent_mm[0] / scale >= _LEAST_MM else 0.0)
    for number, text in enumerate(below):
        at = np.array([(low[0] + high[0]) / 2, under - number * _LINE_MM])
        labels.append(Label(Layer.NAME if not named and number < 2 else Layer.MEASURE, text, at, _TEXT_MM))
    return Drawing(tuple(strokes), tuple(labels))


def _name(piece: Piece, room: LabelRoom) -> list[Label]:
    """Name and count inside a piece, as large as there is room for."""
    left, low, right, high = room.home.bounds
    middles = [
        np.array([left + x * (right - left), low + y * (high - low)])
        for y in (0.45, 0.3, 0.6, 0.2, 0.75)
        for x in (0.5, 0.3, 0.7)
    ]
    places = [(size, at, way) for size in _NAME_MM for way in (0.0, math.pi / 2) for at in middles]
    return room.put(Layer.NAME, [piece.name, f"cut {piece.count}"], places)


def _up(room: LabelRoom) -> tuple[list[Stroke], list[Label]]:
    """An arrow that points up with a word beside it, where there is room; neither where there is none."""
    left, low, right, high = room.home.bounds
    for y in np.linspace(0.85, 0.1, 16):
        for x in (0.5, 0.35, 0.65, 0.2, 0.8):
            foot = np.array([left + x * (right - left), low + y * (high - low)])
            x0, y0 = foot.tolist()
            box = shapely.box(x0 - 1.2, y0 - 0.5, x0 + 6.0, y0 + _UP_MM + 0.5)
            if not room.free(np.array([box]))[0]:
                continue
            room.taken.append(box)
            head = foot + np.array([[-0.9, _UP_MM - 1.6], [0.0, _UP_MM], [0.9, _UP_MM - 1.6]])
            arrow = [stroke_of_points(Layer.ARROW, [foot, head[1]]), stroke_of_points(Layer.ARROW, head)]
            return arrow, [Label(Layer.ARROW, "up", foot + np.array([3.4, _UP_MM / 2]), _TEXT_MM)]
    return [], []


def _edge_name(piece: Piece, edge_id: str, scale: float, room: LabelRoom) -> list[Label]:
    """An edge's name along its inner side, where there is room."""
    edge = next(one for one in piece.all_edges if one.id == edge_id)
    places = []
    for share in (0.5, 0.4, 0.6, 0.25, 0.75):
        at, heading = edge.at(edge.length_mm * share)
        inward = np.array([-math.sin(heading), math.cos(heading)])
        places.append((_TEXT_MM, at / scale + 1.3 * _TEXT_MM * inward, heading))
    text = edge_text(piece, edge)
    is_long = PRINTED.width(text) * _TEXT_MM < edge.length_mm / scale
    return room.put(Layer.EDGE, [text], places) if is_long else []


def _cell(piece: Piece, tape: Tape, scale: float) -> _Cell:
    drawing = dimensioned(piece, tape, scale)
    texts = [PRINTED.boxes([one.text], [(one.height_mm, one.at, one.angle)])[0] for one in drawing.labels]
    low, high = drawing.box
    left, down, right, up = shapely.union_all([*texts, shapely.box(*low, *high)]).bounds
    return _Cell(drawing, (left, down, right, up))


def _in_rows(cells: Sequence[_Cell], wide: float, tall: float) -> Drawing | None:
    """Cells side by side in rows from the upper left corner at the origin, if they fit."""
    whole, x, y, row = Drawing(), 0.0, 0.0, 0.0
    for cell in cells:
        left, low, right, high = cell.box
        if x > 0.0 and x + right - left > wide:
            x, y, row = 0.0, y - row - _GAP_MM, 0.0
        row = max(row, high - low)
        if x + right - left > wide or row - y > tall:
            return None
        whole = whole + cell.drawing.moved([x - left, y - high])
        x += right - left + _GAP_MM
    return whole


def _orders(pieces: Sequence[Piece]) -> Iterator[list[Piece]]:
    """As they are counted, then the longest first."""
    yield list(pieces)
    yield sorted(pieces, key=lambda piece: -piece.extent_mm[1])


def draw_overview(pattern: Pattern, marking: Marking, title: str) -> Drawing:
    """Draw every piece and patch once on one page.

    Parameters
    ----------
    pattern : Pattern
    marking : Marking
        Which tape shows the sizes.
    title : str
        Stands at the top.

    Returns
    -------
    Drawing
        A4 lying on its side [mm on paper], within `noted_page.FRAME`.
    """
    (left, low), (right, high) = (corner.tolist() for corner in FRAME)
    wide, tall = right - left - 2 * _EDGE_MM, high - low - 2 * _EDGE_MM - _HEAD_MM
    area = sum(math.prod(piece.extent_mm) for piece in pattern.templates)
    for scale in _SCALES:
        if area > wide * tall * scale**2:
            continue
        cells = {piece.name: _cell(piece, marking.tape, scale) for piece in pattern.templates}
        for order in _orders(pattern.templates):
            rows = _in_rows([cells[piece.name] for piece in order], wide, tall)
            if rows is not None:
                corner = np.array([left + _EDGE_MM, high - _EDGE_MM - _HEAD_MM])
                told = f"{title}, drawn 1 to {scale}; as seen from outside"
                head = words(told, left + _EDGE_MM, high - _EDGE_MM - 4.0, _TITLE_MM, bold=True, room_mm=wide)
                return rows.moved(corner) + Drawing((), (head,))
    raise ValueError(f"{len(pattern.templates)} pieces do not fit one page at 1 to {_SCALES[-1]}")

"""Boards as drawings to saw templates from: true-size DXF, and what the printed pages show.

Glossary: as in `templates.parts`; *corner 0* is the corner of the board from which every tape runs, *along* its
long edge and *across* its short one. A *ring* is where a hole is drilled. The drawing model has layers for
cloth; `LAYERS` gives them the names they have on board. Curves are polylines, as the cutting line is.
This module arranges nothing, and writes no words but labels.
"""

import math
from collections.abc import Iterator, Sequence
from functools import partial

import numpy as np
import shapely
from numpy.typing import NDArray

from shellparts.drawing.labels import SMALL, LabelRoom
from shellparts.drawing.noted_page import NotedDrawing
from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke, stroke_of_points
from shellparts.drawing.tape import board_tape, dot, point_pair, round_shape, ruler, unbroken
from shellparts.parameters import Marking, Tape
from shellparts.templates.on_stock import SawnBoard, SawnShape
from shellparts.templates.parts import JoiningStrip

__all__ = ["corners_to_measure", "draw_board"]

Array = NDArray[np.float64]
#: How far the straight line between two measured points may leave the edge [mm].
_SAGITTA_MM = 1.0
#: A ring whose radii differ by less than this [mm] is drawn with a trammel.
_ROUND_MM = 0.2
#: Radius of a hole, and of the ring that stands for it on paper [mm].
_HOLE_MM, _RING_MM = 1.5, 0.45
#: Heights of capitals on paper [mm].
_NAME_MM, _JOINT_MM, _FOLD_MM = (4.0, 3.2, 2.6, 2.1, 1.7, 1.4), (3.0, 2.4, 1.9, 1.5), (2.1, 1.7, 1.4)
_POINT_MM = (1.7, 1.5, 1.3)
#: Where a name is tried, from the middle of the part, in radii of the largest circle in it.
_STEPS = np.array([(0.0, 0.0), (0, 0.4), (0, -0.4), (0.5, 0), (-0.5, 0), (1, 0), (-1, 0), (2, 0), (-2, 0)])
#: Where along a joint its letter is tried, and along a fold edge its words.
_BY_JOINT, _BY_FOLD = (0.8, 0.2, 0.35, 0.65, 0.5, 1.15, -0.15), (0.3, 0.7, 0.5, 0.15, 0.85)
#: Between a point and its numbers on paper [mm].
_CLEAR_MM = 0.7
#: The drawing's texts in the DXF are as large as on a page at 1 to this.
_DXF_SCALE = 10.0


def corners_to_measure(outline: Array) -> Array:
    """Points of an outline from which it is drawn with a straight edge.

    Parameters
    ----------
    outline : ndarray
        On the board, shape (n, 2) [mm].

    Returns
    -------
    ndarray
        Every corner, and as many points of a curve as keep within 1 mm of it; two opposite corners of a rectangle
        that lies straight. Shape (m, 2) [mm].

    Examples
    --------
    >>> corners_to_measure(np.array([[0.0, 0.0], [400, 0], [400, 100], [0, 100]])).tolist()
    [[0.0, 0.0], [400.0, 100.0]]
    """
    steps = np.roll(outline, -1, axis=0) - outline
    along = (steps[:, 0] + 1j * steps[:, 1]) / np.hypot(*steps.T)
    # Begun at the sharpest corner, which stays: elsewhere the simplified ring may lose its beginning as well.
    first = int(np.argmax(np.abs(np.angle(along / np.roll(along, 1))).round(9)))
    begun = shapely.Polygon(np.roll(outline, -first, axis=0))
    ring = np.asarray(shapely.simplify(begun, _SAGITTA_MM).exterior.coords)[:-1]
    low, high = ring.min(axis=0), ring.max(axis=0)
    at_ends = (np.abs(ring - low) < 1e-3) | (np.abs(ring - high) < 1e-3)
    return np.array([low, high]) if len(ring) == 4 and at_ends.all() else ring


def _ring(at: Array, radius: float) -> Stroke:
    """A circle of eight arcs."""
    turn = np.arange(8) * math.pi / 4
    points = at + radius * np.column_stack([np.cos(turn), np.sin(turn)])
    return Stroke(Layer.DRILL, points, np.full(8, math.tan(math.pi / 16)), True)


def _edges(board: SawnBoard) -> Iterator[Stroke]:
    """Edge and margin of the board."""
    long, wide = board.layout.length_mm, board.layout.width_mm
    for layer, inset in ((Layer.BOARD, 0.0), (Layer.BOARD_MARGIN, _margin(board))):
        if layer is Layer.BOARD or inset > 0.0:
            box = shapely.box(inset, inset, long - inset, wide - inset)
            yield stroke_of_points(layer, np.asarray(box.exterior.coords)[:-1], closed=True)


def _margin(board: SawnBoard) -> float:
    return float(getattr(board.layout.stock, "hem_mm", 0.0))


def _marked(shape: SawnShape, radius: float) -> Iterator[Stroke]:
    """Everything that is drawn on a part, taken to the board."""
    yield stroke_of_points(Layer.SAW, shape.placed.outline, closed=True)
    if isinstance(shape.shape, JoiningStrip):
        return
    for line in shape.shape.sewing:
        yield stroke_of_points(Layer.SEWN, shape.on_board(line))
    for notch in shape.shape.notches:
        yield stroke_of_points(Layer.NOTCH, shape.on_board(notch))
    for _, tick in shape.shape.ticks:
        yield stroke_of_points(Layer.REGISTER, shape.on_board(tick))
    if len(shape.shape.fold):
        yield stroke_of_points(Layer.FOLD_EDGE, shape.on_board(shape.shape.fold))
    for hole in shape.on_board(shape.shape.drill):
        yield _ring(hole, radius)


def _names(shape: SawnShape, marking: Marking) -> list[list[str]]:
    """What may be written on a part, the fullest first."""
    name = shape.shape.name
    if isinstance(shape.shape, JoiningStrip):
        size = sorted(np.ptp(shape.shape.outline, axis=0).tolist(), reverse=True)
        words = " x ".join(board_tape(side, marking) for side in size)
        return [[name, words], [name], name.replace("_", "_ ").split()]
    short = [name, name.split(", ")[-1]] if len(shape.template.parts) > 1 else [name]
    if len(shape.template.parts) > 1:
        name += f" of {len(shape.template.parts)}"
    broken = shape.template.name.replace("_", "_ ").split() if len(shape.template.parts) == 1 else short[-1:]
    return [[name, "half template"] if shape.template.half else [name], *([one] for one in short), broken]


def _beside(a: Array, b: Array, shares: Sequence[float], off_mm: Sequence[float]) -> list[Array]:
    """Middles along a line, on both sides of it."""
    along = (b - a) / np.linalg.norm(b - a)
    square = np.array([-along[1], along[0]])
    return [
        a + (b - a) * share + square * off * side for off in off_mm for share in shares for side in (1, -1)
    ]


def _words(shape: SawnShape, room: LabelRoom, marking: Marking, scale: float) -> list[Label]:
    """Name of a part, letters along its joints, and what its fold edge is."""
    home = shapely.Polygon(shape.placed.outline)
    low, high = shape.placed.outline.min(axis=0), shape.placed.outline.max(axis=0)
    middles = np.array(shape.placed.label_at) + _STEPS * shape.placed.label_radius_mm
    inside = middles[((middles > low) & (middles < high)).all(axis=1)]
    places = [(h * scale, at, way) for h in _NAME_MM for way in (0.0, math.pi / 2) for at in inside]
    named = (room.put(Layer.PART, words, places, home) for words in _names(shape, marking))
    labels: list[Label] = next(filter(None, named), [])
    if isinstance(shape.shape, JoiningStrip):
        return labels
    by_joint: dict[str, list[Array]] = {}
    for letter, tick in shape.shape.ticks:
        by_joint.setdefault(letter, []).append(shape.on_board(tick)[0])
    for letter, marks in by_joint.items():
        beside = _beside(marks[0], marks[-1], _BY_JOINT, [off * scale for off in (3.2, 4.5, 6.0, 8.0)])
        labels += room.put(
            Layer.JOINT, [letter], [(h * scale, at, 0.0) for h in _JOINT_MM for at in beside], home
        )
    if len(shape.shape.fold):
        a, b = shape.on_board(shape.shape.fold)
        way = math.pi / 2 if abs(b[1] - a[1]) > abs(b[0] - a[0]) else 0.0
        beside = _beside(a, b, _BY_FOLD, [off * scale for off in (2.0, 3.0, 4.5, 6.0)])
        labels += room.put(
            Layer.FOLD_EDGE, ["fold edge"], [(h * scale, at, way) for h in _FOLD_MM for at in beside], home
        )
    return labels


def draw_board(
    board: SawnBoard, marking: Marking, scale: float = _DXF_SCALE, on_paper: bool = False
) -> NotedDrawing:
    """Draw a board from its corner 0.

    Parameters
    ----------
    board : SawnBoard
        A board with its shapes.
    marking : Marking
        Which tape it is marked out with.
    scale : float
        The drawing is to be printed at 1 to this: decides how large text is [-].
    on_paper : bool
        Whether rings are drawn large enough to be seen, instead of as large as the hole.

    Returns
    -------
    NotedDrawing
        In millimetres of board. Its notes are the points whose numbers have no room on it, part by part.
    """
    show = partial(board_tape, marking=marking)
    radius = max(_HOLE_MM, _RING_MM * scale) if on_paper else _HOLE_MM
    strokes = [*_edges(board), *(stroke for shape in board.shapes for stroke in _marked(shape, radius))]
    frame = shapely.box(0.0, 0.0, board.layout.length_mm, board.layout.width_mm)
    discs = [round_shape(shape.placed.outline, _ROUND_MM) for shape in board.shapes]
    dots = [dot(disc[0], scale) for disc in discs if disc is not None]
    barriers = [*(one for one in strokes if one.layer is not Layer.BOARD_MARGIN), *dots]
    room = LabelRoom(frame, SMALL, barriers)
    labels = [label for shape in board.shapes for label in _words(shape, room, marking, scale)]
    notes = []
    homes = [shapely.Polygon(shape.placed.outline) for shape in board.shapes]
    heights, clear = [h * scale for h in _POINT_MM], _CLEAR_MM * scale
    for shape, home, disc in zip(board.shapes, homes, discs, strict=True):
        name = shape.shape.name
        if disc is not None:
            radius_text = unbroken(f"radius {show(disc[1])}")
            notes.append(f"{name}: centre\u00a0{point_pair(disc[0], show)}, {radius_text}")
            continue
        homeless, others = [], shapely.union_all([other for other in homes if other is not home])
        for point in corners_to_measure(shape.placed.outline):
            lines = [show(value) for value in point.tolist()]
            told, leader = room.point_out(Layer.MEASURE, lines, point, heights, clear, home, others)
            dots += [dot(point, scale), *leader]
            labels += told
            if not told:
                homeless.append(point_pair(point, show))
        if homeless:
            notes.append(f"{name}: {', '.join(homeless)}")
    step = 200.0 if marking.tape is Tape.METRIC else 304.8
    around = ruler(0.0, board.layout.length_mm, board.layout.width_mm, step, scale, marking)
    return NotedDrawing(Drawing((*strokes, *dots), tuple(labels)) + around, tuple(notes))

"""Boards as drawings to saw templates from: true-size DXF, and what the printed pages show.

Glossary: as in `sewing.boards_data`; *corner 0* is the corner of the board from which every tape runs, *along* its
long edge and *across* its short one. A *ring* is where a hole is drilled. The drawing model has layers for
cloth; `LAYERS` gives them the names they have on board. Curves are polylines, as the cutting line is.
This module arranges nothing, and writes no words but labels.
"""

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from shellparts.drawing.board_labels import LabelRoom
from shellparts.drawing.layout import tape_text
from shellparts.drawing.noted_page import NotedDrawing
from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke, stroke_of_points
from shellparts.parameters import Marking, Tape
from shellparts.templates.on_stock import SawnBoard, SawnShape
from shellparts.templates.parts import JoiningStrip

__all__ = [
    "board_tape",
    "corners_to_measure",
    "draw_board",
    "point_pair",
    "round_shape",
]

Array = NDArray[np.float64]
#: How far the straight line between two measured points may leave the edge [mm].
_SAGITTA_MM = 1.0
#: A ring of as many points whose radii differ by less than this [mm] is drawn with a trammel.
_ROUND_MM, _ROUND_POINTS = 0.2, 20
#: Radius of a hole, and of the ring that stands for it on paper [mm].
_HOLE_MM, _RING_MM = 1.5, 0.45
#: Heights of capitals on paper [mm].
_NAME_MM, _JOINT_MM, _POINT_MM = (4.0, 3.2, 2.6, 2.1, 1.7, 1.4), (3.0, 2.4, 1.9, 1.5), (1.7, 1.5, 1.3)
#: Between a point and its numbers on paper [mm].
_CLEAR_MM = 0.7
#: The drawing's texts in the DXF are as large as on a page at 1 to this.
_DXF_SCALE = 10.0


def board_tape(value_mm: float, marking: Marking) -> str:
    """Write a length as finely as a template is marked out: whole millimetres, or feet and inches to 1/16 in.

    Parameters
    ----------
    value_mm : float
        A length [mm].
    marking : Marking
        Which tape it is.

    Returns
    -------
    str

    Examples
    --------
    >>> board_tape(434.27, Marking()), board_tape(434.27, Marking(tape="imperial"))
    ('434', '1\\' 5 1/8"')
    """
    return tape_text(value_mm, marking, 16)


def point_pair(point: Array, marking: Marking) -> str:
    """Both numbers of a point on one line, which is never broken.

    Parameters
    ----------
    point : ndarray
        Along and across, shape (2,) [mm].
    marking : Marking
        Which tape it is.

    Returns
    -------
    str

    Examples
    --------
    >>> point_pair(np.array([10.0, 434.2]), Marking()).replace("\\xa0", " ")
    '10 / 434'
    """
    return " / ".join(board_tape(float(value), marking) for value in point).replace(" ", "\u00a0")


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


def round_shape(outline: Array) -> tuple[Array, float] | None:
    """Centre and radius of a round part.

    Parameters
    ----------
    outline : ndarray
        Shape (n, 2) [mm].

    Returns
    -------
    (ndarray, float) or None
        Centre, shape (2,), and radius [mm]; None where it is not round.

    Examples
    --------
    >>> turn = np.arange(48) * 2 * np.pi / 48
    >>> centre, radius = round_shape(110.0 * np.column_stack([np.cos(turn), np.sin(turn)]) + 200.0)
    >>> centre.round(6).tolist(), round(radius, 6)
    ([200.0, 200.0], 110.0)
    """
    if len(outline) < _ROUND_POINTS:
        return None
    centre = np.array(shapely.Polygon(outline).centroid.coords[0])
    radii = np.linalg.norm(outline - centre, axis=1)
    return (centre, float(radii.mean())) if np.ptp(radii) < _ROUND_MM else None


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
        return [[name, words], [name], name.split()]
    short = [name, name.split(", ")[-1]] if len(shape.template.parts) > 1 else [name]
    if len(shape.template.parts) > 1:
        name += f" of {len(shape.template.parts)}"
    return [[name, "half template"] if shape.template.half else [name], *([one] for one in short)]


def _beside(a: Array, b: Array, shares: Sequence[float], off_mm: Array) -> Array:
    """Places along a line, on both sides of it."""
    along = (b - a) / np.linalg.norm(b - a)
    square = np.array([-along[1], along[0]])
    return np.array(
        [a + (b - a) * share + square * off * side for off in off_mm for share in shares for side in (1, -1)]
    )


def _words(shape: SawnShape, room: LabelRoom, marking: Marking, scale: float) -> list[Label]:
    """Name of a part, letters along its joints, and what its fold edge is."""
    home = shapely.Polygon(shape.placed.outline)
    middle = np.array(shape.placed.label_at)
    reach = shape.placed.label_radius_mm
    low, high = shape.placed.outline.min(axis=0), shape.placed.outline.max(axis=0)
    steps = np.array([(0.0, 0.0), (0, 0.4), (0, -0.4), (0.5, 0), (-0.5, 0), (1, 0), (-1, 0), (2, 0), (-2, 0)])
    places = middle + steps * reach
    inside = [place for place in places if (place > low).all() and (place < high).all()]
    tall, ways = [h * scale for h in _NAME_MM], (0.0, math.pi / 2)
    labels: list[Label] = []
    for words in _names(shape, marking):
        labels = labels or room.place(Layer.PART, words, np.array(inside), tall, home, ways)
    if isinstance(shape.shape, JoiningStrip):
        return labels
    sizes = [h * scale for h in _JOINT_MM]
    by_joint: dict[str, list[Array]] = {}
    for letter, tick in shape.shape.ticks:
        by_joint.setdefault(letter, []).append(shape.on_board(tick)[0])
    for letter, marks in by_joint.items():
        places = _beside(
            marks[0],
            marks[-1],
            (0.8, 0.2, 0.35, 0.65, 0.5, 1.15, -0.15),
            np.array([3.2, 4.5, 6.0, 8.0]) * scale,
        )
        labels += room.place(Layer.JOINT, [letter], places, sizes, home)
    if len(shape.shape.fold):
        a, b = shape.on_board(shape.shape.fold)
        upright = abs(b[1] - a[1]) > abs(b[0] - a[0])
        places = _beside(a, b, (0.3, 0.7, 0.5, 0.15, 0.85), np.array([2.0, 3.0, 4.5, 6.0]) * scale)
        labels += room.place(
            Layer.FOLD_EDGE,
            ["fold edge"],
            places,
            [h * scale for h in (2.1, 1.7, 1.4)],
            home,
            (math.pi / 2 if upright else 0.0,),
        )
    return labels


def _ruler(board: SawnBoard, scale: float, marking: Marking) -> tuple[list[Stroke], list[Label]]:
    """Ticks and numbers outside the board, along both edges that meet in corner 0."""
    step = 200.0 if marking.tape is Tape.METRIC else 304.8
    tick, size = 1.5 * scale, 1.7 * scale
    strokes, labels = [], []
    for axis, length in enumerate((board.layout.length_mm, board.layout.width_mm)):
        along, out = np.eye(2)[axis], np.eye(2)[1 - axis]
        for k in range(axis, math.floor(length / step + 1e-9) + 1):
            at = along * k * step
            strokes.append(stroke_of_points(Layer.RULER, [at, at - out * tick]))
            angle = math.pi / 2 if axis else 0.0
            labels.append(
                Label(Layer.RULER, board_tape(k * step, marking), at - 2.0 * tick * out, size, angle)
            )
    return strokes, labels


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
    radius = max(_HOLE_MM, _RING_MM * scale) if on_paper else _HOLE_MM
    strokes = [*_edges(board), *(stroke for shape in board.shapes for stroke in _marked(shape, radius))]
    frame = shapely.box(0.0, 0.0, board.layout.length_mm, board.layout.width_mm)
    discs = [round_shape(shape.placed.outline) for shape in board.shapes]
    dots = [_dot(disc[0], scale) for disc in discs if disc is not None]
    barriers = [*(one for one in strokes if one.layer is not Layer.BOARD_MARGIN), *dots]
    room = LabelRoom(frame, barriers, _CLEAR_MM * scale)
    labels = [label for shape in board.shapes for label in _words(shape, room, marking, scale)]
    notes = []
    homes = [shapely.Polygon(shape.placed.outline) for shape in board.shapes]
    for shape, home, disc in zip(board.shapes, homes, discs, strict=True):
        homeless, others = [], shapely.union_all([other for other in homes if other is not home])
        if disc is not None:
            reach = board_tape(disc[1], marking).replace(" ", "\u00a0")
            notes.append(
                f"{shape.shape.name}: centre\u00a0{point_pair(disc[0], marking)}, radius\u00a0{reach}"
            )
        for point in corners_to_measure(shape.placed.outline) if disc is None else []:
            lines = [board_tape(float(value), marking) for value in point]
            told, leader = room.point_out(
                Layer.MEASURE, lines, point, [h * scale for h in _POINT_MM], home, others
            )
            dots += [_dot(point, scale), *leader]
            labels += told
            if not told:
                homeless.append(point_pair(point, marking))
        if homeless:
            notes.append(f"{shape.shape.name}: {', '.join(homeless)}")
    ticks, numbers = _ruler(board, scale, marking)
    return NotedDrawing(Drawing((*strokes, *dots, *ticks), (*labels, *numbers)), tuple(notes))


def _dot(at: Array, scale: float) -> Stroke:
    turn = np.arange(8) * math.pi / 4
    points = at + 0.3 * scale * np.column_stack([np.cos(turn), np.sin(turn)])
    return stroke_of_points(Layer.MEASURE, points, closed=True)

"""Layouts as drawings to chalk out from: placed outlines, names, cut order, running dimensions.

Glossary: as in `stock.layout`; a *window* is the stretch of cloth that one page shows; *corner 0* is the corner
of the cloth from which every tape runs: *along* its long edge, *across* its short one. Text is sized on paper,
where the page shows the cloth at 1 to *scale*. Every label lies inside its piece; what has no room there is
returned as a *note*, to be written beside the drawing. This module arranges nothing.
"""

import math
from collections.abc import Callable, Iterator, Sequence

import numpy as np
import shapely
from attrs import define, field
from numpy.typing import NDArray

from shellparts.base.units import feet_inches
from shellparts.drawing.noted_page import NotedDrawing
from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke, stroke_of_points
from shellparts.parameters import Marking, Tape
from shellparts.parameters.stocks import Roll
from shellparts.stock.layout import PlacedPiece, StockLayout, running_dimensions

__all__ = ["draw_layout", "tape_text"]

Array = NDArray[np.float64]
#: Heights of capitals on paper [mm], tried from large to small.
_NAME_MM, _POINT_MM = (4.0, 3.2, 2.6, 2.1, 1.7, 1.4), (1.7, 1.5, 1.3)
#: Width of a character over the height of capitals, and of a line with its gap, both generous.
_WIDE, _LINE = 0.9, 1.5
#: Clear paper between a label and the outline of its piece [mm].
_CLEAR_MM = 0.4
#: Running dimensions are rounded, and may come to lie so far outside the cloth that holds the point [mm].
_ROUNDING_MM = 0.06
#: How far the straight line between two chalked points may leave the cutting line [mm].
_CHALK_MM = 5.0
#: Places of a label about its point, on the border of a square.
_AROUND = np.array(
    [(x, y) for x in np.linspace(-1, 1, 5) for y in np.linspace(-1, 1, 5) if max(abs(x), abs(y)) == 1.0]
)
#: A ring whose points keep to one radius within this [mm] is chalked as a circle.
_ROUND_MM = 1.0


def tape_text(value_mm: float, marking: Marking, finest: int = 8) -> str:
    """Write a length in as few characters as the tape at hand allows.

    Parameters
    ----------
    value_mm : float
        A length [mm].
    marking : Marking
        Which tape it is.
    finest : int
        Inches are told to 1 part in this many [-].

    Returns
    -------
    str
        Whole millimetres without a unit, or feet and inches.

    Examples
    --------
    >>> tape_text(4432.3, Marking()), tape_text(4432.3, Marking(tape="imperial"))
    ('4432', '14\\' 6 1/2"')
    """
    if marking.tape is Tape.IMPERIAL:
        return feet_inches(value_mm, finest).replace(" ft", "'").replace(" in", '"')
    return f"{value_mm:.0f}".replace("-0", "0")


@define
class _Inside:
    """The visible part of one piece, with the labels that have found room in it."""

    shape: shapely.Polygon
    taken: list[shapely.Polygon] = field(factory=list)

    def place(
        self,
        layer: Layer,
        lines: Sequence[str],
        at: Array,
        height: float,
        angle: float = 0.0,
        leader: Array | None = None,
    ) -> list[Label] | None:
        """Set lines about a point, with a leader to them, if they lie inside and clear of others."""
        half = _half_size(lines, height)
        if angle:
            half = half[::-1]
        box = shapely.box(*(at - half), *(at + half))
        if not self.shape.contains(box) or any(box.intersects(other) for other in self.taken):
            return None
        if leader is not None:
            drawn = shapely.LineString(leader)
            if any(drawn.intersects(other) for other in self.taken):
                return None
            self.taken.append(drawn)
        self.taken.append(box)
        down = np.array([math.sin(angle), -math.cos(angle)])
        middle = (len(lines) - 1) / 2
        return [
            Label(layer, line, at + down * (k - middle) * _LINE * height, height, angle)
            for k, line in enumerate(lines)
        ]


def _half_size(lines: Sequence[str], height: float) -> Array:
    """Half the box of level lines of text."""
    return np.array([max(map(len, lines)) * _WIDE, len(lines) * _LINE]) * height / 2


def _visible(placed: PlacedPiece, window: shapely.Polygon) -> list[shapely.Polygon]:
    """Parts of a piece in the window, the largest first."""
    parts = shapely.get_parts(shapely.Polygon(placed.outline).intersection(window))
    solid = [part for part in parts if part.geom_type == "Polygon" and part.area > 0.0]
    return sorted(solid, key=lambda part: -part.area)


def _named(inside: _Inside, placed: PlacedPiece, scale: float) -> list[Label]:
    """Cut order and name, as large as there is room for; the order alone where the name is too long."""
    if inside.shape.is_empty:
        return []
    circle = shapely.maximum_inscribed_circle(inside.shape, tolerance=scale * 0.2)
    places = [np.array(circle.coords[0]), np.array(inside.shape.centroid.coords[0])]
    if inside.shape.contains(shapely.Point(placed.label_at)):
        places.insert(0, np.array(placed.label_at))
    places += [places[0] + [0.0, share * circle.length] for share in (0.5, -0.5)]
    name = f"{placed.order}. {placed.name.replace('_', ' ')}"
    for words in ([name, "face down"] if placed.face_down else [name], [f"{placed.order}."]):
        for height in _NAME_MM:
            for at in places:
                for angle in (0.0, math.pi / 2):
                    labels = inside.place(Layer.NAME, words, at, height * scale, angle)
                    if labels is not None:
                        return labels
    return []


def _pointed(
    inside: _Inside, point: Array, lines: Sequence[str], scale: float
) -> tuple[list[Label], list[Stroke]] | None:
    """Running dimensions of a point: beside it, as near the middle of the piece as may be, else farther off with a
    line to the point."""
    middle = np.array(inside.shape.centroid.coords[0])
    for height in _POINT_MM:
        half = _half_size(lines, height * scale)
        reach = half + (_CLEAR_MM + 0.3) * scale
        for times in (1.0, 1.7, 2.5):
            places = point + _AROUND * reach * times
            for at in places[np.argsort(np.linalg.norm(places - middle, axis=1), kind="stable")]:
                leader = np.array([point, np.clip(point, at - half, at + half)]) if times > 1.0 else None
                labels = inside.place(Layer.MEASURE, lines, at, height * scale, leader=leader)
                if labels is not None:
                    return labels, [] if leader is None else [stroke_of_points(Layer.MEASURE, leader)]
    return None


def _circle(outline: Array) -> tuple[Array, float] | None:
    """Centre and radius of a round piece; None for any other."""
    if len(outline) < 20:
        return None
    centre = np.array(shapely.Polygon(outline).centroid.coords[0])
    radii = np.linalg.norm(outline - centre, axis=1)
    return (centre, float(radii.mean())) if np.ptp(radii) < _ROUND_MM else None


def _pair(lines: Sequence[str]) -> str:
    """Along and across on one line, which is never broken."""
    return " / ".join(lines).replace(" ", "\u00a0")


def _dot(at: Array, scale: float) -> Stroke:
    turn = np.arange(8) * math.pi / 4
    return stroke_of_points(
        Layer.MEASURE, at + 0.35 * scale * np.column_stack([np.cos(turn), np.sin(turn)]), closed=True
    )


def _chalked(
    layout: StockLayout, window: shapely.Polygon, scale: float, show: Callable[[float], str]
) -> tuple[list[Stroke], list[Label], list[str]]:
    """Names, and points with their running dimensions, of all pieces in the window."""
    points: dict[int, list[Array]] = {}
    by_copy = {(placed.name, placed.copy): placed.order for placed in layout.pieces}
    for mark in running_dimensions(layout, _CHALK_MM):
        order = by_copy[mark.piece, mark.copy]
        points.setdefault(order, []).append(np.array([mark.along_mm, mark.across_mm]))
    strokes: list[Stroke] = []
    labels: list[Label] = []
    notes = []
    for placed in layout.pieces:
        parts = _visible(placed, window)
        rooms = [
            _Inside(shrunk)
            for part in parts
            for shrunk in shapely.get_parts(part.buffer(-_CLEAR_MM * scale, join_style="mitre"))
            if not shrunk.is_empty  # a sliver of a piece at the page's edge has no room
        ]
        homeless = []
        name = placed.name.replace("_", " ")
        ring = _circle(placed.outline)
        for room in rooms[:1]:
            if ring is not None:
                room.taken.append(shapely.Point(ring[0]).buffer(0.6 * scale))
            labels += _named(room, placed, scale)
        if ring is not None and window.intersects(shapely.Point(ring[0])):
            centre = _pair([show(value) for value in ring[0].tolist()])
            strokes.append(_dot(ring[0], scale))
            notes.append(
                f"{placed.order}. {name}: centre\u00a0{centre}, " + _pair([f"radius {show(ring[1])}"])
            )
        for point in points[placed.order] if ring is None else []:
            if window.distance(shapely.Point(point)) > _ROUNDING_MM:
                continue
            strokes.append(_dot(point, scale))
            lines = [show(point[0]), show(point[1])]
            tried = (_pointed(room, point, lines, scale) for room in rooms)
            found = next((one for one in tried if one is not None), None)
            if found is None:
                homeless.append(_pair(lines))
            else:
                labels += found[0]
                strokes += found[1]
        if homeless:
            notes.append(f"{placed.order}. {name}: {', '.join(homeless)}")
    return strokes, labels, notes


def _lines_in(layer: Layer, points: Array, window: shapely.Polygon) -> Iterator[Stroke]:
    """A closed ring, or what of it lies in the window."""
    if window.contains(shapely.Polygon(points)):
        yield stroke_of_points(layer, points, closed=True)
        return
    inside = shapely.LineString(np.vstack([points, points[:1]])).intersection(window)
    for part in shapely.get_parts(shapely.line_merge(inside)):
        if part.geom_type == "LineString":
            yield stroke_of_points(layer, np.asarray(part.coords))


def _edges(layout: StockLayout, low: float, high: float) -> Iterator[Stroke]:
    """The cloth's edge, and the margin that is cut away."""
    window = shapely.box(low, -1.0, high, layout.width_mm + 1.0)
    long, wide = layout.length_mm, layout.width_mm
    for layer, along, across in (
        (Layer.STOCK, 0.0, 0.0),
        (Layer.MARGIN, *_margin(layout)),
    ):
        ring = np.array(
            [(along, across), (long - along, across), (long - along, wide - across), (along, wide - across)]
        )
        if layer is Layer.STOCK or across > 0.0:
            yield from _lines_in(layer, ring, window)


def _margin(layout: StockLayout) -> tuple[float, float]:
    """Margin along and across [mm]."""
    stock = layout.stock
    return (0.0, stock.edge_mm) if isinstance(stock, Roll) else (stock.hem_mm, stock.hem_mm)


def _ruler(
    layout: StockLayout, low: float, high: float, scale: float, marking: Marking
) -> tuple[list[Stroke], list[Label]]:
    """Ticks and numbers outside the cloth, along both edges that meet in corner 0 and its line across."""
    step = 500.0 if marking.tape is Tape.METRIC else 2 * 304.8
    tick, size = 1.5 * scale, 1.7 * scale
    strokes, labels = [], []
    for k in range(math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9) + 1):
        at = np.array([k * step, 0.0])
        strokes.append(stroke_of_points(Layer.RULER, [at, at - [0.0, tick]]))
        labels.append(Label(Layer.RULER, tape_text(k * step, marking), at - [0.0, 2.0 * tick], size))
    for k in range(1, math.floor(layout.width_mm / step + 1e-9) + 1):
        at = np.array([low, k * step])
        strokes.append(stroke_of_points(Layer.RULER, [at, at - [tick, 0.0]]))
        text = tape_text(k * step, marking)
        labels.append(Label(Layer.RULER, text, at - [2.0 * tick, 0.0], size, math.pi / 2))
    return strokes, labels


def draw_layout(
    layout: StockLayout, marking: Marking, scale: float = 20.0, window: tuple[float, float] | None = None
) -> NotedDrawing:
    """Draw a layout, or a stretch of it.

    Parameters
    ----------
    layout : StockLayout
        A layout with pieces.
    marking : Marking
        Which tape it is chalked out with.
    scale : float
        The drawing is to be printed at 1 to this: decides how large text is [-].
    window : (float, float), optional
        From where to where along the cloth [mm]; all of it unless given.

    Returns
    -------
    NotedDrawing
        Cutting lines, cloth edge, margin and ruler; names with the cut order; each point to chalk with its
        distance along above its distance across, if there is room inside the piece, else among the notes.
    """
    low, high = window if window is not None else (0.0, layout.length_mm)
    shown = shapely.box(low, 0.0, min(high, layout.length_mm), layout.width_mm)

    def show(value: float) -> str:
        return tape_text(value, marking)

    strokes = list(_edges(layout, low, min(high, layout.length_mm)))
    for placed in layout.pieces:
        if shown.intersects(shapely.Polygon(placed.outline)):
            strokes += _lines_in(Layer.CUTTING, placed.outline, shown)
    dots, labels, notes = _chalked(layout, shown, scale, show)
    ticks, numbers = _ruler(layout, low, min(high, layout.length_mm), scale, marking)
    return NotedDrawing(Drawing((*strokes, *dots, *ticks), (*labels, *numbers)), tuple(notes))

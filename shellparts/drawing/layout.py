"""Layouts as drawings to chalk out from: placed outlines, names, cut order, running dimensions, all lines of a piece.

Glossary: as in `stock.layout` and `laid`; a *window* is the stretch of cloth that one page shows; *corner 0* is the
corner of the cloth, or of the window of a roll, from which every tape runs: *along* its long edge, *across* its short
one. Text is sized on paper, where the page shows the cloth at 1 to *scale*. A label stands on its own piece, or off
all others with a leader; a point without room for both numbers has a number of its own, and is a *note* to be written
beside the drawing. This module arranges nothing.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from functools import partial

import numpy as np
import shapely
from attrs import define, evolve, field
from numpy.typing import NDArray

from shellparts.drawing.edge_names import edge_text
from shellparts.drawing.labels import SMALL, LabelRoom, Place
from shellparts.drawing.laid import LaidPiece
from shellparts.drawing.noted_page import NotedDrawing
from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke, arc_of, stroke_of_points
from shellparts.drawing.tape import dot, point_pair, round_shape, ruler, tape_text, unbroken
from shellparts.parameters import Marking, Tape
from shellparts.parameters.stocks import Roll
from shellparts.pattern.naming import INNER_UP, OUTER_UP
from shellparts.stock.layout import PlacedPiece, StockLayout

__all__ = ["draw_layout"]

Array = NDArray[np.float64]
#: Heights of capitals on paper [mm], tried from large to small: 1.8 mm is type of 2.5 mm.
_NAME_MM, _TEXT_MM, _EDGE_MM = (4.0, 3.2, 2.6, 2.1, 1.8), (2.0, 1.8), (1.8,)
#: Many points lie close together here.
_LETTERS = evolve(SMALL, apart=0.0)
#: Clear paper between a label and the outline of its piece, and a point [mm].
_CLEAR_MM, _POINT_CLEAR_MM = 0.4, 1.0
#: Running dimensions are rounded, and may come to lie so far outside the cloth that holds the point [mm].
_ROUNDING_MM = 0.06
#: How far the straight line between two chalked points may leave the cutting line [mm]; one that leaves it by more
#: than the second is shown as curved.
_CHALK_MM, _STRAIGHT_MM = 5.0, 0.5
#: A ring whose points keep to one radius within this [mm] is chalked as a circle.
_ROUND_MM = 1.0
#: Where along an edge its name is tried.
_SHARES = (0.5, 0.4, 0.6, 0.25, 0.75, 0.12, 0.88)
#: Lines that no label may cover.
_BARRIERS = (
    *(Layer.CUTTING, Layer.SEWING, Layer.FINISHED, Layer.LATER),
    *(Layer.FOLD, Layer.OVERLAP, Layer.PATCH, Layer.STRIP, Layer.MARGIN),
)
#: A notch reaches so far into its piece on paper [mm], to be seen.
_NOTCH_MM = 0.9


def _title(placed: PlacedPiece, laid: LaidPiece | None) -> str:
    return f"{placed.order}. {laid.sheet if laid is not None else placed.name}"


def _name_lines(placed: PlacedPiece, laid: LaidPiece | None) -> list[str]:
    """Cut order and place; what it is a copy of where that has another name; which side is up."""
    lines = [_title(placed, laid)]
    if laid is None:
        return [*lines, *[INNER_UP] * placed.face_down]
    side = INNER_UP if placed.face_down else OUTER_UP
    return [*lines, *[f"({placed.name})"] * (laid.sheet != placed.name), side]


@define
class _Chalked:
    """A page as it is filled: one room for the labels of all pieces."""

    layout: StockLayout
    laid: Sequence[LaidPiece]
    window: shapely.Polygon
    scale: float
    show: Callable[[float], str]
    zero: float
    strokes: list[Stroke] = field(factory=list)
    labels: list[Label] = field(factory=list)
    notes: list[str] = field(factory=list)
    room: LabelRoom = field(init=False)
    shapes: list[shapely.Polygon] = field(init=False)
    others: dict[int, shapely.Geometry] = field(factory=dict)
    numbers: int = 0

    def __attrs_post_init__(self) -> None:
        self.shapes = [shapely.Polygon(placed.outline) for placed in self.layout.pieces]
        seen = {k: shape for k, shape in enumerate(self.shapes) if self.window.intersects(shape)}
        for k in seen:  # pieces lie apart: no need to unite them
            self.others[k] = shapely.MultiPolygon([shape for i, shape in seen.items() if i != k])
            shapely.prepare(self.others[k])

    def draw(self, barriers: Sequence[Stroke]) -> NotedDrawing:
        """Names first, then points, edges and patches."""
        self.room = LabelRoom(self.window, _LETTERS, barriers)
        pieces = list(enumerate(self.layout.pieces))
        pieces = [(k, placed) for k, placed in pieces if self.window.intersects(self.shapes[k])]
        for k, placed in pieces:
            self._name(k, placed)
        for k, placed in pieces:
            self._points(k, placed)
        for k, _ in pieces:
            if self.laid:
                self._edges(k)
                self._patches(k)
        return NotedDrawing(Drawing(tuple(self.strokes), tuple(self.labels)), tuple(self.notes))

    def _of(self, k: int) -> LaidPiece | None:
        return self.laid[k] if self.laid else None

    def _pair(self, point: Array) -> str:
        return point_pair(point - [self.zero, 0.0], self.show)

    def _home(self, k: int) -> shapely.Geometry:
        """The largest part of a piece that the window shows, without its rim."""
        parts = shapely.get_parts(self.shapes[k].intersection(self.window))
        largest = max(parts, key=lambda part: float(part.area))
        return largest.buffer(-_CLEAR_MM * self.scale, join_style="mitre")

    def _inside(self, k: int, home: shapely.Geometry) -> shapely.Geometry:
        """Of a home what lies clear of the marks along the sewing line, and of the centre of a round piece."""
        clear = (_NOTCH_MM + _CLEAR_MM) * self.scale
        circle = round_shape(self.layout.pieces[k].outline, _ROUND_MM)
        if circle is not None:
            home = home.difference(shapely.Point(circle[0]).buffer(clear))
        laid = self._of(k)
        if laid is None:
            return home
        ring = np.concatenate([edge.polyline(1.0)[:-1] for edge in laid.piece.edges])
        return home.intersection(shapely.Polygon(laid.on_cloth(ring)).buffer(-clear))

    def _point_out(
        self, k: int, layer: Layer, lines: Sequence[str], at: Array, sizes: Sequence[float], far: bool = False
    ) -> bool:
        """Set lines beside a point of a piece, or off all other pieces with a leader; whether there was room."""
        heights = [size * self.scale for size in sizes]
        told, leader = self.room.point_out(
            layer, lines, at, heights, _POINT_CLEAR_MM * self.scale, self.shapes[k], self.others[k], far
        )
        self.labels += told
        thin = Layer.THIN if layer is Layer.NAME else layer  # a name's would look like a line to cut
        self.strokes += [evolve(one, layer=thin) for one in leader]
        return bool(told)

    def _set_name(self, lines: Sequence[str], places: Sequence[Place], home: shapely.Geometry) -> bool:
        found = self.room.put(Layer.NAME, lines, places, home)
        self.labels += found
        return bool(found)

    def _name(self, k: int, placed: PlacedPiece) -> None:
        """As large as there is room for; fewer lines where there is less."""
        home, laid, scale = self._home(k), self._of(k), self.scale
        if home.is_empty:
            return
        circle = shapely.maximum_inscribed_circle(home, tolerance=scale * 0.2)
        middles = [np.array(circle.coords[0]), np.array(home.centroid.coords[0])]
        if home.contains(shapely.Point(placed.label_at)):
            middles.insert(0, np.array(placed.label_at))
        middles += [middles[0] + [0.0, share * circle.length] for share in (0.5, -0.5)]
        middles += [middles[0] + [share * circle.length, 0.0] for share in (0.5, -0.5, 0.7, -0.7, 1.4, -1.4)]
        lines = _name_lines(placed, laid)
        places = [(h * scale, at, way) for h in _NAME_MM for at in middles for way in (0.0, math.pi / 2)]
        shapes, short = (self._inside(k, home), home), [f"{placed.order}."]
        if any(self._set_name(lines, places, shape) for shape in shapes):
            return
        whole = self.window.contains(self.shapes[k])  # else its name is on another page too
        if whole and self._point_out(k, Layer.NAME, lines, middles[0], _TEXT_MM):
            return
        put = self._set_name(short, places, shapes[0])
        if not put and not self._point_out(k, Layer.NAME, short, middles[0], _TEXT_MM):
            self._set_name(short, places, home)
        self.notes.append(" ".join(lines))

    def _points(self, k: int, placed: PlacedPiece) -> None:
        """Points to chalk with both their numbers, of the outline and of openings."""
        laid = self._of(k)
        title = _title(placed, laid)
        self._ring(k, placed.outline, title)
        holes = [laid.on_cloth(hole) for hole in laid.piece.cutting[1:]] if laid is not None else []
        for hole in holes:
            self._ring(k, hole, f"{title}, opening to cut later")

    def _ring(self, k: int, ring: Array, title: str) -> None:
        circle = round_shape(ring, _ROUND_MM)
        if circle is not None:
            if self.window.intersects(shapely.Point(circle[0])):
                self.strokes.append(dot(circle[0], self.scale))
                radius = unbroken(f"radius {self.show(circle[1])}")
                stepped = self.laid[k].stepped(self.show) if self.laid else ""
                self.notes.append(f"{title}: centre\u00a0{self._pair(circle[0])}, {radius}{stepped}")
            return
        homeless = []
        for point in _chalk_points(ring):
            if self.window.distance(shapely.Point(point)) > _ROUNDING_MM:
                continue
            self.strokes.append(dot(point, self.scale))
            lines = [self.show(value) for value in (point - [self.zero, 0.0]).tolist()]
            if not self._point_out(k, Layer.MEASURE, lines, point, _TEXT_MM):
                homeless.append(point)
        numbered: dict[int, Array] = {}
        homeless = [(point, self._numbered(k, point, numbered)) for point in homeless]
        if homeless:
            found = (unbroken(_beside(point, own, numbered)) + self._pair(point) for point, own in homeless)
            self.notes.append(f"{title}: {', '.join(found)}")

    def _numbered(self, k: int, point: Array, numbered: dict[int, Array]) -> int:
        """The number that a point gets on the drawing; 0 where even that has no room."""
        number = self.numbers + 1
        if not self._point_out(k, Layer.POINT, [f"{number}"], point, _EDGE_MM, far=True):
            return 0
        self.numbers, numbered[number] = number, point
        return number

    def _edges(self, k: int) -> None:
        """Names of edges, each along its inner side, or farther off with a leader."""
        laid, homeless = self.laid[k], []
        flip = -1.0 if laid.placed.face_down else 1.0
        home = self.shapes[k].intersection(self.window)
        for edge in laid.piece.all_edges:
            text = edge_text(laid.piece, edge, laid.seams.get(edge.id, ()))
            ways = [laid.edge_at(edge, share) for share in _SHARES]
            ways = [way for way in ways if self.window.contains(shapely.Point(way[0]))]
            if not ways:
                continue
            sizes = [size * self.scale for size in _EDGE_MM]
            inward = [flip * np.array([-math.sin(heading), math.cos(heading)]) for _, heading in ways]
            places = [
                (size, at + 1.3 * size * out, heading)
                for size in sizes
                for (at, heading), out in zip(ways, inward, strict=True)
            ]
            found = self.room.put(Layer.EDGE, [text], places, home)
            self.labels += found
            if not found and not self._point_out(k, Layer.EDGE, [text], ways[0][0], _EDGE_MM):
                homeless.append(text)
        if homeless:
            self.notes.append(f"{_title(laid.placed, laid)}, edges: {'; '.join(map(unbroken, homeless))}")

    def _patches(self, k: int) -> None:
        """Names of patches and tabs; those that lie one on the other together."""
        laid = self.laid[k]
        by_place: dict[tuple[float, float], list[str]] = {}
        for patch in laid.piece.patches:
            by_place.setdefault((float(patch.at[0]), float(patch.at[1])), []).append(patch.name)
        for at, names in by_place.items():
            middle, text = laid.on_cloth([at])[0], " + ".join(names)
            if self.window.distance(shapely.Point(middle)) > _ROUNDING_MM:
                continue
            self.strokes.append(dot(middle, self.scale))
            lines = [text, *(self.show(value) for value in (middle - [self.zero, 0.0]).tolist())]
            if not self._point_out(k, Layer.PATCH, lines, middle, _EDGE_MM):
                self.notes.append(f"{_title(laid.placed, laid)}: {text} at\u00a0{self._pair(middle)}")


def _beside(point: Array, own: int, numbered: dict[int, Array]) -> str:
    """A point's number; or that of the nearest on the same outline, where it has none itself."""
    if own:
        return f"({own}) "
    nearest = min(numbered, key=lambda n: float(np.hypot(*(numbered[n] - point))), default=0)
    return f"near ({nearest}) " if nearest else ""


def _chalk_points(ring: Array) -> Array:
    """Points to chalk along a ring, shape (n, 2) [mm]: every corner, and as many of a curve as it takes."""
    return np.asarray(shapely.simplify(shapely.Polygon(ring), _CHALK_MM).exterior.coords)[:-1].round(1)


def _curves(ring: Array) -> Iterator[Stroke]:
    """The stretches of a ring between points to chalk that are not straight."""
    if round_shape(ring, _ROUND_MM) is not None:
        return
    kept = np.asarray(shapely.simplify(shapely.Polygon(ring), _CHALK_MM).exterior.coords)[:-1]
    number = {tuple(point): i for i, point in enumerate(ring.tolist())}
    at = [number[tuple(point)] for point in kept.tolist()]
    step = 1 if (at[1] - at[0]) % len(ring) <= (at[0] - at[1]) % len(ring) or len(at) < 3 else -1
    for a, b in zip(at, at[1:] + at[:1], strict=True):
        count = (step * (b - a)) % len(ring) + 1
        points = ring[[(a + step * i) % len(ring) for i in range(count)]]
        line = shapely.LineString(points[[0, -1]])
        if count > 2 and shapely.distance(line, shapely.points(points)).max() > _STRAIGHT_MM:
            yield stroke_of_points(Layer.CURVE, points)


def _shown(stroke: Stroke, window: shapely.Polygon) -> Iterator[Stroke]:
    """A stroke as it is where the window holds all of it; else what of it lies there, arcs as short lines."""
    if window.contains(shapely.box(*np.concatenate(Drawing((stroke,)).box))):
        yield stroke
        return
    points = _straightened(stroke)
    inside = shapely.LineString(points).intersection(window)
    for part in shapely.get_parts(shapely.line_merge(inside)):
        if part.geom_type == "LineString":
            yield stroke_of_points(stroke.layer, np.asarray(part.coords))


def _longer(tick: Stroke, by_mm: float) -> Stroke:
    """A tick that begins so much farther inside its piece."""
    start, end = tick.points
    return stroke_of_points(tick.layer, [start - by_mm * (end - start) / np.linalg.norm(end - start), end])


def _straightened(stroke: Stroke) -> Array:
    """Points along a stroke, its arcs in short steps, shape (n, 2) [mm]."""
    points, following = stroke.points, np.roll(stroke.points, -1, axis=0)
    found = []
    for a, b, bulge in zip(points, following, stroke.bulges, strict=True):
        found.append(a[None])
        if bulge:
            centre, radius, start, sweep = arc_of(a, b, float(bulge))
            turns = start + sweep * np.linspace(0.0, 1.0, 25)[1:-1]
            found.append(centre + radius * np.column_stack([np.cos(turns), np.sin(turns)]))
    return np.concatenate([*found, points[:1]] if stroke.closed else found)


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
    long, wide, stock = layout.length_mm, layout.width_mm, layout.stock
    margin = (0.0, stock.edge_mm) if isinstance(stock, Roll) else (stock.hem_mm, stock.hem_mm)
    for layer, (x, y) in ((Layer.STOCK, (0.0, 0.0)), (Layer.MARGIN, margin)):
        if layer is Layer.STOCK or y > 0.0:
            yield from _lines_in(
                layer, np.array([(x, y), (long - x, y), (long - x, wide - y), (x, wide - y)]), window
            )


def draw_layout(
    layout: StockLayout,
    marking: Marking,
    scale: float = 20.0,
    window: tuple[float, float] | None = None,
    laid: Sequence[LaidPiece] = (),
    zero: float = 0.0,
    on_paper: bool = False,
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
    laid : sequence of LaidPiece, optional
        The pieces of the layout with their places and lines; without them outlines alone are drawn.
    zero : float
        From where along the cloth the tape runs [mm].
    on_paper : bool
        Whether notches are drawn longer than they are, to be seen on a small page.

    Returns
    -------
    NotedDrawing
        Cutting lines with their curved stretches shaded, every line of the pieces, cloth edge, margin and ruler;
        names with the cut order and the side that is up; each point to chalk with its distance along above its
        distance across; edges and patches. What has no room is among the notes.
    """
    low, high = window if window is not None else (0.0, layout.length_mm)
    high = min(high, layout.length_mm)
    shown = shapely.box(low, 0.0, high, layout.width_mm)
    strokes = list(_edges(layout, low, high))
    for placed in layout.pieces:
        if shown.intersects(shapely.Polygon(placed.outline)):
            strokes += _lines_in(Layer.CUTTING, placed.outline, shown)
            strokes += [part for curve in _curves(placed.outline) for part in _shown(curve, shown)]
    near = [one for one in laid if shown.intersects(shapely.Polygon(one.placed.outline))]
    lines = [stroke for one in near for stroke in one.lines]
    if on_paper:
        lines = [_longer(one, _NOTCH_MM * scale) if one.layer is Layer.NOTCH else one for one in lines]
    strokes += [part for stroke in lines for part in _shown(stroke, shown)]
    barriers = [stroke for stroke in strokes if stroke.layer in _BARRIERS]
    page = _Chalked(layout, laid, shown, scale, partial(tape_text, marking=marking), zero)
    chalked = page.draw(barriers)
    step = 500.0 if marking.tape is Tape.METRIC else 2 * 304.8
    around = ruler(low, high, layout.width_mm, step, scale, marking, zero)
    return NotedDrawing(Drawing(tuple(strokes)) + chalked.drawing + around, chalked.notes)

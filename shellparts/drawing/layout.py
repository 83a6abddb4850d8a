"""Layouts as drawings to chalk out from: placed outlines, names, cut order, running dimensions.

Glossary: as in `stock.layout`; a *window* is the stretch of cloth that one page shows; *corner 0* is the corner
of the cloth from which every tape runs: *along* its long edge, *across* its short one. Text is sized on paper,
where the page shows the cloth at 1 to *scale*. Every label lies inside its piece; what has no room there is
returned as a *note*, to be written beside the drawing. This module arranges nothing.
"""

import math
from collections.abc import Iterator
from functools import partial

import numpy as np
import shapely
from attrs import evolve
from numpy.typing import NDArray

from shellparts.drawing.labels import SMALL, LabelRoom
from shellparts.drawing.noted_page import NotedDrawing
from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke, stroke_of_points
from shellparts.drawing.tape import dot, point_pair, round_shape, ruler, tape_text, unbroken
from shellparts.parameters import Marking, Tape
from shellparts.parameters.stocks import Roll
from shellparts.stock.layout import PlacedPiece, StockLayout, running_dimensions

__all__ = ["draw_layout"]

Array = NDArray[np.float64]
#: Heights of capitals on paper [mm], tried from large to small.
_NAME_MM, _POINT_MM = (4.0, 3.2, 2.6, 2.1, 1.7, 1.4), (1.7, 1.5, 1.3)
#: Many points lie close together here.
_LETTERS = evolve(SMALL, apart=0.0)
#: Clear paper between a label and the outline of its piece, and a point [mm].
_CLEAR_MM, _POINT_CLEAR_MM = 0.4, 0.7
#: Running dimensions are rounded, and may come to lie so far outside the cloth that holds the point [mm].
_ROUNDING_MM = 0.06
#: How far the straight line between two chalked points may leave the cutting line [mm].
_CHALK_MM = 5.0
#: A ring whose points keep to one radius within this [mm] is chalked as a circle.
_ROUND_MM = 1.0


def _rooms(placed: PlacedPiece, window: shapely.Polygon, scale: float) -> list[LabelRoom]:
    """Room in each part of a piece that the window shows, the largest first."""
    parts = shapely.get_parts(shapely.Polygon(placed.outline).intersection(window))
    solid = [part for part in parts if part.geom_type == "Polygon" and part.area > 0.0]
    shrunk = [
        part.buffer(-_CLEAR_MM * scale, join_style="mitre") for part in sorted(solid, key=lambda p: -p.area)
    ]
    return [LabelRoom(part, _LETTERS) for part in shapely.get_parts(shrunk) if not part.is_empty]


def _name(room: LabelRoom, placed: PlacedPiece, scale: float) -> list[Label]:
    """Cut order and name, as large as there is room for; the order alone where the name is too long."""
    circle = shapely.maximum_inscribed_circle(room.home, tolerance=scale * 0.2)
    middles = [np.array(circle.coords[0]), np.array(room.home.centroid.coords[0])]
    if room.home.contains(shapely.Point(placed.label_at)):
        middles.insert(0, np.array(placed.label_at))
    middles += [middles[0] + [0.0, share * circle.length] for share in (0.5, -0.5)]
    places = [(h * scale, at, way) for h in _NAME_MM for at in middles for way in (0.0, math.pi / 2)]
    name = [f"{placed.order}. {placed.name.replace('_', ' ')}", *["face down"] * placed.face_down]
    return room.put(Layer.NAME, name, places) or room.put(Layer.NAME, [f"{placed.order}."], places)


def _chalked(layout: StockLayout, window: shapely.Polygon, scale: float, marking: Marking) -> NotedDrawing:
    """Names, and points with their running dimensions, of all pieces in the window."""
    show = partial(tape_text, marking=marking)
    points: dict[tuple[str, int], list[Array]] = {}
    for mark in running_dimensions(layout, _CHALK_MM):
        points.setdefault((mark.piece, mark.copy), []).append(np.array([mark.along_mm, mark.across_mm]))
    strokes: list[Stroke] = []
    labels: list[Label] = []
    notes = []
    for placed in layout.pieces:
        rooms = _rooms(placed, window, scale)
        title = f"{placed.order}. {placed.name.replace('_', ' ')}"
        ring = round_shape(placed.outline, _ROUND_MM)
        if ring is not None and rooms:
            rooms[0].taken.append(shapely.Point(ring[0]).buffer(0.6 * scale))
        labels += _name(rooms[0], placed, scale) if rooms else []
        if ring is not None:
            if window.intersects(shapely.Point(ring[0])):
                strokes.append(dot(ring[0], scale))
                radius = unbroken(f"radius {show(ring[1])}")
                notes.append(f"{title}: centre\u00a0{point_pair(ring[0], show)}, {radius}")
            continue
        homeless = []
        for point in points[placed.name, placed.copy]:
            if window.distance(shapely.Point(point)) > _ROUNDING_MM:
                continue
            strokes.append(dot(point, scale))
            lines, heights = [show(value) for value in point.tolist()], [h * scale for h in _POINT_MM]
            tried = (
                room.point_out(Layer.MEASURE, lines, point, heights, _POINT_CLEAR_MM * scale, room.home)
                for room in rooms
            )
            told, leader = next((one for one in tried if one[0]), ([], []))
            labels += told
            strokes += leader
            if not told:
                homeless.append(point_pair(point, show))
        if homeless:
            notes.append(f"{title}: {', '.join(homeless)}")
    return NotedDrawing(Drawing(tuple(strokes), tuple(labels)), tuple(notes))


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
    high = min(high, layout.length_mm)
    shown = shapely.box(low, 0.0, high, layout.width_mm)
    strokes = list(_edges(layout, low, high))
    for placed in layout.pieces:
        if shown.intersects(shapely.Polygon(placed.outline)):
            strokes += _lines_in(Layer.CUTTING, placed.outline, shown)
    chalked = _chalked(layout, shown, scale, marking)
    step = 500.0 if marking.tape is Tape.METRIC else 2 * 304.8
    around = ruler(low, high, layout.width_mm, step, scale, marking)
    return NotedDrawing(Drawing(tuple(strokes)) + chalked.drawing + around, chalked.notes)

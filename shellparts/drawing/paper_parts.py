"""One part of a paper model: a sheet of the room, small, with its tabs, folds and names.

Glossary: a *part* stands for one sheet, so a piece that is cut ten times gives ten parts, each with its own
seam numbers. The outline is the sewing line: paper has no allowances. Of the two edges of a seam the one
named second carries the *tab*.

This module does not know pages.
"""

import math
from collections.abc import Iterator, Mapping, Sequence

import numpy as np
import shapely
from attrs import frozen
from numpy.typing import NDArray

from shellparts.drawing.labels import CAPITALS, PRINTED, LabelRoom, Place
from shellparts.drawing.paper_tabs import tab_teeth
from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke, stroke_of_points
from shellparts.pattern.made import Pattern
from shellparts.pattern.pieces import Piece, PieceEdge
from shellparts.unroll.outline import Form

__all__ = ["PaperPart", "paper_parts"]

Array = NDArray[np.float64]
#: A sheet and its edge.
Side = tuple[str, str]
Names = Mapping[Side, Sequence[str]]
#: Largest distance of a printed line from the curve it stands for [mm on paper].
_SAGITTA_MM = 0.02
_FLAT_FOLD_RAD = 1e-3
#: Heights of letters that are tried [mm].
_ALONG_TEXT_MM, _ACROSS_TEXT_MM = (1.8, 1.5, 1.2), (1.2, 0.9, 0.75, 0.6)
#: Between a part's name and its edges [mm].
_CLEAR_MM = 0.8
#: Where along an edge its seam number is tried.
_SHARES = (0.5, 0.4, 0.6, 0.25, 0.75)
#: A seam number across an edge is not higher than this share of it, so that neighbours leave each other room.
_ACROSS_SHARE = 0.35
_NAME_TEXT_MM = (4.0, 3.2, 2.5, 2.0, 1.6, 1.3, 1.0, 0.8)


@frozen(eq=False)
class PaperPart:
    """The part of one sheet, ready to be laid on a page: its lines and names and its shape with the tabs [mm on paper],
    and how many teeth each seam has on it.
    """

    sheet: str
    drawing: Drawing
    shape: shapely.Geometry
    tabs: Mapping[str, int]


def paper_parts(pattern: Pattern, scale: int) -> list[PaperPart]:
    """Every part of a model at 1 to a scale: one for each sheet of the room."""
    turns = {(piece.name, edge.id): _turn(edge) for piece in pattern.pieces for edge in piece.all_edges}
    names: dict[Side, list[str]] = {}
    tabs: dict[Side, tuple[str, float]] = {}
    for seam in pattern.seams:
        bend = max(turns[place] for place in zip(seam.pieces, seam.edges, strict=True))
        for place in dict.fromkeys(zip(seam.sheets, seam.edges, strict=True)):
            names.setdefault(place, []).append(seam.id)
        tabs[seam.sheets[1], seam.edges[1]] = (seam.id, bend)
    return [_part(piece, sheet, scale, names, tabs) for piece in pattern.pieces for sheet in piece.sheets]


def _turn(edge: PieceEdge) -> float:
    """How far an edge turns along its length, corners left out [rad]."""
    return sum(float(np.abs(np.diff(flat.heading)).sum()) for flat in edge.flat if flat.form is not Form.LINE)


def _part(
    piece: Piece,
    sheet: str,
    scale: int,
    names: Names,
    tabs: Mapping[Side, tuple[str, float]],
) -> PaperPart:
    sagitta = _SAGITTA_MM * scale
    stretches = {edge.id: [flat.polyline(sagitta) / scale for flat in edge.flat] for edge in piece.all_edges}
    loops = (piece.edges, *piece.holes)
    rings = [
        np.concatenate([points[:-1] for edge in loop for points in stretches[edge.id]]) for loop in loops
    ]
    inside = shapely.Polygon(rings[0], rings[1:])
    strokes: list[Stroke] = []
    teeth: list[shapely.Polygon] = []
    counts: dict[str, int] = {}
    for edge in piece.all_edges:
        whole = np.concatenate([*(points[:-1] for points in stretches[edge.id]), stretches[edge.id][-1][-1:]])
        tab = tabs.get((sheet, edge.id))
        made = tab_teeth(stretches[edge.id], tab[1], [inside, *teeth]) if tab else []
        strokes.append(stroke_of_points(Layer.FOLD if made else Layer.CUTTING, whole))
        if tab:
            counts[tab[0]] = len(made)
        strokes += _tooth_lines(made, shapely.LineString(whole))
        teeth += made
    folds = list(_folds(piece, sagitta, scale))
    strokes += folds
    lines = [shapely.LineString(fold.points) for fold in folds]
    room = LabelRoom(inside.difference(shapely.union_all([line.buffer(0.2) for line in lines])), CAPITALS)
    labels = [*_seam_labels(piece, sheet, scale, names, room), *_name_label(sheet, inside, lines, room)]
    return PaperPart(
        sheet, Drawing(tuple(strokes), tuple(labels)), shapely.union_all([inside, *teeth]), counts
    )


def _tooth_lines(teeth: Sequence[shapely.Polygon], edge: shapely.LineString) -> Iterator[Stroke]:
    """Outlines of teeth, where they are not the edge itself."""
    near = edge.buffer(0.2)
    for tooth in teeth:
        free = shapely.line_merge(tooth.exterior.difference(near))
        for part in shapely.get_parts(free):
            # Reach the edge again, which the strip around it cut off.
            points = np.asarray(part.coords)
            ends = [
                np.asarray(edge.interpolate(edge.project(shapely.Point(p))).coords[0])
                for p in points[[0, -1]]
            ]
            reach = [
                end if np.hypot(*(end - p)) < 0.5 else p for end, p in zip(ends, points[[0, -1]], strict=True)
            ]
            yield stroke_of_points(Layer.CUTTING, np.vstack([reach[0], points, reach[1]]))


def _folds(piece: Piece, sagitta: float, scale: int) -> Iterator[Stroke]:
    for fold in piece.outline.folds:
        points = fold.edge.polyline(sagitta) / scale
        if fold.angle_rad > _FLAT_FOLD_RAD:
            yield stroke_of_points(Layer.FOLD, points)
        elif fold.angle_rad < -_FLAT_FOLD_RAD:
            yield stroke_of_points(Layer.CENTRE, points)


def _seam_labels(piece: Piece, sheet: str, scale: int, names: Names, room: LabelRoom) -> Iterator[Label]:
    """Seam numbers beside the inner side of their edges; across a short edge where they do not fit along it.

    The first place counts that is nearer to the edge than to others; where there is none, the first that fits.
    """
    lines = {e.id: shapely.LineString(e.polyline(_SAGITTA_MM * scale) / scale) for e in piece.all_edges}
    for edge in piece.all_edges:
        words = [" ".join(names.get((sheet, edge.id), ()))]
        places = _along_and_across(edge, scale, CAPITALS.width(words[0])) if words[0] else []
        if not places:
            continue
        others = shapely.union_all([line for other, line in lines.items() if other != edge.id])
        boxes = CAPITALS.boxes(words, places)
        free = room.free(boxes)
        near = free & (shapely.distance(lines[edge.id], boxes) < shapely.distance(others, boxes))
        found = np.flatnonzero(near if near.any() else free)
        if len(found):
            yield from room.set(Layer.EDGE, words, places[found[0]])


def _along_and_across(edge: PieceEdge, scale: int, wide: float) -> list[Place]:
    """Places along an edge, its middle first, then across it, for words so wide per height of their capitals."""
    long = edge.length_mm / scale
    highest = max(_ACROSS_SHARE * long, _ACROSS_TEXT_MM[-1])
    low = [h for h in _ACROSS_TEXT_MM if h <= highest]
    tried = [(h, share, False) for h in _ALONG_TEXT_MM for share in _SHARES if (wide + 2) * h <= long]
    tried += [(h, share, True) for shares in (_SHARES[:1], _SHARES[1:]) for h in low for share in shares]
    places = []
    for height, share, is_across in tried:
        at, heading = edge.at(edge.length_mm * share)
        away = wide * height / 2 + 0.3 if is_across else height + 0.3
        middle = at / scale + away * np.array([-math.sin(heading), math.cos(heading)])
        places.append((height, middle, heading + math.pi / 2 if is_across else heading))
    return places


def _name_label(
    sheet: str, inside: shapely.Polygon, lines: Sequence[shapely.Geometry], room: LabelRoom
) -> list[Label]:
    """Name of the sheet, as large as there is room for."""
    home = inside.buffer(-_CLEAR_MM).difference(shapely.union_all([line.buffer(0.3) for line in lines]))
    left, low, right, high = inside.bounds
    middles = [np.asarray(shapely.maximum_inscribed_circle(inside).coords[0])] + [
        np.array([left + (right - left) * x, low + (high - low) * y])
        for y in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9)
        for x in (0.5, 0.3, 0.7, 0.15, 0.85)
    ]
    named = LabelRoom(home, PRINTED)
    named.taken = room.taken
    return named.put(
        Layer.NAME,
        [sheet],
        [(h, at, way) for h in _NAME_TEXT_MM for at in middles for way in (0.0, math.pi / 2)],
    )

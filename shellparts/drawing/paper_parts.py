"""One part of a paper model: a sheet of the room, small, with its tabs, folds and names.

Glossary: a *part* stands for one sheet, so a piece that is cut ten times gives ten parts, each with its own
seam numbers. The outline is the sewing line: paper has no allowances. The printed side is the outer side. Of the two
edges of a seam the one named second carries the *tab*, which is glued behind the other sheet. Where the two meet at a
ridge it is folded *back*, away from the print; where they meet in a groove, as a tube and the shell it goes through, it
is folded *towards* the print; where one goes on in the other it stays *flat*.

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
from shellparts.parameters.part import Role
from shellparts.pattern.made import Pattern
from shellparts.pattern.pieces import Piece, PieceEdge, Seam
from shellparts.pattern.seam_kinds import JOIN
from shellparts.unroll.outline import Form

__all__ = ["BACK", "FLAT", "TOWARDS", "PaperPart", "led", "paper_parts", "tab_fold"]

Array = NDArray[np.float64]
#: A sheet and its edge.
Side = tuple[str, str]
Names = Mapping[Side, Sequence[str]]
#: Largest distance of a printed line from the curve it stands for [mm on paper].
_SAGITTA_MM = 0.02
_FLAT_FOLD_RAD = 1e-3
#: Heights of letters that are tried [mm].
_SEAM_TEXT_MM = (2.4, 2.0)
#: A panel stands on this level; what of it lies below is a flap on the floor [mm].
_FLOOR_MM = 0.05
#: Edges with tabs that are shorter than this share teeth [mm].
_SHORT_EDGE_MM = 3.2
#: A line for each way of folding.
BACK, TOWARDS, FLAT = Layer.FOLD, Layer.CENTRE, Layer.OVERLAP
#: Between a part's name and its edges [mm].
_CLEAR_MM = 0.8
#: A seam number is so much nearer to its own edge than to others [mm].
_NEARER_MM = 0.4
#: Where along an edge its seam number is tried.
_SHARES = (0.5, 0.4, 0.6, 0.25, 0.75)
_NAME_TEXT_MM = (4.0, 3.2, 2.5, 2.0)
#: How far words may stand from what they name [mm]; on a part smaller than the second they stand beside it.
_BESIDE_MM, _SMALL_PART_MM = 40.0, 20.0


@frozen
class Tab:
    """A seam that an edge carries the tab of: its id, how far the edge turns [rad], how the tab is folded, and whether
    it joins panels, which may lie on the floor with their lower ends.
    """

    seam: str
    turn_rad: float
    fold: Layer
    of_panels: bool

    def fold_at(self, points: Array) -> Layer:
        """How the tab is folded along a stretch of its edge; flaps that are one with their panels lie flat."""
        return FLAT if self.of_panels and float(points[:, 1].max()) < _FLOOR_MM else self.fold


@frozen(eq=False)
class PaperPart:
    """The part of one sheet, ready to be laid on a page: its lines and names, its shape with the tabs, the same with
    the words beside it [mm on paper], and how many teeth each seam has on it.
    """

    sheet: str
    drawing: Drawing
    shape: shapely.Geometry
    with_words: shapely.Geometry
    tabs: Mapping[str, int]


def paper_parts(pattern: Pattern, scale: int) -> list[PaperPart]:
    """Every part of a model at 1 to a scale: one for each sheet of the room."""
    turns = {(piece.name, edge.id): _turn(edge) for piece in pattern.pieces for edge in piece.all_edges}
    names: dict[Side, list[str]] = {}
    tabs: dict[Side, Tab] = {}
    roles = {sheet: piece.kind.role for piece in pattern.pieces for sheet in piece.sheets}
    for seam in pattern.seams:
        bend = max(turns[place] for place in zip(seam.pieces, seam.edges, strict=True))
        for place in dict.fromkeys(zip(seam.sheets, seam.edges, strict=True)):
            names.setdefault(place, []).append(seam.id)
        fold = tab_fold(seam, (roles[seam.sheets[0]], roles[seam.sheets[1]]))
        of_panels = {roles[sheet] for sheet in seam.sheets} == {Role.PANEL}
        tabs[seam.sheets[1], seam.edges[1]] = Tab(seam.id, bend, fold, of_panels)
    return [_part(piece, sheet, scale, names, tabs) for piece in pattern.pieces for sheet in piece.sheets]


def tab_fold(seam: Seam, roles: tuple[Role, Role]) -> Layer:
    """Say how the tab of a seam is folded, seen from the printed side, which is the outer one.

    Parameters
    ----------
    seam : Seam
    roles : (Role, Role)
        Of its two sheets.

    Returns
    -------
    Layer
        `BACK` at a ridge, `TOWARDS` in a groove, `FLAT` where one sheet goes on in the other.
    """
    if seam.sheets[0] == seam.sheets[1] or seam.seam_class == JOIN or set(roles) == {Role.FLAP}:
        return FLAT
    return TOWARDS if set(roles) == {Role.PANEL, Role.TUBE} else BACK


def _turn(edge: PieceEdge) -> float:
    """How far an edge turns along its length, corners left out [rad]."""
    return sum(float(np.abs(np.diff(flat.heading)).sum()) for flat in edge.flat if flat.form is not Form.LINE)


def _part(
    piece: Piece,
    sheet: str,
    scale: int,
    names: Names,
    tabs: Mapping[Side, Tab],
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
    for run in _runs(piece, sheet, tabs, stretches):
        own = [tabs[sheet, edge.id] for edge in run if (sheet, edge.id) in tabs]
        parts = [points for edge in run for points in stretches[edge.id]]
        whole = np.concatenate([*(points[:-1] for points in parts), parts[-1][-1:]])
        smooth = [whole] if len(run) > 1 else parts
        made = tab_teeth(smooth, max(tab.turn_rad for tab in own), [inside, *teeth]) if own else []
        if made:
            strokes += [stroke_of_points(own[0].fold_at(points), points) for points in smooth]
        else:
            strokes.append(stroke_of_points(Layer.CUTTING, whole))
        counts |= {tab.seam: len(made) for tab in own}
        strokes += _tooth_lines(made, shapely.LineString(whole))
        teeth += made
    folds = list(_folds(piece, sagitta, scale))
    strokes += folds
    lines = [shapely.LineString(fold.points) for fold in folds]
    room = LabelRoom(inside.difference(shapely.union_all([line.buffer(0.2) for line in lines])), CAPITALS)
    shape = shapely.union_all([inside, *teeth])
    labels = _name_label(sheet, inside, lines, room)
    beside = LabelRoom(shape.buffer(_BESIDE_MM).difference(shape.buffer(_CLEAR_MM)), CAPITALS)
    told, leaders = _seam_labels(piece, sheet, scale, names, (room, beside))
    labels += told
    if not any(label.layer is Layer.NAME for label in labels):
        middle = np.asarray(inside.centroid.coords[0])
        ways = (led(beside, [sheet], middle, turn, Layer.NAME) for turn in np.arange(24) * math.pi / 12)
        for found, line in [one for one in ways if one is not None][:1]:
            labels, leaders = [*labels, *found], [*leaders, *line]
    words = shapely.union_all([shape, *beside.taken])
    return PaperPart(sheet, Drawing((*strokes, *leaders), tuple(labels)), shape, words, counts)


def _runs(
    piece: Piece, sheet: str, tabs: Mapping[Side, Tab], stretches: Mapping[str, Sequence[Array]]
) -> Iterator[list[PieceEdge]]:
    """Edges one by one; neighbours with tabs that are too short for teeth of their own together."""
    for loop in (piece.edges, *piece.holes):
        run: list[PieceEdge] = []
        for edge in loop:
            long = sum(float(np.hypot(*np.diff(points, axis=0).T).sum()) for points in stretches[edge.id])
            if (sheet, edge.id) not in tabs or long >= _SHORT_EDGE_MM:
                yield from filter(None, (run, [edge]))
                run = []
                continue
            run.append(edge)
            if len(run) * long >= _SHORT_EDGE_MM:
                yield run
                run = []
        if run:
            yield run


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
            yield stroke_of_points(BACK, points)
        elif fold.angle_rad < -_FLAT_FOLD_RAD:
            yield stroke_of_points(TOWARDS, points)


def _seam_labels(
    piece: Piece, sheet: str, scale: int, names: Names, rooms: tuple[LabelRoom, LabelRoom]
) -> tuple[list[Label], list[Stroke]]:
    """Seam numbers beside the inner side of their edges, across a short edge where they do not fit along it; else with
    a leader, on the part or beside it.
    """
    lines = {e.id: shapely.LineString(e.polyline(_SAGITTA_MM * scale) / scale) for e in piece.all_edges}
    inside, beside = rooms
    size = np.ptp(np.vstack([np.asarray(line.coords) for line in lines.values()]), axis=0)
    labels: list[Label] = []
    leaders: list[Stroke] = []
    for edge in piece.all_edges:
        words = [" ".join(names.get((sheet, edge.id), ()))]
        if not words[0]:
            continue
        places = _along_and_across(edge, scale, CAPITALS.width(words[0]))
        others = shapely.union_all([line for other, line in lines.items() if other != edge.id])
        boxes = CAPITALS.boxes(words, places)
        free = inside.free(boxes) & (
            shapely.distance(lines[edge.id], boxes) + _NEARER_MM < shapely.distance(others, boxes)
        )
        found = np.flatnonzero(free)
        if len(found):
            labels += inside.set(Layer.EDGE, words, places[found[0]])
            continue
        at, heading = edge.at(edge.length_mm / 2)
        out = heading - math.pi / 2
        told = led(inside, words, at / scale, out + math.pi) if max(size) > _SMALL_PART_MM else None
        told = told or led(beside, words, at / scale, out)
        if told is not None:
            labels, leaders = [*labels, *told[0]], [*leaders, *told[1]]
    return labels, leaders


def led(
    room: LabelRoom, words: Sequence[str], at: Array, way: float, layer: Layer = Layer.EDGE
) -> tuple[list[Label], list[Stroke]] | None:
    """Words with a thin line to a point, about straight off it in some direction, as near as there is room.

    Long words may begin at the point itself: there is no line then.
    """
    turns = way + np.array([0.0, 0.15, -0.15, 0.3, -0.3, 0.5, -0.5])
    reaches = np.arange(3.0, _BESIDE_MM, 1.0)
    off = reaches[:, None, None] * np.column_stack([np.cos(turns), np.sin(turns)])
    places = [(_SEAM_TEXT_MM[-1], at + one, 0.0) for one in off.reshape(-1, 2)]
    boxes = CAPITALS.boxes(words, places)
    for k in np.flatnonzero(room.free(boxes)):
        leader = shapely.LineString([at, places[k][1]]).difference(boxes[k].buffer(_CLEAR_MM / 2))
        if not room.covers(leader):
            told = room.set(layer, words, places[k])
            if leader.is_empty:
                return told, []
            room.taken.append(leader)
            return told, [stroke_of_points(Layer.THIN, np.asarray(leader.coords))]
    return None


def _along_and_across(edge: PieceEdge, scale: int, wide: float) -> list[Place]:
    """Places along an edge, its middle first, then across it, for words so wide per height of their capitals."""
    long = edge.length_mm / scale
    tried = [(h, share, False) for h in _SEAM_TEXT_MM for share in _SHARES if (wide + 2) * h <= long]
    tried += [(_SEAM_TEXT_MM[-1], share, True) for share in _SHARES]
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

"""A piece as it is printed: its lines, and its names and words where there is paper for them.

Glossary: see `print_lines`. Every group of pages that hang together says of itself which piece it is and which edges it
shows, because its feet vanish when pages are joined. This module places words; it decides no lines.
"""

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from shellparts.drawing.edge_names import edge_text
from shellparts.drawing.labels import LARGE, LabelRoom
from shellparts.drawing.piece import STANDS, numbers_to_chalk
from shellparts.drawing.piece_marks import patch_names, up_mark
from shellparts.drawing.print_lines import PrintLines
from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke, stroke_of_points
from shellparts.drawing.tiling import Tile, Tiling
from shellparts.parameters.part import Role
from shellparts.pattern.pieces import PieceEdge

__all__ = ["FOLD_WORDS", "print_drawing"]

Array = NDArray[np.float64]
#: What stands beside the fold line, the longest first that has room.
FOLD_WORDS = (
    ("fold line: lay it on the chalked centre line, mark;", "turn the paper over about it, mark again"),
    ("fold line: mark, turn the paper over", "about it, mark again"),
    ("fold line",),
)
#: Heights of capitals [mm], tried from large to small.
_NAME_MM, _EDGE_MM, _FOLD_MM = (16.0, 11.0, 7.0, 5.0, 3.5, 2.5), (6.0, 4.5, 3.5, 2.5), (4.0, 3.2, 2.5)
#: An edge has its name where a group shows this much of it [mm].
_SHOWN_MM = 12.0
_MARGIN_MM = 6.0
#: Room of a point with its number [mm].
_POINT_ROOM_MM = 9.0


def print_drawing(lines: PrintLines, tiling: Tiling, points: Sequence[Array] = ()) -> Drawing:
    """Draw what is printed of a piece.

    Parameters
    ----------
    lines : PrintLines
    tiling : Tiling
        The pages that it is printed on.
    points : sequence of ndarray
        Places that no words may cover, each shape (2,) [mm].

    Returns
    -------
    Drawing
        In the piece's own place, true size [mm].
    """
    piece, groups = lines.piece, tiling.groups
    has_line = lines.is_half or bool(lines.base) or len(groups) > 1
    strokes = list(lines.strokes)
    labels: list[Label] = []
    papers = [_paper(group) for group in groups]
    widest = max(range(len(groups)), key=lambda k: float(papers[k].intersection(lines.sewn).area))
    for k, paper in enumerate(papers):
        barriers = [one for one in lines.strokes if paper.intersects(shapely.LineString(one.points))]
        line = _centre_line(lines, paper) if has_line else []
        room = LabelRoom(paper, LARGE, [*barriers, *line])
        room.taken += [shapely.Point(at).buffer(_POINT_ROOM_MM) for at in points]
        if lines.is_half:
            labels += _fold_words(room, line)
        for edge in piece.all_edges:
            told, leader = _edge_name(lines, edge, paper, room)
            labels, strokes = [*labels, *told], [*strokes, *leader]
        if piece.kind.role is not Role.PATCH and k == widest:
            cloth = _without(paper.intersection(lines.sewn), [*barriers, *line])
            arrows, words = up_mark(room, cloth, 8.0, piece.kind.role in STANDS, numbers_to_chalk(piece))
            room.taken += [shapely.LineString(arrow.points).buffer(2.0) for arrow in arrows]
            labels, strokes = [*labels, *words], [*strokes, *arrows]
        labels += patch_names(piece, paper.intersection(lines.sewn), room)
        labels += _name(lines, paper, room)
        strokes += line
    return Drawing(tuple(strokes), tuple(labels))


def _paper(group: Sequence[Tile]) -> shapely.Geometry:
    """What a group of pages shows, but for its rim."""
    windows = shapely.union_all([shapely.box(*tile.window) for tile in group])
    return windows.buffer(-_MARGIN_MM, join_style="mitre")


def _without(shape: shapely.Geometry, strokes: Sequence[Stroke]) -> shapely.Geometry:
    drawn = [shapely.LineString(stroke.points).buffer(1.0) for stroke in strokes]
    return shape.difference(shapely.union_all(drawn))


def _centre_line(lines: PrintLines, paper: shapely.Geometry) -> list[Stroke]:
    """The centre line as far as a group shows it beside cloth; a little beyond it, to be laid on the chalked line."""
    levels = lines.piece.cutting[0][:, 1]
    whole = shapely.LineString([(0.0, levels.min()), (0.0, levels.max())])
    parts = shapely.get_parts(whole.intersection(paper))
    return [
        stroke_of_points(Layer.CENTRE, np.asarray(part.coords))
        for part in parts
        if part.geom_type == "LineString" and not part.is_empty
    ]


def _fold_words(room: LabelRoom, line: Sequence[Stroke]) -> list[Label]:
    """What to do at the fold line, on its right, read from below."""
    for words in FOLD_WORDS:
        for height in _FOLD_MM:
            off = (0.8 * len(words) + 0.4) * height
            places = [
                (height, np.array([off, y]), math.pi / 2)
                for stroke in line
                for y in _from_the_middle(stroke.points[:, 1].min(), stroke.points[:, 1].max())
            ]
            found = room.put(Layer.NAME, words, places)
            if found:
                return found
    return []


def _from_the_middle(low: float, high: float) -> list[float]:
    levels = np.linspace(low, high, 21)
    return sorted(levels.tolist(), key=lambda y: abs(y - (low + high) / 2))


def _edge_name(
    lines: PrintLines, edge: PieceEdge, paper: shapely.Geometry, room: LabelRoom
) -> tuple[list[Label], list[Stroke]]:
    """Name of an edge that a group shows, and what it becomes turned over; farther off with a leader if it must be."""
    line = shapely.LineString(edge.polyline(0.2))
    kept = line.intersection(shapely.box(0.0, -1e6, 1e6, 1e6)) if lines.is_half else line
    shown = shapely.get_parts(shapely.line_merge(kept.intersection(paper)))
    shown = [part for part in shown if part.length > min(_SHOWN_MM, 0.6 * line.length)]
    if not shown:
        return [], []
    part = max(shown, key=lambda one: float(one.length))
    words = list(_edge_words(lines, edge))
    places = []
    for size in _EDGE_MM:
        off = (0.8 * len(words) + 0.5) * size
        for share in (0.5, 0.35, 0.65, 0.2, 0.8):
            at, heading = edge.at(line.project(part.interpolate(share, normalized=True)))
            inward = np.array([-math.sin(heading), math.cos(heading)])
            places.append((size, at + inward * off, heading))
    found = room.put(Layer.EDGE, words, places)
    if found:
        return found, []
    at = np.asarray(part.interpolate(0.5, normalized=True).coords[0])
    return room.point_out(Layer.EDGE, words, at, _EDGE_MM[1:], 2.0, room.home)


def _edge_words(lines: PrintLines, edge: PieceEdge) -> Iterator[str]:
    yield edge_text(lines.piece, edge)
    partner = lines.partners.get(edge.id, edge.id)
    if partner != edge.id:
        other = next(one for one in lines.piece.all_edges if one.id == partner)
        yield f"turned over: {edge_text(lines.piece, other)}"


def _name(lines: PrintLines, paper: shapely.Geometry, room: LabelRoom) -> list[Label]:
    """Name of the piece on a group, on cloth where it can be, else anywhere."""
    piece = lines.piece
    words = [piece.name, ("right half; " if lines.is_half else "") + f"cut {piece.count}"]
    on_cloth = paper.intersection(lines.cloth)
    for home in (on_cloth, paper):
        if home.is_empty:
            continue
        left, low, right, high = home.bounds
        x, y = np.meshgrid(np.linspace(left, right, 13), np.linspace(high, low, 19))
        middles = np.column_stack([x.ravel(), y.ravel()])
        middles = middles[shapely.contains_xy(home, middles)]
        places = [(size, at, way) for size in _NAME_MM for way in (0.0, math.pi / 2) for at in middles]
        found = room.put(Layer.NAME, words, places, home)
        if found:
            return found
    return []

"""Templates of board for the pieces that are drawn more than once.

Glossary: as in `parts`. From the pieces of a pattern it is decided which get a template (`drawn`),
whether half of it is enough, where it is divided (`joints`) and how its parts are marked (`marks`); what must be
carried over to the cloth from inside its edge goes with each part. Openings and folds are not sawn. This module lays
nothing on boards.
"""

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from attrs import frozen
from numpy.typing import NDArray
from shapely.geometry.polygon import orient

from shellparts.base.tolerances import TOLERANCES
from shellparts.parameters.boards import Boards, Division, TemplateLine
from shellparts.pattern.made import Pattern
from shellparts.pattern.pieces import Piece, PieceEdge
from shellparts.templates.drawn import alike_on_both_sides, outer, shared_templates, ticks_of
from shellparts.templates.joints import divided
from shellparts.templates.marks import joint_letters, marked_joints, tick_on
from shellparts.templates.parts import BoardJoint, BoardPart, BoardTemplate, DrawnPiece

__all__ = ["BoardTemplates", "board_template", "board_templates"]

Array = NDArray[np.float64]
#: A boundary that turns by more than this has a corner there [rad]: sewing line, and the finer cutting line.
_SEWING_TURN_RAD, _CUTTING_TURN_RAD = 0.035, 0.06
#: Between holes along a sewing line, and from a hole to the edge of its part [mm].
_DRILL_STEP_MM, _DRILL_EDGE_MM = 200.0, 3.0
#: Length of a notch that is marked inward from a sewing line [mm].
_NOTCH_INWARD_MM = 10.0


@frozen(eq=False)
class BoardTemplates:
    """All templates of a room, the one drawn round most often first, and the names of pieces without one: those drawn
    too seldom, and those for which there would not be boards enough.
    """

    templates: tuple[BoardTemplate, ...]
    without: tuple[str, ...]
    too_large: tuple[str, ...]


def _corners(piece: Piece) -> list[Array]:
    """Corners of the sewing line and of the cutting line."""
    flats = [flat for edge in piece.edges for flat in edge.flat]
    found = []
    for flat, after in zip(flats, flats[1:] + flats[:1], strict=True):
        turn = float(after.heading_at(0.0)[0] - flat.heading_at(flat.length_mm)[0])
        if abs(np.angle(np.exp(1j * turn))) > _SEWING_TURN_RAD:
            found.append(flat.end)
    ring = piece.cutting[0]
    steps = np.roll(ring, -1, axis=0) - ring
    directions = steps[:, 0] + 1j * steps[:, 1]
    turns = np.angle(directions / np.roll(directions, 1))
    return [*found, *ring[np.abs(turns) > _CUTTING_TURN_RAD]]


def _right_half(shape: shapely.Polygon) -> shapely.Polygon:
    """What lies right of the centre line; the largest part, should it be more than one."""
    _, low, right, high = shape.bounds
    half = shape.intersection(shapely.box(0.0, low - 1.0, right + 1.0, high + 1.0))
    return orient(max(shapely.get_parts(half), key=lambda part: part.area))


def _fits_whole(shape: shapely.Polygon, boards: Boards) -> bool:
    left, low, right, high = shape.bounds
    size = sorted((right - left, high - low), reverse=True)
    return all(side <= room for side, room in zip(size, boards.usable_mm, strict=True))


def _shape_of(piece: Piece, boards: Boards) -> tuple[shapely.Polygon, bool]:
    """The template's outline, and whether it is the right half of its piece."""
    shape = orient(outer(piece, boards.line is TemplateLine.SEWING))
    half = boards.half and not _fits_whole(shape, boards) and alike_on_both_sides(piece)
    return (_right_half(shape), True) if half else (shape, False)


def _loops(piece: Piece, boards: Boards) -> tuple[tuple[PieceEdge, ...], ...]:
    """Loops of sewing line that are not the template's edge."""
    return (piece.edges, *piece.holes) if boards.line is TemplateLine.CUTTING else piece.holes


def _drilled(loops: Sequence[Sequence[PieceEdge]], part: shapely.Polygon) -> Array:
    """Points of sewing lines to drill: where an edge ends, and evenly between."""
    points = [
        edge.at(edge.length_mm * k / steps)[0]
        for loop in loops
        for edge in loop
        for steps in [max(1, int(np.ceil(edge.length_mm / _DRILL_STEP_MM)))]
        for k in range(steps)
    ]
    inside = part.buffer(-_DRILL_EDGE_MM, join_style="mitre")
    kept = [point for point in points if inside.contains(shapely.Point(point))]
    return np.array(kept).reshape(-1, 2)


def _lines_on(part: shapely.Polygon, lines: Sequence[Array]) -> tuple[Array, ...]:
    """What of lines lies on a part."""
    found: list[Array] = []
    for line in lines:
        inside = shapely.LineString(line).intersection(part)
        pieces = [
            one for one in shapely.get_parts(inside) if one.geom_type == "LineString" and one.length > 1e-3
        ]
        merged = shapely.get_parts(shapely.line_merge(shapely.MultiLineString(pieces))) if pieces else []
        found += [np.asarray(one.coords) for one in merged]
    return tuple(found)


def _notches(piece: Piece, line: TemplateLine) -> list[Array]:
    """Notches at the template's edge: outward from the sewing line, or inward from it where it is the edge."""
    ticks = ticks_of(piece)
    if line is TemplateLine.CUTTING:
        return ticks
    return [
        np.array(
            [tick[0], tick[0] - (tick[1] - tick[0]) / np.linalg.norm(tick[1] - tick[0]) * _NOTCH_INWARD_MM]
        )
        for tick in ticks
    ]


def _fold_edge(part: shapely.Polygon) -> Array:
    """The stretch of a part that lies on the fold, x = 0."""
    ring = np.asarray(part.exterior.coords)
    on = np.abs(ring[:, 0]) <= TOLERANCES.same_point_mm
    ys = ring[on, 1]
    if len(ys) < 2:
        return np.zeros((0, 2))
    return np.array([(0.0, ys.min()), (0.0, ys.max())])


def _parts(
    name: str,
    shapes: Sequence[shapely.Polygon],
    joints: Sequence[BoardJoint],
    piece: Piece,
    boards: Boards,
    half: bool,
) -> tuple[BoardPart, ...]:
    """Parts with all that is marked on them."""
    loops = _loops(piece, boards)
    rings = [
        np.concatenate(
            [
                *(edge.polyline(TOLERANCES.drawing_sagitta_mm)[:-1] for edge in loop),
                loop[0].flat[0].start[None],
            ]
        )
        for loop in loops
    ]
    notches = _notches(piece, boards.line)
    parts = []
    for i, shape in enumerate(shapes):
        ticks = tuple(
            (joint.letter, tick_on(shape, joint, mark))
            for joint in joints
            if i in joint.parts
            for mark in joint.marks
        )
        near = shape.buffer(0.5)
        parts.append(
            BoardPart(
                name=name if len(shapes) == 1 else f"{name}, part {i + 1}",
                outline=np.asarray(shape.exterior.coords)[:-1],
                ticks=ticks,
                sewing=_lines_on(shape, rings),
                drill=_drilled(loops, shape),
                notches=tuple(tick for tick in notches if near.contains(shapely.LineString(tick))),
                fold=_fold_edge(shape) if half else np.zeros((0, 2)),
            )
        )
    return tuple(parts)


def board_template(
    piece: Piece,
    boards: Boards,
    drawn: Sequence[DrawnPiece] = (),
    division: Division = Division.EVEN,
    letters: Iterator[str] | None = None,
) -> BoardTemplate:
    """The template of one piece; half where asked for, if both sides are alike and no board holds the whole."""
    shape, half = _shape_of(piece, boards)
    name = piece.name
    clear = np.array([*_corners(piece), *(end for tick in ticks_of(piece) for end in tick)]).reshape(-1, 2)
    found = divided(shape, clear, boards, division, f"the template of {name}")
    joints = marked_joints(found, shape, boards, letters or joint_letters())
    return BoardTemplate(
        name=piece.name,
        line=boards.line,
        half=half,
        outline=np.asarray(shape.exterior.coords)[:-1],
        parts=_parts(name, found.parts, joints, piece, boards, half),
        joints=joints,
        drawn=tuple(drawn),
        allowances=tuple(dict.fromkeys((edge.role.value, edge.allowance_mm) for edge in piece.edges)),
    )


def board_templates(pattern: Pattern, boards: Boards, division: Division = Division.EVEN) -> BoardTemplates:
    """The templates of a room; a piece for which the boards are too small is refused."""
    plain, without = shared_templates(pattern.templates, boards)
    room, kept = boards.most * math.prod(boards.usable_mm), []
    for piece, drawn in plain:
        room -= _shape_of(piece, boards)[0].area
        if room < 0.0:
            break
        kept.append((piece, drawn))
    too_large = tuple(one.name for _, drawn in plain[len(kept) :] for one in drawn)
    letters = joint_letters()
    made = tuple(board_template(piece, boards, drawn, division, letters) for piece, drawn in kept)
    return BoardTemplates(made, tuple(without), too_large)

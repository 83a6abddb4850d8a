"""Boards as pages to print, one each, with all that must be said to saw and to use them."""

from collections.abc import Sequence
from functools import partial

import numpy as np

from shellparts.drawing.board import draw_board
from shellparts.drawing.noted_page import NotedDrawing, NotedPage, fitted_page, fitting_scale
from shellparts.drawing.tape import board_tape, point_pair
from shellparts.parameters import Marking, Tape
from shellparts.parameters.boards import TemplateLine
from shellparts.templates.on_stock import BoardPlan, SawnBoard, SawnShape
from shellparts.templates.parts import BoardPart, BoardTemplate, JoiningStrip, Manner

__all__ = ["board_pages"]

_KINDS = {
    "seam": "a seam",
    "hem": "a hem",
    "fold": "a fold",
    "open": "an edge left open",
    "sewn onto": "the row that holds it down",
}
_TITLE = "How to saw and use the parts; points along / across from corner 0"


def _times(template: BoardTemplate) -> str:
    """What is drawn round a template."""
    words = []
    for piece in template.drawn:
        name = f"{piece.name} x{piece.count}"
        how = [] if piece.manner is Manner.ROUND else [piece.manner.value]
        how += [piece.at] if piece.at else []
        words.append(f"{name} ({'; '.join(how)})" if how else name)
    return ", ".join(words)


def _allowances(template: BoardTemplate, marking: Marking) -> str:
    """Allowance of each kind of edge, in words."""
    unit = " mm" if marking.tape is Tape.METRIC else ""
    by_kind: dict[str, list[str]] = {}
    for kind, value in template.allowances:
        by_kind.setdefault(kind, []).append(board_tape(value, marking) + unit)
    return ", ".join(
        f"{' or '.join(values)} at {_KINDS.get(kind, f'an edge {kind}')}" for kind, values in by_kind.items()
    )


def _how(board: SawnBoard, plan: BoardPlan, marking: Marking) -> list[str]:
    """What must be said on a page, in the order of the work."""
    whose = dict.fromkeys(shape.template for shape in board.shapes)
    templates = list(dict.fromkeys(one.template for one in board.shapes if isinstance(one.shape, BoardPart)))
    hole = "3 mm" if marking.tape is Tape.METRIC else '1/8"'
    unit = " mm" if marking.tape is Tape.METRIC else ""
    kerf = board_tape(plan.settings.kerf, marking) + unit
    words = [f"Black: saw here; neighbours lie at least {kerf} apart for the saw."]
    if plan.settings.line is TemplateLine.CUTTING:
        words.append(
            f"Blue dashes: the sewing line. Drill a small hole, about {hole}, at each blue ring, mark the cloth "
            "through it, and join the marks along a straight edge or a bent batten."
        )
        words += [
            f"{one.name}: the sewing line lies inside the edge by {_allowances(one, marking)}."
            for one in templates
        ]
    else:
        words.append("The edge is the sewing line: draw round it, then add the allowance outside.")
        words += [f"{one.name}: the allowance is {_allowances(one, marking)}." for one in templates]
    words.append("Violet: notches. Mark them on the cloth from the edge of the template.")
    if any(one.half for one in templates):
        words.append(
            "Green edge of a half template: lay it on the fold of the cloth, or on a chalked centre line, draw "
            "round the rest, turn the template over along that line and draw the other half."
        )
    if any(one.joints for one in whose):
        words.append(
            "Red ticks: register marks. Butt parts together at the edges with the same letter so that all ticks "
            "meet; glue the strip of that letter over the joint, on the side away from the cloth."
        )
    words += [f"{one.name}: draw {_times(one)}." for one in templates]
    return words


def _points(shape: SawnShape, marking: Marking) -> list[str]:
    """Numbers of a part's register marks and notches."""
    if isinstance(shape.shape, JoiningStrip):
        return []
    found = [
        f"{shape.shape.name}, ticks of joint {letter}: {_pairs(shape, marks, marking)}"
        for letter, marks in _by_joint(shape.shape).items()
    ]
    if shape.shape.notches:
        ends = [tick[1] if _is_outward(shape) else tick[0] for tick in shape.shape.notches]
        found.append(f"{shape.shape.name}, notches: {_pairs(shape, ends, marking)}")
    return found


def _is_outward(shape: SawnShape) -> bool:
    """Whether the outer end of a notch is its second point: it is where the edge is the cutting line."""
    return shape.template.line is TemplateLine.CUTTING


def _by_joint(part: BoardPart) -> dict[str, list[np.ndarray]]:
    marks: dict[str, list[np.ndarray]] = {}
    for letter, tick in part.ticks:
        marks.setdefault(letter, []).append(tick[0])
    return marks


def _pairs(shape: SawnShape, points: Sequence[np.ndarray], marking: Marking) -> str:
    show = partial(board_tape, marking=marking)
    return ", ".join(point_pair(point, show) for point in shape.on_board(np.array(points)))


def board_pages(plan: BoardPlan, name: str, marking: Marking) -> list[NotedPage]:
    """The pages of a plan, one a board, for a room of a name and the tape they are marked out with."""
    return [_page(board, plan, name, marking) for board in plan.boards]


def _page(board: SawnBoard, plan: BoardPlan, name: str, marking: Marking) -> NotedPage:
    long, wide = board.layout.length_mm, board.layout.width_mm
    points = [note for shape in board.shapes for note in _points(shape, marking)]
    words = (*_how(board, plan, marking), *points)

    def draw(room: tuple[float, float]) -> tuple[float, list[tuple[NotedDrawing, float, float]]]:
        scale = fitting_scale(max(long / room[0], wide / max(room[1], 1.0)))
        drawn = draw_board(board, marking, scale, on_paper=True)
        return scale, [(NotedDrawing(drawn.drawing, (*words, *drawn.notes), _TITLE), 0.0, long)]

    scale, ((drawn, low, high),) = fitted_page(draw, wide)
    unit = "mm" if marking.tape is Tape.METRIC else "feet and inches"
    size = f"{board_tape(long, marking)} x {board_tape(wide, marking)}"
    margin = plan.settings.margin
    shut = f" Keep {board_tape(margin, marking)} at the edges free (dashed)." if margin else ""
    heading = (
        f"{name}: templates of board, board {board.number} of {len(plan.boards)}; {size}, drawn 1 to {scale:g}",
        f"Measure from corner 0, lower left, in {unit}: the upper number along, the lower across.{shut}",
    )
    return NotedPage(f"board_{board.number:02d}", heading, drawn, scale, low, high, wide)

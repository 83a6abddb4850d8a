"""boards.csv: what is sawn from which board, and what is drawn round it."""

import csv
from pathlib import Path

import numpy as np

from shellparts.templates.on_stock import BoardPlan
from shellparts.templates.parts import BoardPart, BoardTemplate, JoiningStrip

__all__ = ["write_boards_table"]


def _pieces(template: BoardTemplate) -> str:
    return "; ".join(
        f"{piece.name} x{piece.count}: " + ", ".join(filter(None, [piece.manner.value, piece.at]))
        for piece in template.drawn
    )


def _joints(template: BoardTemplate, shape: BoardPart | JoiningStrip) -> str:
    """Letters of the joints of a part, or of the joint of a strip."""
    if isinstance(shape, JoiningStrip):
        return " ".join(joint.letter for joint in template.joints if joint.strip is shape)
    i = template.parts.index(shape)
    return " ".join(joint.letter for joint in template.joints if i in joint.parts)


def write_boards_table(plan: BoardPlan, path: Path) -> None:
    """Write one row for every part and strip.

    Parameters
    ----------
    plan : BoardPlan
        The boards.
    path : Path
        The file; only its head where there is no board.
    """
    head = (
        "template", "pieces", "times_drawn", "form", "line", "part", "joints", "length_mm", "width_mm", "board",
    )  # fmt: skip
    where = {id(one.shape): board.number for board in plan.boards for one in board.shapes}
    rows = []
    for template in plan.templates:
        for shape in template.shapes:
            size = sorted(np.ptp(shape.outline, axis=0).tolist(), reverse=True)
            rows.append(
                (
                    template.name,
                    _pieces(template),
                    template.times,
                    "half" if template.half else "whole",
                    template.line.value,
                    shape.name,
                    _joints(template, shape),
                    *(f"{side:.1f}" for side in size),
                    where[id(shape)],
                )
            )
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(head)
        writer.writerows(rows)

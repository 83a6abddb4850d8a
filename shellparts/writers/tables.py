"""CSV tables of a room: lengths in millimetres, and as the tape at hand shows them."""

import math
from collections.abc import Iterable, Sequence
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np

from shellparts.parameters import Marking, Tape
from shellparts.pattern.check_lengths import check_lengths
from shellparts.pattern.made import Pattern
from shellparts.pattern.pieces import Piece
from shellparts.pattern.stations import MOST_OFF_MM, Station, off_line, stations_of, told_by_stations
from shellparts.stock.materials import MaterialLine, cost_total
from shellparts.templates.on_stock import BoardPlan
from shellparts.templates.parts import BoardPart, BoardTemplate, JoiningStrip
from shellparts.writers.table import Column, columns, lengths, mm, on_both, twice, write_table

__all__ = [
    "write_boards_table",
    "write_check_lengths",
    "write_materials",
    "write_patches",
    "write_pieces",
    "write_stations",
]

#: What is said of a piece that its rows do not tell.
_BY_MARKS = "not by stations: use the mark rows of check_lengths.csv"
_STATION = "distance left_sewing right_sewing left_cutting right_cutting"
_METRIC = Marking()
_CHECK = "length straight along across cutting"


def write_pieces(pattern: Pattern, marking: Marking, path: Path) -> None:
    """One row a piece: what it is, how many, how large."""
    head = (
        *columns("piece part count mirror_of"),
        *lengths("length width", marking),
        *(
            twice(one, marking)
            for one in columns("cut_area sewing_area", "m2", lambda mm2: f"{mm2 / 1e6:.4f}")
        ),
        Column("sheets", show=" ".join),
    )
    rows = []
    for piece in pattern.pieces:
        areas = (piece.cut_area_mm2, piece.outline.flat_area_mm2)
        about = (piece.name, piece.kind.word, piece.count, piece.mirror_of)
        rows.append((*about, *piece.extent_mm[::-1], *areas, piece.sheets))
    write_table(path, head, rows)


def write_patches(pattern: Pattern, marking: Marking, path: Path) -> None:
    """One row for every place that a patch or a tab is sewn onto: which, how many, where.

    Distances are from the host's lower edge up its centre line, and to the right of that.
    """
    head = (
        *columns("patch count"),
        *lengths("length width", marking),
        *columns("sewn_onto"),
        *lengths("up right", marking),
        *columns("side"),
    )
    rows = []
    for host in pattern.pieces:
        for placed in host.patches:
            size, place = pattern.piece(placed.name).extent_mm[::-1], placed.at.tolist()[::-1]
            side = "outside" if placed.is_tab else "inside"
            rows.append((placed.name, host.count, *size, host.name, *place, side))
    write_table(path, head, rows)


def write_stations(pattern: Pattern, marking: Marking, path: Path) -> None:
    """Widths of every piece at each station, from which templates are marked out with a tape."""
    head = (
        Column("piece"),
        *on_both(_STATION, marking),
        twice(Column("openings", "mm", lambda gaps: " ".join(f"{mm(a)}..{mm(b)}" for a, b in gaps)), marking),
        *columns("by_stations off_mm off_tape_mm"),
    )
    step = 25.4 / 16 if marking.tape is Tape.IMPERIAL else 1.0

    def rows_of(piece: Piece) -> Iterable[Sequence[Any]]:
        stations = stations_of(piece, marking.station_spacing)
        told = _told(piece, stations, step)
        for row in stations:
            values = [getattr(row, f"{name}_mm") for name in _STATION.split()]
            yield piece.name, *values, *values, row.openings_mm, *told

    write_table(path, head, (row for piece in pattern.pieces for row in rows_of(piece)))


def _told(piece: Piece, stations: Sequence[Station], step_mm: float) -> tuple[str, str, str]:
    """Whether a piece can be marked out from its rows, and how far it is then off by millimetres and by the tape."""
    if not told_by_stations(piece):
        return _BY_MARKS, "", ""
    off, off_tape = (off_line(piece, stations, partial(_rounded, one)) for one in (0.1, step_mm))
    if max(off, off_tape) > MOST_OFF_MM:
        return _BY_MARKS, "", ""
    openings = "; openings by the mark rows of check_lengths.csv" if piece.holes else ""
    shown = [f"{math.ceil(10.0 * one + 1e-6) / 10.0:.1f}" for one in (off, off_tape)]
    return f"yes{openings}", shown[0], shown[1]


def _rounded(step_mm: float, value_mm: float) -> float:
    return step_mm * round(value_mm / step_mm)


def write_check_lengths(pattern: Pattern, marking: Marking, path: Path) -> None:
    """What to measure on a template: edge lengths, diagonals, marks on curved edges, half templates."""
    rows = []
    for piece in pattern.pieces:
        for row in check_lengths(piece, marking.station_spacing):
            values = [getattr(row, f"{name}_mm") for name in _CHECK.split()]
            rows.append((piece.name, row.what.value, row.name, *values, *values))
    write_table(path, (*columns("piece what name"), *on_both(_CHECK, marking)), rows)


def _plain(decimals: int, value: float) -> str:
    """A number without trailing zeros."""
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def write_materials(lines: tuple[MaterialLine, ...], path: Path, marking: Marking = _METRIC) -> None:
    """One row a material, and the total.

    Costs are in the reader's money; an empty cell means that the price is not known, and the last row names what
    the total leaves out.
    """
    head = (
        Column("item"),
        Column("quantity", show=partial(_plain, 3)),
        Column("unit"),
        Column("unit_price", show=partial(_plain, 4)),
        Column("cost", show=lambda cost: f"{cost:.2f}"),
        Column("basis"),
    )
    total = cost_total(lines)
    left = f"without {', '.join(total.unpriced)}: no price known" if total.unpriced else "every line"
    rows = [
        (one.item, one.quantity, marking.told(one.unit), one.unit_price, one.cost, _basis(one, marking))
        for one in lines
    ]
    write_table(path, head, [*rows, ("total", None, None, None, total.cost, left)])


def _basis(line: MaterialLine, marking: Marking) -> str:
    """Where a quantity comes from; one in a bare unit is told again first, for a reader with an inch tape."""
    basis = marking.told(line.basis)
    if marking.tape is Tape.IMPERIAL and line.unit in ("m", "m2", "kg"):
        return f"{marking.told(f'{line.quantity:g} {line.unit}')}; {basis}"
    return basis


def _drawn_round(template: BoardTemplate) -> str:
    return "; ".join(
        f"{piece.name} x{piece.count}: " + ", ".join(filter(None, [piece.manner.value, piece.at]))
        for piece in template.drawn
    )


def _joints(template: BoardTemplate, shape: BoardPart | JoiningStrip) -> list[str]:
    """Letters of the joints of a part, or of the joint of a strip."""
    if isinstance(shape, JoiningStrip):
        return [joint.letter for joint in template.joints if joint.strip is shape]
    i = template.parts.index(shape)
    return [joint.letter for joint in template.joints if i in joint.parts]


def write_boards_table(plan: BoardPlan, marking: Marking, path: Path) -> None:
    """One row for every part and strip: what is sawn from which board, and what is drawn round it."""
    head = (
        *columns("template pieces times_drawn form line part"),
        Column("joints", show=" ".join),
        *lengths("length width", marking),
        *columns("board"),
    )
    board_of = {id(one.shape): board.number for board in plan.boards for one in board.shapes}
    rows = []
    for template in plan.templates:
        form = "half" if template.half else "whole"
        about = (template.name, _drawn_round(template), template.times, form, template.line.value)
        for shape in template.shapes:
            size = sorted(np.ptp(shape.outline, axis=0).tolist(), reverse=True)
            rows.append((*about, shape.name, _joints(template, shape), *size, board_of[id(shape)]))
    write_table(path, head, rows)

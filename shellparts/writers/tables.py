"""CSV tables of pieces, seams and stations: lengths in millimetres, and as the tape at hand shows them."""

import csv
import math
from collections.abc import Iterable, Sequence
from functools import partial
from pathlib import Path

from shellparts.base.units import feet_inches, metric
from shellparts.parameters import Marking, Tape
from shellparts.pattern.made import Pattern
from shellparts.pattern.pieces import Piece, Seam
from shellparts.pattern.stations import MOST_OFF_MM, Station, off_line, stations_of, told_by_stations

__all__ = ["write_patches", "write_pieces", "write_seams", "write_stations"]

#: What is said of a piece that its rows do not tell.
_BY_MARKS = "not by stations: use the mark rows of check_lengths.csv"


def _write(path: Path, head: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(head)
        writer.writerows(rows)


def _mm(value: float) -> str:
    return f"{value + 0.0:.1f}".replace("-0.0", "0.0")


def write_pieces(pattern: Pattern, path: Path) -> None:
    """Write one row a piece: what it is, how many, how large.

    Parameters
    ----------
    pattern : Pattern
    path : Path
        The file.
    """
    head = (
        "piece",
        "part",
        "count",
        "mirror_of",
        "length_mm",
        "width_mm",
        "cut_area_m2",
        "sewing_area_m2",
        "sheets",
    )
    rows = []
    for piece in pattern.pieces:
        width, length = piece.extent_mm
        areas = (f"{piece.cut_area_mm2 / 1e6:.4f}", f"{piece.outline.flat_area_mm2 / 1e6:.4f}")
        about = (piece.name, piece.kind.word, piece.count, piece.mirror_of or "")
        rows.append((*about, _mm(length), _mm(width), *areas, " ".join(piece.sheets)))
    _write(path, head, rows)


def write_patches(pattern: Pattern, path: Path) -> None:
    """Write one row for every place that a patch or a tab is sewn onto: which, how many, where.

    Parameters
    ----------
    pattern : Pattern
    path : Path
        The file; distances are from the host's lower edge up its centre line, and to the right of that.
    """
    head = ("patch", "count", "length_mm", "width_mm", "sewn_onto", "up_mm", "right_mm", "side")
    rows = []
    for host in pattern.pieces:
        for placed in host.patches:
            width, length = pattern.piece(placed.name).extent_mm
            across, up = placed.at.tolist()
            side = "outside" if placed.is_tab else "inside"
            rows.append(
                (placed.name, host.count, _mm(length), _mm(width), host.name, _mm(up), _mm(across), side)
            )
    _write(path, head, rows)


def _ticks(pattern: Pattern, seam: Seam) -> tuple[int, ...]:
    edges = pattern.piece(seam.pieces[0]).all_edges
    return next(edge.ticks for edge in edges if edge.id == seam.edges[0])


def write_seams(pattern: Pattern, path: Path) -> None:
    """Write one row a seam: which edges meet, how long they are, how many notches they carry.

    Parameters
    ----------
    pattern : Pattern
    path : Path
        The file.
    """
    head = (
        "seam", "sheet_a", "piece_a", "edge_a", "sheet_b", "piece_b", "edge_b",
        "length_a_mm", "length_b_mm", "allowance_mm", "notches",
        "kind", "allowance_a_mm", "allowance_b_mm", "ticks",
    )  # fmt: skip
    rows = [
        (
            seam.id,
            *(word for side in zip(seam.sheets, seam.pieces, seam.edges, strict=True) for word in side),
            *(_mm(length) for length in seam.lengths_mm),
            _mm(seam.allowance_mm),
            seam.notches,
            seam.kind.value,
            *(_mm(allowance) for allowance in seam.allowances_mm),
            " ".join(str(many) for many in _ticks(pattern, seam)),
        )
        for seam in pattern.seams
    ]
    _write(path, head, rows)


def write_stations(pattern: Pattern, marking: Marking, path: Path) -> None:
    """Write the tables from which templates are marked out with a tape.

    Parameters
    ----------
    pattern : Pattern
    marking : Marking
        Tape and spacing.
    path : Path
        The file.
    """
    imperial = marking.tape is Tape.IMPERIAL
    show = feet_inches if imperial else metric
    step = 25.4 / 16 if imperial else 1.0
    names = ("distance", "left_sewing", "right_sewing", "left_cutting", "right_cutting")
    head = (
        "piece",
        *(f"{name}_mm" for name in names),
        *(f"{name}_tape" for name in names),
        "openings_mm",
        "by_stations",
        "off_mm",
        "off_tape_mm",
    )
    rows = []
    for piece in pattern.pieces:
        stations = stations_of(piece, marking.station_spacing)
        told = _told(piece, stations, step)
        for row in stations:
            values = (
                row.distance_mm,
                row.left_sewing_mm,
                row.right_sewing_mm,
                row.left_cutting_mm,
                row.right_cutting_mm,
            )
            gaps = " ".join(f"{_mm(a)}..{_mm(b)}" for a, b in row.openings_mm)
            cells = ["" if v is None else _mm(v) for v in values]
            cells += ["" if v is None else show(v) for v in values]
            rows.append((piece.name, *cells, gaps, *told))
    _write(path, head, rows)


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

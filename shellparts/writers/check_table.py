"""check_lengths.csv: what to measure on a template to know that it is right."""

import csv
from pathlib import Path

from shellparts.base.units import feet_inches, metric
from shellparts.parameters import Marking, Tape
from shellparts.pattern.check_lengths import check_lengths
from shellparts.pattern.made import Pattern

__all__ = ["write_check_lengths"]

_LENGTHS = ("length", "straight", "along", "across", "cutting")


def write_check_lengths(pattern: Pattern, marking: Marking, path: Path) -> None:
    """Write edge lengths, diagonals, marks on curved edges and half templates of every piece.

    Parameters
    ----------
    pattern : Pattern
    marking : Marking
        Tape and spacing.
    path : Path
        The file.
    """
    show = feet_inches if marking.tape is Tape.IMPERIAL else metric
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(
            ("piece", "what", "name", *(f"{n}_mm" for n in _LENGTHS), *(f"{n}_tape" for n in _LENGTHS))
        )
        for piece in pattern.pieces:
            for row in check_lengths(piece, marking.station_spacing):
                values = (row.length_mm, row.straight_mm, row.along_mm, row.across_mm, row.cutting_mm)
                writer.writerow(
                    (
                        piece.name,
                        row.what.value,
                        row.name,
                        *("" if v is None else f"{v + 0.0:.1f}".replace("-0.0", "0.0") for v in values),
                        *("" if v is None else show(v) for v in values),
                    )
                )

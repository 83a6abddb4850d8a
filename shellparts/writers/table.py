"""CSV tables: columns with a title, a unit and a format, and rows of plain values."""

import csv
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any

from attrs import evolve, frozen

from shellparts.base.units import feet_inches, metric
from shellparts.parameters import Marking, Tape

__all__ = ["Column", "columns", "lengths", "mm", "on_both", "write_table"]


@frozen
class Column:
    """One column: its title, with the unit after it, and how a value that is there is written."""

    title: str
    unit: str = ""
    show: Callable[[Any], str] = str
    on_tape: bool = False  # Whether a second column shows the same length in feet and inches

    @property
    def heads(self) -> tuple[str, ...]:
        """What stands at the top."""
        head = f"{self.title}_{self.unit}" if self.unit else self.title
        return (head, f"{self.title}_tape") if self.on_tape else (head,)

    def cells(self, value: Any) -> tuple[str, ...]:
        """What stands in a row."""
        shown = (
            (self.show(value), feet_inches(value) if self.on_tape else "") if value is not None else ("", "")
        )
        return shown[: len(self.heads)]


def columns(titles: str, unit: str = "", show: Callable[[Any], str] = str) -> tuple[Column, ...]:
    """Columns of one unit and format, their titles parted by spaces."""
    return tuple(Column(title, unit, show) for title in titles.split())


def mm(value: float) -> str:
    """A length to a tenth of a millimetre, without a negative zero."""
    return f"{value + 0.0:.1f}".replace("-0.0", "0.0")


def _tape(marking: Marking) -> Callable[[float], str]:
    return feet_inches if marking.tape is Tape.IMPERIAL else metric


def on_both(titles: str, marking: Marking) -> tuple[Column, ...]:
    """Lengths in millimetres, and again as the tape at hand shows them: rows hold each value twice."""
    return (*columns(titles, "mm", mm), *columns(titles, "tape", _tape(marking)))


def lengths(titles: str, marking: Marking) -> tuple[Column, ...]:
    """Lengths in millimetres, each with a second column in feet and inches where that is the tape at hand."""
    imperial = marking.tape is Tape.IMPERIAL
    return tuple(evolve(one, on_tape=imperial) for one in columns(titles, "mm", mm))


def write_table(path: Path, head: Sequence[Column], rows: Iterable[Sequence[Any]]) -> None:
    """Write a table.

    Parameters
    ----------
    path : Path
        The file.
    head : sequence of Column
    rows : iterable of sequence
        A value for every column; None leaves the cell empty.

    Raises
    ------
    ValueError
        If a row has another length than the head.
    """
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow([title for column in head for title in column.heads])
        for row in rows:
            cells = zip(head, row, strict=True)
            writer.writerow([cell for column, value in cells for cell in column.cells(value)])

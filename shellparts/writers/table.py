"""CSV tables: columns with a title, a unit and a format, and rows of plain values."""

import csv
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any

from attrs import evolve, frozen

from shellparts.base.checks import is_number
from shellparts.base.units import feet_inches
from shellparts.parameters import Marking, Tape

__all__ = ["Column", "columns", "lengths", "mm", "on_both", "twice", "write_table"]


def _each_on_tape(values: Iterable[Any]) -> str:
    """Lengths, or pairs of them, each as an inch tape shows it."""
    shown = (
        " .. ".join(map(feet_inches, one)) if isinstance(one, tuple) else feet_inches(one) for one in values
    )
    return "; ".join(shown)


#: By the unit of a column: what its twin for a reader with an inch tape is called, and how that writes the value.
_TWINS: dict[str, tuple[str, Callable[[Any], str]]] = {
    "mm": ("tape", lambda mm: feet_inches(mm) if is_number(mm) else _each_on_tape(mm)),
    "m2": ("sq_ft", lambda mm2: f"{mm2 / 304.8**2:.2f}"),
    "kg": ("lb", lambda kg: f"{kg / 0.45359237:.1f}"),
    "m": ("yd", lambda m: f"{m / 0.9144:.1f}"),
}


@frozen
class Column:
    """One column: its title, with the unit after it, and how a value that is there is written."""

    title: str
    unit: str = ""
    show: Callable[[Any], str] = str
    on_tape: bool = False  # Whether a second column shows the same in feet and inches, pounds, yards

    @property
    def heads(self) -> tuple[str, ...]:
        """What stands at the top."""
        head = f"{self.title}_{self.unit}" if self.unit else self.title
        return (head, f"{self.title}_{_TWINS[self.unit][0]}") if self.on_tape else (head,)

    def cells(self, value: Any) -> tuple[str, ...]:
        """What stands in a row."""
        shown = (
            (self.show(value), _TWINS[self.unit][1](value) if self.on_tape else "")
            if value is not None
            else ("", "")
        )
        return shown[: len(self.heads)]


def columns(titles: str, unit: str = "", show: Callable[[Any], str] = str) -> tuple[Column, ...]:
    """Columns of one unit and format, their titles parted by spaces."""
    return tuple(Column(title, unit, show) for title in titles.split())


def mm(value: float) -> str:
    """A length to a tenth of a millimetre, without a negative zero."""
    return f"{value + 0.0:.1f}".replace("-0.0", "0.0")


def on_both(titles: str, marking: Marking) -> tuple[Column, ...]:
    """Lengths in millimetres, and again as the tape at hand shows them: rows hold each value twice."""
    return (*columns(titles, "mm", mm), *columns(titles, "tape", marking.length))


def lengths(titles: str, marking: Marking) -> tuple[Column, ...]:
    """Lengths in millimetres, each with a second column in feet and inches where that is the tape at hand."""
    return tuple(twice(one, marking) for one in columns(titles, "mm", mm))


def twice(column: Column, marking: Marking) -> Column:
    """A column of metric figures [mm, mm2 told in m2, kg, m] that gets a twin where an inch tape is at hand."""
    return evolve(column, on_tape=marking.tape is Tape.IMPERIAL)


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

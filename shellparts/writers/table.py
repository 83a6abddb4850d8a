"""CSV tables: columns with a title, a unit and a format, and rows of plain values."""

import csv
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any

from attrs import frozen

__all__ = ["Column", "columns", "mm", "write_table"]


@frozen
class Column:
    """One column: its title, with the unit after it, and how a value that is there is written."""

    title: str
    unit: str = ""
    show: Callable[[Any], str] = str

    @property
    def head(self) -> str:
        """What stands at the top."""
        return f"{self.title}_{self.unit}" if self.unit else self.title


def columns(titles: str, unit: str = "", show: Callable[[Any], str] = str) -> tuple[Column, ...]:
    """Columns of one unit and format, their titles parted by spaces."""
    return tuple(Column(title, unit, show) for title in titles.split())


def mm(value: float) -> str:
    """A length to a tenth of a millimetre, without a negative zero."""
    return f"{value + 0.0:.1f}".replace("-0.0", "0.0")


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
        writer.writerow([column.head for column in head])
        for row in rows:
            cells = zip(head, row, strict=True)
            writer.writerow(["" if value is None else column.show(value) for column, value in cells])

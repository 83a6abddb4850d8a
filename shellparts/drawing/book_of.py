"""What the build book is made of, and how its lengths are told."""

import re

from attrs import frozen

from shellparts.base.units import feet_inches, metric
from shellparts.parameters import Design, Marking, Tape
from shellparts.pattern.made import Pattern
from shellparts.pattern.pieces import Piece
from shellparts.report.subject import Subject
from shellparts.sewing.order_steps import SewingOrder
from shellparts.stock.layout import StockLayout
from shellparts.stock.materials import MaterialLine

__all__ = ["BookOf", "in_inches"]

_NUMBER = r"\d{1,3}(?:,\d{3})+|\d+(?:\.\d+)?"
#: Metric lengths and masses in a sentence, with a number that shares the unit of the next one.
_METRIC = re.compile(rf'(?<![\d.,"])(?:({_NUMBER})( x | to ))?({_NUMBER}) (mm|cm|m|kg)\b(?!/)')
_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0}
#: Told to the nearest part of an inch, no finer than the metric figure is.
_PARTS = {"mm": 16, "cm": 4, "m": 1}
#: From here on metres are told in whole feet.
_LONG_M = 10.0
_POUND_KG = 0.45359237


@frozen(eq=False)
class BookOf:
    """What the book is made of.

    Parameters
    ----------
    design : Design
    pattern : Pattern
    order : SewingOrder
    layouts : tuple of StockLayout
        Pieces on the cloth.
    lines : tuple of MaterialLine
        What to get.
    figures : tuple of (str, float)
        Sizes of the room: words, and mm.
    air : Subject or None
        What is known of its air.
    pictures : tuple of (bytes, str)
        PNG files with what they show, the room first.
    models : tuple of str
        Files of scale models: to fold of paper, and to print.
    """

    design: Design
    pattern: Pattern
    order: SewingOrder
    layouts: tuple[StockLayout, ...]
    lines: tuple[MaterialLine, ...]
    figures: tuple[tuple[str, float], ...]
    air: Subject | None = None
    pictures: tuple[tuple[bytes, str], ...] = ()
    models: tuple[str, ...] = ()

    @property
    def marking(self) -> Marking:
        """Which tape lengths are told by."""
        return self.design.marking

    @property
    def where(self) -> dict[str, Piece]:
        """The piece that each sheet is cut from."""
        return {sheet: piece for piece in self.pattern.pieces for sheet in piece.sheets}

    def length(self, value_mm: float) -> str:
        """A length as the tape at hand shows it."""
        return feet_inches(value_mm) if self.marking.tape is Tape.IMPERIAL else metric(value_mm)

    def told(self, text: str) -> str:
        """A sentence with metric figures, for the reader's tape and scales."""
        return in_inches(text) if self.marking.tape is Tape.IMPERIAL else text


def _one(number: str, unit: str) -> str:
    value = float(number.replace(",", ""))
    if unit == "kg":
        return f"{value / _POUND_KG:.{0 if value >= 10 else 1}f} lb"
    if unit == "m" and value >= _LONG_M:
        return f"{value * 1000.0 / 304.8:.0f} ft"
    return feet_inches(value * _MM[unit], _PARTS[unit])


def _found(match: re.Match[str]) -> str:
    before, between, number, unit = match.groups()
    first = f"{_one(before, unit)}{between}" if before is not None else ""
    if match.string[match.start() - 1 : match.start()] == "(":
        return f"{first}{_one(number, unit)} = {match[0]}"
    return f"{first}{_one(number, unit)} ({match[0]})"


def in_inches(text: str) -> str:
    """Tell metric lengths and masses in feet, inches and pounds, the metric ones behind them in brackets.

    Parameters
    ----------
    text : str
        A sentence; what stands in double quotes stays as it is.

    Returns
    -------
    str
        Lengths are rounded to 1/16 in, from centimetres to 1/4 in, from metres to 1 in, from 10 m on to 1 ft.

    Examples
    --------
    >>> in_inches("2 clips off (20 cm open), 14 bags of 2 kg, a ceiling of 3.8 m")
    '2 clips off (7 3/4 in = 20 cm open), 14 bags of 4.4 lb (2 kg), a ceiling of 12 ft 6 in (3.8 m)'
    """
    return _METRIC.sub(_found, text)

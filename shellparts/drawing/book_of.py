"""What the build book is made of, and how its lengths are told."""

from collections.abc import Sequence

from attrs import frozen

from shellparts.drawing.noted_page import NotedPage
from shellparts.parameters import Design, Marking
from shellparts.pattern.made import Pattern
from shellparts.pattern.pieces import Piece
from shellparts.report.subject import Subject
from shellparts.sewing.order_steps import SewingOrder
from shellparts.stock.layout import StockLayout
from shellparts.stock.materials import MaterialLine

__all__ = ["BookOf"]


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
    knots_mm : float
        Cord for the knots of a drawcord [mm].
    drawn : sequence of NotedPage, optional
        The pages of the layouts, where somebody has drawn them already.
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
    knots_mm: float = 600.0
    drawn: Sequence[NotedPage] | None = None

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
        return self.marking.length(value_mm)

    def told(self, text: str) -> str:
        """A sentence with metric figures, for the reader's tape and scales."""
        return self.marking.told(text)

"""Sheets of paper as a printer takes them, and what of them can be printed on.

Glossary: the *window* is the part of a sheet on which a pattern is shown; the *foot* is the strip below it
that holds the measuring bar and the address; the *margin* is what printers leave white. Everything is in
millimetres; a PDF counts in points, 72 to the inch. This module does not know what is printed.

References
----------
ISO 216 for A4 and A3; ANSI/ASME Y14.1 sizes A (letter) and B (tabloid). ISO 32000-1, annex C: a page is at
most 14 400 points long, 5.08 m.
"""

from attrs import evolve, frozen

from shellparts.base.checks import require
from shellparts.parameters.choices import Tape
from shellparts.parameters.printing import Paper, Printing

__all__ = ["FOOT_MM", "LONGEST_PAGE_MM", "MARGIN_MM", "POINTS_PER_MM", "PaperSheet", "book_paper", "sheet_of"]

POINTS_PER_MM = 72.0 / 25.4
#: Longest side of a page that every reader of PDF shows at its own size [mm].
LONGEST_PAGE_MM = 200 * 25.4
#: What common printers cannot reach, with a little to spare [mm].
MARGIN_MM = 10.0
#: Height of the foot [mm].
FOOT_MM = 15.0
#: A page of a roll is not longer than this [mm]: it can still be handled on a table.
_ROLL_PAGE_MM = 2500.0
_SIZES_MM = {
    Paper.A4: (210.0, 297.0),
    Paper.A3: (297.0, 420.0),
    Paper.LETTER: (8.5 * 25.4, 11 * 25.4),
    Paper.TABLOID: (11 * 25.4, 17 * 25.4),
}


@frozen
class PaperSheet:
    """One page.

    Parameters
    ----------
    width_mm, height_mm : float
        Of the paper, as it is read [mm].
    name : str
        As it is sold.
    is_roll : bool
        Whether the printer cuts it to length; the height is then the greatest.

    Raises
    ------
    ParameterError
        If a page of this size cannot be shown at its own size by every reader of PDF, or has no room for the
        measuring bar.
    """

    width_mm: float
    height_mm: float
    name: str
    is_roll: bool = False

    def __attrs_post_init__(self) -> None:
        """Refuse what cannot be printed true to size."""
        longest, shortest = max(self.width_mm, self.height_mm), min(self.width_mm, self.height_mm)
        size = f"{self.width_mm:.0f} x {self.height_mm:.0f} mm"
        require(
            longest <= LONGEST_PAGE_MM,
            "size of the page",
            size,
            f"at most {LONGEST_PAGE_MM:.0f} mm long; readers of PDF would shrink a longer one",
            "take shorter pages",
        )
        require(
            shortest >= 200.0,
            "size of the page",
            size,
            "at least 200 mm wide, for the measuring bar in its foot",
            "take larger paper",
        )

    @property
    def window_mm(self) -> tuple[float, float]:
        """Width and height of the window."""
        return self.width_mm - 2 * MARGIN_MM, self.height_mm - 2 * MARGIN_MM - FOOT_MM

    @property
    def printable_mm2(self) -> float:
        """Area inside the margins, window and foot."""
        return (self.width_mm - 2 * MARGIN_MM) * (self.height_mm - 2 * MARGIN_MM)

    @property
    def points(self) -> tuple[float, float]:
        """Width and height in PDF points."""
        return self.width_mm * POINTS_PER_MM, self.height_mm * POINTS_PER_MM

    def turned(self) -> "PaperSheet":
        """The same paper on its side."""
        return evolve(self, width_mm=self.height_mm, height_mm=self.width_mm)

    def with_window_height(self, window_mm: float) -> "PaperSheet":
        """A page of the same width that is cut for a window of this height [mm]."""
        return evolve(self, height_mm=max(200.0, window_mm + 2 * MARGIN_MM + FOOT_MM))


def book_paper(printing: Printing, tape: Tape) -> tuple[float, float]:
    """Width and height of the paper that a book is bound of [mm]: the design's own, or A4 or letter for larger ones.

    Examples
    --------
    >>> book_paper(Printing(), Tape.METRIC)
    (210.0, 297.0)
    """
    paper = printing.paper_beside(tape)
    small = Paper.LETTER if tape is Tape.IMPERIAL else Paper.A4
    return _SIZES_MM[paper if paper in (Paper.A4, Paper.LETTER) else small]


def sheet_of(printing: Printing, tape: Tape) -> PaperSheet:
    """The page that a design is printed on, upright.

    Parameters
    ----------
    printing : Printing
        What the printer takes.
    tape : Tape
        The tape measure at hand: letter is usual beside an inch tape, A4 elsewhere.

    Returns
    -------
    PaperSheet

    Examples
    --------
    >>> sheet_of(Printing(), Tape.METRIC).window_mm
    (190.0, 262.0)
    """
    paper = printing.paper_beside(tape)
    if paper is Paper.ROLL:
        assert printing.roll_width is not None  # a roll has one, see Printing
        return PaperSheet(
            printing.roll_width, _ROLL_PAGE_MM, f"a roll {printing.roll_width:.0f} mm wide", is_roll=True
        )
    width, height = _SIZES_MM[paper]
    return PaperSheet(width, height, paper.value)

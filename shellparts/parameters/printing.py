"""Which paper the full-size patterns and the paper model are printed on.

Glossary: a *roll* is paper of one width that a plotter cuts to any length. This module does not know what is
printed.
"""

from enum import Enum
from typing import Literal

from shellparts.base.checks import require
from shellparts.base.classes import MaybeMm, Reads, frozen_fields
from shellparts.base.fields import choice_field, length_field
from shellparts.parameters.choices import Tape

__all__ = ["Paper", "Printing"]


class Paper(Enum):
    """Sizes of paper that people have a printer for."""

    A4 = "A4"
    A3 = "A3"
    LETTER = "letter"
    TABLOID = "tabloid"
    ROLL = "roll"


#: The same as text.
PaperWord = Literal["A4", "A3", "letter", "tabloid", "roll"]


@frozen_fields(kw_only=True)
class Printing:
    """What the printer at hand takes.

    Parameters
    ----------
    paper : Paper or str, optional
        ``"A4"``, ``"A3"``, ``"letter"``, ``"tabloid"`` or ``"roll"``; A4, or letter beside an inch tape, unless
        given.
    roll_width : float or str, optional
        Width of the roll [mm].

    Raises
    ------
    ParameterError
        If the paper is a roll and its width is not given, or the other way round.

    Examples
    --------
    >>> Printing(paper="roll", roll_width="36 in").roll_width
    914.4
    """

    paper: Reads[Paper | PaperWord | None, Paper | None] = choice_field("paper", Paper, default=None)
    roll_width: MaybeMm = length_field(
        "width of the paper roll",
        250.0,
        5000.0,
        "give the width that is printed on the roll's wrapping",
        default=None,
    )

    def __attrs_post_init__(self) -> None:
        """Check that a roll has a width, and nothing else has one."""
        is_roll = self.paper is Paper.ROLL
        require(
            is_roll == (self.roll_width is not None),
            "width of the paper roll",
            "not given" if self.roll_width is None else f"{self.roll_width:g} mm",
            "given where the paper is a roll, and only there",
            'write paper="roll", roll_width="914 mm", or leave the width out',
        )

    def paper_beside(self, tape: Tape) -> Paper:
        """The paper that was chosen, or what is usual where such a tape is in use."""
        usual = Paper.LETTER if tape is Tape.IMPERIAL else Paper.A4
        return self.paper or usual

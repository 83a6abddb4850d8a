"""The boards that templates are sawn from, and how: a size, its margin, the saw's kerf."""

from enum import Enum
from typing import Literal

from shellparts.base.checks import require
from shellparts.base.classes import Mm, Reads, frozen_fields
from shellparts.base.fields import choice_field, count_field, flag_field, length_field
from shellparts.base.units import metric
from shellparts.parameters.choices import Tape

__all__ = ["Boards", "Division", "TemplateLine", "boards_sold"]

#: A part measures at least this across each of its joints [mm], and more where strips are wide.
_LEAST_PART_MM, _BESIDE_STRIP_MM = 200.0, 50.0


class TemplateLine(Enum):
    """Which line of the piece is the edge of the template."""

    CUTTING = "cutting"
    SEWING = "sewing"


#: The same as text.
TemplateLineWord = Literal["cutting", "sewing"]


class Division(Enum):
    """How a template is divided, of the ways with fewest parts."""

    #: Parts as long as each other.
    EVEN = "even"
    #: As many parts as possible as long as the board, and one short one.
    LONG = "long"


@frozen_fields(kw_only=True)
class Boards:
    """The boards that templates are sawn from, and how.

    Parameters
    ----------
    width, length : float or str
        Size of a board [mm].
    margin : float or str
        Outermost strip of a board that is not used [mm].
    kerf : float or str
        Left between two parts for the saw [mm].
    half : bool
        Whether a piece that is alike on both sides gets a half template, where the whole one would not fit on
        one board.
    line : TemplateLine or str
        ``"cutting"`` or ``"sewing"``: the line that becomes the template's edge.
    strip : float or str
        Width of joining strips [mm].
    at_least : int
        A piece gets a template when it is drawn as often as this.
    most : int
        Templates that would take the areas of more boards than this are left out, those drawn least often first: so
        large a room is marked out with a tape.

    Raises
    ------
    ParameterError
        If a size is outside its limits, or the margins leave too little of a board.

    Examples
    --------
    >>> Boards().usable_mm
    (2420.0, 1200.0)
    >>> Boards(width="4 ft", length="8 ft", margin="1/2 in").usable_mm
    (2413.0, 1193.8)
    """

    width: Mm = length_field("board width", 300.0, 3000.0, "measure the board", default=1220.0)
    length: Mm = length_field("board length", 300.0, 6000.0, "measure the board", default=2440.0)
    margin: Mm = length_field("board margin", 0.0, 150.0, "leave 5 mm to 20 mm of each edge", default=10.0)
    kerf: Mm = length_field("saw kerf", 0.0, 20.0, "saw a slot and measure it", default=5.0)
    half: bool = flag_field("half templates", default=True)
    line: Reads[TemplateLine | TemplateLineWord, TemplateLine] = choice_field(
        "line of the templates", TemplateLine, default=TemplateLine.CUTTING
    )
    strip: Mm = length_field(
        "width of joining strips", 40.0, 300.0, "use strips of 80 mm to 150 mm", default=100.0
    )
    at_least: int = count_field(
        "number of drawings that is worth a template", 1, 1000, "make it 2 or 3", default=2
    )
    most: int = count_field("most boards for templates", 1, 200, "make it 10 to 30", default=20)

    def __attrs_post_init__(self) -> None:
        """Refuse boards that parts with their joints cannot be sawn from."""
        shortest = min(self.usable_mm)
        least = max(300.0, self.least_part_mm)
        require(
            shortest >= least,
            "board inside its margins",
            metric(shortest, 1),
            f"at least {metric(least)} wide",
            "use larger boards, a narrower margin or narrower strips",
        )

    @property
    def usable_mm(self) -> tuple[float, float]:
        """Longer and shorter side inside the margins [mm]."""
        sides = sorted(
            (round(side - 2.0 * self.margin, 6) for side in (self.length, self.width)), reverse=True
        )
        return sides[0], sides[1]

    @property
    def least_part_mm(self) -> float:
        """What a part measures at least, square to each of its joints [mm]."""
        return max(_LEAST_PART_MM, self.strip + _BESIDE_STRIP_MM)


def boards_sold(tape: Tape) -> Boards:
    """Boards as they are sold where people measure with a tape: 2440 mm by 1220 mm, or 8 ft by 4 ft; common practice.

    Examples
    --------
    >>> boards_sold(Tape.IMPERIAL).usable_mm
    (2418.4, 1199.2)
    """
    return Boards(length="8 ft", width="4 ft") if tape is Tape.IMPERIAL else Boards()

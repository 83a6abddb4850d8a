"""What the builder's workshop has: how strictly it keeps to the weave, prices, boards, and effort.

Glossary: a *workshop* is everything about a job that is neither the room nor its cloth; every price in its
defaults is an invented example and no offer. *Templates* are cut of board, or printed on paper. This module lays
nothing out and works nothing out.
"""

import math
from enum import Enum
from typing import Any, Literal

from attrs import field

from shellparts.base.checks import require
from shellparts.base.classes import Reads, frozen_fields
from shellparts.base.fields import choice_field, number_field, part_field
from shellparts.parameters.boards import Boards
from shellparts.parameters.printer import Printer
from shellparts.parameters.stocks import Turning, TurnRule, TurnRuleWord

__all__ = ["EffortLevel", "Prices", "Templates", "Workshop"]


class EffortLevel(Enum):
    """How long to look for a good layout; the words of the command line."""

    QUICK = "quick"
    BETTER = "better"
    BEST = "best"


#: The same as text.
EffortLevelWord = Literal["quick", "better", "best"]


class Templates(Enum):
    """What templates are made of."""

    BOARD = "board"
    PAPER = "paper"
    NONE = "none"


#: The same as text.
TemplatesWord = Literal["board", "paper", "none"]


def _price(what: str, usual: float | None) -> Any:
    remedy = "leave it out, or write None if it is not known"
    return number_field(f"price of {what}", "of money", 0.0, math.inf, remedy, optional=True, default=usual)


@frozen_fields(kw_only=True)
class Prices:
    """Prices of what goes into a room besides cloth, in the reader's money. The defaults are invented; None means
    not known, and such a line is named beside the total.

    Parameters
    ----------
    thread_m, tape_m, cord_m : float or None
        Of one metre.
    bag : float or None
        Of one bag for ballast, empty.
    board : float or None
        Of one board for templates.
    page : float or None
        Of one printed page.
    clip, needles, chalk : float or None
        Of one clip for the vent, of a packet of needles, of a box of chalk.
    filling_kg : float or None
        Of one kilogram of filling for bags.
    fan, anchor : float or None
        Of the fan, and of one anchor; not known unless given.

    Raises
    ------
    ParameterError
        If a value is of another kind, or outside its limits.
    """

    thread_m: float | None = _price("a metre of thread", 0.01)
    tape_m: float | None = _price("a metre of tape", 0.4)
    cord_m: float | None = _price("a metre of cord", 0.5)
    bag: float | None = _price("an empty bag", 2.5)
    board: float | None = _price("a board", 12.0)
    page: float | None = _price("a printed page", 0.1)
    clip: float | None = _price("a clip", 0.4)
    needles: float | None = _price("a packet of needles", 4.0)
    chalk: float | None = _price("a box of chalk", 2.0)
    filling_kg: float | None = _price("a kilogram of filling", 0.2)
    fan: float | None = _price("the fan", None)
    anchor: float | None = _price("an anchor", None)


def _no_cloth(_instance: Any, _attribute: Any, value: Any) -> None:
    remedy = "write build(design, cloth=cloth_roll(…)) or build(design, cloth=cloth_sheet(…)), and leave it out here"
    require(
        value is None,
        "cloth of the workshop",
        "given",
        "given to build, where all of the cloth is said",
        remedy,
    )


def _turning(value: Turning | TurnRule | TurnRuleWord) -> Turning:
    """A rule alone will do."""
    return value if isinstance(value, Turning) else Turning(value)


def _figure(what: str, unit: str, usual: float, remedy: str, above: bool = False) -> Any:
    return number_field(what, unit, 0.0, math.inf, remedy, above=above, default=usual)


@frozen_fields(kw_only=True)
class Workshop:
    """What a room is cut and sewn with.

    Parameters
    ----------
    turning : Turning or str
        How far off the weave pieces may be laid; a rule alone will do: ``"straight"``, ``"a few degrees"``,
        ``"free"``.
    gap_mm : float
        Cloth left between two cutting lines for the scissors [mm].
    layout : EffortLevel or str
        ``"quick"``, ``"better"`` or ``"best"``: how long to look for a good layout.
    spare : float
        Share of cloth to buy beyond what the layout takes; a line of its own.
    prices : Prices
        Of everything else.
    thickness_mm : float
        Thickness of one layer of the cloth, for the packed size [mm].
    knots_mm : float
        Cord that each drawcord needs beyond its channel [mm].
    templates : Templates or str
        What templates are made of: ``"board"``, ``"paper"`` or ``"none"``.
    boards : Boards
        Boards that templates are sawn of, and how.
    printer : Printer
        What prints the scale model.
    looseness : float
        Folded volume over the bare volume of cloth; fold a sample and measure.
    cloth : None
        Refused: the cloth is given to `build`.

    Raises
    ------
    ParameterError
        If a value is of another kind, or outside its limits.

    Examples
    --------
    >>> Workshop(layout="better").layout
    <EffortLevel.BETTER: 'better'>
    """

    turning: Reads[Turning | TurnRule | TurnRuleWord, Turning] = field(default=Turning(), converter=_turning)
    gap_mm: float = _figure("cutting gap", "mm", 10.0, "leave 5 mm to 20 mm for the scissors")
    layout: Reads[EffortLevel | EffortLevelWord, EffortLevel] = choice_field(
        "layout", EffortLevel, default=EffortLevel.QUICK
    )
    spare: float = _figure("spare share of cloth", "", 0.05, "write 5 % as 0.05")
    prices: Prices = part_field("prices", Prices, default=Prices())
    thickness_mm: float = _figure("thickness of cloth", "mm", 0.25, "measure ten layers and divide")
    knots_mm: float = _figure("cord for knots", "mm", 600.0, "leave 0.5 m to 1 m")
    templates: Reads[Templates | TemplatesWord, Templates] = choice_field(
        "templates", Templates, default=Templates.BOARD
    )
    boards: Boards = part_field("boards", Boards, default=Boards())
    printer: Printer = part_field("printer", Printer, default=Printer())
    looseness: float = _figure(
        "looseness of the folded room", "", 4.0, "fold a sample and measure", above=True
    )
    cloth: None = field(default=None, validator=_no_cloth, repr=False, eq=False)

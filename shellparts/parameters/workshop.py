"""What the builder's workshop has: cloth, how strictly it keeps to the weave, prices, and patience.

Glossary: a *workshop* is everything about a job that is not the room; every price and size in its defaults is
an invented example and no offer. *Templates* are cut of board, or printed on paper. This module lays nothing
out and works nothing out.
"""

import math
from enum import Enum
from typing import Any, cast

from attrs import field, frozen

from shellparts.base.errors import ParameterError
from shellparts.base.fields import choice_field, number_field, part_field
from shellparts.base.units import Length, to_mm
from shellparts.parameters.boards import Boards
from shellparts.parameters.stocks import Roll, Sheet, Side, Turning, Weave

__all__ = ["EXAMPLE_ROLL", "Patience", "Prices", "Templates", "Workshop", "cloth_roll", "cloth_sheet"]


class Patience(Enum):
    """How long to look for a good layout; the words of the command line."""

    QUICK = "quick"
    BETTER = "better"
    BEST = "best"


class Templates(Enum):
    """What templates are made of."""

    BOARD = "board"
    PAPER = "paper"
    NONE = "none"


def cloth_roll(
    name: str,
    width: Length,
    price: float | None = None,
    mass_g_m2: float | None = None,
    edge: Length = 10.0,
    weave: str = "square",
    on_hand: Length | None = None,
) -> Roll:
    """Describe cloth off a roll, in any unit.

    Parameters
    ----------
    name : str
        What the shop calls it.
    width : float or str
        Selvage to selvage [mm].
    price : float, optional
        Of one metre of length [reader's money a metre].
    mass_g_m2 : float, optional
        Mass per area [g/m2].
    edge : float or str
        Selvage to leave on either side [mm].
    weave : str
        ``"one way"``, ``"two way"``, ``"square"`` or ``"none"``; see `Weave`.
    on_hand : float or str, optional
        Length on hand [mm]; as much as is needed unless given.

    Returns
    -------
    Roll

    Raises
    ------
    ParameterError
        If a length does not read as one, or the weave is none of these words.

    Examples
    --------
    >>> cloth_roll("example roll", width="1.5 m").usable_width_mm
    1480.0
    """
    return Roll(
        name=name,
        width_mm=to_mm(width, f"width of {name}"),
        edge_mm=to_mm(edge, f"selvage of {name}"),
        price_per_m=price,
        mass_g_m2=mass_g_m2,
        length_mm=None if on_hand is None else to_mm(on_hand, f"length of {name} on hand"),
        weave=cast(Weave, weave),  # the field reads the word
    )


def cloth_sheet(
    name: str,
    label: tuple[Length, Length],
    finished: tuple[Length, Length],
    hem: Length,
    price: float | None = None,
    mass_g_m2: float | None = None,
    on_hand: int | None = None,
    weave: str = "square",
    right_side: bool = False,
) -> Sheet:
    """Describe a hemmed sheet, in any unit.

    Parameters
    ----------
    name : str
        What the shop calls it.
    label : (float or str, float or str)
        Length and width on the label [mm]: the size before hemming.
    finished : (float or str, float or str)
        Length and width on the bench [mm].
    hem : float or str
        Hem to cut away on every side [mm].
    price : float, optional
        Of one sheet [reader's money].
    mass_g_m2 : float, optional
        Mass per area [g/m2].
    on_hand : int, optional
        Sheets on hand; as many as are needed unless given.
    weave : str
        ``"one way"``, ``"two way"``, ``"square"`` or ``"none"``; see `Weave`.
    right_side : bool
        Whether the two faces differ, so that no piece may be turned over.

    Returns
    -------
    Sheet

    Raises
    ------
    ParameterError
        If a length does not read as one, the weave is none of these words, or the sizes cannot be.

    Examples
    --------
    >>> round(cloth_sheet("example", ("12 ft", "10 ft"), ("11 ft 6 in", "9 ft 6 in"), "1 in").usable_width_mm, 3)
    2844.8
    """
    length, width = (to_mm(size, f"size of {name} on the label") for size in label)
    long, wide = (to_mm(size, f"finished size of {name}") for size in finished)
    return Sheet(
        name=name,
        nominal_length_mm=length,
        nominal_width_mm=width,
        finished_length_mm=long,
        finished_width_mm=wide,
        hem_mm=to_mm(hem, f"hem of {name}"),
        price=price,
        mass_g_m2=mass_g_m2,
        count=on_hand,
        weave=cast(Weave, weave),  # the field reads the word
        side=Side.RIGHT if right_side else Side.SAME,
    )


#: The cloth of a room whose script names none: invented.
EXAMPLE_ROLL = cloth_roll("example roll 3 m", width="3 m", price=9.0)


def _price(what: str, usual: float) -> Any:
    remedy = "leave it out, or write None if it is not known"
    return number_field(f"price of {what}", "of money", 0.0, math.inf, remedy, optional=True, default=usual)


@frozen(kw_only=True)
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
    """

    thread_m: float | None = _price("a metre of thread", 0.01)
    tape_m: float | None = _price("a metre of tape", 0.4)
    cord_m: float | None = _price("a metre of cord", 0.5)
    bag: float | None = _price("an empty bag", 2.5)
    board: float | None = _price("a board", 12.0)
    page: float | None = _price("a printed page", 0.1)


def _cloth(value: Any) -> Roll | tuple[Sheet, ...]:
    """One sheet, a list of sheets or a roll."""
    if isinstance(value, Roll):
        return value
    sheets = tuple(value) if isinstance(value, list | tuple) else (value,)
    if not sheets or not all(isinstance(sheet, Sheet) for sheet in sheets):
        raise ParameterError(
            "cloth of the workshop",
            repr(value),
            "one roll, or one or more kinds of sheet",
            "make it with cloth_roll or cloth_sheet",
        )
    return sheets


def _turning(value: Any) -> Turning:
    """A rule alone will do."""
    return value if isinstance(value, Turning) else Turning(value)


def _figure(what: str, unit: str, usual: float, remedy: str, above: bool = False) -> Any:
    return number_field(what, unit, 0.0, math.inf, remedy, above=above, default=usual)


@frozen(kw_only=True)
class Workshop:
    """What a room is cut and sewn with.

    Parameters
    ----------
    cloth : Roll or Sheet or sequence of Sheet
        The cloth: one roll, or one or more kinds of sheet.
    turning : Turning or str
        How far off the weave pieces may be laid; a rule alone will do: ``"straight"``, ``"a few degrees"``,
        ``"free"``.
    gap_mm : float
        Cloth left between two cutting lines for the scissors [mm].
    layout : Patience or str
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
    looseness : float
        Folded volume over the bare volume of cloth; fold a sample and measure.

    Raises
    ------
    ParameterError
        If a figure cannot be.

    Examples
    --------
    >>> Workshop().cloth.name, Workshop(layout="better").layout
    ('example roll 3 m', <Patience.BETTER: 'better'>)
    """

    cloth: Roll | tuple[Sheet, ...] = field(default=EXAMPLE_ROLL, converter=_cloth)
    turning: Turning = field(default=Turning(), converter=_turning)
    gap_mm: float = _figure("cutting gap", "mm", 10.0, "leave 5 mm to 20 mm for the scissors")
    layout: Patience = choice_field("layout", Patience, default=Patience.QUICK)
    spare: float = _figure("spare share of cloth", "", 0.05, "write 5 % as 0.05")
    prices: Prices = part_field("prices", Prices, default=Prices())
    thickness_mm: float = _figure("thickness of cloth", "mm", 0.25, "measure ten layers and divide")
    knots_mm: float = _figure("cord for knots", "mm", 600.0, "leave 0.5 m to 1 m")
    templates: Templates = choice_field("templates", Templates, default=Templates.BOARD)
    boards: Boards = part_field("boards", Boards, default=Boards())
    looseness: float = _figure(
        "looseness of the folded room", "", 4.0, "fold a sample and measure", above=True
    )

    @property
    def stocks(self) -> tuple[Roll | Sheet, ...]:
        """Every kind of cloth."""
        return (self.cloth,) if isinstance(self.cloth, Roll) else self.cloth

    @property
    def sheets(self) -> tuple[Sheet, ...]:
        """The kinds of sheet; none where the cloth comes off a roll."""
        return () if isinstance(self.cloth, Roll) else self.cloth

"""Cloth as it is sold: rolls and sheets, with what must be left of their edges.

Glossary: the *weave direction* is the way the length threads (warp) run; *finished size* of a sheet is what
one measures on the bench, for sheets are sold by the size they were cut to before hemming; the *hem margin*
is the hem at the edge that is cut away; the *selvage* is the finished edge of a roll. *Along* is the length
of the stock, *across* its width. This module does not know the pieces, and knows no prices but those it is
given.
"""

import math
from enum import Enum
from typing import Any, Literal

from attrs import field, validators

from shellparts.base.checks import require
from shellparts.base.classes import Reads, frozen_fields
from shellparts.base.errors import ParameterError
from shellparts.base.fields import choice_field, number_field

__all__ = ["Roll", "Sheet", "Side", "TurnRule", "Turning", "Weave"]


class Side(Enum):
    """Whether the two faces of the cloth differ."""

    RIGHT = "right side"
    SAME = "same both sides"


#: The same as text.
SideWord = Literal["right side", "same both sides"]


class Weave(Enum):
    """Which turns leave the cloth looking and stretching the same."""

    #: Print or nap with a direction: no turn at all.
    ONE_WAY = "one way"
    #: Warp and weft differ: half turns.
    TWO_WAY = "two way"
    #: Warp and weft alike: quarter turns.
    SQUARE = "square"
    #: Film or felt: any turn.
    NONE = "none"

    @property
    def step_deg(self) -> float:
        """Smallest turn that changes nothing [deg]; 0 where every turn does."""
        return {Weave.ONE_WAY: 360.0, Weave.TWO_WAY: 180.0, Weave.SQUARE: 90.0, Weave.NONE: 0.0}[self]


#: The same as text.
WeaveWord = Literal["one way", "two way", "square", "none"]


class TurnRule(Enum):
    """How strictly pieces keep to the weave."""

    STRAIGHT = "straight"
    FEW_DEGREES = "a few degrees"
    FREE = "free"


#: The same as text.
TurnRuleWord = Literal["straight", "a few degrees", "free"]


@frozen_fields()
class Turning:
    """How far a piece may be turned off the weave.

    Parameters
    ----------
    rule : TurnRule
        Straight on the weave, within a few degrees of it, or free.
    tolerance_deg : float
        The few degrees [deg], 0 < tolerance <= 45; read under `TurnRule.FEW_DEGREES` only.

    Raises
    ------
    ParameterError
        If a value is of another kind, or outside its limits.

    Examples
    --------
    >>> Turning(TurnRule.FEW_DEGREES, 8.0).spread_deg
    8.0
    >>> Turning(TurnRule.STRAIGHT).spread_deg
    0.0
    """

    rule: Reads[TurnRule | TurnRuleWord, TurnRule] = choice_field(
        "turning rule", TurnRule, default=TurnRule.FEW_DEGREES
    )
    tolerance_deg: float = number_field(
        "turning tolerance", "deg", 0.0, 360.0, "choose 3 to 10 degrees", default=6.0
    )

    def __attrs_post_init__(self) -> None:
        if self.rule is TurnRule.FEW_DEGREES and not 0.0 < self.tolerance_deg <= 45.0:
            raise ParameterError(
                "turning tolerance",
                f"{self.tolerance_deg:g} deg",
                "more than 0 and at most 45 deg",
                "choose TurnRule.STRAIGHT or TurnRule.FREE instead",
            )

    @property
    def spread_deg(self) -> float:
        """Turn allowed to either side of the weave [deg]; 180 when free."""
        return {TurnRule.STRAIGHT: 0.0, TurnRule.FEW_DEGREES: self.tolerance_deg, TurnRule.FREE: 180.0}[
            self.rule
        ]


def _size(what: str, **options: Any) -> Any:
    """A size on a label or a bench [mm]."""
    return number_field(
        what, "mm", 0.0, math.inf, "read it off the label or measure it", above=True, **options
    )


def _known(what: str, unit: str, **options: Any) -> Any:
    """A figure that may be unknown."""
    remedy = "leave it out if it is not known"
    return number_field(what, unit, 0.0, math.inf, remedy, default=None, **options)


def _turn() -> Any:
    return number_field("weave direction", "deg", -360.0, 360.0, "0 is along the cloth", default=0.0)


def _left(what: str, value: float) -> None:
    """Refuse a margin that leaves nothing."""
    require(value > 0.0, what, f"{value:g} mm", "more than 0 mm", "read it off the label or measure it")


@frozen_fields(kw_only=True)
class Roll:
    """Cloth off a roll, sold by the metre.

    Parameters
    ----------
    name : str
        Name in the stock table.
    width_mm : float
        Full width, selvage to selvage [mm].
    edge_mm : float
        Selvage to leave on either side [mm].
    price_per_m : float or None
        Price of one metre of length, in the reader's money.
    mass_g_m2 : float or None
        Mass per area [g/m2].
    length_mm : float or None
        Length on hand [mm]; None when it is bought as needed.
    side : Side
        Whether the cloth has a right side.
    weave : Weave
        Which turns the cloth allows by itself.
    weave_deg : float
        Weave direction from the length of the roll [deg].

    Raises
    ------
    ParameterError
        If a value is of another kind, or outside its limits.
    """

    name: str = field(validator=validators.instance_of(str))
    width_mm: float = _size("width of the roll")
    edge_mm: float = number_field("selvage of the roll", "mm", 0.0, math.inf, "measure it", default=0.0)
    price_per_m: float | None = _known("price of a metre", "of money")
    mass_g_m2: float | None = _known("mass of the roll's cloth", "g/m2", above=True)
    length_mm: float | None = _size("length on hand", default=None)
    side: Reads[Side | SideWord, Side] = choice_field("sides of the cloth", Side, default=Side.SAME)
    weave: Reads[Weave | WeaveWord, Weave] = choice_field("weave", Weave, default=Weave.TWO_WAY)
    weave_deg: float = _turn()

    def __attrs_post_init__(self) -> None:
        _left(f"roll {self.name!r}: width between the edges", self.usable_width_mm)

    @property
    def usable_width_mm(self) -> float:
        """Width between the selvages [mm]."""
        return self.width_mm - 2.0 * self.edge_mm


@frozen_fields(kw_only=True)
class Sheet:
    """A hemmed sheet of cloth, sold by the piece.

    Parameters
    ----------
    name : str
        Name in the stock table.
    nominal_length_mm, nominal_width_mm : float
        Size on the label [mm].
    finished_length_mm, finished_width_mm : float
        Size on the bench [mm], at most the nominal one.
    hem_mm : float
        Hem to cut away on every side [mm].
    count : int or None
        Sheets on hand; None when they are bought as needed.
    price : float or None
        Price of one sheet, in the reader's money.
    mass_g_m2 : float or None
        Mass per area [g/m2].
    side : Side
        Whether the cloth has a right side.
    weave : Weave
        Which turns the cloth allows by itself.
    weave_deg : float
        Weave direction from the length of the sheet [deg].

    Raises
    ------
    ParameterError
        If a value is of another kind, or outside its limits.

    Examples
    --------
    >>> sheet = Sheet(name="example 3 x 4", nominal_length_mm=4000, nominal_width_mm=3000,
    ...               finished_length_mm=3900, finished_width_mm=2900, hem_mm=30)
    >>> sheet.usable_length_mm, sheet.usable_width_mm
    (3840.0, 2840.0)
    """

    name: str = field(validator=validators.instance_of(str))
    nominal_length_mm: float = _size("length on the label")
    nominal_width_mm: float = _size("width on the label")
    finished_length_mm: float = _size("finished length")
    finished_width_mm: float = _size("finished width")
    hem_mm: float = number_field("hem of the sheet", "mm", 0.0, math.inf, "measure it", default=0.0)
    count: int | None = _known("sheets on hand", "sheets", whole=True)
    price: float | None = _known("price of a sheet", "of money")
    mass_g_m2: float | None = _known("mass of the sheet's cloth", "g/m2", above=True)
    side: Reads[Side | SideWord, Side] = choice_field("sides of the cloth", Side, default=Side.SAME)
    weave: Reads[Weave | WeaveWord, Weave] = choice_field("weave", Weave, default=Weave.SQUARE)
    weave_deg: float = _turn()

    def __attrs_post_init__(self) -> None:
        what = f"sheet {self.name!r}: "
        for side, nominal, finished in (
            ("length", self.nominal_length_mm, self.finished_length_mm),
            ("width", self.nominal_width_mm, self.finished_width_mm),
        ):
            if finished > nominal:
                raise ParameterError(
                    f"{what}finished {side}",
                    f"{finished:g} mm",
                    f"at most the nominal {nominal:g} mm",
                    "measure the sheet inside its hems' outer edges; the label names the size before hemming",
                )
            _left(f"{what}{side} inside the hems", finished - 2.0 * self.hem_mm)

    @property
    def usable_length_mm(self) -> float:
        """Length inside the hems [mm]."""
        return float(self.finished_length_mm - 2.0 * self.hem_mm)

    @property
    def usable_width_mm(self) -> float:
        """Width inside the hems [mm]."""
        return float(self.finished_width_mm - 2.0 * self.hem_mm)

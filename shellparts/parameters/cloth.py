"""What a room is sewn of, said once: how it is sold, what it weighs, how strong it is and how it is sewn.

Every price and size in the defaults is an invented example and no offer. This module lays nothing out.
"""

from collections.abc import Sequence
from typing import Any, TypedDict, Unpack

from attrs import Factory, field

from shellparts.base.checks import require
from shellparts.base.classes import Reads, frozen_fields
from shellparts.base.fields import flag_field, number_field, range_field
from shellparts.base.ranges import Range, exact
from shellparts.base.units import Length, to_mm
from shellparts.parameters.stocks import Roll, Sheet, Side, Weave, WeaveWord

__all__ = ["EXAMPLE_ROLL", "Cloth", "cloth_roll", "cloth_sheet"]

#: Air permeability of a coated sheet [mm/s].
AIRTIGHT = exact(0.0)
#: Mass per area of woven polyethylene sheet [kg/m²]: 187 to 227 g/m² in a relief-shelter specification.
SHELTER_SHEET_KG_M2 = Range(0.187, 0.2, 0.227)
#: How the cloth of a room is sold whose script says nothing of it: invented.
EXAMPLE_ROLL = Roll(
    name="example roll 3 m", width_mm=3000.0, edge_mm=10.0, price_per_m=9.0, weave=Weave.SQUARE
)
#: Two masses that differ by less than this share are one, written twice.
_SAME = 0.005


def _stocks(value: "Roll | Sheet | Cloth | Sequence[Roll | Sheet | Cloth]") -> tuple[Roll | Sheet, ...]:
    """One roll, or sheets, also as cloths that say no more than how they are sold."""
    items = value if isinstance(value, list | tuple) else (value,)
    stocks = tuple(stock for one in items for stock in (one.stocks if isinstance(one, Cloth) else (one,)))
    fits = [type(one) for one in stocks] == [Roll] or all(isinstance(one, Sheet) for one in stocks)
    require(
        bool(stocks) and fits,
        "stock of the cloth",
        repr(value),
        "one roll, or one or more kinds of sheet",
        "make it with cloth_roll or cloth_sheet",
    )
    for one in items:
        require(
            not isinstance(one, Cloth) or one == Cloth(stocks=one.stocks),
            "cloth among the stock of a cloth",
            repr(one.stocks[0].name) if isinstance(one, Cloth) else "",
            "said only how it is sold",
            "say how strong it is, and the rest, once: Cloth(stocks=[cloth_sheet(…), cloth_sheet(…)], strength_N_m=…)",
        )
    return stocks


def _masses(stocks: Sequence[Roll | Sheet]) -> dict[str, float]:
    """What each stock is said to weigh, by its name [kg/m²]."""
    return {one.name: one.mass_g_m2 / 1000.0 for one in stocks if one.mass_g_m2 is not None}


def _mass(cloth: "Cloth") -> Range:
    """What the stocks are said to weigh; a shelter sheet's mass where none is said."""
    told = list(_masses(cloth.stocks).values())
    if not told:
        return SHELTER_SHEET_KG_M2
    low, high = min(told), max(told)
    return Range(low, min(max(sum(told) / len(told), low), high), high)


def _stiffness(way: str, usual: float) -> Any:
    remedy = "100 000 N/m for a woven sheet of 200 g/m²"
    return number_field(f"{way} stiffness N m", "N/m", 100.0, 1e8, remedy, default=usual)


@frozen_fields()
class Cloth:
    """Cloth: how it is sold and how it is sewn. The defaults are a relief-shelter sheet, sold by an invented roll, and
    a household machine.

    Parameters
    ----------
    stocks : Roll or Sheet, or sequence of Sheet
        How it is sold: one roll, or one or more kinds of sheet to choose from; rows of a stock table, or what
        `cloth_roll` and `cloth_sheet` give.
    mass_kg_m2 : Range
        Mass per area [kg/m²]; a plain number is taken as exact. What the stocks are said to weigh unless given.
    strength_N_m : float
        Strip strength of the weaker direction [N/m].
    air_permeability_mm_s : Range
        Air permeability at 100 Pa [mm/s]; 0 for a coated sheet.
    stitches_per_m : float
        Stitches in a metre of one row [1/m].
    stitch_rows : int
        Rows of stitching in a seam [-].
    needle_mm : float
        Diameter of the needle [mm].
    thread_strength_N : float
        Strength of one thread [N].
    flame_retardant : bool
        Whether a certificate says so.
    warp_stiffness_N_m, weft_stiffness_N_m : float
        Force a metre of width that would stretch the cloth by its own length, along and across the roll [N/m].
    shear_stiffness_N_m : float
        Stiffness on the bias [N/m].
    poisson : float
        Narrowing across per stretch along the roll [-].

    Raises
    ------
    ParameterError
        If a value cannot be, or the cloth is said to have two masses.

    References
    ----------
    Relief-shelter specification for woven polyethylene sheet: at least 500 N on 5 cm, 187 to 227 g/m².
    The stiffness is an estimate: half of 0.2 kg/m² of polyethylene (950 kg/m³) lies each way, 0.1 mm at
    about 1 GPa; the bias a twentieth. At a fan's pressures the cloth stretches by less than 1 part in 1000.

    Examples
    --------
    >>> Cloth().stocks[0].name, Cloth().mass_kg_m2.likely
    ('example roll 3 m', 0.2)
    """

    stocks: Reads["Roll | Sheet | Cloth | Sequence[Roll | Sheet | Cloth]", tuple[Roll | Sheet, ...]] = field(
        default=(EXAMPLE_ROLL,), converter=_stocks
    )
    mass_kg_m2: Reads[Range | float, Range] = range_field(
        "mass kg m2", "kg/m²", 0.01, 5.0, "200 g/m² is 0.2 kg/m²", default=Factory(_mass, takes_self=True)
    )
    strength_N_m: float = number_field(
        "strength N m", "N/m", 1.0, 1e6, "500 N on 5 cm is 10000 N/m", default=10000.0
    )
    air_permeability_mm_s: Reads[Range | float, Range] = range_field(
        "air permeability mm s", "mm/s", 0.0, 1e4, "0 for a coated sheet", default=AIRTIGHT
    )
    stitches_per_m: float = number_field(
        "stitches per m", "a metre", 10.0, 2000.0, "3.3 mm stitches are 300 a metre", default=300.0
    )
    stitch_rows: int = number_field("stitch rows", "rows", 1, 10, "count the rows", whole=True, default=1)
    needle_mm: float = number_field("needle mm", "mm", 0.3, 5.0, "a size 110 needle is 1.1 mm", default=1.1)
    thread_strength_N: float = number_field(
        "thread strength N", "N", 0.1, 1000.0, "ask the thread's maker", default=18.0
    )
    flame_retardant: bool = flag_field("flame retardant", default=False)
    warp_stiffness_N_m: float = _stiffness("warp", 100e3)
    weft_stiffness_N_m: float = _stiffness("weft", 100e3)
    shear_stiffness_N_m: float = _stiffness("shear", 5e3)
    poisson: float = number_field("poisson", "(no unit)", 0.0, 0.9, "take 0.2 if unknown", default=0.2)

    def __attrs_post_init__(self) -> None:
        """Refuse two masses."""
        own = self.mass_kg_m2
        for name, mass in _masses(self.stocks).items():
            require(
                own.low * (1.0 - _SAME) <= mass <= own.high * (1.0 + _SAME),
                "mass of the cloth",
                f"{1000.0 * own.likely:g} g/m2 in Cloth and {1000.0 * mass:g} g/m2 in {name!r}",
                "the same in both",
                "weigh a piece; then correct the one that is wrong, or leave the mass out of Cloth",
            )

    @property
    def sheets(self) -> tuple[Sheet, ...]:
        """The kinds of sheet; none where the cloth comes off a roll."""
        return tuple(one for one in self.stocks if isinstance(one, Sheet))

    @property
    def roll(self) -> Roll | None:
        """The roll; None where the cloth is sold in sheets."""
        first = self.stocks[0]
        return first if isinstance(first, Roll) else None


class HowSewn(TypedDict, total=False):
    """What `cloth_roll` and `cloth_sheet` hand on to `Cloth`."""

    mass_kg_m2: Range | float
    strength_N_m: float
    air_permeability_mm_s: Range | float
    stitches_per_m: float
    stitch_rows: int
    needle_mm: float
    thread_strength_N: float
    flame_retardant: bool
    warp_stiffness_N_m: float
    weft_stiffness_N_m: float
    shear_stiffness_N_m: float
    poisson: float


def cloth_roll(
    name: str,
    width: Length,
    price: float | None = None,
    mass_g_m2: float | None = None,
    edge: Length = 10.0,
    weave: Weave | WeaveWord = "square",
    on_hand: Length | None = None,
    **sewn: Unpack[HowSewn],
) -> Cloth:
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
    weave : Weave or str
        ``"one way"``, ``"two way"``, ``"square"`` or ``"none"``; see `Weave`.
    on_hand : float or str, optional
        Length on hand [mm]; as much as is needed unless given.
    **sewn
        What else `Cloth` takes: ``strength_N_m=9000, flame_retardant=True``.

    Returns
    -------
    Cloth

    Raises
    ------
    ParameterError
        If a length does not read as one, or the weave is none of these words.

    Examples
    --------
    >>> cloth_roll("example roll", width="1.5 m").stocks[0].usable_width_mm
    1480.0
    """
    roll = Roll(
        name=name,
        width_mm=to_mm(width, f"width of {name}"),
        edge_mm=to_mm(edge, f"selvage of {name}"),
        price_per_m=price,
        mass_g_m2=mass_g_m2,
        length_mm=None if on_hand is None else to_mm(on_hand, f"length of {name} on hand"),
        weave=weave,
    )
    return Cloth(roll, **sewn)


def cloth_sheet(
    name: str,
    label: tuple[Length, Length],
    finished: tuple[Length, Length],
    hem: Length,
    price: float | None = None,
    mass_g_m2: float | None = None,
    on_hand: int | None = None,
    weave: Weave | WeaveWord = "square",
    right_side: bool = False,
    **sewn: Unpack[HowSewn],
) -> Cloth:
    """Describe cloth in hemmed sheets, in any unit.

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
    weave : Weave or str
        ``"one way"``, ``"two way"``, ``"square"`` or ``"none"``; see `Weave`.
    right_side : bool
        Whether the two faces differ, so that no piece may be turned over.
    **sewn
        What else `Cloth` takes: ``strength_N_m=9000, flame_retardant=True``.

    Returns
    -------
    Cloth

    Raises
    ------
    ParameterError
        If a length does not read as one, the weave is none of these words, or the sizes cannot be.

    Examples
    --------
    >>> cloth = cloth_sheet("example", ("12 ft", "10 ft"), ("11 ft 6 in", "9 ft 6 in"), "1 in")
    >>> round(cloth.sheets[0].usable_width_mm, 3)
    2844.8
    >>> Cloth([cloth, cloth_sheet("small", ("2 m", "1 m"), ("1.9 m", "0.9 m"), 20)], strength_N_m=9000).sheets[1].name
    'small'
    """
    length, width = (to_mm(size, f"size of {name} on the label") for size in label)
    long, wide = (to_mm(size, f"finished size of {name}") for size in finished)
    sheet = Sheet(
        name=name,
        nominal_length_mm=length,
        nominal_width_mm=width,
        finished_length_mm=long,
        finished_width_mm=wide,
        hem_mm=to_mm(hem, f"hem of {name}"),
        price=price,
        mass_g_m2=mass_g_m2,
        count=on_hand,
        weave=weave,
        side=Side.RIGHT if right_side else Side.SAME,
    )
    return Cloth(sheet, **sewn)

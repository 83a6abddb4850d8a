"""What a room is sewn of: what its cloth weighs may stand in what is bought, and in what safety is told of."""

from typing import Any

from attrs import evolve, frozen

from shellparts.base.errors import ParameterError
from shellparts.base.fields import flag_field, number_field, range_field
from shellparts.base.ranges import Range, exact
from shellparts.parameters.workshop import Workshop

__all__ = ["Cloth", "cloth_of"]


#: Air permeability of a coated sheet [mm/s].
AIRTIGHT = exact(0.0)
#: Mass per area of woven polyethylene sheet [kg/m²]: 187 to 227 g/m² in a relief-shelter specification.
SHELTER_SHEET_KG_M2 = Range(0.187, 0.2, 0.227)


def _stiffness(way: str, usual: float) -> Any:
    remedy = "100 000 N/m for a woven sheet of 200 g/m²"
    return number_field(f"{way} stiffness N m", "N/m", 100.0, 1e8, remedy, default=usual)


@frozen
class Cloth:
    """Cloth and how it is sewn. The defaults are a relief-shelter sheet and a household machine.

    Parameters
    ----------
    name : str
        What the user calls it.
    mass_kg_m2 : Range
        Mass per area [kg/m²]; a plain number is taken as exact.
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
        If a value cannot be.

    References
    ----------
    Relief-shelter specification for woven polyethylene sheet: at least 500 N on 5 cm, 187 to 227 g/m².
    The stiffness is an estimate: half of 0.2 kg/m² of polyethylene (950 kg/m³) lies each way, 0.1 mm at
    about 1 GPa; the bias a twentieth. At a fan's pressures the cloth stretches by less than 1 part in 1000.
    """

    name: str = "woven polyethylene sheet"
    mass_kg_m2: Range = range_field(
        "mass kg m2", "kg/m²", 0.01, 5.0, "200 g/m² is 0.2 kg/m²", default=SHELTER_SHEET_KG_M2
    )
    strength_N_m: float = number_field(
        "strength N m", "N/m", 1.0, 1e6, "500 N on 5 cm is 10000 N/m", default=10000.0
    )
    air_permeability_mm_s: Range = range_field(
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


#: Two masses that differ by less than this share are one, written twice.
_SAME = 0.005


def cloth_of(cloth: Cloth | None, workshop: Workshop) -> Cloth:
    """The cloth of a room: the mass of the roll or the sheets is the room's.

    Parameters
    ----------
    cloth : Cloth, optional
        Its strength and the rest; a relief-shelter sheet unless given.
    workshop : Workshop
        With the roll or the sheets, which may say what they weigh.

    Returns
    -------
    Cloth

    Raises
    ------
    ParameterError
        If both say what the cloth weighs, and differ.
    """
    told = {s.name: s.mass_g_m2 / 1000.0 for s in workshop.stocks if s.mass_g_m2 is not None}
    if not told:
        return Cloth() if cloth is None else cloth
    low, high = min(told.values()), max(told.values())
    if cloth is not None and cloth.mass_kg_m2 is not SHELTER_SHEET_KG_M2:
        own = cloth.mass_kg_m2
        for name, mass in told.items():
            if not own.low * (1.0 - _SAME) <= mass <= own.high * (1.0 + _SAME):
                raise ParameterError(
                    "mass of the cloth",
                    f"{1000.0 * own.likely:g} g/m2 in Cloth and {1000.0 * mass:g} g/m2 in {name!r}",
                    "the same in both",
                    "weigh a piece; then correct the one that is wrong, or leave the mass out of Cloth",
                )
    likely = sum(told.values()) / len(told)
    return evolve(
        Cloth() if cloth is None else cloth, mass_kg_m2=Range(low, min(max(likely, low), high), high)
    )

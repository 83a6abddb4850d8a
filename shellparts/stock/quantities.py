"""Quantities: cloth bought, cut and wasted, its mass and packed volume; tape, cord and paper.

Glossary: *bought* cloth is what is paid for, *cut* cloth is what ends up inside cutting lines, *wasted* is
the rest; *looseness* is how many times the bare volume of cloth a folded room takes. Spare is never hidden
in a quantity: where a share is added it is an argument. This module knows no prices.
"""

from collections.abc import Sequence

from attrs import frozen

from shellparts.base.checks import above, need, require
from shellparts.base.tolerances import whole_up
from shellparts.stock.layout import StockLayout

_CORRECT = "correct the figure"

__all__ = [
    "ClothUse",
    "allowance_share",
    "cloth_mass_kg",
    "cloth_use",
    "packed_volume_l",
    "paper_pages",
    "strip_m",
]


@frozen
class ClothUse:
    """Cloth bought, cut and wasted.

    Parameters
    ----------
    bought_m2 : float
        Area of the cloth that the layouts use up, hems and selvages included, not rounded to what is sold [m2].
    cut_m2 : float
        Area inside the cutting lines [m2].
    """

    bought_m2: float
    cut_m2: float

    @property
    def wasted_m2(self) -> float:
        """Area that is left [m2]."""
        return self.bought_m2 - self.cut_m2

    @property
    def wasted_share(self) -> float:
        """Share of the bought area that is left."""
        return self.wasted_m2 / self.bought_m2 if self.bought_m2 else 0.0


def cloth_use(layouts: Sequence[StockLayout]) -> ClothUse:
    """Cloth bought, cut and wasted by layouts."""
    return ClothUse(sum(one.cloth_area_m2 for one in layouts), sum(one.cut_area_m2 for one in layouts))


def allowance_share(cut_m2: float, sewn_m2: float) -> float:
    """Share of the cut cloth that goes into seams and hems.

    Parameters
    ----------
    cut_m2 : float
        Area inside the cutting lines [m2].
    sewn_m2 : float
        Area of the room's faces, inside the sewing lines [m2]; at most `cut_m2`.

    Returns
    -------
    float
        Share; by so much the mass of the room exceeds that of its faces.

    Examples
    --------
    >>> allowance_share(25.0, 24.0)
    0.04
    """
    above("cut area", cut_m2, 0.0, "m2", _CORRECT)
    need("sewn area", sewn_m2, "m2")
    limit = f"at most the cut area, {cut_m2:g} m2"
    require(sewn_m2 <= cut_m2, "sewn area", f"{sewn_m2:g} m2", limit, "check the allowances")
    return (cut_m2 - sewn_m2) / cut_m2


def cloth_mass_kg(area_m2: float, mass_g_m2: float) -> float:
    """Mass of cloth [kg].

    Examples
    --------
    >>> cloth_mass_kg(30.0, 110.0)
    3.3
    """
    need("area of cloth", area_m2, "m2")
    need("mass per area", mass_g_m2, "g/m2")
    return area_m2 * mass_g_m2 / 1000.0


def packed_volume_l(area_m2: float, thickness_mm: float, looseness: float = 4.0) -> float:
    """Volume of the folded room.

    Parameters
    ----------
    area_m2 : float
        Area of cloth, seams included [m2].
    thickness_mm : float
        Thickness of the cloth [mm].
    looseness : float
        Folded volume over the bare volume of cloth; the default is a guess: state it, or fold a sample and
        measure.

    Returns
    -------
    float
        Volume [l].

    Examples
    --------
    >>> packed_volume_l(30.0, 0.2, looseness=4.0)
    24.0
    """
    need("area of cloth", area_m2, "m2")
    need("thickness of cloth", thickness_mm, "mm")
    above("looseness", looseness, 0.0, "", _CORRECT)
    return area_m2 * thickness_mm * looseness


def strip_m(lengths_mm: Sequence[float], end_mm: float = 0.0, spare: float = 0.0) -> float:
    """Tape, webbing or cord [m]: runs, each with what its overlap or knots need beyond it, and a share to spare.

    Examples
    --------
    >>> round(strip_m([13800.0, 4200.0], end_mm=100.0, spare=0.1), 9)
    20.02
    """
    for length in lengths_mm:
        need("length of a run", length, "mm")
    need("end of a run", end_mm, "mm")
    need("spare share", spare, "")
    return (sum(lengths_mm) + end_mm * len(lengths_mm)) * 1e-3 * (1.0 + spare)


def paper_pages(
    length_mm: float, width_mm: float, page_mm: tuple[float, float] = (190.0, 277.0), overlap_mm: float = 10.0
) -> int:
    """Pages that a full-size print of a piece takes.

    Parameters
    ----------
    length_mm, width_mm : float
        Box of the piece [mm].
    page_mm : (float, float)
        Printable size of a page [mm]; the default is ISO 216 A4, 210 x 297 mm, with 10 mm margins.
    overlap_mm : float
        Overlap of neighbouring pages [mm].

    Examples
    --------
    >>> paper_pages(190.0, 277.0), paper_pages(191.0, 277.0)
    (1, 2)
    """
    above("length of the piece", length_mm, 0.0, "mm", _CORRECT)
    above("width of the piece", width_mm, 0.0, "mm", _CORRECT)
    need("overlap of pages", overlap_mm, "mm")
    limit = f"larger than the overlap of {overlap_mm:g} mm"
    require(min(page_mm) > overlap_mm, "page", f"{min(page_mm):g} mm", limit, "use larger pages")

    def along(size: float, page: float) -> int:
        return max(1, whole_up((size - overlap_mm) / (page - overlap_mm)))

    (a, b) = page_mm
    return min(along(length_mm, a) * along(width_mm, b), along(length_mm, b) * along(width_mm, a))

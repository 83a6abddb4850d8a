"""Quantities of what goes into a room besides cloth: thread, tape, cord, paper.

Glossary: *notions* is the sewing trade's word for such things; the *ratio* of thread is how much thread goes
into a length of seam. Waste and spare are arguments, never hidden in a quantity. This module knows no prices
and no layouts.
"""

from collections.abc import Sequence

from shellparts.base.checks import above, need, require
from shellparts.base.tolerances import whole_up

_CORRECT = "correct the figure"

__all__ = ["paper_pages", "strip_m", "thread_m"]


def thread_m(seam_m: float, ratio: float = 2.5, rows: int = 2, waste: float = 0.15) -> float:
    """Thread for seams."""
    need("length of seams", seam_m, "m")
    above("thread ratio", ratio, 0.0, "", _CORRECT)
    need("rows of stitches", rows, "rows")
    need("thread waste", waste, "")
    return seam_m * ratio * rows * (1.0 + waste)


def strip_m(lengths_mm: Sequence[float], end_mm: float = 0.0, spare: float = 0.0) -> float:
    """Tape, webbing or cord: runs with their ends.

    Parameters
    ----------
    lengths_mm : sequence of float
        Length of each run [mm].
    end_mm : float
        What each run needs beyond its length, for the overlap or the knots [mm].
    spare : float
        Share to add.

    Returns
    -------
    float
        Length [m].

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

    Returns
    -------
    int
        Fewest of upright and lying pages.

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

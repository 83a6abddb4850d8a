"""Pieces laid on sheets: fewest sheets, then least cost.

Glossary: a *pattern* is how many of each piece lie on one sheet; *rows of boxes* is the reference by hand;
the *area bound* is the number of sheets below which not even the areas fit. "Fewest" is claimed only where
the number of sheets equals that bound; elsewhere the layout is the "best found". Patterns come from an
integer program; each one used has a verified layout. This module does not draw and does not price cloth off
a roll.
"""

from collections.abc import Callable, Sequence
from enum import Enum

from attrs import field, frozen

from shellparts.base.errors import ParameterError
from shellparts.parameters.stocks import Sheet, Turning
from shellparts.pattern.cut_pieces import CutPiece, fits
from shellparts.stock.hand import box_rows
from shellparts.stock.joins import Unfitting, unfitting
from shellparts.stock.layout import Ended, SearchProgress, StockLayout, assemble
from shellparts.stock.packer import QUICK, Effort
from shellparts.stock.roll import LayoutError, check_names
from shellparts.stock.sheet_search import SheetSearch, cost_of, search
from shellparts.stock.verify import faults

__all__ = ["Claim", "SheetsResult", "lay_on_sheets"]


class Claim(Enum):
    """What may be said of the number of sheets."""

    FEWEST = "fewest"
    BEST_FOUND = "best found"


@frozen
class SheetsResult:
    """Layouts on sheets, with how they were come by.

    Parameters
    ----------
    layouts : tuple of StockLayout
        One per sheet used.
    unfitting : tuple of Unfitting
        Pieces that fit no sheet.
    left_over : tuple of (str, int)
        Pieces that would fit, but for which no sheet on hand is left.
    area_bound : int
        Number of sheets below which the areas do not fit.
    box_rows_sheets : int or None
        Sheets that rows of boxes need, on the one kind of sheet that needs fewest; None when boxes do not
        fit any.
    claim : Claim
        Whether fewer sheets are impossible.
    cost : float or None
        Price of the sheets; None when some price is not known.
    ended : Ended
        What ended the search.
    tests : int
        Patterns tried with the packer.
    notes : tuple of str
        What the reader should know.
    """

    layouts: tuple[StockLayout, ...] = field(repr=False)
    unfitting: tuple[Unfitting, ...]
    left_over: tuple[tuple[str, int], ...]
    area_bound: int
    box_rows_sheets: int | None
    claim: Claim
    cost: float | None
    ended: Ended
    tests: int
    notes: tuple[str, ...] = ()

    @property
    def utilisation(self) -> float:
        """Share of the finished area of the sheets that ends up in pieces."""
        cloth = sum(layout.cloth_area_m2 for layout in self.layouts)
        return sum(layout.cut_area_m2 for layout in self.layouts) / cloth if cloth else 0.0


def lay_on_sheets(
    pieces: Sequence[CutPiece],
    sheets: Sequence[Sheet],
    turning: Turning | None = None,
    gap_mm: float = 10.0,
    effort: Effort = QUICK,
    progress: Callable[[SearchProgress], bool | None] | None = None,
    join_allowance_mm: float = 15.0,
) -> SheetsResult:
    """Lay pieces on sheets: fewest sheets, then least cost.

    Returns
    -------
    SheetsResult
        Verified layouts, never more of them than rows of boxes need on one kind of sheet.

    Raises
    ------
    ParameterError
        If names repeat, the gap is below zero or there are no sheets.
    LayoutError
        If a layout that was feasible fails its checks at the end.
    """
    check_names(pieces, gap_mm)
    if not sheets:
        raise ParameterError(
            "stock", "without sheets", "at least one kind of sheet", "add a row to the stock table"
        )
    turning = turning or Turning()
    good, lost = [], []
    for piece in pieces:
        if any(fits(piece, sheet, turning) for sheet in sheets):
            good.append(piece)
        else:
            lost.append(unfitting(piece, tuple(sheets), turning, join_allowance_mm))
    if not good:
        return SheetsResult((), tuple(lost), (), 0, None, Claim.FEWEST, 0.0, Ended.CONVERGED, 0)
    job = SheetSearch(good, sheets, turning, gap_mm, effort, progress)
    bound, final = search(job)
    layouts = [
        assemble(sheets[pattern.sheet], good, job.layouts[pattern])
        for pattern, times in final.uses
        for _ in range(times)
    ]
    wrong = [fault for layout in layouts for fault in faults(layout, gap_mm)]
    if wrong:
        raise LayoutError(f"a layout failed its checks: {wrong[0]}")
    used = {pattern.sheet for pattern, _ in final.uses}
    boxed = [len(rows) for sheet in sheets if (rows := box_rows(good, sheet, turning, gap_mm)) is not None]
    short = tuple((piece.name, count) for piece, count in zip(good, final.shortage, strict=True) if count)
    return SheetsResult(
        layouts=tuple(layouts),
        unfitting=tuple(lost),
        left_over=short,
        area_bound=bound,
        box_rows_sheets=min(boxed, default=None),
        claim=Claim.FEWEST if bound == final.sheets and not short else Claim.BEST_FOUND,
        cost=None if any(sheets[k].price is None for k in used) else cost_of(final, sheets),
        ended=job.ended,
        tests=job.tests,
        notes=tuple(dict.fromkeys(job.notes)),
    )

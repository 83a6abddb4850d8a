"""Pieces laid on sheets: fewest sheets, then least cost.

Glossary: as in `results` and `cutting_patterns`. Patterns come from an integer program; each one used has a verified
layout. This module does not draw and does not price cloth off a roll.
"""

from collections.abc import Callable, Sequence

from shellparts.base.checks import require
from shellparts.parameters.stocks import Sheet, Turning
from shellparts.pattern.cut_pieces import CutPiece, fits
from shellparts.stock.hand import box_rows
from shellparts.stock.joins import unfitting
from shellparts.stock.layout import Ended, SearchProgress, assemble
from shellparts.stock.packer import QUICK, Effort
from shellparts.stock.results import Claim, SheetsResult
from shellparts.stock.roll import LayoutError, check_names
from shellparts.stock.sheet_search import SheetSearch, cost_of, search
from shellparts.stock.verify import faults

__all__ = ["lay_on_sheets"]


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
    limit = "at least one kind of sheet"
    require(len(sheets) > 0, "stock", "without sheets", limit, "add a row to the stock table")
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

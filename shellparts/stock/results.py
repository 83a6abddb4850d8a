"""What is laid on a roll or on sheets, with how it was come by; the "stock" part of ``summary.json``, and its warnings.

Glossary: *rows of boxes* is the reference by hand on sheets, the *hand rule* that on a roll; the *area bound* is the
number of sheets below which not even the areas fit. "Fewest" is claimed only where the number of sheets equals that
bound; elsewhere the layout is the "best found". Nothing is computed here that the results do not hold.
"""

from enum import Enum
from typing import Any

from attrs import field, frozen

from shellparts.stock.joins import Unfitting
from shellparts.stock.layout import Ended, StockLayout

__all__ = ["Claim", "Laid", "RollResult", "SheetsResult", "stock_summary", "stock_warnings"]


@frozen
class RollResult:
    """A layout on a roll, with how it was come by.

    Parameters
    ----------
    layout : StockLayout
        The layout; empty when nothing fits.
    unfitting : tuple of Unfitting
        Pieces that are not laid because they fit nothing.
    hand_rule : StockLayout or None
        The same pieces by the hand rule; None when it cannot lay them.
    engine : str
        "packer", "rows" or "hand rule": whose layout this is.
    ended : Ended
        What ended the search; after `Ended.STEPS` and `Ended.CONVERGED` it repeats exactly.
    steps : int
        Steps of the packer used, over all runs.
    notes : tuple of str
        What the reader should know: a packer that failed, a roll on hand that is too short.
    """

    layout: StockLayout
    unfitting: tuple[Unfitting, ...]
    hand_rule: StockLayout | None = field(repr=False)
    engine: str
    ended: Ended
    steps: int
    notes: tuple[str, ...] = ()


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


#: Pieces laid on a roll or on sheets.
Laid = RollResult | SheetsResult


def stock_summary(result: Laid) -> dict[str, Any]:
    """The key "stock" of ``summary.json``: plain numbers and texts, null where a figure does not apply."""
    repeats = result.ended in (Ended.CONVERGED, Ended.STEPS, Ended.FALLBACK)
    common: dict[str, Any] = {
        "unfitting": [one.name for one in result.unfitting],
        "ended": result.ended.value,
        "repeatable": repeats,
    }
    if isinstance(result, RollResult):
        hand = result.hand_rule
        return {
            "sheets_used": None,
            "area_bound_sheets": None,
            "utilisation": result.layout.utilisation,
            "roll_length_m": result.layout.length_mm * 1e-3,
            "hand_rule_utilisation": hand.utilisation if hand else None,
            "engine": result.engine,
            **common,
        }
    return {
        "sheets_used": len(result.layouts),
        "area_bound_sheets": result.area_bound,
        "utilisation": result.utilisation,
        "roll_length_m": None,
        "hand_rule_utilisation": None,
        "box_rows_sheets": result.box_rows_sheets,
        "claim": result.claim.value,
        "left_over": [{"name": name, "count": count} for name, count in result.left_over],
        **common,
    }


def stock_warnings(result: Laid) -> list[dict[str, str]]:
    """Entries for the key "warnings" of ``summary.json``: "code", "message" and "remedy" of each."""
    found = [
        {"code": "piece-fits-nothing", "message": one.message, "remedy": "add the join, or use larger cloth"}
        for one in result.unfitting
    ]
    if isinstance(result, SheetsResult):
        found += [
            {
                "code": "sheets-short",
                "message": f"no sheet is left for {count} of {name}",
                "remedy": "get more sheets",
            }
            for name, count in result.left_over
        ]
    found += [
        {"code": "layout-note", "message": note, "remedy": "look at the layout before cutting"}
        for note in result.notes
    ]
    if result.ended is Ended.CLOCK:
        text = "the safety clock ended the search: another run may give another layout"
        found.append(
            {"code": "layout-by-clock", "message": text, "remedy": "keep this layout, or lower the effort"}
        )
    return found

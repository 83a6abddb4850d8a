"""The "stock" part of ``summary.json`` and its warnings, of a layout on a roll or on sheets.

Glossary: as in `roll` and `sheets`. This module computes nothing that its results do not hold.
"""

from typing import Any

from shellparts.stock.layout import Ended
from shellparts.stock.roll import RollResult
from shellparts.stock.sheets import SheetsResult

__all__ = ["Laid", "stock_summary", "stock_warnings"]

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

"""Cloth on stock: pieces laid on sheets or a roll, with quantities, mass and cost.

Glossary: *stock* is cloth as it is sold (`cloth`, `table`); a *piece* is cut along its cutting line
(`pieces`); a *layout* says where each copy lies (`layout`), and is checked before it is shown (`verify`). It
is found by rules of the hand (`hand`), a plain row engine (`rows`) and an irregular packer in a process of
its own (`packer`), on a roll (`roll`) or on sheets (`sheets`, `patterns`). What fits nothing is named with
the join that helps (`joins`). Then come `quantities`, `notions`, `materials` and the `summary`. The stage
knows no geometry kernel, draws nothing, and decides nothing about seams.
"""

from shellparts.stock.cloth import Roll, Sheet, Side, Turning, TurnRule, Weave
from shellparts.stock.layout import Ended, PlacedPiece, Progress, StockLayout, running_dimensions
from shellparts.stock.packer import BEST, BETTER, QUICK, Effort
from shellparts.stock.pieces import CutPiece
from shellparts.stock.roll import LayoutError, RollResult, lay_on_roll
from shellparts.stock.sheets import Claim, SheetsResult, lay_on_sheets
from shellparts.stock.table import example_stock, read_stock_csv

__all__ = [
    "BEST",
    "BETTER",
    "QUICK",
    "Claim",
    "CutPiece",
    "Effort",
    "Ended",
    "LayoutError",
    "PlacedPiece",
    "Progress",
    "Roll",
    "RollResult",
    "Sheet",
    "SheetsResult",
    "Side",
    "StockLayout",
    "TurnRule",
    "Turning",
    "Weave",
    "example_stock",
    "lay_on_roll",
    "lay_on_sheets",
    "read_stock_csv",
    "running_dimensions",
]

"""CSV table of materials: what to get, how much, what it costs and where each quantity comes from.

Glossary: as in `stock.materials`. This module works nothing out.
"""

import csv
from pathlib import Path

from shellparts.stock.materials import MaterialLine, cost_total

__all__ = ["write_materials"]


def _plain(value: float | None, decimals: int) -> str:
    """A number without trailing zeros; empty where there is none."""
    if value is None:
        return ""
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def write_materials(lines: tuple[MaterialLine, ...], path: Path) -> None:
    """Write one row a material, and the total.

    Parameters
    ----------
    lines : tuple of MaterialLine
        The list.
    path : Path
        The file. Costs are in the reader's money; an empty cell means that the price is not known, and the
        last row names what the total leaves out.
    """
    total = cost_total(lines)
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(("item", "quantity", "unit", "unit_price", "cost", "basis"))
        for one in lines:
            cost = "" if one.cost is None else f"{one.cost:.2f}"
            price = _plain(one.unit_price, 4)
            writer.writerow((one.item, _plain(one.quantity, 3), one.unit, price, cost, one.basis))
        left = f"without {', '.join(total.unpriced)}: no price known" if total.unpriced else "every line"
        writer.writerow(("total", "", "", "", f"{total.cost:.2f}", left))

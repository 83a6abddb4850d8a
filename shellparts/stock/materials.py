"""The list of materials: each line with its quantity, its cost and where the quantity comes from.

Glossary: a *line* is one material; its *basis* says in words how the quantity came about; a line without a
price has no cost, and the total names it rather than leaving it out quietly; *spare* is a line of its own.
This module lays nothing out and computes no quantities: it takes them.
"""

from collections import Counter
from collections.abc import Sequence
from typing import Any

from attrs import evolve, frozen

from shellparts.base.checks import is_number, need, require, shown
from shellparts.base.counted import counted
from shellparts.base.tolerances import whole_up
from shellparts.parameters.stocks import Roll, Sheet
from shellparts.stock.layout import StockLayout

__all__ = ["CostTotal", "MaterialLine", "cloth_lines", "cost_total", "materials_summary", "spare_line"]


@frozen
class MaterialLine:
    """One material.

    Parameters
    ----------
    item : str
        What it is.
    quantity : float
        How much.
    unit : str
        Unit of the quantity, and of the price: "m", "sheet", "bag".
    unit_price : float or None
        Price of one unit, in the reader's money; None when it is not known.
    basis : str
        Where the quantity comes from.

    Examples
    --------
    >>> MaterialLine("sewing thread", 230.0, "m", 0.01, "40 m of seam x 2.5 x 2 rows + 15 %").cost
    2.3
    """

    item: str
    quantity: float
    unit: str
    unit_price: float | None
    basis: str

    def __attrs_post_init__(self) -> None:
        need(f"quantity of {self.item!r}", self.quantity, "")
        need(f"price of {self.item!r}", self.unit_price or 0.0, "")

    @property
    def cost(self) -> float | None:
        """Quantity times price, to the cent; None without a price."""
        return None if self.unit_price is None else round(self.quantity * self.unit_price, 2)


@frozen
class CostTotal:
    """Sum of the lines that have a price, in the reader's money, and the items that it leaves out."""

    cost: float
    unpriced: tuple[str, ...]


def cloth_lines(layouts: Sequence[StockLayout]) -> tuple[MaterialLine, ...]:
    """Cloth bought, without spare: a line per roll, in metres to the next 10 cm, and per kind of sheet."""
    lines = []
    stocks: Counter[Roll | Sheet] = Counter(layout.stock for layout in layouts)
    for stock, times in stocks.items():
        if isinstance(stock, Sheet):
            size = f"{stock.finished_length_mm:.0f} x {stock.finished_width_mm:.0f} mm"
            basis = f"{counted(times, 'layout')}, finished size {size}"
            lines.append(MaterialLine(stock.name, times, "sheet", stock.price, basis))
            continue
        length = sum(layout.length_mm for layout in layouts if layout.stock == stock)
        metres = round(whole_up(length / 100.0) * 0.1, 1)
        basis = f"layout {length:.0f} mm long, rounded up to 0.1 m"
        lines.append(MaterialLine(stock.name, metres, "m", stock.price_per_m, basis))
    return tuple(lines)


def spare_line(line: MaterialLine, share: float, whole: bool = False) -> MaterialLine:
    """Spare of one material, as a line of its own.

    Examples
    --------
    >>> spare_line(MaterialLine("example sheet", 3, "sheet", 28.0, "3 layouts"), 0.1, whole=True).quantity
    1.0
    """
    fits = is_number(share) and share >= 0.0
    require(fits, f"spare of {line.item!r}", shown(share, ""), "a share of 0 or more", "use 0.05 for 5 %")
    quantity = line.quantity * share
    return evolve(
        line,
        item=f"{line.item}, spare",
        quantity=float(whole_up(quantity)) if whole else quantity,
        basis=f"{share:.0%} of {counted(line.quantity, line.unit)}" + (", rounded up" if whole else ""),
    )


def cost_total(lines: Sequence[MaterialLine]) -> CostTotal:
    """Add up a list of materials.

    Examples
    --------
    >>> cord = MaterialLine("cord", 20.0, "m", 0.4, "hem")
    >>> cost_total([cord, MaterialLine("bags", 8, "bag", None, "ballast")])
    CostTotal(cost=8.0, unpriced=('bags',))
    """
    priced = [line.cost for line in lines if line.cost is not None]
    return CostTotal(round(sum(priced), 2), tuple(line.item for line in lines if line.cost is None))


def materials_summary(lines: Sequence[MaterialLine]) -> dict[str, Any]:
    """The keys "materials", "cost_total" and "cost_unpriced" of ``summary.json``; a cost is null without a price."""
    total = cost_total(lines)
    return {
        "materials": [
            {key: getattr(one, key) for key in ("item", "quantity", "unit", "cost", "basis")} for one in lines
        ],
        "cost_total": total.cost,
        "cost_unpriced": list(total.unpriced),
    }

"""What a whole room takes: every line of material, cloth used and wasted, mass and packed size.

Glossary: as in `materials` and `quantities`; *finished edges* are those that are hemmed. The lengths
come from the pattern, the cloth from the layouts, and the figures of the workshop say how one becomes the
other. This module looks for no layout.
"""

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from attrs import evolve, frozen

from shellparts.base.classes import brief
from shellparts.base.counted import counted
from shellparts.parameters import Marking
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.workshop import Templates, Workshop
from shellparts.pattern.made import Pattern
from shellparts.report.buy_list import Extras, buy_lines
from shellparts.sewing.order_steps import SewingOrder
from shellparts.stock.layout import SearchProgress, StockLayout, cut_pieces
from shellparts.stock.materials import MaterialLine, cloth_lines, cost_total, materials_summary, spare_line
from shellparts.stock.packer import effort_of
from shellparts.stock.quantities import (
    ClothUse,
    allowance_share,
    cloth_mass_kg,
    cloth_use,
    packed_volume_l,
    paper_pages,
)
from shellparts.stock.results import Laid, RollResult, SheetsResult
from shellparts.stock.roll import lay_on_roll
from shellparts.stock.sheets import lay_on_sheets
from shellparts.templates.on_stock import BoardPlan

_NO_EXTRAS, _METRIC = Extras(), Marking()

__all__ = ["RoomMaterials", "lay", "layouts_of", "room_materials"]


@brief
@frozen
class RoomMaterials:
    """Everything to get for a room.

    Parameters
    ----------
    lines : tuple of MaterialLine
        One per material.
    use : ClothUse
        Cloth bought and cut, by the layouts.
    seam_m, finished_m : float
        Length of all seams, and of all finished edges [m].
    allowance_share : float
        Share of the cut cloth that goes into seams and hems.
    mass_kg : float
        Of all the pieces as cut, patches and tabs with them, without thread, tape and cord: what is carried [kg].
    packed_l : float
        Of the folded room [l].
    """

    lines: tuple[MaterialLine, ...]
    use: ClothUse
    seam_m: float
    finished_m: float
    allowance_share: float
    mass_kg: float
    packed_l: float

    @property
    def told(self) -> str:
        """One line for people: the cloth, and what everything costs."""
        total = cost_total(self.lines)
        left = f", without {', '.join(total.unpriced)}" if total.unpriced else ""
        cloth = "none is laid out"
        if self.use.bought_m2:
            one = self.lines[0]
            cloth = (
                f"{one.item}, {counted(one.quantity, one.unit)}, {self.use.wasted_share:.0%} of it left over"
            )
        return f"cloth: {cloth}; everything costs {total.cost:.2f}{left}"

    def summary(self) -> dict[str, Any]:
        """The keys ``materials``, ``cost_total`` and ``cost_unpriced`` of ``summary.json``."""
        return materials_summary(self.lines)

    def cloth_record(self) -> dict[str, float]:
        """Figures of the cloth, for the key ``stock`` of ``summary.json``."""
        return {
            "bought_m2": self.use.bought_m2,
            "cut_m2": self.use.cut_m2,
            "wasted_m2": self.use.wasted_m2,
            "allowance_share": self.allowance_share,
            "cloth_mass_kg": self.mass_kg,
            "packed_volume_l": self.packed_l,
            "seam_length_m": self.seam_m,
            "finished_edge_length_m": self.finished_m,
        }


def lay(
    pattern: Pattern, cloth: Cloth, workshop: Workshop, told: Callable[[float], None] | None = None
) -> Laid:
    """Lay a pattern on the cloth.

    Parameters
    ----------
    pattern : Pattern
        The pieces.
    cloth : Cloth
        How it is sold.
    workshop : Workshop
        Gap and patience.
    told : callable, optional
        Told the share of the effort that is used, from 0 to 1, again and again.

    Returns
    -------
    RollResult or SheetsResult
        Verified layouts, on Ctrl-C the best so far; what fits nothing is named in it.
    """

    def on(progress: SearchProgress) -> None:
        if told is not None:
            told(progress.fraction)

    pieces, how = cut_pieces(pattern), (workshop.turning, workshop.gap_mm, effort_of(workshop.layout), on)
    if cloth.roll is not None:
        return lay_on_roll(pieces, cloth.roll, *how)
    return lay_on_sheets(pieces, cloth.sheets, *how)


def layouts_of(result: Laid) -> tuple[StockLayout, ...]:
    """The layouts that hold pieces: one for a roll, one per sheet, none when nothing fits."""
    found = (result.layout,) if isinstance(result, RollResult) else result.layouts
    return tuple(layout for layout in found if layout.pieces)


def _missing(pattern: Pattern, result: Laid) -> list[MaterialLine]:
    """Cloth for pieces that are on no layout: a line without a price, so that the total is not taken for whole."""
    lost = {one.name: one.count for one in result.unfitting}
    if isinstance(result, SheetsResult):
        lost.update(dict(result.left_over))
    if not lost:
        return []
    area = sum(pattern.piece(name).cut_area_mm2 * count for name, count in lost.items()) * 1e-6
    names = ", ".join(f"{count} of {name}" for name, count in lost.items())
    return [MaterialLine("cloth for pieces not laid out", area, "m2", None, f"net area of {names}")]


def _offcuts(pattern: Pattern) -> list[MaterialLine]:
    """Cloth of patches and tabs, which costs nothing more: they are small, and cut from what is left over."""
    if not pattern.patches:
        return []
    area = sum(patch.cut_area_mm2 * patch.count for patch in pattern.patches) * 1e-6
    names = ", ".join(f"{patch.count} of {patch.name}" for patch in pattern.patches)
    longest = max(max(patch.extent_mm) for patch in pattern.patches)
    basis = f"{names}; cut from what the layouts leave over, the largest is {longest:.0f} mm across"
    return [MaterialLine("offcuts for patches and tabs", round(area, 3), "m2", 0.0, basis)]


def _templates(pattern: Pattern, workshop: Workshop, plan: BoardPlan | None) -> list[MaterialLine]:
    """Boards as they are laid out, or paper for one template of each shape."""
    once = [piece for piece in pattern.pieces if piece.mirror_of is None]
    if plan is not None:
        if not plan.boards:
            return []
        return [
            MaterialLine("board for templates", len(plan.boards), "board", workshop.prices.board, plan.told)
        ]
    if workshop.templates is Templates.PAPER:
        pages = sum(paper_pages(*piece.extent_mm) for piece in once)
        basis = "A4 at true size, each template once, 10 mm overlap"
        return [MaterialLine("paper for templates", pages, "page", workshop.prices.page, basis)]
    return []


def _spares(lines: Sequence[MaterialLine], share: float, left_share: float) -> list[MaterialLine]:
    """Spare cloth: metres to the next 10 cm; a whole sheet only where the layouts leave over less than the share."""
    found = []
    for line in lines:
        if line.unit == "sheet" and left_share >= share:
            continue
        spare = spare_line(line, share, whole=line.unit == "sheet")
        if line.unit == "m":
            tenths = float(np.ceil(spare.quantity * 10.0 - 1e-9))
            basis = spare.basis + ", rounded up to 0.1 m"
            spare = MaterialLine(spare.item, round(tenths / 10.0, 1), "m", spare.unit_price, basis)
        if spare.quantity:
            found.append(spare)
    return found


def room_materials(
    pattern: Pattern,
    result: Laid,
    workshop: Workshop,
    order: SewingOrder,
    cloth_kg_m2: float,
    bags: tuple[int, float] | None = None,
    plan: BoardPlan | None = None,
    extras: Extras = _NO_EXTRAS,
    marking: Marking = _METRIC,
) -> RoomMaterials:
    """Work out what a room takes.

    Parameters
    ----------
    pattern : Pattern
        Pieces and seams.
    result : RollResult or SheetsResult
        The layout, as `lay` gives it.
    workshop : Workshop
        Prices, and what quantities are reckoned with.
    order : SewingOrder
        For the lengths of seams and hems, and the thread.
    cloth_kg_m2 : float
        Mass per area where the stock says none [kg/m2].
    bags : pair of int and float, optional
        How many bags hold the room down, and the mass of each [kg]; none are listed where it is not known.
    plan : BoardPlan, optional
        Templates on boards.
    extras : Extras, optional
        Fan, anchors, strength of a tab, what is asked of the cloth.
    marking : Marking, optional
        Which tape lengths are told by.

    Returns
    -------
    RoomMaterials
        Lines in the order of buying, and figures of the cloth.
    """
    layouts = layouts_of(result)
    asked = f"; {extras.cloth}" if extras.cloth else ""
    cloth = [evolve(line, basis=line.basis + asked) for line in cloth_lines(layouts)]
    spares = _spares(cloth, workshop.spare, cloth_use(layouts).wasted_share)
    lines = [*cloth, *spares, *_missing(pattern, result)]
    lines += _offcuts(pattern)
    if bags is not None:
        extras = evolve(extras, ballast_kg=bags[0] * bags[1])
    lines += buy_lines(pattern, order, workshop, extras, marking)
    if bags is not None and bags[0]:
        count, each = bags
        basis = f"{count * each:.0f} kg to hold the room down, {each:g} kg a bag; the filling is a line of its own"
        lines.append(MaterialLine("ballast bags", count, "bag", workshop.prices.bag, basis))
    lines += _templates(pattern, workshop, plan)
    cut = sum(piece.cut_area_mm2 * piece.count for piece in pattern.templates) * 1e-6
    inside = sum(piece.outline.flat_area_mm2 * piece.count for piece in pattern.pieces) * 1e-6
    return RoomMaterials(
        lines=tuple(lines),
        use=cloth_use(layouts),
        seam_m=order.seam_length_mm * 1e-3,
        finished_m=order.hem_length_mm * 1e-3,
        allowance_share=allowance_share(cut, inside),
        mass_kg=cloth_mass_kg(cut, _mass_g_m2(layouts, 1000.0 * cloth_kg_m2)),
        packed_l=packed_volume_l(cut, workshop.thickness_mm, workshop.looseness),
    )


def _mass_g_m2(layouts: Sequence[StockLayout], usual: float) -> float:
    """Mass per area of the cloth used [g/m2], weighed by area; the usual one where the stock says none."""
    masses = [
        (one.cut_area_m2, usual if one.stock.mass_g_m2 is None else one.stock.mass_g_m2) for one in layouts
    ]
    area = sum(part for part, _ in masses)
    return sum(part * mass for part, mass in masses) / area if area else usual

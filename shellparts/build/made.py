"""From a body to cloth that is laid out: steps that can each be done alone, and all that they give together."""

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING, Any

from attrs import frozen

from shellparts.base.classes import brief
from shellparts.base.counted import counted
from shellparts.base.names import Named
from shellparts.build.numbers import Numbers
from shellparts.parameters import Design
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.printer import Printer
from shellparts.parameters.workshop import Templates, Workshop
from shellparts.pattern.joins import joins_needed
from shellparts.pattern.made import Pattern, make_pattern
from shellparts.report.order_record import order_record
from shellparts.report.pattern_record import pattern_record
from shellparts.report.room_materials import RoomMaterials
from shellparts.report.warnings import Warning, piece_warnings
from shellparts.sewing.hours import work_hours
from shellparts.sewing.order import sewing_order
from shellparts.sewing.order_steps import SewingOrder
from shellparts.sewing.thread import Machine
from shellparts.stock.results import Laid, stock_summary, stock_warnings
from shellparts.templates.on_stock import BoardPlan, lay_on_boards
from shellparts.unroll.outline import Outline

if TYPE_CHECKING:
    from shellparts.body.body import Body

__all__ = ["Made", "boards_of", "order_of", "outlines_of", "pattern_of", "warnings_of"]


@brief
@frozen(eq=False)
class Made:
    """Everything that is cut, sewn and bought for a room, and the body that it follows from."""

    design: Design
    body: "Body"
    outlines: dict[str, Outline]
    pattern: Pattern
    order: SewingOrder
    layout: Laid
    boards: BoardPlan | None
    materials: RoomMaterials
    warnings: tuple[Warning, ...]
    printer: Printer
    thickness_mm: float | None = None  # Of sheets as solids; None where none are asked for
    knots_mm: float = 600.0  # Cord for the knots of a drawcord

    def record(self, numbers: Numbers) -> dict[str, Any]:
        """Every number of the room, as plain data; see the README for the keys."""
        figures, record = self.body.figures, numbers.record()
        return {
            **record,
            "body": {
                "height_mm": figures.height_mm,
                "base_diameter_mm": figures.base_diameter_mm,
                "surface_area_m2": sum(outline.face_area_mm2 for outline in self.outlines.values()) / 1e6,
                "floor_area_m2": figures.floor_area_m2,
                "envelope_volume_m3": figures.envelope_volume_m3,
                "solids": figures.solids,
                "watertight": figures.watertight,
            },
            **pattern_record(self.pattern),
            "sewing": order_record(self.order, work_hours(self.pattern, self.order)),
            "stock": {**stock_summary(self.layout), **self.materials.cloth_record()},
            **self.materials.summary(),
            "warnings": [*(warning.record() for warning in self.warnings), *record["warnings"]],
        }


def outlines_of(body: "Body") -> dict[str, Outline]:
    """The flat outline of every sheet by name, each with its certificate."""
    from shellparts.unroll.group import unroll_group

    flat = {
        sheet.name: unroll_group([part.face for part in sheet.faces], body.edge_key, body.joints)
        for sheet in body.sheets
    }
    return Named("sheet", flat)


def pattern_of(
    design: Design,
    body: "Body",
    outlines: dict[str, Outline],
    cloth: Cloth,
    workshop: Workshop,
    clip_spacing_mm: float = 100.0,
) -> Pattern:
    """Cloth pieces and seams; a piece larger than the cloth is joined of parts."""
    joins = partial(
        joins_needed, stocks=cloth.stocks, turning=workshop.turning, allowance_mm=design.allowances.join
    )
    size = design.reinforcement
    return make_pattern(outlines, body.seams, design.allowances, joins, size, clip_spacing_mm)


def order_of(pattern: Pattern, cloth: Cloth) -> SewingOrder:
    """What is sewn when: every step with its seams, length, mass, hands, thread and time."""
    machine = Machine(mass_kg_m2=cloth.mass_kg_m2.likely, stitch_mm=1000.0 / cloth.stitches_per_m)
    return sewing_order(pattern, machine)


def boards_of(pattern: Pattern, workshop: Workshop) -> BoardPlan | None:
    """Templates sawn of boards; None where the workshop makes them of paper, or none."""
    return lay_on_boards(pattern, workshop.boards) if workshop.templates is Templates.BOARD else None


def warnings_of(pattern: Pattern, layout: Laid, boards: BoardPlan | None) -> Iterator[Warning]:
    """What the builder should know before cutting."""
    yield from piece_warnings(pattern)
    yield from (Warning(**record) for record in stock_warnings(layout))
    if boards is not None and boards.made.too_large:
        yield Warning(
            "templates-left-out",
            f"with templates of {', '.join(boards.made.too_large)} there would be more than "
            f"{counted(boards.settings.most, 'board')}: these pieces have none",
            "mark them out by the points of their layouts, or allow more boards (most=… of Boards)",
        )

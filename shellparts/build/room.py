"""All stages, once, in order: the only place that knows every one of them.

A *room* is a design with everything that follows from it, worked out when it is first asked for and then kept.
"""

from collections.abc import Iterator
from functools import cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from attrs import evolve, field, frozen

from shellparts.base.inputs import kinds
from shellparts.base.progress import Progress, Silent
from shellparts.base.version import VERSION
from shellparts.loads.room_figures import RoomFigures
from shellparts.parameters import Design
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.fan import Fan
from shellparts.parameters.site import Site
from shellparts.parameters.sizes import Sizes, sizes_of, unknown_air
from shellparts.pattern.made import Pattern, make_pattern
from shellparts.report.warnings import Warning, design_warnings, form_warnings, piece_warnings

if TYPE_CHECKING:
    from shellparts.body import Body
    from shellparts.inflate.form import InflatedForm
    from shellparts.loads.band_picture import BandPicture
    from shellparts.loads.remedies import Ways
    from shellparts.loads.results import Verdict
    from shellparts.parameters.workshop import Workshop
    from shellparts.report.room_materials import LayoutSearch, RoomMaterials
    from shellparts.sewing.order_steps import SewingOrder
    from shellparts.stock.roll import RollResult
    from shellparts.stock.sheets import SheetsResult
    from shellparts.templates.on_stock import BoardPlan
    from shellparts.unroll import Outline

__all__ = ["Room", "Sizes", "build"]

#: Steps that `Room.write` reports, and steps more of a room that is written as inflated too.
STEPS, AIR_STEPS = 9, 3


def _workshop(*given: Any) -> None:
    if given[-1] is not None:  # for none the stage is not loaded
        from shellparts.parameters.workshop import Workshop

        kinds("workshop", Workshop, "write Workshop(…)", optional=True)(*given)


@frozen(eq=False)
class Room:
    """A design, and every stage that follows from it.

    Parameters
    ----------
    design : Design
        What the room is to be.
    fan : Fan, optional
        What blows it up; without one nothing can be said of air.
    cloth : Cloth
        What it is sewn of.
    site : Site
        Where and by whom it is used.
    workshop : Workshop, optional
        The cloth it is cut from, prices, and how long to look for a layout; invented examples unless given.
    sizes : Sizes
        Whether the design is that of the room as sewn, or was corrected for the room under air.
    blown_up : bool
        Whether `write` also sews the whole room together in the computer and lets the air in.
    """

    design: Design = field(validator=kinds("design", Design, "write Design(name=…, shell=…)"))
    fan: Fan | None = field(
        default=None, validator=kinds("fan", Fan, "make it with fan_from_label(…)", optional=True)
    )
    cloth: Cloth = field(default=Cloth(), validator=kinds("cloth", Cloth, "write Cloth(…)"))
    site: Site = field(default=Site(), validator=kinds("site", Site, "write Site(…)"))
    workshop: "Workshop | None" = field(default=None, validator=_workshop)
    sizes: Sizes = Sizes.AS_SEWN
    blown_up: bool = False

    @cached_property
    def body(self) -> "Body":
        """The sewn body: named sheets, their shared edges, the closed envelope."""
        from shellparts.body import assemble

        return assemble(self.design)

    @cached_property
    def outlines(self) -> dict[str, "Outline"]:
        """The flat outline of every sheet by name, each with its certificate."""
        from shellparts.unroll import unroll_group

        body = self.body
        return {
            sheet.name: unroll_group([part.face for part in sheet.faces], body.edge_key, body.joints)
            for sheet in body.sheets
        }

    @cached_property
    def pattern(self) -> Pattern:
        """Cloth pieces and seams; a piece larger than the workshop's cloth is joined of parts."""
        from shellparts.parameters.workshop import Workshop
        from shellparts.pattern.joins import joins_needed

        make = partial(make_pattern, self.outlines, self.body.seams, self.design.allowances)
        whole = make(reinforcement=self.design.reinforcement)
        workshop, allowance = self.workshop or Workshop(), self.design.allowances.join
        cuts = joins_needed(whole, workshop.stocks, workshop.turning, allowance)
        return make(cuts=cuts, reinforcement=self.design.reinforcement) if cuts else whole

    @cached_property
    def order(self) -> "SewingOrder":
        """What is sewn when: every step with its seams, length, mass, hands, thread and time."""
        from shellparts.sewing.order import sewing_order
        from shellparts.sewing.thread import Machine

        machine = Machine(
            mass_kg_m2=self.cloth.mass_kg_m2.likely, stitch_mm=1000.0 / self.cloth.stitches_per_m
        )
        return sewing_order(self.pattern, machine)

    @cached_property
    def figures(self) -> RoomFigures:
        """What the numbers stage works from; refused without a doorway. No kernel."""
        from shellparts.loads.measured import room_figures

        return room_figures(self.design, self.cloth)

    @cached_property
    def verdict(self) -> "Verdict | None":
        """Whether it stands up, stays down and stays breathable; None without a fan or a doorway. No kernel."""
        from shellparts.inflate.form import largest_pull, wrinkled_share
        from shellparts.loads.verdict import assess

        if self.fan is None or not self.design.ways_out:
            return None
        pull, wrinkled = (partial(told, self.design, self.cloth) for told in (largest_pull, wrinkled_share))
        return assess(self.figures, self.fan, self.cloth, self.site, pull, wrinkled)

    @cached_property
    def ways(self) -> "Ways | None":
        """What would make the verdict a yes, each way worked out; None without a fan or a doorway. No kernel."""
        from shellparts.loads.remedies import ways_to_yes

        if self.verdict is None:
            return None
        longest = sum(way.longest_vent for way in self.design.ways_out)
        return ways_to_yes(self.verdict, longest)

    @cached_property
    def inflated(self) -> "InflatedForm | None":
        """The form under air at the speed and vent to use; None if nothing is known of the air. No kernel."""
        from shellparts.inflate.form import inflated_form

        if self.verdict is None:
            return None
        return inflated_form(self.design, self.cloth, self.verdict.air.used.pressure_Pa.likely)

    def band(self) -> "BandPicture | None":
        """Pressure against vent opening for each speed; None without a fan, a doorway or a vent. No kernel."""
        from shellparts.loads.band_picture import band_picture

        if self.verdict is None or not self.verdict.room.vent_longest_mm:
            return None
        return band_picture(self.verdict, self.ways)

    def advice(self) -> str:
        """The numbers as a page to read. No kernel."""
        from shellparts.drawing.band_sketch import band_sketch
        from shellparts.report.advice import advice_page
        from shellparts.report.advice_day import Subject

        if self.verdict is None or self.inflated is None or self.ways is None:
            return (
                f"{self.design.name}: nothing can be said of air without a fan and a doorway. "
                "Give them: build(design, fan=fan_from_label(…))."
            )
        band = self.band()
        name, title = self.design.name, self.design.title
        subject = Subject(name, title, self.verdict, self.ways, self.inflated, band)
        return advice_page(subject, band_sketch(band) if band is not None else ())

    def numbers(self) -> dict[str, Any]:
        """What can be said without solids: parameters, air, holding down, people, warnings. No kernel."""
        record: dict[str, Any] = {
            "name": self.design.name,
            "version": VERSION,
            "parameters": self.design.parameters(),
            "warnings": [warning.record() for warning in design_warnings(self.design)],
        }
        if self.verdict is not None and self.inflated is not None:
            from shellparts.report.records import verdict_record, ways_record

            found = verdict_record(self.verdict)
            about_form = [warning.record() for warning in form_warnings(self.inflated)]
            found["warnings"] = record["warnings"] + about_form + found["warnings"]
            if self.ways is not None:
                found["remedies"] = ways_record(self.ways)
            record.update(found, inflated={"sizes": self.sizes.value, **self.inflated.record()})
        return record

    def with_layout(self, layout: str) -> "Room":
        """The same room, its layout looked for longer or less long.

        Parameters
        ----------
        layout : str
            ``"quick"``, ``"better"`` or ``"best"``.

        Returns
        -------
        Room

        Raises
        ------
        ParameterError
            If it is none of these words.
        """
        from shellparts.parameters.workshop import Patience, Workshop

        patience = cast("Patience", layout)  # the field reads the word
        return evolve(self, workshop=evolve(self.workshop or Workshop(), layout=patience))

    def with_air(self) -> "Room":
        """The same room, to be written as inflated too.

        Returns
        -------
        Room

        Raises
        ------
        ParameterError
            If nothing is known of the air.
        """
        if self.verdict is None:
            raise unknown_air("inflated form")
        return evolve(self, blown_up=True)

    @cached_property
    def layout_search(self) -> "LayoutSearch":
        """Lays the pieces on the workshop's cloth, and tells how far it is."""
        from shellparts.parameters.workshop import Workshop
        from shellparts.report.room_materials import LayoutSearch

        return LayoutSearch(self.pattern, self.workshop or Workshop())

    @property
    def layout(self) -> "RollResult | SheetsResult":
        """The pieces on the workshop's cloth; what fits nothing is named in it."""
        return self.layout_search.run()

    @cached_property
    def boards(self) -> "BoardPlan | None":
        """Templates sawn of boards; None where the workshop makes them of paper, or none."""
        from shellparts.parameters.workshop import Templates, Workshop
        from shellparts.templates.on_stock import lay_on_boards

        workshop = self.workshop or Workshop()
        return lay_on_boards(self.pattern, workshop.boards) if workshop.templates is Templates.BOARD else None

    @cached_property
    def materials(self) -> "RoomMaterials":
        """Everything to get, with quantities, costs and where each comes from."""
        from shellparts.parameters.workshop import Workshop
        from shellparts.report.room_materials import room_materials

        bags = self.verdict.hold_down.bags if self.verdict is not None else None
        workshop, mass = self.workshop or Workshop(), self.cloth.mass_kg_m2.likely
        laid = (bags.count, bags.each_kg) if bags is not None else None
        return room_materials(self.pattern, self.layout, workshop, self.order, mass, laid, self.boards)

    @cached_property
    def warnings(self) -> tuple[Warning, ...]:
        """What the builder should know before cutting."""
        from shellparts.stock.summary import stock_warnings

        about_cloth = (Warning(**record) for record in stock_warnings(self.layout))
        return (*piece_warnings(self.pattern), *about_cloth)

    def summary(self) -> dict[str, Any]:
        """Every number of the room, as plain data; see the README for the keys."""
        from shellparts.report.pattern_record import pattern_record
        from shellparts.stock.summary import stock_summary
        from shellparts.writers.order_table import order_record

        figures, record = self.body.figures, self.numbers()
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
            "sewing": order_record(self.order),
            "stock": {**stock_summary(self.layout), **self.materials.cloth_record()},
            **self.materials.summary(),
            "warnings": [*(warning.record() for warning in self.warnings), *record["warnings"]],
        }

    def shapes(self) -> Iterator[tuple[str, Any, tuple[int, int, int]]]:
        """Name, CadQuery shape and colour of every sheet, for `show_object` in a viewer."""
        from shellparts.writers.viewer import sheet_shapes

        return sheet_shapes(self.body)

    def write(self, out: str | Path | None = None, progress: Progress | None = None) -> Path:
        """Write every file of the room: the folder is replaced as a whole, or not at all.

        Parameters
        ----------
        out : str or Path, optional
            The folder, ``exports/NAME`` unless given.
        progress : Progress, optional
            Told of each step.

        Returns
        -------
        Path
            The folder.

        Raises
        ------
        ParameterError
            If the folder holds something else, or is no path.
        OutputError
            If the system refuses to write.
        GeometryError
            If the body or a piece fails its own checks.
        """
        from shellparts.build.files import write_room
        from shellparts.build.output import replaced_folder

        target = Path("exports") / self.design.name if out is None else out
        with replaced_folder(target) as folder:
            write_room(self, folder, progress or Silent())
        return Path(target)


def build(
    design: Design,
    fan: Fan | None = None,
    cloth: Cloth | None = None,
    site: Site | None = None,
    workshop: "Workshop | None" = None,
    sizes: str | Sizes = Sizes.AS_SEWN,
) -> Room:
    """Make the room of a design. Nothing is worked out until it is asked for.

    Parameters
    ----------
    design : Design
    fan : Fan, optional
        What blows it up.
    cloth : Cloth, optional
        What it is sewn of; a relief-shelter sheet unless given. What the workshop's cloth weighs, it weighs.
    site : Site, optional
        Where and by whom; a hall floor indoors unless given.
    workshop : Workshop, optional
        The cloth it is cut from, prices, how long to look for a layout; invented examples unless given.
    sizes : Sizes or str
        ``"as sewn"``, or ``"under air"``: the pattern is corrected so that the room has the height and the
        diameter asked for when the fan runs; that takes a fan and a doorway.

    Returns
    -------
    Room

    Raises
    ------
    ParameterError
        If something is of the wrong kind, the cloth is said to have two masses, or sizes under air cannot be met.
    """
    room = Room(design, fan, Cloth() if cloth is None else cloth, Site() if site is None else site, workshop)
    if workshop is not None:
        from shellparts.parameters.cloth import cloth_of

        room = evolve(room, cloth=cloth_of(cloth, workshop))
    if sizes_of(sizes) is Sizes.AS_SEWN:
        return room
    if room.verdict is None:
        raise unknown_air("sizes under air")
    from shellparts.inflate.form import sized_as_inflated

    def pressure_of(sewn: Design) -> float:
        verdict = cast(
            "Verdict", evolve(room, design=sewn).verdict
        )  # it has the design's doorway, and the fan
        return verdict.air.used.pressure_Pa.likely

    sewn, _ = sized_as_inflated(design, room.cloth, pressure_of)
    return evolve(room, design=sewn, sizes=Sizes.UNDER_AIR)

"""A room: a design with everything that follows from it, worked out when it is first asked for and then kept."""

from collections.abc import Sequence
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from attrs import field, frozen

from shellparts.base.calls import plain_init
from shellparts.base.classes import evolve
from shellparts.base.fields import flag_field, kinds, length_field
from shellparts.base.helped import typed_help
from shellparts.base.kernel_error import kernel_error
from shellparts.base.names import named_throughout
from shellparts.base.progress import Progress, Silent
from shellparts.build import made as steps
from shellparts.build.inflated import UnderAir, blown_up, let_down
from shellparts.build.made import Made
from shellparts.build.numbers import Numbers, numbers, sized_under_air, verdict_by_formula
from shellparts.build.room_shapes import RoomShapes
from shellparts.inflate.form import InflatedForm
from shellparts.inflate.standing import StandingCurve
from shellparts.inflate.whole_room import InflatedRoom
from shellparts.loads.band_picture import BandPicture
from shellparts.loads.changes import Plan
from shellparts.loads.measured import room_figures
from shellparts.loads.outdoors import tab_strength
from shellparts.loads.results import Verdict
from shellparts.loads.room_figures import RoomFigures
from shellparts.parameters import Design
from shellparts.parameters.boards import boards_sold
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.fan import Fan
from shellparts.parameters.readings import Reading
from shellparts.parameters.site import Site
from shellparts.parameters.sizes import Sizes, SizesWord, sizes_of, unknown_air
from shellparts.parameters.workshop import EffortLevel, EffortLevelWord, Workshop
from shellparts.pattern.made import Pattern
from shellparts.report.buy_list import Extras, asked_of_cloth, asked_of_fan
from shellparts.report.room_materials import RoomMaterials, lay, room_materials
from shellparts.report.warnings import Warning
from shellparts.sewing.order_steps import SewingOrder
from shellparts.stock.results import Laid
from shellparts.templates.on_stock import BoardPlan
from shellparts.unroll.outline import Outline

if TYPE_CHECKING:
    from shellparts.body.body import Body

__all__ = ["Room", "Sizes", "build"]


def _workshop(given: Workshop | None) -> Workshop:
    return Workshop() if given is None else given


@typed_help
@plain_init
@frozen(eq=False, slots=False, repr=False)
class Room(RoomShapes):
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
        Prices, boards, and how long to look for a layout; invented examples unless given.
    sizes : Sizes
        Whether the design is that of the room as sewn, or was corrected for the room under air.
    under_air : bool
        Whether `write` also writes the form that the whole room takes under air, where that is known.
    thickness : float or str, optional
        Of sheets that `write` also gives as solids; none unless given.
    blown_up : bool
        Whether the form under air is on finer triangles, with pictures of forces and folds.
    readings : tuple of Reading
        What was read of the real room.
    """

    design: Design = field(validator=kinds("design", Design, "write Design(name=…, shell=…)"))
    fan: Fan | None = field(
        default=None, validator=kinds("fan", Fan, "make it with fan_from_label(…)", optional=True)
    )
    cloth: Cloth = field(
        default=Cloth(), validator=kinds("cloth", Cloth, "make it with cloth_roll(…) or cloth_sheet(…)")
    )
    site: Site = field(default=Site(), validator=kinds("site", Site, "write Site(…)"))
    workshop: Workshop = field(
        default=None,
        converter=_workshop,
        validator=kinds("workshop", Workshop, "write Workshop(…)", optional=True),
    )
    sizes: Sizes = Sizes.AS_SEWN
    under_air: bool = flag_field("under_air", default=True)
    thickness: float | None = length_field(
        "thickness of the solid sheets", 0.05, 50.0, "write 0.3 mm to 2 mm, or leave it out", optional=True
    )
    blown_up: bool = False
    readings: tuple[Reading, ...] = ()

    def __repr__(self) -> str:
        """One line."""
        from shellparts.build.notebook import size_as_sewn

        shell, fan = self.design.shell, "" if self.fan is None else f", fan {self.fan.name!r}"
        size = size_as_sewn(2.0 * float(shell.seam.breaks[0, 0]), float(shell.mid.top[1]))
        return f"<Room {self.design.name}: {shell.panels} panels, {size}{fan}>"

    def _repr_html_(self) -> str | None:
        """What a notebook shows: the room as sewn, a line of what it is, and the verdict, of a first look at least."""
        from shellparts.build.notebook import room_html

        return room_html(self.design, lambda: self.body, self._verdict_line)

    def _verdict_line(self) -> str:
        from shellparts.build.notebook import verdict_line

        if "known" in vars(self) and self.plan is not None:
            return verdict_line(None, self.plan.decision)
        return verdict_line(self.as_it_is if self.fan is not None and self.design.ways_out else None)

    @cached_property
    def body(self) -> "Body":
        """The sewn body: named sheets, their shared edges, the closed envelope."""
        try:
            from shellparts.body.assembly import assemble
        except ImportError as error:
            raise kernel_error(error) or error from error

        return assemble(self.design)

    @cached_property
    def outlines(self) -> dict[str, Outline]:
        """The flat outline of every sheet by name, each with its certificate."""
        return steps.outlines_of(self.body)

    @cached_property
    def pattern(self) -> Pattern:
        """Cloth pieces and seams; a piece larger than the cloth is joined of parts."""
        spacing = self.site.clip_spacing_mm
        return steps.pattern_of(self.design, self.body, self.outlines, self.cloth, self.workshop, spacing)

    @cached_property
    def order(self) -> SewingOrder:
        """What is sewn when: every step with its seams, length, mass, hands, thread and time."""
        return steps.order_of(self.pattern, self.cloth)

    @cached_property
    def layout(self) -> Laid:
        """The pieces on the cloth; what fits nothing is named in it."""
        return lay(self.pattern, self.cloth, self.workshop)

    @cached_property
    def boards(self) -> BoardPlan | None:
        """Templates sawn of boards; None where the workshop makes them of paper, or none."""
        return steps.boards_of(self.pattern, self.workshop)

    @cached_property
    def materials(self) -> RoomMaterials:
        """Everything to get, with quantities, costs and where each comes from."""
        plan = None if self.known.air is None else self.known.air.bags
        laid = (plan.base.count + plan.tunnel_count, plan.base.each_kg) if plan is not None else None
        mass, tab = self.cloth.mass_kg_m2.likely, self.design.reinforcement.tab_width
        extras = Extras(
            fan=asked_of_fan(self.fan, self.design.marking) if self.fan is not None else "",
            fans=self.fan.count if self.fan is not None else 1,
            cloth=asked_of_cloth(self.cloth),
            anchors=self.site.anchors,
            tab_N=tab_strength(self.cloth, tab),
        )
        room = self.pattern, self.layout, self.workshop, self.order, mass, laid, self.boards
        return room_materials(*room, extras, self.design.marking)

    @cached_property
    def warnings(self) -> tuple[Warning, ...]:
        """What the builder should know before cutting."""
        return tuple(steps.warnings_of(self.pattern, self.layout, self.boards))

    @cached_property
    def standing(self) -> StandingCurve | None:
        """How high roof and ways out stand at each pressure, from the whole room's form; None without a way out."""
        return let_down(self.design, self.body, self.outlines, self.cloth) if self.design.ways_out else None

    def made(self, progress: Progress | None = None) -> Made:
        """All of the above together, for whoever writes it; what is not there yet is worked out."""
        told = progress or Silent()
        told.step("cutting parts to fit")
        body = self.body
        told.step("laying pieces flat")
        outlines, pattern, order = self.outlines, self.pattern, self.order
        told.step("cloth on stock")
        if "layout" not in vars(self):  # the same search, with somebody who is told how far it is
            vars(self)["layout"] = lay(pattern, self.cloth, self.workshop, told.part)
        if self.fan is not None and self.design.ways_out and "standing" not in vars(self):
            told.step("letting the air out")
            vars(self)["standing"] = let_down(self.design, body, outlines, self.cloth, progress=told)
        found = self.layout, self.boards, self.materials, self.warnings, self.workshop.printer
        return Made(
            self.design, body, outlines, pattern, order, *found, self.thickness, self.workshop.knots_mm
        )

    @cached_property
    def known(self) -> Numbers:
        """What can be said of the room in use, roof and way out held up as its form under air says."""
        curve = self.standing if self.fan is not None else None
        return numbers(self.design, self.fan, self.cloth, self.site, self.sizes, curve, self.readings)

    def known_with(self, progress: Progress) -> Numbers:
        """The same as `known`, with somebody who is told how far it is."""
        if self.fan is not None and self.design.ways_out and "standing" not in vars(self):
            progress.step("cutting parts to fit")
            body, outlines = self.body, self.outlines
            progress.step("letting the air out")
            vars(self)["standing"] = let_down(self.design, body, outlines, self.cloth, progress=progress)
            progress.step("chances")
        return self.known

    @cached_property
    def first_look(self) -> Numbers:
        """The same by formula alone: quick, and less sure. No kernel."""
        return numbers(self.design, self.fan, self.cloth, self.site, self.sizes, None, self.readings)

    @cached_property
    def as_it_is(self) -> Verdict:
        """The verdict by formula, in half a second; refused without a fan or a doorway. No kernel."""
        return verdict_by_formula(self.design, self.fan, self.cloth, self.site, self.readings)

    @property
    def figures(self) -> RoomFigures:
        """What the numbers stage works from; refused without a doorway. No kernel."""
        return room_figures(self.design, self.cloth)

    @property
    def verdict(self) -> Verdict | None:
        """Whether it stands up, stays down and stays breathable; None without fan or doorway: give ``build`` both."""
        return None if self.known.air is None else self.known.air.verdict

    @property
    def plan(self) -> Plan | None:
        """Whether it is a go, and what would make it one; None without fan or doorway: give ``build`` both."""
        return None if self.known.air is None else self.known.air.plan

    @property
    def inflated(self) -> InflatedForm | None:
        """Half a panel under air at the speed and vent to use; None without fan or doorway: give ``build`` both."""
        return None if self.known.air is None else self.known.air.form

    def band(self) -> BandPicture | None:
        """Pressure and chance against vent opening for each speed; None without a fan, a doorway, or a vent in it."""
        return self.known.band()

    def advice(self, more: bool = False) -> str:
        """One screen to read; with more, everything."""
        return self.known.advice(more)

    def numbers(self) -> dict[str, Any]:
        """What can be said without solids: parameters, air, holding down, people, warnings."""
        return cast(dict[str, Any], named_throughout("number", self.known.record()))

    def summary(self) -> dict[str, Any]:
        """Every number of the room, as plain data; see the README for the keys."""
        return cast(dict[str, Any], named_throughout("number", self.made().record(self.known)))

    @cached_property
    def whole_form(self) -> InflatedRoom | None:
        """The whole room under air, doorway and sleeve included; None without fan or doorway: give ``build`` both.

        Where half a panel does not stand it is not looked for: None too.
        """
        return self._whole_form(Silent())

    def _whole_form(self, told: Progress) -> InflatedRoom | None:
        form = self.inflated
        if form is None or not form.stands:
            return None
        work = self.body, self.outlines, self.cloth, form.pressure_Pa, self.blown_up
        return blown_up(*work, told.part)

    def with_layout(self, layout: EffortLevel | EffortLevelWord) -> "Room":
        """The same room, its layout looked for longer or less long: ``"quick"``, ``"better"`` or ``"best"``."""
        return evolve(self, workshop=evolve(self.workshop, layout=layout))

    def with_readings(self, readings: Sequence[Reading]) -> "Room":
        """The same room, with what was read of the real one; they narrow what is known of its air."""
        return evolve(self, readings=tuple(readings))

    def with_air(self) -> "Room":
        """The same room, its form under air on finer triangles; refused if nothing is known of the air."""
        if self.fan is None or not self.design.ways_out:
            raise unknown_air("inflated form")
        return evolve(self, under_air=True, blown_up=True)

    def with_thickness(self, thickness: float | str) -> "Room":
        """The same room, its sheets also written as solids of a thickness [mm, or text with a unit]."""
        return evolve(self, thickness=cast(float, thickness))  # the field reads the text

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
        from shellparts.build.files import write_files
        from shellparts.build.output import replaced_folder

        target, told = Path("exports") / self.design.name if out is None else out, progress or Silent()
        with replaced_folder(target) as folder:
            made, air = self.made(told), None
            if self.under_air and self.inflated is not None and self.inflated.stands:
                told.step("letting the air in")
                if "whole_form" not in vars(self):  # the same, with somebody who is told how far it is
                    vars(self)["whole_form"] = self._whole_form(told)
                told.step("solids under air")
                if self.whole_form is not None:
                    air = UnderAir.made(self.whole_form, lambda: self.solids_under_air, self.blown_up)
            write_files(made, self.known, folder, told, air)
        return Path(target)


def build(
    design: Design,
    fan: Fan | None = None,
    cloth: Cloth | None = None,
    site: Site | None = None,
    workshop: Workshop | None = None,
    sizes: Sizes | SizesWord = Sizes.AS_SEWN,
    under_air: bool = True,
    thickness: float | str | None = None,
) -> Room:
    """Make the room of a design. Nothing is worked out until it is asked for.

    Parameters
    ----------
    design : Design
        What the room is to be.
    fan : Fan, optional
        What blows it up; without one nothing can be said of air.
    cloth : Cloth, optional
        What it is cut from and sewn of; a relief-shelter sheet off an invented roll unless given.
    site : Site, optional
        Where and by whom; a hall floor indoors unless given.
    workshop : Workshop, optional
        Prices, boards, how long to look for a layout; invented examples unless given.
    sizes : Sizes or str
        ``"as sewn"``, or ``"under air"``: the pattern is corrected so that the room has the height and the
        diameter asked for when the fan runs; that takes a fan and a doorway.
    under_air : bool
        Whether the form under air is written too, where a fan and a doorway are given.
    thickness : float or str, optional
        Of sheets that are also written as solids [mm, or text with a unit].

    Returns
    -------
    Room
        Ask it for its ``envelope``, ``sheet(…)``, ``flat(…)``, ``advice()``; ``write()`` makes every file.

    Raises
    ------
    ParameterError
        If something is of the wrong kind, or sizes under air cannot be met.
    """
    made_of, used_at = Cloth() if cloth is None else cloth, Site() if site is None else site
    if workshop is None and isinstance(design, Design):
        workshop = Workshop(boards=boards_sold(design.marking.tape))
    room = Room(
        design, fan, made_of, used_at, workshop, under_air=under_air, thickness=cast(float | None, thickness)
    )
    if sizes_of(sizes) is Sizes.AS_SEWN:
        return room
    sewn = sized_under_air(design, fan, room.cloth, room.site)
    return evolve(room, design=sewn, sizes=Sizes.UNDER_AIR)

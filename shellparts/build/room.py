"""A room: a design with everything that follows from it, worked out when it is first asked for and then kept."""

from collections.abc import Iterator
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, get_args

from attrs import field, frozen

from shellparts.base.checks import named
from shellparts.base.classes import evolve
from shellparts.base.fields import kinds
from shellparts.base.kernel_error import kernel_error
from shellparts.base.progress import Progress, Silent
from shellparts.build import made as steps
from shellparts.build.made import Made
from shellparts.build.numbers import Numbers, numbers, sized_under_air
from shellparts.inflate.form import InflatedForm
from shellparts.loads.band_picture import BandPicture
from shellparts.loads.measured import room_figures
from shellparts.loads.remedies import Ways
from shellparts.loads.results import Verdict
from shellparts.loads.room_figures import RoomFigures
from shellparts.parameters import Design
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.fan import Fan
from shellparts.parameters.site import Site
from shellparts.parameters.sizes import Sizes, SizesWord, sizes_of, unknown_air
from shellparts.parameters.workshop import EffortLevel, EffortLevelWord, Workshop
from shellparts.pattern.made import Pattern
from shellparts.report.room_materials import RoomMaterials, lay, room_materials
from shellparts.report.warnings import Warning
from shellparts.sewing.order_steps import SewingOrder
from shellparts.stock.results import Laid
from shellparts.templates.on_stock import BoardPlan
from shellparts.unroll.outline import Outline

if TYPE_CHECKING:
    import cadquery as cq

    from shellparts.body.body import Body

__all__ = ["Room", "Sizes", "build"]


#: Which line of a piece is meant.
Line = Literal["sewing", "cutting"]


def _workshop(given: Workshop | None) -> Workshop:
    return Workshop() if given is None else given


@frozen(eq=False, slots=False, repr=False)
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
        Prices, boards, and how long to look for a layout; invented examples unless given.
    sizes : Sizes
        Whether the design is that of the room as sewn, or was corrected for the room under air.
    blown_up : bool
        Whether `write` also sews the whole room together in the computer and lets the air in.
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
    blown_up: bool = False

    def __repr__(self) -> str:
        """One line."""
        shell, fan = self.design.shell, "" if self.fan is None else f", fan {self.fan.name!r}"
        across, height = 2 * shell.reference.breaks[0, 0] / 1000, shell.reference.breaks[-1, 1] / 1000
        return f"<Room {self.design.name}: {shell.panels} panels, {across:.2f} m across, {height:.2f} m high{fan}>"

    def _repr_html_(self) -> str | None:
        """What a notebook shows: the room as sewn, and a line of what it is."""
        from shellparts.build.notebook import room_html

        return room_html(self.design, lambda: self.body)

    def show(self) -> None:
        """Show the room as sewn in the viewer that is there; without one, say so in a line on standard error."""
        from shellparts.build.notebook import show_room

        show_room(self.design.title or self.design.name, self.assembly)

    @cached_property
    def body(self) -> "Body":
        """The sewn body: named sheets, their shared edges, the closed envelope."""
        try:
            from shellparts.body.assembly import assemble
        except ImportError as error:
            raise kernel_error(error) or error from error

        return assemble(self.design)

    @cached_property
    def envelope(self) -> "cq.Solid":
        """The closed solid of air, as CadQuery's own object."""
        from shellparts.writers.viewer import envelope_solid

        return envelope_solid(self.body)

    @cached_property
    def sheets(self) -> "dict[str, cq.Face | cq.Shell]":
        """Every sheet by name as sewn: a face, or a shell where it has folds."""
        return {name: shape for name, shape, _ in self.shapes()}

    def sheet(self, name: str) -> "cq.Face | cq.Shell":
        """One sheet as sewn, by its name: ``room.sheet("tunnel")``."""
        return named("sheet", self.sheets, name)

    def assembly(self) -> "cq.Assembly":
        """Every sheet as sewn with its name and its colour, in one assembly."""
        from shellparts.writers.viewer import sheet_assembly

        return sheet_assembly(self.body, self.design.name)

    def flat(self, name: str, line: Line = "sewing") -> "cq.Sketch":
        """One piece of cloth, a patch, or a sheet, laid flat.

        Parameters
        ----------
        name : str
            Of the piece (``"panel"``), or of a sheet that is cut from it (``"panel_03"``).
        line : str
            ``"sewing"``: exact, of lines, arcs and splines. ``"cutting"``: with the allowances, of straight lines.

        Returns
        -------
        cadquery.Sketch
            One face with its holes; ``Workplane().placeSketch(sketch).extrude(3)`` is a template of board.

        Raises
        ------
        ParameterError
            If there is no such piece, or no such line.
        """
        from shellparts.unroll.flat_face import outline_sketch, ring_sketch

        templates = self.pattern.templates
        of_sheet = {sheet: piece.name for piece in templates for sheet in piece.sheets}
        piece = named("piece", {piece.name: piece for piece in templates}, of_sheet.get(name, name))
        named("line of the piece", dict.fromkeys(get_args(Line)), line)
        return outline_sketch(piece.outline) if line == "sewing" else ring_sketch(piece.cutting)

    @cached_property
    def outlines(self) -> dict[str, Outline]:
        """The flat outline of every sheet by name, each with its certificate."""
        return steps.outlines_of(self.body)

    @cached_property
    def pattern(self) -> Pattern:
        """Cloth pieces and seams; a piece larger than the cloth is joined of parts."""
        return steps.pattern_of(self.design, self.body, self.outlines, self.cloth, self.workshop)

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
        bags = self.verdict.hold_down.bags if self.verdict is not None else None
        laid = (bags.count, bags.each_kg) if bags is not None else None
        mass = self.cloth.mass_kg_m2.likely
        return room_materials(self.pattern, self.layout, self.workshop, self.order, mass, laid, self.boards)

    @cached_property
    def warnings(self) -> tuple[Warning, ...]:
        """What the builder should know before cutting."""
        return tuple(steps.warnings_of(self.pattern, self.layout))

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
        found = self.layout, self.boards, self.materials, self.warnings
        return Made(self.design, body, outlines, pattern, order, *found)

    @cached_property
    def known(self) -> Numbers:
        """What can be said of the room without solids. No kernel."""
        return numbers(self.design, self.fan, self.cloth, self.site, self.sizes)

    @property
    def figures(self) -> RoomFigures:
        """What the numbers stage works from; refused without a doorway. No kernel."""
        return room_figures(self.design, self.cloth)

    @property
    def verdict(self) -> Verdict | None:
        """Whether it stands up, stays down and stays breathable; None without a fan or a doorway. No kernel."""
        return None if self.known.air is None else self.known.air.verdict

    @property
    def ways(self) -> Ways | None:
        """What would make the verdict a yes, each way worked out; None without a fan or a doorway. No kernel."""
        return None if self.known.air is None else self.known.air.ways

    @property
    def inflated(self) -> InflatedForm | None:
        """The form under air at the speed and vent to use; None if nothing is known of the air. No kernel."""
        return None if self.known.air is None else self.known.air.form

    def band(self) -> BandPicture | None:
        """Pressure against vent opening for each speed; None without a fan, a doorway or a vent. No kernel."""
        return None if self.known.air is None else self.known.air.band

    def advice(self) -> str:
        """The numbers as a page to read. No kernel."""
        return self.known.advice()

    def numbers(self) -> dict[str, Any]:
        """What can be said without solids: parameters, air, holding down, people, warnings. No kernel."""
        return self.known.record()

    def summary(self) -> dict[str, Any]:
        """Every number of the room, as plain data; see the README for the keys."""
        return self.made().record(self.known)

    def with_layout(self, layout: EffortLevel | EffortLevelWord) -> "Room":
        """The same room, its layout looked for longer or less long: ``"quick"``, ``"better"`` or ``"best"``."""
        return evolve(self, workshop=evolve(self.workshop, layout=layout))

    def with_air(self) -> "Room":
        """The same room, to be written as inflated too; refused if nothing is known of the air."""
        if self.fan is None or not self.design.ways_out:
            raise unknown_air("inflated form")
        return evolve(self, blown_up=True)

    def shapes(self) -> "Iterator[tuple[str, cq.Face | cq.Shell, tuple[int, int, int]]]":
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
        from shellparts.build.files import write_files
        from shellparts.build.output import replaced_folder

        target, told = Path("exports") / self.design.name if out is None else out, progress or Silent()
        with replaced_folder(target) as folder:
            write_files(self.made(told), self.known, folder, told, self.blown_up)
        return Path(target)


def build(
    design: Design,
    fan: Fan | None = None,
    cloth: Cloth | None = None,
    site: Site | None = None,
    workshop: Workshop | None = None,
    sizes: Sizes | SizesWord = Sizes.AS_SEWN,
) -> Room:
    """Make the room of a design. Nothing is worked out until it is asked for.

    Parameters
    ----------
    design : Design
    fan : Fan, optional
        What blows it up.
    cloth : Cloth, optional
        What it is cut from and sewn of; a relief-shelter sheet off an invented roll unless given.
    site : Site, optional
        Where and by whom; a hall floor indoors unless given.
    workshop : Workshop, optional
        Prices, boards, how long to look for a layout; invented examples unless given.
    sizes : Sizes or str
        ``"as sewn"``, or ``"under air"``: the pattern is corrected so that the room has the height and the
        diameter asked for when the fan runs; that takes a fan and a doorway.

    Returns
    -------
    Room

    Raises
    ------
    ParameterError
        If something is of the wrong kind, or sizes under air cannot be met.
    """
    room = Room(design, fan, Cloth() if cloth is None else cloth, Site() if site is None else site, workshop)
    if sizes_of(sizes) is Sizes.AS_SEWN:
        return room
    sewn = sized_under_air(design, fan, room.cloth, room.site)
    return evolve(room, design=sewn, sizes=Sizes.UNDER_AIR)

"""What a room hands to CadQuery and to viewers: its sheets, its air, its flat pieces, as CadQuery's own objects."""

from collections.abc import Iterator
from functools import cached_property
from typing import TYPE_CHECKING, Literal, get_args

from shellparts.base.classes import evolve
from shellparts.base.helped import typed_help
from shellparts.base.names import Named, named
from shellparts.inflate.whole_room import InflatedRoom
from shellparts.parameters import Design
from shellparts.parameters.printer import Printer
from shellparts.parameters.workshop import Workshop
from shellparts.pattern.made import Pattern

if TYPE_CHECKING:
    import cadquery as cq

    from shellparts.body.body import Body
    from shellparts.model.printed import PrintedRoom
    from shellparts.writers.step_inflated import InflatedSolids

__all__ = ["Line", "RoomShapes"]

#: Which line of a piece is laid flat.
Line = Literal["sewing", "cutting"]


@typed_help
class RoomShapes:
    """The CadQuery side of a `Room`, which gives it what is named here."""

    design: Design
    workshop: Workshop
    if TYPE_CHECKING:

        @property
        def body(self) -> Body:
            """The sewn body."""

        @property
        def pattern(self) -> Pattern:
            """Its pieces and seams."""

        @property
        def whole_form(self) -> InflatedRoom | None:
            """The whole room under air."""

    @cached_property
    def envelope(self) -> "cq.Solid":
        """The closed solid of air, as CadQuery's own object; its floor and the mouths of its sleeves are faces, too."""
        from shellparts.writers.viewer import envelope_solid

        return envelope_solid(self.body)

    @cached_property
    def sheets(self) -> "dict[str, cq.Face | cq.Shell]":
        """Every sheet by name as sewn: a face, or a shell where it has folds."""
        return Named("sheet", {name: shape for name, shape, _ in self.shapes()})

    def sheet(self, name: str) -> "cq.Face | cq.Shell":
        """One sheet as sewn, by its name: ``room.sheet("tunnel")``."""
        return named("sheet", self.sheets, name)

    def assembly(self) -> "cq.Assembly":
        """Every sheet as sewn, a shell with its name and its colour, in one assembly."""
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
            One face with its holes, as seen from outside [mm]. A panel's origin is the middle of its foot, with y up
            along the cloth, over the fold between wall and slope too.
            ``Workplane().placeSketch(sketch).extrude(3)`` is a template of board.

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

    def shapes(self) -> "Iterator[tuple[str, cq.Face | cq.Shell, tuple[int, int, int]]]":
        """Name, CadQuery shape and colour of every sheet, for `show_object` in a viewer; for files see `assembly`."""
        from shellparts.writers.viewer import sheet_shapes

        return sheet_shapes(self.body)

    def show(self) -> None:
        """Show the room as sewn in the viewer that is there; without one, say so in a line on standard error."""
        from shellparts.build.notebook import show_room

        show_room(self.design.title or self.design.name, self.assembly)

    @cached_property
    def solids_under_air(self) -> "InflatedSolids | None":
        """Solids of `whole_form`, smooth where the kernel can; None where that is None, or does not stand."""
        from shellparts.writers.step_inflated import inflated_solids

        found = self.whole_form
        return None if found is None or not found.stands else inflated_solids(found, self.body)

    def inflated_shapes(self, beside: bool = False) -> "Iterator[tuple[str, cq.Shape, tuple[int, int, int]]]":
        """Name, CadQuery shape and colour of every sheet under air and of the air itself.

        Parameters
        ----------
        beside : bool
            Whether they stand beside the room as sewn, and not in its place.

        Yields
        ------
        name : str
            As the sheet's, or ``envelope``, with ``_under_air`` behind it.
        shape : cadquery.Shell or cadquery.Solid
        colour : tuple of int
            Red, green, blue from 0 to 255. Nothing is given where no form is known.
        """
        from shellparts.writers.viewer import part_shapes

        if self.solids_under_air is not None:
            yield from part_shapes(
                self.solids_under_air.sheets, self.solids_under_air.solid, self.body, beside
            )

    def scale_model(self, scale: int | None = None, printer: Printer | None = None) -> "PrintedRoom":
        """The room as sewn as parts to print; the design's scale and the workshop's printer unless given."""
        from shellparts.model.printed import print_room
        from shellparts.writers.mesh import skin_of

        chosen = self.workshop.printer if printer is None else evolve(self.workshop, printer=printer).printer
        asked = self.design if scale is None else evolve(self.design, model_scale=scale)
        return print_room(skin_of(self.body), self.design, chosen, asked.model_scale)

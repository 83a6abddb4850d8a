"""All stages, once, in order: the only place that knows every one of them.

Glossary: a *room* is a design with everything that follows from it. Each stage is worked out when it is first
asked for and then kept, so a script that only wants the numbers never starts the geometry kernel.
"""

from collections.abc import Iterator
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from attrs import frozen

from shellparts.parameters import Design
from shellparts.progress import Progress, Silent
from shellparts.sewing import Pattern, make_pattern
from shellparts.version import VERSION
from shellparts.warnings import Warning, piece_warnings

if TYPE_CHECKING:
    from shellparts.body import Body
    from shellparts.unroll import Outline

__all__ = ["Room", "build"]

#: Steps that `Room.write` reports.
STEPS = 8


@frozen(eq=False)
class Room:
    """A design, and every stage that follows from it.

    Parameters
    ----------
    design : Design
        What the room is to be.
    """

    design: Design

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
        """Cloth pieces and seams."""
        return make_pattern(self.outlines, self.body.seams, self.design.allowances)

    @cached_property
    def warnings(self) -> tuple[Warning, ...]:
        """What the builder should know before cutting."""
        return tuple(piece_warnings(self.design, self.pattern))

    def summary(self) -> dict[str, Any]:
        """Every number of the room, as plain data; see the README for the keys."""
        from shellparts.writers.summary import pattern_record

        figures = self.body.figures
        return {
            "name": self.design.name,
            "version": VERSION,
            "parameters": self.design.parameters(),
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
            "warnings": [warning.record() for warning in self.warnings],
        }

    def shapes(self) -> Iterator[tuple[str, Any, tuple[int, int, int]]]:
        """Name, CadQuery shape and colour of every sheet, for `show_object` in a viewer."""
        from shellparts.plugin import sheet_shapes

        return sheet_shapes(self.body)

    def write(self, out: str | Path | None = None, progress: Progress | None = None) -> Path:
        """Write every file of the room.

        Parameters
        ----------
        out : str or Path, optional
            The folder, ``exports/NAME`` unless given.
        progress : Progress, optional
            Told of each step.

        Returns
        -------
        Path
            The folder. It is replaced as a whole, or not at all.

        Raises
        ------
        ParameterError
            If the folder holds something else.
        GeometryError
            If the body or a piece fails its own checks.
        """
        from shellparts.output import replaced_folder
        from shellparts.room_files import write_room

        target = Path(out) if out is not None else Path("exports") / self.design.name
        with replaced_folder(target) as folder:
            write_room(self, folder, progress or Silent())
        return target


def build(design: Design) -> Room:
    """Make the room of a design. Nothing is worked out until it is asked for.

    Parameters
    ----------
    design : Design

    Returns
    -------
    Room
    """
    return Room(design)

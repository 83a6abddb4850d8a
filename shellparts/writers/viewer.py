"""The sewn room as CadQuery's own objects, for viewers and for whoever models on.

Glossary: a *sheet* is one cloth part of the body. It gives shapes, names and colours; nothing is shown but by
`window`.
"""

from collections.abc import Iterator, Sequence

import cadquery as cq
from OCP.BRep import BRep_Builder
from OCP.TopoDS import TopoDS_Shell, TopoDS_Solid

from shellparts.body.body import Body, BodySheet
from shellparts.drawing.colours import AIR
from shellparts.parameters.part import Colour
from shellparts.writers.step import NamedPart

__all__ = ["envelope_solid", "part_shapes", "sheet_assembly", "sheet_shape", "sheet_shapes", "window"]

#: A room beside another stands this many diameters from it, to the side of the doorway [-].
_BESIDE = 1.5


def envelope_solid(body: Body) -> cq.Solid:
    """The closed solid of air."""
    return cq.Solid(body.envelope)


def sheet_shape(sheet: BodySheet) -> cq.Face | cq.Shell:
    """One sheet: a face, or a shell of the faces that share its folds; outside is outside."""
    return cq.Face(sheet.faces[0].face) if len(sheet.faces) == 1 else _shell(sheet)


def _shell(sheet: BodySheet) -> cq.Shell:
    builder, shell = BRep_Builder(), TopoDS_Shell()
    builder.MakeShell(shell)
    for part in sheet.faces:
        builder.Add(shell, part.face)
    return cq.Shell(shell)


def sheet_shapes(body: Body) -> Iterator[tuple[str, cq.Face | cq.Shell, tuple[int, int, int]]]:
    """Go through the sheets of a body.

    Parameters
    ----------
    body : Body

    Yields
    ------
    name : str
    shape : cadquery.Face or cadquery.Shell
        A shell where the sheet has folds.
    colour : tuple of int
        Red, green, blue from 0 to 255.
    """
    for sheet in body.sheets:
        yield sheet.name, sheet_shape(sheet), _levels(sheet.kind.colour)


def _levels(colour: Colour) -> tuple[int, int, int]:
    """A colour from 0 to 255."""
    red, green, blue = (round(255 * value) for value in colour)
    return red, green, blue


def part_shapes(
    sheets: Sequence[NamedPart], air: TopoDS_Solid, body: Body, beside: bool
) -> Iterator[tuple[str, cq.Shape, tuple[int, int, int]]]:
    """Go through the sheets of a room under air, and the air.

    Parameters
    ----------
    sheets : sequence of NamedPart
    air : TopoDS_Solid
    body : Body
        As sewn.
    beside : bool
        Whether they stand beside the room as sewn.

    Yields
    ------
    name : str
    shape : cadquery.Shape
        A shell, or the solid of air.
    colour : tuple of int
        Red, green, blue from 0 to 255.
    """
    away = cq.Location(cq.Vector(0.0, _BESIDE * body.figures.base_diameter_mm if beside else 0.0, 0.0))
    for part in (*sheets, NamedPart("envelope", air, AIR)):
        yield f"{part.name}_under_air", cq.Shape.cast(part.shape).moved(away), _levels(part.colour)


def sheet_assembly(body: Body, name: str) -> cq.Assembly:
    """Every sheet of a body, with its name and its colour, in one assembly.

    Each is a shell, one of a single face too: CadQuery loses the colour of a bare face on its way through a STEP file.
    """
    whole = cq.Assembly(name=name)
    for sheet in body.sheets:
        whole.add(_shell(sheet), name=sheet.name, color=cq.Color(*sheet.kind.colour))
    return whole


def window(whole: cq.Assembly, title: str) -> None:
    """Show an assembly in a window of CadQuery's own, until it is closed."""
    from cadquery.vis import show

    show(whole, title=title)

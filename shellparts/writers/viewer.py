"""Sheets as CadQuery shapes, for viewers.

Glossary: a *sheet* is one cloth part of the body. This module shows nothing: it gives shapes, names and
colours to whoever does.
"""

from collections.abc import Iterator, Sequence

import cadquery as cq
from OCP.BRep import BRep_Builder
from OCP.TopoDS import TopoDS_Compound, TopoDS_Solid

from shellparts.body.body import Body
from shellparts.drawing.colours import AIR
from shellparts.parameters.part import Colour
from shellparts.writers.step import NamedPart

__all__ = ["part_shapes", "sheet_shapes"]


#: A room beside another stands this many diameters from it, to the side of the doorway [-].
_BESIDE = 1.5


def sheet_shapes(body: Body) -> Iterator[tuple[str, cq.Shape, tuple[int, int, int]]]:
    """Go through the sheets of a body.

    Parameters
    ----------
    body : Body

    Yields
    ------
    name : str
    shape : cadquery.Shape
        A compound of the faces that share folds.
    colour : tuple of int
        Red, green, blue from 0 to 255.
    """
    for sheet in body.sheets:
        builder, compound = BRep_Builder(), TopoDS_Compound()
        builder.MakeCompound(compound)
        for part in sheet.faces:
            builder.Add(compound, part.face)
        yield sheet.name, cq.Shape.cast(compound), _levels(sheet.kind.colour)


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

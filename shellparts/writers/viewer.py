"""Sheets as CadQuery shapes, for viewers.

Glossary: a *sheet* is one cloth part of the body. This module shows nothing: it gives shapes, names and
colours to whoever does.
"""

from collections.abc import Iterator

import cadquery as cq
from OCP.BRep import BRep_Builder
from OCP.TopoDS import TopoDS_Compound

from shellparts.body.body import Body

__all__ = ["sheet_shapes"]


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
        red, green, blue = (round(255 * value) for value in sheet.kind.colour)
        yield sheet.name, cq.Shape.cast(compound), (red, green, blue)

"""STEP files with a tree of named, coloured parts.

Glossary: a *part* is one named shape; a *group* is a named list of parts and groups. Every name stands once in a file,
in ASCII. Lengths are millimetres. This module knows nothing of rooms.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO

from attrs import frozen
from OCP.IFSelect import IFSelect_RetDone
from OCP.Interface import Interface_Static
from OCP.Message import Message, Message_Gravity
from OCP.Quantity import Quantity_Color, Quantity_ColorRGBA, Quantity_TOC_sRGB
from OCP.STEPCAFControl import STEPCAFControl_Controller, STEPCAFControl_Writer
from OCP.STEPControl import STEPControl_AsIs
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label
from OCP.TDocStd import TDocStd_Document
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Shape
from OCP.XCAFDoc import (
    XCAFDoc_ColorGen,
    XCAFDoc_ColorSurf,
    XCAFDoc_ColorTool,
    XCAFDoc_DocumentTool,
    XCAFDoc_ShapeTool,
)

from shellparts.base.errors import GeometryError
from shellparts.parameters.part import Colour
from shellparts.writers.step_order import canonical

__all__ = ["NamedPart", "PartGroup", "tree_bytes"]

#: What the kernel's writer goes by; any program in the same process may have changed it.
_SETTINGS = {
    "write.step.unit": "MM",
    "write.step.schema": "AP214IS",
    "write.step.assembly": "Auto",
    "write.step.nonmanifold": "Off",
    "write.step.tessellated": "OnNoBRep",
    "write.step.vertex.mode": "Compound",
    "write.stepcaf.subshapes.name": "Off",
    "write.surfacecurve.mode": "On",
    "write.precision.mode": "Average",
    "write.precision.val": "1.e-03",
}


@frozen(eq=False)
class NamedPart:
    """One thing in the file: its name, its shape, its colour, and how much of the light it stops, 0 to 1."""

    name: str
    shape: TopoDS_Shape
    colour: Colour
    opacity: float = 1.0


@frozen(eq=False)
class PartGroup:
    """A named list of what belongs together."""

    name: str
    members: "tuple[NamedPart | PartGroup, ...]"

    def parts(self) -> Iterator[NamedPart]:
        """Every part in it, in order."""
        for one in self.members:
            yield from one.parts() if isinstance(one, PartGroup) else (one,)

    def names(self) -> Iterator[str]:
        """Its own name and every one in it."""
        yield self.name
        for one in self.members:
            yield from one.names() if isinstance(one, PartGroup) else (one.name,)


class _Document:
    """An assembly in the kernel's own form."""

    def __init__(self) -> None:
        self.data = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
        XCAFDoc_DocumentTool.SetLengthUnit_s(self.data, 0.001)
        self.shapes: XCAFDoc_ShapeTool = XCAFDoc_DocumentTool.ShapeTool_s(self.data.Main())
        self.colours: XCAFDoc_ColorTool = XCAFDoc_DocumentTool.ColorTool_s(self.data.Main())

    def group(self, name: str) -> TDF_Label:
        """A new, empty assembly."""
        label = self.shapes.NewShape()
        _call(label, name)
        return label

    def place(self, label: TDF_Label, home: TDF_Label, name: str) -> None:
        """Make something a part of an assembly."""
        _call(self.shapes.AddComponent(home, label, TopLoc_Location()), name)

    def add(self, part: NamedPart, home: TDF_Label) -> None:
        """Make a part with a shape, and put it into an assembly."""
        label = self.shapes.AddShape(part.shape, False)
        _call(label, part.name)
        colour = Quantity_ColorRGBA(Quantity_Color(*part.colour, Quantity_TOC_sRGB), part.opacity)
        for use in (XCAFDoc_ColorGen, XCAFDoc_ColorSurf):
            self.colours.SetColor(label, colour, use)
        self.place(label, home, part.name)


def _call(label: TDF_Label, name: str) -> None:
    TDataStd_Name.Set_s(label, TCollection_ExtendedString(name))


def _filled(document: _Document, group: PartGroup) -> TDF_Label:
    """A group with all that is in it."""
    home = document.group(group.name)
    for one in group.members:
        if isinstance(one, PartGroup):
            document.place(_filled(document, one), home, one.name)
        else:
            document.add(one, home)
    return home


def tree_bytes(tree: PartGroup, title: str) -> bytes:
    """A tree of parts, in STEP.

    Parameters
    ----------
    tree : PartGroup
        No part shares anything with another.
    title : str
        What the header says that the file is: ASCII, without quotes.

    Returns
    -------
    bytes
        The same for the same parts, in every run.

    Raises
    ------
    GeometryError
        If a name stands twice, or the kernel cannot write the parts.
    """
    names = list(tree.names())
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise GeometryError(f"two parts of the room are called {', '.join(twice)}")
    document = _Document()
    _filled(document, tree)
    document.shapes.UpdateAssemblies()
    return canonical(_transferred(document).decode("ascii"), tree.name, title).encode("ascii")


@contextmanager
def _kernel_settings() -> Iterator[None]:
    """For the while, fix the kernel's settings and keep its statistics off standard output."""
    STEPCAFControl_Controller.Init_s()
    settings = {key: Interface_Static.CVal_s(key) for key in _SETTINGS}
    printers = [(printer, printer.GetTraceLevel()) for printer in Message.DefaultMessenger_s().Printers()]
    for key, value in _SETTINGS.items():
        Interface_Static.SetCVal_s(key, value)
    for printer, _ in printers:
        printer.SetTraceLevel(Message_Gravity.Message_Fail)
    try:
        yield
    finally:
        for key, value in settings.items():
            Interface_Static.SetCVal_s(key, value)
        for printer, level in printers:
            printer.SetTraceLevel(level)


def _transferred(document: _Document) -> bytes:
    """The kernel's own STEP text of a document."""
    with _kernel_settings():
        writer, stream = STEPCAFControl_Writer(), BytesIO()
        writer.SetNameMode(True)
        writer.SetColorMode(True)
        done = writer.Transfer(document.data, STEPControl_AsIs)
        if not done or writer.WriteStream(stream) != IFSelect_RetDone:
            raise GeometryError("the kernel cannot write the room in STEP")
    return stream.getvalue()

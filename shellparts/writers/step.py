"""The room as sewn, as a STEP file: one named sheet a cloth part, and the closed envelope of air.

Glossary: an *assembly* is a named thing made of named things; here the room is made of the group `cloth`,
with every sheet as a named shell in the colour of its kind, and of one solid named `envelope`, the air that
the cloth holds. Lengths are millimetres. The two leaves of a curtain overlap in one face: each leaf has its
own copy of it, so that every part stands by itself. This module knows nothing of flat pieces, allowances or
the inflated form.
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path

from attrs import frozen
from OCP.BRep import BRep_Builder
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
from OCP.TopoDS import TopoDS_Shape, TopoDS_Shell
from OCP.XCAFDoc import (
    XCAFDoc_ColorGen,
    XCAFDoc_ColorSurf,
    XCAFDoc_ColorTool,
    XCAFDoc_DocumentTool,
    XCAFDoc_ShapeTool,
)

from shellparts.base.errors import GeometryError
from shellparts.body.body import Body, BodySheet
from shellparts.drawing.colours import AIR
from shellparts.parameters.part import Colour
from shellparts.writers.mesh import copy_of
from shellparts.writers.step_order import canonical

__all__ = ["CLOTH", "ENVELOPE", "NamedPart", "assembly_bytes", "room_parts", "step_bytes", "write_step"]

#: Name of the group of sheets.
CLOTH = "cloth"
#: Name of the closed solid.
ENVELOPE = "envelope"

_AIR_OPACITY = 0.35

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


def _shell_of(sheet: BodySheet) -> TopoDS_Shell:
    builder, shell = BRep_Builder(), TopoDS_Shell()
    builder.MakeShell(shell)
    for face in sheet.faces:
        builder.Add(shell, face.face)
    return copy_of(shell)


def room_parts(body: Body) -> tuple[tuple[NamedPart, ...], NamedPart]:
    """What the file holds, arranged: the sheets and the envelope.

    Parameters
    ----------
    body : Body

    Returns
    -------
    sheets : tuple of NamedPart
        One shell a sheet, in the body's order; none shares anything with another.
    envelope : NamedPart
        The closed solid.
    """
    sheets = tuple(NamedPart(sheet.name, _shell_of(sheet), sheet.kind.colour) for sheet in body.sheets)
    return sheets, NamedPart(ENVELOPE, copy_of(body.envelope), AIR, _AIR_OPACITY)


def _room_name(name: str, taken: set[str]) -> str:
    """The room's name in the file, where every name is the name of one thing."""
    while name in taken:
        name += "_room"
    return name


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


def step_bytes(body: Body, name: str) -> bytes:
    """The room as sewn, in STEP.

    Parameters
    ----------
    body : Body
    name : str
        Of the room: ASCII letters, digits and underscores.

    Returns
    -------
    bytes
        The same for the same body, in every run.

    Raises
    ------
    GeometryError
        If the kernel cannot write the room.
    """
    return assembly_bytes(*room_parts(body), name)


def assembly_bytes(sheets: Sequence[NamedPart], envelope: NamedPart, name: str) -> bytes:
    """A room of named sheets and a closed solid, in STEP.

    Parameters
    ----------
    sheets : sequence of NamedPart
        One shell each, none sharing anything with another.
    envelope : NamedPart
        The closed solid.
    name : str
        Of the room: ASCII letters, digits and underscores.

    Returns
    -------
    bytes
        The same for the same parts, in every run.

    Raises
    ------
    GeometryError
        If the kernel cannot write the room.
    """
    document = _Document()
    taken = {CLOTH, ENVELOPE, *(sheet.name for sheet in sheets)}
    room, cloth = document.group(_room_name(name, taken)), document.group(CLOTH)
    for sheet in sheets:
        document.add(sheet, cloth)
    document.place(cloth, room, CLOTH)
    document.add(envelope, room)
    document.shapes.UpdateAssemblies()
    return canonical(_transferred(document).decode("ascii"), name).encode("ascii")


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


def write_step(body: Body, name: str, path: str | Path) -> None:
    """Write the room as sewn in STEP, in millimetres.

    Parameters
    ----------
    body : Body
    name : str
        Of the room: ASCII letters, digits and underscores.
    path : str or Path
        Of the file, which is replaced.

    Raises
    ------
    GeometryError
        If the kernel cannot write the room.
    """
    Path(path).write_bytes(step_bytes(body, name))

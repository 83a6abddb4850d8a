"""Sheets as solids of a real thickness, as far as the kernel can make them.

A sheet is thickened outward, all its faces at once; where the kernel's solid is faulty or has not the volume of the
cloth, every face by itself, so that the sheet is several solids that gape or overlap by its thickness at the folds; a
sheet that fails in both ways stays a surface. Which ones is told by name.
"""

import math
from collections.abc import Iterable

from attrs import frozen
from OCP.BRep import BRep_Builder
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.BRepOffset import BRepOffset_MakeOffset, BRepOffset_Skin
from OCP.GeomAbs import GeomAbs_Arc
from OCP.GProp import GProp_GProps
from OCP.Standard import Standard_ConstructionError, Standard_DomainError, Standard_Failure
from OCP.TopAbs import TopAbs_SOLID
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS_Compound, TopoDS_Shape, TopoDS_Shell

from shellparts.body.envelope import area_of
from shellparts.writers.mesh import faces_of
from shellparts.writers.step import NamedPart

__all__ = ["ThickSheets", "thickened"]

#: A solid's volume is within this share of the sheet's area times its thickness [-], and within so many thicknesses in
#: the side of a square of that area, but never beyond the last: bends make the difference.
_NEAR, _BENT, _MOST = 0.01, 5.0, 0.1


@frozen(eq=False)
class ThickSheets:
    """Sheets with a thickness.

    Parameters
    ----------
    sheets : tuple of NamedPart
        In their order: one solid each, but for those named here.
    thickness_mm : float
        Outward [mm].
    in_parts : tuple of str
        Sheets of which every face is a solid of its own.
    without : tuple of str
        Sheets that stayed surfaces.
    """

    sheets: tuple[NamedPart, ...]
    thickness_mm: float
    in_parts: tuple[str, ...]
    without: tuple[str, ...]

    def record(self) -> dict[str, object]:
        """Plain data."""
        return {
            "thickness_mm": self.thickness_mm,
            "in_several_solids": list(self.in_parts),
            "without_thickness": list(self.without),
        }


def _volume(shape: TopoDS_Shape) -> float:
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, props)
    return float(props.Mass())


def _thick(shell: TopoDS_Shape, thickness_mm: float) -> TopoDS_Shape | None:
    """One valid solid of the right volume; None where the kernel makes none."""
    maker = BRepOffset_MakeOffset()
    try:
        maker.Initialize(shell, thickness_mm, 1e-4, BRepOffset_Skin, False, False, GeomAbs_Arc, True)
        maker.MakeOffsetShape()
        if not maker.IsDone():
            return None
        found = TopExp_Explorer(maker.Shape(), TopAbs_SOLID)
        if not found.More():
            return None
        solid = found.Current()
        found.Next()
        if found.More():
            return None
        volume = _volume(solid)
    except (
        Standard_Failure,
        Standard_ConstructionError,
        Standard_DomainError,
    ):  # no solid, for its own reasons
        return None
    area = area_of(shell)
    if abs(abs(volume) / (area * thickness_mm) - 1.0) > min(
        _MOST, _NEAR + _BENT * thickness_mm / math.sqrt(area)
    ):
        return None
    outward = solid if volume > 0 else solid.Reversed()
    return outward if BRepCheck_Analyzer(outward).IsValid() else None


def _face_by_face(shell: TopoDS_Shape, thickness_mm: float) -> TopoDS_Shape | None:
    """A solid a face; None where one of them fails."""
    builder, whole = BRep_Builder(), TopoDS_Compound()
    builder.MakeCompound(whole)
    for face in faces_of(shell):
        alone = TopoDS_Shell()
        builder.MakeShell(alone)
        builder.Add(alone, face)
        solid = _thick(alone, thickness_mm)
        if solid is None:
            return None
        builder.Add(whole, solid)
    return whole


def thickened(sheets: Iterable[NamedPart], thickness_mm: float) -> ThickSheets:
    """Give sheets a thickness.

    Parameters
    ----------
    sheets : iterable of NamedPart
        A shell each.
    thickness_mm : float
        Above 0 [mm].

    Returns
    -------
    ThickSheets
    """
    made: list[NamedPart] = []
    in_parts: list[str] = []
    without: list[str] = []
    for sheet in sheets:
        solid = _thick(sheet.shape, thickness_mm)
        if solid is None:
            solid = _face_by_face(sheet.shape, thickness_mm)
            (without if solid is None else in_parts).append(sheet.name)
        made.append(
            NamedPart(sheet.name, sheet.shape if solid is None else solid, sheet.colour, sheet.opacity)
        )
    return ThickSheets(tuple(made), thickness_mm, tuple(in_parts), tuple(without))

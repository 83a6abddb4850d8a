"""What a survey says of one face.

Glossary: as in `outline`. This module needs neither the kernel nor numpy arrays of its own.
"""

from attrs import frozen

from shellparts.unroll.outline import Outline

__all__ = ["FaceReport"]


@frozen(eq=False)
class FaceReport:
    """One face of a body, surveyed.

    Parameters
    ----------
    index : int
        Number of the face in the body, from 0.
    surface : str
        Kind of surface, as the kernel has it: ``"plane"``, ``"cylinder"``, ``"bspline"`` and so on.
    developable : bool
        Whether the face has no Gaussian curvature, and so can be bent from a flat sheet.
    reason : str
        Why there is no outline; empty where there is one.
    face_area_mm2 : float
        Area of the face [mm²].
    flat_area_mm2, perimeter_mm, closure_mm, turning_deficit_rad : float or None
        The certificate of the flat outline, or of what was tried; None where the face could not be measured. A
        refused face has no flat area.
    wires : int
        Number of boundaries.
    outline : Outline or None
        The flat outline, where there is one.
    """

    index: int
    surface: str
    developable: bool
    reason: str
    face_area_mm2: float
    flat_area_mm2: float | None
    perimeter_mm: float | None
    closure_mm: float | None
    turning_deficit_rad: float | None
    wires: int
    outline: Outline | None

    @property
    def laid(self) -> bool:
        """Whether there is an outline."""
        return self.outline is not None

    @property
    def edge_gap_mm(self) -> float | None:
        """How far edges stand off the surface, or apart at corners [mm]; None where there is no outline."""
        return None if self.outline is None else self.outline.edge_gap_mm

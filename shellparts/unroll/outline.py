"""Flat outlines: loops of flat edges, fold lines, the certificate that goes with them, and the report of a survey.

Glossary: an *outline* is one flat piece, an outer loop walked counter-clockwise as seen from outside the
body, and holes walked clockwise. Its *certificate* is what it left open when it closed on itself
(`closure_mm`), its area on the flat against the area of the face, and its *turning deficit*: by the theorem
of Gauss and Bonnet the loops of a flat piece turn by exactly one turn less one for each hole, and what is
missing is the integral of Gaussian curvature over the face.

This module needs numpy alone. It does not know surfaces, cloth, or allowances.
"""

from typing import Self

import numpy as np
from attrs import evolve, frozen
from numpy.typing import NDArray

from shellparts.base.classes import brief
from shellparts.unroll.flat_edge import FlatEdge, Form

__all__ = ["FaceReport", "FlatEdge", "FoldLine", "Form", "Loop", "Outline"]

Array = NDArray[np.float64]


@brief
@frozen(eq=False)
class Loop:
    """A closed walk of flat edges.

    Parameters
    ----------
    edges : tuple of FlatEdge
        The edges in walking order.
    closure_mm : float
        Distance that the walk left open, or by which two ways of placing it differ, the greater [mm].
    """

    edges: tuple[FlatEdge, ...]
    closure_mm: float

    @property
    def perimeter_mm(self) -> float:
        """Length of the loop [mm]."""
        return float(sum(edge.length_mm for edge in self.edges))

    @property
    def area_mm2(self) -> float:
        """Area inside, positive for a counter-clockwise walk [mm²], by Green's theorem on the nodes."""
        origin = self.edges[0].start
        total = 0.0
        for edge, following in zip(self.edges, self.edges[1:] + self.edges[:1], strict=True):
            a, b, c = edge.start - origin, edge.end - origin, following.start - origin
            total += edge.sector_mm2 + 0.5 * (a[0] * b[1] - a[1] * b[0]) + 0.5 * (b[0] * c[1] - b[1] * c[0])
        return float(total)

    def polyline(self, sagitta_mm: float) -> Array:
        """Corners of a polygon within the sagitta of the loop [mm], (m, 2) [mm]; the first does not come again."""
        return np.concatenate([edge.polyline(sagitta_mm)[:-1] for edge in self.edges])

    def moved(self, rotation: float, dx: float, dy: float) -> Self:
        """Turn the loop about the origin, to the left where positive [rad], then shift it [mm]."""
        return evolve(self, edges=tuple(edge.moved(rotation, dx, dy) for edge in self.edges))

    def mirrored(self) -> Self:
        """Mirror the loop in the y axis and walk it the other way, so that its area keeps its sign."""
        return evolve(self, edges=tuple(edge.mirrored().reversed() for edge in reversed(self.edges)))


@frozen(eq=False)
class FoldLine:
    """An edge inside an outline, where two of its faces meet.

    Parameters
    ----------
    edge : FlatEdge
        The fold on the flat piece, walked with the first face on its left.
    angle_rad : float
        Angle between the two faces at the middle of the fold [rad]: 0 where they run on flat or tangent,
        positive where the piece folds away from a viewer outside (an outer corner).
    mismatch_mm : float
        Largest distance between the two flat images of the edge [mm].
    """

    edge: FlatEdge
    angle_rad: float
    mismatch_mm: float = 0.0


@brief
@frozen(eq=False)
class Outline:
    """One flat piece with its certificate.

    Parameters
    ----------
    outer : Loop
        The outer boundary, counter-clockwise as seen from outside (from where the face's normal points to).
    holes : tuple of Loop
        The holes, clockwise.
    folds : tuple of FoldLine
        Edges between faces that were laid flat together.
    face_area_mm2 : float
        Area of the faces in space, integrated apart [mm²].
    flat_area_mm2 : float
        Area inside the flat loops [mm²].
    turning_deficit_rad : float
        Integral of Gaussian curvature over the faces, as the turning of the loops shows it [rad].
    faces : int
        How many faces the piece is made of.
    edge_gap_mm : float
        How far the edges in space stand off the surface, or apart at corners; no length of the outline is known
        better than to about twice that [mm].
    """

    outer: Loop
    holes: tuple[Loop, ...]
    folds: tuple[FoldLine, ...]
    face_area_mm2: float
    flat_area_mm2: float
    turning_deficit_rad: float
    faces: int
    edge_gap_mm: float = 0.0

    @property
    def loops(self) -> tuple[Loop, ...]:
        """The outer loop, then the holes."""
        return (self.outer, *self.holes)

    @property
    def perimeter_mm(self) -> float:
        """Length of all loops [mm]."""
        return sum(loop.perimeter_mm for loop in self.loops)

    @property
    def closure_mm(self) -> float:
        """Worst gap of a loop, or mismatch of a fold [mm]."""
        gaps = [loop.closure_mm for loop in self.loops] + [fold.mismatch_mm for fold in self.folds]
        return max(gaps)

    def moved(self, rotation: float, dx: float, dy: float) -> Self:
        """Turn the piece about the origin, then shift it.

        Parameters
        ----------
        rotation : float
            Angle, positive to the left [rad].
        dx, dy : float
            Shift [mm].

        Returns
        -------
        Outline
            The same piece in its new place.
        """
        return evolve(
            self,
            outer=self.outer.moved(rotation, dx, dy),
            holes=tuple(hole.moved(rotation, dx, dy) for hole in self.holes),
            folds=tuple(evolve(fold, edge=fold.edge.moved(rotation, dx, dy)) for fold in self.folds),
        )

    def mirrored(self) -> Self:
        """Mirror the piece in the y axis (x becomes -x), as for a body of the other hand.

        The outer loop is walked the other way, so that it stays counter-clockwise; folds keep their angle.
        """
        folds = (evolve(fold, edge=fold.edge.mirrored().reversed()) for fold in self.folds)
        return evolve(
            self,
            outer=self.outer.mirrored(),
            holes=tuple(hole.mirrored() for hole in self.holes),
            folds=tuple(folds),
        )


@brief
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

"""The whole room under air, from its flat pieces as they are sewn: shell, doorway tunnel, curtain and sleeve.

Glossary: a room *stands* if its form under air is in balance and stable. The *drift* of a figure is how much
it changed from a mesh with triangles of twice the size, an estimate of what a finer one would still change.

What is taken for granted, where the cloth alone does not say it:

- the lower edges of panels, tunnel and curtain stay on the floor where they were sewn for; flaps lie there;
- the two leaves of the curtain cling to each other where they overlap and move as one cloth of twice the
  strength; they are sewn to the tunnel above the vent and gape along it, and the air pressure is the same
  right up to that gap;
- the outer end of the sleeve is tied round the fan, which stands where it was designed to;
- the warp of every piece runs up it as it lies on the table; seams are as strong and as light as the cloth.

This module knows nothing of fans, leaks or strength.
"""

from collections.abc import Callable
from itertools import pairwise

import numpy as np
from attrs import evolve, frozen
from numpy.typing import NDArray

from shellparts.base.classes import brief
from shellparts.base.names import Named
from shellparts.inflate.equilibrium import Inflated
from shellparts.inflate.flat_room import FlatRoom
from shellparts.inflate.forces import ClothForces
from shellparts.inflate.levels import Level, Reporter, RoomState, level, sizes_for
from shellparts.inflate.membrane import Membrane
from shellparts.inflate.potential import Loads
from shellparts.inflate.refine import carried
from shellparts.inflate.room_figures import FormFigures
from shellparts.inflate.welded import Welded

__all__ = ["InflatedRoom", "whole_room"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@brief
@frozen(eq=False)
class InflatedRoom:
    """A room under air.

    Parameters
    ----------
    state : RoomState
        What became of it; there are figures only if it stands.
    nodes : ndarray (n, 3) float
        The form [mm]; only worth showing if it stands.
    triangles : ndarray (m, 3) int
        Corners of the cloth's triangles, counterclockwise seen from outside.
    sheets : tuple of str
        Names of the pieces.
    sheet_of : ndarray (m,) int
        Which of them each triangle is cut with.
    figures : FormFigures or None
        Sizes and forces.
    drift : mapping of str to float
        Change of each figure from the coarse mesh, in its unit; empty if the coarse mesh gave none.
    residual : float
        Forces left over as a share of the air's [-].
    negative_pivots : int
        Directions of negative curvature of the energy: zero in a stable form; -1 if no equilibrium was reached.
    uplift_N : float
        Pull of the cloth on what holds its lower edges down [N].
    sleeve_pull_N : float
        Pull of the sleeve on the fan, whatever its direction [N].
    welded : Welded
        The mesh with its flat triangles.
    coarse : Welded
        One with triangles of twice the size, for what is to be drawn with fewer facets.
    forces : ClothForces or None
        Forces in each triangle, along and across its piece.
    form : Inflated
        The search's own report.
    """

    state: RoomState
    nodes: Floats
    triangles: Ints
    sheets: tuple[str, ...]
    sheet_of: Ints
    figures: FormFigures | None
    drift: Named[str, float]
    residual: float
    negative_pivots: int
    uplift_N: float
    sleeve_pull_N: float
    welded: Welded
    coarse: Welded
    forces: ClothForces | None
    form: Inflated

    @property
    def stands(self) -> bool:
        """Whether there is a form in stable balance to show."""
        return self.state is RoomState.STANDS

    def on_fewer_facets(self) -> "InflatedRoom":
        """The same form on the coarse mesh, for drawing it; forces stay behind."""
        return evolve(
            self,
            nodes=carried(self.welded, self.nodes, self.coarse),
            triangles=self.coarse.triangles,
            sheet_of=_numbered(self.coarse, self.sheets),
            welded=self.coarse,
            forces=None,
        )

    def summary(self) -> dict[str, object]:
        """Give state, figures and drift as plain data."""
        record: dict[str, object] = {
            "state": self.state.value,
            "triangles": len(self.triangles),
            "residual": self.residual,
            "negative_pivots": self.negative_pivots,
        }
        if self.figures is None:
            return Named("figure", record)
        forces = {"uplift_N": self.uplift_N, "sleeve_pull_N": self.sleeve_pull_N}
        told = {**record, **self.figures.summary(), **forces, "drift": self.drift}
        return Named("figure", told)


def _numbered(welded: Welded, names: tuple[str, ...]) -> Ints:
    """Number of each triangle's piece among the names."""
    number = {name: i for i, name in enumerate(names)}
    return np.array([number[name] for name in welded.sheet_of])


def whole_room(
    room: FlatRoom,
    cloth: Membrane,
    pressure_Pa: float,
    size_mm: float = 120.0,
    progress: Callable[[float], None] | None = None,
) -> InflatedRoom:
    """Inflate a room from its flat pieces.

    Parameters
    ----------
    room : FlatRoom
        The pieces, what is sewn to what, and where the lines run in the room as sewn.
    cloth : Membrane
        Cloth of all pieces; its warp runs up each as it lies on the table.
    pressure_Pa : float
        Air pressure inside above that outside [Pa].
    size_mm : float
        Side of a triangle where nothing asks for smaller ones [mm]; coarser meshes are solved first.
    progress : callable, optional
        Told the share of the work that is done, from 0 to 1, again and again.

    Returns
    -------
    InflatedRoom
        Form and figures, or in plain words why there are none.

    Raises
    ------
    ParameterError
        If the size or the pressure is not positive.
    GeometryError
        If the pieces do not go together.
    """
    loads = Loads(pressure_Pa, floor=True)
    sizes = sizes_for(room, size_mm)
    work = np.cumsum([0.0, *(size**-2 for size in sizes)])
    done = work / work[-1]
    levels: list[Level] = []
    for size, (low, high) in zip(sizes, pairwise(done), strict=True):
        watch = Reporter(progress, low, high)
        levels.append(level(room, size, cloth, loads, levels[-1] if levels else None, watch))
    finest = levels[-1]
    fine, form = finest.welded, finest.form
    drift: dict[str, float] = {}
    if finest.figures is not None and levels[-2].figures is not None:
        was = levels[-2].figures.summary()
        drift = {key: abs(value - was[key]) for key, value in finest.figures.summary().items()}
    names = tuple(dict.fromkeys(fine.sheet_of))
    if progress is not None:
        progress(1.0)
    ends = [form.reactions_N[ring].sum(axis=0) for ring in fine.rings]
    return InflatedRoom(
        state=finest.state,
        nodes=form.nodes,
        triangles=fine.triangles,
        sheets=names,
        sheet_of=_numbered(fine, names),
        figures=finest.figures,
        drift=Named("figure", drift),
        residual=form.residual,
        negative_pivots=form.negative_pivots,
        uplift_N=-float(form.reactions_N[fine.floor, 2].sum()),
        sleeve_pull_N=float(np.linalg.norm(np.sum(ends, axis=0))) if ends else 0.0,
        welded=fine,
        coarse=levels[-2].welded,
        forces=finest.forces,
        form=form,
    )

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

from collections.abc import Callable, Mapping
from enum import Enum
from itertools import pairwise

import numpy as np
from attrs import evolve, frozen
from numpy.typing import NDArray

from shellparts.errors import ParameterError
from shellparts.inflate.cloth import Cloth
from shellparts.inflate.equilibrium import Inflated, Outcome, inflate
from shellparts.inflate.flat_room import FlatRoom
from shellparts.inflate.forces import ClothForces, cloth_forces
from shellparts.inflate.holds import Hold, pin
from shellparts.inflate.potential import Loads
from shellparts.inflate.refine import carried
from shellparts.inflate.room_figures import RoomFigures, room_figures
from shellparts.inflate.sheet import Sheet
from shellparts.inflate.weld import weld
from shellparts.inflate.welded import Welded
from shellparts.tolerances import TOLERANCES

__all__ = ["InflatedRoom", "RoomState", "room_sheet", "vent_faces", "whole_room"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_COARSER = 2.0
"""Triangles of the coarse mesh are larger by this factor."""
_EQUILATERAL = np.sqrt(3.0) / 4.0
"""Area of a triangle with sides of one."""
_FEW = 3000
"""With fewer triangles than about this a mesh is begun as sewn; a finer one is begun from a coarser one."""
_LEAST_RISE = 0.5
"""A form lower than this share of the height as sewn has not risen."""


class RoomState(Enum):
    """What became of the room."""

    STANDS = "stands"
    COLLAPSED = "collapsed"
    NOT_CONVERGED = "not converged"
    SEVERAL_FORMS = "more than one form"


_STATES = {
    Outcome.CONVERGED: RoomState.STANDS,
    Outcome.COLLAPSED: RoomState.COLLAPSED,
    Outcome.NOT_CONVERGED: RoomState.NOT_CONVERGED,
    Outcome.NOT_STABLE: RoomState.SEVERAL_FORMS,
}


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
    figures : RoomFigures or None
        Sizes and forces.
    drift : mapping of str to float
        Change of each figure from the coarse mesh, in its unit; empty if the coarse mesh gave none.
    residual : float
        Forces left over as a share of the air's [-].
    negative_pivots : int
        Falling directions of the energy: zero in a stable form; -1 if none was reached.
    uplift_N : float
        Pull of the cloth on what holds its lower edges down [N].
    sleeve_pull_N : float
        Pull of the sleeve on the fan, whatever its direction [N].
    welded : Welded
        The mesh with its flat triangles.
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
    figures: RoomFigures | None
    drift: Mapping[str, float]
    residual: float
    negative_pivots: int
    uplift_N: float
    sleeve_pull_N: float
    welded: Welded
    forces: ClothForces | None
    form: Inflated

    @property
    def stands(self) -> bool:
        """Whether there is a form in stable balance to show."""
        return self.state is RoomState.STANDS

    def on(self, welded: Welded) -> "InflatedRoom":
        """Put the same form on another mesh of the room, for drawing it; figures and forces stay behind.

        Parameters
        ----------
        welded : Welded
            The other mesh.

        Returns
        -------
        InflatedRoom
            Its nodes lie where the cloth was carried to; it stands if this one does.
        """
        return evolve(
            self,
            nodes=carried(self.welded, self.nodes, welded),
            triangles=welded.triangles,
            sheet_of=_numbered(welded, self.sheets),
            welded=welded,
            forces=None,
        )

    def summary(self) -> dict[str, object]:
        """Give state, figures and drift as plain data."""
        told: dict[str, object] = {
            "state": self.state.value,
            "triangles": len(self.triangles),
            "residual": self.residual,
            "negative_pivots": self.negative_pivots,
        }
        if self.figures is None:
            return told
        forces = {"uplift_N": self.uplift_N, "sleeve_pull_N": self.sleeve_pull_N}
        return {**told, **self.figures.summary(), **forces, "drift": dict(self.drift)}


def _numbered(welded: Welded, names: tuple[str, ...]) -> Ints:
    """Number of each triangle's piece among the names."""
    number = {name: i for i, name in enumerate(names)}
    return np.array([number[name] for name in welded.sheet_of])


def vent_faces(vents: tuple[tuple[Ints, Ints], ...]) -> list[tuple[int, int, int]]:
    """Make faces of air across the gaps of a vent.

    Parameters
    ----------
    vents : tuple of pairs of ndarray of int
        Nodes of both rows of each slit, which begin and end in the same nodes.

    Returns
    -------
    list of tuple of int
        Corners, counterclockwise seen from outside.
    """
    faces = []
    for a, b in vents:
        for here, on, beside, beside_on in zip(a[:-1], a[1:], b[:-1], b[1:], strict=True):
            faces += [(on, here, beside), (on, beside, beside_on)]
    return [face for face in faces if len(set(face)) == 3]


def _ring_faces(rings: tuple[Ints, ...]) -> list[tuple[int, int, int]]:
    """Faces of air across the outer end of a tube."""
    return [(ring[0], after, before) for ring in rings for before, after in pairwise(ring[1:])]


def room_sheet(welded: Welded, cloth: Cloth, warp_rad: float = np.pi / 2) -> tuple[Sheet, list[Hold]]:
    """Give a welded room its cloth, its air faces and its holds.

    Parameters
    ----------
    welded : Welded
        The mesh.
    cloth : Cloth
        Cloth of all pieces.
    warp_rad : float
        Angle on the flat piece from the x axis to the warp [rad].

    Returns
    -------
    Sheet
        The membrane, as sewn.
    list of Hold
        What holds it.
    """
    double = Cloth(
        2 * cloth.warp_N_per_m,
        2 * cloth.weft_N_per_m,
        2 * cloth.shear_N_per_m,
        cloth.poisson,
        2 * cloth.mass_kg_per_m2,
    )
    air = vent_faces(welded.vents) + _ring_faces(welded.rings)
    sheet = Sheet(
        nodes=welded.nodes,
        triangles=welded.triangles,
        rest=welded.rest,
        cloth=(cloth, double),
        warp_angle=np.full(len(welded.triangles), warp_rad),
        cloth_of=welded.layers - 1,
        air_faces=np.array(air, dtype=np.int64).reshape(-1, 3),
    )
    return sheet, [pin(welded.floor), *(pin(ring) for ring in welded.rings)]


class _Reporter:
    """Turns residuals into the part of the work that is done, never going back."""

    def __init__(self, progress: Callable[[float], None] | None, low: float, high: float):
        self._progress, self._low, self._span, self._done = progress, low, high - low, 0.0
        self._first: float | None = None

    def __call__(self, residual: float) -> None:
        """Take a residual."""
        if self._progress is None or not residual > 0:
            return
        self._first = max(self._first or residual, residual)
        goal = TOLERANCES.equilibrium_ratio
        way = np.log(self._first / goal)
        left = np.log(max(residual, goal) / goal)
        self._done = max(self._done, float(1 - left / way) if way > 0 else 1.0)
        self._progress(self._low + self._span * self._done)


@frozen(eq=False)
class _Level:
    """One mesh of a room and what became of it."""

    welded: Welded
    sheet: Sheet
    form: Inflated

    @property
    def state(self) -> RoomState:
        """What became of the room."""
        risen = self.form.nodes[:, 2].max() >= _LEAST_RISE * self.welded.nodes[:, 2].max()
        state = _STATES[self.form.outcome]
        return RoomState.COLLAPSED if state is RoomState.STANDS and not risen else state

    def forces(self) -> ClothForces | None:
        """Forces in each triangle, if the room stands."""
        stands = self.state is RoomState.STANDS
        return cloth_forces(self.sheet, self.form.nodes, np.pi / 2) if stands else None

    def figures(self) -> RoomFigures | None:
        """Sizes and forces, if the room stands."""
        forces = self.forces()
        if forces is None:
            return None
        return room_figures(self.welded, self.sheet, self.form.nodes, self.form.volume_mm3, forces)


def _level(
    room: FlatRoom,
    size_mm: float,
    cloth: Cloth,
    loads: Loads,
    warp_rad: float,
    coarse: _Level | None,
    watch: Callable[[float], None],
) -> _Level:
    """Find the form of one mesh: from that of a coarser one, else as sewn, else with softer cloth first."""
    welded = weld(room, size_mm)
    sheet, holds = room_sheet(welded, cloth, warp_rad)
    starts = [(sheet, False), (sheet, True)]
    if coarse is not None and coarse.state is RoomState.STANDS:
        carried_over = carried(coarse.welded, coarse.form.nodes, welded)
        starts.insert(0, (evolve(sheet, nodes=carried_over), False))
    for begin, soft in starts:
        form = inflate(begin, loads, holds, soft_start=soft, watch=watch)
        if form.outcome not in (Outcome.NOT_CONVERGED, Outcome.NOT_STABLE):
            break
    return _Level(welded, sheet, form)


def _sizes(room: FlatRoom, size_mm: float) -> list[float]:
    """Sizes of triangles of one mesh after the other, from coarse to fine, two at least."""
    if not size_mm > 0:
        raise ParameterError("size of triangles", f"{size_mm:g} mm", "positive", "take about 100 mm")
    sizes = [_COARSER * size_mm, size_mm]
    while room.area_mm2 / (_EQUILATERAL * sizes[0] ** 2) > _FEW:
        sizes.insert(0, _COARSER * sizes[0])
    return sizes


def whole_room(
    room: FlatRoom,
    cloth: Cloth,
    pressure_Pa: float,
    size_mm: float = 120.0,
    warp_rad: float = np.pi / 2,
    progress: Callable[[float], None] | None = None,
) -> InflatedRoom:
    """Inflate a room from its flat pieces.

    Parameters
    ----------
    room : FlatRoom
        The pieces, what is sewn to what, and where the lines run in the room as sewn.
    cloth : Cloth
        Cloth of all pieces.
    pressure_Pa : float
        Air pressure inside above that outside [Pa].
    size_mm : float
        Side of a triangle where nothing asks for smaller ones [mm]. Coarser meshes are solved
        first.
    warp_rad : float
        Angle on the flat piece from the x axis to the warp [rad]; pieces lie upright.
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
    sizes = _sizes(room, size_mm)
    work = np.cumsum([0.0, *(size**-2 for size in sizes)])
    done = work / work[-1]
    levels: list[_Level] = []
    for size, (low, high) in zip(sizes, pairwise(done), strict=True):
        watch = _Reporter(progress, low, high)
        levels.append(_level(room, size, cloth, loads, warp_rad, levels[-1] if levels else None, watch))
    level = levels[-1]
    fine, form = level.welded, level.form
    figures, forces, drift = level.figures(), level.forces(), {}
    rough = levels[-2].figures()
    if figures is not None and rough is not None:
        was = rough.summary()
        drift = {key: abs(value - was[key]) for key, value in figures.summary().items()}
    names = tuple(dict.fromkeys(fine.sheet_of))
    if progress is not None:
        progress(1.0)
    ends = [form.reactions_N[ring].sum(axis=0) for ring in fine.rings]
    return InflatedRoom(
        state=level.state,
        nodes=form.nodes,
        triangles=fine.triangles,
        sheets=names,
        sheet_of=_numbered(fine, names),
        figures=figures,
        drift=drift,
        residual=form.residual,
        negative_pivots=form.negative_pivots,
        uplift_N=-float(form.reactions_N[fine.floor, 2].sum()),
        sleeve_pull_N=float(np.linalg.norm(np.sum(ends, axis=0))) if ends else 0.0,
        welded=fine,
        forces=forces,
        form=form,
    )

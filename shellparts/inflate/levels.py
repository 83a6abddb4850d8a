"""A room's form on one mesh after the other, each begun from the coarser one before it.

Glossary: a *level* is one mesh of the room with the form that was found for it. On a fine mesh the search from
the room as sewn takes many steps and large matrices; from a coarser level it takes few. This module chooses no
figures to report.
"""

from collections.abc import Callable
from enum import Enum
from functools import cached_property

import numpy as np
from attrs import evolve, frozen

from shellparts.base.errors import ParameterError
from shellparts.base.tolerances import TOLERANCES
from shellparts.inflate.equilibrium import Inflated, Outcome, inflate
from shellparts.inflate.flat_room import FlatRoom
from shellparts.inflate.forces import ClothForces, cloth_forces
from shellparts.inflate.membrane import Membrane
from shellparts.inflate.potential import Loads
from shellparts.inflate.refine import carried
from shellparts.inflate.room_figures import FormFigures, room_figures
from shellparts.inflate.room_mesh import room_sheet
from shellparts.inflate.sheet import MembraneSheet
from shellparts.inflate.weld import weld
from shellparts.inflate.welded import Welded

__all__ = ["Level", "Reporter", "RoomState", "level", "sizes_for", "triangle_size"]

_COARSER = 2.0
"""Triangles of the coarse mesh are larger by this factor."""
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


class Reporter:
    """Turns residuals into the part of the work that is done, never going back.

    Parameters
    ----------
    progress : callable, optional
        Told the share of the whole work that is done.
    low, high : float
        Shares of the whole work at which this part of it begins and ends.
    """

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
class Level:
    """One mesh of a room and what became of it.

    Parameters
    ----------
    welded : Welded
        The mesh.
    sheet : MembraneSheet
        Its membrane.
    form : Inflated
        What the search for its form found.
    """

    welded: Welded
    sheet: MembraneSheet
    form: Inflated

    @property
    def state(self) -> RoomState:
        """What became of the room."""
        risen = self.form.nodes[:, 2].max() >= _LEAST_RISE * self.welded.nodes[:, 2].max()
        state = _STATES[self.form.outcome]
        return RoomState.COLLAPSED if state is RoomState.STANDS and not risen else state

    @cached_property
    def forces(self) -> ClothForces | None:
        """Forces in each triangle, if the room stands."""
        stands = self.state is RoomState.STANDS
        return cloth_forces(self.sheet, self.form.nodes, np.pi / 2) if stands else None

    @cached_property
    def figures(self) -> FormFigures | None:
        """Sizes and forces, if the room stands."""
        if self.forces is None:
            return None
        return room_figures(self.welded, self.sheet, self.form.nodes, self.form.volume_mm3, self.forces)


def level(
    room: FlatRoom,
    size_mm: float,
    cloth: Membrane,
    loads: Loads,
    coarse: Level | None,
    watch: Callable[[float], None],
) -> Level:
    """Find the form of one mesh: from that of a coarser one, else as sewn, else with softer cloth first.

    Parameters
    ----------
    room : FlatRoom
        The pieces.
    size_mm : float
        Side of a triangle [mm].
    cloth : Membrane
        Cloth of all pieces.
    loads : Loads
        Air, weight and floor.
    coarse : Level, optional
        A coarser mesh of the same room.
    watch : callable
        Told the residual before each step.

    Returns
    -------
    Level
    """
    welded = weld(room, size_mm)
    sheet, holds = room_sheet(welded, cloth)
    starts = [(sheet, False), (sheet, True)]
    if coarse is not None and coarse.state is RoomState.STANDS:
        carried_over = carried(coarse.welded, coarse.form.nodes, welded)
        starts.insert(0, (evolve(sheet, nodes=carried_over), False))
    for begin, soft in starts:
        form = inflate(begin, loads, holds, soft_start=soft, watch=watch)
        if form.outcome not in (Outcome.NOT_CONVERGED, Outcome.NOT_STABLE):
            break
    return Level(welded, sheet, form)


def triangle_size(room: FlatRoom, triangles: int) -> float:
    """Find the side of equal triangles that share a room out.

    Parameters
    ----------
    room : FlatRoom
        The pieces.
    triangles : int
        About how many there may be.

    Returns
    -------
    float
        Side of a triangle [mm].
    """
    return float(np.sqrt(room.area_mm2 / triangles * 4.0 / np.sqrt(3.0)))


def sizes_for(room: FlatRoom, size_mm: float) -> list[float]:
    """Choose the sizes of triangles of one mesh after the other, from coarse to fine, two at least.

    Parameters
    ----------
    room : FlatRoom
        The pieces.
    size_mm : float
        Side of a triangle of the finest [mm].

    Returns
    -------
    list of float
        Each half of the one before [mm].

    Raises
    ------
    ParameterError
        If the size is not positive.
    """
    if not size_mm > 0:
        raise ParameterError("size of triangles", f"{size_mm:g} mm", "positive", "take about 100 mm")
    sizes = [_COARSER * size_mm, size_mm]
    while sizes[0] < triangle_size(room, _FEW):
        sizes.insert(0, _COARSER * sizes[0])
    return sizes

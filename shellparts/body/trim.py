"""Panels with the openings that tubes make in them.

A face of a panel is bounded by stretches of two seams and two levels; each may be divided by the nodes of
mouths. What lies inside a tube is left out, the mouths' edges are put in, and the coedges that remain, each
with the face on its left, close into loops by themselves. No boolean is needed, and every edge is shared with
its neighbour from the start.
"""

import itertools
from collections.abc import Callable, Sequence
from functools import partial

import numpy as np
from attrs import frozen
from numpy.typing import NDArray
from shapely import Point, Polygon

from shellparts.base.errors import GeometryError
from shellparts.base.tolerances import TOLERANCES
from shellparts.body.mouth import Mouth
from shellparts.body.pool import Coedge, Node, Pool
from shellparts.body.ring import Ring

__all__ = ["Lattice", "PanelTrimmer", "chain"]

Array = NDArray[np.float64]
#: Where the face beside an edge is looked at: nearer than any two nodes, farther than any curve is off.
_ASIDE_MM = 0.2 * TOLERANCES.same_point_mm


@frozen(eq=False)
class Lattice:
    """The ring's own lines, divided by the nodes of the mouths."""

    seams: dict[tuple[int, int], list[Coedge]]  # Coedges up a seam, by (seam, run)
    #: Coedges counter-clockwise along a panel's stretch of a level, by (panel, level).
    levels: dict[tuple[int, int], list[Coedge]]

    @classmethod
    def of(cls, pool: Pool, ring: Ring, corners: list[list[Node]], mouths: Sequence[Mouth]) -> "Lattice":
        """Divide the lines of `ring` between its `corners`, by seam and level, at the nodes of `mouths`."""
        seams, levels = {}, {}
        for s in range(ring.panels):
            for run in range(ring.runs):
                inner = {n.number: n for mouth in mouths for n in mouth.on_seams.get((s, run), ())}
                path = [corners[s][run], *sorted(inner.values(), key=lambda n: n.at[2]), corners[s][run + 1]]
                seams[s, run] = [ring.seam_link(pool, s, run, a, b) for a, b in itertools.pairwise(path)]
        for k in range(ring.panels):
            for level in range(ring.runs + 1):
                inner = {n.number: n for mouth in mouths for n in mouth.on_levels.get((k, level), ())}
                places = {n.number: float(ring.lateral(k, n.at[None])[0]) for n in inner.values()}
                between = sorted(inner.values(), key=lambda n: places[n.number])
                path = [corners[k][level], *between, corners[(k + 1) % ring.panels][level]]
                levels[k, level] = [pool.line(a, b) for a, b in itertools.pairwise(path)]
        return cls(seams, levels)

    def keys_at(self, level: int) -> frozenset[int]:
        """Keys of all edges on a level."""
        return frozenset(
            coedge.link.key for (_, at), coedges in self.levels.items() if at == level for coedge in coedges
        )


@frozen(eq=False)
class PanelTrimmer:
    """Makes the loops of panel faces."""

    ring: Ring
    lattice: Lattice
    mouths: Sequence[Mouth]

    def loops(self, panel: int, run: int) -> list[list[list[Coedge]]]:
        """Faces that are left of one face of a panel: each its outer loop, then its holes."""
        following = (panel + 1) % self.ring.panels
        border = [
            *self.lattice.levels[panel, run],
            *self.lattice.seams[following, run],
            *(coedge.back for coedge in reversed(self.lattice.levels[panel, run + 1])),
            *(coedge.back for coedge in reversed(self.lattice.seams[panel, run])),
        ]
        rims = [
            edge.coedge.back
            for mouth in self.mouths
            for edge in mouth.edges
            if (edge.panel, edge.run) == (panel, run)
        ]
        if not rims and not self._meets(panel):
            return [[border]]
        beside = [(coedge, self._left_of(panel, run, coedge)) for coedge in border]
        kept = [coedge for coedge, at in beside if not any(mouth.tube.holds(at)[0] for mouth in self.mouths)]
        kept += [coedge for coedge in rims if self._on_face(panel, run, self._left_of(panel, run, coedge))]
        seen = {(coedge.link.key, coedge.forward): coedge for coedge in kept}
        once = [coedge for (key, forward), coedge in seen.items() if (key, not forward) not in seen]
        return self._faces(panel, chain(once, partial(self._turn, panel, run)))

    def _meets(self, panel: int) -> bool:
        """Whether any mouth touches the panel or one of its neighbours."""
        near = {(panel + step) % self.ring.panels for step in (-1, 0, 1)}
        return any(edge.panel in near for mouth in self.mouths for edge in mouth.edges)

    def _normal(self, panel: int, run: int, at: Array) -> Array:
        mid = self.ring.plan.shell.mid
        dr, dz = mid.slope(run, mid.parameter_at(run, np.atleast_1d(at[2])))[0]
        normal = self.ring.outward[panel] * dz - np.array([0.0, 0.0, dr])
        return normal / np.linalg.norm(normal)

    def _left_of(self, panel: int, run: int, coedge: Coedge) -> Array:
        """A point of the surface just left of the middle of a coedge, shape (3,) [mm]."""
        before, middle, after = coedge.sampled(201)[99:102]
        side = np.cross(self._normal(panel, run, middle), after - before)
        return middle + side / np.linalg.norm(side) * _ASIDE_MM

    def _on_face(self, panel: int, run: int, at: Array) -> bool:
        low, high = self.ring.levels[run], self.ring.levels[run + 1]
        wide = float(self.ring.plan.shell.half_width(at[2]))
        return bool(low <= at[2] <= high and abs(self.ring.lateral(panel, at[None])[0]) <= wide)

    def _turn(self, panel: int, run: int, arriving: Coedge, leaving: Coedge) -> float:
        """How far to the left one coedge turns into another on a face [rad]."""
        a, b = arriving.sampled(201)[-2:]
        c, d = leaving.sampled(201)[:2]
        u, v = b - a, d - c
        return float(np.arctan2(self._normal(panel, run, b) @ np.cross(u, v), u @ v))

    def _faces(self, panel: int, loops: list[list[Coedge]]) -> list[list[list[Coedge]]]:
        """Give each hole to the outer loop around it."""
        shapes = [(loop, self._plan(panel, loop)) for loop in loops]
        outers = [(loop, plan) for loop, plan in shapes if _area(plan) > 0]
        faces = [[loop] for loop, _ in outers]
        for loop, plan in shapes:
            if _area(plan) < 0:
                home = [i for i, (_, outer) in enumerate(outers) if Polygon(outer).contains(Point(plan[0]))]
                if len(home) != 1:
                    raise GeometryError(f"an opening in panel {panel + 1} does not lie inside it")
                faces[home[0]].append(loop)
        return faces

    def _plan(self, panel: int, loop: list[Coedge]) -> Array:
        """A loop in (lateral, height), in which panels keep their orientation, shape (n, 2) [mm]."""
        points = np.concatenate([coedge.sampled(2 if coedge.link.straight else 33)[:-1] for coedge in loop])
        return np.column_stack([self.ring.lateral(panel, points), points[:, 2]])


def chain(
    coedges: Sequence[Coedge], turning: Callable[[Coedge, Coedge], float] | None = None
) -> list[list[Coedge]]:
    """Join coedges into closed loops; where several go on, the one that turns most to the left does."""
    leaving: dict[int, list[Coedge]] = {}
    for coedge in coedges:
        leaving.setdefault(coedge.start.number, []).append(coedge)
    loops = []
    for first in coedges:
        if first not in leaving.get(first.start.number, ()):
            continue
        loop = [first]
        leaving[first.start.number].remove(first)
        while loop[-1].end is not first.start:
            onward = leaving.get(loop[-1].end.number, [])
            if not onward:
                raise GeometryError("the edges of a face do not close")
            best = _leftmost(loop[-1], onward, turning)
            onward.remove(best)
            loop.append(best)
        loops.append(loop)
    return loops


def _leftmost(
    arriving: Coedge, onward: Sequence[Coedge], turning: Callable[[Coedge, Coedge], float] | None
) -> Coedge:
    """The coedge that turns most to the left; without `turning` there must be one only."""
    if len(onward) == 1:
        return onward[0]
    if turning is None:
        raise GeometryError(f"boundaries touch at {arriving.end.at.round(1).tolist()}")
    return max(onward, key=lambda coedge: turning(arriving, coedge))


def _area(plan: Array) -> float:
    x, y = plan.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2

"""Hollow spaces, described by how far they reach from an axis at each height and in each direction.

Glossary: a *reach* is a table, a row for each level along the axis and a column for each direction around it. What a
reach holds is one solid by construction, whatever creases the surface has that it was read from: walls of even
thickness come out of it without a boolean or an offset of triangles, which turn over at creases.
"""

import math
from itertools import pairwise

import numpy as np
from attrs import evolve, frozen
from manifold3d import Manifold
from numpy.typing import ArrayLike, NDArray

from shellparts.model.skin import solid

__all__ = ["Reach", "reach_of"]

Floats = NDArray[np.float64]


@frozen(eq=False)
class Reach:
    """How far a space reaches from an axis.

    Parameters
    ----------
    levels : ndarray (n,) float
        Heights along the axis, upward [mm].
    turns : ndarray (m,) float
        Directions, counterclockwise, within one turn [rad].
    reach : ndarray (n, m) float
        Distance from the axis [mm].
    """

    levels: Floats
    turns: Floats
    reach: Floats

    def leaning_at_most(self, lean_rad: float, flat_mm: float = math.inf) -> "Reach":
        """What is left if its ceiling leans no more than so much from the vertical, but for the flat of its last level.

        From above downward, the space may widen by the tangent of the lean for each millimetre: what lies beyond
        is left to the material.

        Parameters
        ----------
        lean_rad : float
            Largest lean [rad].
        flat_mm : float
            Largest reach at the last level [mm]; open above unless given.
        """
        grows, reach = math.tan(lean_rad), self.reach.copy()
        reach[-1] = np.minimum(reach[-1], flat_mm)
        for i in range(len(reach) - 2, -1, -1):
            reach[i] = np.minimum(reach[i], reach[i + 1] + (self.levels[i + 1] - self.levels[i]) * grows)
        return evolve(self, reach=reach)

    def shrunk(self, wall_mm: float) -> "Reach":
        """What is left inside a wall: all points that are a wall's thickness away from its surface.

        The surface is taken at the table's own points, so that it must be finely divided. The ends of the axis are
        no surface.

        Parameters
        ----------
        wall_mm : float
            Thickness [mm].
        """
        rows = math.ceil(wall_mm / float(np.diff(self.levels).min()))
        column = float(np.diff(self.turns).min()) * max(float(np.median(self.reach)), 1e-6)
        columns = min(len(self.turns) // 2 - 1, math.ceil(wall_mm / column) + 1)
        left = self.reach.copy()
        for down in range(-rows, rows + 1):
            there = np.clip(np.arange(len(left)) + down, 0, len(left) - 1)
            rise = (self.levels[there] - self.levels)[:, None]
            for around in range(-columns, columns + 1):
                turn = np.roll(self.turns, -around) - self.turns
                surface = np.roll(self.reach[there], -around, axis=1)
                square = wall_mm**2 - rise**2 - (surface * np.sin(turn)) ** 2
                near = surface * np.cos(turn) - np.sqrt(np.maximum(square, 0.0))
                left = np.where(square > 0.0, np.minimum(left, near), left)
        return evolve(self, reach=np.maximum(left, 0.0))

    def thinned(self, levels: ArrayLike, turns: ArrayLike) -> "Reach":
        """The same at fewer levels and directions, which are among its own; nowhere does it reach farther.

        Parameters
        ----------
        levels : array_like
            Heights [mm].
        turns : array_like
            Directions [rad].
        """
        rows = np.unique(
            np.searchsorted(self.levels, np.asarray(levels) - 1e-6).clip(max=len(self.levels) - 1)
        )
        columns = np.unique(
            np.searchsorted(self.turns, np.asarray(turns) - 1e-9).clip(max=len(self.turns) - 1)
        )
        kept = self.reach[np.ix_(rows, columns)]
        row, up = _between(self.levels, self.levels[rows])
        around = np.append(self.turns[columns], self.turns[columns[0]] + 2.0 * math.pi)
        column, on = _between(
            np.where(self.turns < around[0], self.turns + 2.0 * math.pi, self.turns), around
        )
        closed = np.column_stack([kept, kept[:, :1]])
        along = closed[:, column] * (1.0 - on) + closed[:, column + 1] * on
        beyond = (
            along[row] * (1.0 - up)[:, None]
            + along[np.minimum(row + 1, len(rows) - 1)] * up[:, None]
            - self.reach
        )
        beyond[self.levels > self.levels[rows[-1]]] = 0.0
        back = np.zeros_like(closed)
        for i in (row, np.minimum(row + 1, len(rows) - 1)):
            for j in (column, column + 1):
                np.maximum.at(back, (i[:, None], j[None, :]), beyond)
        back[:, 0] = np.maximum(back[:, 0], back[:, -1])
        return Reach(self.levels[rows], self.turns[columns], np.maximum(kept - back[:, :-1], 0.0))

    def solid(self, below: float, above: float = 0.0) -> Manifold:
        """The space as a solid, drawn out by so much beyond its first and its last level [mm].

        It ends at the first level without any reach.
        """
        open_rows = self.reach.max(axis=1) > 1e-3
        rows = len(open_rows) if open_rows.all() else int(np.argmin(open_rows))
        levels, reach = self.levels[:rows], np.maximum(self.reach[:rows], 1e-3)
        levels = np.concatenate([levels[:1] - below, levels])
        reach = np.vstack([reach[:1], reach])
        if above > 0.0:
            levels, reach = np.append(levels, levels[-1] + above), np.vstack([reach, reach[-1:]])
        out = np.column_stack([np.cos(self.turns), np.sin(self.turns)])
        rings = [
            np.column_stack([r[:, None] * out, np.full(len(out), z)])
            for z, r in zip(levels, reach, strict=True)
        ]
        last = levels[-1] if above > 0.0 or rows == len(open_rows) else self.levels[rows]
        nodes = np.vstack([*rings, [[0.0, 0.0, levels[0]], [0.0, 0.0, last]]])
        around, faces = len(out), []
        j = np.arange(around)
        k = (j + 1) % around
        for low, high in pairwise(range(0, around * len(rings), around)):
            faces += [
                np.column_stack([low + j, low + k, high + k]),
                np.column_stack([low + j, high + k, high + j]),
            ]
        top = around * (len(rings) - 1)
        faces += [
            np.column_stack([k, j, np.full(around, len(nodes) - 2)]),
            np.column_stack([top + j, top + k, np.full(around, len(nodes) - 1)]),
        ]
        return solid(nodes, np.vstack(faces))


def reach_of(body: Manifold, levels: Floats, turns: Floats) -> Reach:
    """Read from a solid how far it reaches from the z axis.

    Parameters
    ----------
    body : Manifold
        The axis runs inside it at all levels.
    levels : ndarray (n,) float
        Heights [mm], upward.
    turns : ndarray (m,) float
        Directions [rad].

    Returns
    -------
    Reach
        To the first surface, where there are several.
    """
    table = np.zeros((len(levels), len(turns)))
    for row, level in enumerate(levels):
        rings = [np.asarray(ring, float) for ring in body.slice(float(level)).to_polygons()]
        found = [_across(ring, turns) for ring in rings if len(ring) > 2]
        if found:
            table[row] = np.min(found, axis=0)
    table[~np.isfinite(table)] = 0.0
    return Reach(np.asarray(levels, float), np.asarray(turns, float), table)


def _across(ring: Floats, turns: Floats) -> Floats:
    """Distance from the origin to a ring in each direction; infinite where the ring is not met."""
    out = np.column_stack([np.cos(turns), np.sin(turns)])
    start, end = ring, np.roll(ring, -1, axis=0)
    angle = np.arctan2(ring[:, 1], ring[:, 0])
    steps = np.mod(np.diff(angle, append=angle[0]) + math.pi, 2.0 * math.pi) - math.pi
    if steps.min() > 0.0 and abs(steps.sum() - 2.0 * math.pi) < 1e-6:  # seen from the origin all of it
        first = int(np.argmin(angle))
        order = np.roll(np.arange(len(ring)), -first)
        which = order[
            np.searchsorted(angle[order], np.mod(turns + math.pi, 2.0 * math.pi) - math.pi, "right") - 1
        ]
        start, step = start[which], (end - start)[which]
        return (start[:, 0] * step[:, 1] - start[:, 1] * step[:, 0]) / (
            out[:, 0] * step[:, 1] - out[:, 1] * step[:, 0]
        )
    before = out[:, :1] * start[:, 1] - out[:, 1:] * start[:, 0]
    after = out[:, :1] * end[:, 1] - out[:, 1:] * end[:, 0]
    crosses = (before > 0.0) != (after > 0.0)
    share = before / np.where(crosses, before - after, 1.0)
    distance = (start @ out.T).T + share * ((end - start) @ out.T).T
    return np.where(crosses & (distance > 0.0), distance, np.inf).min(axis=1)


def _between(values: Floats, marks: Floats) -> tuple[NDArray[np.int64], Floats]:
    """For each value the mark before it, and how far it is on the way to the next as a share."""
    before = np.clip(np.searchsorted(marks, values + 1e-9) - 1, 0, max(len(marks) - 2, 0))
    after = np.minimum(before + 1, len(marks) - 1)
    width = marks[after] - marks[before]
    share = np.where(width > 0.0, (values - marks[before]) / np.where(width > 0.0, width, 1.0), 0.0)
    return before, np.clip(share, 0.0, 1.0)

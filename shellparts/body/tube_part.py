"""Tubes: a section swept along a straight line, from inside the shell to an outer end.

The doorway tunnel and the fan sleeve are both tubes. A tube knows its own air, and nothing of the shell it
goes through.
"""

from collections.abc import Callable

import numpy as np
from attrs import frozen
from numpy.typing import ArrayLike, NDArray
from OCP.Geom import Geom_Surface

from shellparts.body.kernel import Chart, cylinder, plane
from shellparts.body.section import Stretch
from shellparts.parameters.choices import PartKind

__all__ = ["Tube"]

Array = NDArray[np.float64]


@frozen(eq=False)
class Tube:
    """A tube.

    Parameters
    ----------
    name : str
        Of its sheet.
    kind : PartKind
        What it is for.
    section : tuple of Stretch
        Its cross-section, counter-clockwise around the air seen from the outer end.
    closed : bool
        Whether the section closes on itself; otherwise the floor closes it.
    origin : ndarray
        Where (0, 0) of the section is at distance 0, shape (3,) [mm].
    axes : ndarray
        Unit vectors sideways, upward and along, shape (3, 3), right-handed.
    start, end : float
        Distances of the room's axis and of the outer end [mm]; where the tube really starts is for the body
        to find.
    covers : callable
        Takes section coordinates, shape (n, 2) [mm], and tells which are strictly inside; the floor itself
        counts.
    """

    name: str
    kind: PartKind
    section: tuple[Stretch, ...]
    closed: bool
    origin: Array
    axes: Array
    start: float
    end: float
    covers: Callable[[Array], NDArray[np.bool_]]

    def lift(self, section: ArrayLike, along: ArrayLike) -> Array:
        """Points in space from section coordinates, shape (n, 2), and distances, shape (n,) [mm]."""
        q, t = np.atleast_2d(np.asarray(section, float)), np.atleast_1d(np.asarray(along, float))
        local = np.column_stack(
            [np.broadcast_to(q, (max(len(q), len(t)), 2)), np.broadcast_to(t, max(len(q), len(t)))]
        )
        return self.origin + local @ self.axes

    def local(self, points: ArrayLike) -> Array:
        """Section coordinates and distance of points in space, shape (n, 3) [mm]."""
        return (np.atleast_2d(np.asarray(points, float)) - self.origin) @ self.axes.T

    def holds(self, points: ArrayLike) -> NDArray[np.bool_]:
        """Whether points, shape (n, 3) [mm], are strictly inside the tube, between its start and end."""
        local = self.local(points)
        return self.covers(local[:, :2]) & (local[:, 2] < self.end) & (local[:, 2] > self.start)

    def surface(self, stretch: Stretch) -> Geom_Surface | Chart:
        """The outward surface of one stretch."""
        if stretch.centre is None:
            normal = np.append(stretch.outward, 0.0) @ self.axes
            return plane(self.lift(stretch.start, 0.0)[0], normal)
        centre = np.array(stretch.centre)

        def parameters(points: Array) -> Array:
            local = self.local(points)
            angle = np.arctan2(local[:, 1] - centre[1], local[:, 0] - centre[0])
            middle = (stretch.first + stretch.last) / 2
            angle += 2 * np.pi * np.round((middle - angle) / (2 * np.pi))
            return np.column_stack([angle, local[:, 2]])

        surface = cylinder(self.lift(centre, 0.0)[0], self.axes[2], self.axes[0], stretch.radius)
        return Chart(surface, parameters, (stretch.radius, 1.0))

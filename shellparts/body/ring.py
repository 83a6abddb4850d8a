"""The ring of panels as exact geometry: seams, levels and the surface of every panel.

Glossary: *levels* are the ends of the profile's runs, from the floor up. A panel has one face between each
two levels. It is ruled straight across from seam to seam: the mid-line swept level and trimmed by the two
upright planes through its seams, so it can be laid flat exactly, whatever its profile. Seam `s` stands
between the panels `s - 1` and `s`, both counted from 0. *Lateral* is the distance from the panel's middle
plane, counter-clockwise seen from above.
"""

import numpy as np
from attrs import frozen
from numpy.typing import NDArray
from OCP.Geom import Geom_Surface

from shellparts.body.kernel import Chart, plane, run_curve, swept
from shellparts.body.pool import Coedge, Node, Pool
from shellparts.parameters.opening import Floorplan
from shellparts.parameters.profile import LineRun

__all__ = ["Ring"]

Array = NDArray[np.float64]


@frozen(eq=False)
class Ring:
    """The panels of a room, counted from 0."""

    plan: Floorplan
    outward: Array  # Level unit vectors through the panels' middles, shape (panels, 3)
    seam_outward: Array  # Level unit vectors through the seams, shape (panels, 3)

    @classmethod
    def of(cls, plan: Floorplan) -> "Ring":
        """The ring of a shell as it stands."""

        def around(azimuths: Array) -> Array:
            vectors = np.column_stack([np.cos(azimuths), np.sin(azimuths), np.zeros(len(azimuths))])
            vectors[np.abs(vectors) < 1e-15] = 0.0
            return vectors

        return cls(plan, around(plan.azimuths), around(plan.azimuths - plan.shell.half_angle))

    @property
    def panels(self) -> int:
        """Number of panels."""
        return len(self.outward)

    @property
    def runs(self) -> int:
        """Number of faces of a whole panel."""
        return len(self.plan.shell.mid.runs)

    @property
    def levels(self) -> Array:
        """Heights of the levels, shape (runs + 1,) [mm]."""
        return self.plan.shell.mid.breaks[:, 1]

    def corner(self, seam: int, level: int) -> Array:
        """Where a seam crosses a level, shape (3,) [mm]."""
        radius, height = self.plan.shell.seam.breaks[level]
        return self.seam_outward[seam % self.panels] * radius + np.array([0.0, 0.0, height])

    def lateral(self, panel: int, points: Array) -> Array:
        """Lateral positions of points in space, shape (n,) [mm]."""
        out = self.outward[panel]
        return points @ np.array([-out[1], out[0], 0.0])

    def seam_link(self, pool: Pool, seam: int, run: int, a: Node, b: Node) -> Coedge:
        """The stretch of a seam between two nodes on it, within one run."""
        profile, out = self.plan.shell.seam, self.seam_outward[seam]
        known, first, last = run_curve(profile.runs[run], profile.stretch, out)
        if known is None:
            return pool.line(a, b)
        low, high = (profile.parameter_at(run, np.array([node.at[2]]))[0] for node in (a, b))

        def curve(t: Array) -> Array:
            points = profile.points(run, (np.asarray(t, float) - first) / (last - first))
            return np.multiply.outer(points[..., 0], out) + np.multiply.outer(points[..., 1], [0.0, 0.0, 1.0])

        start, end = (first + t * (last - first) for t in (low, high))
        return pool.curve(a, b, start, end, curve, known)

    def surface(self, panel: int, run: int) -> Geom_Surface | Chart:
        """The outward surface of one face of a panel."""
        mid, out = self.plan.shell.mid, self.outward[panel]
        shape = mid.runs[run]
        if isinstance(shape, LineRun):
            (r0, z0), (r1, z1) = mid.points(run, np.array([0.0, 1.0]))
            return plane(out * r0 + np.array([0.0, 0.0, z0]), out * (z1 - z0) + np.array([0.0, 0.0, r0 - r1]))
        _, first, last = run_curve(shape, mid.stretch, out)

        def parameters(points: Array) -> Array:
            t = mid.parameter_at(run, points[:, 2])
            return np.column_stack([first + t * (last - first), -self.lateral(panel, points)])

        scale = mid.run_length(run) / abs(last - first)
        return Chart(swept(shape, mid.stretch, out), parameters, (2 * scale, 1.0))

"""One panel of a round room between two mirror planes: the inflated room at the price of half a panel.

Glossary: the *mid-line* runs up the middle of a panel from the floor; at each *station* on it the panel's
half width, and its radius and height as sewn, are given. The *seam plane* holds the room's axis and a seam;
it and the plane through the axis and the mid-line are mirrors, as long as nothing (a doorway) breaks the
symmetry. The *cap* is the flat many-sided piece that closes the top, if the panels do not meet in a point.

This module knows nothing of doorways, seam allowances or where the pattern comes from.
"""

from collections.abc import Mapping

import numpy as np
from attrs import frozen
from numpy.typing import ArrayLike, NDArray
from scipy.spatial import cKDTree

from shellparts.base.names import Named
from shellparts.inflate.equilibrium import Inflated, Outcome, inflate
from shellparts.inflate.forces import ClothForces, cloth_forces, patch_mean
from shellparts.inflate.holds import Hold, on_plane, pin
from shellparts.inflate.membrane import Membrane
from shellparts.inflate.panel_mesh import RestMesh, mesh_half_panel
from shellparts.inflate.potential import Loads
from shellparts.inflate.sheet import MembraneSheet

__all__ = ["InflatedPanel", "half_panel"]

Floats = NDArray[np.float64]

_PATCH_MM = 50.0
"""Forces are means over patches of this radius, a hand's breadth across."""
_EDGE_MM = 150.0
"""Largest forces are looked for this far from the held edge and the top."""


@frozen(eq=False)
class InflatedPanel:
    """A round room as inflated, from half a panel of it.

    Parameters
    ----------
    outcome : Outcome
        How the search ended; the figures are only worth reading if it is `CONVERGED`.
    height_mm : float
        Highest point [mm].
    volume_m3 : float
        Air in the whole room [m^3].
    widest_diameter_mm : float
        Diameter of the upright cylinder round it all [mm].
    panel_bulge_mm : float
        How far the mid-line stands out of the straight line between the seams, where it does most [mm].
    max_hoop_N_per_m : float
        Largest force across the panel, as a mean over a hand's breadth, 150 mm or more from the floor and
        the top [N/m].
    max_meridian_N_per_m : float
        Largest force along the panel, the same way [N/m].
    wrinkled_fraction : float
        Share of the cloth that is wrinkled or slack [-].
    residual : float
        Forces left over as a share of the air's [-].
    triangles : int
        Triangles of the half panel and its part of the cap.
    uplift_N : float
        Pull of the whole room's cloth on what holds its lower edge down [N].
    form : Inflated
        The search's own report, with the nodes.
    mesh : RestMesh
        The mesh, with the flat triangles.
    forces : ClothForces
        Forces in each triangle, along and across the panel.
    """

    outcome: Outcome
    height_mm: float
    volume_m3: float
    widest_diameter_mm: float
    panel_bulge_mm: float
    max_hoop_N_per_m: float
    max_meridian_N_per_m: float
    wrinkled_fraction: float
    residual: float
    triangles: int
    uplift_N: float
    form: Inflated
    mesh: RestMesh
    forces: ClothForces

    def summary(self) -> Mapping[str, float | int]:
        """Figures by name, as a run's summary shows them."""
        names = (
            "height_mm",
            "volume_m3",
            "widest_diameter_mm",
            "panel_bulge_mm",
            "max_hoop_N_per_m",
            "max_meridian_N_per_m",
            "wrinkled_fraction",
            "triangles",
            "residual",
        )
        return Named("figure", {name: getattr(self, name) for name in names})


def _panel_holds(mesh: RestMesh, panels: int) -> list[Hold]:
    """Mirror planes, and the whole lower edge pinned where it was sewn for."""
    angle = np.pi / panels
    return [
        on_plane(mesh.edges["middle"], [0, 1, 0]),
        on_plane(mesh.edges["seam"], [-np.sin(angle), np.cos(angle), 0]),
        pin(mesh.edges["base"]),
    ]


def _bulge(mesh: RestMesh, nodes: Floats, panels: int) -> float:
    """Largest distance of the mid-line from the seams' line, both seen in the mid-line's plane."""
    rows = mesh.edges["rows"]
    seam, middle = nodes[mesh.edges["seam"][rows]], nodes[mesh.edges["middle"][rows]]
    line = seam[:, [0, 2]]
    points = middle[:, [0, 2]]
    a, b = line[:-1], line[1:]
    d = b - a
    reach = np.einsum("pki,ki->pk", points[:, None] - a, d) / np.maximum(np.einsum("ki,ki->k", d, d), 1e-300)
    nearest = a + np.clip(reach, 0, 1)[..., None] * d
    return float(np.linalg.norm(points[:, None] - nearest, axis=-1).min(axis=1).max())


def _largest(sheet: MembraneSheet, mesh: RestMesh, values: Floats) -> float:
    """Largest mean over a patch, away from the held edge and the top: there no mesh is fine enough."""
    length = float(np.ptp(mesh.nodes[mesh.edges["seam"]], axis=0).max())
    patch, edge = min(_PATCH_MM, 0.02 * length), min(_EDGE_MM, 0.05 * length)
    middles = sheet.nodes[sheet.triangles].mean(axis=1)
    ends = sheet.nodes[np.concatenate([mesh.edges["base"], mesh.edges["top"]])]
    inside = cKDTree(ends).query(middles)[0] > edge
    return float(patch_mean(sheet, values, patch)[inside].max())


def half_panel(
    stations: ArrayLike,
    panels: int,
    cloth: Membrane,
    loads: Loads,
    triangles: int = 1500,
) -> InflatedPanel:
    """Inflate a round room by half a panel of it.

    Parameters
    ----------
    stations : array_like (k, 4) float
        From the floor up: distance along the mid-line, half width, radius and height of the mid-line as
        sewn [mm]; see `mesh_half_panel`.
    panels : int
        Panels round the room.
    cloth : Membrane
        Cloth of panels and cap, its warp along the panel.
    loads : Loads
        Air and weight.
    triangles : int
        About how many triangles to use.

    Returns
    -------
    InflatedPanel
        Figures of the whole room, and how the search ended.

    Raises
    ------
    ParameterError
        If the stations make no panel.

    Examples
    --------
    Twelve straight panels, 1.5 m of wall and 2.5 m of roof under a cap, in cloth of 0.2 kg/m2 at 60 Pa:

    >>> import numpy as np
    >>> from shellparts.inflate import Membrane, Loads, half_panel
    >>> t = np.tan(np.pi / 12)
    >>> stations = [(0, 2200 * t, 2200, 0), (1500, 2200 * t, 2200, 1500), (4000, 200 * t, 200, 3000)]
    >>> room = half_panel(stations, 12, Membrane(150e3, 120e3, 8e3, 0.2, 0.2), Loads(60), triangles=300)
    >>> room.outcome.name, room.height_mm > 3000
    ('CONVERGED', True)
    """
    mesh = mesh_half_panel(stations, panels, triangles)
    sheet: MembraneSheet = mesh.sheet(cloth, np.full(len(mesh.triangles), np.pi / 2))
    holds = _panel_holds(mesh, panels)
    form = inflate(sheet, loads, holds, soft_start=False)
    if form.outcome in (Outcome.NOT_CONVERGED, Outcome.NOT_STABLE):
        form = inflate(sheet, loads, holds)
    x = form.nodes
    forces = cloth_forces(sheet, x, np.pi / 2)
    sewn_height = float(mesh.nodes[:, 2].max())
    outcome = form.outcome
    height = float(x[:, 2].max())
    if outcome is Outcome.CONVERGED and height < sewn_height / 2:
        outcome = Outcome.COLLAPSED
    return InflatedPanel(
        outcome=outcome,
        height_mm=height,
        volume_m3=2 * panels * form.volume_mm3 * 1e-9,
        widest_diameter_mm=2 * float(np.hypot(x[:, 0], x[:, 1]).max()),
        panel_bulge_mm=_bulge(mesh, x, panels),
        max_hoop_N_per_m=_largest(sheet, mesh, forces.across_N_per_m),
        max_meridian_N_per_m=_largest(sheet, mesh, forces.along_N_per_m),
        wrinkled_fraction=forces.wrinkled_fraction,
        residual=form.residual,
        triangles=len(mesh.triangles),
        uplift_N=-2 * panels * float(form.reactions_N[mesh.edges["base"], 2].sum()),
        form=form,
        mesh=mesh,
        forces=forces,
    )

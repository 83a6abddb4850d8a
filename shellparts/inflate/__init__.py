"""The form that the cloth really takes under air: a membrane solver for flat pieces sewn together.

A `Sheet` is flat triangles that share nodes in space; `Loads` act on it, holds (`pin`, `on_plane`) keep it,
and `inflate` finds where it comes to rest and says honestly if it does not. `half_panel` does all this for
one panel of a room.

Nothing here needs the geometry kernel.
"""

from shellparts.inflate.cloth import Cloth
from shellparts.inflate.equilibrium import Inflated, Outcome, inflate
from shellparts.inflate.forces import ClothForces, cloth_forces, patch_mean
from shellparts.inflate.holds import Hold, on_plane, pin
from shellparts.inflate.meshes import Mesh, polar_disc, revolved_sector, sphere_octant, tube_sector, wedge
from shellparts.inflate.panel import BaseHold, InflatedPanel, half_panel, mesh_half_panel
from shellparts.inflate.potential import Loads
from shellparts.inflate.sheet import Sheet, flat_rest
from shellparts.inflate.tension import ClothState

__all__ = [
    "BaseHold",
    "Cloth",
    "ClothForces",
    "ClothState",
    "Hold",
    "Inflated",
    "InflatedPanel",
    "Loads",
    "Mesh",
    "Outcome",
    "Sheet",
    "cloth_forces",
    "flat_rest",
    "half_panel",
    "inflate",
    "mesh_half_panel",
    "on_plane",
    "patch_mean",
    "pin",
    "polar_disc",
    "revolved_sector",
    "sphere_octant",
    "tube_sector",
    "wedge",
]

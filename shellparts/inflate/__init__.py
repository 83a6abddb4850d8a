"""The form that the cloth really takes under air: a membrane solver for flat pieces sewn together.

A `MembraneSheet` is flat triangles that share nodes in space; `Loads` act on it, holds (`pin`, `on_plane`) keep it,
and `inflate` finds where it comes to rest and says honestly if it does not. `half_panel` does all this for
one panel of a room, `whole_room` for all of it.

Nothing here needs the geometry kernel.
"""

from shellparts.inflate.equilibrium import Inflated, Outcome, inflate
from shellparts.inflate.flat_mesh import FlatMesh, mesh_flat
from shellparts.inflate.flat_room import FlatLine, FlatRoom, FlatSheet, flat_room
from shellparts.inflate.forces import ClothForces, cloth_forces, patch_mean
from shellparts.inflate.holds import Hold, on_plane, pin
from shellparts.inflate.levels import RoomState
from shellparts.inflate.membrane import Membrane
from shellparts.inflate.panel import InflatedPanel, half_panel
from shellparts.inflate.panel_mesh import mesh_half_panel
from shellparts.inflate.potential import Loads
from shellparts.inflate.room_figures import FarPanel, FormFigures
from shellparts.inflate.sheet import MembraneSheet, flat_rest
from shellparts.inflate.standing import CurveEnd, StandingCurve
from shellparts.inflate.standing_search import SagLimits, standing_curve
from shellparts.inflate.tension import ClothState
from shellparts.inflate.weld import weld
from shellparts.inflate.welded import Weld, Welded
from shellparts.inflate.whole_room import InflatedRoom, whole_room

__all__ = [
    "ClothForces",
    "ClothState",
    "CurveEnd",
    "FarPanel",
    "FlatLine",
    "FlatMesh",
    "FlatRoom",
    "FlatSheet",
    "FormFigures",
    "Hold",
    "Inflated",
    "InflatedPanel",
    "InflatedRoom",
    "Loads",
    "Membrane",
    "MembraneSheet",
    "Outcome",
    "RoomState",
    "SagLimits",
    "StandingCurve",
    "Weld",
    "Welded",
    "cloth_forces",
    "flat_rest",
    "flat_room",
    "half_panel",
    "inflate",
    "mesh_flat",
    "mesh_half_panel",
    "on_plane",
    "patch_mean",
    "pin",
    "standing_curve",
    "weld",
    "whole_room",
]

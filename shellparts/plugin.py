"""Methods for CadQuery's Workplane, added only when asked. Nothing changes in CadQuery until `register` is called."""

import cadquery as cq

from shellparts.base.units import Length
from shellparts.parameters import Design
from shellparts.unroll.flat_face import laid_flat, outline_face

__all__ = ["outline_face", "register"]


def _cloth_room(self: cq.Workplane, design: Design) -> cq.Workplane:
    """Put the sewn envelope of a design on the stack, standing in this workplane: its floor, its origin, its x."""
    from shellparts.build.room import build

    return self.newObject([build(design).envelope.moved(self.plane.location)])


def _laid_flat(self: cq.Workplane, gap: Length = 20.0) -> cq.Workplane:
    """Lay the faces of what is on the stack flat in this workplane, side by side along its x, `gap` apart [mm]."""
    return self.newObject([face.moved(self.plane.location) for face in laid_flat(self, gap)])


def register() -> None:
    """Add the methods ``clothRoom`` and ``laidFlat`` to `cadquery.Workplane`.

    ``Workplane().clothRoom(design)`` gives the sewn envelope of a design; ``workplane.laidFlat()`` lays the developable
    faces of what is on the stack flat beside each other: faces, or those of solids. Both in the workplane's own plane.
    """
    cq.Workplane.clothRoom = _cloth_room
    cq.Workplane.laidFlat = _laid_flat

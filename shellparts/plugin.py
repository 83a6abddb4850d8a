"""CadQuery's side: shapes for viewers, and methods for Workplane, added only when asked.

Nothing changes in CadQuery until `register` is called.
"""

import cadquery as cq

from shellparts.parameters import Design
from shellparts.unroll import Outline, unroll_face
from shellparts.unroll.outline import FlatEdge, Form

__all__ = ["outline_face", "register"]


def _edges(flat: FlatEdge) -> list[cq.Edge]:
    """A flat edge as CadQuery edges: two for an arc, which may be a whole circle, else one."""
    if flat.form is Form.LINE:
        return [cq.Edge.makeLine(cq.Vector(*flat.start), cq.Vector(*flat.end))]
    if flat.form is Form.ARC:
        a, b, c, d, e = (cq.Vector(*p) for p in flat.at([flat.length_mm * i / 4 for i in range(5)]))
        return [cq.Edge.makeThreePointArc(a, b, c), cq.Edge.makeThreePointArc(c, d, e)]
    return [cq.Edge.makeSpline([cq.Vector(*p) for p in flat.polyline(0.01)])]


def outline_face(outline: Outline) -> cq.Face:
    """Make a flat CadQuery face of an outline, in the xy plane."""
    wires = [
        cq.Wire.assembleEdges([part for edge in loop.edges for part in _edges(edge)])
        for loop in outline.loops
    ]
    return cq.Face.makeFromWires(wires[0], wires[1:])


def _cloth_room(self: cq.Workplane, design: Design) -> cq.Workplane:
    """Put the sewn envelope of a design on the stack, as one solid."""
    from shellparts.build.room import build

    return self.newObject([cq.Shape.cast(build(design).body.envelope)])


def _laid_flat(self: cq.Workplane, gap: float = 20.0) -> cq.Workplane:
    """Lay the faces on the stack flat, side by side along x, `gap` apart [mm]."""
    flat: list[cq.Shape] = []
    x = 0.0
    for item in self.vals():
        face = outline_face(unroll_face(item))
        box = face.BoundingBox()
        flat.append(face.translate(cq.Vector(x - box.xmin, -box.ymin, 0.0)))
        x += box.xlen + gap
    return self.newObject(flat)


def register() -> None:
    """Add the methods ``clothRoom`` and ``laidFlat`` to `cadquery.Workplane`.

    ``Workplane().clothRoom(design)`` gives the sewn envelope of a design; ``workplane.faces(…).laidFlat()``
    lays developable faces flat beside each other.
    """
    cq.Workplane.clothRoom = _cloth_room
    cq.Workplane.laidFlat = _laid_flat

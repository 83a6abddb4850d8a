"""CadQuery's objects in, CadQuery's objects out: shapes laid flat as faces, and outlines as faces.

This module knows nothing of rooms: any shape will do.
"""

from collections.abc import Iterable, Sequence
from typing import Any, TypeAlias

import cadquery as cq
import numpy as np
from numpy.typing import NDArray

from shellparts.base.checks import at_least
from shellparts.base.errors import ParameterError, UnrollError
from shellparts.base.units import Length, to_mm
from shellparts.unroll.face import unroll_face
from shellparts.unroll.flat_edge import FlatEdge, Form
from shellparts.unroll.outline import Outline

__all__ = ["CadObject", "faces_of", "laid_flat", "outline_face", "outline_sketch", "ring_sketch"]

#: What faces can be taken from.
CadObject: TypeAlias = cq.Shape | cq.Workplane | cq.Sketch | cq.Assembly
#: How near the chords of a curve without a simple form lie to it [mm].
_SAGITTA_MM = 0.01


def faces_of(given: CadObject | Iterable[CadObject]) -> list[cq.Face]:
    """Every face of what CadQuery gives, each once, in its order.

    Parameters
    ----------
    given : cadquery.Shape, Workplane, Sketch, Assembly, or several of them
        A face, a shell, a solid, a compound; what is on the stack of a workplane; the faces of a sketch; the parts
        of an assembly in their places.

    Returns
    -------
    list of cadquery.Face

    Raises
    ------
    ParameterError
        If it is none of these, or has no face.
    """
    faces = [face for shape in _shapes(given) for face in shape.Faces()]
    if not faces:
        raise ParameterError(
            "shape to lay flat", _told(given), "one that has faces", "give a face or a solid"
        )
    return list(dict.fromkeys(faces))


def _shapes(given: Any) -> list[cq.Shape]:
    """The shapes in whatever holds them."""
    if isinstance(given, cq.Shape):
        return [given]
    if isinstance(given, cq.Assembly):
        return [given.toCompound()]
    if isinstance(given, cq.Workplane):
        return [one for one in given.vals() if isinstance(one, cq.Shape)]
    if isinstance(given, cq.Sketch):
        return list(given.faces().vals())
    if isinstance(given, Iterable) and not isinstance(given, str | bytes | dict):
        return [shape for one in given for shape in _shapes(one)]
    raise ParameterError(
        "shape to lay flat",
        _told(given),
        "a Shape, Workplane, Sketch or Assembly of CadQuery, or a list of them",
        "for a file use cadquery.importers.importStep, or the command 'shellparts unroll'",
    )


def _told(given: Any) -> str:
    told = repr(given)
    return told if len(told) <= 60 else f"{told[:60]}…"


def laid_flat(given: CadObject | Iterable[CadObject], gap: Length = 20.0) -> list[cq.Face]:
    """Lay every face of a shape flat in the xy plane, each by itself, side by side along x.

    A piece of cloth with a fold is several faces: ``room.flat("panel")`` has it whole.

    Parameters
    ----------
    given : cadquery.Shape, Workplane, Sketch, Assembly, or several of them
        A face, a shell, a solid, a compound; what is on the stack of a workplane; the faces of a sketch; the parts
        of an assembly in their places.
    gap : float or str
        From each flat face to the next [mm].

    Returns
    -------
    list of cadquery.Face
        One for each face, seen from outside; all of them stand on y = 0.

    Raises
    ------
    ParameterError
        If it is no shape, or the gap no length.
    UnrollError
        If a face cannot be laid flat; the message says which, why, and which others cannot. None is left out in
        silence.

    Examples
    --------
    >>> [round(face.Area(), 3) for face in laid_flat(cq.Solid.makeCylinder(10, 5).faces("%CYLINDER"))]
    [314.159]
    """
    apart = to_mm(gap, "gap")
    at_least("gap", apart, 0.0, "", "write a length such as '20 mm'")
    flat: list[cq.Face] = []
    x = 0.0
    faces = faces_of(given)
    for outline in _outlines(faces):
        face = outline_face(outline)
        box = face.BoundingBox()
        flat.append(face.translate(cq.Vector(x - box.xmin, -box.ymin, 0.0)))
        x += box.xlen + apart
    return flat


def _outlines(faces: Sequence[cq.Face]) -> list[Outline]:
    """Outlines of all faces, or one error that tells of each that has none."""
    found: list[Outline] = []
    refused: dict[int, UnrollError] = {}
    for number, face in enumerate(faces):
        try:
            found.append(unroll_face(face))
        except UnrollError as error:
            refused[number] = error
    if refused:
        (first, why), *others = refused.items()
        also = ", ".join(str(number) for number, _ in others)
        more = f"; nor can {'face' if len(others) == 1 else 'faces'} {also} be laid flat" if also else ""
        left = "leave these out" if others else "leave it out"
        reason = f"Face {first} of {len(faces)}, counted from 0: {why.reason}{more}"
        raise UnrollError(reason, f"{left}, or {why.remedy}; survey(shape) tells which faces can") from why
    return found


def _edges(flat: FlatEdge, start: cq.Vector, end: cq.Vector) -> list[cq.Edge]:
    """A flat edge as CadQuery edges between two corners: two for an arc, which may be a whole circle, else one."""
    if flat.form is Form.LINE:
        return [cq.Edge.makeLine(start, end)]
    if flat.form is Form.ARC:
        b, c, d = (cq.Vector(*p) for p in flat.at([flat.length_mm * i / 4 for i in (1, 2, 3)]))
        return [cq.Edge.makeThreePointArc(start, b, c), cq.Edge.makeThreePointArc(c, d, end)]
    inner = flat.polyline(_SAGITTA_MM)[1:-1]
    return [cq.Edge.makeSpline([start, *(cq.Vector(*p) for p in inner), end])]


def _wire(loop: Sequence[FlatEdge]) -> cq.Wire:
    """A closed wire. Laid flat, edges meet within the closure that is told, which the kernel takes for a gap."""
    corners = [cq.Vector(*edge.start) for edge in loop]
    ends = [*corners[1:], corners[0]]
    sides = zip(loop, corners, ends, strict=True)
    return cq.Wire.assembleEdges([part for edge, start, end in sides for part in _edges(edge, start, end)])


def outline_face(outline: Outline) -> cq.Face:
    """Make a flat CadQuery face of an outline, in the xy plane."""
    wires = [_wire(loop.edges) for loop in outline.loops]
    return cq.Face.makeFromWires(wires[0], wires[1:])


def outline_sketch(outline: Outline) -> cq.Sketch:
    """Make a sketch of an outline: ``Workplane().placeSketch(sketch).extrude(3)`` is a template of board."""
    return cq.Sketch().face(outline_face(outline))


def ring_sketch(rings: Sequence[NDArray[np.float64]]) -> cq.Sketch:
    """Make a sketch of closed rings of straight lines, each shape (n, 2) [mm]: the outer one, then holes."""
    wires = [cq.Wire.makePolygon([cq.Vector(*point) for point in ring], close=True) for ring in rings]
    return cq.Sketch().face(cq.Face.makeFromWires(wires[0], wires[1:]))

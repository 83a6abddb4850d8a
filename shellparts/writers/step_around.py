"""What stands around a room for the eye: the floor inside it, plain people for the scale, rings where fans go.

A *figure* is a skittle with a round head, as tall as an adult or a child of seven; it is nobody. A *fan ring* is a flat
ring round the mouth of a tube that is tied round a fan. Lengths are millimetres.
"""

import math
from collections.abc import Iterator
from itertools import pairwise

import numpy as np
from OCP.Bnd import Bnd_Box
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeWire
from OCP.BRepOffsetAPI import BRepOffsetAPI_MakeOffset
from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism, BRepPrimAPI_MakeRevol
from OCP.GC import GC_MakeArcOfCircle
from OCP.GeomAbs import GeomAbs_Arc
from OCP.gp import gp_Ax1, gp_Dir, gp_Pln, gp_Pnt, gp_Vec
from OCP.TopoDS import TopoDS, TopoDS_Face, TopoDS_Shape

from shellparts.base.errors import GeometryError
from shellparts.base.tolerances import TOLERANCES
from shellparts.body.body import Body
from shellparts.body.pool import Coedge
from shellparts.body.trim import chain
from shellparts.writers.mesh import copy_of, faces_of

__all__ = ["fan_rings", "floor_of", "people_in"]

#: Heights of an adult and of children of about seven [mm].
_PEOPLE_MM = (1700.0, 1200.0, 1250.0, 1150.0)
#: Nobody is shown taller than this share of the room's height.
_HEAD_ROOM = 0.85
#: Floor that each figure needs, as a radius [mm].
_ELBOW_MM = 300.0
#: How wide and how deep the ring round a fan is [mm].
_RING_MM, _DEPTH_MM = 25.0, 60.0


def floor_of(body: Body) -> TopoDS_Face:
    """The floor inside shell and tunnels.

    Parameters
    ----------
    body : Body

    Returns
    -------
    TopoDS_Face
        A copy.

    Raises
    ------
    GeometryError
        If the envelope stands on no floor.
    """
    for face in faces_of(body.envelope):
        box = Bnd_Box()
        BRepBndLib.AddOptimal_s(face, box, False, False)
        if max(abs(box.CornerMin().Z()), abs(box.CornerMax().Z())) <= TOLERANCES.seam_mismatch_mm:
            return TopoDS.Face_s(copy_of(face))
    raise GeometryError("the envelope of the room has no floor")


def _figure(height_mm: float, x: float, y: float) -> TopoDS_Shape:
    """A skittle of one closed solid, turned about the upright through (x, y)."""
    h, head = height_mm, 0.075 * height_mm
    neck = 0.6 * head  # radius where the head sits on the body
    foot, seat = 0.125 * h, h - head - math.sqrt(head**2 - neck**2)

    def at(radius: float, up: float) -> gp_Pnt:
        return gp_Pnt(x + radius, y, up)

    points = [at(0, 0), at(foot, 0), at(neck, seat)]
    maker = BRepBuilderAPI_MakeWire()
    for a, b in pairwise(points):
        maker.Add(BRepBuilderAPI_MakeEdge(a, b).Edge())
    arc = GC_MakeArcOfCircle(points[-1], at(head, h - head), at(0, h)).Value()
    maker.Add(BRepBuilderAPI_MakeEdge(arc).Edge())
    maker.Add(BRepBuilderAPI_MakeEdge(at(0, h), points[0]).Edge())
    outline = BRepBuilderAPI_MakeFace(maker.Wire()).Face()
    return BRepPrimAPI_MakeRevol(outline, gp_Ax1(gp_Pnt(x, y, 0), gp_Dir(0, 0, 1))).Shape()


def people_in(body: Body) -> list[tuple[str, TopoDS_Shape]]:
    """An adult and three children near the middle of the room, as many of them as it has room for.

    Parameters
    ----------
    body : Body

    Returns
    -------
    list of (str, TopoDS_Shape)
        Names, and one solid each.
    """
    figures = body.figures
    fitting = [height for height in _PEOPLE_MM if height <= _HEAD_ROOM * figures.height_mm]
    away = min(2.0 * _ELBOW_MM, figures.base_diameter_mm / 2 - 2.0 * _ELBOW_MM)
    if away < _ELBOW_MM:
        fitting, away = fitting[:1], 0.0
    places = [
        (away * math.cos(turn), away * math.sin(turn)) for turn in math.pi / 4 + np.arange(4) * math.pi / 2
    ]
    return [
        (f"person_{i}", _figure(height, x, y))
        for i, (height, (x, y)) in enumerate(zip(fitting, places, strict=False), 1)
    ]


def _mouths(body: Body) -> Iterator[list[Coedge]]:
    """Edges once round the outer end of every tube that is tied round a fan."""
    keys = sorted(
        {use.key for use in body.seams.uses if use.key in body.ends and body.seams.kinds[use.sheet].is_round}
    )
    faces = [face for sheet in body.sheets if sheet.kind.is_round for face in sheet.faces]
    walked = {c.link.key: c for face in faces for loop in face.loops for c in loop}
    yield from chain([walked[key].back for key in keys])


def fan_rings(body: Body) -> list[tuple[str, TopoDS_Shape]]:
    """A ring round the mouth of every tube that is tied round a fan.

    Parameters
    ----------
    body : Body

    Returns
    -------
    list of (str, TopoDS_Shape)
        Names, and one solid each.

    Raises
    ------
    GeometryError
        If the kernel cannot make one.
    """
    rings: list[tuple[str, TopoDS_Shape]] = []
    for number, loop in enumerate(_mouths(body), 1):
        points = np.concatenate([coedge.sampled(9)[:-1] for coedge in loop])
        area = np.cross(points, np.roll(points, -1, axis=0)).sum(axis=0)
        outward = area / np.linalg.norm(area)
        maker = BRepBuilderAPI_MakeWire()
        for coedge in loop:
            maker.Add(coedge.edge)
        inner = maker.Wire()
        plane = gp_Pln(gp_Pnt(*points[0].tolist()), gp_Dir(*outward.tolist()))
        offset = BRepOffsetAPI_MakeOffset(BRepBuilderAPI_MakeFace(plane, inner).Face(), GeomAbs_Arc)
        offset.Perform(_RING_MM)
        if not offset.IsDone():
            raise GeometryError("the kernel cannot make the ring round a fan")
        flat = BRepBuilderAPI_MakeFace(plane, TopoDS.Wire_s(offset.Shape()), True)
        flat.Add(TopoDS.Wire_s(inner.Reversed()))
        ring = BRepPrimAPI_MakePrism(flat.Face(), gp_Vec(*(outward * _DEPTH_MM).tolist())).Shape()
        rings.append((f"fan_ring_{number}", copy_of(ring)))
    return rings

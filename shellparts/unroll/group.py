"""Lay faces flat together, as one piece with fold lines.

Glossary: a *fold* is an edge shared by two faces of the group, whatever their angle (0 between tangent or
coplanar faces); a *joint* is a shared edge at which the piece stays open; a *half edge* is one face's flat
image of an edge, walked with that face on its left, and its *twin* is the other face's image, walked the
other way.

Faces are set against each other along a spanning tree of folds, the longest first; every other fold must then
fit by itself, and what it misses by is part of the certificate. The free half edges, chained round the
vertices they meet at, are the loops of the piece. Which edges are sewn, and which cloth is used, is not known
here.
"""

import math
from collections.abc import Iterable
from typing import Any

import numpy as np
import shapely
from attrs import evolve, field, frozen
from numpy.typing import NDArray

from shellparts.base.errors import GeometryError, UnrollError
from shellparts.base.tolerances import TOLERANCES
from shellparts.unroll.face import EdgeKey, LaidFace, as_face, edge_numbers, lay_face
from shellparts.unroll.flat_edge import FlatEdge
from shellparts.unroll.outline import FoldLine, Loop, Outline
from shellparts.unroll.trace import EdgeTrace
from shellparts.unroll.vectors import angle_about
from shellparts.unroll.walk import DRAW_AGAIN

__all__ = ["unroll_group"]

Array = NDArray[np.float64]
Place = tuple[float, float, float]
_CUT = "name a joint at which to cut them open: joints=frozenset({KEY}) with the key of an edge"
_FOLD = "lay the two faces flat each by itself"
_PARTS = "lay them flat as two pieces or more"


@frozen(eq=False)
class _HalfEdge:
    """One face's flat image of an edge, or of a part of it between corners."""

    face: int
    edge: FlatEdge
    following: int
    trace: EdgeTrace
    middle: float


@frozen(eq=False)
class _Net:
    """Faces laid flat each by itself, and how their half edges hang together."""

    laid: list[LaidFace]
    half_edges: list[_HalfEdge]
    twins: dict[int, int] = field(factory=dict)


def unroll_group(
    faces: Iterable[Any], edge_key: EdgeKey | None = None, joints: frozenset[int] = frozenset()
) -> Outline:
    """Lay faces that share edges flat as one piece.

    Parameters
    ----------
    faces : iterable of cadquery.Face or TopoDS_Face
        The faces, all with their outside on the same side; each must be developable and reach the others over
        shared edges.
    edge_key : callable, optional
        Gives the identity of an edge. By default the edges of the group are numbered from 0.
    joints : frozenset of int
        Keys of shared edges that stay open. A closed tube needs one; a full cylinder opens at its own joint
        edge.

    Returns
    -------
    Outline
        The piece as seen from outside, the first face in its own place.

    Raises
    ------
    UnrollError
        If a face is not developable, the faces do not hang together, a fold's two flat images differ, the
        faces close round without a joint, or the flat faces would lie over one another.
    GeometryError
        If a face and its flat image differ in area, which would be a fault of this library.

    Examples
    --------
    >>> import cadquery as cq
    >>> box = cq.Workplane().box(4, 3, 2)
    >>> piece = unroll_group(box.faces("<Z or >X or <X").vals())
    >>> piece.faces, len(piece.folds), round(piece.flat_area_mm2, 9), round(piece.outer.perimeter_mm, 9)
    (3, 2, 24.0, 22.0)
    """
    shapes = [as_face(face) for face in faces]
    if not shapes:
        raise UnrollError("There is no face to lay flat", "give one face at least")
    key = edge_key or edge_numbers(shapes)
    laid = [lay_face(shape, key) for shape in shapes]
    for number, one in enumerate(laid):
        refusal = one.refused(f"Face {number} of the group")
        if refusal is not None:
            raise refusal
        if one.fault is not None:
            raise GeometryError(f"face {number} of the group: {one.fault}")
    if len(laid) == 1:
        return laid[0].outline
    net = _net(laid, joints)
    places = _places(net)
    placed = [half.edge.moved(*places[half.face]) for half in net.half_edges]
    folds = _folds(net, placed)
    loops = _loops(net, placed)
    outer = [loop for loop in loops if loop.area_mm2 > 0.0]
    holes = tuple(loop for loop in loops if loop.area_mm2 <= 0.0)
    if len(outer) != 1:
        raise UnrollError(f"The faces make {len(outer)} flat outer boundaries instead of one", _PARTS)
    _refuse_overlap(laid, places)
    outline = Outline(
        outer[0],
        holes,
        folds,
        sum(one.outline.face_area_mm2 for one in laid),
        sum(loop.area_mm2 for loop in loops),
        sum(one.outline.turning_deficit_rad for one in laid),
        len(laid),
        max(one.outline.edge_gap_mm for one in laid),
    )
    allowed = _allowed(outline.perimeter_mm)
    if not outline.closure_mm <= allowed:
        raise UnrollError(
            f"The flat piece is left open by {outline.closure_mm:.3g} mm; at most {allowed:.3g} mm will do",
            DRAW_AGAIN,
        )
    return outline


def _allowed(perimeter_mm: float) -> float:
    """Largest gap or mismatch [mm]."""
    return min(TOLERANCES.closure_mm, TOLERANCES.closure_ratio * perimeter_mm)


def _net(laid: list[LaidFace], joints: frozenset[int]) -> _Net:
    """Number the half edges and pair the twins."""
    net = _Net(laid, [])
    uses: dict[int, list[list[int]]] = {}
    for number, one in enumerate(laid):
        for loop, boundary in zip(one.outline.loops, one.boundaries, strict=True):
            first, count = len(net.half_edges), len(loop.edges)
            ends = [*boundary.begins[1:], count]
            for trace, begin, end in zip(boundary.traces, boundary.begins, ends, strict=True):
                uses.setdefault(loop.edges[begin].key, []).append([first + k for k in range(begin, end)])
                for k, middle in zip(range(begin, end), trace.middles, strict=True):
                    following = first + (k + 1) % count
                    net.half_edges.append(_HalfEdge(number, loop.edges[k], following, trace, middle))
    for key, sides in uses.items():
        if key < 0 or key in joints or len(sides) < 2:
            continue
        if len(sides) > 2:
            reason = f"Edge {key} is shared by {len(sides)} faces of the group; a fold joins two"
            raise UnrollError(reason, "leave faces out until two share it, or name it in joints")
        a, b = sides
        halves = net.half_edges
        if halves[a[0]].face == halves[b[0]].face:
            continue
        if halves[a[0]].edge.forward == halves[b[0]].edge.forward:
            reason = f"The faces that meet at edge {key} have their outsides on opposite sides"
            raise UnrollError(reason, "turn one of them over, or take faces of one shell or solid")
        if len(a) != len(b):
            raise UnrollError(
                f"The two flat images of edge {key} differ: they have {len(a)} and {len(b)} parts", _FOLD
            )
        for i, j in zip(a, reversed(b), strict=True):
            net.twins[i], net.twins[j] = j, i
    return net


def _fit(fixed: FlatEdge, loose: FlatEdge) -> Place:
    """How to move `loose`, walked backwards, onto `fixed`."""
    a, b = fixed.end - fixed.start, loose.start - loose.end
    if np.hypot(*a) > 1e-3 * fixed.length_mm:
        rotation = math.atan2(b[0] * a[1] - b[1] * a[0], float(a @ b))
    else:
        rotation = float(fixed.heading[0] - loose.heading[-1]) - math.pi
    c, s = math.cos(rotation), math.sin(rotation)
    middle, target = 0.5 * (loose.start + loose.end), 0.5 * (fixed.start + fixed.end)
    x, y = middle
    return rotation, float(target[0] - c * x + s * y), float(target[1] - s * x - c * y)


def _mismatch(a: FlatEdge, b: FlatEdge) -> float:
    """Largest distance between twins in their places [mm]."""
    share = np.linspace(0.0, 1.0, 17)
    gap = a.at(share * a.s[-1]) - b.at((1.0 - share) * b.s[-1])
    return float(np.max(np.hypot(gap[:, 0], gap[:, 1])))


def _places(net: _Net) -> dict[int, Place]:
    """Set the faces against each other, over the longest folds first."""
    halves = net.half_edges
    places: dict[int, Place] = {0: (0.0, 0.0, 0.0)}
    while len(places) < len(net.laid):
        open_folds = [
            i for i, j in net.twins.items() if halves[i].face in places and halves[j].face not in places
        ]
        if not open_folds:
            raise UnrollError(
                f"The faces do not hang together: {len(places)} of {len(net.laid)} can be reached over "
                "shared edges",
                "take them out of one shape, where neighbours share edges, or lay them flat one by one",
            )
        best = max(open_folds, key=lambda i: halves[i].edge.length_mm)
        fixed = halves[best].edge.moved(*places[halves[best].face])
        loose = halves[net.twins[best]]
        places[loose.face] = _fit(fixed, loose.edge)
    return places


def _folds(net: _Net, placed: list[FlatEdge]) -> tuple[FoldLine, ...]:
    """Read the fold lines, and refuse those that do not fit."""
    folds = []
    allowed = _allowed(sum(edge.length_mm for edge in placed))
    for i, j in net.twins.items():
        if i > j:
            continue
        gap = _mismatch(placed[i], placed[j])
        if gap > allowed:
            alone = _mismatch(placed[i], placed[j].moved(*_fit(placed[i], placed[j])))
            if alone > allowed:
                raise UnrollError(
                    f"A fold along edge {placed[i].key} is not possible: its two flat images differ by "
                    f"{alone:.3g} mm and at most {allowed:.3g} mm will do",
                    _FOLD,
                )
            raise UnrollError(
                f"The faces close round at edge {placed[i].key}, {gap:.3g} mm apart on the flat, "
                f"and at most {allowed:.3g} mm will do",
                _CUT,
            )
        a, b = net.half_edges[i], net.half_edges[j]
        here, there = a.trace.frame(a.middle, 1.0), b.trace.frame(a.middle, 1.0)
        folds.append(FoldLine(placed[i], angle_about(here.tangent, here.normal, there.normal), gap))
    return tuple(folds)


def _loops(net: _Net, placed: list[FlatEdge]) -> list[Loop]:
    """Chain the free half edges."""
    free = {i for i in range(len(placed)) if i not in net.twins}
    loops = []
    while free:
        chain = [min(free)]
        while True:
            free.discard(chain[-1])
            following = net.half_edges[chain[-1]].following
            while following in net.twins:
                following = net.half_edges[net.twins[following]].following
            if following == chain[0]:
                break
            chain.append(following)
        edges = [placed[i] for i in chain]
        gaps = [b.start - a.end for a, b in zip(edges, edges[1:] + edges[:1], strict=True)]
        loops.append(Loop(_continuous(edges), float(max(np.hypot(*gap) for gap in gaps))))
    if not loops:
        raise UnrollError("The faces close on themselves and leave no boundary", _CUT)
    return loops


def _continuous(edges: list[FlatEdge]) -> tuple[FlatEdge, ...]:
    """Bring headings to the turn at which the walk arrives, so that they read on from edge to edge."""
    out = [edges[0]]
    for edge in edges[1:]:
        before = float(out[-1].heading[-1])
        jump = float(edge.heading[0]) - before
        out.append(evolve(edge, heading=edge.heading - jump + math.remainder(jump, 2.0 * math.pi)))
    return tuple(out)


def _refuse_overlap(laid: list[LaidFace], places: dict[int, Place]) -> None:
    """Refuse faces that would lie over one another on the flat."""
    polygons = []
    for number, one in enumerate(laid):
        loops = [loop.moved(*places[number]) for loop in one.outline.loops]
        sagitta = 1e-4 * loops[0].perimeter_mm
        rings = [loop.polyline(sagitta) for loop in loops]
        polygons.append(shapely.make_valid(shapely.Polygon(rings[0], rings[1:])))
    # Neighbours share an edge to the last digit or nearly so; without a grid the union can lose one of them.
    total = sum(polygon.area for polygon in polygons)
    covered = shapely.union_all(polygons, grid_size=1e-7 * math.sqrt(total)).area
    slack = 1e-3 * total
    if total - covered > slack:
        raise UnrollError(
            f"The flat faces would lie over one another by {total - covered:.6g} mm²; at most {slack:.3g} mm² "
            "will do",
            _PARTS,
        )

"""Patches and tabs: small pieces that are sewn flat onto others before anything else is done to those.

Glossary: a *corner patch* is a disc on a corner of the doorway, where the cloth would tear first; a *rim patch*
lies around the opening for the sleeve and is cut open with it; a *tab* is a strip folded in half, its fold at the
foot of a panel, on a *tab patch* of its own: it is sewn down but for the *loop* next to the fold, which a cord goes
through. A *host* is the piece that one of them is sewn onto. All are sewn
onto the inner side but the tabs. This module does not know how strong they are.
"""

import math
from collections import Counter
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from attrs import evolve, field, frozen
from numpy.typing import NDArray

from shellparts.base.tolerances import TOLERANCES
from shellparts.body.seams import EdgeRole, SeamGraph
from shellparts.parameters.part import PANEL, PATCH, Part, Role
from shellparts.parameters.reinforcement import Reinforcement
from shellparts.pattern.cutting import cutting_line
from shellparts.pattern.pieces import Piece, PieceEdge, PlacedPatch, Seam
from shellparts.pattern.tab_loops import check_loop, loop_mm
from shellparts.unroll.outline import FlatEdge, FoldLine, Form, Loop, Outline

__all__ = ["with_patches"]

Array = NDArray[np.float64]
#: Cloth outside the row of stitches that holds a patch down [mm].
_EDGE_MM = 10.0
#: A boundary that turns right by more than this sticks a corner into the cloth [rad].
_CORNER_RAD = math.radians(15.0)
#: Rows around a rim patch are straightened to within this [mm].
_RIM_SAGITTA_MM = 0.2


@frozen(eq=False)
class _PatchShape:
    """A shape of patch, and where it is sewn: on which sheets."""

    name: str
    ring: Array
    round_mm: float | None
    sheets: list[str]


def _circle(radius: float) -> tuple[FlatEdge, ...]:
    """Two half circles about the origin, counter-clockwise."""
    length = math.pi * radius
    return tuple(
        FlatEdge(
            -1,
            Form.ARC,
            np.array([0.0, length]),
            radius * np.column_stack([np.cos(turn), np.sin(turn)]),
            turn + math.pi / 2,
            np.full(2, 1.0 / radius),
            length,
        )
        for turn in (np.array([0.0, math.pi]), np.array([math.pi, 2 * math.pi]))
    )


def _piece(kind: _PatchShape) -> Piece:
    """The patch as a piece, upright about x = 0 from y = 0 up: its row of stitches is its sewing line."""
    if kind.round_mm is not None:
        flat = _circle(kind.round_mm)
    else:
        flat = tuple(
            FlatEdge.straight(a, b) for a, b in zip(kind.ring, np.roll(kind.ring, -1, axis=0), strict=True)
        )
    (left, low), (right, _) = kind.ring.min(axis=0), kind.ring.max(axis=0)
    loop = Loop(flat, 0.0).moved(0.0, -float(left + right) / 2, -float(low))
    edge = PieceEdge("e1", EdgeRole.ONTO, loop.edges, _EDGE_MM)
    names = tuple(f"{kind.name}_{i:02d}" for i in range(1, len(kind.sheets) + 1))
    area = loop.area_mm2
    folds: tuple[FoldLine, ...] = ()
    if kind.name == "tab":
        half = np.array([float(right - left) / 2, 0.0])
        middle = np.array([0.0, float(kind.ring[:, 1].max() - low) / 2])
        folds = (FoldLine(FlatEdge.straight(middle - half, middle + half), math.pi),)
    outline = Outline(loop, (), folds, area, area, 0.0, 0)
    cutting = cutting_line(kind.name, [edge], [])
    return Piece(kind.name, PATCH, names, None, outline, (edge,), (), cutting)


class _Partners:
    """What the edges of pieces are sewn to."""

    def __init__(self, seams: Sequence[Seam], graph: SeamGraph):
        self.graph, self.seams = graph, {seam.id: seam for seam in seams}

    def tube(self, edge: PieceEdge, is_round: bool) -> Part | None:
        """The tube that an edge is sewn to, of those that close on themselves or of those that stand on the floor."""
        names = (name for seam in edge.seams for name in self.seams[seam].sheets)
        parts = (self.graph.kinds[name] for name in names)
        return next((p for p in parts if p.role is Role.TUBE and p.is_round == is_round), None)

    def panel(self, edge: PieceEdge) -> bool:
        """Whether an edge is sewn to the next panel."""
        return any(self.seams[seam].seam_class == PANEL.seam for seam in edge.seams)


def _corners(piece: Piece, partners: _Partners) -> Iterator[Array]:
    """Where a doorway's mouth has a corner, or comes down to the foot."""
    for loop in (piece.edges, *piece.holes):
        for before, after in zip(loop[-1:] + loop[:-1], loop, strict=True):
            mouths = [partners.tube(edge, is_round=False) is not None for edge in (before, after)]
            if not any(mouths):
                continue
            other = before if mouths[1] else after
            turn = math.remainder(float(after.at(0.0)[1] - before.at(before.length_mm)[1]), 2 * math.pi)
            if (all(mouths) and turn < -_CORNER_RAD) or (not all(mouths) and not partners.panel(other)):
                yield after.at(0.0)[0]


def _tab_places(
    piece: Piece, graph: SeamGraph, inside: shapely.Geometry, size: Reinforcement
) -> Iterator[tuple[int, Array]]:
    """Middles of tabs along the foot, evenly over each stretch of it, each with the key of its stretch."""
    for foot in (*piece.outline.outer.edges, *(fold.edge for fold in piece.outline.folds)):
        count = math.ceil(foot.length_mm / size.tab_spacing)
        if foot.key not in graph.feet or foot.length_mm < 2 * size.tab_width:
            continue
        for i in range(count):
            at = foot.at(foot.length_mm * (i + 0.5) / count)[0]
            half = size.tab_width / 2
            if inside.covers(shapely.box(at[0] - half, at[1], at[0] + half, at[1] + size.tab_length / 2)):
                yield foot.key, at


def _box(width: float, height: float) -> Array:
    return np.array([[-width, -height], [width, -height], [width, height], [-width, height]]) / 2


def _rims(piece: Piece, partners: _Partners, rim: float) -> Iterator[tuple[Part, Array]]:
    """Rings around holes for tubes."""
    for hole in piece.holes:
        tubes = [tube for edge in hole if (tube := partners.tube(edge, is_round=True)) is not None]
        if tubes:
            points = np.concatenate([edge.polyline(_RIM_SAGITTA_MM)[:-1] for edge in hole])
            wide = shapely.Polygon(points).buffer(rim).simplify(_RIM_SAGITTA_MM)
            yield tubes[0], np.asarray(shapely.geometry.polygon.orient(wide).exterior.coords)[:-1]


@frozen(eq=False)
class _Patches:
    """Patches as they are found: shapes by name, and places by host."""

    shapes: dict[str, _PatchShape] = field(factory=dict)
    places: dict[str, list[PlacedPatch]] = field(factory=dict)

    def put(
        self,
        host: Piece,
        name: str,
        shape: Array,
        at: Array,
        round_mm: float | None = None,
        loop: Array | None = None,
    ) -> None:
        self.shapes.setdefault(name, _PatchShape(name, shape, round_mm, [])).sheets.extend(host.sheets)
        cloth = shapely.Polygon(host.cutting[0], host.cutting[1:])
        drawn = shapely.Polygon(shape + at).intersection(cloth)
        part = max(getattr(drawn, "geoms", [drawn]), key=lambda polygon: polygon.area)
        outline = np.asarray(part.exterior.coords)[:-1]
        self.places.setdefault(host.name, []).append(PlacedPatch(name, at, outline, loop is not None, loop))


def _round(radius: float) -> Array:
    count = math.ceil(math.pi / math.acos(1.0 - TOLERANCES.drawing_sagitta_mm / radius))
    turn = 2 * math.pi * np.arange(count) / count
    return radius * np.column_stack([np.cos(turn), np.sin(turn)])


def with_patches(
    pieces: Sequence[Piece], seams: Sequence[Seam], graph: SeamGraph, size: Reinforcement
) -> tuple[tuple[Piece, ...], tuple[Piece, ...]]:
    """Find where patches and tabs go."""
    partners = _Partners(seams, graph)
    found, rims = _Patches(), Counter[str]()
    for piece in pieces:
        if piece.kind.role is not Role.PANEL:
            continue
        inside = shapely.Polygon(
            np.concatenate([edge.polyline(1.0)[:-1] for edge in piece.edges]),
            [np.concatenate([edge.polyline(1.0)[:-1] for edge in hole]) for hole in piece.holes],
        )
        if size.patches:
            for at in _corners(piece, partners):
                found.put(piece, "patch_corner", _round(size.corner), at, round_mm=size.corner)
            for tube, ring in _rims(piece, partners, size.rim):
                rims[tube.opening] += 1
                middle = (ring.min(axis=0) + ring.max(axis=0)) / 2
                name = f"patch_{tube.opening}"
                name = name if rims[tube.opening] == 1 else f"{name}_{rims[tube.opening]}"
                found.put(piece, name, ring - middle, middle)
        if size.tabs:
            for foot, at in _tab_places(piece, graph, inside, size):
                for edge in (one for one in piece.edges if foot in {flat.key for flat in one.flat}):
                    check_loop(edge, partners.seams, size)
                if size.patches:
                    high = size.tab_length / 2
                    box = _box(2 * size.tab_width, high) + np.array([0.0, high / 2])
                    found.put(piece, "patch_tab", box, at)
                half, loop = size.tab_length / 2, loop_mm(size.tab_length)
                rows = _box(size.tab_width, half - loop) + np.array([0.0, (half + loop) / 2])
                wide = size.tab_width / 2
                free = np.array([[-wide, loop], [-wide, 0.0], [wide, 0.0], [wide, loop]]) + at
                found.put(piece, "tab", rows, at, loop=free)
    kinds = [
        evolve(kind, ring=_box(size.tab_width, size.tab_length)) if kind.name == "tab" else kind
        for kind in found.shapes.values()
    ]
    hosts = tuple(evolve(piece, patches=tuple(found.places.get(piece.name, ()))) for piece in pieces)
    return hosts, tuple(_piece(kind) for kind in kinds)

"""Faces, edges and corners of a closed inflated room, before their surfaces are known: data only.

Glossary: a *smooth face* is one region of cloth between folds, or the gap of a vent; a *smooth edge* is a line that
faces have in common, with the nodes on it; each *side* of it is the same line on the flat piece of one face. A
*guide* is a place between two nodes where the cloth ought to be if it bends evenly from one to the other: it counts
little beside nodes, but for a *chord*, which runs across a face from edge to edge, for there no node says anything. A
*held* edge stays where it was sewn: on the floor, at the end of a tube. A *lid* is a plane closed by held edges. This
module knows neither splines nor a kernel.
"""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray

from shellparts.base.errors import GeometryError
from shellparts.inflate.closing import joined
from shellparts.inflate.refine import slopes
from shellparts.inflate.whole_room import InflatedRoom
from shellparts.parameters.part import Part

__all__ = ["EdgeSide", "FaceNet", "Guides", "SmoothEdge", "SmoothFace", "face_net"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: A vent that gapes less than this share of its length is laid flat as if it gaped so much [-].
_LEAST_GAPE = 0.02


@frozen(eq=False)
class EdgeSide:
    """An edge as one face has it.

    Parameters
    ----------
    edge : int
        Number of the edge.
    forward : bool
        Whether the face walks it in its direction.
    rest : ndarray (k, 2) float
        Its nodes on the flat piece, in the edge's direction [mm].
    """

    edge: int
    forward: bool
    rest: Floats


@frozen(eq=False)
class Guides:
    """Where a face ought to be between nodes.

    Parameters
    ----------
    rest : ndarray (k, 2) float
        On the flat piece [mm].
    points : ndarray (k, 3) float
        In space [mm].
    chords : ndarray (k,) bool
        Which lie on a chord.
    """

    rest: Floats
    points: Floats
    chords: NDArray[np.bool_]


@frozen(eq=False)
class SmoothFace:
    """A face with its edge.

    Parameters
    ----------
    sheets : tuple of str
        Pieces that it is part of; none for the gap of a vent.
    kind : Part or None
        What they are.
    loops : tuple of tuple of EdgeSide
        The outer edge counterclockwise seen from outside, then holes.
    nodes : ndarray (n,) int
        Nodes in it and on its edge, each once.
    rest : ndarray (n, 2) float
        The same on the flat piece [mm].
    guides : Guides
        Places between them.
    """

    sheets: tuple[str, ...]
    kind: Part | None
    loops: tuple[tuple[EdgeSide, ...], ...]
    nodes: Ints
    rest: Floats
    guides: Guides

    @property
    def sides(self) -> tuple[EdgeSide, ...]:
        """Sides of all loops."""
        return tuple(side for loop in self.loops for side in loop)


@frozen(eq=False)
class SmoothEdge:
    """A line that faces have in common.

    Parameters
    ----------
    key : int
        Name of the line in the room.
    nodes : ndarray (k,) int
        Nodes on it, in its direction.
    lengths : ndarray (k,) float
        How far along it each lies on the flat piece, from zero [mm].
    held : bool
        Whether it stays where it was sewn.
    """

    key: int
    nodes: Ints
    lengths: Floats
    held: bool


@frozen(eq=False)
class FaceNet:
    """A closed room of faces.

    Parameters
    ----------
    nodes : ndarray (n, 3) float
        The computed form [mm].
    faces : tuple of SmoothFace
        Cloth first, in the order of the regions, then vents.
    edges : tuple of SmoothEdge
    lids : tuple of tuple of tuple of (int, bool)
        For each lid, its loop: number of the edge, and whether it is walked in its direction.
    """

    nodes: Floats
    faces: tuple[SmoothFace, ...]
    edges: tuple[SmoothEdge, ...]
    lids: tuple[tuple[tuple[int, bool], ...], ...]


@frozen(eq=False)
class _Gathering:
    """Edges as they are met."""

    home: Ints
    held: NDArray[np.bool_]
    edges: list[SmoothEdge] = field(factory=list)
    known: dict[tuple[object, ...], int] = field(factory=dict)

    def side(self, key: int, nodes: Ints, rest: Floats, forward: bool) -> EdgeSide:
        """A side whose nodes and rest are given in the edge's direction."""
        own = self.home[nodes]
        name = (key, own.tobytes())
        if name not in self.known:
            self.known[name] = len(self.edges)
            steps = np.linalg.norm(np.diff(rest, axis=0), axis=1)
            lengths = np.concatenate([[0.0], np.cumsum(steps)])
            self.edges.append(SmoothEdge(key, own, lengths, bool(self.held[nodes].all())))
        return EdgeSide(self.known[name], forward, rest)


def _slits(vents: Sequence[tuple[Ints, Ints]], home: Ints) -> list[tuple[Ints, Ints]]:
    """Vents, those that go on across a corner as one."""
    rows = [(home[a], home[b]) for a, b in vents]
    whole: list[tuple[Ints, Ints]] = []
    while rows:
        a, b = rows.pop(0)
        while a[-1] != b[-1]:
            after = [i for i, (c, d) in enumerate(rows) if (c[0], d[0]) == (a[-1], b[-1])]
            if not after:
                break
            c, d = rows.pop(after[0])
            a, b = np.concatenate([a, c[1:]]), np.concatenate([b, d[1:]])
        while a[0] != b[0]:
            before = [i for i, (c, d) in enumerate(rows) if (c[-1], d[-1]) == (a[0], b[0])]
            if not before:
                raise GeometryError("the rows of a vent do not meet at its ends")
            c, d = rows.pop(before[0])
            a, b = np.concatenate([c[:-1], a]), np.concatenate([d[:-1], b])
        if a[-1] != b[-1]:
            raise GeometryError("the rows of a vent do not meet at its ends")
        whole.append((a, b))
    return whole


def _vent_face(a: Ints, b: Ints, nodes: Floats, edges: Sequence[SmoothEdge]) -> SmoothFace:
    """The gap of a vent, laid flat as wide as it gapes; its edges are those of the cloth."""
    middle = (nodes[a] + nodes[b]) / 2
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(middle, axis=0), axis=1))])
    gape = np.linalg.norm(nodes[a] - nodes[b], axis=1)
    gape[1:-1] = np.maximum(gape[1:-1], _LEAST_GAPE * along[-1])
    rows = {side: np.column_stack([along, side * gape / 2]) for side in (-1, 1)}
    loop = []
    for row, flat, onward in ((b, rows[-1], True), (a, rows[1], False)):
        found = _edges_along(row, edges)
        for number, forward, first, last in found if onward else found[::-1]:
            rest = flat[first : last + 1]
            loop.append(EdgeSide(number, forward is onward, rest if forward else rest[::-1]))
    inner = np.concatenate([b, a[1:-1]])
    across = np.column_stack([along, np.zeros(len(along))])[1:-1]
    guides = Guides(across, middle[1:-1], np.ones(len(across), dtype=bool))
    return SmoothFace((), None, (tuple(loop),), inner, np.concatenate([rows[-1], rows[1][1:-1]]), guides)


def _guides(triangles: Ints, rest: Floats, nodes: Floats) -> Guides:
    """Middles of the sides of triangles inside a face, on the arc that follows the slopes at both ends."""
    slope = slopes(rest, triangles, nodes)
    ends = np.concatenate([np.stack([triangles[:, i], triangles[:, i - 2]], axis=1) for i in range(3)])
    places = np.concatenate([np.stack([rest[:, i], rest[:, i - 2]], axis=1) for i in range(3)])
    turns = np.concatenate([slope[:, i] - slope[:, i - 2] for i in range(3)])
    bends = np.einsum("kij,kj->ki", turns, places[:, 1] - places[:, 0]) / 8.0
    _, first, times = np.unique(np.sort(ends, axis=1), axis=0, return_index=True, return_counts=True)
    border = np.zeros(len(nodes), dtype=bool)
    border[ends[first[times == 1]]] = True
    inner = first[times == 2]
    points = nodes[ends[inner]].mean(axis=1) + bends[inner]
    return Guides(places[inner].mean(axis=1), points, border[ends[inner]].all(axis=1))


def _edges_along(row: Ints, edges: Sequence[SmoothEdge]) -> list[tuple[int, bool, int, int]]:
    """Edges that a row of nodes consists of: number, whether in its direction, first and last place."""
    found, at = [], 0
    while at < len(row) - 1:
        for number, edge in enumerate(edges):
            last = at + len(edge.nodes)
            piece = row[at:last]
            if np.array_equal(piece, edge.nodes) or np.array_equal(piece, edge.nodes[::-1]):
                found.append((number, bool(piece[0] == edge.nodes[0]), at, last - 1))
                at = last - 1
                break
        else:
            raise GeometryError("a vent runs along no edge of the cloth")
    return found


def _lids(faces: Sequence[SmoothFace], edges: Sequence[SmoothEdge]) -> list[tuple[tuple[int, bool], ...]]:
    """Loops of the edges that only one face has, walked the other way."""
    uses: dict[int, list[bool]] = {}
    for face in faces:
        for side in face.sides:
            uses.setdefault(side.edge, []).append(side.forward)
    leaving: dict[int, tuple[int, bool]] = {}
    for number, ways in uses.items():
        if len(ways) == 2 and ways[0] != ways[1]:
            continue
        if len(ways) != 1 or not edges[number].held:
            raise GeometryError(f"edge {edges[number].key} of the form under air does not close")
        start = int(edges[number].nodes[-1 if ways[0] else 0])
        if start in leaving:
            raise GeometryError("the rims of the inflated form touch each other")
        leaving[start] = (number, not ways[0])
    loops = []
    while leaving:
        first = at = min(leaving)
        loop = []
        while at in leaving:
            number, forward = leaving.pop(at)
            loop.append((number, forward))
            at = int(edges[number].nodes[-1 if forward else 0])
        if at != first:
            raise GeometryError("a rim of the inflated form is open")
        loops.append(tuple(loop))
    return loops


def face_net(room: InflatedRoom) -> FaceNet:
    """Divide an inflated room into faces, edges and lids that close.

    Parameters
    ----------
    room : InflatedRoom
        It stands.

    Returns
    -------
    FaceNet

    Raises
    ------
    GeometryError
        If it does not close.
    """
    welded = room.welded
    nodes, home = joined(room.nodes)
    held = np.zeros(len(room.nodes), dtype=bool)
    for ends in (welded.floor, *welded.rings):
        held[ends] = True
    gathering = _Gathering(home, held)
    faces = []
    for number, (region, loops) in enumerate(zip(welded.regions, welded.borders, strict=True)):
        sides = tuple(
            tuple(
                gathering.side(
                    one.key,
                    one.nodes if one.forward else one.nodes[::-1],
                    one.rest if one.forward else one.rest[::-1],
                    one.forward,
                )
                for one in loop
            )
            for loop in loops
        )
        own = welded.region_of == number
        names, first = np.unique(welded.triangles[own], return_index=True)
        rest = welded.rest[own].reshape(-1, 2)[first]
        guides = _guides(welded.triangles[own], welded.rest[own], room.nodes)
        faces.append(SmoothFace(region.sheets, region.kind, sides, home[names], rest, guides))
    for a, b in _slits(welded.vents, home):
        if np.array_equal(a, b):
            continue  # too short to gape on this mesh
        faces.append(_vent_face(a, b, nodes, gathering.edges))
    edges = tuple(gathering.edges)
    if any((np.diff(edge.lengths) <= 0).any() for edge in edges):
        raise GeometryError("two nodes of an edge lie on each other")
    for face in faces:
        for loop in face.loops:
            for before, after in pairwise((*loop, loop[0])):
                ends = edges[before.edge].nodes[-1 if before.forward else 0]
                if ends != edges[after.edge].nodes[0 if after.forward else -1]:
                    raise GeometryError("the edge of a face does not close")
    return FaceNet(nodes, tuple(faces), edges, tuple(_lids(faces, edges)))

"""Sew the flat meshes of a room together: one set of nodes in space, each triangle with its flat shape.

Glossary: a *use* of a line is that line on one region; it has *slots* for nodes, in walking order. Where uses are
sewn to each other their slots share nodes; so do the ends of neighbours. What comes of it is explained in
`welded`. Where a line's course in space is at z = 0 its nodes are on the floor. This module knows nothing of cloth,
pressure or balance.
"""

from collections.abc import Mapping, Sequence
from itertools import combinations

import numpy as np
from attrs import frozen
from numpy.typing import NDArray
from scipy.sparse import coo_matrix, csc_matrix
from scipy.sparse.csgraph import connected_components
from scipy.sparse.linalg import splu

from shellparts.base.errors import GeometryError
from shellparts.base.tolerances import TOLERANCES
from shellparts.inflate.flat_mesh import FlatMesh, mesh_flat
from shellparts.inflate.flat_room import FlatLine, FlatRoom
from shellparts.inflate.regions import Region, regions_of
from shellparts.inflate.spacing import course, shares_of
from shellparts.inflate.welded import Border, Weld, Welded

__all__ = ["weld"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_ALIKE = 3
"""Regions whose edges agree to so many decimals [mm] get the same triangles."""


@frozen(eq=False)
class _Use:
    """One line of one region: its slots are where nodes may go, in walking order."""

    region: int
    line: FlatLine
    first: int
    count: int

    @property
    def slots(self) -> Ints:
        """Slots in walking order."""
        return np.arange(self.first, self.first + self.count)

    @property
    def along(self) -> Ints:
        """Slots in the line's own direction."""
        return self.slots if self.line.forward else self.slots[::-1]


def _uses(regions: Sequence[Region], shares: Mapping[int, Floats]) -> list[list[list[_Use]]]:
    """Every line of every loop of every region, with slots of its own."""
    uses, at = [], 0
    for number, region in enumerate(regions):
        loops = []
        for loop in region.loops:
            row = []
            for line in loop:
                row.append(_Use(number, line, at, len(shares[line.key])))
                at += row[-1].count
            loops.append(row)
        uses.append(loops)
    return uses


def _sewn(a: _Use, b: _Use, regions: Sequence[Region]) -> bool:
    """Whether two uses of a line are joined along it."""
    theirs = set(regions[b.region].sheets)
    return bool(theirs & set(a.line.sewn_to)) and bool(set(regions[a.region].sheets) & set(b.line.sewn_to))


def _numbered(
    uses: Sequence[_Use], loops: Sequence[Sequence[_Use]], pairs: Sequence[tuple[_Use, _Use]]
) -> tuple[Ints, int]:
    """Node of each slot: ends of neighbours are one, and so are the slots of lines that are sewn."""
    left, right = [], []
    for loop in loops:
        for before, use in zip((loop[-1], *loop[:-1]), loop, strict=True):
            left.append(before.slots[-1:])
            right.append(use.slots[:1])
    for a, b in pairs:
        left.append(a.along)
        right.append(b.along)
    i, j = np.concatenate(left), np.concatenate(right)
    slots = uses[-1].first + uses[-1].count
    count, number = connected_components(coo_matrix((np.ones(len(i)), (i, j)), shape=(slots, slots)), False)
    # numbered by first slot, whatever order the search takes
    _, first, inverse = np.unique(number, return_index=True, return_inverse=True)
    rank = np.argsort(np.argsort(first))
    return rank[inverse].astype(np.int64), int(count)


def _placed_edges(
    uses: Sequence[_Use], number: Ints, count: int, room: FlatRoom, shares: Mapping[int, Floats]
) -> Floats:
    """Edge nodes in space."""
    total, times = np.zeros((count, 3)), np.zeros(count)
    spread = np.zeros(0)
    everywhere = np.zeros((len(number), 3))
    for use in uses:
        everywhere[use.along] = course(room.space[use.line.key], shares[use.line.key])
    np.add.at(total, number, everywhere)
    np.add.at(times, number, 1.0)
    nodes = total / times[:, None]
    spread = np.abs(everywhere - nodes[number]).max()
    if spread > TOLERANCES.seam_mismatch_mm:
        raise GeometryError(f"edges that are sewn together are {spread:g} mm apart in space")
    return nodes


def _inner(nodes: Floats, known: int, triangles: Ints, rest: Floats) -> Floats:
    """Put inner nodes where they are in balance between their neighbours (harmonic on the flat pieces)."""
    n = len(nodes)
    if n == known:
        return nodes
    edge = np.roll(rest, -2, axis=1) - np.roll(rest, -1, axis=1)
    u, v = rest[:, 1] - rest[:, 0], rest[:, 2] - rest[:, 0]
    area = (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]) / 2
    values = np.einsum("mic,mjc->mij", edge, edge) / (4 * area)[:, None, None]
    rows = np.repeat(triangles, 3, axis=1).ravel()
    columns = np.tile(triangles, (1, 3)).ravel()
    laplace = csc_matrix((values.ravel(), (rows, columns)), shape=(n, n))
    nodes = nodes.copy()
    own, fixed = laplace[known:, known:], laplace[known:, :known]
    nodes[known:] = splu(own.tocsc()).solve(-(fixed @ nodes[:known]))
    return nodes


def _border(use: _Use, number: Ints, shares: Mapping[int, Floats]) -> Border:
    """A line as it is walked, with its nodes."""
    line, share = use.line, shares[use.line.key]
    rest = line.at(share if line.forward else 1 - share[::-1])
    return Border(line.key, line.forward, number[use.slots], rest)


def weld(room: FlatRoom, size_mm: float) -> Welded:
    """Mesh all pieces of a room and sew them together.

    Parameters
    ----------
    room : FlatRoom
        The pieces.
    size_mm : float
        Side of a triangle where nothing asks for smaller ones [mm].

    Returns
    -------
    Welded
        The whole, in the form as sewn.

    Raises
    ------
    GeometryError
        If the two sides of a seam do not belong together, or an edge that is not on the floor ends at nothing.
    """
    regions = regions_of(room)
    shares = shares_of(regions, room.space, size_mm)
    nested = _uses(regions, shares)
    loops = [loop for region in nested for loop in region]
    uses = [use for loop in loops for use in loop]
    by_key: dict[int, list[_Use]] = {}
    for use in uses:
        by_key.setdefault(use.line.key, []).append(use)
    pairs = [pair for group in by_key.values() for pair in combinations(group, 2) if _sewn(*pair, regions)]
    number, count = _numbered(uses, loops, pairs)
    edge_nodes = _placed_edges(uses, number, count, room, shares)
    triangles, rest, region_of, least = [], [], [], np.pi
    borders: list[tuple[tuple[Border, ...], ...]] = []
    known: dict[tuple[object, ...], FlatMesh] = {}
    total = count
    for index, region in enumerate(nested):
        borders.append(tuple(tuple(_border(use, number, shares) for use in loop) for loop in region))
        flat_loops = [np.concatenate([one.rest[:-1] for one in loop]) for loop in borders[-1]]
        numbers = [np.concatenate([one.nodes[:-1] for one in loop]) for loop in borders[-1]]
        edge, corners = np.concatenate(numbers), np.concatenate(flat_loops)
        alike = np.round(corners, _ALIKE) + 0.0
        shape = (alike.tobytes(), *(len(loop) for loop in flat_loops))
        mesh = known.get(shape) or known.setdefault(shape, mesh_flat(flat_loops, size_mm))
        points = np.concatenate([corners, mesh.points[len(edge) :]])
        inner = len(points) - len(edge)
        names = np.concatenate([edge, np.arange(total, total + inner)])
        total += inner
        triangles.append(names[mesh.triangles])
        rest.append(points[mesh.triangles])
        region_of.append(np.full(len(mesh.triangles), index))
        least = min(least, mesh.least_angle_rad)
    nodes = np.concatenate([edge_nodes, np.zeros((total - count, 3))])
    faces, flat_faces = np.concatenate(triangles), np.concatenate(rest)
    floor, rings, vents = _ends(by_key, pairs, number, regions, room)
    return Welded(
        nodes=_inner(nodes, count, faces, flat_faces),
        triangles=faces,
        rest=flat_faces,
        regions=regions,
        region_of=np.concatenate(region_of),
        borders=tuple(borders),
        welds=_welds(by_key, pairs, number, regions),
        floor=floor,
        rings=rings,
        vents=vents,
        least_angle_rad=least,
    )


def _welds(
    by_key: Mapping[int, Sequence[_Use]],
    pairs: Sequence[tuple[_Use, _Use]],
    number: Ints,
    regions: Sequence[Region],
) -> tuple[Weld, ...]:
    """What was joined."""
    joined = {id(use) for pair in pairs for use in pair}
    found = []
    for key, group in by_key.items():
        both = [use for use in group if id(use) in joined]
        if not both:
            continue
        lengths = tuple(use.line.length_mm for use in both)
        found.append(
            Weld(key, tuple(regions[use.region].sheets for use in both), lengths, number[both[0].along])
        )
        if found[-1].mismatch_mm > TOLERANCES.seam_mismatch_mm:
            raise GeometryError(f"the sides of a seam differ by {found[-1].mismatch_mm:g} mm")
        if any((number[use.along] != found[-1].nodes).any() for use in both):
            raise GeometryError(f"more pieces meet in edge {key} than are sewn together there")
    return tuple(found)


def _ends(
    by_key: Mapping[int, Sequence[_Use]],
    pairs: Sequence[tuple[_Use, _Use]],
    number: Ints,
    regions: Sequence[Region],
    room: FlatRoom,
) -> tuple[Ints, tuple[Ints, ...], tuple[tuple[Ints, Ints], ...]]:
    """Edges that are not sewn: on the floor, at the end of a tube, along a vent."""
    joined = {id(use) for pair in pairs for use in pair}
    floor, vents = [np.zeros(0, dtype=np.int64)], []
    ends: dict[int, list[_Use]] = {}
    for key, group in by_key.items():
        loose = [use for use in group if id(use) not in joined]
        if np.abs(room.space[key][:, 2]).max() <= TOLERANCES.seam_mismatch_mm:
            floor += [number[use.slots] for use in group]
        elif len(loose) == 2:
            vents.append((number[loose[0].slots], number[loose[1].slots[::-1]]))
        elif len(loose) == 1 and regions[loose[0].region].kind.is_round:
            ends.setdefault(number[loose[0].slots[0]], []).append(loose[0])
        elif loose:
            raise GeometryError(f"edge {key} of {regions[loose[0].region].sheets[0]} ends at nothing")
    rings = []
    while ends:
        ring, start = [], min(ends)
        at = start
        while at in ends:
            (use,) = ends.pop(at)
            ring.append(number[use.slots[:-1]])
            at = number[use.slots[-1]]
        rings.append(np.concatenate(ring))
    return np.unique(np.concatenate(floor)), tuple(rings), tuple(vents)

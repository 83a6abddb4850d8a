"""The graph that is sewn along, sheets its nodes and seams its edges, and what shape a part of it has.

Glossary: a *bundle* is what hangs together after some seams are sewn. It is counted like any surface: with V
corners, E edges and its faces, Euler's number V - E + F is 1 for a flat patch and one less for every *loop*,
a way around that cannot be drawn together: a hole cut into a sheet, or a tube. A *rim* is a way around along
edges that are not sewn yet. This module knows nothing of the order of sewing.
"""

import math
from collections import Counter, defaultdict
from collections.abc import Collection, Hashable, Iterable, Mapping
from functools import cached_property

import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray

from shellparts.parameters.part import PANEL, Part, Role
from shellparts.pattern.made import Pattern
from shellparts.pattern.pieces import PieceEdge, Seam
from shellparts.pattern.seam_kinds import JOIN

__all__ = ["Bundle", "DisjointSets", "Place", "SewingGraph", "SewnSheet"]

#: An edge of a sheet: the sheet's name and the edge's id on its piece.
Place = tuple[str, str]


class DisjointSets:
    """Things that belong together, joined pair by pair."""

    def __init__(self, things: Iterable[Hashable]):
        self._home = {thing: thing for thing in things}

    def root(self, thing: Hashable) -> Hashable:
        """The thing that stands for a thing's group."""
        while self._home[thing] != thing:
            thing = self._home[thing]
        return thing

    def join(self, a: Hashable, b: Hashable) -> None:
        """Make one group of the groups of two things; that of the first stands for both."""
        self._home[self.root(b)] = self.root(a)

    def __len__(self) -> int:
        return sum(thing == home for thing, home in self._home.items())

    def sets(self) -> list[set[Hashable]]:
        """All groups, in the order of their first things."""
        found: dict[Hashable, set[Hashable]] = {}
        for thing in self._home:
            found.setdefault(self.root(thing), set()).add(thing)
        return list(found.values())


def _box_and_cross(ring: NDArray[np.float64]) -> float:
    """Length of rows around a box and along both its diagonals [mm]."""
    width, height = np.ptp(ring, axis=0).tolist()
    return 2.0 * (width + height) + 2.0 * math.hypot(width, height)


@frozen(eq=False)
class SewnSheet:
    """One sheet to be sewn."""

    name: str
    kind: Part
    cut_area_mm2: float  # Of its piece, inside the cutting line [mm2]
    loops: tuple[tuple[PieceEdge, ...], ...]  # The outer boundary counter-clockwise, then holes
    patches: tuple[str, ...] = ()  # Names of the patches and tabs that are sewn onto it

    @property
    def edges(self) -> tuple[PieceEdge, ...]:
        """Edges of all loops."""
        return tuple(edge for loop in self.loops for edge in loop)


@frozen(eq=False)
class SewingGraph:
    """Sheets and seams of a room."""

    sheets: Mapping[str, SewnSheet]  # By name, in the order of the pieces
    seams: Mapping[str, Seam]  # By id
    #: Length of the row of stitches around each patch, by its name [mm].
    patch_rows_mm: Mapping[str, float] = field(factory=dict)

    @cached_property
    def at(self) -> Mapping[Place, tuple[str, ...]]:
        """Ids of the seams at each edge that has any."""
        found: dict[Place, tuple[str, ...]] = {}
        for seam in self.seams.values():
            for place in self.places(seam.id):
                found[place] = (*found.get(place, ()), seam.id)
        return found

    @classmethod
    def of(cls, pattern: Pattern) -> "SewingGraph":
        """The graph of a pattern."""
        sheets = {
            name: SewnSheet(
                name,
                piece.kind,
                piece.cut_area_mm2,
                (piece.edges, *piece.holes),
                tuple(patch.name for patch in piece.patches),
            )
            for piece in pattern.pieces
            for name in piece.sheets
        }
        rows = {patch.name: patch.outline.perimeter_mm for patch in pattern.patches}
        rows |= {
            one.name: _box_and_cross(one.outline)
            for piece in pattern.pieces
            for one in piece.patches
            if one.loop is not None
        }
        return cls(sheets, {seam.id: seam for seam in pattern.seams}, rows)

    @cached_property
    def wholes(self) -> Mapping[str, str]:
        """The sheet that each sheet is a part of, by the name of its first part; itself, mostly."""
        groups = DisjointSets(self.sheets)
        for seam in self.seams.values():
            if seam.seam_class == JOIN:
                groups.join(*seam.sheets)
        return {name: str(groups.root(name)) for name in self.sheets}

    def is_join(self, seam: str) -> bool:
        """Whether a seam puts the parts of one sheet together."""
        return self.seams[seam].seam_class == JOIN

    def places(self, seam: str) -> tuple[Place, Place]:
        """Both edges of a seam."""
        (a, b), (edge_a, edge_b) = self.seams[seam].sheets, self.seams[seam].edges
        return (a, edge_a), (b, edge_b)

    def kinds(self, seam: str) -> frozenset[Part]:
        """What the two sheets of a seam are."""
        return frozenset(self.sheets[name].kind for name in self.seams[seam].sheets)

    def tube(self, seam: str) -> str | None:
        """The tube that a seam sets into a panel: the name of its sheet, or of the first part of it."""
        names = self.seams[seam].sheets
        roles = [self.sheets[name].kind.role for name in names]
        if {*roles} != {Role.PANEL, Role.TUBE}:
            return None
        return self.wholes[names[roles.index(Role.TUBE)]]

    @cached_property
    def tubes(self) -> tuple[str, ...]:
        """All tubes, those that close on themselves first, as `tube` names them."""
        found = {
            self.wholes[name]: sheet.kind
            for name, sheet in self.sheets.items()
            if sheet.kind.role is Role.TUBE
        }
        return tuple(sorted(found, key=lambda name: not found[name].is_round))

    def around(self, tube: str) -> list[str]:
        """Panels that a tube is set into, with all their parts."""
        names = {name for seam in self.seams if self.tube(seam) == tube for name in self.seams[seam].sheets}
        wholes = {self.wholes[name] for name in names if self.sheets[name].kind.role is Role.PANEL}
        return [name for name in self.sheets if self.wholes[name] in wholes]

    @cached_property
    def root(self) -> list[str]:
        """Panels that the others are joined to: around the first doorway, or else the first tube, or the first one."""
        standing = [name for name in self.tubes if not self.sheets[name].kind.is_round]
        near = [name for tube in (*standing, *self.tubes) for name in self.around(tube)]
        return near or [name for name, sheet in self.sheets.items() if sheet.kind.role is Role.PANEL]

    def edge(self, place: Place) -> PieceEdge:
        """The edge at a place."""
        return next(edge for edge in self.sheets[place[0]].edges if edge.id == place[1])

    def neighbours(self, place: Place) -> tuple[Place, Place]:
        """The edges before and after an edge on its loop."""
        sheet, edge_id = place
        loop = next(loop for loop in self.sheets[sheet].loops if any(e.id == edge_id for e in loop))
        i = [edge.id for edge in loop].index(edge_id)
        return (sheet, loop[i - 1].id), (sheet, loop[(i + 1) % len(loop)].id)


@frozen(eq=False)
class Bundle:
    """Sheets with some of the seams between them sewn."""

    graph: SewingGraph
    sheets: frozenset[str]  # Names
    seams: frozenset[str] = frozenset()  # Ids of seams that are sewn; both sheets of each are in the bundle

    def _glued(self) -> tuple[DisjointSets, DisjointSets, dict[Place, tuple[Hashable, Hashable]]]:
        """Corners and edges as they are joined by the seams, and the corners at both ends of each edge."""
        ends: dict[Place, tuple[Hashable, Hashable]] = {}
        for name in self.graph.sheets:
            if name in self.sheets:
                for loop in self.graph.sheets[name].loops:
                    ids = [edge.id for edge in loop]
                    for edge_id, following in zip(ids, ids[1:] + ids[:1], strict=True):
                        ends[name, edge_id] = ((name, edge_id), (name, following))
        corners, edges = DisjointSets(start for start, _ in ends.values()), DisjointSets(ends)
        for seam in sorted(self.seams):
            a, b = self.graph.places(seam)
            edges.join(a, b)
            # Both walk counter-clockwise around their own sheets, so one walks against the other.
            corners.join(ends[a][0], ends[b][1])
            corners.join(ends[a][1], ends[b][0])
        return corners, edges, ends

    @property
    def holes(self) -> int:
        """Holes that are cut into its sheets."""
        return sum(len(self.graph.sheets[name].loops) - 1 for name in self.sheets)

    @property
    def loops(self) -> int:
        """Ways around that cannot be drawn together: how many parts it has, less Euler's number."""
        corners, edges, _ = self._glued()
        return self.parts - (len(corners) - len(edges) + len(self.sheets) - self.holes)

    @property
    def tubes(self) -> int:
        """Loops that are no holes cut into sheets."""
        return self.loops - self.holes

    @property
    def parts(self) -> int:
        """How many parts it has that do not hang together."""
        groups = DisjointSets(sorted(self.sheets))
        for seam in self.seams:
            groups.join(*self.graph.seams[seam].sheets)
        return len(groups)

    def only(self, kind: Part) -> "Bundle":
        """The sheets of one kind in it, and the seams between them."""
        sheets = frozenset(name for name in self.sheets if self.graph.sheets[name].kind == kind)
        seams = (seam for seam in self.seams if sheets.issuperset(self.graph.seams[seam].sheets))
        return Bundle(self.graph, sheets, frozenset(seams))

    @property
    def is_shut(self) -> bool:
        """Whether it is a tube, or its panels are one that has only been capped: no more to be laid out."""
        return self.tubes > 0 or self.only(PANEL).tubes > 0

    def rims_mm(self) -> list[float]:
        """Lengths of the ways around along edges that are not sewn [mm], the longest first."""
        corners, edges, ends = self._glued()
        shared = Counter(edges.root(place) for place in ends)
        free = [place for place in ends if shared[edges.root(place)] == 1]
        around = DisjointSets(sorted({corners.root(end) for place in free for end in ends[place]}, key=str))
        for place in free:
            around.join(*(corners.root(end) for end in ends[place]))
        lengths: dict[Hashable, float] = defaultdict(float)
        for place in free:
            lengths[around.root(corners.root(ends[place][0]))] += self.graph.edge(place).length_mm
        return sorted(lengths.values(), reverse=True)

    def closes_ring(self, seams: Collection[str]) -> bool:
        """Whether seams of it run all the way around, back to where they begin."""
        corners, _, ends = self._glued()
        stretches = {self.graph.places(seam)[0] for seam in seams}
        joined = DisjointSets(
            sorted({corners.root(end) for place in stretches for end in ends[place]}, key=str)
        )
        for place in sorted(stretches):
            a, b = (joined.root(corners.root(end)) for end in ends[place])
            if a == b:
                return True
            joined.join(a, b)
        return False

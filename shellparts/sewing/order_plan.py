"""Planning the order of sewing from the graph of seams alone.

Flat work comes first: the parts of a sheet that is larger than the cloth are joined, openings are reinforced and
short hems turned in while a sheet is on its own, the curtain is sewn to the flat tunnel, the sleeve is closed and
set into its panel, the tunnel is set into the panels that it goes through. Then the other panels are joined in
pairs, pairs of pairs and so on, to two sides, which are joined to the piece with the doorway; the seam farthest
from the doorway closes the ring. Cap, flaps and the hem of the foot are last.

Glossary: the *root* is the piece with the doorway; the *rank* of a piece of panels is how many seams it is away
from the root. This module does not check what it plans; `order_check` does.
"""

from collections.abc import Collection, Iterable, Iterator, Sequence

from attrs import frozen

from shellparts.body.seams import EdgeRole
from shellparts.parameters.part import CAP, FLAP, PANEL, Part, Role
from shellparts.sewing.bundle import DisjointSets, Place, SewingGraph
from shellparts.sewing.order_steps import Action, Stage, Task
from shellparts.sewing.parts import fittings_of

__all__ = ["plan"]


def _between(graph: SewingGraph, *parts: Part) -> list[str]:
    """Seams between two parts, or within one."""
    return [seam for seam in graph.seams if graph.kinds(seam) == set(parts)]


def _joins(graph: SewingGraph) -> Iterator[Task]:
    """Put sheets that are larger than the cloth together, one whole sheet a task."""
    by_whole: dict[str, list[str]] = {}
    for seam in graph.seams:
        if graph.is_join(seam):
            by_whole.setdefault(graph.wholes[graph.seams[seam].sheets[0]], []).append(seam)
    for seams in by_whole.values():
        yield from _sewn(Stage.FLAT, seams)


def _patches(graph: SewingGraph) -> Iterator[Task]:
    """Sew patches and tabs on, sheet by sheet, before an opening is cut through them."""
    for sheet in graph.sheets.values():
        if sheet.patches:
            yield Task(
                Stage.FLAT, Action.PATCH, patches=tuple((sheet.name, patch) for patch in sheet.patches)
            )


def _openings(graph: SewingGraph) -> Iterator[Task]:
    """Reinforce, panel by panel, where a tube will be set in."""
    for sheet in graph.sheets.values():
        if sheet.kind.role is Role.PANEL:
            edges = tuple(
                (sheet.name, edge.id)
                for edge in sheet.edges
                if any(graph.tube(seam) for seam in graph.at.get((sheet.name, edge.id), ()))
            )
            if edges:
                yield Task(Stage.FLAT, Action.REINFORCE, edges=edges)


def _cuts(graph: SewingGraph) -> Iterator[Task]:
    """Cut the openings inside a sheet, when its patches are on."""
    for sheet in graph.sheets.values():
        edges = tuple((sheet.name, edge.id) for hole in sheet.loops[1:] for edge in hole)
        if edges:
            yield Task(Stage.FLAT, Action.CUT, edges=edges)


def _fitted(graph: SewingGraph) -> Iterator[Task]:
    """Clips, cords and ties, when all is sewn."""
    found = [fitting.place for fitting in fittings_of(graph, knots_mm=0.0)]
    edges = tuple(place for place in found if place[1] != "tab")
    ties = tuple(place for place in found if place[1] == "tab")
    if found:
        yield Task(Stage.FIT, Action.FIT, edges=edges, patches=ties)


def _unsewn(graph: SewingGraph) -> list[Place]:
    """Edges that are turned in: hems, and edges that are left open."""
    roles = (EdgeRole.HEM, EdgeRole.OPEN)
    return [(s.name, edge.id) for s in graph.sheets.values() for edge in s.edges if edge.role in roles]


def _hemmed_flat(graph: SewingGraph, place: Place) -> bool:
    """Whether an edge must be hemmed while its sheet is flat: all of tunnel, sleeve and curtain, and what ends
    at a tube's seam.
    """
    if graph.sheets[place[0]].kind.role in (Role.CLOSURE, Role.TUBE):
        return True
    beside = [seam for other in graph.neighbours(place) for seam in graph.at.get(other, ())]
    return any(graph.tube(seam) for seam in beside)


def _flat_hems(graph: SewingGraph) -> Iterator[Task]:
    by_sheet: dict[str, list[Place]] = {}
    for place in _unsewn(graph):
        if _hemmed_flat(graph, place):
            by_sheet.setdefault(place[0], []).append(place)
    for places in by_sheet.values():
        yield Task(Stage.FLAT, Action.HEM, edges=tuple(places))


def _sewn(stage: str, seams: Sequence[str]) -> Iterator[Task]:
    if seams:
        yield Task(stage, Action.SEW, seams=tuple(seams))


def _curtain(graph: SewingGraph) -> Iterator[Task]:
    """Each leaf onto the tunnel, the second one over the first where they overlap."""
    by_leaf: dict[str, list[str]] = {}
    for seam in graph.seams.values():
        leaves = [name for name in seam.sheets if graph.sheets[name].kind.role is Role.CLOSURE]
        if leaves and not graph.is_join(seam.id):
            by_leaf.setdefault(graph.wholes[leaves[-1]], []).append(seam.id)
    for seams in by_leaf.values():
        yield from _sewn(Stage.FLAT, seams)


@frozen(eq=False)
class _Ring:
    """Panels as they are being joined: which hang together, and the seams between panels not sewn yet."""

    graph: SewingGraph
    groups: DisjointSets
    left: list[str]

    @classmethod
    def of(cls, graph: SewingGraph) -> "_Ring":
        panels = [name for name, sheet in graph.sheets.items() if sheet.kind.role is Role.PANEL]
        ring = cls(graph, DisjointSets(panels), _between(graph, PANEL))
        ring.join([seam for seam in ring.left if graph.is_join(seam)])
        return ring

    def pieces(self, seams: Sequence[str]) -> frozenset[object]:
        """The pieces that seams join."""
        return frozenset(self.groups.root(n) for seam in seams for n in self.graph.seams[seam].sheets)

    def links(self, within: Collection[str] | None = None) -> dict[frozenset[object], list[str]]:
        """Seams not sewn yet, by the two pieces that they join, or the one; only between some panels if given."""
        found: dict[frozenset[object], list[str]] = {}
        for seam in self.left:
            if within is None or set(self.graph.seams[seam].sheets) <= set(within):
                found.setdefault(self.pieces([seam]), []).append(seam)
        return found

    def join(self, seams: Sequence[str]) -> None:
        """Take note that seams are sewn."""
        for seam in seams:
            self.groups.join(*self.graph.seams[seam].sheets)
            self.left.remove(seam)


def _ranks(links: Iterable[frozenset[object]], root: object) -> dict[object, int]:
    """How many seams each piece is away from the root."""
    pairs = [tuple(link) for link in links if len(link) == 2]
    ranks, edge = {root: 0}, [root]
    while edge:
        near = {b if a in edge else a for a, b in pairs if (a in edge) != (b in edge)} - ranks.keys()
        edge = sorted(near, key=str)
        ranks |= {piece: max(ranks.values()) + 1 for piece in edge}
    return ranks


def _tree(links: dict[frozenset[object], list[str]], root: object) -> tuple[list[list[str]], list[list[str]]]:
    """Seams that join every piece once, those near the root first, and seams that then close ways around."""
    ranks = _ranks(links, root)
    near = sorted(links, key=lambda link: (sum(ranks[p] for p in link) / len(link), links[link][0]))
    pieces = DisjointSets(sorted({piece for link in links for piece in link}, key=str))
    tree, rest = [], []
    for link in near:
        ends = [pieces.root(piece) for piece in link]
        if len(set(ends)) == 2:
            pieces.join(*ends)
            tree.append(links[link])
        else:
            rest.append(links[link])
    return tree, rest


def _set_in(graph: SewingGraph, tube: str, ring: _Ring) -> Iterator[Task]:
    """Join the panels around a tube while they lie flat, and set the tube in."""
    around, stage = graph.around(tube), graph.sheets[tube].kind.stage
    links = {link: seams for link, seams in ring.links(around).items() if len(link) == 2}
    if links:
        for seams in _tree(links, ring.groups.root(around[0]))[0]:
            ring.join(seams)
            yield from _sewn(stage, seams)
    yield from _sewn(stage, [seam for seam in graph.seams if graph.tube(seam) == tube])


def _matched(links: Iterable[list[str]], ring: _Ring) -> list[list[str]]:
    """Links of which no two touch the same piece."""
    busy: set[object] = set()
    chosen = []
    for seams in links:
        if not ring.pieces(seams) & busy:
            busy |= ring.pieces(seams)
            chosen.append(seams)
    return chosen


def _shell(ring: _Ring, root_sheet: str) -> Iterator[Task]:
    """Pairs, quarters and halves away from the root; both sides to the root; the closing seam."""
    links, root = ring.links(), ring.groups.root(root_sheet)
    around = [seams for link, seams in links.items() if len(link) == 1]
    tree, closing = _tree({link: seams for link, seams in links.items() if len(link) == 2}, root)
    last = [seams for seams in tree if root in ring.pieces(seams)]
    branches = [seams for seams in tree if seams not in last]
    stage: str = Stage.PAIRS
    while branches:
        # From the far end on, so that what is left over lies beside the doorway.
        now = _matched(reversed(branches), ring)
        branches = [seams for seams in branches if seams not in now]
        for seams in now:
            ring.join(seams)
            yield from _sewn(stage, seams)
        stage = Stage.QUARTERS
    for stage, some in ((Stage.HALVES, last), (Stage.CLOSING, [*around, *closing])):
        for seams in some:
            ring.join(seams)
            yield from _sewn(stage, seams)


def _flaps(graph: SewingGraph) -> Iterator[Task]:
    """Flaps in a row, the row onto the shell, and what closes it to a ring."""
    rows = DisjointSets(name for name, sheet in graph.sheets.items() if sheet.kind.role is Role.FLAP)
    between = []
    for seam in _between(graph, FLAP):
        if graph.is_join(seam):
            rows.join(*graph.seams[seam].sheets)
        else:
            between.append(seam)
    row: list[str] = []
    closing: list[str] = []
    for seam in between:
        a, b = graph.seams[seam].sheets
        (closing if rows.root(a) == rows.root(b) else row).append(seam)
        rows.join(a, b)
    for members in rows.sets():
        yield from _sewn(Stage.FLAP, [seam for seam in row if set(graph.seams[seam].sheets) <= members])
    for members in rows.sets():
        upper = _between(graph, FLAP, PANEL)
        yield from _sewn(Stage.FLAP, [seam for seam in upper if set(graph.seams[seam].sheets) & members])
    yield from _sewn(Stage.FLAP, closing)


def plan(graph: SewingGraph) -> list[Task]:
    """Plan the order of sewing."""
    ring = _Ring.of(graph)
    tasks = [
        *_joins(graph),
        *_patches(graph),
        *_cuts(graph),
        *_openings(graph),
        *_flat_hems(graph),
        *_curtain(graph),
    ]
    for seam in graph.seams.values():
        if seam.sheets[0] == seam.sheets[1]:
            tasks += _sewn(graph.sheets[seam.sheets[0]].kind.stage, [seam.id])
    for tube in graph.tubes:
        tasks += _set_in(graph, tube, ring)
    tasks += _shell(ring, graph.root[0])
    tasks += _sewn(Stage.CAP, _between(graph, PANEL, CAP))
    tasks += _flaps(graph)
    foot = tuple(place for place in _unsewn(graph) if not _hemmed_flat(graph, place))
    tasks += [Task(Stage.FOOT, Action.HEM, edges=foot)] if foot else []
    return [*tasks, *_fitted(graph)]

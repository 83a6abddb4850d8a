"""From outlines and the graph of edges to the pattern: pieces that are cut alike, and every seam."""

import math
from collections.abc import Callable, Mapping, Sequence

from attrs import frozen

from shellparts.base.errors import GeometryError
from shellparts.body.seams import EdgeRole, SeamGraph
from shellparts.parameters.allowances import Allowances
from shellparts.parameters.part import Role
from shellparts.parameters.reinforcement import Reinforcement
from shellparts.pattern.alike import PieceClass, classes_of
from shellparts.pattern.cutting import cutting_line
from shellparts.pattern.dividing import Cut, divided
from shellparts.pattern.marked import with_marks
from shellparts.pattern.naming import piece_names, with_words
from shellparts.pattern.narrow import refuse_narrow
from shellparts.pattern.patches import with_patches
from shellparts.pattern.pieces import Piece, PieceEdge, Seam
from shellparts.pattern.placing import placed, rounded
from shellparts.pattern.runs import EdgeRun, runs_of
from shellparts.pattern.seam_kinds import class_of, is_wide, seam_allowance
from shellparts.pattern.ticks import with_ticks
from shellparts.unroll.outline import Outline

__all__ = ["Pattern", "make_pattern"]

#: Takes whole pieces and tells where to divide which sheets.
Joins = Callable[[Sequence[Piece]], Mapping[str, Sequence[Cut]]]
_NOTCH_SPACING_MM = 400.0
#: Shorter edges carry no notch [mm]: its ticks would come too near the ends.
_LEAST_NOTCHED_MM = 60.0


@frozen(eq=False)
class Pattern:
    """All pieces, seams and patches (with tabs) of a room: each template once, each seam once."""

    pieces: tuple[Piece, ...]
    seams: tuple[Seam, ...]
    patches: tuple[Piece, ...] = ()

    @property
    def templates(self) -> tuple[Piece, ...]:
        """Everything that is cut, each shape once: pieces, then patches."""
        return (*self.pieces, *self.patches)

    def piece(self, name: str) -> Piece:
        """The piece with this name."""
        return next(piece for piece in self.templates if piece.name == name)


def _plan_seams(runs: Sequence[EdgeRun], order: Mapping[str, int]) -> list[tuple[EdgeRun, EdgeRun]]:
    """Pair the runs that are sewn together. Where three sheets meet, both others are sewn to the first."""
    by_keys: dict[tuple[str, frozenset[int]], list[EdgeRun]] = {}
    for run in runs:
        by_keys.setdefault((run.sheet, run.keys), []).append(run)
    seams = []
    for run in runs:
        if run.use.role is not EdgeRole.SEAM:
            continue
        group = sorted({run.sheet, *run.use.partners}, key=order.__getitem__)
        if run.sheet != group[0]:
            continue
        if len(group) == 1:
            both = by_keys[run.sheet, run.keys]
            if run is both[0]:
                seams.append((run, both[-1]))
            continue
        for other in group[1:]:
            partner = by_keys.get((other, run.keys))
            if partner is None:
                raise GeometryError(f"the edges of {run.sheet} and {other} are not divided alike")
            seams.append((run, partner[0]))
    return seams


def _allowance(run: EdgeRun, graph: SeamGraph, allowances: Allowances) -> float:
    kind = graph.kinds[run.sheet]
    if run.use.role is EdgeRole.SEAM:
        other = run.use.partners[0]
        return seam_allowance(allowances, _class(run, other, graph), _is_wide(run, other, graph))
    if kind.drawn and run.use.role is EdgeRole.HEM:
        return allowances.drawcord
    return allowances.hem


def _is_wide(run: EdgeRun, other: str, graph: SeamGraph) -> bool:
    """Whether a run carries the wide side of its seam with another sheet."""
    along, up = (run.flat[-1].end - run.flat[0].start).tolist()
    # A level edge counts as rising to the right, so that of the two edges of a level join one is the wide one.
    rises = up > 0.0 if abs(up) > 1e-6 * abs(along) else along > 0.0
    return is_wide(graph.kinds[run.sheet], graph.kinds[other], rises)


def _class(run: EdgeRun, other: str, graph: SeamGraph) -> str:
    kinds = graph.kinds[run.sheet], graph.kinds[other]
    return class_of(*kinds, joint=other == run.sheet, join=not run.keys.isdisjoint(graph.joins))


def _notches(length: float) -> tuple[float, ...]:
    """Distances of evenly spaced notches, none at the ends."""
    whole = round(length, 1)  # so that both edges of a seam decide alike
    spaces = max(2, math.ceil(whole / _NOTCH_SPACING_MM)) if whole > _LEAST_NOTCHED_MM else 1
    return tuple(length * i / spaces for i in range(1, spaces))


@frozen(eq=False)
class _Sheets:
    """Sheets as they lie on the table: the runs of their boundaries, and which of them are cut alike."""

    lying: Mapping[str, Outline]
    graph: SeamGraph
    allowances: Allowances
    runs: list[EdgeRun]
    classes: list[PieceClass]
    names: list[str]

    @classmethod
    def of(cls, lying: Mapping[str, Outline], graph: SeamGraph, allowances: Allowances) -> "_Sheets":
        """Alike are sheets only where their boundaries are divided alike too, with the same cloth left outside."""
        runs = runs_of(lying, graph)
        roles: dict[str, dict[int, object]] = {name: {} for name in lying}
        for run in runs:
            role = run.use.role, len(run.flat), _allowance(run, graph, allowances)
            roles[run.sheet] |= dict.fromkeys((edge.key for edge in run.flat), role)
        classes = classes_of(lying, roles, graph.kinds)
        return cls(lying, graph, allowances, runs, classes, piece_names(classes, graph))

    def edges(self, seams: Mapping[int, Sequence[str]]) -> dict[str, list[tuple[EdgeRun, PieceEdge]]]:
        """The edges of every sheet, with the ids of the seams that are sewn along each run."""
        edges: dict[str, list[tuple[EdgeRun, PieceEdge]]] = {name: [] for name in self.lying}
        for run in self.runs:
            own, sewn = edges[run.sheet], run.use.role is EdgeRole.SEAM
            edge = PieceEdge(
                id=f"e{len(own) + 1}",
                role=run.use.role,
                flat=run.flat,
                allowance_mm=_allowance(run, self.graph, self.allowances),
                seams=tuple(seams.get(id(run), ())),
                notches_mm=_notches(sum(e.length_mm for e in run.flat)) if sewn else (),
            )
            own.append((run, edge))
        return edges

    def pieces(
        self, edges: Mapping[str, Sequence[tuple[EdgeRun, PieceEdge]]], known: Sequence[Piece] = ()
    ) -> list[Piece]:
        """One piece for all sheets that are cut alike; cutting lines that are known already are kept."""
        pieces = []
        for number, (alike, name) in enumerate(zip(self.classes, self.names, strict=True)):
            first = alike.sheets[0]
            loops: list[list[PieceEdge]] = [[] for _ in self.lying[first].loops]
            for run, edge in edges[first]:
                loops[run.loop].append(edge)
            holes = tuple(tuple(loop) for loop in loops[1:])
            piece = Piece(
                name=name,
                kind=self.graph.kinds[first],
                sheets=alike.sheets,
                mirror_of=None if alike.mirror_of is None else self.names[alike.mirror_of],
                outline=self.lying[first],
                edges=tuple(loops[0]),
                holes=holes,
                cutting=known[number].cutting if known else cutting_line(name, loops[0], holes),
            )
            pieces.append(piece)
        return pieces


def make_pattern(
    outlines: Mapping[str, Outline],
    graph: SeamGraph,
    allowances: Allowances,
    joins: Joins | None = None,
    reinforcement: Reinforcement | None = None,
    clip_spacing_mm: float = 100.0,
) -> Pattern:
    """Make the pattern.

    Parameters
    ----------
    outlines : mapping
        Flat outline of each sheet by name, in the body's order.
    graph : SeamGraph
        What each edge is to each sheet.
    allowances : Allowances
        Cloth outside the sewing lines.
    joins : callable, optional
        Takes the pieces as they would be cut whole, and tells where those larger than the cloth are divided, by the
        names of their sheets; none are unless given.
    reinforcement : Reinforcement, optional
        Sizes of patches and tabs; none are made unless given.
    clip_spacing_mm : float
        From clip to clip along edges that are left open [mm].

    Raises
    ------
    ParameterError
        If a piece is too narrow to be sewn.
    GeometryError
        If the two sides of a seam do not belong together.
    """
    lying = {
        name: placed(
            rounded(outline) if graph.kinds[name].role is Role.CAP else outline, graph.kinds[name], graph
        )
        for name, outline in outlines.items()
    }
    sheets = _Sheets.of(lying, graph, allowances)
    whole = sheets.pieces(sheets.edges({}))
    refuse_narrow(whole)
    cuts = joins(whole) if joins is not None else {}
    if cuts:
        sheets, whole = _Sheets.of(*divided(lying, graph, cuts), allowances), []
    planned = _plan_seams(sheets.runs, {name: i for i, name in enumerate(sheets.lying)})
    width = max(2, len(str(len(planned))))
    ids: dict[int, list[str]] = {}
    for number, both in enumerate(planned, 1):
        for run in {id(run): run for run in both}.values():
            ids.setdefault(id(run), []).append(f"S{number:0{width}d}")
    edges = sheets.edges(ids)
    pieces = sheets.pieces(edges, whole)
    if cuts:
        refuse_narrow(pieces)
    seams = [
        _seam(
            f"S{i:0{width}d}",
            both,
            sheets.classes,
            sheets.names,
            edges,
            _class(both[0], both[1].sheet, sheets.graph),
            allowances,
            0 if _is_wide(both[0], both[1].sheet, sheets.graph) else 1,
        )
        for i, both in enumerate(planned, 1)
    ]
    ticked = tuple(with_words(with_ticks(pieces, seams), seams))
    ticked = tuple(with_marks(ticked, seams, sheets.graph, clip_spacing_mm))
    patches: tuple[Piece, ...] = ()
    if reinforcement is not None:
        ticked, patches = with_patches(ticked, seams, sheets.graph, reinforcement)
    return Pattern(ticked, tuple(seams), patches)


def _seam(
    seam_id: str,
    runs: tuple[EdgeRun, EdgeRun],
    classes: Sequence[PieceClass],
    names: Sequence[str],
    edges: Mapping[str, Sequence[tuple[EdgeRun, PieceEdge]]],
    seam_class: str,
    allowances: Allowances,
    wide: int,
) -> Seam:
    sides = []
    for run in runs:
        own = next(edge for other, edge in edges[run.sheet] if other is run)
        index = next(i for i, cls in enumerate(classes) if run.sheet in cls.sheets)
        # The same edge on the template: the one that lies where this one lies.
        first = classes[index].sheets[0]
        at, _ = own.at(own.length_mm / 2)
        candidates = [edge for _, edge in edges[first]]
        off = [float(abs(edge.at(edge.length_mm / 2)[0] - at).max()) for edge in candidates]
        template = candidates[off.index(min(off))]
        sides.append((run.sheet, names[index], template.id, own))
    sheets, pieces, templates, own_edges = zip(*sides, strict=True)
    allowances_mm = tuple(edge.allowance_mm for edge in own_edges)
    return Seam(
        id=seam_id,
        sheets=sheets,
        pieces=pieces,
        edges=templates,
        lengths_mm=tuple(edge.length_mm for edge in own_edges),
        allowance_mm=max(allowances_mm),
        notches=len(own_edges[0].notches_mm),
        kind=allowances.kind(seam_class),
        allowances_mm=allowances_mm,
        seam_class=seam_class,
        wide=wide,
    )

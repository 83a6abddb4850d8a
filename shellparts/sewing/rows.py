"""Every row of stitches of an order of sewing: along which edges, from where to where, which cloth lies on top.

Glossary: a row by itself *starts* at the lower of its two ends. Beside each end lies the end of a neighbouring edge:
where a hem goes straight on into a seam, at the snip between the two; where that edge is still to be turned in, the row
runs out over the cutting edge, unless the other piece goes on there in a seam; where it is turned in already, it begins
or ends at that finished edge, of whichever of the two pieces; where it is a seam, at the corner where the two sewing
lines meet, so that the allowances can open; where it is a cord channel, below the channel, so that its mouths stay
open; a hem ends at a seam that is sewn, a channel at its turned-in ends. Rows of one step that meet are one run,
listed as the needle goes: seams and strips around a corner, hems across a seam or straight on. A run all around ends
over its beginning.
Both ends of a run are backstitched. This module plans nothing and writes no sentences.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from enum import Enum

from attrs import evolve, frozen

from shellparts.body.seams import EdgeRole
from shellparts.parameters.part import Role
from shellparts.pattern.hems import HemTurns, hem_turns
from shellparts.pattern.pieces import PieceEdge
from shellparts.pattern.seam_kinds import EdgeFinish
from shellparts.sewing.bundle import Place, SewingGraph
from shellparts.sewing.order_steps import Action, SewingOrder, Step
from shellparts.sewing.runs import runs_of

__all__ = ["BACKSTITCHES", "OVERLAP_MM", "PARTED_RAD", "Row", "RowEnd", "sewn_rows"]

#: Stitches sewn back at both ends of a run, and how far one all around runs over its beginning [mm]: common practice.
BACKSTITCHES, OVERLAP_MM = 4, 30.0
#: Two edges that meet at less than this are hemmed in one row; a hem that meets a seam at less is parted from it [rad].
_STRAIGHT_RAD, PARTED_RAD = math.radians(5.0), math.radians(45.0)


class RowEnd(Enum):
    """Where a row starts or stops."""

    RAW = "cutting edge"
    SNIP = "snip"
    CORNER = "corner of the sewing lines"
    FINISHED = "finished edge"
    TURNED = "turned-in end"
    CHANNEL = "below the cord channel"
    SEAM = "the seam there"
    ANY = "any place"
    RING = "corner where the run ends again"
    ROUND = "over its beginning"
    FROM = "on from the row before"
    ON = "on into the next row, needle down"


@frozen
class Row:
    """One seam, or one edge that is finished.

    Parameters
    ----------
    step : int
        Number of the step.
    seam : str
        Id of the seam; nothing of an edge.
    edges : tuple of Place
        Both edges of a seam, or the edge.
    made : str
        The kind of seam, or how the edge is finished.
    length_mm : float
        That is sewn, along the sewing line [mm].
    on_top : Place or None
        Of a lapped seam the edge that lies on top, seen from outside; of others the one towards which both allowances
        are turned.
    behind : str
        The sheet that a leaf lies behind where the two overlap, seen from outside; nothing else.
    waits_for : str
        The sheet that is sewn over a leaf later, where the two overlap; nothing else.
    start_at, stop_at : str
        What lies at either end: the edge beside the first edge, or sheet and edge where it is beside the second.
    start, stop : RowEnd
        Where the row starts and stops there.
    at_end : bool
        Whether it starts where its first edge ends, as edges run, and not where that begins.
    run : int
        Number of the run within the step.
    short_mm : float
        How far it keeps away from the finished edge of a cord channel [mm].
    turns : HemTurns or None
        Of a hem.
    """

    step: int
    seam: str
    edges: tuple[Place, ...]
    made: str
    length_mm: float
    on_top: Place | None = None
    behind: str = ""
    waits_for: str = ""
    start_at: str = ""
    stop_at: str = ""
    start: RowEnd = RowEnd.RAW
    stop: RowEnd = RowEnd.RAW
    at_end: bool = False
    run: int = 1
    short_mm: float = 0.0
    turns: HemTurns | None = None


@frozen(eq=False)
class _Done:
    """What is finished before a step."""

    graph: SewingGraph
    hemmed: frozenset[Place]
    sewn: frozenset[str]  # Ids of seams

    def end(self, beside: Sequence[Place]) -> tuple[RowEnd, float, Place]:
        """How a seam ends beside these ends of edges, how far from a cord channel, and which edge decides it."""
        edges = [(place, self.graph.edge(place), self.graph.sheets[place[0]].kind) for place in beside]
        loose = [one for one in edges if one[1].role in (EdgeRole.HEM, EdgeRole.OPEN)]
        channels = [(place, edge) for place, edge, kind in loose if kind.drawn and edge.role is EdgeRole.HEM]
        if channels:
            wide = max(hem_turns(edge.allowance_mm).second_mm for _, edge in channels)
            return RowEnd.CHANNEL, wide, channels[0][0]
        if not loose:
            return RowEnd.CORNER, 0.0, beside[0]
        raw = [place for place, _, _ in loose if place not in self.hemmed]
        if raw and len(loose) < len(edges):
            return RowEnd.CORNER, 0.0, beside[0]
        return (RowEnd.RAW, 0.0, raw[0]) if raw else (RowEnd.FINISHED, 0.0, loose[0][0])

    def over_seams(self, place: Place, side: int) -> tuple[Place, bool]:
        """What lies beyond one end of an edge (0: its beginning), and whether a seam that is sewn lies between."""
        beside, crossed = self.graph.neighbours(place)[side], False
        while beside != place:
            seam = next((one for one in self.graph.at.get(beside, ()) if one in self.sewn), None)
            if seam is None:
                break
            places = self.graph.places(seam)
            other = places[1] if places[0] == beside else places[0]
            beside, crossed = self.graph.neighbours(other)[side], True
        return beside, crossed


def _rises(edge: PieceEdge) -> bool:
    return float(edge.flat[-1].end[1]) >= float(edge.flat[0].start[1])


def _seam_row(graph: SewingGraph, step: Step, seam_id: str, leaves: Sequence[str]) -> Row:
    seam = graph.seams[seam_id]
    places = graph.places(seam_id)
    own = [name for name in seam.sheets if name in leaves]
    other = next((name for name in leaves if name not in own), "") if own else ""
    is_front = bool(own) and own[0] == leaves[0]
    return Row(
        step=step.number,
        seam=seam_id,
        edges=places,
        made=seam.kind.value,
        length_mm=seam.lengths_mm[0],
        on_top=places[seam.wide],
        behind="" if is_front else other,
        waits_for=other if is_front else "",
    )


def _edge_row(graph: SewingGraph, step: Step, place: Place) -> Row:
    edge, kind = graph.edge(place), graph.sheets[place[0]].kind
    hem = step.task.action is Action.HEM
    made = EdgeFinish.HEM if hem else EdgeFinish.REINFORCED
    if hem and kind.drawn and edge.role is EdgeRole.HEM:
        made = EdgeFinish.DRAWCORD
    return Row(
        step=step.number,
        seam="",
        edges=(place,),
        made=made.value,
        length_mm=edge.length_mm,
        turns=hem_turns(edge.allowance_mm) if hem else None,
    )


def _leaves(graph: SewingGraph, step: Step) -> list[str]:
    """All leaves that hang in the tube which a step sews one to, in the order in which they are sewn."""
    tubes = {
        name
        for seam in step.task.seams
        for name in graph.seams[seam].sheets
        if graph.sheets[name].kind.role is Role.TUBE
    }
    found = (
        name
        for seam in graph.seams.values()
        if set(seam.sheets) & tubes
        for name in seam.sheets
        if graph.sheets[name].kind.role is Role.CLOSURE
    )
    return list(dict.fromkeys(found))


def _turn(graph: SewingGraph, place: Place, beyond: Place) -> float:
    """How far the boundary of a sheet turns from an edge into the next one, either way [rad]."""
    (_, there), (_, here) = graph.edge(beyond).at(0.0), graph.edge(place).at(graph.edge(place).length_mm)
    return abs(math.remainder(there - here, 2.0 * math.pi))


def _after(done: _Done, step: Step) -> Callable[[Place], Place | None]:
    """The edge on which the needle could go on at the end of another."""

    def hem(place: Place) -> Place | None:
        beyond, crossed = done.over_seams(place, 1)
        on = crossed or beyond == place or _turn(done.graph, place, beyond) < _STRAIGHT_RAD
        return beyond if on else None

    return hem if step.task.action is Action.HEM else lambda place: done.graph.neighbours(place)[1]


def _free_end(done: _Done, row: Row, side: int, hemmed: set[Place]) -> tuple[RowEnd, float, Place]:
    """How a row ends where no other follows; `hemmed` are edges that the same step turned in before."""
    place = row.edges[0]
    beside = done.graph.neighbours(place)[side]
    if row.seam:
        return done.end((beside, done.graph.neighbours(row.edges[1])[1 - side]))
    if row.turns is None:
        return RowEnd.RAW, 0.0, beside
    if row.made == EdgeFinish.DRAWCORD.value:
        return RowEnd.TURNED, 0.0, beside
    beyond, crossed = done.over_seams(place, side)
    if crossed:
        return RowEnd.SEAM, 0.0, beside
    pair = (beside, place) if side == 0 else (place, beside)
    if done.graph.edge(beside).role is EdgeRole.SEAM and _turn(done.graph, *pair) < PARTED_RAD:
        return RowEnd.SNIP, 0.0, beside
    return (RowEnd.FINISHED if beyond in done.hemmed | hemmed else RowEnd.RAW), 0.0, beside


def _step_rows(done: _Done, step: Step) -> Iterator[Row]:
    """Rows of a step as the needle goes, with their ends."""
    graph, leaves = done.graph, _leaves(done.graph, step)
    rows = [_seam_row(graph, step, seam, leaves) for seam in step.task.seams]
    if step.task.action in (Action.HEM, Action.REINFORCE):
        rows += [_edge_row(graph, step, place) for place in step.task.edges]
    hemmed: set[Place] = set()
    for number, run in enumerate(runs_of([row.edges for row in rows], _after(done, step)), 1):
        last = len(run.rows) - 1
        way = run.rows
        if not last and not run.closed:
            way = ((way[0][0], not _rises(graph.edge(rows[way[0][0]].edges[0]))),)
        for k, (which, back) in enumerate(way):
            row = rows[which]
            ends, short = [RowEnd.FROM, RowEnd.ON], 0.0
            beside = [*graph.neighbours(row.edges[0])][:: -1 if back else 1]
            if run.closed and k == 0:
                ends[0] = RowEnd.RING if last else RowEnd.ANY
            if run.closed and k == last:
                ends[1] = RowEnd.ROUND
            for at in ({0} if k == 0 else set()) | ({1} if k == last else set()):
                if not run.closed:
                    ends[at], own, beside[at] = _free_end(done, row, at if not back else 1 - at, hemmed)
                    short = max(short, own)
            own_sheet = row.edges[0][0]
            start_at, stop_at = (one[1] if one[0] == own_sheet else " ".join(one) for one in beside)
            yield evolve(
                row,
                start_at=start_at,
                stop_at=stop_at,
                start=ends[0],
                stop=ends[1],
                at_end=back,
                run=number,
                short_mm=short,
                length_mm=row.length_mm - short,
            )
        if step.task.action is Action.HEM:
            hemmed |= {rows[which].edges[0] for which, _ in way}


def sewn_rows(order: SewingOrder, graph: SewingGraph) -> Iterator[Row]:
    """Every row of an order, step by step, in the order of the needle.

    Parameters
    ----------
    order : SewingOrder
    graph : SewingGraph
        Of the same pattern.

    Returns
    -------
    iterator of Row
        Patches and fittings have rows of their own kind; see the steps.
    """
    hemmed: set[Place] = set()
    sewn: set[str] = set()
    for step in order.steps:
        yield from _step_rows(_Done(graph, frozenset(hemmed), frozenset(sewn)), step)
        if step.task.action is Action.HEM:
            hemmed |= set(step.task.edges)
        sewn |= set(step.task.seams)

"""Every row of stitches of an order of sewing: along which edges, from where to where, which cloth lies on top.

Glossary: a row *starts* at the lower of its two ends. Beside each end lies the end of a neighbouring edge: where that
is still to be turned in, the row runs out over the cutting edge; where it is turned in already, it begins or ends at
the finished edge; where it is a seam, at the corner where the two sewing lines meet, so that the allowances can open;
where it is a cord channel, below the channel, so that its mouths stay open. Seams of one step
that meet are sewn on. A row all around ends over its beginning.
Both ends are backstitched. This module plans nothing and writes no sentences.
"""

from collections.abc import Iterator, Sequence
from enum import Enum

from attrs import frozen

from shellparts.body.seams import EdgeRole
from shellparts.parameters.part import Role
from shellparts.pattern.pieces import PieceEdge
from shellparts.pattern.seam_kinds import EdgeFinish
from shellparts.sewing.bundle import Place, SewingGraph
from shellparts.sewing.hems import HemTurns, hem_turns
from shellparts.sewing.order_steps import Action, SewingOrder, Step

__all__ = ["BACKSTITCHES", "OVERLAP_MM", "Row", "RowEnd", "sewn_rows"]

#: Stitches sewn back at both ends of a row, and how far a row all around runs over its beginning [mm]: common practice.
BACKSTITCHES, OVERLAP_MM = 4, 30.0


class RowEnd(Enum):
    """Where a row starts or stops."""

    RAW = "cutting edge"
    CORNER = "corner of the sewing lines"
    FINISHED = "finished edge"
    CHANNEL = "below the cord channel"
    ROUND = "over its beginning"
    ON = "on into the next seam, needle down"


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
        Along the sewing line [mm].
    on_top : Place or None
        Of a lapped seam the edge that lies on top, seen from outside; of others the one towards which both allowances
        are turned.
    behind : str
        The sheet that a leaf lies behind where the two overlap, seen from outside; nothing else.
    start_at, stop_at : str
        The neighbouring edge of the first edge at either end.
    start, stop : RowEnd
        Where the row starts and stops there.
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
    start_at: str = ""
    stop_at: str = ""
    start: RowEnd = RowEnd.RAW
    stop: RowEnd = RowEnd.RAW
    short_mm: float = 0.0
    turns: HemTurns | None = None


@frozen(eq=False)
class _Done:
    """What is finished before a step."""

    graph: SewingGraph
    hemmed: frozenset[Place]
    now: frozenset[Place]  # Edges that the step itself sews

    def end(self, beside: Sequence[Place]) -> tuple[RowEnd, float]:
        """How a row ends beside these ends of edges."""
        if self.now.intersection(beside):
            return RowEnd.ON, 0.0
        edges = [(place, self.graph.edge(place), self.graph.sheets[place[0]].kind) for place in beside]
        loose = [one for one in edges if one[1].role in (EdgeRole.HEM, EdgeRole.OPEN)]
        channels = [edge for _, edge, kind in loose if kind.drawn and edge.role is EdgeRole.HEM]
        if channels:
            return RowEnd.CHANNEL, max(hem_turns(edge.allowance_mm).second_mm for edge in channels)
        if not loose:
            return RowEnd.CORNER, 0.0
        ready = all(place in self.hemmed for place, _, _ in loose)
        return (RowEnd.FINISHED if ready else RowEnd.RAW), 0.0


def _rises(edge: PieceEdge) -> bool:
    return float(edge.flat[-1].end[1]) >= float(edge.flat[0].start[1])


def _seam_row(done: _Done, step: Step, seam_id: str, leaves: Sequence[str]) -> Row:
    graph, seam = done.graph, done.graph.seams[seam_id]
    places = graph.places(seam_id)
    edge = graph.edge(places[0])
    # The two edges are walked against each other: one begins where the other ends.
    (before, after), (after_b, before_b) = graph.neighbours(places[0]), graph.neighbours(places[1])
    ends = [(before, before_b), (after, after_b)]
    if not _rises(edge):
        ends.reverse()
    if places[0] == before or places[1] == before_b:  # it is a whole loop
        (start, short), (stop, _) = (RowEnd.CORNER, 0.0), (RowEnd.ROUND, 0.0)
    else:
        (start, low), (stop, high) = (done.end(beside) for beside in ends)
        short = max(low, high)
    own = [name for name in seam.sheets if name in leaves]
    front = next((name for name in leaves if name not in own), "") if own and own[0] != leaves[0] else ""
    return Row(
        step=step.number,
        seam=seam_id,
        edges=places,
        made=seam.kind.value,
        length_mm=seam.lengths_mm[0],
        on_top=places[seam.wide],
        behind=front,
        start_at=ends[0][0][1],
        stop_at=ends[1][0][1],
        start=start,
        stop=stop,
        short_mm=short,
    )


def _edge_row(done: _Done, step: Step, place: Place) -> Row:
    edge, kind = done.graph.edge(place), done.graph.sheets[place[0]].kind
    hem = step.task.action is Action.HEM
    made = EdgeFinish.HEM if hem else EdgeFinish.REINFORCED
    if hem and kind.drawn and edge.role is EdgeRole.HEM:
        made = EdgeFinish.DRAWCORD
    before, after = done.graph.neighbours(place)
    whole = before == place
    ends = [RowEnd.CORNER, RowEnd.ROUND] if whole else [RowEnd.RAW, RowEnd.RAW]
    return Row(
        step=step.number,
        seam="",
        edges=(place,),
        made=made.value,
        length_mm=edge.length_mm,
        start_at=before[1],
        stop_at=after[1],
        start=ends[0],
        stop=ends[1],
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


def sewn_rows(order: SewingOrder, graph: SewingGraph) -> Iterator[Row]:
    """Every row of an order, step by step.

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
    for step in order.steps:
        now = frozenset(place for seam in step.task.seams for place in graph.places(seam))
        done = _Done(graph, frozenset(hemmed), now)
        leaves = _leaves(graph, step)
        yield from (_seam_row(done, step, seam, leaves) for seam in step.task.seams)
        if step.task.action in (Action.HEM, Action.REINFORCE):
            yield from (_edge_row(done, step, place) for place in step.task.edges)
        if step.task.action is Action.HEM:
            hemmed |= set(step.task.edges)

"""What is done before a step's rows can be sewn: allowances snipped, strips eased, loops folded away, a ring begun.

Glossary: to *snip* is to cut an allowance towards the sewing line, so that it spreads around a corner or an inner
curve, or is turned in on one side of the cut alone; to *ease* is to take up in small pleats what is longer. Each
sentence is told only where the cloth asks for it.
"""

import math
from collections.abc import Iterator, Sequence

import numpy as np

from shellparts.drawing.book_of import BookOf
from shellparts.drawing.piece_marks import SHORT_OF_MM, snips
from shellparts.parameters.allowances import SeamKind
from shellparts.parameters.part import Role
from shellparts.pattern.naming import OUTER_UP
from shellparts.pattern.pieces import Piece, PieceEdge
from shellparts.sewing.bundle import SewingGraph
from shellparts.sewing.order_steps import Action, Stage, Step
from shellparts.sewing.parts import Strip
from shellparts.sewing.rows import Row, RowEnd

__all__ = ["eased", "looked_to"]

#: Sides of an opening, counter-clockwise from the right.
_SIDES = ("right", "highest", "left", "lowest")


def looked_to(book: BookOf, graph: SewingGraph, steps: Sequence[Step], rows: Sequence[Row]) -> Iterator[str]:
    """What is done before the rows of some steps that are alike.

    Parameters
    ----------
    book : BookOf
    graph : SewingGraph
        Of its pattern.
    steps : sequence of Step
        That stand on one card.
    rows : sequence of Row
        Of these steps.

    Yields
    ------
    str
        Sentences, in the order of the work.
    """
    yield from _snipped(book, steps[0])
    if steps[0].task.action is Action.PATCH:
        yield from _tabs(book, steps[0])
    if steps[0].task.seams:
        yield from _loops(graph, steps[0])
        yield from _stands_off(graph, steps[0])
        yield from _bent(book, graph, steps[0])
        yield from _begun(book, graph, rows[0])


def _snipped(book: BookOf, step: Step) -> Iterator[str]:
    """Which allowances are snipped, how far and how often."""
    seams = {seam.id: seam for seam in book.pattern.seams}
    worked: dict[str, list[str]] = {}
    for name in step.task.seams:
        for sheet, edge in zip(seams[name].sheets, seams[name].edges, strict=True):
            worked.setdefault(sheet, []).append(edge)
    hem = step.task.action is Action.HEM
    turned = set(step.task.edges) if hem else set()
    for sheet, edge in step.task.edges if hem else ():
        worked.setdefault(sheet, []).append(edge)
    short = book.length(SHORT_OF_MM)
    told: dict[tuple[str, ...], list[str]] = {}
    for sheet, edges in worked.items():
        where = tuple(_snips_of(book, book.where[sheet], edges, hem))
        if where:
            told.setdefault(where, []).append(sheet)
    for where, sheets in told.items():
        yield (
            f"First snip the allowance of {' and '.join(sheets)}, all layers, to within {short} of the sewing line, as "
            f"its drawing in the chapter \u201cThe pieces\u201d shows: {'; '.join(where)}."
        )
    if step.task.stage == Stage.FOOT and any(
        one.at_seam and not turned.isdisjoint((sheet, edge) for edge in one.edges)
        for sheet in worked
        for one in snips(book.where[sheet])
    ):
        yield (
            "First snip the allowance at every seam that the hem crosses, all layers, along the seam and to within "
            f"{short} of the finished edge: there the hem bends, and its cut edge must spread."
        )


def _snips_of(book: BookOf, piece: Piece, edges: Sequence[str], hem: bool) -> Iterator[str]:
    """Where a piece is snipped before some edges of it are sewn, or turned in."""
    sewn = {edge.id for edge in piece.all_edges if edge.seams}
    found = [one for one in snips(piece) if (not sewn.issuperset(one.edges)) is hem and not one.at_seam]
    if hem:
        joints = [one.edges for one in found if not set(edges).isdisjoint(one.edges)]
        yield from (f"where {before} goes on into {after}" for before, after in joints)
        return
    found = [one for one in found if set(one.edges) <= set(edges)]
    for edge in edges:
        along = [one.at_mm for one in found if one.edges == (edge,)]
        if len(along) > 1:
            yield f"about every {book.length(round(float(np.median(np.diff(along))), -1))} along {edge}"
        elif along:
            yield f"in the middle of the bend of {edge}"
    corners = [" and ".join(one.edges) for one in found if len(one.edges) == 2]
    if corners:
        yield f"into the corner{'s' * (len(corners) > 1)} of {', of '.join(corners)}"


def _tabs(book: BookOf, step: Step) -> Iterator[str]:
    """How much of a tab's fold stays open."""
    loops = {
        book.length(float(np.ptp(patch.loop[:, 1])))
        for sheet, _ in step.task.patches
        for patch in book.where[sheet].patches
        if patch.loop is not None
    }
    if loops:
        yield (
            f"A tab's loop is {' or '.join(sorted(loops))} long, from the fold on, and stays open; the box is "
            "sewn on the rest. Its long sides are turned in up to its sewing line."
        )


def _stands_off(graph: SewingGraph, step: Step) -> Iterator[str]:
    """On which side of the cloth a tube goes off, or what becomes of the allowance of a cap."""
    roles = {
        graph.sheets[sheet].kind.role: sheet for seam in step.task.seams for sheet in graph.seams[seam].sheets
    }
    if {Role.PANEL, Role.TUBE} == set(roles):
        yield (
            f"{roles[Role.TUBE]} goes off on the outer side: push its edge in through the opening by the "
            "allowance, and bend the allowance around the opening inward along it."
        )
        if sum(graph.seams[seam].kind is SeamKind.TAPED for seam in step.task.seams) > 1:
            yield "Where one tape meets the next let it run on over it by a hand's breadth."
    if Role.CAP in roles and all(graph.seams[seam].kind is not SeamKind.LAPPED for seam in step.task.seams):
        yield "Turned onto the cap the allowances are too long: lay them in small pleats."


def _bent(book: BookOf, graph: SewingGraph, step: Step) -> Iterator[str]:
    """How the edge of a curtain, which hangs across a tube, is laid along the tube's."""
    for sheet in dict.fromkeys(one for seam in step.task.seams for one in graph.seams[seam].sheets):
        if graph.sheets[sheet].kind.role is not Role.CLOSURE:
            continue
        here = set(step.task.seams)
        edges = [
            one for one in book.where[sheet].all_edges if here.intersection(graph.at.get((sheet, one.id), ()))
        ]
        curved = any(float(flat.curvature.max()) > 0.0 for edge in edges for flat in edge.flat)
        pleats = "; in the curve lay what is too long of it in small pleats" if curved else ""
        seam = graph.seams[step.task.seams[0]]
        tube = next(name for name in seam.sheets if name != sheet)
        if seam.kind is SeamKind.LAPPED:
            yield f"{sheet} hangs across {tube}: sew the lap flat, then bend it on the sewing line{pleats}."
        else:
            yield (
                f"{sheet} hangs across {tube}: its allowance is bent on the sewing line and comes to lie along {tube}, "
                f"corner on corner and notch on notch{pleats}."
            )


def _loops(graph: SewingGraph, step: Step) -> Iterator[str]:
    """Loops of tabs that hang over a seam of the flap: its rows run under them."""
    laps = [graph.seams[one] for one in step.task.seams if graph.seams[one].kind is SeamKind.LAPPED]
    met = [seam for seam in laps if any(graph.sheets[name].kind.role is Role.FLAP for name in seam.sheets)]
    if any("tab" in graph.sheets[name].patches for seam in met for name in seam.sheets):
        yield "First fold the loops of the tabs up, out of the way: no row runs across an open loop."


def _begun(book: BookOf, graph: SewingGraph, row: Row) -> Iterator[str]:
    """Where the seam of a tube comes to lie on the ring that it is set into."""
    if row.start is not RowEnd.ANY or not row.seam:
        return
    (sheet, edge_id), (tube, other) = row.edges
    beside = graph.neighbours((tube, other))[1]
    own = next((one for one in graph.at.get(beside, ()) if set(graph.seams[one].sheets) == {tube}), None)
    if own is None:
        return
    edge = next(one for one in book.where[sheet].all_edges if one.id == edge_id)
    notch = f"; the first notch is {book.length(edge.notches_mm[0])} on" if edge.notches_mm else ""
    yield f"Seam {own} of {tube} comes to {_side(edge)} of {sheet} {edge_id}, seen {OUTER_UP}, foot down{notch}."


def _side(edge: PieceEdge) -> str:
    """Where on its ring an edge begins."""
    off = np.asarray(edge.flat[0].start) - np.mean(edge.polyline(1.0), axis=0)
    quarter = round(math.atan2(float(off[1]), float(off[0])) / (math.pi / 2.0)) % 4
    return f"the {_SIDES[quarter]} point"


def eased(strip: Strip) -> str:
    """In which order a strip is sewn on, and how it is led around what is not straight."""
    if strip.seam:
        return ""
    words = ["sew the edge of the strip first that lies on the cloth"]
    words.append("then the one on the cutting line" + ", eased in small pleats" * strip.round_a_curve)
    if strip.round_corners:
        words.append("at each corner fold the strip over to a mitre")
    return f" {'; '.join(words).capitalize()}."

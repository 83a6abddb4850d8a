"""Small parts that are no pieces of cloth: strips along openings, tape over seams, clips, cords, ties.

Glossary: a *strip* lies inside along the opening that a tube is set into; a *tie* is a cord through the loop of a tab.
"""

import math
from collections.abc import Iterator, Sequence

from attrs import frozen

from shellparts.body.seams import EdgeRole
from shellparts.parameters.allowances import SeamKind
from shellparts.parameters.part import Role
from shellparts.pattern.marked import STRIP_MM
from shellparts.pattern.pieces import PieceEdge
from shellparts.sewing.bundle import Place, SewingGraph

__all__ = ["TIE_MM", "Fitting", "Strip", "fittings_of", "strips_of", "vents_of"]

#: Ends of a strip overlap so far [mm], and a tie is so long [mm]: common practice.
_OVERLAP_MM, TIE_MM = 100.0, 1500.0
#: A strip is eased or mitred where its edges turn by more than this [rad].
_TURN_RAD = math.radians(10.0)


@frozen
class Strip:
    """A strip of tape.

    Parameters
    ----------
    name : str
        Unique.
    edges : tuple of Place
        The edges along which it lies.
    seam : str
        Id of the taped seam that it lies over; nothing of a strip along an opening.
    width_mm, length_mm : float
        As cut, its overlap with it [mm].
    round_a_curve, round_corners : bool
        Whether it is led around a curve, or around corners.
    """

    name: str
    edges: tuple[Place, ...]
    seam: str
    width_mm: float
    length_mm: float
    round_a_curve: bool = False
    round_corners: bool = False


@frozen
class Fitting:
    """What is put on when all is sewn.

    Parameters
    ----------
    part : str
        ``"clip"``, ``"drawcord"`` or ``"tie"``.
    place : Place
        Sheet, and the edge that it holds or runs through; the tab of a tie.
    count : int
        How many there.
    length_mm : float
        Of cord as it is cut, each, its knots included [mm]; 0 of clips.
    """

    part: str
    place: Place
    count: int
    length_mm: float = 0.0


def _turns(graph: SewingGraph, sheet: str, edges: Sequence[PieceEdge]) -> tuple[list[float], list[float]]:
    """How far a strip on the cloth is bent along each edge, and at each corner between two of them [rad]."""
    bent = [-sum(float(flat.heading[-1] - flat.heading[0]) for flat in edge.flat) for edge in edges]
    own = {(sheet, edge.id) for edge in edges}
    corners = []
    for edge in edges:
        beyond = graph.neighbours((sheet, edge.id))[1]
        if beyond in own:
            turn = graph.edge(beyond).at(0.0)[1] - edge.at(edge.length_mm)[1]
            corners.append(-math.remainder(float(turn), 2.0 * math.pi))
    return bent, corners


def strips_of(graph: SewingGraph) -> Iterator[Strip]:
    """All strips, sheet by sheet, then tapes over seams.

    A strip around an opening is as long as its outer edge, which lies on the cloth: around a curve that turns by t it
    is longer than the sewing line by t times its width on the cloth, at a corner by twice that width times tan(t/2).
    """
    for sheet in graph.sheets.values():
        edges = [edge for edge in sheet.edges if edge.strip_mm]
        if edges:
            wide = edges[0].strip_mm
            bent, corners = _turns(graph, sheet.name, edges)
            off = wide - min(edge.allowance_mm for edge in edges)
            longer = sum(off * turn for turn in bent) + sum(
                2.0 * off * math.tan(turn / 2.0) for turn in corners
            )
            length = sum(edge.length_mm for edge in edges) + max(0.0, longer) + _OVERLAP_MM
            places = tuple((sheet.name, edge.id) for edge in edges)
            curved, cornered = (any(turn > _TURN_RAD for turn in turns) for turns in (bent, corners))
            yield Strip(f"strip_{sheet.name}", places, "", wide, length, curved, cornered)
    for seam in graph.seams.values():
        if seam.kind is SeamKind.TAPED:
            length = max(seam.lengths_mm) + _OVERLAP_MM
            yield Strip(f"tape_{seam.id}", graph.places(seam.id), seam.id, STRIP_MM, length)


def vents_of(graph: SewingGraph) -> Iterator[tuple[Place, Place]]:
    """Both edges of every vent: that of the tube, and that of the curtain which is clipped to it."""
    for place, seams in graph.at.items():
        if graph.sheets[place[0]].kind.role is not Role.TUBE:
            continue
        for seam in seams:
            a, b = graph.places(seam)
            other = b if a == place else a
            for side, own in enumerate(graph.neighbours(place)):
                across = graph.neighbours(other)[1 - side]
                if graph.edge(own).clips_mm and graph.edge(across).role is EdgeRole.OPEN:
                    yield own, across


def fittings_of(graph: SewingGraph, knots_mm: float) -> Iterator[Fitting]:
    """All clips, drawcords and ties, sheet by sheet; every drawcord is longer than its channel for knots [mm]."""
    for sheet in graph.sheets.values():
        for edge in sheet.edges:
            if edge.clips_mm and sheet.kind.role is Role.TUBE:
                yield Fitting("clip", (sheet.name, edge.id), len(edge.clips_mm))
            if sheet.kind.drawn and edge.role is EdgeRole.HEM:
                yield Fitting("drawcord", (sheet.name, edge.id), 1, edge.length_mm + knots_mm)
        ties = sheet.patches.count("tab")
        if ties:
            yield Fitting("tie", (sheet.name, "tab"), ties, TIE_MM)

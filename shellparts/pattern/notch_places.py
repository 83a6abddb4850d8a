"""Where notches lie, for the tape: along each edge from one of its corners, and on the piece.

Glossary: a notch's *tick code* is how many ticks it is cut with; both edges of a seam have the same notches with
the same ticks, and as each is walked counter-clockwise around its own piece, one edge counts them from the other end.
"""

from collections.abc import Iterator

from attrs import frozen

from shellparts.pattern.made import Pattern
from shellparts.pattern.pieces import Piece, PieceEdge

__all__ = ["NotchPlace", "notch_places"]


@frozen
class NotchPlace:
    """One notch of one edge of a piece.

    Parameters
    ----------
    piece, edge : str
        Names of the piece and of its edge.
    meets : tuple of str
        The edges that it is sewn to, as ``piece:edge``, each once.
    seams : tuple of str
        Ids of the seams there, of all copies of the piece.
    from_edge, to_edge : str
        The neighbours at whose corners the edge begins and ends; the edge itself where it runs all around.
    number : int
        Of the notch along the edge, from 1.
    ticks : int
        With how many ticks it is cut.
    at_mm, left_mm : float
        From the beginning of the edge, and to its end, along the sewing line [mm].
    along_mm, across_mm : float
        On the piece: up its centre line from its lower edge, and to the right of it as seen from outside [mm].
    """

    piece: str
    edge: str
    meets: tuple[str, ...]
    seams: tuple[str, ...]
    from_edge: str
    to_edge: str
    number: int
    ticks: int
    at_mm: float
    left_mm: float
    along_mm: float
    across_mm: float


def notch_places(pattern: Pattern) -> Iterator[NotchPlace]:
    """Every notch of a pattern, piece by piece and edge by edge; a piece that is cut several times comes once."""
    meets: dict[tuple[str, str], dict[str, None]] = {}
    seams: dict[tuple[str, str], dict[str, None]] = {}
    for seam in pattern.seams:
        sides = tuple(zip(seam.pieces, seam.edges, strict=True))
        for own, other in (sides, sides[::-1]):
            meets.setdefault(own, {})[":".join(other)] = None
            seams.setdefault(own, {})[seam.id] = None
    for piece in pattern.pieces:
        for loop in (piece.edges, *piece.holes):
            for before, edge, after in zip(
                (*loop[-1:], *loop[:-1]), loop, (*loop[1:], *loop[:1]), strict=True
            ):
                place = piece.name, edge.id
                others = tuple(meets.get(place, ())), tuple(seams.get(place, ()))
                yield from _along(piece, edge, others, (before.id, after.id))


def _along(
    piece: Piece, edge: PieceEdge, others: tuple[tuple[str, ...], tuple[str, ...]], ends: tuple[str, str]
) -> Iterator[NotchPlace]:
    for number, (at, ticks) in enumerate(zip(edge.notches_mm, edge.ticks, strict=True), 1):
        across, along = edge.at(at)[0].tolist()
        left = edge.length_mm - at
        yield NotchPlace(piece.name, edge.id, *others, *ends, number, ticks, at, left, along, across)

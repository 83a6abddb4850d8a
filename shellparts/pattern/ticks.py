"""Ticks: notches cut once, twice, three times or more, so that a wrong pairing shows on the cloth alone.

Glossary: edges that are sewn to each other, directly or through alike pieces, form a *family*; its *code* is
the number of ticks at each notch along the edge. Codes read the same from either end, because the two edges of
a seam are walked in opposite directions; families that could be taken for each other, being about as long and
having as many notches, have different codes. This module knows nothing of where notches lie.
"""

import itertools
from collections.abc import Iterator, Mapping, Sequence

from attrs import evolve, frozen

from shellparts.pattern.pieces import Piece, PieceEdge, Seam

__all__ = ["Family", "families_of", "with_ticks"]

#: Families that differ by less than this in length [mm], or by less than this share of it, need other codes.
_CLOSE_MM, _CLOSE_SHARE = 25.0, 0.02

Place = tuple[str, str]


@frozen
class Family:
    """Edges of pieces that are sewn to each other."""

    places: tuple[Place, ...]  # Piece and id of each edge, in the order of the pieces
    length_mm: float  # Of each of them [mm]
    notches: int  # How many notches each of them has

    def like(self, other: "Family") -> bool:
        """Whether an edge of the one could be taken for an edge of the other but for its ticks."""
        apart = abs(self.length_mm - other.length_mm)
        return self.notches == other.notches and apart <= max(_CLOSE_MM, _CLOSE_SHARE * self.length_mm)


def families_of(pieces: Sequence[Piece], seams: Sequence[Seam]) -> list[Family]:
    """Group the edges of all pieces by what they are sewn to."""
    edges: dict[Place, PieceEdge] = {
        (piece.name, edge.id): edge for piece in pieces for edge in piece.all_edges if edge.seams
    }
    home = {place: place for place in edges}

    def root(place: Place) -> Place:
        while home[place] != place:
            place = home[place]
        return place

    order = {place: i for i, place in enumerate(edges)}
    for seam in seams:
        a, b = (root(place) for place in zip(seam.pieces, seam.edges, strict=True))
        first, other = sorted((a, b), key=order.__getitem__)
        home[other] = first
    members: dict[Place, list[Place]] = {}
    for place in edges:
        members.setdefault(root(place), []).append(place)
    return [
        Family(tuple(places), edges[first].length_mm, len(edges[first].notches_mm))
        for first, places in members.items()
    ]


def _halves(ticks: int, notches: int, most: int) -> Iterator[tuple[int, ...]]:
    """All ways to share out so many ticks over so many notches, one to `most` each; in alphabetic order."""
    if notches == 0:
        yield ()
        return
    rest = notches - 1
    for first in range(max(1, ticks - most * rest), min(most, ticks - rest) + 1):
        for others in _halves(ticks - first, rest, most):
            yield (first, *others)


def _codes(notches: int) -> Iterator[tuple[int, ...]]:
    """All codes of so many notches, those with few ticks first; up to three ticks a notch as long as they last."""
    half = (notches + 1) // 2
    for most in itertools.count(3):
        for ticks in range(half, most * half + 1):
            for one in _halves(ticks, half, most):
                if most == 3 or most in one:
                    yield (*one, *one[: notches - half][::-1])


def _coded(families: Sequence[Family]) -> Mapping[Place, tuple[int, ...]]:
    """A code for every edge: the first that no family like its own has."""
    given: list[tuple[Family, tuple[int, ...]]] = []
    for family in families:
        taken = {code for other, code in given if family.like(other) or other.like(family)}
        code = next(c for c in _codes(family.notches) if c not in taken) if family.notches else ()
        given.append((family, code))
    return {place: code for family, code in given for place in family.places}


def with_ticks(pieces: Sequence[Piece], seams: Sequence[Seam]) -> list[Piece]:
    """Give every notch its ticks."""
    codes = _coded(families_of(pieces, seams))

    def ticked(name: str, edges: Sequence[PieceEdge]) -> tuple[PieceEdge, ...]:
        return tuple(evolve(edge, ticks=codes.get((name, edge.id), ())) for edge in edges)

    return [
        evolve(
            piece,
            edges=ticked(piece.name, piece.edges),
            holes=tuple(ticked(piece.name, hole) for hole in piece.holes),
        )
        for piece in pieces
    ]

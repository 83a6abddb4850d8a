"""What else is decided along the edges of pieces: strips that strengthen openings, clips that hold a vent shut.

Glossary: a *strip* of tape or cloth lies on the inner side along an opening that a tube is set into, one edge of it on
the cutting line; a *clip* holds an edge that is left open to the edge across from it. The lowest clip is at the floor.
"""

import math
from collections.abc import Sequence

from attrs import evolve

from shellparts.body.seams import EdgeRole, SeamGraph
from shellparts.parameters.part import Role
from shellparts.pattern.pieces import Piece, PieceEdge, Seam

__all__ = ["STRIP_MM", "clip_places", "with_marks"]

#: Width of a strip [mm]: common practice, tape as it is sold.
STRIP_MM = 50.0
#: The lowest clip, and the highest at least, is so far from the edge's end [mm], to hold cloth on both sides.
_CLIP_END_MM = 10.0


def clip_places(length_mm: float, spacing_mm: float) -> tuple[float, ...]:
    """Distances of clips from the lower end of an edge that is left open.

    Parameters
    ----------
    length_mm : float
        Of the edge [mm].
    spacing_mm : float
        From clip to clip [mm].

    Returns
    -------
    tuple of float
        As many as `loads.vent.clips_each_side` counts [mm].

    Examples
    --------
    >>> clip_places(300.0, 100.0)
    (10.0, 110.0, 210.0)
    """
    count = max(1, math.ceil(length_mm / spacing_mm - 1e-9))
    end = min(_CLIP_END_MM, length_mm / 2)
    return tuple(min(end + k * spacing_mm, length_mm - end) for k in range(count))


def with_marks(
    pieces: Sequence[Piece], seams: Sequence[Seam], graph: SeamGraph, clip_spacing_mm: float
) -> list[Piece]:
    """Give edges their strips and clips."""
    tubes = {name for name, kind in graph.kinds.items() if kind.role is Role.TUBE}
    at_tubes = {
        place
        for seam in seams
        if set(seam.sheets) & tubes
        for place in zip(seam.pieces, seam.edges, strict=True)
    }

    def marked(piece: Piece, loop: Sequence[PieceEdge]) -> tuple[PieceEdge, ...]:
        found = []
        for before, edge in zip((*loop[-1:], *loop[:-1]), loop, strict=True):
            if piece.kind.role is Role.PANEL and (piece.name, edge.id) in at_tubes:
                edge = evolve(edge, strip_mm=STRIP_MM)
            if edge.role is EdgeRole.OPEN:
                places = clip_places(edge.length_mm, clip_spacing_mm)
                if before.role is EdgeRole.SEAM:  # it comes down to the floor
                    places = tuple(edge.length_mm - one for one in places)
                edge = evolve(edge, clips_mm=places)
            found.append(edge)
        return tuple(found)

    return [
        evolve(
            piece,
            edges=marked(piece, piece.edges),
            holes=tuple(marked(piece, hole) for hole in piece.holes),
        )
        for piece in pieces
    ]

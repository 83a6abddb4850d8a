"""The pieces as the book shows them: one sketch a piece, every edge with its name, lengths to check, notches by tape.

Glossary: a *straight* length is that from one end of an edge to the other, as a tape that is pulled tight shows it.
"""

from collections.abc import Iterator
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from shellparts.drawing.blocks import Block, Chapter, Figure, Grid, Section, Together, Words
from shellparts.drawing.book_of import BookOf
from shellparts.drawing.edge_names import what_is_done
from shellparts.drawing.piece_sketch import piece_sketch
from shellparts.pattern.check_lengths import corners_of
from shellparts.pattern.naming import OUTER_UP, in_short
from shellparts.pattern.pieces import Piece, PieceEdge

__all__ = ["pieces_chapter"]

#: Paper for the sketch of a piece, and of a small one [mm]; one is small below this [mm].
_TALL_MM, _SMALL_TALL_MM, _SMALL_MM = 45.0, 28.0, 800.0
#: An edge is curved where its straight length is shorter by more than this [mm].
_CURVED_MM = 1.0
#: So many edges in turn that are alike share a row.
_MANY_ALIKE = 5
#: Columns of the table of edges.
_HEAD = (
    "edge",
    "what happens there",
    "length",
    "straight",
    "allowed",
    "notches, from the corner with another edge",
)


def _straight(edge: PieceEdge) -> float:
    return float(np.linalg.norm(edge.flat[-1].end - edge.flat[0].start))


def _notches(book: BookOf, edge: PieceEdge) -> str:
    """Places of notches along an edge, and with how many ticks each is cut."""
    places = [book.length(at) for at in edge.notches_mm]
    if all(place.endswith(" mm") for place in places[:-1]):
        places = [*(place.removesuffix(" mm") for place in places[:-1]), *places[-1:]]
    if len(set(edge.ticks)) > 1:
        places = [f"{place} ({ticks})" for place, ticks in zip(places, edge.ticks, strict=True)]
        return f"{', '.join(places)}; in brackets how many ticks"
    return f"{', '.join(places)}; {edge.ticks[0]} tick{'s' * (edge.ticks[0] > 1)}" if places else ""


def _edge(book: BookOf, piece: Piece, edge: PieceEdge, before: str) -> tuple[str, ...]:
    straight = _straight(edge)
    curved = edge.length_mm - straight > _CURVED_MM and before != edge.id
    start = f"from {before}: " if edge.notches_mm and before != edge.id else ""
    return (
        edge.id,
        edge.words or " ".join(edge.seams) or what_is_done(piece, edge),
        book.length(edge.length_mm),
        book.length(straight) if curved else "\u2013",
        book.length(edge.allowance_mm),
        start + _notches(book, edge),
    )


def _edges(book: BookOf, piece: Piece) -> Grid:
    """A row for every edge; many in turn that differ by their seams only share one."""
    rows = [
        _edge(book, piece, edge, before.id)
        for loop in (piece.edges, *piece.holes)
        for before, edge in zip((*loop[-1:], *loop[:-1]), loop, strict=True)
    ]
    shown: list[tuple[str, ...]] = []
    for (notches, _), group in groupby(rows, lambda row: (row[5].partition(": ")[2] or row[5], row[2:5])):
        alike = list(group)
        if len(alike) < _MANY_ALIKE:
            shown += alike
            continue
        does = " ".join(dict.fromkeys(row[1] for row in alike))
        each = f"from the edge before: {notches}" if notches else ""
        shown.append((f"{alike[0][0]} to {alike[-1][0]}", does, f"{alike[0][2]} each", *alike[0][3:5], each))
    return Grid(_HEAD, tuple(shown), (1.4, 3.1, 2.6, 2.6, 2.0, 7.4))


def _diagonals(book: BookOf, piece: Piece) -> str:
    corners = corners_of(piece)
    pairs = (("lower left", "upper right"), ("lower right", "upper left"))
    told = [(corners[a], corners[b], float(np.linalg.norm(corners[a] - corners[b]))) for a, b in pairs]
    if len(piece.edges) < 3 or min(length for _, _, length in told) < _CURVED_MM:
        return ""
    words = "; ".join(
        f"from {_corner(piece, a)} to {_corner(piece, b)} {book.length(length)}" for a, b, length in told
    )
    return f" Check across, where two edges of the sewing line meet: {words}."


def _corner(piece: Piece, point: NDArray[np.float64]) -> str:
    """The edges that meet in a corner of the sewing line."""
    before, edge = next(
        (before, edge)
        for before, edge in zip((*piece.edges[-1:], *piece.edges[:-1]), piece.edges, strict=True)
        if np.array_equal(edge.flat[0].start, point)
    )
    return f"{before.id}/{edge.id}"


def _piece(book: BookOf, piece: Piece) -> Iterator[Block]:
    mirror = f"; the mirror image of {piece.mirror_of}" if piece.mirror_of else ""
    sheets = f"For {in_short(piece.sheets)}. " if piece.sheets != (piece.name,) else ""
    wide, tall = piece.extent_mm
    aside = tall > 1.2 * wide
    lies = " The sketch lies on its side, its upper end on the right." if aside else ""
    yield Section(f"{piece.name}: cut {piece.count}{mirror}")
    yield Words(
        f"{sheets}As cut {book.length(tall)} long and {book.length(wide)} wide."
        f"{_diagonals(book, piece)}{lies}"
    )
    small = max(wide, tall) < _SMALL_MM
    yield Figure(piece_sketch(piece, _SMALL_TALL_MM if small else _TALL_MM, aside))
    yield _edges(book, piece)


def pieces_chapter(book: BookOf) -> Iterator[Block]:
    """Every piece and patch that is cut, each with its sketch and its edges.

    Parameters
    ----------
    book : BookOf

    Yields
    ------
    Block
    """
    yield Chapter("The pieces")
    yield Words(
        f"Every piece is drawn {OUTER_UP}, not to scale. Black: cut here. Blue: sew here. Teal, dashed: the "
        "finished edge, where the cloth is turned in. Green, dashed: a fold; beyond the one at the foot is the flap, "
        "folded inward. Violet: notches, patches, tabs, strips. Brown, across the allowance: a snip, cut in the "
        "step that "
        "says so. Green ticks: clips of the vent. Dotted: up to here another piece laps over. Allowed: cloth "
        "outside the "
        "sewing line. Lengths of edges are those of the sewing line; straight is what a tape pulled tight from "
        "end to end shows where the edge "
        "is curved. Measure one edge and both lengths across before you cut the first of a kind."
    )
    for piece in book.pattern.templates:
        yield Together(tuple(_piece(book, piece)))

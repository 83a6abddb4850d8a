"""The pieces as the book shows them: one sketch a piece, every edge with its name, lengths to check, notches by tape.

Glossary: a *straight* length is that from one end of an edge to the other, as a tape that is pulled tight shows it.
"""

from collections.abc import Iterator

import numpy as np

from shellparts.drawing.blocks import Block, Chapter, Figure, Grid, Section, Together, Words
from shellparts.drawing.book_of import BookOf
from shellparts.drawing.edge_names import edge_text, what_is_done
from shellparts.drawing.step_sketch import Marked, piece_sketch
from shellparts.pattern.check_lengths import corners_of
from shellparts.pattern.pieces import Piece, PieceEdge

__all__ = ["pieces_chapter"]

#: Paper for the sketch of a piece, and of a small one [mm]; one is small below this [mm].
_TALL_MM, _SMALL_TALL_MM, _SMALL_MM = 78.0, 34.0, 800.0
#: An edge is curved where its straight length is shorter by more than this [mm].
_CURVED_MM = 1.0
#: Columns of the table of edges.
_HEAD = ("edge", "what happens there", "length", "straight", "allow\u00adance", "notches: from its start (ticks)")


def _straight(edge: PieceEdge) -> float:
    return float(np.linalg.norm(edge.flat[-1].end - edge.flat[0].start))


def _edges(book: BookOf, piece: Piece) -> Grid:
    rows = []
    for loop in (piece.edges, *piece.holes):
        for before, edge in zip((*loop[-1:], *loop[:-1]), loop, strict=True):
            straight = _straight(edge)
            curved = edge.length_mm - straight > _CURVED_MM
            notches = ", ".join(
                f"{book.length(at)} ({ticks})"
                for at, ticks in zip(edge.notches_mm, edge.ticks, strict=True)
            )
            start = f"from the corner with {before.id}: " if notches and before.id != edge.id else ""
            rows.append(
                (
                    edge.id,
                    " ".join(edge.seams) or what_is_done(piece, edge) or edge.words,
                    book.length(edge.length_mm),
                    book.length(straight) if curved and before.id != edge.id else "\u2013",
                    book.length(edge.allowance_mm),
                    start + notches,
                )
            )
    return Grid(_HEAD, tuple(rows), (1.1, 3.2, 2.2, 2.2, 1.8, 8.5))


def _diagonals(book: BookOf, piece: Piece) -> str:
    corners = corners_of(piece)
    pairs = (("lower left", "upper right"), ("lower right", "upper left"))
    told = [(a, b, float(np.linalg.norm(corners[a] - corners[b]))) for a, b in pairs]
    if len(piece.edges) < 3 or min(length for _, _, length in told) < _CURVED_MM:
        return ""
    words = "; ".join(f"{a} to {b} {book.length(length)}" for a, b, length in told)
    return f" Check across, corner to corner of the sewing line: {words}."


def _piece(book: BookOf, piece: Piece) -> Iterator[Block]:
    mirror = f"; the mirror image of {piece.mirror_of}" if piece.mirror_of else ""
    sheets = f"For {', '.join(piece.sheets)}. " if piece.sheets != (piece.name,) else ""
    wide, tall = piece.extent_mm
    aside = tall > 1.2 * wide
    lies = " The sketch lies on its side, its upper end on the right." if aside else ""
    yield Section(f"{piece.name}: cut {piece.count}{mirror}")
    yield Words(
        f"{sheets}As cut {book.length(tall)} long and {book.length(wide)} wide."
        f"{_diagonals(book, piece)}{lies}"
    )
    edges = tuple(piece.all_edges)
    texts = tuple(edge_text(piece, edge) for edge in edges)
    small = max(wide, tall) < _SMALL_MM
    sketch = piece_sketch(Marked(piece, edges, piece.name, texts=texts), _SMALL_TALL_MM if small else _TALL_MM, aside)
    yield Figure(sketch)
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
        "Every piece is drawn side out, not to scale: its cutting line black, its sewing line blue, patches and tabs "
        "dashed. Lengths of edges are those of the sewing line; straight is what a tape pulled tight from end to end "
        "shows where the edge is curved. Measure one edge and both lengths across before you cut."
    )
    for piece in book.pattern.templates:
        yield Together(tuple(_piece(book, piece)))

"""Pieces as they lie on the cloth: which sheet each copy becomes, and its lines where they come to lie.

Glossary: a *copy* is one of the pieces that are cut alike; in the order of cutting the first becomes the first sheet
of its piece, and so on, so that every copy has the name of its place from the moment it is chalked out.
"""

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cached_property

import numpy as np
from attrs import evolve, frozen
from numpy.typing import ArrayLike, NDArray

from shellparts.drawing.piece_lines import piece_lines
from shellparts.drawing.strokes import Layer, Stroke
from shellparts.drawing.tape import unbroken
from shellparts.pattern.cut_pieces import laid
from shellparts.pattern.made import Pattern
from shellparts.pattern.pieces import Piece, PieceEdge
from shellparts.stock.layout import PlacedPiece, StockLayout

__all__ = ["LaidPiece", "laid_pieces"]

Array = NDArray[np.float64]
#: Edges of a piece are alike if their lengths differ by no more than this [mm].
_ALIKE_MM = 1.0


@frozen(eq=False)
class LaidPiece:
    """One copy of a piece on the cloth.

    Parameters
    ----------
    placed : PlacedPiece
        Where it lies.
    piece : Piece
        What it is a copy of.
    sheet : str
        The name of its place.
    seams : mapping of str to sequence of str
        Ids of the seams along each of its edges, by the edge's id.
    shift : ndarray
        How far it is moved after it was turned, shape (2,) [mm].
    """

    placed: PlacedPiece
    piece: Piece
    sheet: str
    seams: Mapping[str, Sequence[str]]
    shift: Array

    def on_cloth(self, points: ArrayLike) -> Array:
        """Points of the piece, shape (n, 2), where they lie on the cloth [mm]."""
        return _turned(points, self.placed) + self.shift

    def stepped(self, show: Callable[[float], str]) -> str:
        """How the corners of a piece are found whose edges are all alike, lengths as a tape shows them."""
        lengths = [edge.length_mm for edge in self.piece.edges]
        if len(lengths) < 3 or max(lengths) - min(lengths) > _ALIKE_MM:
            return ""
        return f"; step its {len(lengths)} edges off along the sewing line, {unbroken(show(lengths[0]))} each"

    @cached_property
    def lines(self) -> tuple[Stroke, ...]:
        """Its lines on the cloth but for its outer cutting line; holes are on a layer of their own."""
        return tuple(self._lines())

    def _lines(self) -> Iterator[Stroke]:
        flip = -1.0 if self.placed.face_down else 1.0
        outer = True
        for stroke in piece_lines(self.piece):
            layer = stroke.layer
            if layer is Layer.CUTTING:
                layer = Layer.LATER
                if outer:
                    outer = False
                    continue
            yield evolve(
                stroke, layer=layer, points=self.on_cloth(stroke.points), bulges=flip * stroke.bulges
            )

    def edge_at(self, edge: PieceEdge, share: float) -> tuple[Array, float]:
        """The point at a share of an edge, shape (2,) [mm], and the edge's direction there [rad], on the cloth."""
        at, heading = edge.at(edge.length_mm * share)
        on = self.on_cloth(at + np.array([[0.0, 0.0], [np.cos(heading), np.sin(heading)]]))
        along = on[1] - on[0]
        return on[0], float(np.arctan2(along[1], along[0]))


def _turned(points: ArrayLike, placed: PlacedPiece) -> Array:
    """Points of a piece, laid on its side as it is for the weave, and turned as it lies."""
    x, y = np.asarray(points, float).T
    return np.asarray(laid(np.column_stack([y, -x]), placed.turn_deg, placed.face_down))


def laid_pieces(layouts: Sequence[StockLayout], pattern: Pattern) -> list[list[LaidPiece]]:
    """Name every copy on every layout, in the order of cutting.

    Parameters
    ----------
    layouts : sequence of StockLayout
        All layouts of a room.
    pattern : Pattern
        Of the same room.

    Returns
    -------
    list of list of LaidPiece
        For each layout its pieces.
    """
    seams: dict[str, dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
    for seam in pattern.seams:
        for sheet, edge in dict.fromkeys(zip(seam.sheets, seam.edges, strict=True)):
            seams[sheet][edge].append(seam.id)
    left = {piece.name: iter(piece.sheets) for piece in pattern.pieces}
    found = []
    for layout in layouts:
        row = []
        for placed in layout.pieces:
            piece, sheet = pattern.piece(placed.name), next(left[placed.name])
            shift = placed.outline.min(axis=0) - _turned(piece.cutting[0], placed).min(axis=0)
            row.append(LaidPiece(placed, piece, sheet, seams[sheet], shift))
        found.append(row)
    return found

"""What a pattern consists of: pieces, their edges, and seams. Data only."""

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from shellparts.body.seams import EdgeRole
from shellparts.parameters.allowances import SeamKind
from shellparts.parameters.part import Part
from shellparts.unroll.outline import FlatEdge, Outline

__all__ = ["TICK_GAP_MM", "Piece", "PieceEdge", "PlacedPatch", "Seam"]

Array = NDArray[np.float64]
#: Between the ticks of one notch [mm]: wide enough for scissors or a marker, narrow enough to be one mark.
TICK_GAP_MM = 10.0


@frozen(eq=False)
class PieceEdge:
    """One edge of a piece, as the sewer sees it.

    Parameters
    ----------
    id : str
        ``e1`` … along the sewing line, counter-clockwise seen from outside; then along holes.
    role : EdgeRole
        Seam, hem, fold or open.
    flat : tuple of FlatEdge
        The stretches of the sewing line that it consists of, in walking order.
    allowance_mm : float
        Cloth outside it.
    seams : tuple of str
        Ids of the seams it belongs to, of the first sheet that is cut from this piece.
    notches_mm : tuple of float
        Distances from the edge's start at which notches are cut.
    ticks : tuple of int
        How many ticks each notch is cut with, side by side; the same from either end, and on both edges of a
        seam. None of them at an edge without notches.
    words : str
        What is written beside it where a seam's id would be true of one copy only: what it meets.
    strip_mm : float
        Width of the strip that strengthens it, inside from the cutting line on; 0 for none [mm].
    clips_mm : tuple of float
        Distances from the edge's start of the clips that hold it shut [mm].
    """

    id: str
    role: EdgeRole
    flat: tuple[FlatEdge, ...]
    allowance_mm: float
    seams: tuple[str, ...] = ()
    notches_mm: tuple[float, ...] = ()
    ticks: tuple[int, ...] = ()
    words: str = ""
    strip_mm: float = 0.0
    clips_mm: tuple[float, ...] = ()

    @property
    def ticks_mm(self) -> tuple[float, ...]:
        """Distances from the edge's start of all ticks: one, two or three beside each other at each notch."""
        return tuple(
            at + (i - (many - 1) / 2) * TICK_GAP_MM
            for at, many in zip(self.notches_mm, self.ticks, strict=True)
            for i in range(many)
        )

    @property
    def length_mm(self) -> float:
        """Length on the flat."""
        return sum(edge.length_mm for edge in self.flat)

    @property
    def solid_length_mm(self) -> float:
        """Length of the same edge on the body, measured apart."""
        return sum(edge.solid_length_mm for edge in self.flat)

    def polyline(self, sagitta_mm: float) -> Array:
        """Points along the edge, shape (n, 2) [mm]."""
        parts = [edge.polyline(sagitta_mm) for edge in self.flat]
        return np.concatenate([*(part[:-1] for part in parts[:-1]), parts[-1]])

    def at(self, distance_mm: float) -> tuple[Array, float]:
        """Point, shape (2,) [mm], and heading [rad] at a distance from the edge's start."""
        left = distance_mm
        for edge in self.flat[:-1]:
            if left <= edge.length_mm:
                break
            left -= edge.length_mm
        else:
            edge = self.flat[-1]
        left = min(left, edge.length_mm)
        return edge.at(left)[0], float(edge.heading_at(left)[0])


@frozen(eq=False)
class PlacedPatch:
    """Where a patch or a tab is sewn onto a piece."""

    name: str  # Of the patch
    at: Array  # Its middle, or the middle of a tab's fold, shape (2,) [mm]
    outline: Array  # Its row of stitches, as far as it lies on the piece, shape (n, 2), not closed [mm]
    is_tab: bool  # Whether it is a tab, on the outer side
    loop: Array | None = None  # What of a tab is left unsewn for a cord, from row to row, shape (4, 2) [mm]


@frozen(eq=False)
class Piece:
    """One template, and how many are cut from it.

    Parameters
    ----------
    name : str
        ASCII, unique.
    kind : Part
        What it is for.
    sheets : tuple of str
        The sheets of the body that are cut from it.
    mirror_of : str or None
        Name of the piece whose mirror image it is.
    outline : Outline
        The sewing line as seen from outside, placed with its centre line upright on x = 0 and its lower edge
        on y = 0.
    edges : tuple of PieceEdge
        Of the outer sewing line.
    holes : tuple of tuple of PieceEdge
        Of each hole.
    cutting : tuple of ndarray
        The cutting line: the outer ring counter-clockwise, then holes, each shape (n, 2) [mm], not closed.
    patches : tuple of PlacedPatch
        What is sewn onto it while it lies flat.
    """

    name: str
    kind: Part
    sheets: tuple[str, ...]
    mirror_of: str | None
    outline: Outline
    edges: tuple[PieceEdge, ...]
    holes: tuple[tuple[PieceEdge, ...], ...]
    cutting: tuple[Array, ...]
    patches: tuple[PlacedPatch, ...] = ()

    @property
    def count(self) -> int:
        """How many are cut."""
        return len(self.sheets)

    @property
    def all_edges(self) -> tuple[PieceEdge, ...]:
        """Edges of the outer sewing line, then those of holes."""
        return (*self.edges, *(edge for hole in self.holes for edge in hole))

    @property
    def cut_area_mm2(self) -> float:
        """Area inside the cutting line."""
        return sum(_area(ring) for ring in self.cutting)

    @property
    def extent_mm(self) -> tuple[float, float]:
        """Width and length of the box around the cutting line."""
        size = np.ptp(self.cutting[0], axis=0)
        return float(size[0]), float(size[1])


@frozen(eq=False)
class Seam:
    """One seam of the room.

    Parameters
    ----------
    id : str
        ``S01`` …
    sheets : tuple of str
        The two sheets that meet; the same one twice at the joint of a tube.
    pieces, edges : tuple of str
        The pieces they are cut from, and the ids of the edges there.
    lengths_mm : tuple of float
        Length of both edges on the flat.
    allowance_mm : float
        Cloth outside the sewing line, the wider of both.
    notches : int
        How many notches both edges carry.
    kind : SeamKind
        How it is made.
    allowances_mm : tuple of float
        Cloth outside the sewing line of each.
    seam_class : str
        What it joins.
    wide : int
        Which of both sides, 0 or 1, folds over the other or lies on top; both allowances are turned towards it.
    """

    id: str
    sheets: tuple[str, str]
    pieces: tuple[str, str]
    edges: tuple[str, str]
    lengths_mm: tuple[float, float]
    allowance_mm: float
    notches: int
    kind: SeamKind
    allowances_mm: tuple[float, float]
    seam_class: str
    wide: int = 0

    @property
    def mismatch_mm(self) -> float:
        """Difference of the two lengths."""
        return abs(self.lengths_mm[0] - self.lengths_mm[1])


def _area(ring: Array) -> float:
    x, y = ring.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2

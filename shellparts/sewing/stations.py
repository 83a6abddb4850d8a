"""The table from which a template is marked out with a tape measure alone.

Glossary: a *station* is a row at a distance from the lower edge along the centre line; it gives the distances
from the centre line, square to it, of the sewing line and of the cutting line, to the left and to the right
as seen from outside.
"""

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from shellparts.sewing.cloth_piece import Piece
from shellparts.tolerances import TOLERANCES

__all__ = ["Station", "stations_of"]

Array = NDArray[np.float64]


@frozen
class Station:
    """One row: distance from the lower edge, and distances from the centre line [mm].

    Parameters
    ----------
    distance_mm : float
        Along the centre line from y = 0; negative below it, on a flap.
    left_sewing_mm, right_sewing_mm : float
        To the sewing line; negative when it lies on the other side of the centre line.
    left_cutting_mm, right_cutting_mm : float
        To the cutting line.
    openings_mm : tuple of pairs of float
        Where the row crosses an opening or a notch in the outline: from and to, right of the centre line
        positive.
    """

    distance_mm: float
    left_sewing_mm: float
    right_sewing_mm: float
    left_cutting_mm: float
    right_cutting_mm: float
    openings_mm: tuple[tuple[float, float], ...] = ()


def _crossings(rings: list[Array], y: float) -> Array:
    """Sorted positions at which a row crosses closed rings, shape (2 n,) [mm]."""
    found = []
    for ring in rings:
        a, b = ring, np.roll(ring, -1, axis=0)
        crosses = (a[:, 1] <= y) != (b[:, 1] <= y)
        p, q = a[crosses], b[crosses]
        found.append(p[:, 0] + (y - p[:, 1]) / (q[:, 1] - p[:, 1]) * (q[:, 0] - p[:, 0]))
    return np.sort(np.concatenate(found))


def stations_of(piece: Piece, spacing_mm: float) -> list[Station]:
    """Make the table of a piece.

    Parameters
    ----------
    piece : Piece
    spacing_mm : float
        Distance between rows [mm].

    Returns
    -------
    list of Station
        From the lowest row to the highest; the ends of the sewing line always have one.
    """
    sewing = [
        np.concatenate([edge.polyline(TOLERANCES.drawing_sagitta_mm)[:-1] for edge in loop])
        for loop in (piece.edges, *piece.holes)
    ]
    low, high = float(sewing[0][:, 1].min()), float(sewing[0][:, 1].max())
    first = int(np.ceil(low / spacing_mm + 1e-9))
    last = int(np.floor(high / spacing_mm - 1e-9))
    rows = sorted({low, high, *(spacing_mm * i for i in range(first, last + 1))})
    table = []
    for y in rows:
        inside = float(np.clip(y, low + 1e-6, high - 1e-6))
        line = _crossings(sewing, inside)
        cut = _crossings(list(piece.cutting), inside)
        gaps = tuple((float(a), float(b)) for a, b in zip(line[1:-1:2], line[2:-1:2], strict=True))
        table.append(Station(y, -float(line[0]), float(line[-1]), -float(cut[0]), float(cut[-1]), gaps))
    return table

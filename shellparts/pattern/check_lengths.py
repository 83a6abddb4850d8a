"""Lengths that show whether a template is right, and marks for curved edges: more for the tape measure.

Glossary: *diagonals* of a template join opposite corners of its sewing line; on a piece that is alike on both
sides they are equal when it lies square. A *half template* is marked out on a sheet folded along the piece's
centre line. *Marks* on a curved edge lie so close that straight lines between them stay within a stated
*sagitta* of the curve. Distances *along* are from the lower edge up the centre line, *across* square to it, to
the right as seen from outside.
"""

from enum import Enum

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from shellparts.base.tolerances import TOLERANCES
from shellparts.pattern.pieces import Piece
from shellparts.pattern.stations import stations_of
from shellparts.unroll.outline import Form

__all__ = ["Check", "CheckLength", "check_lengths", "corners_of", "half_stations"]

Array = NDArray[np.float64]


class Check(Enum):
    """What a row of the table is."""

    EDGE = "edge"
    DIAGONAL = "diagonal"
    MARK = "mark"
    HALF = "half template"


@frozen
class CheckLength:
    """One row."""

    what: Check
    name: str  # Of the edge, or of the corners that a diagonal joins
    #: Of an edge or a diagonal; of a mark, its distance from the edge's start along the curve [mm].
    length_mm: float | None = None
    straight_mm: float | None = None  # Of an edge from end to end; of a mark, from the mark before it [mm]
    #: Place of a mark, or of a row of a half template on the sewing line [mm].
    along_mm: float | None = None
    across_mm: float | None = None
    cutting_mm: float | None = None  # Of a row of a half template: across to the cutting line [mm]


def corners_of(piece: Piece) -> dict[str, Array]:
    """Find the four outermost corners of a piece's sewing line [mm]."""
    points = np.array([edge.flat[0].start for edge in piece.edges])
    share = (points - points.mean(axis=0)) / np.maximum(np.ptp(points, axis=0), 1.0)
    ways = {"lower left": (-1, -1), "lower right": (1, -1), "upper right": (1, 1), "upper left": (-1, 1)}
    return {name: points[int(np.argmax(np.round(share @ np.array(way), 9)))] for name, way in ways.items()}


def _diagonals(piece: Piece) -> list[CheckLength]:
    corners = corners_of(piece)
    rows = []
    for a, b in (("lower left", "upper right"), ("lower right", "upper left")):
        length = float(np.linalg.norm(corners[a] - corners[b]))
        rows.append(CheckLength(Check.DIAGONAL, f"{a} to {b}", length, length))
    return rows


def _marks(piece: Piece, sagitta_mm: float) -> list[CheckLength]:
    """Marks on every curved edge, both its ends with them."""
    rows = []
    for edge in piece.all_edges:
        if all(flat.form is Form.LINE for flat in edge.flat):
            continue
        before, run = edge.flat[0].start, 0.0
        rows.append(_mark(edge.id, 0.0, 0.0, before))
        for flat in edge.flat:
            points = flat.polyline(sagitta_mm)
            # The points' places along the curve, from how finely it can be divided.
            fine = np.linspace(0.0, flat.length_mm, 2001)
            places = flat.at(fine)
            for point in points[1:]:
                s = float(fine[int(np.argmin(((places - point) ** 2).sum(axis=1)))])
                rows.append(_mark(edge.id, run + s, float(np.linalg.norm(point - before)), point))
                before = point
            run += flat.length_mm
    return rows


def _mark(name: str, length: float, straight: float, at: Array) -> CheckLength:
    return CheckLength(Check.MARK, name, length, straight, along_mm=float(at[1]), across_mm=float(at[0]))


def half_stations(piece: Piece, spacing_mm: float) -> list[CheckLength]:
    """Make the table of a half template on the fold."""
    rows = stations_of(piece, spacing_mm)
    near = 2 * TOLERANCES.drawing_sagitta_mm
    alike = all(
        abs((row.left_sewing_mm or 0.0) - (row.right_sewing_mm or 0.0)) <= near
        and abs(row.left_cutting_mm - row.right_cutting_mm) <= near
        and not row.openings_mm
        for row in rows
    )
    if not alike:
        return []
    return [
        CheckLength(Check.HALF, "", None, None, row.distance_mm, row.right_sewing_mm, row.right_cutting_mm)
        for row in rows
    ]


def check_lengths(piece: Piece, spacing_mm: float, sagitta_mm: float = 1.0) -> list[CheckLength]:
    """Make all rows of a piece.

    Parameters
    ----------
    piece : Piece
    spacing_mm : float
        Between rows of the half template [mm].
    sagitta_mm : float
        Largest distance of a curved edge from straight lines between its marks [mm].

    Returns
    -------
    list of CheckLength
        Edges, diagonals, marks, half template.
    """
    edges = [
        CheckLength(
            Check.EDGE,
            edge.id,
            edge.length_mm,
            float(np.linalg.norm(edge.flat[-1].end - edge.flat[0].start)),
        )
        for edge in piece.all_edges
    ]
    return [*edges, *_diagonals(piece), *_marks(piece, sagitta_mm), *half_stations(piece, spacing_mm)]

"""Pieces laid on one length or sheet of cloth, with all that a chalk-out sheet needs.

Glossary: *along* is measured from the cut end of a roll or the short edge of a sheet, *across* from the
selvage or long edge, both by tape in mm; *cut order* runs from the cut end onwards, so that the scissors
never have to enter cloth that still holds uncut pieces behind them; *running dimensions* are measured from
one corner, not from point to point, so that errors do not add up. This module arranges nothing and draws
nothing.
"""

from collections.abc import Sequence
from enum import Enum
from functools import lru_cache

import numpy as np
import shapely
from attrs import cmp_using, field, frozen
from numpy.typing import NDArray

from shellparts.parameters.stocks import Roll, Sheet
from shellparts.pattern.cut_pieces import CutPiece, laid
from shellparts.pattern.made import Pattern

__all__ = [
    "Ended",
    "PlacedPiece",
    "Placement",
    "RunningDimension",
    "SearchProgress",
    "StockLayout",
    "assemble",
    "cut_pieces",
    "running_dimensions",
]

Points = NDArray[np.float64]


class Ended(Enum):
    """What ended a search for a layout."""

    #: The packer had no more to try.
    CONVERGED = "converged"
    #: The budget of steps was used: the same input gives the same layout.
    STEPS = "steps"
    #: The safety clock rang first: another run may give another layout.
    CLOCK = "clock"
    #: The reader stopped it; the best so far is kept.
    STOPPED = "stopped"
    #: The packer failed and the skyline engine's layout stands.
    FALLBACK = "fallback"


@frozen
class SearchProgress:
    """What a progress callback is told; it returns False to stop the search.

    Parameters
    ----------
    fraction : float
        Share of the budget used, 0 to 1.
    best : float
        The best so far: roll length [mm], or number of sheets; infinite before the first.
    note : str
        What is being done, in a few words.
    """

    fraction: float
    best: float
    note: str


@frozen
class Placement:
    """Where one copy of a piece lies: turned over if face down, then turned [deg], then shifted [mm]."""

    piece: int
    turn_deg: float
    x: float
    y: float
    face_down: bool = False


@frozen
class PlacedPiece:
    """One copy of a piece on the stock.

    Parameters
    ----------
    name : str
        Name of the piece.
    copy : int
        Which of its copies, from 1.
    outline : (n, 2) array of float
        The cutting line on the stock [mm], along and across.
    turn_deg : float
        Turn from the piece as drawn [deg].
    face_down : bool
        Laid turned over.
    order : int
        Place in the cut order, from 1.
    label_at : (float, float)
        Centre of the largest circle inside [mm], for the name.
    label_radius_mm : float
        Radius of that circle [mm]: a label within it stays inside its piece.
    """

    name: str
    copy: int
    outline: Points = field(eq=cmp_using(eq=np.array_equal))
    turn_deg: float
    face_down: bool
    order: int
    label_at: tuple[float, float]
    label_radius_mm: float


@frozen
class RunningDimension:
    """One point to chalk: its number along the outline, from 1, and where it is from the corner of the stock."""

    piece: str
    copy: int
    point: int
    along_mm: float
    across_mm: float


@frozen
class StockLayout:
    """Pieces laid on one sheet, or on one length of a roll.

    Parameters
    ----------
    stock : Roll or Sheet
        The cloth.
    pieces : tuple of PlacedPiece
        The pieces, in cut order.
    length_mm : float
        Length of cloth used up [mm]: to the end of the last piece on a roll, the finished length of a sheet.
    width_mm : float
        Width of the cloth [mm], selvages or hems included.
    """

    stock: Roll | Sheet
    pieces: tuple[PlacedPiece, ...]
    length_mm: float
    width_mm: float

    @property
    def cut_area_m2(self) -> float:
        """Area inside the cutting lines [m2]."""
        return float(sum(shapely.Polygon(placed.outline).area for placed in self.pieces)) * 1e-6

    @property
    def cloth_area_m2(self) -> float:
        """Area of the cloth used up, margins included [m2]."""
        return self.length_mm * self.width_mm * 1e-6

    @property
    def utilisation(self) -> float:
        """Share of the cloth that ends up in pieces."""
        return self.cut_area_m2 / self.cloth_area_m2 if self.pieces else 0.0


def cut_pieces(pattern: Pattern) -> tuple[CutPiece, ...]:
    """Outer cutting lines of a pattern's pieces, laid on their side so that the weave runs along x.

    Holes are left out, since nothing is cut from the cloth inside them; patches too, since they are cut from what is
    left over.
    """
    return tuple(
        CutPiece(
            name=piece.name,
            count=piece.count,
            outline=np.column_stack([piece.cutting[0][:, 1], -piece.cutting[0][:, 0]]),
            grain_deg=0.0,
            mirrored_of=piece.mirror_of,
        )
        for piece in pattern.pieces
    )


def assemble(stock: Roll | Sheet, pieces: Sequence[CutPiece], placements: Sequence[Placement]) -> StockLayout:
    """Lay pieces where a search put them, from the corner inside the margin; copies are numbered in cut order.

    Examples
    --------
    >>> flap = CutPiece("flap", 2, [(0, 0), (500, 0), (500, 400), (0, 400)])
    >>> roll = Roll(name="roll", width_mm=1500.0, edge_mm=10.0)
    >>> layout = assemble(roll, [flap], [Placement(0, 0.0, 510.0, 0.0), Placement(0, 0.0, 0.0, 0.0)])
    >>> layout.length_mm, [(p.name, p.copy, p.label_at) for p in layout.pieces]
    (1010.0, [('flap', 1, (250.0, 210.0)), ('flap', 2, (760.0, 210.0))])
    """
    margin = stock.edge_mm if isinstance(stock, Roll) else stock.hem_mm
    corner = (0.0, margin) if isinstance(stock, Roll) else (margin, margin)
    outlines = [
        laid(pieces[s.piece].outline, s.turn_deg, s.face_down, (s.x + corner[0], s.y + corner[1]))
        for s in placements
    ]
    order = sorted(
        range(len(placements)),
        key=lambda k: (round(outlines[k][:, 0].min(), 3), round(outlines[k][:, 1].min(), 3)),
    )
    copies: dict[str, int] = {}
    placed = []
    for rank, k in enumerate(order, start=1):
        name = pieces[placements[k].piece].name
        copies[name] = copies.get(name, 0) + 1
        outline = outlines[k]
        outline.flags.writeable = False
        placement, flat = placements[k], pieces[placements[k].piece].outline
        x, y, radius = _middle(flat.tobytes())
        shift = (placement.x + corner[0], placement.y + corner[1])
        at = laid(np.array([[x, y]]), placement.turn_deg, placement.face_down, shift)[0].round(3).tolist()
        placed.append(
            PlacedPiece(
                name,
                copies[name],
                outline,
                placement.turn_deg,
                placement.face_down,
                rank,
                (at[0], at[1]),
                radius,
            )
        )
    if isinstance(stock, Sheet):
        return StockLayout(stock, tuple(placed), stock.finished_length_mm, stock.finished_width_mm)
    end = max((float(p.outline[:, 0].max()) for p in placed), default=0.0)
    return StockLayout(stock, tuple(placed), end, stock.width_mm)


@lru_cache(maxsize=512)
def _middle(points: bytes) -> tuple[float, float, float]:
    """Centre and radius of a largest circle inside an outline, to 5 %; kept, since pieces are laid many times."""
    polygon = shapely.Polygon(np.frombuffer(points).reshape(-1, 2))
    spoke = shapely.maximum_inscribed_circle(polygon, tolerance=0.5)
    (x, y), radius = spoke.coords[0], float(spoke.length)
    middle = polygon.centroid
    room = float(polygon.exterior.distance(middle)) if polygon.contains(middle) else 0.0
    if room >= 0.95 * radius:  # a long piece has many largest circles: the one in the middle looks best
        x, y, radius = middle.x, middle.y, room
    return float(x), float(y), radius


def running_dimensions(layout: StockLayout, sagitta_mm: float = 5.0) -> tuple[RunningDimension, ...]:
    """Points to chalk, by tape from the corner of the stock.

    Parameters
    ----------
    layout : StockLayout
        The layout.
    sagitta_mm : float
        How far the curve between two chalked points may leave the straight line [mm].

    Returns
    -------
    tuple of RunningDimension
        Piece by piece in cut order; every corner sharper than the sagitta shows is among them.

    Examples
    --------
    >>> flap = CutPiece("flap", 1, [(0, 0), (500, 0), (500, 400), (0, 400)])
    >>> layout = assemble(Roll(name="roll", width_mm=1500.0), [flap], [Placement(0, 0.0, 0.0, 0.0)])
    >>> [(d.along_mm, d.across_mm) for d in running_dimensions(layout)]
    [(0.0, 0.0), (500.0, 0.0), (500.0, 400.0), (0.0, 400.0)]
    """
    marks = []
    for placed in layout.pieces:
        ring = shapely.simplify(shapely.Polygon(placed.outline), sagitta_mm)
        points = np.asarray(ring.exterior.coords)[:-1]
        marks += [
            RunningDimension(placed.name, placed.copy, k, round(float(x), 1), round(float(y), 1))
            for k, (x, y) in enumerate(points, start=1)
        ]
    return tuple(marks)

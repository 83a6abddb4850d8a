"""Pieces to be cut, and the turns at which each may lie on the cloth.

Glossary: the *cutting line* is the outer outline of a piece, seam allowance included; a *turn* is the angle,
counter-clockwise, from the piece as drawn to the piece as laid; *face down* is laid turned over, which
mirrors it about its own x axis first. *Across* is the width of the stock, *along* its length. This module
does not know how pieces are arranged.
"""

import numpy as np
import shapely
from attrs import cmp_using, field, frozen
from numpy.typing import NDArray

from shellparts.base.errors import ParameterError
from shellparts.base.tolerances import TOLERANCES
from shellparts.parameters.stocks import Roll, Sheet, Turning, TurnRule, Weave

__all__ = ["CutPiece", "extent", "fits", "laid", "nominal_turns", "turns"]

Points = NDArray[np.float64]


def _outline(points: object) -> Points:
    """Read-only (n, 2) array, without a repeated closing point."""
    array = np.array(points, dtype=float)
    if (
        array.ndim == 2
        and len(array) > 1
        and np.allclose(array[0], array[-1], rtol=0, atol=TOLERANCES.same_point_mm)
    ):
        array = array[:-1]
    array.flags.writeable = False
    return array


@frozen
class CutPiece:
    """One shape to be cut, as many times as `count` says.

    Parameters
    ----------
    name : str
        Name of the piece.
    count : int
        How many are cut.
    outline : (n, 2) array of float
        The cutting line [mm], seen from the outer side of the cloth; closed without repeating the first
        point.
    grain_deg : float
        Direction of the weave in the piece's own coordinates [deg].
    mirrored_of : str or None
        Name of the piece that this one is the mirror image of, about its own x axis; on cloth that is the
        same on both sides the two share a template.

    Raises
    ------
    ParameterError
        If the count is below one, or the outline crosses itself or encloses nothing.

    Examples
    --------
    >>> round(CutPiece("sleeve", 2, [(0, 0), (1900, 0), (1900, 650), (0, 650)]).area_m2, 9)
    1.235
    """

    name: str
    count: int
    outline: Points = field(converter=_outline, eq=cmp_using(eq=np.array_equal))
    grain_deg: float = 0.0
    mirrored_of: str | None = None

    def __attrs_post_init__(self) -> None:
        if self.count < 1:
            raise ParameterError(
                f"count of {self.name!r}", str(self.count), "1 or more", "leave the piece out"
            )
        shape = self.outline.shape
        if self.outline.ndim != 2 or shape[1] != 2 or shape[0] < 3 or not np.isfinite(self.outline).all():
            raise ParameterError(
                f"cutting line of {self.name!r}",
                f"an array of {shape}",
                "(n, 2) finite, n >= 3",
                "pass x and y [mm]",
            )
        polygon = self.polygon
        if not polygon.is_valid or polygon.area <= 0.0:
            reason = shapely.is_valid_reason(polygon)
            raise ParameterError(
                f"cutting line of {self.name!r}",
                reason,
                "free of crossings and with an area",
                "narrow the allowance",
            )

    @property
    def polygon(self) -> shapely.Polygon:
        """The outline as a polygon [mm]."""
        return shapely.Polygon(self.outline)

    @property
    def area_m2(self) -> float:
        """Area of one piece inside its cutting line [m2]."""
        return float(self.polygon.area) * 1e-6


def laid(
    outline: Points, turn_deg: float, face_down: bool = False, shift: tuple[float, float] = (0.0, 0.0)
) -> Points:
    """Turn an outline and shift it.

    Parameters
    ----------
    outline : (n, 2) array of float
        Points [mm].
    turn_deg : float
        Turn about the origin, counter-clockwise [deg].
    face_down : bool
        Mirror about the x axis first.
    shift : (float, float)
        Shift after the turn [mm].

    Returns
    -------
    (n, 2) array of float
        The points as laid [mm].

    Examples
    --------
    >>> laid(np.array([[2.0, 0.0]]), 90.0, shift=(1.0, 0.0)).round(9).tolist()
    [[1.0, 2.0]]
    """
    angle = np.deg2rad(turn_deg)
    cos, sin = np.cos(angle), np.sin(angle)
    y = -outline[:, 1] if face_down else outline[:, 1]
    x = outline[:, 0]
    return np.column_stack([x * cos - y * sin + shift[0], x * sin + y * cos + shift[1]])


def extent(outline: Points, turns_deg: Points) -> Points:
    """Box of an outline at each of many turns.

    Parameters
    ----------
    outline : (n, 2) array of float
        Points [mm].
    turns_deg : (k,) array of float
        Turns [deg].

    Returns
    -------
    (k, 2) array of float
        Length along and width across [mm].

    Examples
    --------
    >>> extent(np.array([[0, 0], [4, 0], [4, 3], [0, 3.0]]), np.array([0.0, 90.0])).round(9).tolist()
    [[4.0, 3.0], [3.0, 4.0]]
    """
    angle = np.deg2rad(np.atleast_1d(turns_deg))[:, None]
    x, y = outline[:, 0], outline[:, 1]
    along, across = x * np.cos(angle) - y * np.sin(angle), x * np.sin(angle) + y * np.cos(angle)
    return np.column_stack([np.ptp(along, axis=1), np.ptp(across, axis=1)])


def nominal_turns(piece: CutPiece, stock: Roll | Sheet, face_down: bool = False) -> Points:
    """Turns that lay a piece straight on the weave.

    Parameters
    ----------
    piece : CutPiece
        The piece.
    stock : Roll or Sheet
        The cloth; its weave says which turns change nothing.
    face_down : bool
        Laid turned over.

    Returns
    -------
    (k,) array of float
        Turns [deg], 0 <= turn < 360; for cloth without weave the four quarter turns.

    Examples
    --------
    >>> piece = CutPiece("flap", 1, [(0, 0), (1, 0), (0, 1)], grain_deg=90.0)
    >>> nominal_turns(piece, Roll(name="roll", width_mm=1500.0)).tolist()
    [90.0, 270.0]
    """
    step = stock.weave.step_deg or 90.0
    grain = -piece.grain_deg if face_down else piece.grain_deg
    return np.sort((stock.weave_deg - grain + np.arange(0.0, 360.0, step)) % 360.0)


def _caliper_turns(outline: Points) -> Points:
    """Turns that lay an edge of the hull along or across the stock: the narrowest lies among them."""
    hull = np.asarray(shapely.convex_hull(shapely.Polygon(outline)).exterior.coords)
    edges = np.diff(hull, axis=0)
    first = -np.rad2deg(np.arctan2(edges[:, 1], edges[:, 0]))
    return np.unique(np.round((first[:, None] + np.arange(0.0, 360.0, 90.0)).ravel() % 360.0, 9))


def turns(
    piece: CutPiece, stock: Roll | Sheet, turning: Turning, face_down: bool = False, step_deg: float = 1.0
) -> Points:
    """Every turn at which a piece may be laid, in steps.

    Parameters
    ----------
    piece : CutPiece
        The piece.
    stock : Roll or Sheet
        The cloth.
    turning : Turning
        How far off the weave it may be laid.
    face_down : bool
        Laid turned over.
    step_deg : float
        Largest step between turns [deg].

    Returns
    -------
    (k,) array of float
        Turns [deg], 0 <= turn < 360. Where the turn is free they include those that lay an edge of the hull
        straight, among which is the narrowest.

    Examples
    --------
    >>> piece = CutPiece("flap", 1, [(0, 0), (1, 0), (0, 1)])
    >>> turns(piece, Roll(name="roll", width_mm=1500.0), Turning(TurnRule.FEW_DEGREES, 1.0)).tolist()
    [0.0, 1.0, 179.0, 180.0, 181.0, 359.0]
    """
    if turning.rule is TurnRule.FREE or stock.weave is Weave.NONE:
        even = np.arange(0.0, 360.0, step_deg)
        return np.unique(np.r_[even, _caliper_turns(laid(piece.outline, 0.0, face_down))])
    spread = turning.spread_deg
    steps = int(np.ceil(spread / step_deg)) if spread else 0
    off = np.linspace(-spread, spread, 2 * steps + 1)
    return np.unique(np.round((nominal_turns(piece, stock, face_down)[:, None] + off).ravel() % 360.0, 9))


def fits(piece: CutPiece, stock: Roll | Sheet, turning: Turning) -> bool:
    """Whether a piece, alone, fits the stock.

    Parameters
    ----------
    piece : CutPiece
        The piece.
    stock : Roll or Sheet
        The cloth.
    turning : Turning
        How far off the weave it may be laid.

    Returns
    -------
    bool
        True if some allowed turn keeps it inside the margin.

    Examples
    --------
    >>> door = CutPiece("door", 1, [(0, 0), (2000, 0), (2000, 1600), (0, 1600)])
    >>> fits(door, Roll(name="roll", width_mm=1500.0), Turning())
    False
    """
    box = extent(piece.outline, turns(piece, stock, turning, step_deg=0.25))
    inside = box[:, 1] <= stock.usable_width_mm + TOLERANCES.same_point_mm
    if isinstance(stock, Sheet):
        inside &= box[:, 0] <= stock.usable_length_mm + TOLERANCES.same_point_mm
    elif stock.length_mm is not None:
        inside &= box[:, 0] <= stock.length_mm + TOLERANCES.same_point_mm
    return bool(inside.any())

"""Templates of board: what a template consists of. Data only.

Glossary: a *board* is a sheet of hardboard or card as it is sold; its *margin* is the outermost strip, often
bruised, that is not used; the *kerf* is what the saw takes. A *template* is the flat shape round which pieces
of cloth are drawn; a *half template* is one side of a piece that is alike on both, its *fold edge* laid on
the fold of the cloth or on the piece's centre line. A template larger than a board is sawn as several *parts*
that meet edge to edge in *butt joints*; *register marks* are ticks drawn across a joint before it is sawn, or
measured; a *joining strip* of the same board is glued over it.
"""

from enum import Enum
from typing import Any

import numpy as np
import shapely
from attrs import field, frozen
from numpy.typing import NDArray

from shellparts.parameters.boards import TemplateLine

__all__ = [
    "BoardJoint",
    "BoardPart",
    "BoardTemplate",
    "DrawnPiece",
    "JoiningStrip",
    "Manner",
]

Array = NDArray[np.float64]


class Manner(Enum):
    """How a piece is drawn round a template."""

    ROUND = "round it"
    TURNED = "round it, turned over"
    OPENING = "round it, then mark the opening"
    PARTLY = "round it where both agree, then mark the rest"


def _points(value: Any) -> Array:
    """A read-only array."""
    array = np.array(value, dtype=float)
    array.flags.writeable = False
    return array


@frozen(eq=False)
class JoiningStrip:
    """A rectangle of board glued over the joint of its letter: corners in the template's place, (4, 2) [mm]."""

    name: str
    outline: Array = field(converter=_points)


@frozen(eq=False)
class BoardJoint:
    """A straight butt joint of two parts.

    Parameters
    ----------
    letter : str
        Pairs both sides; each letter once in a job.
    parts : tuple of int
        Indices of the part below or left of it, and of the part above or right of it.
    ends : ndarray
        Both ends, shape (2, 2) [mm], from left to right or from below upward.
    marks_mm : tuple of float
        Distances of the register marks from the first end [mm].
    strip : JoiningStrip or None
        Glued over it; None where other strips leave no room for one.
    """

    letter: str
    parts: tuple[int, int]
    ends: Array = field(converter=_points)
    marks_mm: tuple[float, ...]
    strip: JoiningStrip | None

    @property
    def length_mm(self) -> float:
        """Length of the joint [mm]."""
        return float(np.linalg.norm(self.ends[1] - self.ends[0]))

    @property
    def marks(self) -> Array:
        """Where the register marks cross the joint, shape (n, 2) [mm]."""
        along = (self.ends[1] - self.ends[0]) / self.length_mm
        return self.ends[0] + np.array(self.marks_mm)[:, None] * along


@frozen(eq=False)
class BoardPart:
    """One part of a template, in the template's place.

    Parameters
    ----------
    name : str
        ``"panel, part 1"`` …; the template's own name when it is the only part.
    outline : ndarray
        To be sawn, counter-clockwise, shape (n, 2) [mm].
    ticks : tuple of (str, ndarray)
        Its halves of the register marks: letter of the joint, and the tick from the joint inward, (2, 2) [mm].
    sewing : tuple of ndarray
        Lines to carry over to the cloth that are not its edge: the sewing line, openings; each (n, 2) [mm].
    drill : ndarray
        Points of these lines to drill through, shape (n, 2) [mm].
    notches : tuple of ndarray
        Notches at its edge, each (2, 2) [mm].
    fold : ndarray
        The stretch of its outline that is the fold edge, (2, 2) [mm]; shape (0, 2) where there is none.
    """

    name: str
    outline: Array = field(converter=_points)
    ticks: tuple[tuple[str, Array], ...] = ()
    sewing: tuple[Array, ...] = ()
    drill: Array = field(factory=lambda: np.zeros((0, 2)))
    notches: tuple[Array, ...] = ()
    fold: Array = field(factory=lambda: np.zeros((0, 2)))

    @property
    def polygon(self) -> shapely.Polygon:
        """Area inside the outline."""
        return shapely.Polygon(self.outline)


@frozen
class DrawnPiece:
    """A piece that is drawn round a template.

    Parameters
    ----------
    name : str
        Of the piece.
    count : int
        How often.
    manner : Manner
        How.
    share : float
        Share of its outline that is drawn round the template [-].
    at : str
        Where it lies on the template, where that must be said: ``"upper ends together"``.
    """

    name: str
    count: int
    manner: Manner
    share: float = 1.0
    at: str = ""


@frozen(eq=False)
class BoardTemplate:
    """A template, sawn and ready to be joined.

    Parameters
    ----------
    name : str
        Of the piece that it is made for.
    line : TemplateLine
        Which line of the piece is its edge.
    half : bool
        Whether it is the right half of the piece, with its fold edge on x = 0.
    outline : ndarray
        All of it, counter-clockwise, in the place of the piece, shape (n, 2) [mm].
    parts : tuple of BoardPart
        From below upward, and from left to right.
    joints : tuple of BoardJoint
        Between them.
    drawn : tuple of DrawnPiece
        The pieces that are drawn round it.
    allowances : tuple of (str, float)
        Between its sewing line and its cutting line, for each kind of edge: ``("seam", 20.0)`` [mm].
    """

    name: str
    line: TemplateLine
    half: bool
    outline: Array = field(converter=_points)
    parts: tuple[BoardPart, ...]
    joints: tuple[BoardJoint, ...]
    drawn: tuple[DrawnPiece, ...]
    allowances: tuple[tuple[str, float], ...] = ()

    @property
    def strips(self) -> tuple[JoiningStrip, ...]:
        """All joining strips."""
        return tuple(joint.strip for joint in self.joints if joint.strip is not None)

    @property
    def shapes(self) -> "tuple[BoardPart | JoiningStrip, ...]":
        """All that is sawn: parts, then strips."""
        return (*self.parts, *self.strips)

    @property
    def times(self) -> int:
        """How often cloth is drawn round it; a half template on unfolded cloth twice as often."""
        return sum(piece.count for piece in self.drawn)

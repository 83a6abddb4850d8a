"""How each seam and each finished edge is made: which kind, how the cloth lies, what allowance each side has.

Glossary: in a *plain* seam both allowances are turned to one side and held down by a second row; in a *lapped*
seam one cloth lies flat on the other; in a *flat-felled* seam the wide allowance of one side is folded around
the narrow allowance of the other and both are sewn down; a *taped* seam is a plain one with a tape sewn over
its allowances. The *wide side* is the one that folds over, or lies on top. A *hem* is turned in twice; a
*drawcord* channel is a hem with its ends left open for the cord.

The kinds follow common practice for woven polyethylene sheet, which neither frays much nor takes a crease:
few layers, two rows, allowances of 20 mm. This module knows nothing of lengths or of the order of sewing.
"""

from enum import Enum

from attrs import frozen

from shellparts.parameters.allowances import Allowances, SeamKind
from shellparts.parameters.part import Part, Role

__all__ = [
    "FINISHES",
    "JOIN",
    "JOINT",
    "MAKES",
    "EdgeFinish",
    "Make",
    "class_of",
    "is_wide",
    "seam_allowance",
]


class EdgeFinish(Enum):
    """How an edge that is not sewn to another one is finished."""

    HEM = "hem"
    DRAWCORD = "drawcord"
    REINFORCED = "reinforced"
    PATCHED = "patched"
    CUT = "cut"
    FITTED = "fitted"


@frozen
class Make:
    """How one kind is sewn.

    Parameters
    ----------
    layers : tuple of int
        How many layers of cloth each row of stitches goes through, row by row.
    narrow_share : float
        Allowance of the narrow side as a share of the wide side's, which is the seam allowance asked for.
    lie : str
        How the cloth lies, for the person at the machine.
    """

    layers: tuple[int, ...]
    narrow_share: float
    lie: str

    @property
    def rows(self) -> int:
        """Rows of stitches."""
        return len(self.layers)


#: How seams are made, by kind.
MAKES: dict[SeamKind, Make] = {
    SeamKind.PLAIN: Make(
        (2, 3), 1.0, "outer sides together; then turn both allowances to one side and sew them down"
    ),
    SeamKind.LAPPED: Make(
        (2, 2),
        1.0,
        "lay one on the other, sewing line on sewing line; a row along each cutting edge, which stays as cut, half the "
        "foot inside it",
    ),
    SeamKind.FLAT_FELLED: Make(
        (2, 4),
        0.5,
        "inner sides together; then fold the wide allowance around the narrow one and sew it down",
    ),
    SeamKind.TAPED: Make(
        (2, 3, 3),
        1.0,
        "outer sides together; then turn both allowances to one side, lay the tape over them on the inner side, its "
        "middle on the seam, and sew a row near each of its edges",
    ),
}
#: How edges are finished.
FINISHES: dict[EdgeFinish, Make] = {
    EdgeFinish.HEM: Make((3,), 1.0, "turn in twice up to the finished edge and sew down, as the rows say"),
    EdgeFinish.DRAWCORD: Make(
        (3,),
        1.0,
        "turn the allowances at its two ends in first; then turn it in for a channel and sew it down, both ends open "
        "for the cord",
    ),
    EdgeFinish.REINFORCED: Make(
        (2,),
        1.0,
        "sew the strip on the inner side, one edge of it on the cutting line of the opening, a row near each edge",
    ),
    EdgeFinish.PATCHED: Make(
        (2,),
        1.0,
        "lay patches flat on the inner side, in the order of the table where one lies over another, sew a row "
        "all around on their sewing line, cut off what hangs over the edge of the piece; where there is a tab, turn "
        "in its long sides, fold it in half on the outer side with its fold "
        "where the loop is drawn, sew a box with a cross and leave the loop open",
    ),
    EdgeFinish.CUT: Make((), 1.0, "cut the opening along its cutting line, through cloth and patch together"),
    EdgeFinish.FITTED: Make(
        (),
        1.0,
        "thread the cords through their channels and a tie through the loop of every tab, for anchors outdoors; "
        "indoors it holds nothing, and is left off or tied up short, for feet catch in it; clip the open edges "
        "together at the marks",
    ),
}

#: Of two parts that meet, the one whose role comes first here says how they are sewn together.
_DECIDES = (Role.FLAP, Role.CAP, Role.CLOSURE, Role.TUBE, Role.PANEL)
#: Of two parts that meet, the one whose role comes first here carries the wide side.
_WIDE = (Role.TUBE, Role.CAP, Role.FLAP, Role.PANEL, Role.CLOSURE)
#: The fields of `Allowances` for a tube sewn to itself, and for parts of a sheet that was larger than the cloth.
JOINT, JOIN = "joint_seam", "join_seam"


def class_of(a: Part, b: Part, joint: bool = False, join: bool = False) -> str:
    """Find the field of `Allowances` that says how a seam is made.

    Examples
    --------
    >>> from shellparts.parameters.part import CAP, PANEL
    >>> class_of(PANEL, CAP)
    'cap_seam'
    >>> class_of(PANEL, PANEL, join=True)
    'join_seam'
    """
    if join or joint:
        return JOIN if join else JOINT
    return min(a, b, key=lambda part: _DECIDES.index(part.role)).seam


def is_wide(own: Part, other: Part, rises: bool) -> bool:
    """Say whether an edge carries the wide side of its seam.

    Examples
    --------
    >>> from shellparts.parameters.part import CAP, PANEL
    >>> is_wide(CAP, PANEL, rises=False)
    True
    >>> is_wide(PANEL, PANEL, rises=False)
    False
    """
    if own == other:
        return rises
    return _WIDE.index(own.role) < _WIDE.index(other.role)


def seam_allowance(allowances: Allowances, seam_class: str, wide: bool) -> float:
    """Cloth outside the sewing line on one side of a seam [mm].

    Examples
    --------
    >>> felled = Allowances(seam=24, panel_seam="flat_felled")
    >>> [seam_allowance(felled, "panel_seam", wide) for wide in (True, False)]
    [24.0, 12.0]
    """
    make = MAKES[allowances.kind(seam_class)]
    full = allowances.join if seam_class == JOIN else allowances.seam
    return full * (1.0 if wide else make.narrow_share)

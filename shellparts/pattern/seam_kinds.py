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
from shellparts.parameters.choices import PartKind

__all__ = ["FINISHES", "MAKES", "EdgeFinish", "Make", "SeamClass", "class_of", "is_wide", "seam_allowance"]


class EdgeFinish(Enum):
    """How an edge that is not sewn to another one is finished."""

    HEM = "hem"
    DRAWCORD = "drawcord"
    REINFORCED = "reinforced"
    PATCHED = "patched"


class SeamClass(Enum):
    """What a seam joins; its value names the field of `Allowances` that says how it is made."""

    PANEL = "panel_seam"
    CAP = "cap_seam"
    TUNNEL = "tunnel_seam"
    SLEEVE = "sleeve_seam"
    JOINT = "joint_seam"
    CURTAIN = "curtain_seam"
    FLAP = "flap_seam"
    JOIN = "join_seam"


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
        (2, 2), 1.0, "lay one on the other, sewing line on sewing line; a row near each edge of the lap"
    ),
    SeamKind.FLAT_FELLED: Make(
        (2, 4),
        0.5,
        "inner sides together; then fold the wide allowance around the narrow one and sew it down",
    ),
    SeamKind.TAPED: Make(
        (2, 3, 3), 1.0, "outer sides together; then lay tape over the allowances, a row each side"
    ),
}
#: How edges are finished.
FINISHES: dict[EdgeFinish, Make] = {
    EdgeFinish.HEM: Make((3,), 1.0, "turn in twice and sew down"),
    EdgeFinish.DRAWCORD: Make((3,), 1.0, "turn in for a channel, its ends open for the cord"),
    EdgeFinish.REINFORCED: Make((2,), 1.0, "sew a strip of cloth or tape around the opening, inside"),
    EdgeFinish.PATCHED: Make((2,), 1.0, "patches inside, tabs folded in half and outside; a row all around"),
}

_BY_PART = {
    PartKind.FLAP: SeamClass.FLAP,
    PartKind.CAP: SeamClass.CAP,
    PartKind.CURTAIN: SeamClass.CURTAIN,
    PartKind.SLEEVE: SeamClass.SLEEVE,
    PartKind.TUNNEL: SeamClass.TUNNEL,
    PartKind.PANEL: SeamClass.PANEL,
}
#: Of two parts that meet, the one that comes first here carries the wide side.
_RANK = (
    PartKind.TUNNEL,
    PartKind.SLEEVE,
    PartKind.CAP,
    PartKind.FLAP,
    PartKind.PANEL,
    PartKind.CURTAIN,
)


def class_of(a: PartKind, b: PartKind, joint: bool = False, join: bool = False) -> SeamClass:
    """Find the class of a seam.

    Parameters
    ----------
    a, b : PartKind
        What the two sheets are.
    joint : bool
        Whether they are one sheet, sewn to itself.
    join : bool
        Whether they are parts of one sheet that was larger than the cloth.

    Returns
    -------
    SeamClass

    Examples
    --------
    >>> class_of(PartKind.PANEL, PartKind.CAP)
    <SeamClass.CAP: 'cap_seam'>
    >>> class_of(PartKind.SLEEVE, PartKind.SLEEVE, joint=True)
    <SeamClass.JOINT: 'joint_seam'>
    """
    if join:
        return SeamClass.JOIN
    if joint:
        return SeamClass.JOINT
    return next(seam_class for part, seam_class in _BY_PART.items() if part in (a, b))


def is_wide(own: PartKind, other: PartKind, rises: bool) -> bool:
    """Say whether an edge carries the wide side of its seam.

    Parameters
    ----------
    own, other : PartKind
        What the sheet of the edge is, and the sheet that it is sewn to.
    rises : bool
        Whether the edge, walked counter-clockwise as seen from outside, rises on the upright template: then it
        is a right edge.

    Returns
    -------
    bool
        Cap, tunnel, sleeve and flap carry the wide side against a panel, the tunnel against a curtain; between
        two sheets of one part, and at the joint of a tube, the right edge does.

    Examples
    --------
    >>> is_wide(PartKind.TUNNEL, PartKind.PANEL, rises=False)
    True
    >>> is_wide(PartKind.PANEL, PartKind.PANEL, rises=False)
    False
    """
    if own is other:
        return rises
    return _RANK.index(own) < _RANK.index(other)


def seam_allowance(allowances: Allowances, seam_class: SeamClass, wide: bool) -> float:
    """Cloth outside the sewing line on one side of a seam.

    Parameters
    ----------
    allowances : Allowances
        What the design asks for.
    seam_class : SeamClass
    wide : bool
        Whether this is the wide side.

    Returns
    -------
    float
        Allowance [mm].

    Examples
    --------
    >>> felled = Allowances(seam=24, panel_seam="flat_felled")
    >>> [seam_allowance(felled, SeamClass.PANEL, wide) for wide in (True, False)]
    [24.0, 12.0]
    """
    make = MAKES[allowances.kind(seam_class.value)]
    full = allowances.join if seam_class is SeamClass.JOIN else allowances.seam
    return full * (1.0 if wide else make.narrow_share)

"""Loops of tabs that no row of stitches along the foot may run across.

Glossary: a *tab* is sewn on flat before the foot is finished; its *loop* hangs free from the fold at the foot up to the
box of stitches that holds the tab. When the foot is hemmed, or its flap sewn on, the loop is turned up out of the way:
that goes as long as the topmost row stays below the box.
"""

from collections.abc import Mapping

from shellparts.base.checks import at_least
from shellparts.body.seams import EdgeRole
from shellparts.parameters.allowances import SeamKind
from shellparts.parameters.reinforcement import Reinforcement
from shellparts.pattern.hems import hem_turns
from shellparts.pattern.marked import STRIP_MM
from shellparts.pattern.pieces import PieceEdge, Seam

__all__ = ["LOOP", "check_loop", "loop_mm", "topmost_row_mm"]

#: Share of a folded tab that is left unsewn as its loop.
LOOP = 1 / 3
#: A row runs so far inside the edge of a lap, a fold or a tape [mm]; between it and the box of a tab stay so many.
_ROW_MM, _CLEAR_MM = 3.0, 5.0


def loop_mm(tab_length_mm: float) -> float:
    """Height of a tab's loop above the fold, from its length as cut [mm].

    Examples
    --------
    >>> loop_mm(300.0)
    50.0
    """
    return LOOP * tab_length_mm / 2


def topmost_row_mm(edge: PieceEdge, seams: Mapping[str, Seam]) -> float:
    """How far above the foot its topmost row of stitches runs on the panel.

    Parameters
    ----------
    edge : PieceEdge
        The foot of a piece.
    seams : mapping of str to Seam
        By their ids.

    Returns
    -------
    float
        From the sewing line or the finished edge up [mm]; 0 where nothing is sewn along it.

    References
    ----------
    The rows are those of `seam_kinds.MAKES` and of `hems.hem_turns`: a lap, and allowances that are sewn down, reach
    one allowance up; a flat-felled seam is as wide as its narrow allowance; a tape lies with its middle on the seam.
    """
    if edge.role is EdgeRole.HEM:
        return hem_turns(edge.allowance_mm).row_mm
    rows = [0.0]
    for one in (seams[name] for name in edge.seams):
        wide = {
            SeamKind.FLAT_FELLED: min(one.allowances_mm),
            SeamKind.TAPED: STRIP_MM / 2,
        }.get(one.kind, max(one.allowances_mm))
        rows.append(wide - min(_ROW_MM, wide / 4))
    return max(rows)


def check_loop(edge: PieceEdge, seams: Mapping[str, Seam], size: Reinforcement) -> None:
    """Refuse tabs so short that the rows along the foot would run across them.

    Parameters
    ----------
    edge : PieceEdge
        The foot that the tabs stand on.
    seams : mapping of str to Seam
        By their ids.
    size : Reinforcement
        Of the tabs.

    Raises
    ------
    ParameterError
        If the box of a tab begins less than 5 mm above the topmost row.
    """
    row = topmost_row_mm(edge, seams)
    if not row:
        return
    at_least(
        "length of a tab",
        size.tab_length,
        (row + _CLEAR_MM) * 2 / LOOP,
        f", or the rows along the foot, up to {row:.0f} mm above it, would run across its loop",
        "make the tabs longer (tab_length=… of Reinforcement), the hem or seam allowance narrower (Allowances), or "
        "leave tabs out (tabs=False)",
    )

"""How long the work takes: marking out, cutting, sewing.

The paces are assumptions of ours for two people on a floor who have not done it before; measure your own on one piece.
"""

from attrs import frozen

from shellparts.pattern.made import Pattern
from shellparts.sewing.order_steps import SewingOrder

__all__ = ["WorkHours", "work_hours"]

#: Laying out, turning and folding away one piece [min], chalking and cutting [m/min], one notch [min].
_PIECE_MIN, _CHALK_M_MIN, _CUT_M_MIN, _NOTCH_MIN = 4.0, 1.5, 3.0, 0.25


@frozen
class WorkHours:
    """Hours of work.

    Parameters
    ----------
    marking_h, cutting_h, sewing_h : float
        Of each kind of work [h].
    """

    marking_h: float
    cutting_h: float
    sewing_h: float

    @property
    def all_h(self) -> float:
        """All together [h]."""
        return self.marking_h + self.cutting_h + self.sewing_h


def work_hours(pattern: Pattern, order: SewingOrder) -> WorkHours:
    """Reckon the hours of a room.

    Parameters
    ----------
    pattern : Pattern
    order : SewingOrder
        Of the same pattern.

    Returns
    -------
    WorkHours
        ``marking = n·4 min + cut line / 1.5 m/min + notches / 4 per min``; ``cutting = cut line / 3 m/min``;
        sewing as the steps say.

    References
    ----------
    Assumptions, see the module.
    """
    marking = cutting = 0.0
    for piece in pattern.templates:
        line = sum(edge.length_mm for edge in piece.all_edges) / 1000.0
        notches = sum(len(edge.notches_mm) for edge in piece.all_edges)
        marking += piece.count * (_PIECE_MIN + line / _CHALK_M_MIN + notches * _NOTCH_MIN)
        cutting += piece.count * line / _CUT_M_MIN
    return WorkHours(marking / 60.0, cutting / 60.0, order.hours)

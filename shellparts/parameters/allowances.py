"""Cloth left outside the sewing line, and how each seam is made."""

from enum import Enum
from typing import Any, Literal

from shellparts.base.classes import Mm, Reads, frozen_fields
from shellparts.base.fields import choice_field, length_field

__all__ = ["Allowances", "SeamKind"]


class SeamKind(Enum):
    """How two edges are sewn together."""

    PLAIN = "plain"
    LAPPED = "lapped"
    FLAT_FELLED = "flat_felled"
    TAPED = "taped"


#: The same as text.
SeamKindWord = Literal["plain", "lapped", "flat_felled", "taped"]


def _seam_field(what: str, default: SeamKind) -> Any:
    return choice_field(f"kind of the {what}", SeamKind, default=default)


@frozen_fields(kw_only=True)
class Allowances:
    """Cloth left outside the sewing line, and how seams are made.

    Parameters
    ----------
    seam : float or str
        Along edges that are sewn to another edge [mm].
    hem : float or str
        Along edges that are turned in [mm].
    drawcord : float or str
        Along the mouth of the fan sleeve, for a channel with a cord [mm].
    join : float or str
        Outside the sewing line on either side of a join in a piece larger than the cloth [mm].
    panel_seam, cap_seam, tunnel_seam, sleeve_seam, joint_seam, curtain_seam, flap_seam, join_seam : SeamKind or str
        ``"plain"``, ``"lapped"``, ``"flat_felled"`` or ``"taped"``: seams between panels, of the cap, of the
        doorway tunnel and of the fan sleeve with the panels, along a sleeve, of the curtain, of flaps that are
        sewn on, of joins. A flat-felled seam leaves the seam allowance on one side and half of it on the other.

    Raises
    ------
    ParameterError
        If a value is of another kind, or outside its limits.
    """

    seam: Mm = length_field("seam allowance", 5.0, 100.0, "leave 10 mm to 30 mm", default=20.0)
    hem: Mm = length_field("hem allowance", 5.0, 150.0, "leave 20 mm to 50 mm", default=40.0)
    drawcord: Mm = length_field("drawcord allowance", 5.0, 150.0, "leave 30 mm to 50 mm", default=40.0)
    join: Mm = length_field("join allowance", 5.0, 100.0, "leave 10 mm to 30 mm", default=20.0)
    panel_seam: Reads[SeamKind | SeamKindWord, SeamKind] = _seam_field("seams between panels", SeamKind.PLAIN)
    cap_seam: Reads[SeamKind | SeamKindWord, SeamKind] = _seam_field("cap's seam", SeamKind.PLAIN)
    tunnel_seam: Reads[SeamKind | SeamKindWord, SeamKind] = _seam_field("tunnel's seam", SeamKind.PLAIN)
    sleeve_seam: Reads[SeamKind | SeamKindWord, SeamKind] = _seam_field("sleeve's seam", SeamKind.TAPED)
    joint_seam: Reads[SeamKind | SeamKindWord, SeamKind] = _seam_field(
        "seam along the sleeve", SeamKind.PLAIN
    )
    curtain_seam: Reads[SeamKind | SeamKindWord, SeamKind] = _seam_field("curtain's seam", SeamKind.PLAIN)
    flap_seam: Reads[SeamKind | SeamKindWord, SeamKind] = _seam_field("flap's seam", SeamKind.LAPPED)
    join_seam: Reads[SeamKind | SeamKindWord, SeamKind] = _seam_field(
        "joins in large pieces", SeamKind.LAPPED
    )

    def kind(self, seam: str) -> SeamKind:
        """How a seam is made, by the name of its field, such as ``"panel_seam"``."""
        kind: SeamKind = getattr(self, seam)
        return kind

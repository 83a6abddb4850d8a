"""Cloth pieces of a pattern, as the stock stage takes them.

Glossary: as in `sewing` and `pieces`. A cloth piece stands upright, its centre line on x = 0; here it lies on
its side, so that its centre line, which runs with the weave, is the x axis and a mirror image is one about
it. This module lays nothing out.
"""

import numpy as np

from shellparts.pattern.cut_pieces import CutPiece
from shellparts.pattern.made import Pattern

__all__ = ["cut_pieces"]


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

"""What is written beside an edge: its one name, and what is done there. Every drawing takes it from here."""

from collections.abc import Sequence

from shellparts.body.seams import EdgeRole
from shellparts.pattern.pieces import Piece, PieceEdge

__all__ = ["edge_text", "what_is_done"]

_WORDS = {EdgeRole.HEM: "hem", EdgeRole.OPEN: "vent hem", EdgeRole.ONTO: "sew down"}


def what_is_done(piece: Piece, edge: PieceEdge) -> str:
    """Say what becomes of an edge that is not sewn to another one; nothing of a seam."""
    if piece.kind.drawn and edge.role is EdgeRole.HEM:
        return "cord channel"
    return _WORDS.get(edge.role, "")


def edge_text(piece: Piece, edge: PieceEdge, seams: Sequence[str] | None = None) -> str:
    """Write an edge's name and what is done there.

    Parameters
    ----------
    piece : Piece
    edge : PieceEdge
        Of that piece.
    seams : sequence of str, optional
        Ids of the seams there on one copy of it; unless given, what is true of all copies is written.

    Returns
    -------
    str
        Such as ``"e2 S08"``, ``"e3 hem"``, ``"e4 next panel"``.
    """
    sewn = " ".join(seams) if seams is not None else edge.words or " ".join(edge.seams)
    return f"{edge.id} {sewn or what_is_done(piece, edge)}".strip()

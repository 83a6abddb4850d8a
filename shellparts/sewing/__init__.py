"""Cloth pieces: sewing line, cutting line, notches, stations, seams. No kernel.

Glossary: the *sewing line* is the flat outline; the *cutting line* lies outside it by the *allowance* of each
edge; a *run* is a stretch of a piece's boundary that is treated as one edge; a *notch* marks points of two
edges that meet; a *station* is a row of the table from which a template is marked out with a tape. A *sheet*
is one cloth part of the room; sheets that are cut alike are one *piece* with a count. The *order* says what is sewn
when.
"""

from shellparts.sewing.cloth_piece import Piece, PieceEdge, Seam
from shellparts.sewing.order import sewing_order
from shellparts.sewing.order_steps import SewingOrder
from shellparts.sewing.pattern import Pattern, make_pattern
from shellparts.sewing.stations import Station, stations_of
from shellparts.sewing.thread import Machine

__all__ = [
    "Machine",
    "Pattern",
    "Piece",
    "PieceEdge",
    "Seam",
    "SewingOrder",
    "Station",
    "make_pattern",
    "sewing_order",
    "stations_of",
]

"""The pieces of the shipped rooms as they are printed on A4, decided once a process."""

from functools import cache

from model_rooms import room_of

from shellparts.drawing.full_size import printed_pieces
from shellparts.drawing.paper import sheet_of
from shellparts.drawing.print_map import PrintedPiece
from shellparts.parameters import Printing, Tape

A4 = sheet_of(Printing(), Tape.METRIC)


@cache
def printed_of(name: str) -> list[PrintedPiece]:
    """All pieces and patches of a room."""
    return printed_pieces(room_of(name).pattern.templates, A4)

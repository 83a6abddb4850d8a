"""The rooms of the three model scripts as flat pieces, each made once for all tests; and one without openings."""

from functools import cache

import model_rooms
from attrs import evolve

from shellparts.build.inflated import flat_pieces
from shellparts.build.room import Room, build
from shellparts.inflate import FlatRoom, InflatedRoom, Membrane, whole_room
from shellparts.pattern.made import Pattern, make_pattern

CLOTH = Membrane(150e3, 120e3, 8e3, 0.2, 0.2)
PRESSURE_PA = 60.0
SIZE_MM = 260.0


@cache
def room_of(name: str) -> Room:
    """A shipped room; ``bare`` is the lantern room without doorway and sleeve."""
    if name == "bare":
        return build(evolve(model_rooms.room_of("lantern_room").design, openings=()))
    return model_rooms.room_of(name)


@cache
def flat_of(name: str) -> FlatRoom:
    """Flat pieces of one of the rooms."""
    room = room_of(name)
    return flat_pieces(room.body, room.outlines)


@cache
def pattern_of(name: str) -> Pattern:
    """The pattern of whole sheets."""
    room = room_of(name)
    return make_pattern(room.outlines, room.body.seams, room.design.allowances)


@cache
def inflated(name: str) -> InflatedRoom:
    """One of the rooms under air."""
    return whole_room(flat_of(name), CLOTH, PRESSURE_PA, SIZE_MM)

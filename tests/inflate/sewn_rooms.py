"""The rooms of the three model scripts as flat pieces, each made once for all tests; and one without openings."""

from functools import cache
from pathlib import Path

from attrs import evolve

from shellparts.inflate import Cloth, FlatRoom, InflatedRoom, flat_room, whole_room
from shellparts.room import Room, build
from shellparts.script import run_script
from shellparts.sewing import Pattern, make_pattern

MODELS = Path(__file__).parents[2] / "models"
NAMES = ("lantern_room", "tide_dome", "orchard_pavilion")
CLOTH = Cloth(150e3, 120e3, 8e3, 0.2, 0.2)
PRESSURE_PA = 60.0
SIZE_MM = 260.0


@cache
def room_of(name: str) -> Room:
    """The room of a model script; ``bare`` is the lantern room without doorway and sleeve."""
    if name == "bare":
        return build(evolve(room_of("lantern_room").design, doorway=None, sleeve=None))
    return run_script(MODELS / f"{name}.py", {})


def laid_out(room: Room) -> FlatRoom:
    """Flat pieces of a room, with the courses of their lines from the body."""
    courses = {link.key: link.sampled(2 if link.straight else 129) for link in room.body.links}
    return flat_room(room.outlines, room.body.seams, courses)


@cache
def flat_of(name: str) -> FlatRoom:
    """Flat pieces of one of the rooms."""
    return laid_out(room_of(name))


@cache
def pattern_of(name: str) -> Pattern:
    """The pattern of whole sheets."""
    room = room_of(name)
    return make_pattern(room.outlines, room.body.seams, room.design.allowances)


@cache
def inflated(name: str) -> InflatedRoom:
    """One of the rooms under air."""
    return whole_room(flat_of(name), CLOTH, PRESSURE_PA, SIZE_MM)

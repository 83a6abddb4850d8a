"""Bodies of three rooms of our own, each built once for all tests of the solid writers."""

from functools import cache

from shellparts.body import Body, assemble
from shellparts.openings import Doorway, Sleeve
from shellparts.parameters import Design, Flap, Shell

STRAIGHT = Design(
    name="straight_room",
    shell=Shell(panels=12, across=4400, height=3300),
    doorway=Doorway(width=1000, height=1700, length=1500, head="arched"),
    sleeve=Sleeve(girth=1500, length=1200, height=900, panel=7, slope=10),
    flap=Flap(depth=300, sewn_on=True),
)
DOME = Design(
    name="dome_room",
    shell=Shell(panels=18, across=5600, height=3400, wall=900, profile="dome", measured="middles"),
    doorway=Doorway(width=1900, height=1700, length=1600, head="flat"),
    sleeve=Sleeve(diameter=500, length=1200, height=700, panel=6),
)
POINTED = Design(
    name="pointed_room",
    shell=Shell(panels=10, across="16 ft", height="12 ft", profile="pointed"),
    doorway=Doorway(width=1100, height=2000, length=1500, head="gabled", centred_on="seam"),
    sleeve=Sleeve(width=500, depth=400, length=1200, height=600, panel=4),
)
ROOMS = (STRAIGHT, DOME, POINTED)


@cache
def body_of(number: int) -> Body:
    """Body of one of the three rooms."""
    return assemble(ROOMS[number])

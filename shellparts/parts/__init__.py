"""The parts of a room, each on its own: the ring of panels, the tubes that go through it, what hangs on them.

A part is exact geometry that has not met the others yet: surfaces, and the curves that bound them. Where
parts meet is for the body stage. Everything outward means away from the air that holds the cloth up.
"""

from shellparts.parts.flap import FloorBand, shell_flaps, tunnel_flaps
from shellparts.parts.pool import Link, Node, Pool, Walk
from shellparts.parts.section import Stretch
from shellparts.parts.shell import Ring
from shellparts.parts.sleeve import sleeve_tube
from shellparts.parts.tube import Tube
from shellparts.parts.tunnel import tunnel_tube

__all__ = [
    "FloorBand",
    "Link",
    "Node",
    "Pool",
    "Ring",
    "Stretch",
    "Tube",
    "Walk",
    "shell_flaps",
    "sleeve_tube",
    "tunnel_flaps",
    "tunnel_tube",
]

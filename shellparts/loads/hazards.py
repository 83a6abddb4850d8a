"""Dangers that are not a matter of pressure: which of them this room has, gravest first. Codes and figures only.

Glossary: a *hazard* is a way to come to harm that stays even where the room stands, is held down and is full of
good air; its *figure* is the number it hangs on, where there is one. Not known here: what you do about it.
"""

from collections.abc import Callable, Sequence
from enum import Enum

from attrs import frozen

from shellparts.loads.people import clear_width_needed
from shellparts.loads.room_figures import RoomFigures
from shellparts.loads.way_out import CRAWL_MM, STAND_MM
from shellparts.parameters.site import AgeGroup, Crowd, Site

__all__ = ["Hazard", "HazardCase", "HazardFound", "hazards_of"]

_CHILDREN = (AgeGroup.BOYS_6_10, AgeGroup.GIRLS_6_10)


class Hazard(Enum):
    """What may happen, in order of gravity.

    EXHAUST: a generator's engine near the fan fills the room with carbon monoxide.
    SHEET_OVER_FACES: the room sinks on small children, and the sheet lies over their faces.
    LEAD: the fan's lead is damaged or wet; it wants a switch that trips on earth leakage.
    CRAWLING_WAY: the way out is so low that people crawl.
    RAIN_POOLS: outdoors water gathers in dents of the roof, and its weight pulls the room down.
    NO_TUNNEL_BAGS: there is ballast, but none at the tunnel's foot: the way out lifts or folds first.
    LOW_DOORWAY: the way out is lower than 2.03 m: heads and stooping.
    WHEELCHAIR_DOOR: somebody comes in a wheelchair, and the way out is too narrow or too low for it.
    WHEELCHAIR_FLAP: somebody comes in a wheelchair, and a flap lies across the way.
    BAGS_UNDER_SHEET: bags lie inside, where people trip over them once the sheet is down on them.
    TRIP_FLAP: a flap of cloth lies where people walk: along the wall or on the tunnel's floor.
    TRIP_SLEEVE: the fan's sleeve and lead lie outside at the height of shins.
    """

    EXHAUST = "exhaust"
    SHEET_OVER_FACES = "sheet over faces"
    LEAD = "lead"
    CRAWLING_WAY = "crawling way"
    RAIN_POOLS = "rain pools"
    NO_TUNNEL_BAGS = "no bags at the tunnel"
    LOW_DOORWAY = "low doorway"
    WHEELCHAIR_DOOR = "wheelchair at the door"
    WHEELCHAIR_FLAP = "wheelchair on a flap"
    BAGS_UNDER_SHEET = "bags under the sheet"
    TRIP_FLAP = "tripping over a flap"
    TRIP_SLEEVE = "tripping over sleeve or lead"


@frozen
class HazardCase:
    """What the hazards hang on.

    Parameters
    ----------
    room : RoomFigures
    site : Site
    crowd : tuple of Crowd
        Who is inside; with nobody named small children are reckoned with.
    sleeves : int
        Fan sleeves [-].
    tunnel_flap_mm : float
        Depth of the flap on the tunnel's floor [mm]; 0 for none.
    bags_inside : int
        Bags inside [-].
    tunnel_bags : int
        Bags at the tunnels' feet [-].
    """

    room: RoomFigures
    site: Site
    crowd: tuple[Crowd, ...]
    sleeves: int = 1
    tunnel_flap_mm: float = 0.0
    bags_inside: int = 0
    tunnel_bags: int = 0

    @property
    def children(self) -> int:
        """Small children inside [-]."""
        return sum(part.count for part in self.crowd if part.group in _CHILDREN)


@frozen
class HazardFound:
    """One hazard of this room.

    Parameters
    ----------
    hazard : Hazard
        Which one.
    figure : float or None
        The number it hangs on [unit of its name: mm, or how many].
    """

    hazard: Hazard
    figure: float | None = None


def _narrow(case: HazardCase) -> bool:
    """Whether a wheelchair does not pass the way out."""
    room = case.room
    return room.exit_width_mm < clear_width_needed(room.tunnel_length_mm) or room.exit_height_mm < CRAWL_MM


_Rule = tuple[Callable[[HazardCase], bool], Callable[[HazardCase], float | None]]
_RULES: dict[Hazard, _Rule] = {
    Hazard.EXHAUST: (lambda c: c.site.generator, lambda _: None),
    Hazard.SHEET_OVER_FACES: (lambda c: c.children > 0 or not c.crowd, lambda c: float(c.children)),
    Hazard.LEAD: (lambda _: True, lambda _: None),
    Hazard.CRAWLING_WAY: (lambda c: c.room.exit_height_mm < CRAWL_MM, lambda c: c.room.exit_height_mm),
    Hazard.RAIN_POOLS: (lambda c: not c.site.indoors, lambda _: None),
    Hazard.NO_TUNNEL_BAGS: (
        lambda c: c.bags_inside > 0 and c.tunnel_bags == 0 and c.room.tunnel_length_mm > 0.0,
        lambda c: c.room.tunnel_length_mm,
    ),
    Hazard.LOW_DOORWAY: (
        lambda c: CRAWL_MM <= c.room.exit_height_mm < STAND_MM,
        lambda c: c.room.exit_height_mm,
    ),
    Hazard.WHEELCHAIR_DOOR: (lambda c: c.site.wheelchairs and _narrow(c), lambda c: c.room.exit_width_mm),
    Hazard.WHEELCHAIR_FLAP: (
        lambda c: c.site.wheelchairs and c.tunnel_flap_mm > 0.0,
        lambda c: c.tunnel_flap_mm,
    ),
    Hazard.BAGS_UNDER_SHEET: (
        lambda c: c.bags_inside + c.tunnel_bags > 0,
        lambda c: float(c.bags_inside + c.tunnel_bags),
    ),
    Hazard.TRIP_FLAP: (
        lambda c: max(c.tunnel_flap_mm, c.room.flap_depth_mm) > 0.0,
        lambda c: max(c.tunnel_flap_mm, c.room.flap_depth_mm),
    ),
    Hazard.TRIP_SLEEVE: (lambda c: c.sleeves > 0, lambda c: float(c.sleeves)),
}


def hazards_of(case: HazardCase) -> Sequence[HazardFound]:
    """Hazards of a room, gravest first.

    Parameters
    ----------
    case : HazardCase

    Returns
    -------
    sequence of HazardFound
    """
    return tuple(HazardFound(hazard, _RULES[hazard][1](case)) for hazard in Hazard if _RULES[hazard][0](case))

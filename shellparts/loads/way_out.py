"""How long people take to get out: by each way's clear width and height, draw by draw.

Glossary: a *way out* is a doorway with its tunnel; its *clear* width and height are what is free; people *stoop*
where it is lower than 2.03 m and *crawl* where it is lower than 1.3 m, both more slowly. Several ways share the
people in proportion to what they let through; everybody's walk is the longest. Not known here: crowds that do not
move, doors that jam, wheelchairs, and people of different size: all count as grown up, which is the careful side.
"""

import math
from collections.abc import Sequence
from enum import Enum

import numpy as np
from attrs import frozen
from numpy.typing import ArrayLike, NDArray

from shellparts.base.checks import above
from shellparts.base.ranges import Range
from shellparts.loads.draws import Draws
from shellparts.loads.people import clear_width_needed
from shellparts.parameters.opening import WayOut

__all__ = [
    "CRAWL_MM",
    "STAND_MM",
    "Escape",
    "WayTrouble",
    "escape_of",
    "leaving_time",
    "posture_share",
    "way_troubles",
]

Floats = NDArray[np.float64]

#: Clear height below which people stoop [mm]: 80 in, the least headroom on a way out (IBC, ADA 307.4, from memory).
STAND_MM = 80.0 * 25.4
#: Clear height below which grown-up people crawl [mm]: ours.
CRAWL_MM = 1300.0
#: Speed over that of upright people [-], just above the height at which one begins to crawl, and crawling.
#: Crawling is about 0.7 m/s against 1.2 m/s (trials of crawling in smoke, from memory), and less in a crowd;
#: both figures are ours.
STOOP_SHARE, CRAWL_SHARE = 0.6, 0.4
#: Width on either side of a way out that people keep off [mm]: 150 mm beside doors (usual in reckoning with
#: crowds, from memory); cloth gives way, so half of it is ours.
_EDGE_MM = 75.0
#: People through a way out a second and a metre of used width [1/(s·m)]: 1.3 is the usual most (from memory);
#: the range is ours.
_RATE = Range(0.5, 0.9, 1.3)
#: Time until people set off [s], and walking speed in a crowd [m/s]: ours.
_START_S, _WALK_M_S = Range(5.0, 15.0, 30.0), Range(0.5, 0.8, 1.2)


class WayTrouble(Enum):
    """What is amiss with a way out.

    STOOP: lower than 2.03 m. CRAWL: lower than 1.3 m. NARROW: narrower than 32 in, or 36 in where deeper than
    24 in. SINGLE: so narrow (under 550 mm) that a grown-up person turns sideways.
    """

    CRAWL = "crawl"
    STOOP = "stoop"
    SINGLE = "sideways"
    NARROW = "narrow"


@frozen(eq=False)
class Escape:
    """Leaving, as a line in the number of people: ``t = first_s + N·each_s``.

    Parameters
    ----------
    first_s : ndarray, shape (n,)
        Time to set off and walk [s].
    each_s : ndarray, shape (n,)
        Time that each person adds at the ways out [s].
    """

    first_s: Floats
    each_s: Floats


def posture_share(height_mm: ArrayLike) -> Floats:
    """Speed over that of upright people where the clear height is low.

    1 from 2.03 m up, falling in a straight line to 0.6 at 1.3 m, and 0.4 below, where people crawl.

    Parameters
    ----------
    height_mm : array_like, shape (n,)
        Clear height [mm].

    Returns
    -------
    ndarray, shape (n,)
        The share [-].

    Examples
    --------
    >>> posture_share([2100.0, 1666.0, 700.0]).round(2).tolist()
    [1.0, 0.8, 0.4]
    """
    height = np.asarray(height_mm, float)
    upright = np.clip((height - CRAWL_MM) / (STAND_MM - CRAWL_MM), 0.0, 1.0)
    return np.where(height < CRAWL_MM, CRAWL_SHARE, STOOP_SHARE + (1.0 - STOOP_SHARE) * upright)


def way_troubles(way: WayOut) -> tuple[WayTrouble, ...]:
    """What is amiss with a way out, gravest first.

    Parameters
    ----------
    way : WayOut

    Returns
    -------
    tuple of WayTrouble

    References
    ----------
    80 in of headroom: IBC, ADA 307.4; 32 and 36 in of width: ADA 404.2.3.

    Examples
    --------
    >>> [trouble.value for trouble in way_troubles(WayOut(900.0, 1650.0, 1500.0, 0.0))]
    ['stoop', 'narrow']
    """
    found = {
        WayTrouble.CRAWL: way.height < CRAWL_MM,
        WayTrouble.STOOP: CRAWL_MM <= way.height < STAND_MM,
        WayTrouble.SINGLE: way.width < 550.0,
        WayTrouble.NARROW: way.width < clear_width_needed(way.length),
    }
    return tuple(trouble for trouble, holds in found.items() if holds)


def escape_of(
    draws: Draws, ways: Sequence[WayOut], across_mm: float, stooping_inside: bool = False
) -> Escape:
    """Leaving by all ways together.

    Parameters
    ----------
    draws : Draws
        Say setting off, walking and the rate at a doorway.
    ways : sequence of WayOut
        One or more.
    across_mm : float
        Longest walk inside [mm]: the room's diameter.
    stooping_inside : bool
        Whether people stoop inside the room as well, its cloth being on its way down.

    Returns
    -------
    Escape

    Raises
    ------
    ParameterError
        If there is no way out.
    """
    above("ways out", len(ways), 0, "ways out", "a room needs a way out")
    walk = draws.between("walking", _WALK_M_S)
    inside = across_mm / 1000.0 * (1.0 / STOOP_SHARE if stooping_inside else 1.0)
    tunnels = max(way.length / 1000.0 / float(posture_share(way.height)) for way in ways)
    used_m = math.fsum(
        max(way.width - 2.0 * _EDGE_MM, 0.5 * way.width) / 1000.0 * float(posture_share(way.height))
        for way in ways
    )
    rate = draws.between("doorway rate", _RATE)
    return Escape(
        first_s=draws.between("setting off", _START_S) + (inside + tunnels) / walk,
        each_s=1.0 / (rate * used_m),
    )


def leaving_time(escape: Escape, people: int) -> Floats:
    """Time from the fan's stop until the last person is out, ``t = first + N·each``.

    Parameters
    ----------
    escape : Escape
    people : int
        How many people are inside [-].

    Returns
    -------
    ndarray, shape (n,)
        The time [s]; 0 for nobody.
    """
    return escape.first_s + people * escape.each_s if people else np.zeros_like(escape.first_s)

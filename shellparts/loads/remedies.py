"""What would make it a yes: the least ballast, the least longer vent, another fan, each worked out by assessing again.

Glossary: a change is *probable* from where the base stays down, and the fan holds the cloth up, by the likely
values, and *sure* from where that holds over all the ranges. The *bags* are the ballast that the page advises:
what the factor of 1.5 asks for, in whole bags. A change is looked for by halving between amounts, for more of
it never makes things worse. Not known here: what a change costs; they come in the order of their usual cost.
"""

from collections.abc import Callable, Sequence

from attrs import frozen

from shellparts.base.classes import evolve
from shellparts.base.ranges import Judgement, Range, exact
from shellparts.loads.hold_down import Bags, bags_round_base
from shellparts.loads.results import Verdict
from shellparts.loads.verdict import assess
from shellparts.parameters.fan import Fan, FanSpeed

__all__ = ["Ways", "ways_to_yes"]

#: Ballasts, and fans as a share of this one's air, that are tried [kg], [-].
_BALLAST_KG = (5, 10, 15, 20, 25, 30, 40, 50, 60, 70, 80, 100, 120, 150, 200, 250, 300, 400, 500)
_WEAKER, _STRONGER = (0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3, 0.2), (1.25, 1.5, 1.75, 2.0)
#: Steps of the vent, both sides together [mm].
_VENT_STEP_MM = 200.0
#: The bags may ask for more when they let the pressure rise; so it is looked at again this often.
_ROUNDS = 4


@frozen
class Ways:
    """What would make it a yes, cheapest first.

    Parameters
    ----------
    bags : Bags
        Ballast to lay in all, in whole bags.
    laid : Verdict
        Everything with that ballast.
    ballast_probable_kg, ballast_sure_kg : float or None
        Least ballast tried with which the base probably, and surely, stays down [kg]; None if it does without,
        or with none of those tried.
    vent_probable_mm, vent_sure_mm : float or None
        The same for the vent's longest opening, both sides together [mm], without more ballast.
    fan_probable : float or None
        Share of this fan's air at which the room probably stands up and stays down [-], without more ballast.
    known_fan_Pa : Range or None
        Pressure with the bags if the fan were known exactly [Pa]; None where it is.
    """

    bags: Bags
    laid: Verdict
    ballast_probable_kg: float | None
    ballast_sure_kg: float | None
    vent_probable_mm: float | None
    vent_sure_mm: float | None
    fan_probable: float | None
    known_fan_Pa: Range | None


def _first(amounts: Sequence[float], holds: Callable[[float], bool]) -> float | None:
    """First amount at which something holds, by halving; None if it does not hold at the last."""
    if not amounts or not holds(amounts[-1]):
        return None
    low, high = 0, len(amounts) - 1
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if holds(amounts[middle]) else (middle + 1, high)
    return float(amounts[high])


def _known(fan: Fan) -> Fan:
    """The same fan, its likely curve taken for the true one."""
    speeds = tuple(FanSpeed(speed.name, exact(speed.ratio.likely)) for speed in fan.speeds)
    return evolve(fan, low=fan.likely, high=fan.likely, speeds=speeds, assumed=False)


def _times(fan: Fan, share: float) -> Fan:
    """A fan that gives another share of the air through the same outlet, by the fan laws."""
    speeds = tuple(FanSpeed(speed.name, speed.ratio.scaled(share)) for speed in fan.speeds)
    return evolve(fan, speeds=speeds, power_W=fan.power_W * min(1.0, share**3))


def _stays(verdict: Verdict) -> bool:
    return verdict.answers.likely.stays_down


def _probable(verdict: Verdict) -> bool:
    return verdict.answers.likely.stands_up and _stays(verdict)


def _sure(verdict: Verdict) -> bool:
    return verdict.answers.stays_down is Judgement.FINE


def _laid(with_ballast: Callable[[float], Verdict], first: Verdict) -> tuple[Bags, Verdict]:
    """Bags that satisfy the factor they are asked for with, and the verdict with them."""
    bags, verdict, around_m = first.hold_down.bags, first, first.room.base_perimeter_m
    for _ in range(_ROUNDS):
        kg = max(bags.total_kg, first.site.ballast_kg)
        verdict = with_ballast(kg)
        if verdict.hold_down.ballast_needed_kg <= kg:
            return bags_round_base(kg, around_m), verdict
        bags = bags_round_base(verdict.hold_down.ballast_needed_kg, around_m)
    return bags, verdict


def ways_to_yes(verdict: Verdict, vent_limit_mm: float) -> Ways:
    """Find what would make it a yes.

    Parameters
    ----------
    verdict : Verdict
        What `assess` says of the room; its site's ballast is what is laid already.
    vent_limit_mm : float
        Longest vent that the doorway has room for, both sides together [mm].

    Returns
    -------
    Ways
    """
    room, fan, cloth, site = verdict.room, verdict.fan, verdict.cloth, verdict.site

    def with_ballast(kg: float) -> Verdict:
        return assess(room, fan, cloth, evolve(site, ballast_kg=float(kg)))

    def with_vent(opening_mm: float) -> Verdict:
        return assess(evolve(room, vent_longest_mm=opening_mm), fan, cloth, site)

    def with_fan(other: Fan, kg: float) -> Verdict:
        return assess(room, other, cloth, evolve(site, ballast_kg=kg))

    bags, laid = _laid(with_ballast, verdict)
    ballasts = [kg for kg in _BALLAST_KG if kg > site.ballast_kg]
    shortest, longest = (int(mm // _VENT_STEP_MM) for mm in (room.vent_longest_mm, vent_limit_mm))
    vents = [_VENT_STEP_MM * step for step in range(shortest + 1, longest + 1)]
    if site.vent_opening_mm is not None:
        vents = []
    likely = verdict.answers.likely
    shares = _WEAKER if likely.stands_up else _STRONGER
    down, sure = likely.stays_down, _sure(verdict)
    return Ways(
        bags=bags,
        laid=laid,
        ballast_probable_kg=None if down else _first(ballasts, lambda kg: _stays(with_ballast(kg))),
        ballast_sure_kg=None if sure else _first(ballasts, lambda kg: _sure(with_ballast(kg))),
        vent_probable_mm=None if down else _first(vents, lambda mm: _stays(with_vent(mm))),
        vent_sure_mm=None if sure else _first(vents, lambda mm: _sure(with_vent(mm))),
        fan_probable=None
        if _probable(verdict)
        else next((s for s in shares if _probable(with_fan(_times(fan, s), site.ballast_kg))), None),
        known_fan_Pa=with_fan(_known(fan), bags.total_kg).air.used.pressure_Pa if fan.assumed else None,
    )

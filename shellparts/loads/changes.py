"""What would make it a go: ballast, a longer vent, another fan, fewer people, each worked out by assessing again.

Glossary: the *plan* is a row of changes after which nothing that must hold fails, cheapest first; an *other way* is
one change by itself, with the chance that the best setting then has. Ballast goes first while one can carry it, then
a longer vent, then another fan. Not known here: what a change costs.
"""

from collections.abc import Callable
from enum import Enum

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from shellparts.base.classes import brief, evolve
from shellparts.inflate.standing import StandingCurve
from shellparts.loads.air_limits import CAREFUL, SURE, UTMOST, least_flow_for_air
from shellparts.loads.assess import assess_drawn, crowd_inside, draw_room
from shellparts.loads.atmosphere import GRAVITY_M_S2
from shellparts.loads.ballast import BallastPlan, ballast_need, ballast_plan
from shellparts.loads.cloth_forces import SAFETY_FACTOR
from shellparts.loads.inside_air import air_task
from shellparts.loads.outdoors import BREEZE_M_S, outdoors_at
from shellparts.loads.results import Decision, Must, Verdict
from shellparts.loads.room_draws import RoomDraws
from shellparts.loads.room_figures import RoomFigures
from shellparts.loads.settings import SURE_CHANCE, Settings, settings_for_air
from shellparts.loads.sinking import SinkingVariant
from shellparts.loads.way_out import CRAWL_MM, WayTrouble
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.fan import Fan
from shellparts.parameters.fan_curve import FanCurve
from shellparts.parameters.fan_sources import FASTEST_BLOWER_M_S, FASTEST_OUTLET_M_S
from shellparts.parameters.site import Crowd, Site

__all__ = ["Change", "ChangeStep", "OtherWay", "Plan", "plan_changes"]

Floats = NDArray[np.float64]
#: Ballasts that are tried [kg]; up to the first figure it goes before all else: nobody likes to carry more.
_LADDER_KG = (5, 10, 15, 20, 25, 30, 40, 50, 60, 80, 100, 120, 150, 200, 250, 300, 400, 500)
_MUCH_KG = 60.0
#: Fans that are tried, as shares of this one's air through the same outlet [-].
_FANS = (0.9, 1.1, 0.8, 1.25, 0.7, 0.6, 1.5, 0.5, 0.4, 1.75, 2.0, 0.3, 0.2)
#: Steps of the vent, both sides together [mm].
_VENT_STEP_MM = 200.0
#: A doorway through which nobody crawls, with its cloth at its lowest [mm]; a width that a grown-up passes [mm].
_TALLER_MM, _WIDER_MM = round(CRAWL_MM / 0.95), 600.0
#: Lighter cloth that is tried, as a share of this one's mass [-].
_LIGHTER = 0.7


class Change(Enum):
    """What can be changed; the amount is given in brackets.

    BALLAST lays so much in all [kg]; VENT makes it so long, all sides together [mm]; FAN takes one with this share of
    the air [-]; PEOPLE lets in at most so many [-]; DOOR_HEIGHT and DOOR_WIDTH make the doorway at least so high or
    wide [mm]; ATTENDANTS practise, so many adults [-]; SLEEVE_FLAP and SECOND_FAN are added; CLOTH is stronger by
    this factor [-]; ANCHORS are set, so many [-]; HOOP holds the curtain's end of the tunnel open; LIGHTER cloth has
    this share of the mass [-]; TUNE is to try clip by clip on the day, or to take one reading of the pressure.
    """

    DOOR_HEIGHT = "door height"
    DOOR_WIDTH = "door width"
    PEOPLE = "people"
    VENT = "vent"
    FAN = "fan"
    BALLAST = "ballast"
    ANCHORS = "anchors"
    ATTENDANTS = "attendants"
    SLEEVE_FLAP = "sleeve flap"
    SECOND_FAN = "second fan"
    CLOTH = "cloth"
    HOOP = "hoop"
    LIGHTER = "lighter cloth"
    TUNE = "tune"


@frozen
class ChangeStep:
    """One change, by how much, and what of ballast is meant."""

    change: Change
    amount: float
    bags: BallastPlan | None = None


@frozen
class OtherWay:
    """One change by itself, and the chance of the best setting with it [-]."""

    change: Change
    amount: float
    chance: float


@brief
@frozen(eq=False)
class Plan:
    """What to change.

    Parameters
    ----------
    decision : Decision
    steps : tuple of ChangeStep
        None where it is a go; what helps, as far as anything does, where it is not to be used.
    after : Verdict
        Everything with these changes made.
    lacking : tuple of Must
        What fails even then, gravest first.
    others : tuple of OtherWay
        Single changes beside the plan, those that do most first.
    """

    decision: Decision
    steps: tuple[ChangeStep, ...]
    after: Verdict
    lacking: tuple[Must, ...]
    others: tuple[OtherWay, ...]

    def step(self, change: Change) -> ChangeStep | None:
        """The step of one kind; None if it is not in the plan."""
        return next((step for step in self.steps if step.change is change), None)


def fan_times(fan: Fan, share: float) -> Fan:
    """A fan like this one that gives another share of the air through the same outlet: its curve by the fan laws."""

    def larger(curve: FanCurve) -> FanCurve:
        flow, pressure = np.array(curve.flow_m3_s) * share, np.array(curve.pressure_Pa) * share**2
        return evolve(curve, flow_m3_s=tuple(flow.tolist()), pressure_Pa=tuple(pressure.tolist()))

    weak, strong = larger(fan.weak), larger(fan.strong)
    return evolve(fan, weak=weak, strong=strong, power_W=fan.power_W * min(1.0, share**3))


def _to_be_had(fan: Fan) -> tuple[float, ...]:
    """Shares of a fan's air that a fan through the same outlet can give; a label is not believed beyond some speed."""
    fastest = FASTEST_OUTLET_M_S if fan.assumed else FASTEST_BLOWER_M_S
    most = fastest * fan.outlet_area_m2.likely / fan.weak.free_air_m3_s
    return tuple(share for share in _FANS if share < 1.0 or share <= most)


@frozen(eq=False)
class _Try:
    """A room with its changes so far, and what is needed to draw it again."""

    drawn: RoomDraws
    curve: StandingCurve | None
    good_m3_s: Floats  # Flow that keeps the air good, and that keeps it bearable
    bearable_m3_s: Floats

    @classmethod
    def of(cls, drawn: RoomDraws, curve: StandingCurve | None) -> "_Try":
        """A room whose air has not been looked at yet."""
        crowd = crowd_inside(drawn.room, drawn.site)
        task = air_task(drawn.draws, drawn.room, drawn.site, crowd, drawn.fan.fan.power_W)
        good, bearable = (least_flow_for_air(task, limit).flow_m3_s for limit in (CAREFUL, UTMOST))
        return cls(drawn, curve, good, bearable)

    def changed(self, fan: Fan | None = None, room: RoomFigures | None = None) -> "_Try":
        """With another fan or other figures of the room; the same people in the same hall."""
        old = self.drawn
        args = room or old.room, fan or old.fan.fan, old.cloth, old.site, self.curve, old.draws
        return evolve(self, drawn=draw_room(*args))

    def at(self, site: Site) -> "_Try":
        """At another site, or with other people."""
        old = self.drawn
        return _Try.of(draw_room(old.room, old.fan.fan, old.cloth, site, self.curve, old.draws), self.curve)

    def settings(self) -> Settings:
        """Every setting, its air good, or bearable where good cannot be had."""
        return settings_for_air(self.drawn, self.good_m3_s, lambda: self.bearable_m3_s)[0]

    def laid(self, most_kg: float) -> tuple["_Try", BallastPlan] | None:
        """The least ballast of the ladder that does, factor and chance; None if none up to a mass does."""
        now = self.drawn.site.ballast_kg
        for kg in (now, *(kg for kg in _LADDER_KG if now < kg <= most_kg)):
            plan = ballast_plan(self.drawn.room, self.drawn.cloth, float(kg))
            if plan.limit is not None:
                return None
            laid = max(now, plan.laid_kg) if kg > now else now
            tried = evolve(self, drawn=self.drawn.with_ballast(laid))
            best = tried.settings().best
            if best.chance >= SURE_CHANCE and laid >= tried.need_kg() - 1e-6:
                return tried, plan
        return None

    def need_kg(self) -> float:
        """Ballast that the factor asks for at the best setting [kg]."""
        drawn, best = self.drawn, self.settings().best
        point = drawn.working(drawn.fan.fan.speed(best.speed), best.opening_mm).pressure_Pa
        need = ballast_need(drawn.draws, drawn.room, drawn.site.floor, drawn.weight_N / GRAVITY_M_S2, point)
        return drawn.draws.spread(need).likely


def plan_changes(
    verdict: Verdict,
    curve: StandingCurve | None,
    vent_limit_mm: float,
    pull_at: Callable[[float], float | None] | None = None,
    wrinkled_at: Callable[[float], float | None] | None = None,
) -> Plan:
    """Find what would make it a go.

    Parameters
    ----------
    verdict : Verdict
        What `assess` says of the room; its site's ballast is what is laid already.
    curve : StandingCurve or None
        As it was assessed with.
    vent_limit_mm : float
        Longest vent that the doorways have room for, all sides together [mm].
    pull_at, wrinkled_at : callable, optional
        As it was assessed with: the form of the cloth under air serves the room with its changes too.

    Returns
    -------
    Plan
    """
    steps: list[ChangeStep] = []
    now = first = _Try.of(verdict.drawn, curve)
    if not verdict.holds:
        now, steps = _way_out(now, verdict, steps)
        now, steps = _fewer(now, verdict, steps)
        now, steps = _standing(now, steps, vent_limit_mm)
        now, steps = _outside(now, verdict, steps)
        now, steps = _leaving(now, verdict, steps)
        if Must.CLOTH in verdict.failing:
            factor = SAFETY_FACTOR / verdict.membrane.factor_of_safety
            steps.append(ChangeStep(Change.CLOTH, factor))
    after = (
        assess_drawn(now.drawn, verdict.unread, verdict.readings, curve, pull_at, wrinkled_at)
        if steps
        else verdict
    )
    solved = {Must.CLOTH} if any(step.change is Change.CLOTH for step in steps) else set()
    lacking = tuple(must for must in after.failing if must not in solved)
    decision = Decision.GO if verdict.holds else Decision.NOT if lacking else Decision.CHANGES
    others = _others(first, vent_limit_mm)
    return Plan(decision, tuple(steps), after, lacking, others)


_Row = list[ChangeStep]


def _way_out(now: _Try, verdict: Verdict, steps: _Row) -> tuple[_Try, _Row]:
    """A doorway that nobody has to crawl through, or turn sideways in."""
    bearings = verdict.people.bearings
    if WayTrouble.CRAWL in bearings:
        steps.append(ChangeStep(Change.DOOR_HEIGHT, _TALLER_MM))
        now = now.changed(room=evolve(now.drawn.room, exit_height_mm=float(_TALLER_MM), ways=()))
    if WayTrouble.SINGLE in bearings:
        steps.append(ChangeStep(Change.DOOR_WIDTH, _WIDER_MM))
        now = now.changed(room=evolve(now.drawn.room, exit_width_mm=_WIDER_MM, ways=()))
    return now, steps


def _fewer(now: _Try, verdict: Verdict, steps: _Row) -> tuple[_Try, _Row]:
    """Fewer people, where floor, ways out or the air take no more."""
    capacity, inside = verdict.people.capacity, verdict.people.inside
    most = min(capacity.by_floor, capacity.by_exits)
    rises = max(one.setting.chance_up for one in verdict.air.speeds) >= 1.0 - SURE_CHANCE
    if rises and Must.AIR in verdict.failing and verdict.air.setting.chance_air < SURE:
        most = min(most, capacity.by_air)
    if 0 < most < inside:
        steps.append(ChangeStep(Change.PEOPLE, float(most)))
        now = now.at(_with_people(now, verdict, most))
    return now, steps


def _with_people(now: _Try, verdict: Verdict, most: int) -> Site:
    """The site with so many people of the same mixture, at least one of each group that is left."""
    left, crowd = most, []
    inside = verdict.people.inside
    for part in verdict.people.crowd:
        count = min(left, max(1, round(part.count * most / inside)))
        left -= count
        if count:
            crowd.append(Crowd(part.group, count))
    return evolve(now.drawn.site, crowd=tuple(crowd))


def _standing(now: _Try, steps: _Row, vent_limit_mm: float) -> tuple[_Try, _Row]:
    """Ballast, a longer vent, or another fan, so that one setting does everything."""
    room, site = now.drawn.room, now.drawn.site
    found = now.laid(_MUCH_KG)
    if found is None and site.vent_opening_mm is None:
        longest = _last_step(vent_limit_mm)
        for vent in np.arange(_next_step(room.vent_longest_mm), longest + 1.0, _VENT_STEP_MM):
            if room.vent_count == 0:
                break
            longer = now.changed(room=evolve(room, vent_longest_mm=float(vent)))
            found = longer.laid(_MUCH_KG)
            if found is not None:
                steps.append(ChangeStep(Change.VENT, float(vent)))
                break
    if found is None:
        for share in _to_be_had(now.drawn.fan.fan):
            found = now.changed(fan=fan_times(now.drawn.fan.fan, share)).laid(_MUCH_KG)
            if found is not None:
                steps.append(ChangeStep(Change.FAN, share))
                break
    if found is None:
        found = now.laid(_LADDER_KG[-1])
    if found is None:
        return now, steps
    after, plan = found
    if after.drawn.site.ballast_kg > site.ballast_kg:
        steps.append(ChangeStep(Change.BALLAST, after.drawn.site.ballast_kg, plan))
    return after, steps


def _next_step(vent_mm: float) -> float:
    return (vent_mm // _VENT_STEP_MM + 1.0) * _VENT_STEP_MM


def _last_step(vent_mm: float) -> float:
    return vent_mm // _VENT_STEP_MM * _VENT_STEP_MM


def _outside(now: _Try, verdict: Verdict, steps: _Row) -> tuple[_Try, _Row]:
    """Anchors for a breeze, where any number of them is enough."""
    if Must.OUTDOORS not in verdict.failing:
        return now, steps
    drawn, best = now.drawn, now.settings().best
    free = evolve(drawn.site, anchors=0)
    point = drawn.working(drawn.fan.fan.speed(best.speed), best.opening_mm).pressure_Pa
    asked = outdoors_at(
        drawn.draws, drawn.room, drawn.cloth, free, BREEZE_M_S + 0.25, np.maximum(drawn.hold_up_Pa, point), point,
        drawn.density_kg_m3,
    )  # fmt: skip
    if not asked.reasons and asked.anchors > drawn.site.anchors:
        steps.append(ChangeStep(Change.ANCHORS, float(asked.anchors)))
        now = now.at(evolve(drawn.site, anchors=asked.anchors))
    return now, steps


def _leaving(now: _Try, verdict: Verdict, steps: _Row) -> tuple[_Try, _Row]:
    """Attendants who know the drill; where that is not enough, what gives people time."""
    if Must.OUT_IN_TIME not in verdict.failing:
        return now, steps
    people = assess_drawn(now.drawn, verdict.unread, (), now.curve).people
    site = now.drawn.site
    for change, variant in (
        (Change.SLEEVE_FLAP, SinkingVariant.SLEEVE_FLAP),
        (Change.SECOND_FAN, SinkingVariant.SECOND_FAN),
    ):
        escape = people.escape_with(variant)
        if escape is not None and escape.chance >= SURE:
            steps.append(ChangeStep(change, 1.0))
            flapped = change is Change.SLEEVE_FLAP
            site = evolve(site, sleeve_flap=flapped or site.sleeve_flap, second_fan=not flapped)
            return now.at(site), steps
    if site.attendants < people.attendants_needed:
        steps.append(ChangeStep(Change.ATTENDANTS, float(people.attendants_needed)))
        now = now.at(evolve(site, attendants=people.attendants_needed))
    return now, steps


def _others(now: _Try, vent_limit_mm: float) -> tuple[OtherWay, ...]:
    """Single changes with the chance that each gives, those that do most first."""
    site, room, cloth = now.drawn.site, now.drawn.room, now.drawn.cloth
    first = now.settings()
    found = [OtherWay(Change.TUNE, 0.0, first.chance_some)]

    def tried(change: Change, amount: float, drawn: RoomDraws) -> None:
        found.append(OtherWay(change, amount, evolve(now, drawn=drawn).settings().best.chance))

    for kg in _LADDER_KG:
        if kg > site.ballast_kg and kg <= _MUCH_KG:
            tried(Change.BALLAST, kg, now.drawn.with_ballast(float(kg)))
    if site.vent_opening_mm is None and room.vent_longest_mm < _last_step(vent_limit_mm):
        vent = _last_step(vent_limit_mm)
        tried(Change.VENT, vent, now.changed(room=evolve(room, vent_longest_mm=vent)).drawn)
    for share in _to_be_had(now.drawn.fan.fan):
        tried(Change.FAN, share, now.changed(fan=fan_times(now.drawn.fan.fan, share)).drawn)
    if now.curve is not None and now.curve.found:
        args = room, now.drawn.fan.fan, cloth, site, now.curve, now.drawn.draws
        tried(Change.HOOP, 1.0, draw_room(*args, with_hoop=True))
    lighter = evolve(cloth, stocks=Cloth().stocks, mass_kg_m2=cloth.mass_kg_m2.scaled(_LIGHTER))
    thinner = evolve(room, cloth_mass_kg=_LIGHTER * room.cloth_mass_kg)
    tried(
        Change.LIGHTER,
        _LIGHTER,
        draw_room(thinner, now.drawn.fan.fan, lighter, site, now.curve, now.drawn.draws),
    )
    best: dict[Change, OtherWay] = {}
    for way in found:
        kept = best.get(way.change)
        enough = kept is not None and kept.chance >= min(SURE_CHANCE, way.chance)
        if not enough:
            best[way.change] = way
    better = [way for way in best.values() if way.chance > first.best.chance + 0.02]
    return tuple(sorted(better, key=lambda way: -way.chance))

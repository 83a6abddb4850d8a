"""Rooms to be judged as a prudent engineer would: the shipped rooms with something changed, and what is said of them."""

import math
from functools import cache

import numpy as np
from attrs import evolve, frozen
from model_rooms import NAMES, room_of

from shellparts.inflate.form import inflated_form
from shellparts.loads.assess import assess_drawn, draw_room
from shellparts.loads.changes import Change, Plan, plan_changes
from shellparts.loads.draws import draws
from shellparts.loads.results import Verdict
from shellparts.loads.room_figures import RoomFigures
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.fan import Fan
from shellparts.parameters.fan_sources import fan_from_label, fan_from_points
from shellparts.parameters.site import Crowd, FloorKind, Site, crowd_of
from shellparts.report.page import screen
from shellparts.report.page_more import more_page
from shellparts.report.records import plan_record, verdict_record
from shellparts.report.subject import Subject

__all__ = ["Case", "Looked", "applied", "look", "random_case", "shipped", "verdict_of"]


@frozen(eq=False)
class Case:
    """What is judged: a room of one name, its longest vent, fan, cloth and site."""

    name: str
    room: RoomFigures
    longest_vent_mm: float
    fan: Fan
    cloth: Cloth
    site: Site


@frozen(eq=False)
class Looked:
    """A case with what is said of it."""

    case: Case
    verdict: Verdict
    plan: Plan

    @property
    def subject(self) -> Subject:
        """What the page is written from; the form is that of the shipped room."""
        return Subject(self.case.name, "", self.verdict, self.plan, None, _form(self.case.name))

    @property
    def page(self) -> str:
        """The screen, its lines joined."""
        return " ".join(screen(self.subject).split())

    @property
    def everything(self) -> tuple[str, dict[str, object]]:
        """The longer page, and the record."""
        return more_page(self.subject), {**verdict_record(self.verdict), "plan": plan_record(self.plan)}


@cache
def _form(name):
    room = room_of(name)
    return inflated_form(room.design, room.cloth, 10.0)


def shipped(name="lantern_room", **site):
    """A shipped room, its site changed."""
    room = room_of(name)
    vent = sum(way.longest_vent for way in room.design.ways_out)
    return Case(name, room.figures, vent, room.fan, room.cloth, evolve(room.site, **site))


def verdict_of(case, count=128):
    """Everything that is said by formula."""
    drawn = draw_room(case.room, case.fan, case.cloth, case.site, None, draws(count))
    return assess_drawn(drawn, drawn, (), None)


def look(case, count=128):
    """The verdict and the plan."""
    verdict = verdict_of(case, count)
    return Looked(case, verdict, plan_changes(verdict, None, case.longest_vent_mm))


def _fewer(crowd, most):
    """So many people of the same mixture."""
    left, kept, inside = most, [], sum(part.count for part in crowd)
    for part in crowd:
        count = min(left, max(1, round(part.count * most / inside)))
        left -= count
        kept += [Crowd(part.group, count)] * (count > 0)
    return tuple(kept)


def _label(case, share):
    """A fan whose label says so many times the air, through the same outlet; by its curve where that is known."""
    fan = case.fan
    if fan.assumed:
        outlet_mm = 2000.0 * math.sqrt(fan.outlet_area_m2.likely / math.pi)
        return fan_from_label(
            fan.name, share * fan.weak.free_air_m3_s, outlet_mm, fan.speeds, power_W=fan.power_W
        )
    weak, strong = (
        evolve(
            one, flow_m3_s=share * np.array(one.flow_m3_s), pressure_Pa=share**2 * np.array(one.pressure_Pa)
        )
        for one in (fan.weak, fan.strong)
    )
    return evolve(fan, weak=weak, strong=strong)


def applied(looked):
    """The case with every step of its plan done to what is put in, by hand: not as the plan does it."""
    case = looked.case
    for step in looked.plan.steps:
        much = step.amount
        on_site = {
            Change.BALLAST: {"ballast_kg": much},
            Change.ATTENDANTS: {"attendants": int(much)},
            Change.ANCHORS: {"anchors": int(much)},
            Change.SLEEVE_FLAP: {"sleeve_flap": True},
            Change.SECOND_FAN: {"second_fan": True},
            Change.PEOPLE: {"crowd": _fewer(looked.verdict.people.crowd, int(much))},
        }
        on_room = {
            Change.VENT: {"vent_longest_mm": much},
            Change.DOOR_HEIGHT: {"exit_height_mm": much, "ways": ()},
            Change.DOOR_WIDTH: {"exit_width_mm": much, "ways": ()},
        }
        cloth = case.cloth
        stronger = {
            "strength_N_m": much * cloth.strength_N_m,
            "thread_strength_N": much * cloth.thread_strength_N,
        }
        if step.change in on_site:
            case = evolve(case, site=evolve(case.site, **on_site[step.change]))
        elif step.change in on_room:
            case = evolve(case, room=evolve(case.room, **on_room[step.change]))
        elif step.change is Change.FAN:
            case = evolve(case, fan=_label(case, much))
        else:
            assert step.change is Change.CLOTH, step.change
            case = evolve(case, cloth=evolve(cloth, **stronger))
    return case


def random_case(seed):
    """A site, a fan and a doorway over wide ranges."""
    rng = np.random.default_rng(seed)
    case = shipped(NAMES[rng.integers(len(NAMES))])
    room, outlet_mm, speed = case.room, rng.uniform(250, 700), rng.uniform(0.5, 14.9)
    flow = speed * np.pi * (outlet_mm / 2000.0) ** 2
    fan = fan_from_label("label", flow, outlet_mm)
    if rng.random() < 0.3:
        shut_off = rng.uniform(20.0, 200.0)
        fan = fan_from_points("curve", (0.0, flow / 2, flow), (shut_off, 0.6 * shut_off, 0.0), outlet_mm)
    if rng.random() < 0.3:
        sizes = {"exit_height_mm": rng.uniform(650.0, 2200.0), "exit_width_mm": rng.uniform(420.0, 1500.0)}
        room = evolve(room, ways=(), **sizes)
    if rng.random() < 0.2:
        room = evolve(room, vent_longest_mm=float(rng.choice([0.0, 400.0])))
    told = rng.random() < 0.2
    site = Site(
        indoors=bool(rng.random() < 0.8),
        floor=list(FloorKind)[rng.integers(4)],
        altitude_m=rng.uniform(-100.0, 4500.0),
        air_temperature_C=rng.uniform(-5.0, 38.0),
        relative_humidity=rng.uniform(0.1, 0.9),
        background_co2_ppm=rng.uniform(400.0, 1200.0),
        hall_volume_m3=10.0 ** rng.uniform(2.0, 4.5),
        hall_air_changes_h=rng.uniform(0.0, 4.0),
        visit_minutes=rng.uniform(5.0, 60.0),
        visits_in_a_row=int(rng.integers(1, 8)),
        attendants=int(rng.integers(0, 4)),
        second_fan=bool(rng.random() < 0.2),
        sleeve_flap=bool(rng.random() < 0.2),
        ballast_kg=float(rng.choice([0.0, 10.0, 30.0, 80.0, 200.0])),
        anchors=int(rng.choice([0, 4, 10, 20])),
        crowd=crowd_of(int(rng.integers(0, 30)), int(rng.integers(0, 10)), int(rng.integers(0, 10))),
        vent_opening_mm=float(rng.uniform(0.0, room.vent_longest_mm)) if told else None,
    )
    return evolve(case, room=room, fan=fan, site=site)

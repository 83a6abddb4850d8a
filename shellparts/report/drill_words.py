"""What people do when the fan stops, and how fast the cloth comes down.

Glossary: the *drill* is what is done from the moment at which the fan stops.
"""

import math

from shellparts.base.ranges import Range
from shellparts.loads.results import Grade, Must
from shellparts.loads.sinking import SinkingVariant
from shellparts.report.adult_words import adults_of, fan_stopped
from shellparts.report.subject import Subject
from shellparts.report.words import people_in_words, time_span

__all__ = ["drill", "drill_figures", "drill_orders"]


def drill(subject: Subject) -> str:
    """What to do when the fan stops, and what it rests on."""
    return f"{drill_orders(subject)} {drill_figures(subject)}"


def drill_orders(subject: Subject) -> str:
    """What to do when the fan stops."""
    after = subject.plan.after
    people, escape = after.people, after.people.escape
    if after.musts[Must.OUT_IN_TIME] is Grade.MET:
        return "everybody walks out at once."
    out = _out(escape.people, people.inside)
    return (
        f"one adult holds the doorway up and sends people out, walking: reckon with {out} out in time. "
        f"{fan_stopped(adults_of(after))}."
    )


def drill_figures(subject: Subject) -> str:
    """How fast the cloth comes down, and what would slow it."""
    after = subject.plan.after
    people, room, escape = after.people, after.drawn.room, after.people.escape
    helps = [
        f"{words} ({people_in_words(min(found.people, people.inside))} out in time)"
        for variant, words in _HELPS.items()
        if (found := people.escape_with(variant)) is not None
        and min(found.people, people.inside) > escape.people
    ]
    better = f" One could add {' or '.join(helps)}." if helps else ""
    rises = f" CO2 rises {people.fan_off_ppm_min:.0f} ppm a minute." if people.inside else ""
    return (
        f"The cloth, {room.cloth_mass_kg:.0f} kg in all, {_down(escape.sink_shut_s)}; while people pass it "
        f"{_down(escape.sink_s)}.{rises}{better}"
    )


_HELPS = {
    SinkingVariant.SLEEVE_FLAP: "a flap in the sleeve",
    SinkingVariant.SECOND_FAN: "a second fan that runs too",
}


def _down(time_s: Range) -> str:
    return "stays up" if math.isinf(time_s.low) else f"is down in {time_span(time_s, 'or it stays up')}"


def _out(people: int, inside: int) -> str:
    """How many to reckon with as out before the cloth is down."""
    return "all" if people >= inside else people_in_words(people) if people else "nobody"

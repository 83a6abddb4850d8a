"""Figures as people read them: chances, ranges, times, openings of the vent.

Glossary: a range is written as its middle with what nine draws in ten lie between in brackets. What is without
limit is said in words, never as a sign. Nothing is worked out here.
"""

import math

from shellparts.base.counted import counted
from shellparts.base.ranges import Range
from shellparts.loads.ballast import BallastPlan
from shellparts.loads.room_figures import RoomFigures
from shellparts.loads.settings import Setting

__all__ = [
    "bags_in_words",
    "chance",
    "clips_in_words",
    "figure",
    "people_in_words",
    "sentence",
    "span",
    "time_span",
]


def chance(share: float) -> str:
    """Write a chance as cases in 100, never as sure.

    Examples
    --------
    >>> chance(0.614), chance(0.9996), chance(0.0)
    ('61 in 100', 'over 99 in 100', 'under 1 in 100')
    """
    cases = round(100.0 * share)
    if cases > 99:
        return "over 99 in 100"
    return f"{cases} in 100" if cases else "under 1 in 100"


def bags_in_words(plan: BallastPlan) -> str:
    """Say how a ballast is shared out: ``"11 bags of 2 kg"``, those at the tunnel's feet with them."""
    return f"{counted(plan.base.count + plan.tunnel_count, 'bag')} of {plan.base.each_kg:.0f} kg"


def people_in_words(count: int) -> str:
    """Say how many people: ``"1 person"``, ``"5 people"``."""
    return f"{count} {'person' if count == 1 else 'people'}"


def figure(value: float, digits: int = 1) -> str:
    """Write a number; below 10 with its decimals, from 10 on without.

    Examples
    --------
    >>> figure(7.86), figure(34.6), figure(float("inf"))
    ('7.9', '35', 'without limit')
    """
    if math.isinf(value):
        return "without limit"
    return f"{value:.{digits}f}" if round(abs(value), digits) < 10.0 else f"{value:.0f}"


def span(value: Range, unit: str, digits: int = 1) -> str:
    """Write a range: its middle, and in brackets its ends.

    Examples
    --------
    >>> span(Range(5.3, 5.7, 6.5), "Pa"), span(Range(3, float("inf"), float("inf")), "s")
    ('5.7 Pa (5.3 to 6.5)', '3.0 s or more, without limit')
    """
    after = f" {unit}" if unit else ""
    if math.isinf(value.low):
        return "without limit"
    low, likely, high = (figure(one, digits) for one in (value.low, value.likely, value.high))
    if math.isinf(value.likely):
        return f"{low}{after} or more, without limit"
    if math.isinf(value.high):
        return f"{likely}{after} ({low} up, without limit)"
    return f"{likely}{after}" if low == high else f"{likely}{after} ({low} to {high})"


def _minutes(seconds: float) -> str:
    """A time: seconds up to two minutes, then minutes up to an hour.

    Examples
    --------
    >>> _minutes(81.2), _minutes(924.0), _minutes(9000.0)
    ('81 s', '15 min', 'over an hour')
    """
    if seconds > 3600.0:
        return "over an hour"
    return f"{seconds:.0f} s" if seconds < 120.0 else f"{seconds / 60.0:.0f} min"


def time_span(value: Range, never: str) -> str:
    """Write a range of times: seconds up to two minutes, then minutes.

    Examples
    --------
    >>> time_span(Range(70, 117, float("inf")), "may never fill"), time_span(Range(81, 100, 924), "never")
    ('117 s (70 s at least; may never fill)', '100 s (81 s to 15 min)')
    """
    if math.isinf(value.low):
        return never
    low = _minutes(value.low)
    if math.isinf(value.likely):
        return f"{low} at least; {never}"
    likely = _minutes(value.likely)
    if math.isinf(value.high):
        return f"{likely} ({low} at least; {never})"
    high = _minutes(value.high)
    if low == high:
        return likely
    return f"{likely} ({low.removesuffix(' s') if high.endswith(' s') else low} to {high})"


def clips_in_words(setting: Setting, room: RoomFigures, spacing_mm: float) -> str:
    """Write an opening of the vent as clips and a length on each side of each curtain."""
    if room.vent_longest_mm <= 0.0:
        return "no vent"
    each = setting.opening_mm / (2 * room.vent_count)
    where = "on each side" if room.vent_count == 1 else "on each side of each doorway"
    if setting.clips == 0:
        return "vent shut, all clips on"
    all_of_them = setting.opening_mm >= room.vent_longest_mm - 1.0
    many = f"all {counted(setting.clips, 'clip')}" if all_of_them else counted(setting.clips, "clip")
    return f"{many} off {where} ({each / 10:.0f} cm open)"


def sentence(*parts: str) -> str:
    """Join parts to a sentence: a capital, commas, "or" before the last, a full stop.

    Examples
    --------
    >>> sentence("lay ballast", "", "open the vent", "take a slower speed")
    'Lay ballast, open the vent or take a slower speed.'
    """
    kept = [part for part in parts if part]
    text = " or ".join([", ".join(kept[:-1]), kept[-1]] if len(kept) > 1 else kept)
    return f"{text[:1].upper()}{text[1:]}."

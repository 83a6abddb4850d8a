"""Figures as people read them: ranges, times, openings of the vent, and what codes are called.

Glossary: a range is written as the likely value with the lowest and the highest in brackets. What is without
limit is said in words, never as a sign. Nothing is worked out here.
"""

import math

from shellparts.base.ranges import Judgement, Range
from shellparts.loads.hold_down import Bags
from shellparts.loads.wind import WindTrouble

__all__ = [
    "WIND_WORDS",
    "answer_word",
    "bags_in_words",
    "figure",
    "opening_each_side",
    "sentence",
    "span",
    "time_span",
]

#: What a gust does first.
WIND_WORDS = {
    WindTrouble.DENTS: "the windward side caves in",
    WindTrouble.SLIDES: "it slides",
    WindTrouble.TIPS: "it tips",
    WindTrouble.FLIES: "it flies",
    WindTrouble.CEILING: "the lowest published stop limit",
}


def answer_word(judgement: Judgement, likely: bool) -> str:
    """Name an answer, with how sure it is.

    Examples
    --------
    >>> answer_word(Judgement.UNCERTAIN, True), answer_word(Judgement.NOT_MET, False)
    ('probably yes', 'no')
    """
    if judgement is Judgement.UNCERTAIN:
        return "probably yes" if likely else "probably not"
    return "yes" if judgement is Judgement.FINE else "no"


def bags_in_words(bags: Bags) -> str:
    """Say how a ballast is shared out: ``"7 bags of 2 kg"``."""
    return f"{bags.count} bags of {bags.each_kg:.0f} kg"


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
    """Write a range: likely value, and in brackets the lowest to the highest.

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
    """A time: seconds up to two minutes, then minutes.

    Examples
    --------
    >>> _minutes(81.2), _minutes(924.0)
    ('81 s', '15 min')
    """
    return f"{seconds:.0f} s" if seconds < 120.0 else f"{seconds / 60.0:.0f} min"


def time_span(value: Range, never: str) -> str:
    """Write a range of times: seconds up to two minutes, then minutes.

    Examples
    --------
    >>> time_span(Range(70, 117, float("inf")), "may never fill"), time_span(Range(81, 100, 924), "never")
    ('117 s (70 s at best; may never fill)', '100 s (81 s to 15 min)')
    """
    if math.isinf(value.low):
        return never
    low = _minutes(value.low)
    if math.isinf(value.likely):
        return f"{low} at best; {never}"
    likely = _minutes(value.likely)
    if math.isinf(value.high):
        return f"{likely} ({low} at best; {never})"
    high = _minutes(value.high)
    if low == high:
        return likely
    return f"{likely} ({low.removesuffix(' s') if high.endswith(' s') else low} to {high})"


def opening_each_side(opening_mm: float, longest_mm: float) -> str:
    """Write an opening of the vent, which is shared between the two sides of the curtain.

    Examples
    --------
    >>> opening_each_side(1200.0, 1200.0), opening_each_side(500.0, 1200.0), opening_each_side(0.0, 1200.0)
    ('60 cm on each side (fully open)', '25 cm on each side', 'shut')
    """
    if opening_mm < 1.0:
        return "shut"
    full = " (fully open)" if opening_mm >= longest_mm - 1.0 else ""
    return f"{opening_mm / 20.0:.0f} cm on each side{full}"


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

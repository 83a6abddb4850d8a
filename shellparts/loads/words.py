"""Figures as people read them: ranges, times, openings of the vent, and what an answer is called.

Glossary: a range is written as the likely value with the lowest and the highest in brackets. What is without
limit is said in words, never as a sign. Nothing is worked out here.
"""

import math

from shellparts.base.ranges import Judgement, Range

__all__ = ["answer_word", "figure", "listed", "minutes", "opening_each_side", "sentence", "span", "time_span"]


def answer_word(judgement: Judgement, likely: bool) -> str:
    """Name an answer, with how sure it is.

    Parameters
    ----------
    judgement : Judgement
        Over all the ranges.
    likely : bool
        By the likely values.

    Returns
    -------
    str
        ``"yes"``, ``"probably yes"``, ``"probably not"`` or ``"no"``.

    Examples
    --------
    >>> answer_word(Judgement.UNCERTAIN, True), answer_word(Judgement.NOT_MET, False)
    ('probably yes', 'no')
    """
    if judgement is Judgement.UNCERTAIN:
        return "probably yes" if likely else "probably not"
    return "yes" if judgement is Judgement.FINE else "no"


def figure(value: float, digits: int = 1) -> str:
    """Write a number; below 10 with its decimals, from 10 on without.

    Parameters
    ----------
    value : float
        The number [any unit].
    digits : int
        Decimals below 10 [-].

    Returns
    -------
    str
        ``"without limit"`` for what is infinite.

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

    Parameters
    ----------
    value : Range
        The three values [unit of `unit`].
    unit : str
        Unit of all three; may be empty.
    digits : int
        Decimals below 10 [-].

    Returns
    -------
    str
        The range in words.

    Examples
    --------
    >>> span(Range(5.3, 5.7, 6.5), "Pa"), span(Range(3, float("inf"), float("inf")), "s")
    ('5.7 Pa (5.3 to 6.5)', '3.0 s or more, without limit')
    """
    after = f" {unit}" if unit else ""
    if math.isinf(value.low):
        return "without limit"
    if math.isinf(value.likely):
        return f"{figure(value.low, digits)}{after} or more, without limit"
    likely = figure(value.likely, digits)
    if math.isinf(value.high):
        return f"{likely}{after} ({figure(value.low, digits)} up, without limit)"
    low, high = figure(value.low, digits), figure(value.high, digits)
    return f"{likely}{after}" if low == high else f"{likely}{after} ({low} to {high})"


def minutes(seconds: float) -> str:
    """Write a time: seconds up to two minutes, then minutes.

    Parameters
    ----------
    seconds : float
        The time [s].

    Returns
    -------
    str
        ``"never"`` for what takes forever.

    Examples
    --------
    >>> minutes(81.2), minutes(924.0), minutes(float("inf"))
    ('81 s', '15 min', 'never')
    """
    if math.isinf(seconds):
        return "never"
    return f"{seconds:.0f} s" if seconds < 120.0 else f"{seconds / 60.0:.0f} min"


def time_span(value: Range, never: str) -> str:
    """Write a range of times.

    Parameters
    ----------
    value : Range
        The times [s].
    never : str
        What it means that a time is infinite: ``"may never fill"``.

    Returns
    -------
    str
        The range in words.

    Examples
    --------
    >>> time_span(Range(70, 117, float("inf")), "may never fill")
    '117 s (70 s at best; may never fill)'
    """
    if math.isinf(value.low):
        return never
    if math.isinf(value.likely):
        return f"{minutes(value.low)} at best; {never}"
    if math.isinf(value.high):
        return f"{minutes(value.likely)} ({minutes(value.low)} at best; {never})"
    low, high = minutes(value.low), minutes(value.high)
    if low == high:
        return minutes(value.likely)
    return f"{minutes(value.likely)} ({low.removesuffix(' s') if high.endswith(' s') else low} to {high})"


def opening_each_side(opening_mm: float, longest_mm: float) -> str:
    """Write an opening of the vent, which is shared between the two sides of the curtain.

    Parameters
    ----------
    opening_mm : float
        Both sides together [mm].
    longest_mm : float
        Longest opening, both sides together [mm].

    Returns
    -------
    str
        Centimetres on each side.

    Examples
    --------
    >>> opening_each_side(1200.0, 1200.0), opening_each_side(500.0, 1200.0), opening_each_side(0.0, 1200.0)
    ('60 cm on each side (fully open)', '25 cm on each side', 'shut')
    """
    if opening_mm < 1.0:
        return "shut"
    full = " (fully open)" if opening_mm >= longest_mm - 1.0 else ""
    return f"{opening_mm / 20.0:.0f} cm on each side{full}"


def listed(parts: list[str]) -> str:
    """Join parts of a sentence: commas, and "or" before the last.

    Parameters
    ----------
    parts : list of str
        The parts; empty ones are left out.

    Returns
    -------
    str
        One phrase.

    Examples
    --------
    >>> listed(["lay ballast", "", "open the vent", "take a slower speed"])
    'lay ballast, open the vent or take a slower speed'
    """
    kept = [part for part in parts if part]
    return kept[0] if len(kept) == 1 else ", ".join(kept[:-1]) + (" or " + kept[-1] if kept else "")


def sentence(parts: list[str]) -> str:
    """Join parts as `listed` does, with a capital.

    Parameters
    ----------
    parts : list of str
        The parts; empty ones are left out.

    Returns
    -------
    str
        The beginning of a sentence, without a full stop.

    Examples
    --------
    >>> sentence(["lay ballast", "open the vent"])
    'Lay ballast or open the vent'
    """
    text = listed(parts)
    return text[:1].upper() + text[1:]

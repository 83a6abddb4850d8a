"""Fields that read, check and explain themselves, and plain records of what they hold.

Each helper returns an `attrs` field that reads what the user wrote and raises a `ParameterError` that names the
value with its unit, the limit and the remedy.

Glossary, of the arguments that they share: *what* is the value as the user knows it; *low* and *high* are its
limits, both allowed; the *remedy* is what to do when it is outside, or how to make one; *optional* is whether it may
be left out, as may every field whose default is None, and then it is None unless it has another default; *options*
are for `attrs.field`, ``default`` for one.
"""

import math
from collections.abc import Callable
from enum import Enum
from typing import Any

import attrs
from attrs import converters, field, validators

from shellparts.base.checks import is_number, require, shown, told_apart
from shellparts.base.errors import ParameterError
from shellparts.base.inches import error_in_inches, speaks_inches
from shellparts.base.names import meant
from shellparts.base.ranges import Range, exact
from shellparts.base.units import meant_metres, metric, to_mm

__all__ = [
    "angle_field",
    "choice_field",
    "count_field",
    "flag_field",
    "kinds",
    "length_field",
    "number_field",
    "part_field",
    "parts_field",
    "range_field",
    "record",
]

_Check = Callable[[Any, Any, Any], None]


def _made(check: _Check | None, read: Any, unit: str, optional: bool, options: dict[str, Any]) -> Any:
    """The field; `unit` is what its key ends with in a record."""
    if optional or options.get("default", attrs.NOTHING) is None:
        options = {"default": None} | options
        read = read and converters.optional(read)
        check = check and validators.optional(check)
    return field(converter=read, validator=check, metadata={"unit": unit}, **options)


def length_field(
    what: str, low: float, high: float, remedy: str, optional: bool = False, **options: Any
) -> Any:
    """Make a field for a length, in millimetres or with its unit; its limits are in mm."""

    def check(_instance: Any, _attribute: Any, value: float) -> None:
        limit = f"from {metric(low)} to {metric(high)}"
        told = f"{value:.3f}".rstrip("0").rstrip(".") + " mm"
        if told in limit:
            told, _ = told_apart(value, low if value < low else high, value > low)
        metres = meant_metres(value, low, high)
        require(low <= value <= high, what, told, limit, f"{metres} Otherwise {remedy}" if metres else remedy)

    def read(value: Any) -> float:
        length = to_mm(value, what)
        if speaks_inches(value):  # then it is answered in inches
            try:
                check(None, None, length)
            except ParameterError as error:
                raise error_in_inches(error) from None
        return length

    return _made(check, read, "mm", optional, options)


def angle_field(what: str, low: float, high: float, remedy: str, **options: Any) -> Any:
    """Make a field for an angle in degrees."""

    def read(value: Any) -> float:
        finite = is_number(value) and abs(value) < 1e9
        require(finite, what, repr(value), "a number of degrees", remedy)
        return float(value)

    def check(_instance: Any, _attribute: Any, value: float) -> None:
        require(low <= value <= high, what, f"{value:g} degrees", f"from {low:g} to {high:g} degrees", remedy)

    return _made(check, read, "deg", False, options)


def count_field(what: str, low: int, high: int, remedy: str, optional: bool = False, **options: Any) -> Any:
    """Make a field for a whole number."""

    def read(value: Any) -> int:
        require(is_number(value) and value == value // 1, what, repr(value), "a whole number", remedy)
        return int(value)

    def check(_instance: Any, _attribute: Any, value: int) -> None:
        require(low <= value <= high, what, str(value), f"from {low} to {high}", remedy)

    return _made(check, read, "", optional, options)


def choice_field(what: str, kind: type[Enum], optional: bool = False, **options: Any) -> Any:
    """Make a field for one of a few words; a member of `kind` or its value may be given."""
    words = [str(member.value) for member in kind]

    def read(value: Any) -> Enum:
        if isinstance(value, kind):
            return value
        known = isinstance(value, str) and value in words
        remedy = meant(value, words, "use one of these words")
        require(known, what, repr(value), "one of " + ", ".join(words), remedy)
        return kind(value)

    return _made(None, read, "", optional, options)


def number_field(
    what: str,
    unit: str,
    low: float,
    high: float,
    remedy: str,
    above: bool = False,
    optional: bool = False,
    whole: bool = False,
    **options: Any,
) -> Any:
    """Make a field for a plain number in one unit, which the field's own name ends with.

    Parameters
    ----------
    what : str
        As in every field.
    unit : str
        Of the value and its limits, as it is written behind them; may be empty.
    low, high, remedy
        As in every field; the limits [as `unit` says].
    above : bool
        Whether it must be more than `low`.
    optional
        As in every field.
    whole : bool
        Whether it is counted.
    **options
        As in every field.
    """
    least = f"more than {low:g}" if above else f"from {low:g}"
    limit = f"{least} to {high:g} {unit}".rstrip() if math.isfinite(high) else f"{least} {unit} up".rstrip()
    limit = f"a whole number, {limit}" if whole else limit

    def check(_instance: Any, _attribute: Any, value: Any) -> None:
        if isinstance(value, str):
            require(False, what, repr(value), f"a plain number, {limit}", "write no unit")
        fits = is_number(value) and (low < value if above else low <= value) and value <= high
        require(fits and (not whole or value == int(value)), what, shown(value, unit), limit, remedy)

    return _made(check, None, "", optional, options)


def range_field(what: str, unit: str, low: float, high: float, remedy: str, **options: Any) -> Any:
    """Make a field for a `Range`, all of it within the limits; a plain number is taken as exact."""

    def check(_instance: Any, _attribute: Any, value: Any) -> None:
        limit = f"from {low:g} to {high:g} {unit}"
        for one in (value.low, value.likely, value.high) if isinstance(value, Range) else (value,):
            require(is_number(one) and low <= one <= high, what, shown(one, unit), limit, remedy)

    return _made(check, lambda value: exact(value) if is_number(value) else value, "", False, options)


def flag_field(what: str, **options: Any) -> Any:
    """Make a field for a yes or no."""

    def check(_instance: Any, _attribute: Any, value: Any) -> None:
        remedy = "write True or False, without quotes"
        require(isinstance(value, bool), what, repr(value), "True or False", remedy)

    return _made(check, None, "", False, options)


def kinds(what: str, kind: type, remedy: str = "", optional: bool = False, several: bool = False) -> _Check:
    """Make an attrs validator for a value of one kind, or a tuple of such values.

    Parameters
    ----------
    what : str
        As in every field.
    kind : type
        What it must be.
    remedy, optional
        As in every field.
    several : bool
        Whether it is a tuple, and each in it must be of that kind.

    Returns
    -------
    Callable
        It raises a `ParameterError`.
    """
    article = "an" if kind.__name__[0] in "AEIOU" else "a"
    limit = f"{article} {kind.__name__}" + (", or left out" if optional else "")

    def check(_instance: Any, _attribute: Any, value: Any) -> None:
        for one in value if several else (value,):
            told = one.__name__ if isinstance(one, type) else repr(one)
            short = told if len(told) <= 60 else f"{told[:60]}…"
            fits = isinstance(one, kind) or (optional and one is None)
            require(fits, what, short, limit, remedy or f"write {kind.__name__}(…) with its values")

    return check


def part_field(what: str, kind: type, remedy: str = "", optional: bool = False, **options: Any) -> Any:
    """Make a field for a part of a design; see `kinds`."""
    optional = optional or options.get("default", attrs.NOTHING) is None
    return _made(kinds(what, kind, remedy, optional), None, "", optional, options)


def parts_field(what: str, kind: type, remedy: str, **options: Any) -> Any:
    """Make a field for several parts; one alone is taken for a tuple of one."""

    def read(value: Any) -> tuple[Any, ...]:
        return tuple(value) if isinstance(value, list | tuple) else (value,)

    return _made(kinds(what, kind, remedy, several=True), read, "", False, options)


def record(value: Any) -> Any:
    """Plain data for JSON: frozen data as a dictionary, its lengths and angles with the unit at the key's end.

    Parameters
    ----------
    value : object
        Of a class whose fields these helpers made; a word, a number, or a tuple of such.

    Examples
    --------
    >>> @attrs.frozen
    ... class Flap:
    ...     depth: float = length_field("depth", 0.0, 900.0, "")
    ...     sewn_on: bool = flag_field("sewn on", default=False)
    >>> record(Flap("30 cm"))
    {'depth_mm': 300.0, 'sewn_on': False}
    """
    if attrs.has(type(value)):
        return {
            "_".join(filter(None, (one.name, one.metadata.get("unit")))): record(getattr(value, one.name))
            for one in attrs.fields(type(value))
            if not one.name.startswith("_")
        }
    if isinstance(value, tuple):
        return [record(one) for one in value]
    return value.value if isinstance(value, Enum) else value

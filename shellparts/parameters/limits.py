"""Fields that read, check and explain themselves.

Each helper returns an `attrs` field whose converter reads what the user wrote and whose validator raises a
`ParameterError` that names the value with its unit, the limit and the remedy.
"""

import math
from collections.abc import Callable
from enum import Enum
from typing import Any

from attrs import field, validators
from attrs.converters import optional

from shellparts.errors import ParameterError
from shellparts.units import Length, metric, to_mm

__all__ = [
    "angle_field",
    "at_least",
    "at_most",
    "choice_field",
    "count_field",
    "flag_field",
    "length_field",
    "optional_choice_field",
    "optional_count_field",
    "optional_length_field",
    "part_field",
    "require",
]


def require(condition: bool, what: str, value: str, limit: str, remedy: str) -> None:
    """Raise a `ParameterError` unless `condition` holds.

    Parameters
    ----------
    condition : bool
        What must be true.
    what : str
        The value, as the user knows it.
    value : str
        What it is, with its unit.
    limit : str
        What it may be.
    remedy : str
        What to do.

    Raises
    ------
    ParameterError
        If `condition` is false.
    """
    if not condition:
        raise ParameterError(what, value, limit, remedy)


#: Digits after the point that a message shows at most [mm]; a value nearer than this to its limit is on it.
_FINEST = 6


def _beside(value: float, limit: float, down: bool) -> tuple[str, str]:
    """Value and limit [mm] with as many digits as tell them apart; the limit rounded to where it is kept."""
    for digits in range(_FINEST):
        scale = 10.0**digits
        bound = (math.floor if down else math.ceil)(limit * scale) / scale
        shown = round(value, digits)
        if shown > bound if down else shown < bound:
            break
    else:
        digits, bound = _FINEST, limit
    return metric(value, digits), metric(bound, digits)


def at_most(what: str, value: float, limit: float, why: str, remedy: str) -> None:
    """Raise a `ParameterError` if a length is more than its limit.

    Parameters
    ----------
    what : str
        The value, as the user knows it.
    value, limit : float
        What it is, and the most that it may be [mm].
    why : str
        What follows the limit in the message: ``", or the flaps would meet"``.
    remedy : str
        What to do.

    Raises
    ------
    ParameterError
        If the value is more than the limit; the message tells the two apart, however near they are.

    Examples
    --------
    >>> at_most("width", 2182.4, 2182.2, "", "narrow it")
    Traceback (most recent call last):
    shellparts.errors.ParameterError: width is 2182.4 mm; it must be at most 2182.2 mm. Remedy: narrow it.
    """
    if value > limit + 10.0**-_FINEST:
        shown, bound = _beside(value, limit, True)
        raise ParameterError(what, shown, f"at most {bound}{why}", remedy)


def at_least(what: str, value: float, limit: float, why: str, remedy: str) -> None:
    """Raise a `ParameterError` if a length is less than its limit; see `at_most` for the arguments.

    Parameters
    ----------
    what : str
        The value, as the user knows it.
    value, limit : float
        What it is, and the least that it may be [mm].
    why : str
        What follows the limit in the message.
    remedy : str
        What to do.

    Raises
    ------
    ParameterError
        If the value is less than the limit.
    """
    if value < limit - 10.0**-_FINEST:
        shown, bound = _beside(value, limit, False)
        raise ParameterError(what, shown, f"at least {bound}{why}", remedy)


def _reader(what: str) -> Callable[[Length], float]:
    def read(value: Length) -> float:
        return to_mm(value, what)

    return read


def _within(what: str, low: float, high: float, remedy: str) -> Callable[[Any, Any, float | None], None]:
    def check(_instance: Any, _attribute: Any, value: float | None) -> None:
        if value is not None:
            limit = f"from {metric(low)} to {metric(high)}"
            shown, _ = _beside(value, low if value < low else high, value > low)
            require(low <= value <= high, what, shown, limit, remedy)

    return check


def length_field(what: str, low: float, high: float, remedy: str, **options: Any) -> Any:
    """Make a field for a length in millimetres.

    Parameters
    ----------
    what : str
        How the user knows the value.
    low, high : float
        Limits [mm], both allowed.
    remedy : str
        What to do when it is outside.
    **options
        Passed to `attrs.field`: ``default`` for one.

    Returns
    -------
    attrs field
    """
    return field(converter=_reader(what), validator=_within(what, low, high, remedy), **options)


def optional_length_field(what: str, low: float, high: float, remedy: str) -> Any:
    """Make a field for a length that may be left out; see `length_field` for the arguments.

    Parameters
    ----------
    what : str
        How the user knows the value.
    low, high : float
        Limits [mm], both allowed.
    remedy : str
        What to do when it is outside.

    Returns
    -------
    attrs field
    """
    read = _reader(what)

    def convert(value: Length | None) -> float | None:
        return None if value is None else read(value)

    return field(default=None, converter=convert, validator=_within(what, low, high, remedy), kw_only=True)


def count_field(what: str, low: int, high: int, remedy: str, **options: Any) -> Any:
    """Make a field for a whole number.

    Parameters
    ----------
    what : str
        How the user knows the value.
    low, high : int
        Limits, both allowed.
    remedy : str
        What to do when it is outside.
    **options
        Passed to `attrs.field`.

    Returns
    -------
    attrs field
    """

    convert, check = _count(what, low, high, remedy)
    return field(converter=convert, validator=check, **options)


def optional_count_field(what: str, low: int, high: int, remedy: str) -> Any:
    """Make a field for a whole number that may be left out; see `count_field` for the arguments.

    Parameters
    ----------
    what : str
        How the user knows the value.
    low, high : int
        Limits, both allowed.
    remedy : str
        What to do when it is outside.

    Returns
    -------
    attrs field
    """
    convert, check = _count(what, low, high, remedy)
    return field(
        default=None, converter=optional(convert), validator=validators.optional(check), kw_only=True
    )


def _count(what: str, low: int, high: int, remedy: str) -> tuple[Callable[[Any], int], Callable[..., None]]:
    """Converter and validator of a whole number."""

    def convert(value: Any) -> int:
        whole = isinstance(value, int | float) and not isinstance(value, bool) and value == value // 1
        require(whole, what, repr(value), "a whole number", remedy)
        return int(value)

    def check(_instance: Any, _attribute: Any, value: int) -> None:
        require(low <= value <= high, what, str(value), f"from {low} to {high}", remedy)

    return convert, check


def angle_field(what: str, low: float, high: float, remedy: str, **options: Any) -> Any:
    """Make a field for an angle in degrees.

    Parameters
    ----------
    what : str
        How the user knows the value.
    low, high : float
        Limits [deg], both allowed.
    remedy : str
        What to do when it is outside.
    **options
        Passed to `attrs.field`.

    Returns
    -------
    attrs field
    """

    def convert(value: Any) -> float:
        finite = isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e9
        require(finite, what, repr(value), "a number of degrees", remedy)
        return float(value)

    def check(_instance: Any, _attribute: Any, value: float) -> None:
        require(low <= value <= high, what, f"{value:g} degrees", f"from {low:g} to {high:g} degrees", remedy)

    return field(converter=convert, validator=check, **options)


def choice_field(what: str, kind: type[Enum], **options: Any) -> Any:
    """Make a field for one of a few words.

    Parameters
    ----------
    what : str
        How the user knows the value.
    kind : type of Enum
        The words; a member or its value may be given.
    **options
        Passed to `attrs.field`.

    Returns
    -------
    attrs field
    """

    return field(converter=_chooser(what, kind), **options)


def optional_choice_field(what: str, kind: type[Enum]) -> Any:
    """Make a field for one of a few words that may be left out; see `choice_field` for the arguments.

    Parameters
    ----------
    what : str
        How the user knows the value.
    kind : type of Enum
        The words; a member or its value may be given.

    Returns
    -------
    attrs field
    """
    choose = _chooser(what, kind)

    def convert(value: Any) -> Enum | None:
        return None if value is None else choose(value)

    return field(default=None, converter=convert, kw_only=True)


def _chooser(what: str, kind: type[Enum]) -> Callable[[Any], Enum]:
    words = [member.value for member in kind]

    def convert(value: Any) -> Enum:
        if not isinstance(value, kind):
            require(value in words, what, repr(value), "one of " + ", ".join(words), "use one of these words")
        return kind(value)

    return convert


def flag_field(what: str, **options: Any) -> Any:
    """Make a field for a yes or no.

    Parameters
    ----------
    what : str
        How the user knows the value.
    **options
        Passed to `attrs.field`.

    Returns
    -------
    attrs field
    """

    def check(_instance: Any, _attribute: Any, value: Any) -> None:
        require(
            isinstance(value, bool), what, repr(value), "True or False", "write True or False, without quotes"
        )

    return field(validator=check, **options)


def part_field(what: str, kind: type, optional: bool = False, **options: Any) -> Any:
    """Make a field for a part of a design.

    Parameters
    ----------
    what : str
        How the user knows the part.
    kind : type
        What the part must be.
    optional : bool
        Whether it may be left out.
    **options
        Passed to `attrs.field`.

    Returns
    -------
    attrs field
    """
    article = "an" if kind.__name__[0] in "AEIOU" else "a"
    limit = f"{article} {kind.__name__}" + (", or left out" if optional else "")

    def check(_instance: Any, _attribute: Any, value: Any) -> None:
        fits = isinstance(value, kind) or (optional and value is None)
        require(fits, what, repr(value), limit, f"write {kind.__name__}(…) with its values")

    return field(validator=check, **options)

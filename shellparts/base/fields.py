"""Fields that read, check and explain themselves.

Each helper returns an `attrs` field whose converter reads what the user wrote and whose validator raises a
`ParameterError` that names the value with its unit, the limit and the remedy.
"""

import difflib
import math
from collections.abc import Callable
from enum import Enum
from numbers import Real
from typing import Any

from attrs import field, validators
from attrs.converters import optional

from shellparts.base.bounds import require, told_apart
from shellparts.base.units import Length, metric, to_mm

__all__ = [
    "angle_field",
    "choice_field",
    "count_field",
    "flag_field",
    "length_field",
    "number_field",
    "optional_choice_field",
    "optional_count_field",
    "optional_length_field",
    "part_field",
]


def _reader(what: str) -> Callable[[Length], float]:
    def read(value: Length) -> float:
        return to_mm(value, what)

    return read


def _within(what: str, low: float, high: float, remedy: str) -> Callable[[Any, Any, float | None], None]:
    def check(_instance: Any, _attribute: Any, value: float | None) -> None:
        if value is not None:
            limit = f"from {metric(low)} to {metric(high)}"
            shown = metric(value, 3).replace(".000", "")
            if shown in limit:
                shown, _ = told_apart(value, low if value < low else high, value > low)
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
    words = [str(member.value) for member in kind]

    def convert(value: Any) -> Enum:
        if isinstance(value, kind):
            return value
        near = difflib.get_close_matches(value, words, n=1) if isinstance(value, str) else []
        remedy = f"did you mean {near[0]!r}?" if near else "use one of these words"
        require(
            isinstance(value, str) and value in words, what, repr(value), "one of " + ", ".join(words), remedy
        )
        return kind(value)

    return convert


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
    """Make a field for a plain number in one unit.

    Parameters
    ----------
    what : str
        How the user knows the value.
    unit : str
        Of the value and its limits, as it is written behind them; may be empty.
    low, high : float
        Limits, both allowed [as `unit` says].
    remedy : str
        What to do when it is outside.
    above : bool
        Whether it must be more than `low`.
    optional : bool
        Whether it may be None.
    whole : bool
        Whether it is counted.
    **options
        Passed to `attrs.field`.

    Returns
    -------
    attrs field
    """
    least = f"more than {low:g}" if above else f"from {low:g}"
    limit = f"{least} to {high:g} {unit}".rstrip() if math.isfinite(high) else f"{least} {unit} up".rstrip()
    limit = f"a whole number, {limit}" if whole else limit

    def check(_instance: Any, _attribute: Any, value: Any) -> None:
        if optional and value is None:
            return
        number = isinstance(value, Real) and not isinstance(value, bool) and math.isfinite(value)
        fits = number and (low < value if above else low <= value) and value <= high
        fits = fits and (not whole or value == int(value))
        require(fits, what, f"{value:g} {unit}".rstrip() if number else repr(value), limit, remedy)

    return field(validator=check, **options)


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

"""Calls whose arguments do not fit are refused in this library's words, not in Python's."""

import functools
import inspect
from collections.abc import Callable, Mapping, Sequence
from typing import Any, TypeVar, cast

from shellparts.base.errors import ParameterError
from shellparts.base.names import meant

__all__ = ["plain_call", "plain_init"]

F = TypeVar("F", bound=Callable[..., Any])
T = TypeVar("T")
#: Of a value that is shown beside what it should have been.
_LONGEST = 60


def plain_call(function: F) -> F:
    """Let a function refuse arguments that are unknown, not named, given twice or missing, each a `ParameterError`.

    Examples
    --------
    >>> @plain_call
    ... def flap(depth, *, sewn_on=False):
    ...     return depth
    >>> try:
    ...     flap(300, True)
    ... except ValueError as error:
    ...     print(error)
    argument 2 of flap is True; it must be given by its name. Remedy: write flap(sewn_on=…).
    """
    return cast(
        F, _checked(function.__name__, function, list(inspect.signature(function).parameters.values()), 0)
    )


def plain_init(cls: type[T]) -> type[T]:
    """Let a class do the same when it is made."""
    made: Any = cls
    takes = list(inspect.signature(made.__init__).parameters.values())[1:]
    made.__init__ = _checked(cls.__name__, made.__init__, takes, 1)
    return cls


def _checked(
    what: str, function: Callable[..., Any], takes: Sequence[inspect.Parameter], before: int
) -> Callable[..., Any]:
    """The same function, its arguments looked at first; so many of them come before those that are written."""

    @functools.wraps(function)
    def checked(*values: Any, **named: Any) -> Any:
        _check(what, takes, values[before:], named)
        return function(*values, **named)

    return checked


def _check(
    what: str, takes: Sequence[inspect.Parameter], values: Sequence[Any], named: Mapping[str, Any]
) -> None:
    """Refuse what Python would answer with a TypeError."""
    names = [one.name for one in takes if one.kind is not one.VAR_KEYWORD]
    in_order = [one.name for one in takes if one.kind is one.POSITIONAL_OR_KEYWORD]
    for name in named:
        if name not in names and len(names) == len(takes):
            limit = f"one of {', '.join(names)}" if names else "left out, for there is none"
            raise ParameterError(f"argument of {what}", repr(name), limit, meant(name, names, "leave it out"))
    if len(values) > len(in_order):
        lacking = [name for name in names[len(in_order) :] if name not in named]
        limit = "given by its name" if lacking else f"left out, for there are {len(names)}"
        remedy = f"write {what}({lacking[0]}=…)" if lacking else f"see help({what}) for what it takes"
        told = _short(values[len(in_order)])
        raise ParameterError(f"argument {len(in_order) + 1} of {what}", told, limit, remedy)
    for name, value in zip(in_order, values, strict=False):
        if name in named:
            told = f"{_short(value)} and {_short(named[name])}"
            raise ParameterError(f"{name} of {what}", told, "given once", "leave one of the two out")
    for one in takes[len(values) :]:
        if one.name in names and one.default is one.empty and one.name not in named:
            raise ParameterError(f"{one.name} of {what}", "missing", "given", f"write {what}({one.name}=…)")


def _short(value: Any) -> str:
    told = repr(value)
    return told if len(told) <= _LONGEST else f"{told[:_LONGEST]}…"

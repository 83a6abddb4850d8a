"""Help that names types: what `help` says of a property of a class begins with the type that it gives."""

import inspect
import re
from functools import cached_property
from typing import Any, TypeVar

__all__ = ["typed_help"]

T = TypeVar("T")
#: Where a class lives, before its name; CadQuery's stays.
_MODULES = re.compile(r"\b(?!cq\.)[a-z_][\w.]*[.]")


def typed_help(cls: type[T]) -> type[T]:
    """Let the help of each property of a class, but not of its bases, begin with the type that it gives.

    Examples
    --------
    >>> @typed_help
    ... class Door:
    ...     @property
    ...     def width_mm(self) -> float | None:
    ...         "How wide it is."
    >>> inspect.getdoc(Door.width_mm)
    'float | None: How wide it is.'
    """
    for value in vars(cls).values():
        if isinstance(value, cached_property | property):
            inner: Any = value.func if isinstance(value, cached_property) else value.fget
            given = inspect.signature(inner).return_annotation
            told = given if isinstance(given, str) else inspect.formatannotation(given)
            short = _MODULES.sub("", told)
            value.__doc__ = f"{short}: {inner.__doc__}"
    return cls

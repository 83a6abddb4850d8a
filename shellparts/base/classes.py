"""Classes that a reader makes: frozen, shown in one line, and known to type checkers by what may be written.

Glossary: what is *written* is what the reader gives, ``across="4.8 m"``; what is *kept* is what the field reads from
it, ``4800.0``. This module knows no class in particular.
"""

from collections.abc import Callable
from enum import Enum
from typing import TYPE_CHECKING, Annotated, Any, Generic, Self, TypeVar, dataclass_transform, overload

import attrs
import numpy as np

from shellparts.base.calls import plain_init
from shellparts.base.fields import (
    angle_field,
    choice_field,
    count_field,
    flag_field,
    length_field,
    number_field,
    part_field,
    parts_field,
    range_field,
)
from shellparts.base.units import Length

__all__ = ["MaybeMm", "Mm", "Reads", "brief", "evolve", "frozen_fields", "one_line"]

T = TypeVar("T")
Written = TypeVar("Written")
Kept = TypeVar("Kept")
#: A line of a shell or a notebook; what is longer ends with dots.
_LONGEST_REPR = 2000

if TYPE_CHECKING:

    class Reads(Generic[Written, Kept]):
        """A field that takes one type and keeps another; at run time the annotation is of what is kept."""

        @overload
        def __get__(self, instance: None, owner: Any) -> Self: ...
        @overload
        def __get__(self, instance: object, owner: Any) -> Kept: ...
        def __get__(self, instance: Any, owner: Any) -> Any:
            """Give what is kept."""

        def __set__(self, instance: Any, value: Written) -> None:
            """Take what is written."""

else:

    class Reads:
        """A field that takes one type and keeps another: ``Reads[written, kept]`` is an annotation of what is kept."""

        def __class_getitem__(cls, pair: tuple[Any, Any]) -> Any:
            """Annotate what is kept with what may be written."""
            return Annotated[pair[1], cls, pair[0]]


#: A length: written as millimetres or with its unit, kept in millimetres; and one that may be left out.
Mm = Reads[Length, float]
MaybeMm = Reads[Length | None, float | None]


@dataclass_transform(
    frozen_default=True,
    field_specifiers=(
        angle_field,
        attrs.field,
        choice_field,
        count_field,
        flag_field,
        length_field,
        number_field,
        part_field,
        parts_field,
        range_field,
    ),
)
def frozen_fields(kw_only: bool = False) -> Callable[[type[T]], type[T]]:
    """Make a frozen class of fields; like `attrs.frozen`, with its errors and its repr in this library's words.

    Parameters
    ----------
    kw_only : bool
        Whether every field is given by name.

    Returns
    -------
    Callable
        Takes the class. An argument that it does not have, or lacks, or that must have its name before it and has
        not, is a `ParameterError`.

    Examples
    --------
    >>> @frozen_fields(kw_only=True)
    ... class Flap:
    ...     depth: Reads[float | str, float] = length_field("depth", 0.0, 900.0, "")
    ...     sewn_on: bool = flag_field("sewn on", default=False)
    >>> Flap(depth="30 cm")
    Flap(depth=300)
    """

    def make(cls: type[T]) -> type[T]:
        if "__repr__" not in vars(cls):
            cls.__repr__ = one_line  # type: ignore[method-assign]  # a decorator sets it
        made: Any = attrs.frozen(kw_only=kw_only)(cls)
        fields = [one for one in attrs.fields(made) if one.init]
        made.__init__.__annotations__.update({one.alias: _written(one.type) for one in fields})
        made.__init__.of_fields = True  # What else it has is ours
        return plain_init(made)

    return make


def _written(annotation: Any) -> Any:
    """What a field of this annotation may be given."""
    return getattr(annotation, "__metadata__", (None, annotation))[1]


def one_line(value: Any) -> str:
    """How a frozen object is shown: only what differs from its default, as one would write it.

    Parameters
    ----------
    value : object
        Of a class made by `attrs`.

    Returns
    -------
    str
        Such as ``Shell(panels=12, across=4800, height=3600)``; shortened where it is very long.
    """
    shown = []
    for one in attrs.fields(type(value)):
        kept = getattr(value, one.name)
        usual: Any = one.default
        if isinstance(usual, attrs.Factory):  # type: ignore[arg-type]  # attrs types it as a function
            usual = usual.factory(value) if usual.takes_self else usual.factory()
        if one.repr and (usual is attrs.NOTHING or kept != usual):
            shown.append(f"{one.alias}={_word(kept)}")
    text = f"{type(value).__name__}({', '.join(shown)})"
    return text if len(text) <= _LONGEST_REPR else text[: _LONGEST_REPR - 1] + "…"


def _word(value: Any) -> str:
    """One value, as one would write it."""
    if isinstance(value, Enum):
        return repr(value.value)
    if isinstance(value, float):
        return f"{value:.10g}"
    if isinstance(value, tuple):
        inner = ", ".join(_word(one) for one in value)
        return f"({inner},)" if len(value) == 1 else f"({inner})"
    return repr(value)


def evolve(value: T, **changes: Any) -> T:
    """The same object with some fields changed, checked again.

    Parameters
    ----------
    value : object
        Of a class made by `frozen_fields` or `attrs`.
    **changes
        New values by the names of the fields.

    Raises
    ------
    ParameterError
        If the changed object cannot be.
    """
    return attrs.evolve(value, **changes)  # type: ignore[misc]  # T is of attrs, which no bound can say


def brief(cls: type[T]) -> type[T]:
    """Let a class of results be shown in short: numbers and words as they are, of what is long only how much it is.

    Examples
    --------
    >>> @brief
    ... @attrs.frozen
    ... class Row:
    ...     name: str
    ...     places: tuple[float, ...]
    >>> Row("first", (1.0, 2.0, 3.0, 4.0))
    <Row name='first', places: 4 float>
    """
    cls.__repr__ = _in_short  # type: ignore[method-assign]  # a decorator sets it
    return cls


def _in_short(value: Any) -> str:
    """One line of an object, whatever it holds."""
    shown = [
        f"{one.name}{_amount(getattr(value, one.name))}" for one in attrs.fields(type(value)) if one.repr
    ]
    return f"<{type(value).__name__} {', '.join(shown)}>"


def _amount(value: Any) -> str:
    """A number or a word as it is; of anything else its kind, and how many there are."""
    if value is None or isinstance(value, bool | int | float | str | Enum):
        return f"={_word(value)}"
    if isinstance(value, tuple | list | dict | set | frozenset):
        kinds = {type(one).__name__ for one in (value.values() if isinstance(value, dict) else value)}
        return f": {len(value)} {kinds.pop() if len(kinds) == 1 else 'items'}"
    if isinstance(value, np.ndarray):
        return f": numbers {'x'.join(map(str, value.shape))}"
    return f": {type(value).__name__}"

"""Names looked up: what is not there is refused with all names that are, and the nearest.

A *word* is the text of a member of an enumeration; either is taken for the other. What the names are for is not
known here.
"""

import difflib
from collections.abc import Iterable, Mapping, Sequence
from enum import Enum
from typing import Any, TypeVar

from shellparts.base.errors import UnknownNameError

__all__ = ["Named", "meant", "named", "named_throughout"]

K = TypeVar("K")
T = TypeVar("T")


def meant(asked: Any, words: Sequence[str], otherwise: str) -> str:
    """The remedy for a word that is not there: the nearest of those that are, or what to do otherwise.

    Examples
    --------
    >>> meant("dom", ["pyramid", "dome"], "use one of these"), meant(3, ["pyramid", "dome"], "use one of these")
    ("did you mean 'dome'?", 'use one of these')
    """
    near = difflib.get_close_matches(asked, words, n=1) if isinstance(asked, str) else []
    return f"did you mean {near[0]!r}?" if near else otherwise


def named(what: str, known: Mapping[str, T], name: Any) -> T:
    """Look a name up, or refuse it.

    Parameters
    ----------
    what : str
        What has the name: ``"sheet"``.
    known : mapping
        What there is, by name.
    name : str
        What is asked for.

    Raises
    ------
    UnknownNameError
        If there is none: a `ParameterError`, and a `KeyError`; the message names all, and the nearest.

    Examples
    --------
    >>> named("sheet", {"cap": 1, "tunnel": 2}, "tunnel")
    2
    """
    if isinstance(name, str) and name in known:
        return known[name]
    raise _unknown(what, known, name)


class Named(dict[K, T]):
    """A dictionary that refuses names which are not there as `named` does; in all else as any other.

    Parameters
    ----------
    what : str
        What has the names.
    known : mapping
        What there is, by name or by members of an enumeration, whose words are taken too.

    Examples
    --------
    >>> try:
    ...     Named("sheet", {"cap": 1, "tunnel": 2})["tunel"]
    ... except KeyError as error:
    ...     print(error)
    name of the sheet is 'tunel'; it must be one of cap, tunnel. Remedy: did you mean 'tunnel'?
    """

    def __init__(self, what: str, known: Mapping[K, T]):
        super().__init__(known)
        self.what = what

    def __missing__(self, name: Any) -> T:
        """Take a word for its member, or refuse it."""
        for key, value in self.items():
            if isinstance(key, Enum) and key.value == name:
                return value
        raise _unknown(self.what, self, name)

    def __reduce__(self) -> Any:
        """Made again as it was made."""
        return type(self), (self.what, dict(self))


def named_throughout(what: str, value: Any) -> Any:
    """Plain data of any depth, each of its dictionaries such that it refuses names which are not there.

    Examples
    --------
    >>> try:
    ...     named_throughout("number", {"air": [{"low_Pa": 20.0}]})["air"][0]["low"]
    ... except KeyError as error:
    ...     print(error)
    name of the number is 'low'; it must be one of low_Pa. Remedy: did you mean 'low_Pa'?
    """
    if isinstance(value, Mapping):
        return Named(what, {name: named_throughout(what, one) for name, one in value.items()})
    return [named_throughout(what, one) for one in value] if isinstance(value, list) else value


def _unknown(what: str, known: Iterable[Any], name: Any) -> UnknownNameError:
    """The error about a name that is not there."""
    words, asked = [str(_word(one)) for one in known], _word(name)
    limit = "one of " + ", ".join(words) if words else "left out, for there is none"
    remedy = meant(asked, words, "use one of these names" if words else "ask for none")
    return UnknownNameError(f"name of the {what}", repr(asked), limit, remedy)


def _word(name: Any) -> Any:
    """A member of an enumeration as its word."""
    return name.value if isinstance(name, Enum) else name

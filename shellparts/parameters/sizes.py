"""Which room has the sizes that a design asks for: the room as sewn, or the room under air."""

from enum import Enum
from typing import Literal

from shellparts.base.errors import ParameterError

__all__ = ["Sizes", "sizes_of", "unknown_air"]


class Sizes(Enum):
    """When the room has the height and the diameter that the design asks for."""

    AS_SEWN = "as sewn"
    UNDER_AIR = "under air"


#: The same as text.
SizesWord = Literal["as sewn", "under air"]


def sizes_of(value: Sizes | SizesWord) -> Sizes:
    """Read ``"as sewn"`` or ``"under air"``; anything else is refused."""
    try:
        return Sizes(value)
    except ValueError:
        raise ParameterError(
            "sizes", repr(value), "'as sewn' or 'under air'", "write one of the two"
        ) from None


def unknown_air(what: str) -> ParameterError:
    """The error that nothing is known of the air, for `what` was asked for."""
    return ParameterError(
        what,
        "asked for without a fan or a doorway",
        "known only with both",
        "give build(…) a fan, and the design a doorway; or leave it out",
    )

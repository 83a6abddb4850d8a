"""Being asked to end: an exception that may be lost, and a note of it that is not.

Python raises from a signal's handler wherever the program happens to be; in a destructor or in a call from a library it
is printed and forgotten. So it is noted too, and raised again at the next step of a run.
"""

from typing import NoReturn

from shellparts.base.errors import Terminated

__all__ = ["end", "forget", "heed"]

_asked: list[int] = []


def end(signal: int) -> NoReturn:
    """End the program, now or at its next step."""
    _asked.append(signal)
    raise Terminated(signal)


def heed() -> None:
    """End it if that was asked for and lost."""
    if _asked:
        raise Terminated(_asked[0])


def forget() -> None:
    """Go on from here as if nothing had been asked."""
    _asked.clear()

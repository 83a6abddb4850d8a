"""A progress bar on standard error, where somebody is looking; silent elsewhere."""

import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Any, Protocol, TypeVar

from shellparts.base.stopping import heed

__all__ = ["Progress", "Silent", "bar", "note", "over"]

T = TypeVar("T")


class Progress(Protocol):
    """What a long run reports to."""

    def step(self, what: str) -> None:
        """Say that one more step is done, and what comes next."""
        ...

    def part(self, share: float) -> None:
        """Say how much of the present step is done, from 0 to 1."""
        ...


class Silent:
    """Reports to nobody."""

    def step(self, what: str) -> None:
        """Do nothing."""

    def part(self, share: float) -> None:
        """Do nothing."""


class _Bar:
    def __init__(self, tqdm_bar: Any):
        self._bar, self._begun = tqdm_bar, 0

    def step(self, what: str) -> None:
        heed()
        self._begun += 1
        self._bar.n = self._begun - 1
        self._bar.set_description_str(f"{what:<24}")

    def part(self, share: float) -> None:
        self._bar.n = self._begun - 1 + share
        self._bar.refresh()


@contextmanager
def bar(steps: int) -> Iterator[Progress]:
    """Show a bar of `steps` steps on standard error when that is a terminal."""
    from tqdm import tqdm

    with tqdm(
        total=steps,
        file=sys.stderr,
        disable=None,
        leave=False,
        bar_format="{desc} {bar:30} {percentage:3.0f} %",
    ) as shown:
        yield _Bar(shown)


def note(line: str) -> None:
    """Say one line on standard error, above a bar if there is one."""
    from tqdm import tqdm

    tqdm.write(f"shellparts: {line}", file=sys.stderr)


def over(items: Iterable[T], what: str) -> Iterable[T]:
    """Go through `items` behind a bar."""
    from tqdm import tqdm

    shown: Iterable[T] = tqdm(items, desc=what, file=sys.stderr, disable=None, leave=False)
    return shown

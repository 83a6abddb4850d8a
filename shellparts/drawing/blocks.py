"""What a bound document consists of, before it is set in type: headings, words, lists, tables, figures. Data only.

Glossary: a *block* is one of these. Words may hold ``**strong**`` words, nothing else.
"""

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from shellparts.drawing.strokes import Drawing

__all__ = [
    "Block",
    "Boxes",
    "Chapter",
    "Figure",
    "Grid",
    "NewPage",
    "Numbered",
    "Photo",
    "Section",
    "Together",
    "Words",
]


Array = NDArray[np.float64]


@frozen
class Chapter:
    """A heading that stands in the list of contents; it begins a page, unless it `follows` on where there is room."""

    title: str
    follows: bool = False


@frozen
class Section:
    """A heading within a chapter."""

    title: str


@frozen
class Words:
    """A paragraph; one that is `loud` stands in a frame."""

    text: str
    loud: bool = False


@frozen
class Numbered:
    """Things to do in turn, counted from `first`."""

    items: tuple[str, ...]
    first: int = 1


@frozen
class Boxes:
    """Things to tick off."""

    items: tuple[str, ...]


@frozen
class Grid:
    """A table: a header, rows, and the share of the width that each column takes; none for all alike."""

    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    shares: tuple[float, ...] = ()


@frozen(eq=False)
class Figure:
    """A drawing, made as small as the page or its share of the page's height asks, and what it shows.

    One that is `alone` takes a page of its own, lying on its side where the drawing is wider than tall, and as much of
    it as it can; a `frame`, its lower left and its upper right corner, is shown whole [mm].
    """

    drawing: Drawing
    caption: str = ""
    alone: bool = False
    share: float = 0.0
    frame: tuple[Array, Array] | None = None


@frozen
class Photo:
    """A picture file as bytes of a PNG, no wider than this share of the page, and what it shows."""

    png: bytes
    caption: str = ""
    share: float = 1.0


@frozen(eq=False)
class Together:
    """Blocks that stand on one page; but for the end of a long table, if one is last."""

    blocks: tuple["Block", ...]


@frozen
class NewPage:
    """What follows begins a page."""


Block = Chapter | Section | Words | Numbered | Boxes | Grid | Figure | Photo | Together | NewPage

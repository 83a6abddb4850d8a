"""What a bound document consists of, before it is set in type: headings, words, lists, tables, figures. Data only.

Glossary: a *block* is one of these. Words may hold ``**strong**`` words, nothing else.
"""

from attrs import frozen

from shellparts.drawing.strokes import Drawing

__all__ = [
    "Block",
    "Boxes",
    "Chapter",
    "Figure",
    "Grid",
    "NewPage",
    "Numbered",
    "Picture",
    "Section",
    "Together",
    "Words",
]


@frozen
class Chapter:
    """A heading that begins a page and stands in the list of contents."""

    title: str


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
    """A drawing in millimetres of paper, made smaller where it does not fit, and what it shows."""

    drawing: Drawing
    caption: str = ""


@frozen
class Picture:
    """A picture file as bytes of a PNG, no wider than this share of the page, and what it shows."""

    png: bytes
    caption: str = ""
    share: float = 1.0


@frozen(eq=False)
class Together:
    """Blocks that stand on one page."""

    blocks: tuple["Block", ...]


@frozen
class NewPage:
    """What follows begins a page."""


Block = Chapter | Section | Words | Numbered | Boxes | Grid | Figure | Picture | Together | NewPage

"""A page as it is printed, in millimetres from its lower left corner.

Glossary: what is *shown* is a drawing in its places on a page; many pages may show the same one. The *window* is the
part of a page that it may cover.
"""

import math
from collections.abc import Sequence

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from shellparts.drawing.letters import text_width
from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke, stroke_of_points

__all__ = ["Page", "Shown", "line", "words"]

Array = NDArray[np.float64]


@frozen(eq=False)
class Shown:
    """A drawing in its places on a page.

    Parameters
    ----------
    drawing : Drawing
    places : sequence of (float, float)
        Where its origin comes to lie [mm].
    quarters : int
        Quarter turns to the left about its origin.
    pens : float
        Factor on the width of its lines.
    window : tuple of float, optional
        Left, lower, right and upper limit of what is seen on the page [mm].
    """

    drawing: Drawing
    places: Sequence[tuple[float, float]] = ((0.0, 0.0),)
    quarters: int = 0
    pens: float = 1.0
    window: tuple[float, float, float, float] | None = None


@frozen(eq=False)
class Page:
    """One page.

    Parameters
    ----------
    width_mm, height_mm : float
        Of the paper [mm].
    shown : tuple of Shown
        In the order in which they are drawn.
    shade : tuple of ndarray
        Rings between which the page is light grey, each shape (n, 2) [mm]; below everything else.
    """

    width_mm: float
    height_mm: float
    shown: tuple[Shown, ...]
    shade: tuple[Array, ...] = ()


def words(
    text: str,
    x: float,
    y: float,
    height_mm: float,
    *,
    bold: bool = False,
    align: float = 0.0,
    room_mm: float = math.inf,
) -> Label:
    """A line of text on its base line, written smaller where it is longer than its room.

    Parameters
    ----------
    text : str
        Any text.
    x, y : float
        Place on the base line [mm].
    height_mm : float
        Of capital letters [mm].
    bold : bool
    align : float
        Share of the text that stands left of the place: 0, 0.5 or 1.
    room_mm : float
        How long it may be [mm].

    Returns
    -------
    Label
    """
    long = text_width(text, height_mm, bold) if room_mm < math.inf else 0.0
    height = height_mm * (min(1.0, room_mm / long) if long > 0 else 1.0)
    return Label(Layer.WORDS, text, np.array([x, y + height / 2]), height, 0.0, align, bold)


def line(layer: Layer, x0: float, y0: float, x1: float, y1: float) -> Stroke:
    """A straight line [mm]."""
    return stroke_of_points(layer, [(x0, y0), (x1, y1)])

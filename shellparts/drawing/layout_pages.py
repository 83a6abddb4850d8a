"""Layouts as pages to print: one for a sheet of cloth, as many for a roll as it is long."""

import math

import numpy as np

from shellparts.drawing.layout import draw_layout
from shellparts.drawing.noted_page import (
    NotedDrawing,
    NotedPage,
    fitted_page,
    fitting_scale,
    with_notes_apart,
)
from shellparts.drawing.tape import tape_text
from shellparts.parameters import Marking, Tape
from shellparts.parameters.stocks import Roll
from shellparts.stock.layout import StockLayout

__all__ = ["layout_pages"]

_LEAST_ROLL_SCALE = 15


def _windows(layout: StockLayout, room: tuple[float, float], marking: Marking) -> tuple[float, float]:
    """Scale, and length of cloth on a page."""
    if not isinstance(layout.stock, Roll):
        return fitting_scale(max(layout.length_mm / room[0], layout.width_mm / room[1])), layout.length_mm
    scale = fitting_scale(max(layout.width_mm / room[1], _LEAST_ROLL_SCALE))
    step = 500.0 if marking.tape is Tape.METRIC else 304.8
    longest = max(1, math.floor(room[0] * scale / step)) * step
    pages = math.ceil(layout.length_mm / longest - 1e-9)
    return scale, min(longest, math.ceil(layout.length_mm / pages / step) * step)


def layout_pages(layouts: tuple[StockLayout, ...], name: str, marking: Marking) -> list[NotedPage]:
    """Make the pages of a job.

    Parameters
    ----------
    layouts : tuple of StockLayout
        Layouts with pieces.
    name : str
        Of the room, for the heading.
    marking : Marking
        Which tape it is chalked out with.

    Returns
    -------
    list of NotedPage
        In the order of cutting.
    """
    return [
        page
        for number, layout in enumerate(layouts, 1)
        for page in _pages(layout, f"sheet_{number:02d}", f"sheet {number} of {len(layouts)}", name, marking)
    ]


def _pages(layout: StockLayout, sheet: str, which: str, name: str, marking: Marking) -> list[NotedPage]:
    is_roll = isinstance(layout.stock, Roll)

    def draw(room: tuple[float, float]) -> tuple[float, list[tuple[NotedDrawing, float, float]]]:
        scale, length = _windows(layout, room, marking)
        windows = [
            (low, min(layout.length_mm, low + length))
            for low in np.arange(0.0, layout.length_mm - 1e-6, length).tolist()
        ]
        return scale, [(draw_layout(layout, marking, scale, window), *window) for window in windows]

    scale, drawn = fitted_page(draw, layout.width_mm, may_part=True)
    margin = layout.stock.edge_mm if isinstance(layout.stock, Roll) else layout.stock.hem_mm
    size = f"{tape_text(layout.length_mm, marking)} x {tape_text(layout.width_mm, marking)}"
    shut = f"; keep {tape_text(margin, marking)} at the edges free (dashed)" if margin else ""
    unit = "mm" if marking.tape is Tape.METRIC else "feet and inches"
    second = (
        f"Measure from corner 0, lower left, in {unit}: the upper number along, the lower across. "
        f"Cut in the order of the numbers{shut}."
    )
    pages = []
    for k, (one, low, high) in enumerate(drawn, 1):
        file, where = (f"roll_{k:02d}", f"page {k} of {len(drawn)}") if is_roll else (sheet, which)
        first = f"{name}: {layout.stock.name}, {where}; cloth {size}, drawn 1 to {scale:g}"
        pages += with_notes_apart(NotedPage(file, (first, second), one, scale, low, high, layout.width_mm))
    return pages

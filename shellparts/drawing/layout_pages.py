"""Layouts as pages to print: one for a sheet of cloth, as many for a roll as it is long."""

import math
from collections.abc import Sequence

import numpy as np

from shellparts.drawing.laid import LaidPiece, laid_pieces
from shellparts.drawing.layout import draw_layout
from shellparts.drawing.noted_page import (
    NotedDrawing,
    NotedPage,
    fitted_page,
    fitting_scale,
    with_notes_apart,
)
from shellparts.drawing.strokes import Layer
from shellparts.drawing.tape import tape_text
from shellparts.parameters import Marking, Tape
from shellparts.parameters.stocks import Roll
from shellparts.pattern.made import Pattern
from shellparts.stock.layout import StockLayout

__all__ = ["layout_pages"]

_LEAST_ROLL_SCALE = 15
#: A page of a roll is no longer than a tape of 5 m, or of 16 ft, reaches [mm].
_REACH_MM = {Tape.METRIC: 5000.0, Tape.IMPERIAL: 16 * 304.8}
#: What the lines mean, at the foot of a page.
_LEGEND = (
    (Layer.CUTTING, "cut"),
    (Layer.CURVE, "curved"),
    (Layer.SEWING, "sew"),
    (Layer.FINISHED, "finished edge: turn in"),
    (Layer.NOTCH, "notch"),
    (Layer.PATCH, "patch or tab"),
    (Layer.LATER, "opening: cut after its patch is on"),
    (Layer.MARGIN, "keep free"),
)


def _windows(layout: StockLayout, room: tuple[float, float], marking: Marking) -> tuple[float, float]:
    """Scale, and length of cloth on a page."""
    if not isinstance(layout.stock, Roll):
        return fitting_scale(max(layout.length_mm / room[0], layout.width_mm / room[1])), layout.length_mm
    scale = fitting_scale(max(layout.width_mm / room[1], _LEAST_ROLL_SCALE))
    step = 500.0 if marking.tape is Tape.METRIC else 304.8
    reach = min(room[0] * scale, _REACH_MM[marking.tape])
    longest = max(1, math.floor(reach / step + 1e-9)) * step
    pages = math.ceil(layout.length_mm / longest - 1e-9)
    return scale, min(longest, math.ceil(layout.length_mm / pages / step) * step)


def layout_pages(
    layouts: tuple[StockLayout, ...], name: str, marking: Marking, pattern: Pattern | None = None
) -> list[NotedPage]:
    """Make the pages of a job.

    Parameters
    ----------
    layouts : tuple of StockLayout
        Layouts with pieces.
    name : str
        Of the room, for the heading.
    marking : Marking
        Which tape it is chalked out with.
    pattern : Pattern, optional
        What the layouts were made from; outlines alone are drawn without it.

    Returns
    -------
    list of NotedPage
        In the order of cutting.
    """
    laid = [[] for _ in layouts] if pattern is None else laid_pieces(layouts, pattern)
    pages = []
    for number, (layout, pieces) in enumerate(zip(layouts, laid, strict=True), 1):
        told = f"sheet_{number:02d}", f"sheet {number} of {len(layouts)}"
        pages += _pages(layout, pieces, told, name, marking)
    return pages


def _pages(
    layout: StockLayout, pieces: Sequence[LaidPiece], told: tuple[str, str], name: str, marking: Marking
) -> list[NotedPage]:
    is_roll = isinstance(layout.stock, Roll)

    def draw(room: tuple[float, float]) -> tuple[float, list[tuple[NotedDrawing, float, float]]]:
        scale, length = _windows(layout, room, marking)
        windows = [
            (low, min(layout.length_mm, low + length))
            for low in np.arange(0.0, layout.length_mm - 1e-6, length).tolist()
        ]
        zeros = [window[0] if is_roll else 0.0 for window in windows]
        return scale, [
            (draw_layout(layout, marking, scale, window, pieces, zero, on_paper=True), *window)
            for window, zero in zip(windows, zeros, strict=True)
        ]

    scale, drawn = fitted_page(draw, layout.width_mm, may_part=True)
    margin = layout.stock.edge_mm if isinstance(layout.stock, Roll) else layout.stock.hem_mm
    size = f"{tape_text(layout.length_mm, marking)} x {tape_text(layout.width_mm, marking)}"
    shut = f"; keep {tape_text(margin, marking)} at the edges free (dashed)" if margin else ""
    unit = "mm" if marking.tape is Tape.METRIC else "feet and inches"
    second = (
        f"Measure from corner 0, lower left, in {unit}: the upper number along, the lower across. Between two points "
        "the line is straight; where it is shaded it is a curve: bend a batten through the points. "
        f"Cut in the order of the numbers{shut}."
    )
    pages = []
    for k, (one, low, high) in enumerate(drawn, 1):
        file, where = (f"roll_{k:02d}", f"page {k} of {len(drawn)}") if is_roll else told
        first = f"{name}: {layout.stock.name}, {where}; cloth {size}, drawn 1 to {scale:g}"
        begins = (
            f" Corner 0 of this page is {tape_text(low, marking)} from the cut end: chalk a line across."
            * is_roll
        )
        page = NotedPage(
            file, (first, second + begins), one, scale, low, high, layout.width_mm, legend=_LEGEND
        )
        pages += with_notes_apart(page)
    return pages

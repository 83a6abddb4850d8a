"""A small model of the room to cut from paper, fold and glue: a PDF.

Glossary: see `paper_parts` for parts and tabs, `shelves` for how they are laid. The *scale bar* shows a length
of the room at the model's scale.
"""

import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from attrs import evolve, frozen

from shellparts.base.checks import require
from shellparts.drawing.paper import MARGIN_MM, Sheet
from shellparts.drawing.paper_tabs import TAB_MM
from shellparts.drawing.shelves import Spot, shelve
from shellparts.pattern.made import Pattern
from shellparts.writers.paper_parts import PaperPart, paper_parts
from shellparts.writers.pdf_strokes import draw, line, new_canvas, new_page, pen, text

__all__ = ["ModelRun", "fitting_scale", "write_paper_model"]

_TITLE_MM, _GAP_MM = 15.0, 3.0
_PEN_SCALE = 0.35
_BAR_LIMIT_MM = 70.0
_HOW = "Cut unbroken lines. Fold dashed lines back. Glue each tab behind the edge with the same seam number."
_TOWARDS = " Fold dash-dotted lines towards you."


@frozen
class ModelRun:
    """What was printed.

    Parameters
    ----------
    scale : int
        The model is 1 to this.
    parts : int
        How many parts it has.
    pages : int
        How many pages they lie on.
    seams_with_tabs : int
        How many seams have a tab.
    """

    scale: int
    parts: int
    pages: int
    seams_with_tabs: int


def _page(sheet: Sheet) -> Sheet:
    """The paper, a roll cut short."""
    return evolve(sheet, height_mm=420.0, is_roll=False) if sheet.is_roll else sheet


def _room(sheet: Sheet) -> tuple[float, float]:
    """Width and height left for parts."""
    return sheet.width_mm - 2 * MARGIN_MM, sheet.height_mm - 2 * MARGIN_MM - _TITLE_MM


def fitting_scale(pattern: Pattern, sheet: Sheet) -> int:
    """The largest model of which every part fits one page.

    Parameters
    ----------
    pattern : Pattern
        Pieces and seams.
    sheet : Sheet
        The paper, upright; a roll is cut to 420 mm.

    Returns
    -------
    int
        Scale of the model, 1 to this.
    """
    short, long = sorted(side - 2 * TAB_MM for side in _room(_page(sheet)))
    worst = 0.0
    for piece in pattern.pieces:
        points = piece.outline.outer.polyline(1.0)
        low, high = sorted(np.ptp(points, axis=0).tolist())
        worst = max(worst, low / short, high / long)
    return max(1, math.ceil(worst))


def write_paper_model(pattern: Pattern, name: str, scale: int, sheet: Sheet, path: Path) -> ModelRun:
    """Write the parts of a paper model.

    Parameters
    ----------
    pattern : Pattern
        Pieces and seams.
    name : str
        Name of the room.
    scale : int
        The model is 1 to this.
    sheet : Sheet
        The paper, upright; a roll is cut to 420 mm.
    path : Path
        The file.

    Returns
    -------
    ModelRun

    Raises
    ------
    ParameterError
        If a part does not fit a page.
    """
    page = _page(sheet)
    least = fitting_scale(pattern, page)
    require(
        scale >= least,
        "scale of the model",
        f"1:{scale}",
        f"1:{least} or smaller, for every part to fit {sheet.name}",
        "choose a smaller model or larger paper",
    )
    parts = paper_parts(pattern, scale)
    width, height = _room(page)
    spots = shelve([part.shape for part in parts], width, height, _GAP_MM)
    pages = 1 + max(spot.page for spot in spots)
    canvas = new_canvas(path, f"{name}: paper model 1:{scale}")
    towards = any(fold.angle_rad < -1e-3 for piece in pattern.pieces for fold in piece.outline.folds)
    how = _HOW + (_TOWARDS if towards else "")
    for number in range(pages):
        new_page(canvas, page.width_mm, page.height_mm)
        _draw_parts(
            canvas, [(part, spot) for part, spot in zip(parts, spots, strict=True) if spot.page == number]
        )
        _draw_title(
            canvas, page, f"{name}: paper model 1:{scale}", how, f"Page {number + 1} of {pages}.", scale
        )
        canvas.showPage()
    canvas.save()
    return ModelRun(scale, len(parts), pages, len({seam for part in parts for seam in part.tabs}))


def _draw_parts(canvas: Any, laid: Sequence[tuple[PaperPart, Spot]]) -> None:
    for part, spot in laid:
        canvas.saveState()
        canvas.translate(MARGIN_MM + spot.dx, MARGIN_MM + spot.dy)
        canvas.rotate(90 * spot.quarters)
        draw(canvas, part.drawing, _PEN_SCALE)
        canvas.restoreState()


def _draw_title(canvas: Any, sheet: Sheet, title: str, how: str, number: str, scale: int) -> None:
    top = sheet.height_mm - MARGIN_MM
    room = sheet.width_mm - 2 * MARGIN_MM - _BAR_LIMIT_MM - 14.0
    text(canvas, MARGIN_MM, top - 4.0, title, 3.2, bold=True, room_mm=room)
    text(canvas, MARGIN_MM, top - 8.0, f"{number} Print at 100 %, not fitted to the page.", 1.8, room_mm=room)
    text(canvas, MARGIN_MM, top - 11.6, how, 1.8, room_mm=room)
    x, y = sheet.width_mm - MARGIN_MM - _BAR_LIMIT_MM - 8.0, top - 5.6
    pen(canvas, 0.25)
    for unit, mm, up in (("m", 1000.0, 1.0), ("ft", 304.8, -1.0)):
        length = _bar_length(mm / scale)
        line(canvas, x, y, x + length * mm / scale, y)
        for share in (0.0, 0.5, 1.0):
            at = x + share * length * mm / scale
            line(canvas, at, y, at, y + up * (2.0 if share != 0.5 else 1.4))
            words = f"{share * length:g} {unit}" if share == 1.0 else f"{share * length:g}"
            text(canvas, at, y + (2.6 if up > 0 else -4.0), words, 1.6, align=0.5)


def _bar_length(unit_mm: float) -> float:
    """Largest of 1, 2, 5, 10 … units that the bar has room for."""
    lengths = [a * 10.0**power for power in range(-3, 4) for a in (1, 2, 5)]
    return max(length for length in lengths if length * unit_mm <= _BAR_LIMIT_MM)

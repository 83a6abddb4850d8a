"""A small model of the room to cut from paper, fold and glue.

Glossary: see `paper_parts` for parts and tabs, `shelves` for how they are laid. The *scale bar* shows a length
of the room at the model's scale.
"""

import math
from collections.abc import Sequence

import numpy as np
from attrs import evolve, frozen

from shellparts.base.checks import require
from shellparts.drawing.paper import MARGIN_MM, PaperSheet
from shellparts.drawing.paper_parts import BACK, FLAT, TOWARDS, paper_parts
from shellparts.drawing.paper_tabs import TAB_MM
from shellparts.drawing.printed import Page, Shown, line, words
from shellparts.drawing.shelves import shelve
from shellparts.drawing.strokes import Drawing, Layer
from shellparts.pattern.made import Pattern

__all__ = ["ModelRun", "fitting_scale", "paper_model_pages"]

_TITLE_MM, _GAP_MM = 20.0, 3.0
_PENS = 0.35
_BAR_LIMIT_MM = 70.0
_HOW = "Cut unbroken lines. The printed side is the outer side. Glue each tab behind the edge with its seam number."
#: What is done at each line, and paper for it [mm].
_FOLDS = ((BACK, "fold back, away from you"), (TOWARDS, "fold towards you"), (FLAT, "leave flat"))
_SAMPLE_MM, _FOLD_ROOM_MM = 11.0, 47.0


@frozen
class ModelRun:
    """What was printed: the model's scale, 1 to this, its parts, its pages, and how many seams have a tab."""

    scale: int
    parts: int
    pages: int
    seams_with_tabs: int


def _page(sheet: PaperSheet) -> PaperSheet:
    """The paper, a roll cut short."""
    return evolve(sheet, height_mm=420.0, is_roll=False) if sheet.is_roll else sheet


def _room(sheet: PaperSheet) -> tuple[float, float]:
    """Width and height left for parts."""
    return sheet.width_mm - 2 * MARGIN_MM, sheet.height_mm - 2 * MARGIN_MM - _TITLE_MM


def fitting_scale(pattern: Pattern, sheet: PaperSheet) -> int:
    """The largest model of which every part fits one page.

    Parameters
    ----------
    pattern : Pattern
        Pieces and seams.
    sheet : PaperSheet
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


def paper_model_pages(
    pattern: Pattern, name: str, scale: int, sheet: PaperSheet
) -> tuple[list[Page], ModelRun]:
    """Draw the parts of a paper model.

    Parameters
    ----------
    pattern : Pattern
        Pieces and seams.
    name : str
        Name of the room.
    scale : int
        The model is 1 to this.
    sheet : PaperSheet
        The paper, upright; a roll is cut to 420 mm.

    Returns
    -------
    (list of Page, ModelRun)

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
    spots = shelve([part.with_words for part in parts], *_room(page), _GAP_MM)
    count = 1 + max(spot.page for spot in spots)
    drawn = {stroke.layer for part in parts for stroke in part.drawing.strokes}
    folds = [fold for fold in _FOLDS if fold[0] in drawn]
    seams = {seam for part in parts for seam, teeth in part.tabs.items() if teeth}
    if len(seams) < len(pattern.seams):
        folds.append((Layer.CUTTING, "no tab: glue edge to edge"))
    pages = []
    for number in range(count):
        shown = [
            Shown(part.drawing, [(MARGIN_MM + spot.dx, MARGIN_MM + spot.dy)], spot.quarters, _PENS)
            for part, spot in zip(parts, spots, strict=True)
            if spot.page == number
        ]
        title = _title(page, f"{name}: paper model 1:{scale}", f"Page {number + 1} of {count}.", folds, scale)
        pages.append(Page(page.width_mm, page.height_mm, (*shown, Shown(title, pens=_PENS))))
    return pages, ModelRun(scale, len(parts), count, len(seams))


def _title(
    sheet: PaperSheet, title: str, number: str, folds: Sequence[tuple[Layer, str]], scale: int
) -> Drawing:
    """What stands at the top of a page, with the lines to fold at and the scale bar."""
    top = sheet.height_mm - MARGIN_MM
    room = sheet.width_mm - 2 * MARGIN_MM - _BAR_LIMIT_MM - 14.0
    printing = f"{number} Print at 100 %, not fitted to the page."
    labels = [
        words(title, MARGIN_MM, top - 4.0, 3.2, bold=True, room_mm=room),
        words(printing, MARGIN_MM, top - 8.0, 2.0, room_mm=room),
        words(_HOW, MARGIN_MM, top - 13.2, 2.0),
    ]
    x, y = sheet.width_mm - MARGIN_MM - _BAR_LIMIT_MM - 8.0, top - 5.6
    strokes = []
    for k, (layer, told) in enumerate(folds):
        left, level = MARGIN_MM + k * _FOLD_ROOM_MM, top - 16.4
        strokes.append(line(layer, left, level, left + _SAMPLE_MM, level))
        labels.append(words(told, left + _SAMPLE_MM + 1.5, level - 1.0, 2.0))
    for unit, mm, up in (("m", 1000.0, 1.0), ("ft", 304.8, -1.0)):
        length = _bar_length(mm / scale)
        strokes.append(line(Layer.BAR, x, y, x + length * mm / scale, y))
        for share in (0.0, 0.5, 1.0):
            at = x + share * length * mm / scale
            strokes.append(line(Layer.BAR, at, y, at, y + up * (2.0 if share != 0.5 else 1.4)))
            told = f"{share * length:g} {unit}" if share == 1.0 else f"{share * length:g}"
            labels.append(words(told, at, y + (2.6 if up > 0 else -4.2), 2.0, align=0.5))
    return Drawing(tuple(strokes), tuple(labels))


def _bar_length(unit_mm: float) -> float:
    """Largest of 1, 2, 5, 10 … units that the bar has room for."""
    lengths = [a * 10.0**power for power in range(-3, 4) for a in (1, 2, 5)]
    return max(length for length in lengths if length * unit_mm <= _BAR_LIMIT_MM)

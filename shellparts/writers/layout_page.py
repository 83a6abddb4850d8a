"""Layouts as pages to print: SVG of one A4 page each, and a DXF at true size.

Glossary: as in `layout_drawing`; a sheet of cloth is one page, a roll as many as it is long. A page has a heading,
the cloth with rulers, and below it the points that had no room in their pieces. ISO 216 A4 is 210 mm by
297 mm. This module arranges nothing and draws no piece.
"""

import math
import textwrap
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from xml.sax.saxutils import escape

import numpy as np
from attrs import evolve, frozen

from shellparts.drawing.layout import DrawnLayout, draw_layout, tape_text
from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke
from shellparts.parameters import Marking, Tape
from shellparts.parameters.stocks import Roll
from shellparts.stock.layout import StockLayout
from shellparts.writers.dxf import write_dxf

__all__ = ["LayoutPage", "fitted_page", "layout_pages", "page_svg", "write_layouts"]

_PAGE, _EDGE_MM = (297.0, 210.0), 10.0
#: Paper taken by the ruler on the left, the heading, the ruler below, and between columns [mm].
_LEFT, _HEAD, _BELOW, _GAP = 10.0, 15.0, 8.0, 5.0
_SCALES = (2, 5, 10, 15, 20, 25, 30, 40, 50, 60, 80, 100, 150, 200, 400)
_LEAST_ROLL_SCALE = 15
_NOTE_MM, _NOTE_LINE_MM, _NOTE_COLUMNS = 1.5, 2.9, 3
#: Lines of notes below the cloth at the most, and on a page of their own.
_MOST_BELOW, _MOST_ALONE = 30 * _NOTE_COLUMNS, 55 * _NOTE_COLUMNS
#: Paper for one character of a note, and the least width of a column of them beside the cloth [mm].
_CHARACTER_MM, _SIDE_MM = 1.25, 45.0
#: Colour, width on paper [mm] and dashes of each layer.
_PENS = {
    Layer.STOCK: ("#1c1c1c", 0.5, ""),
    Layer.MARGIN: ("#c07a1a", 0.25, "2 1.2"),
    Layer.CUTTING: ("#1c1c1c", 0.35, ""),
    Layer.MEASURE: ("#c0392b", 0.2, ""),
    Layer.RULER: ("#5a5a5a", 0.2, ""),
}
_INKS = {Layer.NAME: "#1c1c1c", Layer.MEASURE: "#1f5fa8", Layer.RULER: "#5a5a5a"}
_HOMELESS = "Points without room in their pieces, along / across"


@frozen(eq=False)
class LayoutPage:
    """One page.

    Parameters
    ----------
    file : str
        Name of its file, without an ending.
    heading : tuple of str
        Two lines.
    drawn : DrawnLayout
        What it shows, in millimetres of cloth.
    scale : float
        1 to this [-].
    low_mm : float
        Where the window begins, along the cloth [mm].
    high_mm : float
        Where it ends [mm].
    width_mm : float
        Width of the cloth [mm].
    notes_title : str
        Stands above the notes.
    """

    file: str
    heading: tuple[str, str]
    drawn: DrawnLayout
    scale: float
    low_mm: float
    high_mm: float
    width_mm: float
    notes_title: str = _HOMELESS


def _wrapped(notes: tuple[str, ...], width_mm: float) -> list[str]:
    """Notes broken into lines of a width on paper [mm]."""
    characters = int(width_mm / _CHARACTER_MM)
    return [line for note in notes for line in textwrap.wrap(note, characters, subsequent_indent="  ")]


def _beside(notes: tuple[str, ...], cloth_mm: float) -> list[str] | None:
    """Lines of notes to the right of cloth that takes so much paper; None where they have no room there."""
    side = _PAGE[0] - 2 * _EDGE_MM - _LEFT - cloth_mm - _GAP
    if side < _SIDE_MM:
        return None
    lines = _wrapped(notes, side)
    return lines if (len(lines) + 2) * _NOTE_LINE_MM <= _PAGE[1] - 2 * _EDGE_MM - _HEAD else None


def _below(notes: tuple[str, ...]) -> list[str]:
    """Lines of notes in columns below the cloth."""
    return _wrapped(notes, (_PAGE[0] - 2 * _EDGE_MM) / _NOTE_COLUMNS - _GAP)


def _room(note_lines: int) -> tuple[float, float]:
    """Paper left for the cloth, along and across [mm]."""
    rows = math.ceil(note_lines / _NOTE_COLUMNS)
    foot = (rows + 1) * _NOTE_LINE_MM if rows else 0.0
    return _PAGE[0] - 2 * _EDGE_MM - _LEFT, _PAGE[1] - 2 * _EDGE_MM - _HEAD - _BELOW - foot


def _windows(layout: StockLayout, room: tuple[float, float], marking: Marking) -> tuple[float, float]:
    """Scale, and length of cloth on a page."""
    if not isinstance(layout.stock, Roll):
        least = max(layout.length_mm / room[0], layout.width_mm / room[1])
        return next((float(s) for s in _SCALES if s >= least), least), layout.length_mm
    least = max(layout.width_mm / room[1], _LEAST_ROLL_SCALE)
    scale = next((float(s) for s in _SCALES if s >= least), least)
    step = 500.0 if marking.tape is Tape.METRIC else 304.8
    longest = max(1, math.floor(room[0] * scale / step)) * step
    pages = math.ceil(layout.length_mm / longest - 1e-9)
    return scale, min(longest, math.ceil(layout.length_mm / pages / step) * step)


def _drawn(layout: StockLayout, marking: Marking) -> Iterator[tuple[DrawnLayout, float, float, float]]:
    """Windows of a layout, each drawn, with its scale and beginning; drawn smaller where notes need the room."""
    lines = 0
    while True:
        scale, length = _windows(layout, _room(lines), marking)
        starts = np.arange(0.0, layout.length_mm - 1e-6, length).tolist()
        found = [draw_layout(layout, marking, scale, (start, start + length)) for start in starts]
        ends = [min(layout.length_mm, start + length) for start in starts]
        needed = [
            len(_below(one.notes)) if _beside(one.notes, (end - start) / scale) is None else 0
            for one, start, end in zip(found, starts, ends, strict=True)
        ]
        most = max(many if many <= _MOST_BELOW else 0 for many in needed)
        if _room(most)[1] * scale >= layout.width_mm or scale > _SCALES[-1]:
            yield from ((one, scale, start, end) for one, start, end in zip(found, starts, ends, strict=True))
            return
        lines = max(most, lines + _NOTE_COLUMNS)


def layout_pages(layouts: tuple[StockLayout, ...], name: str, marking: Marking) -> list[LayoutPage]:
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
    list of LayoutPage
        In the order of cutting.
    """
    unit = "mm" if marking.tape is Tape.METRIC else "feet and inches"
    pages = []
    for number, layout in enumerate(layouts, 1):
        drawn = list(_drawn(layout, marking))
        for k, (one, scale, low, high) in enumerate(drawn, 1):
            margin = layout.stock.edge_mm if isinstance(layout.stock, Roll) else layout.stock.hem_mm
            if isinstance(layout.stock, Roll):
                file, where = f"roll_{k:02d}", f"page {k} of {len(drawn)}"
            else:
                file, where = f"sheet_{number:02d}", f"sheet {number} of {len(layouts)}"
            size = f"{tape_text(layout.length_mm, marking)} x {tape_text(layout.width_mm, marking)}"
            shut = f"; keep {tape_text(margin, marking)} at the edges free (dashed)" if margin else ""
            first = f"{name}: {layout.stock.name}, {where}; cloth {size}, drawn 1 to {scale:g}"
            second = (
                f"Measure from corner 0, lower left, in {unit}: the upper number along, the lower across. "
                f"Cut in the order of the numbers{shut}."
            )
            page = LayoutPage(file, (first, second), one, scale, low, high, layout.width_mm)
            pages += _with_notes_apart(page)
    return pages


def _with_notes_apart(page: LayoutPage) -> list[LayoutPage]:
    """The page itself; where its notes have no room beside the cloth or below it, they follow on pages of their own."""
    notes, cloth = page.drawn.notes, (page.high_mm - page.low_mm) / page.scale
    if _beside(notes, cloth) is not None or len(_below(notes)) <= _MOST_BELOW:
        return [page]
    groups: list[list[str]] = [[]]
    for note in notes:
        if len(_below((*groups[-1], note))) > _MOST_ALONE and groups[-1]:
            groups.append([])
        groups[-1].append(note)
    first, second = page.heading
    files = [f"{page.file}_points_{number}" for number in range(1, len(groups) + 1)]
    told = f"{second} Points without room: {', '.join(files)}."
    apart = [
        LayoutPage(
            file,
            (first, f"{second} These points belong to {page.file}."),
            DrawnLayout(Drawing((), ()), tuple(group)),
            page.scale,
            0.0,
            page.scale * _PAGE[0],
            0.0,
        )
        for file, group in zip(files, groups, strict=True)
    ]  # as wide as the page, so that the notes stand below
    return [evolve(page, heading=(first, told), drawn=DrawnLayout(page.drawn.drawing, ())), *apart]


def fitted_page(
    file: str,
    heading: Callable[[float], tuple[str, str]],
    draw: Callable[[float], DrawnLayout],
    size_mm: tuple[float, float],
    notes_title: str = _HOMELESS,
) -> LayoutPage:
    """Make a page that shows something whole, as large as it fits with its notes.

    Parameters
    ----------
    file : str
        Name of its file, without an ending.
    heading : callable
        From the scale to the two lines of the heading.
    draw : callable
        From the scale to the drawing, from its lower left corner, with notes.
    size_mm : (float, float)
        Length and width of what is drawn [mm].
    notes_title : str
        Stands above the notes.

    Returns
    -------
    LayoutPage
    """
    lines = 0
    while True:
        room = _room(lines)
        least = max(size_mm[0] / room[0], size_mm[1] / max(room[1], 1.0))
        scale = next((float(s) for s in _SCALES if s >= least), least)
        drawn = draw(scale)
        beside = _beside(drawn.notes, size_mm[0] / scale)
        needed = len(_below(drawn.notes)) if beside is None else 0
        if needed <= lines or _room(needed)[1] * scale >= size_mm[1] or scale > _SCALES[-1]:
            return LayoutPage(file, heading(scale), drawn, scale, 0.0, size_mm[0], size_mm[1], notes_title)
        lines = max(needed, lines + _NOTE_COLUMNS)


def _n(value: float) -> str:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _path(points: np.ndarray, closed: bool) -> str:
    return "M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in points.tolist()) + ("Z" if closed else "")


def _text(text: str, x: float, y: float, height: float, angle: float = 0.0, anchor: str = "middle") -> str:
    """A line of text, centred on a point in height; capitals are 0.72 of the font size."""
    size = height / 0.72
    turn = f" rotate({_n(-math.degrees(angle))})" if angle else ""
    return (
        f'<text transform="translate({_n(x)} {_n(y)}){turn}" font-size="{_n(size)}" y="{_n(0.36 * size)}" '
        f'text-anchor="{anchor}">{escape(text)}</text>'
    )


def page_svg(
    page: LayoutPage,
    pens: Mapping[Layer, tuple[str, float, str]] | None = None,
    inks: Mapping[Layer, str] | None = None,
) -> str:
    """Write a page as SVG text.

    Parameters
    ----------
    page : LayoutPage
        The page.
    pens : mapping, optional
        Colour, width on paper [mm] and dashes of each layer of strokes that is shown; those of cloth unless
        given.
    inks : mapping, optional
        Colour of each layer of texts that is shown.

    Returns
    -------
    str
        A4 lying on its side, in millimetres of paper.
    """
    down = _EDGE_MM + _HEAD + page.width_mm / page.scale
    corner = np.array([_EDGE_MM + _LEFT, down])

    def on_paper(points: np.ndarray) -> np.ndarray:
        return corner + (points - [page.low_mm, 0.0]) / page.scale * [1.0, -1.0]

    def stroke(one: Stroke) -> str:
        return f'<path d="{_path(on_paper(one.points), one.closed)}"/>'

    def label(one: Label) -> str:
        x, y = on_paper(one.at).tolist()
        return _text(one.text, x, y, one.height_mm / page.scale, one.angle)

    wide, tall = _PAGE
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(wide)}mm" height="{_n(tall)}mm" '
        f'viewBox="0 0 {_n(wide)} {_n(tall)}">',
        f"<title>{escape(page.heading[0])}</title>",
    ]
    for layer, (colour, pen, dashes) in (pens or _PENS).items():
        dash = f' stroke-dasharray="{dashes}"' if dashes else ""
        lines.append(f'<g id="{layer.value}" fill="none" stroke="{colour}" stroke-width="{pen}"{dash}>')
        lines += [stroke(one) for one in page.drawn.drawing.strokes if one.layer is layer]
        lines.append("</g>")
    for layer, ink in (inks or _INKS).items():
        lines.append(f'<g id="{layer.value}_TEXT" fill="{ink}" font-family="sans-serif">')
        lines += [label(one) for one in page.drawn.drawing.labels if one.layer is layer]
        lines.append("</g>")
    lines.append('<g id="WORDS" fill="#1c1c1c" font-family="sans-serif">')
    lines.append(_text(page.heading[0], _EDGE_MM, _EDGE_MM + 2.5, 3.0, anchor="start"))
    lines.append(_text(page.heading[1], _EDGE_MM, _EDGE_MM + 8.0, 2.1, anchor="start"))
    lines += _noted(page)
    return "\n".join([*lines, "</g>", "</svg>", ""])


def _noted(page: LayoutPage) -> list[str]:
    """The notes of a page, beside the cloth or below it."""
    if not page.drawn.notes:
        return []
    cloth = (page.high_mm - page.low_mm) / page.scale
    lines = _beside(page.drawn.notes, cloth)
    if lines is not None:
        x, y = _EDGE_MM + _LEFT + cloth + _GAP, _EDGE_MM + _HEAD
        rows, column = len(lines), 0.0
    else:
        x, y = _EDGE_MM, _EDGE_MM + _HEAD + page.width_mm / page.scale + _BELOW
        lines = _below(page.drawn.notes)
        rows, column = math.ceil(len(lines) / _NOTE_COLUMNS), (_PAGE[0] - 2 * _EDGE_MM) / _NOTE_COLUMNS
    found = [_text(page.notes_title, x, y, 1.5, anchor="start")]
    for k, line in enumerate(lines):
        inward = 2.0 if line.startswith("  ") else 0.0
        at = x + k // rows * column + inward, y + (k % rows + 1) * _NOTE_LINE_MM
        found.append(_text(line.strip(), *at, _NOTE_MM, anchor="start"))
    return found


def write_layouts(layouts: tuple[StockLayout, ...], name: str, marking: Marking, folder: Path) -> None:
    """Write every page as SVG, and every sheet or roll as DXF at true size.

    Parameters
    ----------
    layouts : tuple of StockLayout
        Layouts with pieces.
    name : str
        Of the room.
    marking : Marking
        Which tape it is chalked out with.
    folder : Path
        It exists.
    """
    for page in layout_pages(layouts, name, marking):
        (folder / f"{page.file}.svg").write_text(page_svg(page), encoding="utf-8", newline="\n")
    for number, layout in enumerate(layouts, 1):
        file = "roll.dxf" if isinstance(layout.stock, Roll) else f"sheet_{number:02d}.dxf"
        write_dxf(draw_layout(layout, marking).drawing, folder / file)

"""PDF of printed pages, in true millimetres.

Glossary: a *form* is a drawing that a PDF holds once and shows on many pages. Lines differ in width and
dashes, not in colour, so that a black and white print tells them apart. The letters are those that every
reader of PDF has. This module knows neither pieces nor paper.
"""

import math
from collections import Counter
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from shellparts.base.version import VERSION
from shellparts.drawing.letters import CAPITAL, font_name, plain_text, text_width
from shellparts.drawing.paper import POINTS_PER_MM
from shellparts.drawing.printed import Page, Shown
from shellparts.drawing.strokes import Drawing, Label, Stroke, arc_of
from shellparts.drawing.styles import STYLES

__all__ = ["draw_on", "ink", "write_pdf"]

Array = NDArray[np.float64]
#: Letters taller than this are drawn as outlines [mm], as wide as this [mm], to save ink.
_HOLLOW_MM, _HOLLOW_PEN_MM = 14.0, 0.4
#: An arc is drawn as curves that turn at most this much each: they leave it by less than 1e-7 of its radius.
_TURN_RAD = math.pi / 8
#: Lines are drawn in steps of about this length [mm]. Some readers move points that lie too far outside a page
#: (50 000 dots, 2.1 m at 600 dots an inch) and would bend a long line that crosses it.
_STEP_MM = 250.0
#: Around the lines of a form this is kept, for their width and the texts beside them [mm].
_AROUND_MM = 50.0
#: Share of white in a shade.
_SHADE = 0.82


def write_pdf(pages: Sequence[Page], title: str, path: Path) -> None:
    """Write pages; the same pages give the same bytes.

    Parameters
    ----------
    pages : sequence of Page
        What several of them show is kept in the file once.
    title : str
        Shown by readers.
    path : Path
        The file.
    """
    from reportlab.pdfgen.canvas import Canvas

    # Pages are short: packing them would take longer than all the rest, for little.
    canvas = Canvas(str(path), invariant=1, pageCompression=0)
    canvas.setTitle(plain_text(title))
    canvas.setCreator(f"shellparts {VERSION}")
    # Readers that obey it print at the page's own size unless told otherwise.
    canvas.setViewerPreference("PrintScaling", "None")
    often = Counter((id(one.drawing), one.pens) for page in pages for one in page.shown for _ in one.places)
    forms: dict[tuple[int, float], str] = {}
    for page in pages:
        for one in page.shown:
            key = (id(one.drawing), one.pens)
            if often[key] > 1 and key not in forms:
                forms[key] = f"form_{len(forms) + 1}"
                low, high = one.drawing.box
                canvas.beginForm(forms[key], *(low - _AROUND_MM).tolist(), *(high + _AROUND_MM).tolist())
                draw_on(canvas, one.drawing, one.pens)
                canvas.endForm()
        canvas.setPageSize((page.width_mm * POINTS_PER_MM, page.height_mm * POINTS_PER_MM))
        canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
        canvas.setLineCap(0)
        canvas.setLineJoin(0)
        _shade(canvas, page.shade)
        for one in page.shown:
            _show(canvas, one, forms.get((id(one.drawing), one.pens)))
        canvas.showPage()
    canvas.save()


def _shade(canvas: Any, rings: Sequence[Array]) -> None:
    if not rings:
        return
    canvas.setFillGray(_SHADE)
    path = canvas.beginPath()
    for ring in rings:
        path.moveTo(*ring[0].tolist())
        for corner in ring[1:].tolist():
            path.lineTo(*corner)
        path.close()
    canvas.drawPath(path, stroke=0, fill=1, fillMode=0)


def _show(canvas: Any, shown: Shown, form: str | None) -> None:
    canvas.saveState()
    if shown.window is not None:
        left, low, right, high = shown.window
        clip = canvas.beginPath()
        clip.rect(left, low, right - left, high - low)
        canvas.clipPath(clip, stroke=0, fill=0)
    for place in shown.places:
        canvas.saveState()
        canvas.translate(*place)
        if shown.quarters:
            canvas.rotate(90 * shown.quarters)
        if form is None:
            draw_on(canvas, shown.drawing, shown.pens)
        else:
            canvas.doForm(form)
        canvas.restoreState()
    canvas.restoreState()


@cache
def ink(colour: str) -> Any:
    """A colour as the writer of PDF has it; read from its text once, which takes it as long as a line of print."""
    from reportlab.lib.colors import HexColor

    return HexColor(colour)


def draw_on(canvas: Any, drawing: Drawing, pens: float, coloured: bool = False) -> None:
    """Put strokes and labels on a canvas, one unit a millimetre; in greys for a printer, or in their colours."""
    for layer, style in STYLES.items():
        strokes = [stroke for stroke in drawing.strokes if stroke.layer is layer]
        if not strokes:
            continue
        dashes = [pens * dash for dash in style.dashes]
        canvas.setLineWidth(pens * style.width_mm)
        canvas.setDash(dashes)
        if coloured:
            canvas.setStrokeColor(ink(style.colour))
        else:
            canvas.setStrokeGray(style.grey)
        for stroke in strokes:
            path = canvas.beginPath()
            _trace(path, stroke, sum(dashes))
            canvas.drawPath(path)
    canvas.setFillGray(0.0)
    for label in drawing.labels:
        if coloured:
            canvas.setFillColor(ink(STYLES[label.layer].colour))
        _write(canvas, label)


def _trace(path: Any, stroke: Stroke, period: float) -> None:
    """Put a stroke on a path; one with dashes begins anew after every few of its periods, if that is not 0."""
    step = period * round(_STEP_MM / period) if period else _STEP_MM
    points = stroke.points
    count = len(points)
    path.moveTo(*points[0].tolist())
    ends = points[:1] if stroke.closed else points[-1:]
    if (
        not period
        and not stroke.bulges.any()
        and np.abs(np.diff(points, axis=0, append=ends)).max() < step / 2
    ):
        for x, y in points[1:].tolist():
            path.lineTo(x, y)
        if stroke.closed:
            path.close()
        return
    gone = 0.0

    def reached(place: Array, length: float) -> None:
        nonlocal gone
        gone += length
        if period and gone >= step - 1e-6:
            path.moveTo(*place.tolist())
            gone = 0.0

    for i in range(count if stroke.closed else count - 1):
        a, b, bulge = points[i], points[(i + 1) % count], float(stroke.bulges[i])
        if bulge == 0.0:
            length = float(np.hypot(*(b - a)))
            stops = np.append(np.arange(step, length - 1e-6, step), length)
            for before, stop in zip(np.append(0.0, stops[:-1]), stops, strict=True):
                place = b if stop == length else a + (b - a) * stop / length
                path.lineTo(*place.tolist())
                reached(place, float(stop - before))
            continue
        centre, radius, start, sweep = arc_of(a, b, bulge)
        pieces = max(1, math.ceil(abs(sweep) / _TURN_RAD), math.ceil(abs(sweep) * radius / _STEP_MM))
        angles = start + sweep * np.arange(pieces + 1) / pieces
        reach = 4 / 3 * math.tan(sweep / pieces / 4) * radius
        on = centre + radius * np.column_stack([np.cos(angles), np.sin(angles)])
        along = reach * np.column_stack([-np.sin(angles), np.cos(angles)])
        for p, q, u, v in zip(on[:-1], on[1:], along[:-1], along[1:], strict=True):
            path.curveTo(*(p + u).tolist(), *(q - v).tolist(), *q.tolist())
            reached(q, abs(sweep) * radius / pieces)
    if stroke.closed and not period:
        path.close()


def _write(canvas: Any, label: Label) -> None:
    """Write one line of text in the colour that is set."""
    (x, y), long = label.at.tolist(), text_width(label.text, label.height_mm, label.bold)
    hollow = label.height_mm > _HOLLOW_MM
    if label.angle or hollow:
        canvas.saveState()
        canvas.translate(x, y)
        canvas.rotate(math.degrees(label.angle))
        x = y = 0.0
    row = canvas.beginText(x - label.align * long, y - label.height_mm / 2)
    row.setFont(font_name(label.bold), label.height_mm / CAPITAL)
    if hollow:
        canvas.setLineWidth(_HOLLOW_PEN_MM)
        canvas.setDash([])
        canvas.setStrokeGray(0.0)
        row.setTextRenderMode(1)
    row.textOut(plain_text(label.text))
    canvas.drawText(row)
    if label.angle or hollow:
        canvas.restoreState()

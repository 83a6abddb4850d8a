"""Drawings and texts on the pages of a PDF, in millimetres.

Glossary: a *form* is a drawing that a PDF holds once and shows on many pages. Lines differ in width and
dashes, not in colour, so that a black and white print tells them apart. The letters are those that every
reader of PDF has; characters they lack lose their accents, or are shown as a question mark.

This module does not know pages, pieces or paper.
"""

import math
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from shellparts.base.version import VERSION
from shellparts.drawing.paper import POINTS_PER_MM
from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke, arc_of
from shellparts.drawing.styles import STYLES

__all__ = [
    "draw",
    "form",
    "legend_pen",
    "line",
    "new_canvas",
    "new_page",
    "pen",
    "plain_text",
    "text",
    "text_width",
]

Array = NDArray[np.float64]
#: Height of capitals as a share of the size of Helvetica.
_CAPITAL = 0.718
#: Letters taller than this are drawn as outlines, to save ink [mm].
_HOLLOW_MM = 14.0
#: An arc is drawn as curves that turn at most this much each: they leave it by less than 1e-7 of its radius.
_TURN_RAD = math.pi / 8
#: Lines are drawn in steps of about this length [mm]. Some readers move points that lie too far outside a page
#: (50 000 dots, 2.1 m at 600 dots an inch) and would bend a long line that crosses it.
_STEP_MM = 250.0


def plain_text(words: str) -> str:
    """Write a text with letters that every reader of PDF has.

    Parameters
    ----------
    words : str
        Any text.

    Returns
    -------
    str
        Accents are dropped where they must be.

    Examples
    --------
    >>> plain_text("Łódź, façade")
    '?ódz, façade'
    """
    out = []
    for letter in words:
        if _is_common(letter):
            out.append(letter)
        else:
            bare = "".join(c for c in unicodedata.normalize("NFKD", letter) if not unicodedata.combining(c))
            out.append(bare if bare and all(map(_is_common, bare)) else "?")
    return "".join(out)


def _is_common(letter: str) -> bool:
    return " " <= letter <= "~" or "\u00a1" <= letter <= "\u00ff"


def new_canvas(path: Path, title: str) -> Any:
    """Begin a file.

    Parameters
    ----------
    path : Path
        The file.
    title : str
        Shown by readers.

    Returns
    -------
    reportlab Canvas
        Without a page; the same drawing gives the same bytes.
    """
    from reportlab.pdfgen.canvas import Canvas

    # Pages are short: packing them would take longer than all the rest, for little.
    canvas = Canvas(str(path), invariant=1, pageCompression=0)
    canvas.setTitle(plain_text(title))
    canvas.setCreator(f"shellparts {VERSION}")
    # Readers that obey it print at the page's own size unless told otherwise.
    canvas.setViewerPreference("PrintScaling", "None")
    return canvas


def new_page(canvas: Any, width_mm: float, height_mm: float) -> None:
    """Begin a page whose unit is a millimetre, from its lower left corner.

    Parameters
    ----------
    canvas : reportlab Canvas
    width_mm, height_mm : float
        Of the page [mm].
    """
    canvas.setPageSize((width_mm * POINTS_PER_MM, height_mm * POINTS_PER_MM))
    canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
    canvas.setLineCap(0)
    canvas.setLineJoin(0)


def pen(canvas: Any, width_mm: float, dashes: tuple[float, ...] = (), grey: float = 0.0) -> None:
    """Choose how lines are drawn.

    Parameters
    ----------
    canvas : reportlab Canvas
    width_mm : float
        Of the line [mm].
    dashes : tuple of float
        Lengths of strokes and gaps in turn [mm]; none for an unbroken line.
    grey : float
        Share of white, 0 for black.
    """
    canvas.setLineWidth(width_mm)
    canvas.setDash(list(dashes))
    canvas.setStrokeGray(grey)


def line(canvas: Any, x0: float, y0: float, x1: float, y1: float) -> None:
    """Draw a straight line.

    Parameters
    ----------
    canvas : reportlab Canvas
    x0, y0, x1, y1 : float
        Its ends [mm].
    """
    canvas.line(x0, y0, x1, y1)


def text_width(words: str, height_mm: float, bold: bool = False) -> float:
    """Length of a line of text [mm].

    Parameters
    ----------
    words : str
        Any text.
    height_mm : float
        Of capital letters [mm].
    bold : bool
        Whether it is bold.

    Returns
    -------
    float
    """
    from reportlab.pdfbase.pdfmetrics import stringWidth

    return float(stringWidth(plain_text(words), _font(bold), height_mm / _CAPITAL))


def _font(bold: bool) -> str:
    return "Helvetica-Bold" if bold else "Helvetica"


def text(
    canvas: Any,
    x: float,
    y: float,
    words: str,
    height_mm: float,
    *,
    bold: bool = False,
    align: float = 0.0,
    room_mm: float = math.inf,
) -> None:
    """Write a line of text.

    Parameters
    ----------
    canvas : reportlab Canvas
    x, y : float
        Place on the base line [mm].
    words : str
        Any text.
    height_mm : float
        Of capital letters [mm].
    bold : bool
        Whether it is bold.
    align : float
        Share of the text that stands left of the place: 0, 0.5 or 1.
    room_mm : float
        A longer text is written smaller [mm].
    """
    words = plain_text(words)
    long = text_width(words, height_mm, bold)
    share = min(1.0, room_mm / long) if long > 0 else 1.0
    canvas.setFont(_font(bold), height_mm * share / _CAPITAL)
    canvas.drawString(x - align * long * share, y, words)


def _trace(path: Any, stroke: Stroke, period: float) -> None:
    """Put a stroke on a path; one with dashes begins anew after every few of its periods, if that is not 0."""
    step = period * round(_STEP_MM / period) if period else _STEP_MM
    points = stroke.points
    count = len(points)
    path.moveTo(*points[0].tolist())
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


def _label(canvas: Any, label: Label) -> None:
    canvas.saveState()
    canvas.translate(float(label.at[0]), float(label.at[1]))
    canvas.rotate(math.degrees(label.angle))
    words, size = plain_text(label.text), label.height_mm / _CAPITAL
    row = canvas.beginText(-text_width(words, label.height_mm) / 2, -label.height_mm / 2)
    row.setFont(_font(False), size)
    if label.height_mm > _HOLLOW_MM:
        pen(canvas, 0.4)
        row.setTextRenderMode(1)
    row.textOut(words)
    canvas.drawText(row)
    canvas.restoreState()


def draw(canvas: Any, drawing: Drawing, pen_scale: float = 1.0) -> None:
    """Draw strokes and labels, one unit a millimetre.

    Parameters
    ----------
    canvas : reportlab Canvas
    drawing : Drawing
        In millimetres.
    pen_scale : float
        How many times as wide as at full size lines are, and their dashes as long.
    """
    for layer, style in STYLES.items():
        dashes = style.dashes
        pen(canvas, pen_scale * style.width_mm, tuple(pen_scale * dash for dash in dashes))
        for stroke in drawing.strokes:
            if stroke.layer is layer:
                path = canvas.beginPath()
                _trace(path, stroke, pen_scale * sum(dashes))
                canvas.drawPath(path)
    canvas.setFillGray(0.0)
    for label in drawing.labels:
        _label(canvas, label)


@contextmanager
def form(canvas: Any, name: str, box: tuple[float, float, float, float]) -> Iterator[None]:
    """Keep what is drawn inside the block in the file, to be shown on its pages with ``canvas.doForm(name)``.

    Parameters
    ----------
    canvas : reportlab Canvas
    name : str
        By which it is shown.
    box : tuple of float
        Left, lower, right and upper limit of what is shown [mm].

    Yields
    ------
    None
    """
    canvas.beginForm(name, *box)
    yield
    canvas.endForm()


def legend_pen(layer: Layer) -> tuple[float, tuple[float, ...]]:
    """Width and dashes of a layer's lines [mm].

    Parameters
    ----------
    layer : Layer

    Returns
    -------
    tuple
    """
    return STYLES[layer].width_mm, STYLES[layer].dashes

"""SVG in true millimetres, one group a layer."""

import math
from pathlib import Path
from xml.sax.saxutils import escape

import numpy as np
from numpy.typing import NDArray

from shellparts.drawing.strokes import Drawing, Label, Stroke, arc_of
from shellparts.drawing.styles import STYLES

__all__ = ["svg_text", "write_svg"]

Array = NDArray[np.float64]
_MARGIN_MM = 15.0
#: Pens of a drawing for the screen: wider than at full size, and growing with drawings that are longer than this
#: from corner to corner [mm], to be seen whole.
_PENS, _PEN_SIZE_MM, _PEN_GROWTH = 1.5, 700.0, 0.8
_ANCHORS = {0.0: "start", 0.5: "middle", 1.0: "end"}


def _number(value: float) -> str:
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _path(stroke: Stroke) -> str:
    points = stroke.points * [1.0, -1.0]
    words = [f"M{_number(points[0, 0])} {_number(points[0, 1])}"]
    count = len(points)
    for i in range(count if stroke.closed else count - 1):
        x, y = points[(i + 1) % count]
        bulge = float(stroke.bulges[i])
        if bulge == 0.0:
            if i < count - 1:
                words.append(f"L{_number(x)} {_number(y)}")
            continue
        _, radius, _, sweep = arc_of(stroke.points[i], stroke.points[(i + 1) % count], bulge)
        large = int(abs(sweep) > math.pi)
        words.append(
            f"A{_number(radius)} {_number(radius)} 0 {large} {int(bulge < 0)} {_number(x)} {_number(y)}"
        )
    return "".join(words) + ("Z" if stroke.closed else "")


def _text(label: Label) -> str:
    x, y = _number(float(label.at[0])), _number(-float(label.at[1]))
    turn = f" rotate({_number(-math.degrees(label.angle))})" if label.angle else ""
    # Capitals are 0.72 of the font size, and their middle 0.36 above the base line.
    size = label.height_mm / 0.72
    return (
        f'<text transform="translate({x} {y}){turn}" font-size="{_number(size)}" y="{_number(0.36 * size)}" '
        f'text-anchor="{_ANCHORS[label.align]}">{escape(label.text)}</text>'
    )


def svg_text(
    drawing: Drawing, title: str, frame: tuple[Array, Array] | None = None, pens: float | None = None
) -> str:
    """Write a drawing as SVG text.

    Parameters
    ----------
    drawing : Drawing
        In millimetres.
    title : str
        Name of the drawing, shown by viewers.
    frame : (ndarray, ndarray), optional
        Lower left and upper right corner of what is shown [mm]; the drawing and a margin unless given.
    pens : float, optional
        Factor on the width of all lines; as the size of the drawing asks for unless given.

    Returns
    -------
    str
        With width and height in millimetres and one user unit a millimetre.
    """
    low, high = frame or (drawing.box[0] - _MARGIN_MM, drawing.box[1] + _MARGIN_MM)
    width, height = (high - low).tolist()
    if pens is None:
        pens = _PENS * max(1.0, math.hypot(width, height) / _PEN_SIZE_MM) ** _PEN_GROWTH
    view = " ".join(_number(float(value)) for value in (low[0], -high[1], width, height))
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_number(width)}mm" height="{_number(height)}mm" '
        f'viewBox="{view}">',
        f"<title>{escape(title)}</title>",
    ]
    texts = []
    for layer, style in STYLES.items():
        strokes = [f'<path d="{_path(stroke)}"/>' for stroke in drawing.strokes if stroke.layer is layer]
        labels = [_text(label) for label in drawing.labels if label.layer is layer]
        if strokes:
            dashes = " ".join(_number(length * pens) for length in style.dashes)
            dash = f' stroke-dasharray="{dashes}"' if dashes else ""
            lines.append(
                f'<g id="{layer.value}" fill="none" stroke="{style.colour}" '
                f'stroke-width="{_number(style.width_mm * pens)}"{dash}>'
            )
            lines += [*strokes, "</g>"]
        if labels:
            name = layer.value + ("_TEXT" if strokes else "")
            texts += [f'<g id="{name}" fill="{style.colour}" font-family="sans-serif">', *labels, "</g>"]
    return "\n".join([*lines, *texts, "</svg>", ""])


def write_svg(
    drawing: Drawing,
    title: str,
    path: Path,
    frame: tuple[Array, Array] | None = None,
    pens: float | None = None,
) -> None:
    """Write a drawing into a file; see `svg_text`."""
    path.write_text(svg_text(drawing, title, frame, pens), encoding="utf-8", newline="\n")

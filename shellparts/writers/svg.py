"""SVG in true millimetres, one group a layer."""

import math
from pathlib import Path
from xml.sax.saxutils import escape

import numpy as np

from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke, arc_of

__all__ = ["svg_text", "write_svg"]

_MARGIN_MM = 15.0
#: Stroke colour, width [mm] and dashes [mm] of each layer.
_PENS = {
    Layer.CUTTING: ("#1c1c1c", 0.9, ""),
    Layer.SEWING: ("#1f5fa8", 0.7, ""),
    Layer.FOLD: ("#2f8f4e", 0.6, "12 5"),
    Layer.OVERLAP: ("#c07a1a", 0.6, "1.5 5"),
    Layer.NOTCH: ("#c0392b", 0.9, ""),
    Layer.CENTRE: ("#8a8a8a", 0.4, "24 6 3 6"),
    Layer.PATCH: ("#8e5aa0", 0.6, "6 4"),
    Layer.ARROW: ("#6a6a6a", 0.6, ""),
    Layer.CLIP: ("#7a4a1e", 0.45, ""),
    Layer.MEASURE: ("#5a5a5a", 0.5, ""),
}
#: The pens suit a drawing this long from corner to corner [mm]; they grow with larger ones, to be seen whole.
_PEN_SIZE_MM, _PEN_GROWTH = 700.0, 0.8
_INKS = {
    Layer.NAME: "#1c1c1c",
    Layer.EDGE: "#1f5fa8",
    Layer.PATCH: "#8e5aa0",
    Layer.ARROW: "#6a6a6a",
    Layer.MEASURE: "#3a3a3a",
}


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
    turn = _number(-math.degrees(label.angle))
    # Capitals are 0.72 of the font size, and their middle 0.36 above the base line.
    size = label.height_mm / 0.72
    return (
        f'<text transform="translate({x} {y}) rotate({turn})" font-size="{_number(size)}" '
        f'y="{_number(0.36 * size)}">{escape(label.text)}</text>'
    )


def svg_text(drawing: Drawing, title: str) -> str:
    """Write a drawing as SVG text.

    Parameters
    ----------
    drawing : Drawing
        In millimetres.
    title : str
        Name of the drawing, shown by viewers.

    Returns
    -------
    str
        With width and height in millimetres and one user unit a millimetre.
    """
    low, high = drawing.box
    width, height = (high - low + 2 * _MARGIN_MM).tolist()
    view = (low[0] - _MARGIN_MM, -high[1] - _MARGIN_MM, width, height)
    growth = max(1.0, float(np.hypot(width, height)) / _PEN_SIZE_MM) ** _PEN_GROWTH
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_number(width)}mm" height="{_number(height)}mm" '
        f'viewBox="{" ".join(_number(float(v)) for v in view)}">',
        f"<title>{escape(title)}</title>",
    ]
    for layer, (colour, pen, dashes) in _PENS.items():
        lengths = " ".join(_number(float(length) * growth) for length in dashes.split())
        dash = f' stroke-dasharray="{lengths}"' if dashes else ""
        lines.append(
            f'<g id="{layer.value}" fill="none" stroke="{colour}" '
            f'stroke-width="{_number(pen * growth)}"{dash}>'
        )
        lines += [f'<path d="{_path(stroke)}"/>' for stroke in drawing.strokes if stroke.layer is layer]
        lines.append("</g>")
    for layer, ink in _INKS.items():
        lines.append(f'<g id="{layer.value}" fill="{ink}" font-family="sans-serif" text-anchor="middle">')
        lines += [_text(label) for label in drawing.labels if label.layer is layer]
        lines.append("</g>")
    return "\n".join([*lines, "</svg>", ""])


def write_svg(drawing: Drawing, title: str, path: Path) -> None:
    """Write a drawing.

    Parameters
    ----------
    drawing : Drawing
        In millimetres.
    title : str
        Name of the drawing.
    path : Path
        The file.
    """
    path.write_text(svg_text(drawing, title), encoding="utf-8", newline="\n")

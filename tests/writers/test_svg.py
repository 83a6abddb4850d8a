"""SVG read back with svgelements, a library that knows nothing of the drawing."""

import math
import re

import numpy as np
import pytest
import svgelements

from shellparts.drawing.piece import draw_piece
from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke, stroke_of_points
from shellparts.writers.svg import svg_text, write_svg

#: Pixels a millimetre at 25.4 mm an inch and 96 pixels an inch (W3C, CSS Values and Units 3, section 5.2).
PPMM = 96 / 25.4


def paths(path, layer: Layer):
    """Paths of a layer [mm], each as svgelements understands it on a screen."""
    document = svgelements.SVG.parse(str(path), ppi=96.0)
    return [
        abs(shape * svgelements.Matrix.scale(1 / PPMM))
        for group in document.select(lambda e: isinstance(e, svgelements.Group) and e.id == layer.value)
        for shape in group.select(lambda e: isinstance(e, svgelements.Path))
    ]


def as_points(path: svgelements.Path) -> np.ndarray:
    """Points along a path, shape (n, 2), curves in 300 steps."""
    found = []
    for segment in path:
        if isinstance(segment, svgelements.Arc):
            found += [segment.point(t) for t in np.linspace(0, 1, 300, endpoint=False)]
        elif isinstance(segment, svgelements.Line | svgelements.Close) and segment.start is not None:
            found.append(segment.start)
    return np.array([(p.x, p.y) for p in found], float)


def area(points: np.ndarray) -> float:
    x, y = points.T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2


def test_a_square_of_100_mm_is_100_mm_on_the_screen(tmp_path):
    drawing = Drawing(
        (stroke_of_points(Layer.CUTTING, [[0, 0], [100, 0], [100, 100], [0, 100]], closed=True),)
    )
    write_svg(drawing, "a square", tmp_path / "a.svg")
    document = svgelements.SVG.parse(str(tmp_path / "a.svg"), ppi=96.0)
    (square,) = paths(tmp_path / "a.svg", Layer.CUTTING)
    x0, y0, x1, y1 = square.bbox(with_stroke=False)
    assert (x1 - x0, y1 - y0) == pytest.approx((100, 100), rel=1e-6)
    assert document.width / PPMM == pytest.approx(130, rel=1e-6)
    # The margin is the same on all sides: nothing is clipped.
    assert (x0, y0) == pytest.approx((15, 15), rel=1e-5)


@pytest.mark.parametrize("bulge", [0.2, 1.0, 3.0, -0.2, -1.0, -3.0])
def test_an_arc_bends_to_the_right_side(tmp_path, bulge):
    """The middle of an arc lies at bulge x half the chord to the right of it; SVG's y points down."""
    stroke = Stroke(Layer.SEWING, np.array([[0.0, 0.0], [100.0, 0.0]]), np.array([bulge, 0.0]), False)
    write_svg(Drawing((stroke,)), "an arc", tmp_path / "a.svg")
    (path,) = paths(tmp_path / "a.svg", Layer.SEWING)
    (arc,) = [segment for segment in path if isinstance(segment, svgelements.Arc)]
    rise = arc.point(0.5) - (arc.start + arc.end) * 0.5
    assert (float(rise.x), float(rise.y)) == pytest.approx((0, 50 * bulge), abs=1e-3)


def test_pieces_keep_their_size(model_room, tmp_path):
    for piece in model_room.pattern.pieces:
        file = tmp_path / f"{piece.name}.svg"
        write_svg(draw_piece(piece), piece.name, file)
        outer, *holes = (as_points(path) for path in paths(file, Layer.SEWING))
        drawn = area(outer) - sum(area(hole) for hole in holes)
        assert drawn == pytest.approx(
            piece.outline.flat_area_mm2, rel=2e-4, abs=0.02 * piece.outline.perimeter_mm
        )
        cutting = as_points(paths(file, Layer.CUTTING)[0])
        assert np.ptp(cutting, axis=0) == pytest.approx(piece.extent_mm, rel=1e-6, abs=2e-4)


def test_nothing_is_clipped(model_room):
    for piece in model_room.pattern.pieces:
        drawing = draw_piece(piece)
        text = svg_text(drawing, piece.name)
        x, y, width, height = map(float, re.search(r'viewBox="([^"]+)"', text).group(1).split())
        low, high = drawing.box
        assert x < low[0] < high[0] < x + width
        assert y < -high[1] < -low[1] < y + height
        widest = max(map(float, re.findall(r'stroke-width="([\d.]+)"', text)))
        assert widest < 15


def test_lines_can_be_seen_when_the_whole_piece_fills_a_screen(model_room):
    """On 1000 pixels from corner to corner no cutting line is thinner than half a pixel, none wider than 5."""
    for piece in model_room.pattern.pieces:
        text = svg_text(draw_piece(piece), piece.name)
        _, _, width, height = map(float, re.search(r'viewBox="([^"]+)"', text).group(1).split())
        pen = float(re.search(r'id="CUT_HERE"[^>]*stroke-width="([\d.]+)"', text).group(1))
        assert 0.5 <= pen * 1000 / math.hypot(width, height) <= 5


def test_texts_are_escaped_and_read_back(tmp_path):
    square = stroke_of_points(Layer.CUTTING, [[0, 0], [100, 0], [100, 100]], closed=True)
    label = Label(Layer.NAME, 'a < b & "c"', np.array([50.0, 25.0]), 10.0, math.pi / 2)
    write_svg(Drawing((square,), (label,)), "title <&>", tmp_path / "a.svg")
    document = svgelements.SVG.parse(str(tmp_path / "a.svg"))
    (text,) = document.select(lambda e: isinstance(e, svgelements.Text))
    assert text.text == 'a < b & "c"'
    written = (tmp_path / "a.svg").read_text()
    assert "<title>title &lt;&amp;&gt;</title>" in written
    # Capitals of common sans-serif faces are 0.72 of the font size; turned to read upward; y points down.
    assert 'translate(50 -25) rotate(-90)" font-size="13.8889"' in written


def test_no_number_is_a_negative_zero(rooms):
    piece = rooms["lantern_room"].pattern.pieces[0]
    assert not re.search(r"-0[^.\d]", svg_text(draw_piece(piece), "a"))

"""The sheet of all pieces: every piece once, dimensions as long as what they measure, texts inside the frame."""

import numpy as np
import pytest
import shapely

from shellparts.base.units import to_mm
from shellparts.drawing.labels import LARGE
from shellparts.drawing.overview import dimensioned, draw_overview
from shellparts.drawing.strokes import Layer
from shellparts.parameters import Marking, Tape


@pytest.fixture
def pattern(rooms):
    return rooms["orchard_pavilion"].pattern


@pytest.mark.parametrize(("tape", "finest"), [(Tape.METRIC, 1.0), (Tape.IMPERIAL, 25.4 / 16)])
def test_a_dimension_reads_what_it_measures(pattern, tape, finest):
    for piece in pattern.templates:
        drawing = dimensioned(piece, tape)
        lines = [s for s in drawing.strokes if s.layer is Layer.MEASURE][::3]
        words = [label.text for label in drawing.labels if label.layer is Layer.MEASURE]
        assert len(lines) == len(words) >= 2
        for line, told in zip(lines, words, strict=True):
            long = float(np.linalg.norm(line.points[1] - line.points[0]))
            assert abs(to_mm(told.removesuffix(" sewn"), "a length") - long) <= finest / 2 + 1e-6
        width, length = piece.extent_mm
        assert np.ptp(lines[0].points[:, 0]) == pytest.approx(width)
        assert np.ptp(lines[1].points[:, 1]) == pytest.approx(length)


def test_every_piece_is_there_once_and_no_text_leaves_the_frame(pattern):
    sheet = draw_overview(pattern, Marking(tape="imperial"))
    names = [label.text for label in sheet.labels if label.layer is Layer.NAME]
    assert sorted(names[::2]) == sorted(piece.name for piece in pattern.templates)
    frame = shapely.Polygon(sheet.strokes[-1].points)
    for one in sheet.labels:
        assert frame.contains(LARGE.boxes([one.text], [(one.height_mm, one.at, one.angle)])[0])
    cuts = [shapely.Polygon(s.points) for s in sheet.strokes if s.layer is Layer.CUTTING]
    outer = [c for c in cuts if not any(o is not c and o.contains(c) for o in cuts)]
    assert len(outer) == len(pattern.templates)

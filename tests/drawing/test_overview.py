"""The page of all pieces: every piece once, dimensions as long as what they measure, type that can be read at A4."""

from itertools import combinations

import numpy as np
import pytest
import shapely

from shellparts.base.units import to_mm
from shellparts.drawing.labels import PRINTED
from shellparts.drawing.noted_page import FRAME
from shellparts.drawing.overview import dimensioned, draw_overview
from shellparts.drawing.strokes import Layer
from shellparts.parameters import Marking, Tape
from shellparts.parameters.part import Role

SCALE = 50.0


@pytest.fixture
def pattern(rooms):
    return rooms["orchard_pavilion"].pattern


@pytest.fixture
def sheet(model_room):
    return draw_overview(model_room.pattern, model_room.design.marking, "room: all pieces")


def box_of(label):
    """What capitals and small letters cover, without the line spacing."""
    half = (0.5 - label.align) * PRINTED.width(label.text) * label.height_mm
    at = label.at + np.array([half, 0.0])
    return PRINTED.boxes([label.text], [(label.height_mm, at, label.angle)])[0].buffer(-0.3 * label.height_mm)


@pytest.mark.parametrize(("tape", "finest"), [(Tape.METRIC, 1.0), (Tape.IMPERIAL, 25.4 / 16)])
def test_a_dimension_reads_what_it_measures(pattern, tape, finest):
    for piece in pattern.templates:
        drawing = dimensioned(piece, tape, SCALE)
        lines = [s for s in drawing.strokes if s.layer is Layer.MEASURE][::3]
        words = [label.text for label in drawing.labels if label.layer is Layer.MEASURE]
        told = {word.split()[-1]: word for word in words if word.endswith(("wide", "long"))}
        plain = [word for word in words if word not in told.values()]
        assert len(lines) == len(plain)
        for line, word in zip(lines, plain, strict=True):
            long = SCALE * float(np.linalg.norm(line.points[1] - line.points[0]))
            assert abs(to_mm(word.removesuffix(" sewn"), "a length") - long) <= finest / 2 + 1e-6
        found = iter(lines)
        for name, way, size in (("wide", 0, piece.extent_mm[0]), ("long", 1, piece.extent_mm[1])):
            if name in told:
                assert abs(to_mm(told[name].removesuffix(f" {name}"), "a length") - size) <= finest / 2 + 1e-6
            else:
                assert SCALE * np.ptp(next(found).points[:, way]) == pytest.approx(size)


def test_every_piece_is_there_once(model_room, sheet):
    names = [label.text for label in sheet.labels if label.layer is Layer.NAME]
    templates = model_room.pattern.templates
    for piece in templates:
        assert names.count(piece.name) == 1
    assert sum(name.startswith("cut ") for name in names) == len(templates)
    cuts = [shapely.Polygon(s.points) for s in sheet.strokes if s.layer is Layer.CUTTING]
    outer = [c for c in cuts if not any(o is not c and o.contains(c) for o in cuts)]
    assert len(outer) == len(templates)
    assert not any(a.intersects(b) for a, b in combinations(outer, 2))


def test_it_is_read_at_a4(sheet):
    """No type below 2.5 mm, that is capitals of 1.8 mm; texts stand on the page, on no other text and no cutting line."""
    assert min(label.height_mm for label in sheet.labels) >= 0.72 * 2.5 - 1e-9
    page = shapely.box(FRAME[0][0] + 5, FRAME[0][1] + 5, FRAME[1][0] - 5, FRAME[1][1] - 5)
    boxes = [box_of(label) for label in sheet.labels]
    assert all(page.contains(box) for box in boxes)
    for (a, one), (b, other) in combinations(zip(boxes, sheet.labels, strict=True), 2):
        assert not a.intersects(b), (one.text, other.text)
    drawn = (Layer.CUTTING, Layer.SEWING, Layer.FOLD)
    lines = [s for s in sheet.strokes if s.layer in drawn and not s.bulges.any()]
    rings = [shapely.LinearRing(s.points) if s.closed else shapely.LineString(s.points) for s in lines]
    tree = shapely.STRtree(rings)
    assert not len(tree.query(boxes, predicate="intersects")[0])
    assert all(page.contains(ring) for ring in rings)


def test_only_what_stands_has_an_upper_end(model_room):
    """`up` on panels and curtains alone: tubes, flaps, patches and the cap lie when they are sewn."""
    stands = 0
    for piece in model_room.pattern.templates:
        drawing = dimensioned(piece, model_room.design.marking.tape, SCALE)
        has_up = any(label.text == "up" for label in drawing.labels)
        stands += has_up
        assert has_up <= (piece.kind.role in (Role.PANEL, Role.CLOSURE)), piece.name
    assert stands >= 3


def test_many_large_pieces_are_drawn_smaller(pattern):
    plain = draw_overview(pattern, Marking(), "room")
    (told,) = [label.text for label in plain.labels if label.text.startswith("room")]
    assert "drawn 1 to 50" in told

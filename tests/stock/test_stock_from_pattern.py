"""From the pattern to the cloth: nothing is lost, turned over or turned off the weave."""

import numpy as np
import shapely

from shellparts.stock.from_pattern import cut_pieces


def test_every_piece_is_taken_with_its_count_and_area(model_room):
    pattern = model_room.pattern
    pieces = cut_pieces(pattern)
    assert [(piece.name, piece.count) for piece in pieces] == [(p.name, p.count) for p in pattern.pieces]
    for piece, sewn in zip(pieces, pattern.pieces, strict=True):
        holes = sum(shapely.Polygon(ring).area for ring in sewn.cutting[1:])
        assert np.isclose(piece.area_m2 * 1e6, sewn.cut_area_mm2 + holes, rtol=1e-12)


def test_the_weave_runs_up_the_middle_of_each_piece(model_room):
    for piece, sewn in zip(cut_pieces(model_room.pattern), model_room.pattern.pieces, strict=True):
        assert piece.grain_deg == 0.0
        width, length = sewn.extent_mm
        assert np.allclose(np.ptp(piece.outline, axis=0), [length, width], atol=1e-9)


def test_pieces_are_turned_not_turned_over(model_room):
    for piece, sewn in zip(cut_pieces(model_room.pattern), model_room.pattern.pieces, strict=True):
        before, after = shapely.LinearRing(sewn.cutting[0]), shapely.LinearRing(piece.outline)
        assert before.is_ccw == after.is_ccw


def test_a_mirror_image_covers_its_original_when_it_lies_face_down(model_room):
    pieces = {piece.name: piece for piece in cut_pieces(model_room.pattern)}
    mirrored = [piece for piece in pieces.values() if piece.mirrored_of is not None]
    assert mirrored
    for piece in mirrored:
        turned_over = shapely.Polygon(piece.outline * [1.0, -1.0])
        original = pieces[piece.mirrored_of].polygon
        assert turned_over.symmetric_difference(original).area < 1.0  # mm2

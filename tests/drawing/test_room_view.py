"""A room as triangles in three states, held against its pieces."""

import numpy as np
import pytest

from shellparts.build.inflated import flat_pieces
from shellparts.drawing.room_view import room_view
from shellparts.inflate import weld

NAMES = ("lantern_room", "orchard_pavilion")


@pytest.fixture(scope="module", params=NAMES)
def shown(request, rooms):
    room = rooms[request.param]
    flat = flat_pieces(room.body, room.outlines)
    return room, flat, room_view(flat, weld(flat, 350.0), None, 350.0)


def areas(points, triangles):
    a, b, c = (points[triangles[:, k]] for k in range(3))
    u, v = b - a, c - a
    return (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]) / 2


def test_every_piece_lies_flat_whole_and_outside_up(shown):
    """Flaps, and both leaves where they overlap: as much cloth as the outlines measure, and none upside down."""
    room, _, view = shown
    found = areas(view.flat, view.triangles)
    assert found.min() > 0.0
    names = [one.name for one in view.pieces]
    assert names == list(room.outlines)
    of = view.piece_of[view.triangles[:, 0]]
    assert (view.piece_of[view.triangles] == of[:, None]).all()
    for number, name in enumerate(names):
        area, within = (
            room.outlines[name].flat_area_mm2,
            0.05 if name == "cap" else 0.01,
        )  # a small disc has chords
        assert found[of == number].sum() == pytest.approx(area, rel=within), name


def test_pieces_lie_apart(shown):
    _, _, view = shown
    boxes = []
    for number in range(len(view.pieces)):
        own = view.flat[view.piece_of == number]
        boxes.append((*own.min(axis=0), *own.max(axis=0)))
    for k, (left, low, right, high) in enumerate(boxes):
        for a, b, c, d in boxes[:k]:
            assert left >= c + 100 or right <= a - 100 or low >= d + 100 or high <= b - 100


def test_cloth_keeps_its_lengths_between_the_states(shown):
    """Sides of triangles on flat cloth are as long sewn as laid flat; edges that are round in space have chords."""
    _, _, view = shown
    sides = np.concatenate([np.roll(view.triangles, k, axis=1)[:, :2] for k in range(3)])
    flat, sewn = (np.linalg.norm(p[sides[:, 0]] - p[sides[:, 1]], axis=1) for p in (view.flat, view.sewn))
    assert np.median(np.abs(sewn / flat - 1.0)) < 1e-4
    flat, sewn = (
        np.linalg.norm(p[view.lines[:, 0]] - p[view.lines[:, 1]], axis=1) for p in (view.flat, view.sewn)
    )
    assert sewn.sum() == pytest.approx(flat.sum(), rel=0.01)
    ratio = sewn / flat
    assert ratio.min() > 0.82 and ratio.max() < 1 / 0.82  # no side spans more than a third of a circle


def test_lines_are_edges_and_folds_once_each(shown):
    room, flat, view = shown
    long = np.linalg.norm(view.flat[view.lines[:, 0]] - view.flat[view.lines[:, 1]], axis=1)
    folds = sum(line.length_mm for sheet in flat.sheets for line in sheet.folds)
    edges = sum(line.length_mm for sheet in flat.sheets for loop in sheet.loops for line in loop)
    assert long[view.is_fold].sum() == pytest.approx(folds, rel=0.01)
    assert long[~view.is_fold].sum() == pytest.approx(edges, rel=0.01)
    assert folds > 0.0 and len(room.outlines) == len(flat.sheets)


def test_under_air_the_points_of_the_mesh_move_and_what_lies_on_the_floor_stays(shown):
    """A form that is made up: everything a tenth higher, and a little aside the higher it is."""
    _, flat, sewn = shown
    welded = weld(flat, 350.0)
    form = welded.nodes * [1.0, 1.0, 1.1] + welded.nodes[:, 2:] * [0.02, 0.0, 0.0]
    view = room_view(flat, welded, form, 350.0)
    assert (view.sewn == sewn.sewn).all() and (view.flat == sewn.flat).all() and sewn.air is None
    wanted = view.sewn * [1.0, 1.0, 1.1] + view.sewn[:, 2:] * [0.02, 0.0, 0.0]
    assert np.abs(view.air - wanted).max() < 1e-6
    assert (np.abs(view.sewn[:, 2]) < 1e-9).sum() > 20

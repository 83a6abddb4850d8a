"""Room for labels: places in turn, barriers, leaders."""

import math

import numpy as np
import shapely

from shellparts.drawing.labels import CAPITALS, SMALL, LabelRoom
from shellparts.drawing.paper_parts import led
from shellparts.drawing.strokes import Layer, stroke_of_points

HOME = shapely.box(0, 0, 100, 50)
#: Of two letters of 10 mm: 18 mm by 15 mm, by the widths above.
PLACES = [(10.0, np.array([x, 25.0]), 0.0) for x in (5.0, 20.0, 35.0, 60.0, 80.0)]


def test_the_first_place_that_is_free_is_taken():
    room = LabelRoom(HOME, SMALL, [stroke_of_points(Layer.CUTTING, [(55, 0), (55, 50)])])
    found = [room.put(Layer.NAME, ["ab"], PLACES) for _ in range(3)]
    # At 5 it leaves the shape, at 35 it covers the first, at 60 the line; then there is no room.
    assert [[label.at[0] for label in labels] for labels in found] == [[20.0], [80.0], []]


def test_lines_stand_below_each_other_and_are_read_from_the_left_or_from_below():
    room = LabelRoom(HOME, SMALL)
    for way, step, turn in (
        (0.0, (0, -15), 0.0),
        (math.pi / 2, (15, 0), math.pi / 2),
        (math.pi, (0, -15), 0.0),
    ):
        a, b = room.set(Layer.NAME, ["ab", "c"], (10.0, np.array([50.0, 25.0]), way))
        assert np.allclose(b.at - a.at, step) and np.isclose(a.angle, turn)


def told_about(taken):
    """What is said of a point at the middle of the lower edge, and its leader, where something is taken."""
    room = LabelRoom(HOME, SMALL)
    room.taken = list(taken)
    return room.point_out(Layer.MEASURE, ["1"], np.array([50.0, 0.0]), [4.0], 0.5, HOME)


def test_a_point_is_told_beside_it_or_farther_off_with_a_leader_that_crosses_nothing():
    (beside,), none = told_about([])
    assert none == [] and beside.at[1] == 3.5  # half of 1.5 times 4 mm, and 0.5 mm clear
    strip = shapely.box(30, 0, 70, 4)
    (off,), (leader,) = told_about([strip - shapely.box(49, -1, 51, 5)])
    assert np.allclose(off.at, [50.0, 3.5 * 2.2])
    assert np.allclose(leader.points, [[50.0, 0.0], [50.0, 3.5 * 2.2 - 3.0]])
    assert told_about([strip - shapely.box(49, -1, 51, 1)]) == ([], [])


def test_words_that_begin_at_their_point_need_no_line_to_it():
    """On small parts of a paper model; a shorter word beside the same point has one."""
    for word, lines in (("S01 S02 S03 S04 S05 S06 S07", 0), ("S1", 1)):
        told, strokes = led(LabelRoom(HOME, CAPITALS), [word], np.array([50.0, 25.0]), 0.0)
        assert [label.text for label in told] == [word]
        assert [len(stroke.points) >= 2 for stroke in strokes] == [True] * lines

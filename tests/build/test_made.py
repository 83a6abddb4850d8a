"""Steps from a body to laid-out cloth, each by itself; and a room that works out no more than it is asked for."""

import numpy as np
import pytest
from attrs import evolve
from model_rooms import FIRST_NAME

from shellparts import Design, Shell, Workshop, build, cloth_sheet
from shellparts.build.made import boards_of, order_of, outlines_of, pattern_of, warnings_of
from shellparts.build.numbers import numbers
from shellparts.parameters.site import Site
from shellparts.parameters.workshop import Templates


@pytest.fixture
def bare():
    return build(Design(name="bare", shell=Shell(panels=8, across="3 m", height="2.4 m")))


def test_a_room_works_out_what_it_is_asked_for_and_no_more(bare):
    assert vars(bare).keys().isdisjoint({"body", "outlines", "pattern", "known", "layout"})
    pattern = bare.pattern
    assert vars(bare).keys().isdisjoint({"order", "known", "layout", "boards", "materials"})
    assert bare.pattern is pattern
    assert evolve(bare).pattern is not pattern


def test_all_together_is_what_each_step_gives_by_itself(bare):
    small = cloth_sheet("small", (2200, 1600), (2100, 1500), 20, price=5.0)
    made = evolve(bare, cloth=small).made()
    outlines = outlines_of(made.body)
    assert outlines.keys() == made.outlines.keys() == {sheet.name for sheet in made.body.sheets}
    pattern = pattern_of(made.design, made.body, outlines, small, Workshop())
    assert [piece.name for piece in pattern.pieces] == [piece.name for piece in made.pattern.pieces]
    for one, other in zip(pattern.pieces, made.pattern.pieces, strict=True):
        assert np.array_equal(one.cutting[0], other.cutting[0])
    assert order_of(pattern, small).thread_m == made.order.thread_m > 0.0
    assert len(boards_of(pattern, Workshop()).boards) == len(made.boards.boards) > 0
    assert boards_of(pattern, Workshop(templates=Templates.PAPER)) is None
    assert tuple(warnings_of(pattern, made.layout, made.boards)) == made.warnings


@pytest.mark.parametrize("model_room", FIRST_NAME, indirect=True)
def test_numbers_by_themselves_are_those_of_the_room(model_room):
    room = model_room
    found = numbers(room.design, room.fan, room.cloth, room.site, curve=room.standing)
    assert found.record() == room.numbers()
    assert found.advice() == room.advice()
    assert numbers(room.design, None, room.cloth, Site()).air is None

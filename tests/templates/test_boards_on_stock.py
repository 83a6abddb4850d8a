"""Templates on boards: everything once, clear of each other and of the margin, never turned over."""

from collections import Counter

import attrs
import numpy as np
import pytest
import shapely

from shellparts.base.tolerances import TOLERANCES
from shellparts.build.made import warnings_of
from shellparts.build.room import build
from shellparts.parameters import Design, Shell
from shellparts.parameters.boards import Boards, Division
from shellparts.stock.results import Claim
from shellparts.templates.boards import BoardTemplates, board_templates
from shellparts.templates.on_stock import BoardPlan, board_of, lay_on_boards

SLIP = TOLERANCES.layout_slip_mm
SETTINGS = {
    "half on usual board": Boards(),
    "sewing line on small board": Boards(line="sewing", half=False, width=700, length=1500, strip=60, kerf=3),
}


@pytest.fixture(scope="module", params=SETTINGS)
def plan(request, model_room):
    return lay_on_boards(model_room.pattern, SETTINGS[request.param])


def area(ring):
    x, y = ring.T
    return (x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2.0


def test_every_part_and_strip_is_laid_once(plan):
    wanted = Counter(id(shape) for template in plan.templates for shape in template.shapes)
    assert Counter(id(one.shape) for board in plan.boards for one in board.shapes) == wanted
    assert set(wanted.values()) == {1}
    assert [board.number for board in plan.boards] == list(range(1, len(plan.boards) + 1))
    assert all(board.shapes for board in plan.boards)


def test_shapes_keep_the_kerf_and_the_margin(plan):
    settings = plan.settings
    long, wide = max(settings.length, settings.width), min(settings.length, settings.width)
    inside = shapely.box(0, 0, long, wide).buffer(SLIP - settings.margin, join_style="mitre")
    for board in plan.boards:
        polygons = [shapely.Polygon(one.placed.outline) for one in board.shapes]
        for i, a in enumerate(polygons):
            assert inside.contains(a)
            for b in polygons[:i]:
                assert a.distance(b) >= settings.kerf - SLIP


def test_shapes_are_moved_in_quarter_turns_and_never_turned_over(plan):
    for board in plan.boards:
        for one in board.shapes:
            assert not one.placed.face_down
            assert one.placed.turn_deg % 90.0 == 0.0
            moved = one.on_board(one.shape.outline)
            assert np.abs(moved - one.placed.outline).max() < 1e-6
            assert area(moved) == pytest.approx(area(one.shape.outline)) and area(moved) > 0.0


def test_never_fewer_boards_than_the_areas_take(plan):
    """Each shape takes half a kerf around it, and a board within its margins has half a kerf to spare."""
    settings = plan.settings
    long, wide = (side - 2 * settings.margin + settings.kerf for side in (settings.length, settings.width))
    shapes = [shapely.Polygon(s.outline) for template in plan.templates for s in template.shapes]
    boards = sum(shape.buffer(settings.kerf / 2).area for shape in shapes) / (long * wide)
    assert len(plan.boards) >= boards
    if (
        plan.claim is Claim.FEWEST and len(plan.boards) <= 2
    ):  # else patterns of parts may prove more than areas
        assert len(plan.boards) - 1 < boards


def test_neither_way_of_dividing_alone_takes_fewer_boards(rooms, monkeypatch):
    """The dome's panel in even parts takes a board more than in long parts; the plan has the better of both."""
    from shellparts.templates import on_stock as stage

    pattern, settings = rooms["tide_dome"].pattern, Boards()
    counts = {}
    for division in Division:
        with monkeypatch.context() as patch:
            made = board_templates(pattern, settings, division)
            patch.setattr(stage, "board_templates", lambda *_, made=made: made)
            counts[division] = len(lay_on_boards(pattern, settings).boards)
    assert len(lay_on_boards(pattern, settings).boards) == min(counts.values())


def test_a_room_without_repeated_pieces_takes_no_board(rooms):
    plan = lay_on_boards(rooms["lantern_room"].pattern, Boards(at_least=1000))
    assert plan.boards == ()
    assert isinstance(plan.made, BoardTemplates)
    assert sorted(plan.made.without) == sorted(p.name for p in rooms["lantern_room"].pattern.templates)


def test_a_board_given_upright_is_the_same_board():
    assert board_of(Boards(width=2440, length=1220)) == board_of(Boards())


def test_one_board_for_the_panel_of_a_room_15_ft_across():
    """Common practice, no source: a half template on the fold of a straight-sided room's panel comes out of one
    board of 4 x 8 ft. A room 15 ft across and tall with 16 panels that end 1 ft short of the point: its sewing line
    is 4.79 m long and 0.89 m wide at the foot; one butt joint, both parts side by side.
    """
    shell = Shell(panels=16, across="15 ft", height="15 ft", profile="straight", stop_short="1 ft")
    pattern = attrs.evolve(build(Design(name="trial", shell=shell)).pattern, patches=())
    plan = lay_on_boards(pattern, Boards(line="sewing"))
    (template,) = plan.templates
    assert template.half
    assert np.ptp(template.outline, axis=0) == pytest.approx([446.0, 4787.4], abs=0.1)
    assert (len(template.parts), len(template.joints), len(plan.boards)) == (2, 1, 1)
    # With the allowances on, 4.85 m are more than two usable lengths of 2.42 m: one more joint, still one board ...
    wide = lay_on_boards(pattern, Boards())
    assert ([len(one.joints) for one in wide.templates], len(wide.boards)) == ([2], 1)
    # ... unless the board is used to its edges.
    edges = lay_on_boards(pattern, Boards(margin=0))
    assert ([len(one.joints) for one in edges.templates], len(edges.boards)) == ([1], 1)


@pytest.mark.parametrize("seed", range(4))
def test_random_rooms_on_random_boards(seed):
    rng = np.random.default_rng([11, seed])
    across, wall = rng.uniform(2500, 7000), rng.choice([0.0, 700.0])
    shell = Shell(
        panels=int(rng.integers(6, 24)),
        across=across,
        height=wall + across * (rng.uniform(0.3, 0.5) if seed % 3 == 1 else rng.uniform(0.51, 0.7)),
        wall=wall,
        profile=["straight", "dome", "pointed"][seed % 3],
    )
    pattern = build(Design(name="trial", shell=shell)).pattern
    settings = Boards(
        width=rng.uniform(900, 1300),
        length=rng.uniform(1800, 2500),
        kerf=rng.uniform(0, 8),
        half=bool(rng.integers(2)),
    )
    plan = lay_on_boards(pattern, settings)
    test_every_part_and_strip_is_laid_once(plan)
    test_shapes_keep_the_kerf_and_the_margin(plan)
    test_shapes_are_moved_in_quarter_turns_and_never_turned_over(plan)
    for template in plan.templates:
        piece = shapely.Polygon(pattern.piece(template.name).cutting[0])
        whole = shapely.union_all([part.polygon for part in template.parts])
        if template.half:
            whole = whole.union(shapely.transform(whole, lambda points: points * [-1.0, 1.0]))
        assert whole.symmetric_difference(piece).area <= 1e-6 * piece.area


def test_a_room_gets_no_more_templates_than_there_are_boards_for(model_room):
    """Those drawn least often go first; their names are told, and what to do."""
    pattern, most = model_room.pattern, 1
    found, every = board_templates(pattern, Boards(most=most)), board_templates(pattern, Boards(most=200))
    assert every.too_large == ()
    kept = [template.name for template in found.templates]
    assert kept == [template.name for template in every.templates][: len(kept)]
    left = {one.name for template in every.templates[len(kept) :] for one in template.drawn}
    assert set(found.too_large) == left != set()
    plan = BoardPlan(Boards(most=most), found, Division.EVEN, (), Claim.FEWEST)
    told = [one for one in warnings_of(pattern, model_room.layout, plan) if one.code == "templates-left-out"]
    assert len(told) == 1 and all(name in told[0].message for name in left)
    assert "more than 1 board:" in told[0].message

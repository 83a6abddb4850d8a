"""Patches and tabs lie where the cloth is pulled, on the right piece, as often as they are cut."""

import math
from collections import Counter

import pytest
import shapely
from attrs import evolve
from model_rooms import FIRST_NAME, NAMES, room_of
from room_checks import cutting_polygon, sewing_polygon

from shellparts import build
from shellparts.parameters import Reinforcement
from shellparts.sewing.bundle import SewingGraph
from shellparts.sewing.order_check import order_faults
from shellparts.sewing.order_steps import Action, Stage, Task


@pytest.mark.parametrize("name", NAMES)
def test_as_many_are_cut_as_are_sewn_on(name):
    pattern = room_of(name).pattern
    sewn = Counter(placed.name for piece in pattern.pieces for placed in piece.patches for _ in piece.sheets)
    assert sewn == {patch.name: patch.count for patch in pattern.patches}
    assert len({n for patch in pattern.patches for n in patch.sheets}) == sum(sewn.values())


@pytest.mark.parametrize("name", NAMES)
def test_no_patch_is_drawn_off_its_piece(name):
    for piece in room_of(name).pattern.pieces:
        for placed in piece.patches:
            assert cutting_polygon(piece).buffer(1e-6).covers(shapely.LinearRing(placed.outline)), placed.name


def test_corners_of_the_doorways():
    """By hand: an arch has two feet; a flat head over three panels two corners and two feet; a gable on a seam two
    eaves and two feet, its peak lies on the seam itself."""
    counts = {n: {p.name: p.count for p in room_of(n).pattern.patches} for n in NAMES}
    assert [counts[n]["patch_corner"] for n in NAMES] == [2, 4, 4]
    corner = room_of("lantern_room").pattern.piece("patch_corner")
    assert corner.outline.flat_area_mm2 == pytest.approx(math.pi * 100.0**2)
    assert corner.extent_mm == pytest.approx((220.0, 220.0), abs=0.05)  # 10 mm of cloth outside the stitches
    placed = [
        p for p in room_of("lantern_room").pattern.piece("panel_doorway").patches if p.name == "patch_corner"
    ]
    assert sorted(p.at[0] for p in placed) == pytest.approx([-475.0, 475.0])  # half of 950 mm
    assert [p.at[1] for p in placed] == pytest.approx([0.0, 0.0], abs=1e-6)


def test_the_rim_patch_reaches_sixty_millimetres_beyond_the_sleeves_opening():
    pattern = room_of("lantern_room").pattern
    host = pattern.piece("panel_sleeve")
    (placed,) = [p for p in host.patches if p.name == "patch_sleeve"]
    hole = shapely.Polygon(sewing_polygon(host).interiors[0])
    ring = shapely.Polygon(placed.outline)
    patch = sewing_polygon(pattern.piece("patch_sleeve"))
    assert patch.area == pytest.approx(hole.buffer(60.0, quad_segs=64).area, rel=2e-3)
    assert shapely.hausdorff_distance(ring.exterior, hole.exterior) == pytest.approx(60.0, abs=0.5)


def test_tabs_stand_evenly_along_the_foot_and_not_in_the_doorway():
    pattern = room_of("orchard_pavilion").pattern
    tabs = [p for p in pattern.piece("panel").patches if p.is_tab]
    width = sewing_polygon(pattern.piece("panel")).bounds
    assert [p.at[0] for p in tabs] == pytest.approx([-(width[2] - width[0]) / 4, (width[2] - width[0]) / 4])
    assert all(p.at[1] == pytest.approx(0.0, abs=1e-6) for p in tabs)
    assert not any(p.is_tab for p in room_of("lantern_room").pattern.piece("panel_doorway").patches)
    tab = pattern.piece("tab")
    assert tab.extent_mm == pytest.approx((100.0, 320.0), abs=1e-3)  # 80 x 300 mm and 10 mm around


def test_patches_come_before_openings_and_a_late_one_is_told():
    room = room_of("tide_dome")
    graph = SewingGraph.of(room.pattern)
    tasks = [step.task for step in room.order.steps]
    actions = [task.action for task in tasks]
    assert max(i for i, a in enumerate(actions) if a is Action.PATCH) < actions.index(Action.REINFORCE)
    first = next(i for i, task in enumerate(tasks) if task.action is Action.PATCH)
    late = [*tasks[:first], *tasks[first + 1 :], tasks[first]]
    assert any("patches" in fault for fault in order_faults(graph, late))
    assert order_faults(graph, [*tasks[:first], *tasks[first + 1 :]]) == ["not every patch is sewn on once"]
    twice = [*tasks, Task(Stage.FLAT, Action.PATCH, patches=tasks[first].patches)]
    assert order_faults(graph, twice) == ["not every patch is sewn on once"]


def test_they_can_be_left_out():
    room = room_of("lantern_room")
    plain = evolve(room.design, reinforcement=Reinforcement(patches=False, tabs=False))
    pattern = build(plain).pattern
    assert pattern.patches == ()
    assert not any(piece.patches for piece in pattern.pieces)
    tabs = build(
        evolve(room.design, reinforcement=Reinforcement(patches=False, tab_spacing="600 mm"))
    ).pattern
    assert {patch.name for patch in tabs.patches} == {"tab"}
    assert (
        len(tabs.piece("panel").patches) == 3
    )  # 1.2 m of foot, no more than 0.6 m apart: 1242 mm takes three


@pytest.mark.parametrize("name", FIRST_NAME)
def test_cloth_and_thread_count_them(name):
    room = room_of(name)
    pattern, order = room.pattern, room.order
    rows = 0.0
    for host in pattern.pieces:
        for placed in host.patches:
            patch = pattern.piece(placed.name)
            row = patch.outline.perimeter_mm
            if placed.is_tab:  # a box with a cross; the third next to the fold is left open
                size = room.design.reinforcement
                wide, high = size.tab_width, size.tab_length / 2 * 2 / 3
                row = 2 * (wide + high) + 2 * math.hypot(wide, high)
            rows += host.count * row
    sewn = sum(step.length_mm for step in order.steps if step.task.action is Action.PATCH)
    assert sewn == pytest.approx(rows)
    cut = sum(piece.count * piece.cut_area_mm2 for piece in (*pattern.pieces, *pattern.patches)) * 1e-6
    assert room.materials.mass_kg == pytest.approx(cut * room.cloth.mass_kg_m2.likely)
    spare = next(one for one in room.materials.lines if one.item == "offcuts for patches and tabs")
    assert spare.quantity == pytest.approx(
        sum(patch.count * patch.cut_area_mm2 for patch in pattern.patches) * 1e-6, abs=6e-4
    )
    assert spare.quantity < room.materials.use.wasted_m2

"""Patches and tabs lie where the cloth is pulled, on the right piece, as often as they are cut."""

import math
import re
from collections import Counter

import numpy as np
import pytest
import shapely
from attrs import evolve
from model_rooms import FIRST_NAME, NAMES, room_of
from room_checks import cutting_polygon, sewing_polygon

from shellparts import Design, Doorway, ParameterError, Shell, build
from shellparts.parameters import Reinforcement
from shellparts.parameters.allowances import SeamKind
from shellparts.parameters.flap import Flap
from shellparts.pattern.tab_loops import check_loop
from shellparts.sewing.bundle import SewingGraph
from shellparts.sewing.order import sewing_order
from shellparts.sewing.order_check import order_faults
from shellparts.sewing.order_steps import Action, Stage, Task
from shellparts.sewing.rows import sewn_rows


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


#: A small room; its foot is hemmed, or has a flap that is sewn on.
SMALL = Design(
    name="small",
    shell=Shell(panels=6, across="3 m", height=2400),
    doorway=Doorway(width="0.9 m", height="1.6 m", length="1 m", vent="600 mm"),
)
FLAPS = {"hemmed": None, "sewn on": Flap(depth=200, sewn_on=True)}


def foot_of(pattern):
    """The foot of a panel with tabs, the least height of a tab's box above it, and the panel."""
    piece = next(one for one in pattern.pieces if any(placed.is_tab for placed in one.patches))
    placed = next(one for one in piece.patches if one.is_tab)
    foot = min(piece.edges, key=lambda edge: abs(edge.at(edge.length_mm / 2)[0] - placed.at).max())
    return foot, float(placed.outline[:, 1].min() - placed.at[1]), piece


def test_no_row_along_the_foot_runs_across_the_loop_of_a_tab():
    """Over random sizes: what is accepted leaves the loop free of the rows as they are told, what is refused does not."""
    rng, found = np.random.default_rng(7), Counter()
    kinds = [kind.value for kind in SeamKind]
    rooms = {name: build(evolve(SMALL, flap=flap)).pattern for name, flap in FLAPS.items()}
    for k in range(400):
        name = list(FLAPS)[k // len(kinds) % 2]
        pattern = rooms[name]
        foot, _, _ = foot_of(pattern)
        hem, seam = rng.uniform(5.0, 60.0), rng.uniform(5.0, 60.0)
        kind = SeamKind(kinds[k % len(kinds)])
        narrow = seam * (0.5 if kind is SeamKind.FLAT_FELLED else 1.0)
        seams = {
            s.id: evolve(s, kind=kind, allowance_mm=seam, allowances_mm=(seam, narrow)) for s in pattern.seams
        }
        edge = evolve(foot, allowance_mm=hem if name == "hemmed" else seam)
        size = Reinforcement(tab_length=rng.uniform(60.0, 500.0))
        loop = size.tab_length / 2 / 3  # a third of the folded tab
        # Where the cloth of a hem, a lap or a tape ends; the row runs 3 mm, or a quarter, inside it.
        ends = {
            "hemmed": hem - (min(15.0, hem / 4) if hem >= 15.0 else 0.0),
            "sewn on": {SeamKind.FLAT_FELLED: narrow, SeamKind.TAPED: 25.0}.get(kind, seam),
        }[name]
        row = ends - min(3.0, ends / 4)
        try:
            check_loop(edge, seams, size)
        except ParameterError as error:
            found[name, "refused"] += 1
            assert loop < row + 5.0 + 1e-6
            assert re.match(
                r"length of a tab is \d.* mm; it must be at least \d.* mm, or the rows .*Remedy: ", str(error)
            )
        else:
            found[name, "taken"] += 1
            assert loop >= row + 5.0 - 0.01
    assert min(found[name, word] for name in ("hemmed", "sewn on") for word in ("taken", "refused")) > 20


def test_over_a_fold_a_tab_may_be_as_short_as_any():
    """No row runs along a fold."""
    design = evolve(SMALL, flap=Flap(depth=200), reinforcement=Reinforcement(tab_length=60.0))
    assert build(design).pattern.piece("tab").count > 0


@pytest.mark.parametrize(("flap", "least"), [("hemmed", 192.0), ("sewn on", 132.0)])
def test_a_tab_as_short_as_can_be_is_built_and_a_shorter_one_refused(flap, least):
    """A third of half its length reaches 5 mm beyond the row: at 27 mm in a hem of 40 mm, at 17 mm in a lap of 20 mm."""
    design = evolve(SMALL, flap=FLAPS[flap])
    pattern = build(evolve(design, reinforcement=Reinforcement(tab_length=least))).pattern
    _, low, piece = foot_of(pattern)
    assert low == pytest.approx(least / 6)
    told = [row for row in sewn_rows(sewing_order(pattern), SewingGraph.of(pattern)) if row.turns is not None]
    feet = [row for row in told if row.edges[0][0] in piece.sheets]
    assert feet if flap == "hemmed" else True
    assert all(low >= row.turns.row_mm + 5.0 - 1e-6 for row in feet)
    with pytest.raises(ParameterError, match=r"^length of a tab is .*at least.*Remedy: "):
        _ = build(evolve(design, reinforcement=Reinforcement(tab_length=least - 1.0))).pattern


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

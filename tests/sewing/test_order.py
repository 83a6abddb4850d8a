"""The order of sewing: followed on the graph for many rooms, and spoilt in every way the check must notice."""

import math
from itertools import pairwise

import pytest
from attrs import evolve
from room_checks import sewn_length

from shellparts.base.errors import ParameterError
from shellparts.body.seams import EdgeRole
from shellparts.build.room import build
from shellparts.openings import Doorway, Sleeve
from shellparts.parameters import Design, Flap, Shell
from shellparts.sewing.bundle import Bundle, SewingGraph
from shellparts.sewing.order import hands_needed, measured_order, sewing_order
from shellparts.sewing.order_check import order_faults
from shellparts.sewing.order_plan import plan
from shellparts.sewing.order_steps import Action, Stage, Task
from shellparts.sewing.thread import Machine, lockstitch_ratio, thread_length

CONE = Shell(panels=9, across=4200, height=3400, profile="straight")
WALLED = Shell(panels=8, across=3600, height=2800, wall=1000, profile="straight")
DESIGNS = {
    "bare": Design(name="bare", shell=Shell(panels=7, across=3000, height=2400)),
    "flap_ring": Design(name="flap_ring", shell=WALLED, flap=Flap(depth=300, sewn_on=True)),
    "few_panels_with_flap": Design(
        name="five", shell=Shell(panels=5, across=4000, height=2600), flap=Flap(depth=300)
    ),
    "sleeve_only": Design(
        name="sleeve_only", shell=WALLED, sleeve=Sleeve(diameter=400, length=900, height=450, panel=3)
    ),
    # The panel is wider than the doorway at the floor and narrower at its head: two corners are left below.
    "fragments": Design(
        name="fragments",
        shell=CONE,
        doorway=Doorway(width=1100, height=1600, length=2200, head="flat"),
        flap=Flap(depth=250, sewn_on=True),
    ),
    "doorway_on_a_seam": Design(
        name="on_a_seam",
        shell=WALLED,
        doorway=Doorway(width=900, height=1500, length=1300, head="gabled", centred_on="seam", flap=150),
        sleeve=Sleeve(width=400, depth=300, length=800, height=450, panel=4),
        flap=Flap(depth=250, sewn_on=True),
    ),
}


@pytest.fixture(scope="module", params=DESIGNS)
def pattern(request):
    return build(DESIGNS[request.param]).pattern


@pytest.fixture(scope="module")
def lantern(rooms):
    graph = SewingGraph.of(rooms["lantern_room"].pattern)
    return graph, plan(graph)


def follow(graph: SewingGraph, steps) -> None:
    """Sew a room with nothing but sets of sheets: what is joined exists, and one bundle is left."""
    bundles = [{name} for name in graph.sheets]
    sewn = []
    for step in steps:
        sewn += step.task.seams
        names = {name for seam in step.task.seams for name in graph.seams[seam].sheets}
        if names:
            touched = [bundle for bundle in bundles if bundle & names]
            bundles = [bundle for bundle in bundles if not bundle & names] + [set().union(*touched)]
            assert step.bundle_sheets == len(bundles[-1])
    assert sorted(sewn) == sorted(graph.seams)
    assert len(bundles) == 1


def test_the_order_of_the_models(model_room):
    graph, order = SewingGraph.of(model_room.pattern), model_room.order
    assert order_faults(graph, [step.task for step in order.steps]) == []
    follow(graph, order.steps)
    assert order.seam_length_mm == pytest.approx(sewn_length(model_room.body), rel=1e-6)
    stages = [Stage.FLAT, "fan sleeve", "doorway", *list(Stage)[1:]]
    assert all(stages.index(a.task.stage) <= stages.index(b.task.stage) for a, b in pairwise(order.steps))
    loose = math.fsum(
        edge.length_mm * piece.count
        for piece in model_room.pattern.pieces
        for edge in piece.all_edges
        if edge.role in (EdgeRole.HEM, EdgeRole.OPEN)
    )
    assert order.hem_length_mm == pytest.approx(loose, rel=1e-9)


def test_the_order_of_other_rooms(pattern):
    graph, order = SewingGraph.of(pattern), sewing_order(pattern)
    follow(graph, order.steps)
    closing = [step for step in order.steps if step.task.stage == Stage.CLOSING]
    assert len(closing) == 1
    assert closing[0].closes_tube


def test_some_panel_is_in_several_parts():
    sheets = SewingGraph.of(build(DESIGNS["fragments"]).pattern).sheets
    assert {"panel_01_a", "panel_01_b", "panel_01_c"} <= set(sheets)


def test_the_whole_room_has_one_way_around_for_each_tube_that_leads_in(model_room, rooms):
    """The solid of air is like a ball; without its floor and the sleeve's mouth it is like a ring."""
    graph = SewingGraph.of(model_room.pattern)
    whole = Bundle(graph, frozenset(graph.sheets), frozenset(graph.seams))
    assert (whole.loops, len(whole.rims_mm())) == (1, 2)
    sleeve = next(sheet for sheet in graph.sheets.values() if sheet.kind.word == "sleeve")
    mouth = sum(edge.length_mm for edge in sleeve.edges if edge.role is EdgeRole.HEM)
    assert whole.rims_mm()[1] == pytest.approx(mouth)


def test_a_sleeve_is_a_tube_once_its_joint_is_sewn(lantern):
    graph, _ = lantern
    joint = next(seam.id for seam in graph.seams.values() if seam.sheets == ("sleeve", "sleeve"))
    assert Bundle(graph, frozenset({"sleeve"})).tubes == 0
    closed = Bundle(graph, frozenset({"sleeve"}), frozenset({joint}))
    assert (closed.tubes, len(closed.rims_mm())) == (1, 2)
    assert not closed.closes_ring([joint])


def stage(tasks, wanted: str) -> list[Task]:
    return [task for task in tasks if task.stage == wanted]


def moved(tasks: list[Task], task: Task, where: int) -> list[Task]:
    rest = [other for other in tasks if other is not task]
    return [*rest[:where], task, *rest[where:]]


def test_a_seam_left_out_or_sewn_twice_is_noticed(lantern):
    graph, tasks = lantern
    closing = stage(tasks, Stage.CLOSING)[0]
    seam = closing.seams[0]
    assert order_faults(graph, [t for t in tasks if t is not closing]) == [f"seam {seam} is sewn 0 times"]
    assert order_faults(graph, [*tasks, closing]) == [f"seam {seam} is sewn 2 times"]


def test_a_forgotten_hem_is_noticed(lantern):
    graph, tasks = lantern
    foot = stage(tasks, Stage.FOOT)[0]
    left = [evolve(foot, edges=foot.edges[1:]) if task is foot else task for task in tasks]
    assert order_faults(graph, left) == ["edge e3 of panel_01 is turned in 0 times, not 1"]


def test_flat_work_that_comes_too_late_is_noticed(lantern):
    graph, tasks = lantern
    for task in [t for t in tasks if t.action in (Action.HEM, Action.REINFORCE) and t.stage == Stage.FLAT]:
        faults = order_faults(graph, moved(tasks, task, len(tasks)))
        assert any("not reinforced" in f or "not turned in" in f for f in faults), task


def test_a_doorway_set_into_a_closed_shell_is_noticed(lantern):
    graph, tasks = lantern
    door = next(t for t in stage(tasks, "doorway") if "tunnel" in graph.seams[t.seams[0]].sheets)
    faults = order_faults(graph, moved(tasks, door, len(tasks) - 2))
    assert any("panels can no longer be laid out" in fault for fault in faults)


def test_a_sleeve_set_into_a_closed_shell_is_noticed(lantern):
    graph, tasks = lantern
    task = next(t for t in stage(tasks, "fan sleeve") if set(graph.seams[t.seams[0]].sheets) != {"sleeve"})
    faults = order_faults(graph, moved(tasks, task, len(tasks) - 2))
    assert any("panels can no longer be laid out" in fault for fault in faults)


def test_a_curtain_after_the_doorway_is_noticed(lantern):
    graph, tasks = lantern
    leaf = next(t for t in stage(tasks, Stage.FLAT) if t.action is Action.SEW)
    faults = order_faults(graph, moved(tasks, leaf, len(tasks) - 2))
    assert any("after the tunnel is on the panels" in fault for fault in faults)


def test_a_cap_before_the_ring_is_closed_is_noticed(lantern):
    graph, tasks = lantern
    faults = order_faults(graph, moved(tasks, stage(tasks, Stage.CAP)[0], 12))
    assert "the cap is sewn on before the ring of panels is closed" in faults


def test_a_closing_seam_beside_the_doorway_is_noticed(lantern):
    graph, tasks = lantern
    beside = stage(tasks, Stage.HALVES)[-1]
    where = len(tasks) - 3
    assert "the closing seam is 1 panels from the doorway, another 11" in order_faults(
        graph, moved(tasks, beside, where)
    )


def test_a_flap_before_the_cap_is_noticed(rooms):
    graph = SewingGraph.of(rooms["orchard_pavilion"].pattern)
    tasks = plan(graph)
    cap = stage(tasks, Stage.CAP)[0]
    assert "the flap hangs on the shell before the cap is on" in order_faults(
        graph, moved(tasks, cap, len(tasks) - 2)
    )


def test_a_tube_that_would_be_turned_inside_a_smaller_one_is_noticed(lantern):
    """A bag of a shell, all closed but for the sleeve's hole, cannot slip through a sleeve that flares."""
    graph, tasks = lantern
    sleeve = graph.sheets["sleeve"]
    (loop,) = sleeve.loops
    mouth = next(edge for edge in loop if edge.role is EdgeRole.HEM)
    flat = tuple(evolve(part, xy=part.xy * 3.0) for part in mouth.flat)
    flared = evolve(sleeve, loops=(tuple(evolve(e, flat=flat) if e is mouth else e for e in loop),))
    wide = SewingGraph({**graph.sheets, "sleeve": flared}, graph.seams)
    task = next(t for t in stage(tasks, "fan sleeve") if set(graph.seams[t.seams[0]].sheets) != {"sleeve"})
    late = moved(tasks, task, len(tasks) - 2)
    assert not any("slips through" in fault for fault in order_faults(graph, late))
    assert any("neither slips through" in fault for fault in order_faults(wide, late))


def test_masses_add_up(rooms):
    room = rooms["orchard_pavilion"]
    cut = math.fsum(piece.cut_area_mm2 * piece.count for piece in room.pattern.pieces) / 1e6
    order = sewing_order(room.pattern, Machine(mass_kg_m2=0.3))
    assert order.steps[-1].bundle_kg == pytest.approx(0.3 * cut, rel=1e-9)
    assert max(step.bundle_kg for step in order.steps) == order.steps[-1].bundle_kg


def test_a_third_layer_takes_more_thread(lantern):
    """Where the leaves of the curtain overlap, the second one is sewn through the first."""
    graph, tasks = lantern
    first, second = [
        step
        for step in measured_order(graph, tasks, Machine()).steps
        if step.task in stage(tasks, Stage.FLAT) and step.task.action is Action.SEW
    ]
    overlap = 253.0
    assert second.length_mm == pytest.approx(first.length_mm)
    more = overlap / 1000 * 2 * (2 * 0.25 / 4.0) * 1.15
    assert second.thread_m - first.thread_m == pytest.approx(more, rel=1e-3)


def test_more_hands_for_more_cloth():
    machine = Machine(load_kg=10.0, reach_m=4.0)
    assert hands_needed(1000.0, 2.0, machine) == 1
    assert hands_needed(4100.0, 2.0, machine) == 2
    assert hands_needed(40000.0, 2.0, machine) == 3
    assert hands_needed(40000.0, 41.0, machine) == 5


@pytest.mark.parametrize("words", [{"pace_m_min": 0.0}, {"mass_kg_m2": -1.0}, {"waste": math.nan}])
def test_figures_that_cannot_be_are_refused(words):
    with pytest.raises(ParameterError, match="correct the figure"):
        Machine(**words)


# Thread and time


def test_thin_cloth_takes_twice_its_length():
    assert lockstitch_ratio(0.0, 3.0) == 2.0


def test_rows_add_up_and_waste_is_a_share():
    plain = Machine(waste=0.0)
    rows = [thread_length(5000.0, (layers,), plain) for layers in (2, 3)]
    assert thread_length(5000.0, (2, 3), plain) == pytest.approx(sum(rows))
    assert thread_length(5000.0, (2, 3), Machine(waste=0.2)) == pytest.approx(1.2 * sum(rows))


def test_a_stitch_of_no_length_is_refused():
    with pytest.raises(ParameterError, match="length of a stitch is 0 mm; it must be more than 0 mm"):
        lockstitch_ratio(1.0, 0.0)

"""The order of sewing: what is sewn when, how long and heavy it is, how many people it takes.

Glossary: a *step* is what is done without getting up; its *bundle* is what hangs together and lies at the machine
when the step is done. Hands, pace and times are reckoned from the figures of `thread.Machine`, which are
assumptions and can be changed. This module plans nothing by itself; see `order_plan` for the rules.
"""

import math
from collections.abc import Iterator, Sequence

from shellparts.base.errors import GeometryError
from shellparts.body.seams import EdgeRole
from shellparts.pattern.made import Pattern
from shellparts.pattern.seam_kinds import FINISHES, MAKES, EdgeFinish, Make
from shellparts.sewing.bundle import Bundle, Place, SewingGraph
from shellparts.sewing.order_check import order_faults
from shellparts.sewing.order_plan import plan
from shellparts.sewing.order_steps import Action, SewingOrder, Step, Task
from shellparts.sewing.thread import Machine, row_minutes, thread_length

__all__ = ["hands_needed", "measured_order", "sewing_order"]


def hands_needed(length_mm: float, mass_kg: float, machine: Machine) -> int:
    """People for a step: one sews, and one more for each full load, or each full reach up to two, beyond that."""
    by_reach = min(2, int(length_mm / 1000.0 / machine.reach_m))
    by_load = int(mass_kg / machine.load_kg)
    return 1 + max(by_reach, by_load)


def _finish(graph: SewingGraph, task: Task, place: Place) -> EdgeFinish:
    own = {Action.REINFORCE: EdgeFinish.REINFORCED, Action.CUT: EdgeFinish.CUT, Action.FIT: EdgeFinish.FITTED}
    if task.action in own:
        return own[task.action]
    sheet, edge = graph.sheets[place[0]], graph.edge(place)
    drawn = sheet.kind.drawn and edge.role is EdgeRole.HEM
    return EdgeFinish.DRAWCORD if drawn else EdgeFinish.HEM


def _work(graph: SewingGraph, task: Task) -> Iterator[tuple[float, Make, int]]:
    """Length, make, and layers beyond the make's, of every seam or edge of a task."""
    for seam in task.seams:
        doubled = max(len(graph.at[place]) for place in graph.places(seam)) > 1
        first = all(graph.at[place][0] == seam for place in graph.places(seam))
        extra = int(doubled and not first)
        yield graph.seams[seam].lengths_mm[0], MAKES[graph.seams[seam].kind], extra
    for _, patch in task.patches:
        fits = task.action is Action.FIT
        finish = EdgeFinish.FITTED if fits else EdgeFinish.PATCHED
        yield (0.0 if fits else graph.patch_rows_mm[patch]), FINISHES[finish], 0
    for place in task.edges:
        yield graph.edge(place).length_mm, FINISHES[_finish(graph, task, place)], 0


def measured_order(graph: SewingGraph, tasks: Sequence[Task], machine: Machine) -> SewingOrder:
    """Give every task its figures."""
    bundles = {name: Bundle(graph, frozenset({name})) for name in graph.sheets}
    steps = []
    for number, task in enumerate(tasks, 1):
        named = [name for seam in task.seams for name in graph.seams[seam].sheets]
        sheets = tuple(dict.fromkeys([*named, *(name for name, _ in (*task.edges, *task.patches))]))
        old = list({id(bundles[name]): bundles[name] for name in sheets}.values())
        new = Bundle(
            graph,
            frozenset().union(*(bundle.sheets for bundle in old)),
            frozenset(task.seams).union(*(bundle.seams for bundle in old)),
        )
        if task.seams:
            bundles |= dict.fromkeys(new.sheets, new)
        steps.append(_measured(number, task, sheets, old, new, machine))
    return SewingOrder(tuple(steps))


def _measured(
    number: int, task: Task, sheets: tuple[str, ...], old: Sequence[Bundle], new: Bundle, machine: Machine
) -> Step:
    graph = new.graph
    work = list(_work(graph, task))
    length = math.fsum(one for one, _, _ in work)
    # Edges of several sheets that lie apart are finished one sheet after another.
    apart = [new] if task.seams else list(old)
    heaviest = max(sum(graph.sheets[name].cut_area_mm2 for name in bundle.sheets) for bundle in apart)
    mass = heaviest / 1e6 * machine.mass_kg_m2
    ring = bool(task.seams) and new.closes_ring(task.seams)
    return Step(
        number=number,
        task=task,
        sheets=sheets,
        makes=tuple(dict.fromkeys(make.lie for _, make, _ in work)),
        length_mm=length,
        bundle_sheets=max(len(bundle.sheets) for bundle in apart),
        bundle_kg=mass,
        hands=hands_needed(length if task.seams else max(one for one, _, _ in work), mass, machine),
        thread_m=math.fsum(
            thread_length(one, [layers + extra for layers in make.layers], machine)
            for one, make, extra in work
        ),
        minutes=machine.setting_min
        + math.fsum(row_minutes(one, make.rows, machine) for one, make, _ in work),
        closes_tube=bool(task.seams) and new.loops > sum(bundle.loops for bundle in old),
        ring_mm=length if ring else None,
    )


def sewing_order(pattern: Pattern, machine: Machine | None = None) -> SewingOrder:
    """Find an order in which a room can be sewn, check it, and give its figures.

    Parameters
    ----------
    pattern : Pattern
    machine : Machine, optional
        A household machine and woven polyethylene sheet unless given.

    Raises
    ------
    GeometryError
        If the order that was found cannot be sewn.
    """
    graph = SewingGraph.of(pattern)
    tasks = plan(graph)
    faults = order_faults(graph, tasks)
    if faults:
        raise GeometryError("no order of sewing was found: " + "; ".join(faults))
    return measured_order(graph, tasks, machine or Machine())

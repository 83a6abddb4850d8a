"""Sewing a room on paper: an order of sewing is followed step by step on the graph, and everything that could not
be done at a machine is said.

What is asked for, whoever planned the order:

- parts of a sheet that is larger than the cloth are joined before anything else is done to it;
- every seam is sewn once and every loose edge turned in once;
- a step joins what is there, and leaves one bundle;
- openings are reinforced, and hems that end at a tube's seam or belong to tunnel, sleeve or curtain are turned
  in, while the sheet is still on its own;
- a tube is set into panels that can still be laid out, and the curtain is sewn to a tunnel that can;
- of two tubes that are sewn together all around, one can slip through the seam: none is turned inside a smaller
  one;
- the shell becomes a tube with its last seam between panels, and that one is as far from the doorway as any.

Glossary as in `bundle`. This module does not plan.
"""

from collections import Counter
from collections.abc import Iterator, Sequence

from attrs import define, field

from shellparts.base.tolerances import TOLERANCES
from shellparts.body.seams import EdgeRole
from shellparts.parameters.part import CAP, FLAP, PANEL, Role
from shellparts.sewing.bundle import Bundle, Place, SewingGraph
from shellparts.sewing.order_steps import Action, Task

__all__ = ["order_faults"]


@define
class _Progress:
    """How far the sewing is: the bundles there are, and what has been done to edges."""

    graph: SewingGraph
    bundles: list[Bundle] = field(init=False)
    finished: set[tuple[Action, Place]] = field(factory=set)

    def __attrs_post_init__(self) -> None:
        self.bundles = [Bundle(self.graph, frozenset({name})) for name in self.graph.sheets]

    def of(self, sheet: str) -> Bundle:
        return next(bundle for bundle in self.bundles if sheet in bundle.sheets)

    def alone(self, sheet: str) -> bool:
        """Whether a sheet, with the parts that it is joined of, is sewn to nothing else yet."""
        bundle = self.of(sheet)
        parts = {self.graph.wholes[name] for name in bundle.sheets}
        return len(parts) == 1 and all(self.graph.is_join(seam) for seam in bundle.seams)

    def touched(self, task: Task) -> list[Bundle]:
        """Bundles that have a seam of a task."""
        names = {name for seam in task.seams for name in self.graph.seams[seam].sheets}
        return [bundle for bundle in self.bundles if bundle.sheets & names]

    def sew(self, task: Task) -> Bundle:
        """Make one bundle of those that a task touches."""
        old = self.touched(task)
        sheets = frozenset().union(*(bundle.sheets for bundle in old))
        seams = frozenset(task.seams).union(*(bundle.seams for bundle in old))
        new = Bundle(self.graph, sheets, seams)
        self.bundles = [bundle for bundle in self.bundles if bundle not in old] + [new]
        return new


def order_faults(graph: SewingGraph, tasks: Sequence[Task]) -> list[str]:
    """Follow an order of sewing and say what is wrong with it."""
    faults = list(_counts(graph, tasks))
    if faults:
        return faults
    done = _Progress(graph)
    for number, task in enumerate(tasks, 1):
        found = _sewing_faults(done, task) if task.seams else _finishing_faults(done, task)
        faults += [f"step {number}: {fault}" for fault in found]
        done.finished |= {(task.action, place) for place in task.edges}
        if task.seams:
            new = done.sew(task)
            if new.parts > 1:
                faults.append(f"step {number}: it leaves more than one bundle")
    if len(done.bundles) != 1:
        faults.append(f"{len(done.bundles)} bundles are left at the end")
    return faults + list(_closing_faults(graph, tasks))


def _counts(graph: SewingGraph, tasks: Sequence[Task]) -> Iterator[str]:
    """Every seam once, every loose edge once."""
    sewn = Counter(seam for task in tasks if task.action is Action.SEW for seam in task.seams)
    hemmed = Counter(place for task in tasks if task.action is Action.HEM for place in task.edges)
    loose = {
        (sheet.name, edge.id)
        for sheet in graph.sheets.values()
        for edge in sheet.edges
        if edge.role in (EdgeRole.HEM, EdgeRole.OPEN)
    }
    sewn_on = Counter(place for task in tasks if task.action is Action.PATCH for place in task.patches)
    wanted = Counter((sheet.name, patch) for sheet in graph.sheets.values() for patch in sheet.patches)
    if sewn_on != wanted:
        yield "not every patch is sewn on once"
    yield from (f"seam {seam} is sewn {sewn[seam]} times" for seam in graph.seams if sewn[seam] != 1)
    yield from (f"seam {seam} is not in the pattern" for seam in sewn if seam not in graph.seams)
    yield from (
        f"edge {place[1]} of {place[0]} is turned in {hemmed[place]} times, not {int(place in loose)}"
        for place in sorted(loose | set(hemmed))
        if hemmed[place] != int(place in loose)
    )


def _finishing_faults(done: _Progress, task: Task) -> Iterator[str]:
    for sheet in dict.fromkeys(name for name, _ in task.edges):
        if task.action is Action.REINFORCE and not done.alone(sheet):
            yield f"the opening of {sheet} is buried before it is reinforced"
    if task.action is not Action.PATCH:
        return
    for sheet in dict.fromkeys(name for name, _ in task.patches):
        if not done.alone(sheet):
            yield f"{sheet} is buried before its patches are sewn on"
        cut = (Action.REINFORCE, Action.CUT)
        if any(action in cut and place[0] == sheet for action, place in done.finished):
            yield f"the opening of {sheet} is cut before its patches are sewn on"


def _sewing_faults(done: _Progress, task: Task) -> Iterator[str]:
    graph, old = done.graph, done.touched(task)
    if all(graph.is_join(seam) for seam in task.seams):
        if any(not done.alone(name) for bundle in old for name in bundle.sheets):
            yield "parts of a sheet are joined after it is sewn to another"
        return
    for sheet in sorted({name for bundle in old for name in bundle.sheets}):
        if done.alone(sheet):
            yield from _unfinished(done, sheet)
    kinds = frozenset().union(*(graph.kinds(seam) for seam in task.seams))
    tube = next((part for part in kinds if part.role is Role.TUBE), None)
    if tube is not None and any(part.role in (Role.PANEL, Role.CLOSURE) for part in kinds):
        base = PANEL if PANEL in kinds else tube
        for bundle in old:
            if bundle.only(base).tubes > 0:
                yield f"{base.word}s can no longer be laid out"
            if base is tube and any(graph.sheets[name].kind == PANEL for name in bundle.sheets):
                closure = next(part for part in kinds if part.role is Role.CLOSURE)
                yield f"the {closure.word} comes after the {tube.word} is on the panels"
    yield from _turning_faults(graph, task, old)


def _unfinished(done: _Progress, sheet: str) -> Iterator[str]:
    """What should have been done to a sheet before its first seam."""
    graph = done.graph
    for edge in graph.sheets[sheet].edges:
        place = (sheet, edge.id)
        at_tube = any(_sets_tube(graph, sheet, seam) for seam in graph.at.get(place, ()))
        if at_tube and (Action.REINFORCE, place) not in done.finished:
            yield f"the opening at edge {edge.id} of {sheet} is not reinforced"
        inside = edge not in graph.sheets[sheet].loops[0]
        if inside and (Action.CUT, place) not in done.finished:
            yield f"the opening at edge {edge.id} of {sheet} is not cut"
        loose = edge.role in (EdgeRole.HEM, EdgeRole.OPEN)
        if loose and _is_buried_later(graph, place) and (Action.HEM, place) not in done.finished:
            yield f"edge {edge.id} of {sheet} is not turned in yet"


def _sets_tube(graph: SewingGraph, panel: str, seam: str) -> bool:
    """Whether a seam sets a tube into a panel."""
    return graph.sheets[panel].kind == PANEL and graph.tube(seam) is not None


def _is_buried_later(graph: SewingGraph, place: Place) -> bool:
    """Whether a loose edge belongs to a tube or a curtain, or meets the seam of a tube at one end."""
    if graph.sheets[place[0]].kind.role in (Role.TUBE, Role.CLOSURE):
        return True
    return any(
        _sets_tube(graph, place[0], seam)
        for side in graph.neighbours(place)
        for seam in graph.at.get(side, ())
    )


def _turning_faults(graph: SewingGraph, task: Task, old: Sequence[Bundle]) -> Iterator[str]:
    """Of two tubes joined all around, one must slip through the seam."""
    sheets = frozenset().union(*(bundle.sheets for bundle in old))
    seams = frozenset(task.seams).union(*(bundle.seams for bundle in old))
    if len(old) != 2 or not Bundle(graph, sheets, seams).closes_ring(task.seams):
        return
    around = sum(graph.seams[seam].lengths_mm[0] for seam in task.seams)
    tubes = [bundle for bundle in old if bundle.is_shut]
    slack = TOLERANCES.seam_mismatch_mm * len(task.seams)
    if len(tubes) == 2 and min(bundle.rims_mm()[0] for bundle in tubes) > around + slack:
        yield f"two tubes meet at a seam of {around:.0f} mm around, and neither slips through it"


def _closing_faults(graph: SewingGraph, tasks: Sequence[Task]) -> Iterator[str]:
    """The ring of panels is closed by its last seam, far from the doorway; then come the cap, then the flap."""
    panels = frozenset(name for name, sheet in graph.sheets.items() if sheet.kind == PANEL)
    order = [seam for task in tasks for seam in task.seams]
    panel_seams = [seam for seam in order if graph.kinds(seam) == {PANEL}]
    shell = [seam for seam in panel_seams if not graph.is_join(seam)]
    cap = [seam for seam in order if CAP in graph.kinds(seam)]
    flap = [seam for seam in order if graph.kinds(seam) == {FLAP, PANEL}]
    last = next(task for task in reversed(tasks) if shell[-1] in task.seams).seams
    if Bundle(graph, panels, frozenset(panel_seams) - set(last)).tubes > 0:
        yield "the panels are a tube before their last seam"
    if len({frozenset(graph.wholes[name] for name in graph.seams[seam].sheets) for seam in last}) != 1:
        yield "the step that closes the ring joins more than two panels"
    if cap and order.index(cap[0]) < order.index(shell[-1]):
        yield "the cap is sewn on before the ring of panels is closed"
    if flap and cap and order.index(flap[0]) < order.index(cap[-1]):
        yield "the flap hangs on the shell before the cap is on"
    away = _away(graph, panels)
    if away:
        around = [set(graph.around(tube)) for tube in graph.tubes]
        free = [s for s in shell if not any(set(graph.seams[s].sheets) <= panels for panels in around)]
        found, farthest = (
            max(sum(away[n] for n in graph.seams[s].sheets) for s in some) for some in (shell[-1:], free)
        )
        if found < farthest:
            yield f"the closing seam is {found} panels from the doorway, another {farthest}"


def _away(graph: SewingGraph, panels: frozenset[str]) -> dict[str, int]:
    """How many panels each panel is away from the first doorway; nothing without one.

    Parts count as one panel, and so do panels around one tube.
    """
    doorway = next((tube for tube in graph.tubes if not graph.sheets[tube].kind.is_round), None)
    near = set(graph.around(doorway)) if doorway is not None else set()
    away = dict.fromkeys(near, 0)
    while near:
        beside = {
            graph.wholes[name]
            for seam in graph.seams.values()
            if set(seam.sheets) <= panels and set(seam.sheets) & near
            for name in seam.sheets
        }
        steps = {name for name in panels if graph.wholes[name] in beside and name not in away}
        for tube in graph.tubes:  # panels that are joined around a tube already are one step
            group = set(graph.around(tube))
            steps |= group - away.keys() if steps & group else set()
        away |= dict.fromkeys(steps, max(away.values()) + 1)
        near = steps
    return away

"""Runs: the stretches of a sheet's boundary that are sewn, hemmed or left open as one.

Neighbouring edges belong to one run when they are the same to the sheet (role and partners), the boundary
does not turn a corner between them, and the same holds on the other side of the seam, so that both sides of a
seam have the same runs.
"""

import math
from collections.abc import Mapping, Sequence

from attrs import evolve, frozen

from shellparts.base.tolerances import TOLERANCES
from shellparts.body.seams import EdgeRole, EdgeUse, SeamGraph
from shellparts.unroll.outline import FlatEdge, Loop, Outline

__all__ = ["EdgeRun", "runs_of"]


@frozen(eq=False)
class EdgeRun:
    """Consecutive edges of one loop of one sheet."""

    sheet: str
    loop: int  # 0 is the outer loop
    flat: tuple[FlatEdge, ...]  # In walking order
    use: EdgeUse  # What its edges are to the sheet; of the first one

    @property
    def keys(self) -> frozenset[int]:
        """Keys of its edges."""
        return frozenset(edge.key for edge in self.flat)


def _turn(before: FlatEdge, after: FlatEdge) -> float:
    last, first = float(before.heading_at(before.length_mm)[0]), float(after.heading_at(0.0)[0])
    return abs(math.remainder(first - last, 2 * math.pi))


def _joined(outlines: Mapping[str, Outline], graph: SeamGraph) -> dict[str, set[frozenset[int]]]:
    """Pairs of neighbouring edges that each sheet, for itself, would put in one run."""
    pairs: dict[str, set[frozenset[int]]] = {name: set() for name in outlines}
    for name, outline in outlines.items():
        for loop in outline.loops:
            for before, after in zip(loop.edges, loop.edges[1:] + loop.edges[:1], strict=True):
                a, b = graph.use(name, before.key), graph.use(name, after.key)
                alike = a.role is b.role and a.partners == b.partners
                if alike and _turn(before, after) <= TOLERANCES.corner_rad:
                    pairs[name].add(frozenset((before.key, after.key)))
    return pairs


def runs_of(outlines: Mapping[str, Outline], graph: SeamGraph) -> list[EdgeRun]:
    """Divide the boundaries of all sheets into runs."""
    pairs = _joined(outlines, graph)
    runs = []
    for name, outline in outlines.items():
        for index, loop in enumerate(outline.loops):
            for flat in _divided(loop, name, graph, pairs):
                runs.append(EdgeRun(name, index, flat, graph.use(name, flat[0].key)))
    return _begun_alike(runs)


def _begun_alike(runs: Sequence[EdgeRun]) -> list[EdgeRun]:
    """Let a run all around a hole begin where the run begins that is sewn into it: at the joint of the tube."""
    open_runs = {run.keys: run for run in runs if not _is_ring(run)}
    begun = []
    for run in runs:
        other = open_runs.get(run.keys)
        if _is_ring(run) and other is not None:
            first = next(i for i, edge in enumerate(run.flat) if edge.key == other.flat[-1].key)
            run = evolve(run, flat=run.flat[first:] + run.flat[:first])
        begun.append(run)
    return begun


def _is_ring(run: EdgeRun) -> bool:
    gap = run.flat[-1].end - run.flat[0].start
    return float(abs(gap).max()) <= TOLERANCES.closure_mm


def _divided(
    loop: Loop, sheet: str, graph: SeamGraph, pairs: Mapping[str, set[frozenset[int]]]
) -> Sequence[tuple[FlatEdge, ...]]:
    edges = loop.edges
    starts = []
    for i, edge in enumerate(edges):
        before = edges[i - 1]
        pair = frozenset((before.key, edge.key))
        use = graph.use(sheet, edge.key)
        whole = len(edges) > 1 and all(pair in pairs[name] for name in (sheet, *use.partners))
        # Two images of a joint's edge never join: a tube's boundary passes from one to the other.
        if not whole or (use.role is EdgeRole.SEAM and use.partners == (sheet,) and before.key == edge.key):
            starts.append(i)
    starts = starts or [0]
    ends = [*starts[1:], starts[0] + len(edges)]
    return [tuple(edges[i % len(edges)] for i in range(a, b)) for a, b in zip(starts, ends, strict=True)]

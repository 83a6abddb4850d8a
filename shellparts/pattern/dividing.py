"""Dividing sheets that are larger than the cloth: a straight join across the flat outline.

Glossary: a *cut* runs level or upright across a sheet that lies on the table; the *parts* on both sides of it are
sheets of their own from then on, and the *join* between them is a seam like any other. Where a cut meets an edge
that is sewn to a neighbour, the neighbour's image of that edge is divided too, so that both sides of every seam
stay alike. This module does not choose where to cut, and knows nothing of allowances.
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from string import ascii_lowercase

import numpy as np
from attrs import evolve, frozen
from scipy.optimize import brentq
from shapely import Polygon

from shellparts.base.errors import GeometryError
from shellparts.base.names import Named
from shellparts.base.tolerances import TOLERANCES
from shellparts.body.seams import EdgeRole, EdgeUse, SeamGraph
from shellparts.unroll.outline import FlatEdge, Form, Loop, Outline

__all__ = ["Cut", "crossings", "divided"]

#: Cuts of neighbours that meet an edge within this distance meet it in one point [mm].
_ONE_POINT_MM = 1e-3


@frozen(order=True)
class Cut:
    """A straight line across a sheet on the table."""

    #: Whether it runs level, at a height above the lower edge; else upright, at a distance right of the
    #: centre line.
    level: bool
    at_mm: float  # That height or distance [mm]

    @property
    def axis(self) -> int:
        """The coordinate that is constant along the cut."""
        return 1 if self.level else 0


def crossings(loop: Loop, cut: Cut) -> list[tuple[int, float]]:
    """Find where a cut crosses a loop [mm]."""
    found = []
    for number, edge in enumerate(loop.edges):
        places = np.linspace(0.0, float(edge.s[-1]), 2 if edge.form is Form.LINE else 65)
        off = edge.at(places)[:, cut.axis] - cut.at_mm
        for i in np.flatnonzero((off[:-1] < 0.0) != (off[1:] < 0.0)):

            def distance(s: float, edge: FlatEdge = edge) -> float:
                return float(edge.at(s)[0, cut.axis]) - cut.at_mm

            found.append((number, float(brentq(distance, places[i], places[i + 1], xtol=1e-12))))
    return found


def _from_first_end(edge: FlatEdge, s: float) -> float:
    """The place on an edge as its share of the length, from the end that its own parameter begins at."""
    share = s / float(edge.s[-1])
    return share if edge.forward else 1.0 - share


@frozen(eq=False)
class _Splits:
    """Where edges are divided, by key: shares of their lengths in rising order, and the keys of the parts."""

    shares: Mapping[int, tuple[float, ...]]
    keys: Mapping[int, tuple[int, ...]]

    @classmethod
    def of(
        cls, outlines: Mapping[str, Outline], cuts: Mapping[str, Sequence[Cut]], first_key: int
    ) -> "_Splits":
        places: dict[int, list[float]] = {}
        lengths: dict[int, float] = {}
        for name, lines in cuts.items():
            for cut in lines:
                for number, s in crossings(outlines[name].outer, cut):
                    edge = outlines[name].outer.edges[number]
                    places.setdefault(edge.key, []).append(_from_first_end(edge, s))
                    lengths[edge.key] = edge.length_mm
        shares, keys, following = {}, {}, first_key
        for key, found in places.items():
            merged: list[float] = []
            for share in sorted(found):
                if not merged or (share - merged[-1]) * lengths[key] > _ONE_POINT_MM:
                    merged.append(share)
            shares[key] = tuple(merged)
            keys[key] = tuple(range(following, following + len(merged) + 1))
            following += len(merged) + 1
        return cls(shares, keys)

    def parts(self, edge: FlatEdge) -> tuple[FlatEdge, ...]:
        """An edge in its parts, in walking order."""
        if edge.key not in self.shares:
            return (edge,)
        ends = [0.0, *self.shares[edge.key], 1.0]
        keys = list(self.keys[edge.key])
        if not edge.forward:
            ends, keys = [1.0 - end for end in ends[::-1]], keys[::-1]
        whole = float(edge.s[-1])
        return tuple(
            evolve(edge.part(a * whole, b * whole), key=key)
            for a, b, key in zip(ends[:-1], ends[1:], keys, strict=True)
        )

    def loop(self, loop: Loop) -> Loop:
        return evolve(loop, edges=tuple(part for edge in loop.edges for part in self.parts(edge)))

    def outline(self, outline: Outline) -> Outline:
        folds = (evolve(f, edge=part) for f in outline.folds for part in self.parts(f.edge))
        holes = tuple(self.loop(hole) for hole in outline.holes)
        return evolve(outline, outer=self.loop(outline.outer), holes=holes, folds=tuple(folds))

    def all_keys(self, keys: frozenset[int]) -> frozenset[int]:
        return frozenset(part for key in keys for part in self.keys.get(key, (key,)))


def _beyond(edge: FlatEdge, cut: Cut) -> float:
    """How far an edge's middle lies beyond a cut that it does not cross: its ends may both lie on it."""
    return float(edge.at(float(edge.s[-1]) / 2)[0][cut.axis]) - cut.at_mm


def _ends_on(edges: Sequence[FlatEdge], cut: Cut) -> list[int]:
    """Numbers of the edges that begin on a cut, the loop being divided there already."""
    return [
        i
        for i, edge in enumerate(edges)
        if abs(float(edge.start[cut.axis]) - cut.at_mm) <= 2 * _ONE_POINT_MM
        and _beyond(edges[i - 1], cut) * _beyond(edge, cut) < 0.0
    ]


def _halves(outline: Outline, cut: Cut, key: int, name: str) -> tuple[Outline, Outline]:
    """The part below, or left of, a cut and the other one, both with the join as an edge."""
    edges = outline.outer.edges
    places = _ends_on(edges, cut)
    if len(places) != 2:
        raise GeometryError(f"the join of {name} meets its sewing line {len(places)} times, not twice")
    i, j = places
    walks = [edges[i:j], (*edges[j:], *edges[:i])]
    walks.sort(key=lambda walk: float(np.mean([e.xy[:, cut.axis].mean() for e in walk])))
    loops = []
    for number, walk in enumerate(walks):
        join = FlatEdge.straight(walk[-1].end, walk[0].start, key)
        loops.append(Loop((*walk, join if number == 0 else evolve(join, forward=False)), outline.closure_mm))
    areas = [Polygon(loop.polyline(TOLERANCES.drawing_sagitta_mm)) for loop in loops]

    def part(number: int) -> Outline:
        inside = [Polygon(hole.polyline(1.0)).representative_point() for hole in outline.holes]
        holes = tuple(h for h, p in zip(outline.holes, inside, strict=True) if areas[number].contains(p))
        flat = loops[number].area_mm2 + sum(hole.area_mm2 for hole in holes)
        return evolve(
            outline,
            outer=loops[number],
            holes=holes,
            folds=tuple(f for f in outline.folds if (_beyond(f.edge, cut) > 0.0) == bool(number)),
            flat_area_mm2=flat,
            face_area_mm2=outline.face_area_mm2 * flat / outline.flat_area_mm2,
        )

    return part(0), part(1)


def _on_table(outline: Outline, cut: Cut) -> Outline:
    """A part above or beside a cut, moved to the table's edge: from y = 0 up, or about x = 0."""
    points = outline.outer.polyline(1.0)
    if cut.level:
        return outline.moved(0.0, 0.0, -float(points[:, 1].min()))
    return outline.moved(0.0, -float(points[:, 0].min() + points[:, 0].max()) / 2, 0.0)


def _parts(outline: Outline, cuts: Sequence[Cut], first_key: int, name: str) -> list[Outline]:
    """A divided outline cut apart, from below or from the left on."""
    rest, found = outline, []
    for number, cut in enumerate(sorted(cuts)):
        low, rest = _halves(rest, cut, first_key + number, name)
        found.append(low)
    found.append(rest)
    placed = [found[0] if cuts[0].level else _on_table(found[0], cuts[0])]
    return [*placed, *(_on_table(part, cuts[0]) for part in found[1:])]


def _uses(
    graph: SeamGraph,
    splits: _Splits,
    homes: Mapping[str, Mapping[int, str]],
    joins: Mapping[int, tuple[str, str]],
) -> Iterator[EdgeUse]:
    """Uses of all edges after the cuts, joins included."""

    def home(sheet: str, key: int) -> str:
        return homes[sheet][key] if sheet in homes else sheet

    for use in graph.uses:
        for key in splits.keys.get(use.key, (use.key,)):
            if use.role is EdgeRole.FOLD and use.sheet in homes and key not in homes[use.sheet]:
                continue  # a fold that was laid flat as one face has no edge on the table
            yield EdgeUse(
                key, home(use.sheet, key), use.role, tuple(home(partner, key) for partner in use.partners)
            )
    for key, (low, high) in joins.items():
        yield EdgeUse(key, low, EdgeRole.SEAM, (high,))
        yield EdgeUse(key, high, EdgeRole.SEAM, (low,))


def divided(
    outlines: Mapping[str, Outline], graph: SeamGraph, cuts: Mapping[str, Sequence[Cut]]
) -> tuple[dict[str, Outline], SeamGraph]:
    """Divide sheets: ``panel_03`` into ``panel_03_a``, ``panel_03_b`` … from below or from the left on."""
    top = 1 + max(edge.key for o in outlines.values() for loop in o.loops for edge in loop.edges)
    top = max(top, 1 + max(use.key for use in graph.uses))
    splits = _Splits.of(outlines, cuts, top)
    following = max([top, *(1 + max(keys) for keys in splits.keys.values())])
    pieces: dict[str, Outline] = {}
    kinds = {}
    homes: dict[str, dict[int, str]] = {}
    joins: dict[int, tuple[str, str]] = {}
    for name, outline in outlines.items():
        whole = splits.outline(outline)
        if not cuts.get(name):
            pieces[name], kinds[name] = whole, graph.kinds[name]
            continue
        parts = _parts(whole, cuts[name], following, name)
        names = [f"{name}_{letter}" for letter, _ in zip(ascii_lowercase, parts, strict=False)]
        homes[name] = {
            edge.key: part_name
            for part_name, part in zip(names, parts, strict=True)
            for edge in (*(e for loop in part.loops for e in loop.edges), *(f.edge for f in part.folds))
        }
        for low, high in pairwise(names):
            joins[following] = (low, high)
            following += 1
        pieces |= dict(zip(names, parts, strict=True))
        kinds |= dict.fromkeys(names, graph.kinds[name])
    return pieces, SeamGraph(
        uses=tuple(_uses(graph, splits, homes, joins)),
        kinds=Named("sheet", kinds),
        feet=splits.all_keys(graph.feet),
        tops=splits.all_keys(graph.tops),
        ends=splits.all_keys(graph.ends),
        joins=frozenset(joins),
    )

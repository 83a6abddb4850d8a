"""STEP files read without the kernel that wrote them: records by `steputils`, splines by SciPy, the rest by counting.

What the words mean is said in ISO 10303: part 21 the text, 42 faces and curves, 41 and 44 units and trees of products.
"""

import itertools
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from scipy.interpolate import BSpline, NdBSpline
from steputils import p21

__all__ = ["StepFile", "StepShell"]

#: Places along a curve; Gauss points in each span of a surface.
_PLACES, _GAUSS = 24, 4


class StepFile:
    """The records of a file by number, and what they mean."""

    def __init__(self, path: Path):
        read = p21.readfile(str(path))
        self.header = {name: tuple(one.params) for name, one in read.header.entities.items()}
        self._records = read.data[0].instances
        self._by_kind: dict[str, list[str]] = {}
        for number, one in self._records.items():
            for entity in self._entities(one):
                self._by_kind.setdefault(str(entity.name), []).append(number)

    @staticmethod
    def _entities(one: Any) -> list[Any]:
        return one.entities if hasattr(one, "entities") else [one.entity]

    def kind(self, number: str) -> str:
        """What a record is; of several at once the first."""
        return str(self._entities(self._records[number])[0].name)

    def of(self, number: str, kind: str = "") -> tuple[Any, ...]:
        """What stands in a record, or in that part of it."""
        entities = self._entities(self._records[number])
        (found,) = [one for one in entities if not kind or one.name == kind]
        return tuple(found.params)

    def all(self, kind: str) -> list[str]:
        """Numbers of all records of a kind."""
        return self._by_kind.get(kind, [])

    def dangling(self) -> set[str]:
        """Numbers that a record names and that do not stand in the file."""
        named = {n for one in self._records.values() for e in self._entities(one) for n in _numbers(e.params)}
        return named - set(self._records)

    def lengths(self) -> Counter[tuple[str, ...]]:
        """Units of length of everything that has a shape: prefix and name, how often."""
        found: Counter[tuple[str, ...]] = Counter()
        for context in self.all("GLOBAL_UNIT_ASSIGNED_CONTEXT"):
            (units,) = self.of(context, "GLOBAL_UNIT_ASSIGNED_CONTEXT")
            for unit in units:
                if any(one.name == "LENGTH_UNIT" for one in self._entities(self._records[unit])):
                    found[tuple(map(str, self.of(unit, "SI_UNIT")))] += 1
        return found

    def _product(self, definition: str) -> str:
        return str(self.of(self.of(self.of(definition)[2])[2])[1])

    def tree(self) -> dict[str, list[str]]:
        """Names of the parts of every assembly, in order."""
        found: dict[str, list[str]] = {}
        for place in self.all("NEXT_ASSEMBLY_USAGE_OCCURRENCE"):
            _, name, _, whole, part, _ = self.of(place)
            assert name == self._product(part)
            found.setdefault(self._product(whole), []).append(str(name))
        return found

    def moved(self) -> list[str]:
        """Placements of parts that are not where the whole is."""
        own = []
        for number in self.all("ITEM_DEFINED_TRANSFORMATION"):
            ends = [[self._triple(part) for part in self.of(at)[1:]] for at in self.of(number)[2:]]
            own += [] if np.allclose(*ends, atol=1e-12) else [number]
        return own

    def shapes(self) -> dict[str, tuple[str, list["StepShell"]]]:
        """By name of a part: the kind of its shape, and its shells."""
        found = {}
        for number in self.all("SHAPE_DEFINITION_REPRESENTATION"):
            shape, drawn = self.of(number)
            items = [one for one in self.of(drawn)[1] if self.kind(one) != "AXIS2_PLACEMENT_3D"]
            if items:
                (item,) = items
                held = self.of(item)[1]
                shells = held if isinstance(held, tuple) else (held,)
                own = [StepShell(self, shell) for shell in shells]
                found[self._product(self.of(shape)[2])] = (self.kind(item), own)
        return found

    def colours(self) -> int:
        """How many things have a colour."""
        return len(self.all("STYLED_ITEM"))

    def _triple(self, number: str) -> list[float]:
        return [float(x) for x in self.of(number)[1]]

    def point(self, number: str) -> np.ndarray:
        """A point, or that of a vertex."""
        return np.array(self._triple(self.of(number)[1] if self.kind(number) == "VERTEX_POINT" else number))

    def curve(self, number: str) -> BSpline | None:
        """A spline curve in space or on a surface; None for a curve of another kind."""
        if self.kind(number) in ("SURFACE_CURVE", "SEAM_CURVE"):
            number = self.of(number)[1]
        if self.kind(number) != "B_SPLINE_CURVE_WITH_KNOTS":
            return None
        _, degree, poles, _, _, _, times, knots, _ = self.of(number)
        return BSpline(np.repeat(knots, times), np.array([self._triple(pole) for pole in poles]), degree)

    def surface(self, number: str) -> NdBSpline | None:
        """A spline surface; None for one of another kind."""
        if self.kind(number) != "B_SPLINE_SURFACE_WITH_KNOTS":
            return None
        _, p, q, poles, _, _, _, _, u_times, v_times, u, v, _ = self.of(number)
        grid = np.array([[self._triple(pole) for pole in row] for row in poles])
        return NdBSpline((np.repeat(u, u_times), np.repeat(v, v_times)), grid, (p, q))


def _numbers(params: Any) -> Iterator[str]:
    for one in params:
        if isinstance(one, tuple):
            yield from _numbers(one)
        elif isinstance(one, p21.Reference):
            yield str(one)


class StepShell:
    """Faces that hang together."""

    def __init__(self, file: StepFile, number: str):
        self._file = file
        self.closed = file.kind(number) == "CLOSED_SHELL"
        #: Surface of each face, and its loops: edges with their ways, the face to the left seen from outside.
        self.faces: list[tuple[str, list[list[tuple[str, bool]]]]] = []
        for face in file.of(number)[1]:
            _, bounds, surface, _ = file.of(face)
            self.faces.append((surface, [self._loop(bound) for bound in bounds]))

    def _loop(self, bound: str) -> list[tuple[str, bool]]:
        _, loop, way = self._file.of(bound)
        edges = []
        for walked in self._file.of(loop)[1]:
            _, _, _, edge, forward = self._file.of(walked)
            edges.append((edge, forward == ".T."))
        return edges if way == ".T." else [(edge, not forward) for edge, forward in edges[::-1]]

    def uses(self) -> Counter[tuple[str, bool]]:
        """How often each edge is walked each way."""
        return Counter(one for _, loops in self.faces for loop in loops for one in loop)

    def ends(self, edge: str, forward: bool) -> tuple[str, str]:
        """Vertices at which a walk along an edge begins and ends."""
        start, end = self._file.of(edge)[1:3]
        return (start, end) if forward else (end, start)

    def broken_loops(self) -> int:
        """How many loops have an edge that does not begin where the one before it ends."""
        broken = 0
        for _, loops in self.faces:
            for loop in loops:
                walk = [self.ends(*one) for one in loop]
                broken += any(a[1] != b[0] for a, b in zip(walk, walk[1:] + walk[:1], strict=True))
        return broken

    def euler(self) -> int:
        """Corners less edges plus faces less holes in them: 2 for a ball."""
        edges = {edge for edge, _ in self.uses()}
        corners = {corner for edge in edges for corner in self.ends(edge, True)}
        holes = sum(len(loops) - 1 for _, loops in self.faces)
        return len(corners) - len(edges) + len(self.faces) - holes

    def _flat(self, edge: str, surface: str) -> list[BSpline]:
        """Curves of an edge in the parameters of a surface."""
        curve = self._file.of(edge)[3]
        if self._file.kind(curve) not in ("SURFACE_CURVE", "SEAM_CURVE"):
            return []
        own = [self._file.of(one) for one in self._file.of(curve)[2] if self._file.kind(one) == "PCURVE"]
        splines = [self._file.curve(self._file.of(flat)[1][0]) for _, base, flat in own if base == surface]
        return [spline for spline in splines if spline is not None]

    def gap_mm(self) -> float:
        """Largest distance of a spline face from an edge of it, and of an edge from its corners [mm]."""
        worst = 0.0
        for number, loops in self.faces:
            surface = self._file.surface(number)
            for edge, _ in [one for loop in loops for one in loop]:
                curve = self._file.curve(self._file.of(edge)[3])
                if curve is None:
                    continue
                at = np.linspace(curve.t[0], curve.t[-1], _PLACES)
                ends = [self._file.point(corner) for corner in self.ends(edge, True)]
                worst = max(worst, np.linalg.norm(curve(at[[0, -1]]) - ends, axis=1).max())
                for flat in self._flat(edge, number) if surface is not None else []:
                    worst = max(worst, np.linalg.norm(surface(flat(at)) - curve(at), axis=1).max())
        return float(worst)

    def volume_mm3(self) -> float:
        """The room inside, where faces are splines or flat: a third of the flow of the place itself through each."""
        return sum(self._flow(*face) for face in self.faces) / 3.0

    def _flow(self, number: str, loops: list[list[tuple[str, bool]]]) -> float:
        surface = self._file.surface(number)
        if surface is None:
            assert self._file.kind(number) == "PLANE"
            walked = [self._points(loop) for loop in loops]
            areas = [np.cross(points, np.roll(points, -1, axis=0)).sum(axis=0) / 2 for points in walked]
            return float(walked[0][0] @ np.sum(areas, axis=0))
        total = 0.0
        for edge, forward in [one for loop in loops for one in loop]:
            flats = self._flat(edge, number)
            flat = flats[0 if forward or len(flats) == 1 else 1]
            total += (1.0 if forward else -1.0) * _swept(surface, flat)
        return total

    def _points(self, loop: list[tuple[str, bool]]) -> np.ndarray:
        """Points along a loop in space, in its direction."""
        found = []
        for edge, forward in loop:
            curve = self._file.curve(self._file.of(edge)[3])
            if curve is None:
                points = np.array([self._file.point(corner) for corner in self.ends(edge, True)])
            else:
                points = curve(np.linspace(curve.t[0], curve.t[-1], 20 * _PLACES))
            found.append((points if forward else points[::-1])[:-1])
        return np.concatenate(found)


def _swept(surface: NdBSpline, flat: BSpline) -> float:
    """Line integral over v along a flat curve of the inner integral over u, from the surface's edge, of its flow."""
    x, w = np.polynomial.legendre.leggauss(_GAUSS)
    breaks = np.unique(flat.t)
    steps = max(1, -(-_PLACES // (len(breaks) - 1)))
    ends = np.concatenate([np.linspace(a, b, steps + 1)[:-1] for a, b in itertools.pairwise(breaks)])
    ends = np.append(ends, breaks[-1])
    half = np.diff(ends) / 2
    at = (((ends[1:] + ends[:-1]) / 2)[:, None] + half[:, None] * x).ravel()
    u, v = flat(at).T
    slope = flat(at, nu=1)[:, 1] * (half[:, None] * w).ravel()
    knots = np.unique(surface.t[0])
    low = np.minimum(knots[:-1, None], u)
    span = np.minimum(knots[1:, None], u) - low
    inner_u = low[..., None] + span[..., None] * (x + 1) / 2
    inner_v = np.broadcast_to(v[None, :, None], inner_u.shape)
    kept = np.broadcast_to((span > 0)[..., None], inner_u.shape)
    places = np.column_stack([inner_u[kept], inner_v[kept]])
    flow = np.zeros(inner_u.shape)
    normal = np.cross(surface(places, nu=(1, 0)), surface(places, nu=(0, 1)))
    flow[kept] = (surface(places) * normal).sum(axis=1)
    inner = (flow * w / 2).sum(axis=2) * span
    return float((inner.sum(axis=0) * slope).sum())

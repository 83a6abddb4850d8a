"""The form under air as smooth surfaces: one cubic spline a face, all faces of the room at once.

Least squares over the poles of every face: each passes its nodes; along an edge its two faces have the same points; a
held edge stays on its line; and where none of these says anything a face bends as little as it can. Where nodes or
edges are still off, the grid is made finer there and all is solved again. What is left over is told: the *gap* of an
edge is how far a face's own trace of it lies off the edge's curve. This module knows no kernel and no files.
"""

from collections.abc import Sequence
from functools import cached_property

import numpy as np
from attrs import frozen
from numpy.typing import NDArray
from scipy.interpolate import BSpline, make_interp_spline
from scipy.sparse import block_diag, csc_matrix, csr_matrix, diags, vstack
from scipy.sparse.linalg import splu

from shellparts.inflate.smooth_faces import FaceNet, Side, SmoothEdge, face_net
from shellparts.inflate.spline_patch import SplinePatch, patch_over
from shellparts.inflate.whole_room import InflatedRoom

__all__ = ["LOOSE_MM", "SmoothForm", "smooth_form"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: An edge or a face that is farther off than this is told of by name [mm].
LOOSE_MM = 0.5
#: Weights of a node, of a place along an edge, of the thin plate [mm2].
_NODE, _EDGE, _PLATE = 1.0, 100.0, 0.005
#: A grid is made finer where it is farther off than this [mm].
_NEAR_MM = 0.15
#: So often at most, and up to so many poles in all.
_ROUNDS, _MOST_POLES = 6, 40_000
#: So many places along an edge at least: for fitting, for its curve, for its gap.
_FIT, _CURVE, _CHECK = 40, 12, 72
#: Stretches of a curve are halved so often at most.
_HALVINGS = 6
#: An edge whose nodes lie this near to a straight line is straight [mm].
_STRAIGHT_MM = 1e-6


@frozen(eq=False)
class SmoothForm:
    """A closed room of spline faces.

    Parameters
    ----------
    net : FaceNet
        Its faces, edges and lids.
    patches : tuple of SplinePatch
        The grid of each face.
    poles : tuple of ndarray (nu, nv, 3) float
        The poles of each face [mm].
    curves : tuple of BSpline
        Of each edge, over its length on the flat [mm]: of degree 3, or 1 where it is straight.
    traces : mapping of (int, int) to BSpline
        Flat curve of each side, by number of the face and of its side, over the same length.
    gaps_mm : ndarray (edges,) float
        Largest distance of each edge's curve from a face's own trace of it, at 60 places or more [mm].
    misses_mm : ndarray (faces,) float
        Largest distance of a face from a node that it should pass, at the node's own place on the flat [mm].
    """

    net: FaceNet
    patches: tuple[SplinePatch, ...]
    poles: tuple[Floats, ...]
    curves: tuple[BSpline, ...]
    traces: dict[tuple[int, int], BSpline]
    gaps_mm: Floats
    misses_mm: Floats

    @cached_property
    def corners(self) -> dict[int, Floats]:
        """Where edges begin and end, by node [mm]."""
        found: dict[int, Floats] = {}
        for edge, curve in zip(self.net.edges, self.curves, strict=True):
            for node, at in zip(edge.nodes[[0, -1]].tolist(), edge.lengths[[0, -1]], strict=True):
                found.setdefault(node, curve(at))
        return found


    @property
    def sheets(self) -> frozenset[str]:
        """Names of the pieces that it shows."""
        return frozenset(name for face in self.net.faces for name in face.sheets)

    @property
    def loose(self) -> list[dict[str, object]]:
        """Edges whose faces stand off more than `LOOSE_MM`, widest first: which pieces, and by how much."""
        found = []
        for number in np.argsort(-self.gaps_mm, kind="stable").tolist():
            if self.gaps_mm[number] <= LOOSE_MM:
                break
            beside = {name for face in self.net.faces for s in face.sides if s.edge == number for name in face.sheets}
            found.append({"pieces": sorted(beside), "gap_mm": float(self.gaps_mm[number])})
        return found

    @property
    def missed(self) -> list[dict[str, object]]:
        """Faces that pass a node farther off than `LOOSE_MM`: which piece, and by how much."""
        return [
            {"pieces": list(face.sheets), "miss_mm": float(miss)}
            for face, miss in zip(self.net.faces, self.misses_mm, strict=True)
            if miss > LOOSE_MM
        ]

    def record(self) -> dict[str, object]:
        """What the summary says of it."""
        return {
            "faces": len(self.net.faces),
            "largest_gap_mm": float(self.gaps_mm.max()),
            "largest_miss_mm": float(self.misses_mm.max()),
            "loose_edges": self.loose,
            "missed_faces": self.missed,
        }


def _trace(side: Side, edge: SmoothEdge) -> BSpline:
    """Flat curve of a side, over the edge's length."""
    return _through(edge.lengths, side.rest)


def _through(at: Floats, points: Floats) -> BSpline:
    """A cubic through points, straight if they are; of a lower degree where they are few."""
    chord = points[-1] - points[0]
    share = ((at - at[0]) / (at[-1] - at[0]))[:, None]
    if np.abs(points - points[0] - share * chord).max() <= _STRAIGHT_MM:
        return make_interp_spline(at[[0, -1]], points[[0, -1]], k=1)
    if np.array_equal(points[0], points[-1]) and len(at) > 4:
        closed = make_interp_spline(at, points, k=3, bc_type="periodic")
        return _clamped(closed)
    return make_interp_spline(at, points, k=min(3, len(at) - 1))


def _clamped(curve: BSpline) -> BSpline:
    """A periodic cubic as one that ends in its poles, exactly the same."""
    breaks = np.unique(curve.t[3 : len(curve.t) - 3])
    inner = np.concatenate([(breaks[:-1, None] + np.diff(breaks)[:, None] * [0.0, 0.25, 0.5, 0.75]).ravel(), breaks[-1:]])
    knots = np.concatenate([np.repeat(breaks[0], 3), breaks, np.repeat(breaks[-1], 3)])
    rows = BSpline.design_matrix(inner, knots, 3).toarray()
    return BSpline(knots, np.linalg.lstsq(rows, curve(inner), rcond=None)[0], 3)


def _between(breaks: Floats, least: int) -> Floats:
    """Places that divide every stretch into equally many, ends included: so many in all at least."""
    each = max(2, -(-least // (len(breaks) - 1)))
    share = np.arange(each) / each
    return np.concatenate([(breaks[:-1, None] + np.diff(breaks)[:, None] * share).ravel(), breaks[-1:]])


def _sides_of(net: FaceNet) -> list[list[tuple[int, int]]]:
    """For every edge the faces that have it, and which of their sides it is."""
    found: list[list[tuple[int, int]]] = [[] for _ in net.edges]
    for number, face in enumerate(net.faces):
        for place, side in enumerate(face.sides):
            found[side.edge].append((number, place))
    return found


@frozen(eq=False)
class _Samples:
    """Places along one edge, where they are on the flat pieces of its faces, and where they must be if it is held."""

    at: Floats
    sides: tuple[tuple[int, Floats], ...]
    target: Floats | None


@frozen(eq=False)
class _Seam:
    """An edge with its faces."""

    edge: SmoothEdge
    points: Floats
    uses: tuple[tuple[int, BSpline], ...]

    def samples(self, at: Floats) -> _Samples:
        flat = tuple((face, trace(at)) for face, trace in self.uses)
        target = _through(self.edge.lengths, self.points)(at) if self.edge.held else None
        return _Samples(at, flat, target)


def _solved(net: FaceNet, patches: Sequence[SplinePatch], samples: Sequence[_Samples]) -> list[Floats]:
    """Poles of all faces, (poles, 3) each."""
    first = np.concatenate([[0], np.cumsum([patch.poles for patch in patches])])
    total = int(first[-1])
    stiffness = block_diag([patch.stiffness() for patch in patches], format="csc")

    def wide(rows: csr_matrix, face: int) -> csr_matrix:
        """Rows of one face as rows over the poles of all."""
        return csr_matrix((rows.data, rows.indices + first[face], rows.indptr), shape=(rows.shape[0], total))

    blocks, goals, weights = [], [], []
    for number, (face, patch) in enumerate(zip(net.faces, patches, strict=True)):
        blocks.append(wide(patch.rows(face.rest), number))
        goals.append(net.nodes[face.nodes])
        weights.append(np.full(len(face.nodes), _NODE))
    for one in samples:
        rows = [wide(patches[face].rows(flat), face) for face, flat in one.sides]
        if one.target is not None:
            pairs = [(row, one.target) for row in rows]
        else:
            pairs = [(rows[0] - rows[1], np.zeros((rows[0].shape[0], 3)))]
        for row, goal in pairs:
            blocks.append(row)
            goals.append(goal)
            weights.append(np.full(len(goal), _EDGE))
    rows, goal = vstack(blocks, format="csr"), np.concatenate(goals)
    weighed = diags(np.concatenate(weights)) @ rows
    normal = csc_matrix(rows.T @ weighed + _PLATE * stiffness)
    # a touch on the diagonal: poles that nothing reaches
    normal = normal + diags(np.full(total, 1e-12 * normal.diagonal().max()), format="csc")
    factor = splu(normal.tocsc(), "MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
    poles = factor.solve(np.asarray(weighed.T @ goal))
    return [poles[a:b] for a, b in zip(first[:-1], first[1:], strict=True)]


def _curve(seam: _Seam, traced: Floats, at: Floats, ends: dict[int, Floats]) -> BSpline:
    """The curve of an edge: halfway between the traces of its faces, or where it is held."""
    if seam.edge.held:
        return _through(seam.edge.lengths, seam.points)
    points = traced.mean(axis=0)
    points[0], points[-1] = (ends[node] for node in seam.edge.nodes[[0, -1]].tolist())
    return _through(at, points)


def _corners(net: FaceNet, traced: Sequence[Floats]) -> dict[int, Floats]:
    """Ends of edges: where they are held, else the mean of what all faces say."""
    said: dict[int, list[Floats]] = {}
    held: set[int] = set()
    for edge, traces in zip(net.edges, traced, strict=True):
        ends = edge.nodes[[0, -1]].tolist()
        if edge.held:
            held.update(ends)
        for trace in traces:
            for node, at in zip(ends, (trace[0], trace[-1]), strict=True):
                said.setdefault(node, []).append(at)
    return {node: net.nodes[node] if node in held else np.mean(told, axis=0) for node, told in said.items()}


def smooth_form(room: InflatedRoom, near_mm: float = _NEAR_MM) -> SmoothForm:
    """Lay smooth surfaces through an inflated room.

    Parameters
    ----------
    room : InflatedRoom
        It stands.
    near_mm : float
        Grids are made finer where nodes or edges are farther off than this [mm].

    Returns
    -------
    SmoothForm

    Raises
    ------
    GeometryError
        If the room does not close.
    """
    net = face_net(room)
    sides = _sides_of(net)
    traces = {
        (number, place): _trace(side, net.edges[side.edge])
        for number, face in enumerate(net.faces)
        for place, side in enumerate(face.sides)
    }
    seams = [
        _Seam(edge, net.nodes[edge.nodes], tuple((face, traces[face, place]) for face, place in uses))
        for edge, uses in zip(net.edges, sides, strict=True)
    ]
    samples = [seam.samples(_between(seam.edge.lengths, _FIT)) for seam in seams]
    patches = []
    for number, face in enumerate(net.faces):
        flats = [face.rest, *(traces[number, i](_between(net.edges[s.edge].lengths, _CHECK)) for i, s in enumerate(face.sides))]
        span = np.sqrt(np.prod(np.ptp(np.concatenate(flats), axis=0)) / len(face.nodes))
        patches.append(patch_over(flats, float(span)))
    for turn in range(_ROUNDS):
        poles = _solved(net, patches, samples)
        if turn == _ROUNDS - 1:
            break
        bad = _nodes_off(net, patches, poles, near_mm)
        added = 0
        for i, (seam, one) in enumerate(zip(seams, samples, strict=True)):
            check = seam.samples(_between(one.at, 2 * (len(one.at) - 1)))
            off = _apart(check, patches, poles)
            for (face, flat), own in zip(check.sides, off, strict=True):
                bad[face] += [flat[::2][own[::2] > near_mm]]
            new = off[:, 1::2].max(axis=0) > near_mm
            added += int(new.sum())
            samples[i] = seam.samples(np.sort(np.concatenate([one.at, check.at[1::2][new]])))
        bad = [np.concatenate(places) for places in bad]
        finer = [patch.finer(places) if len(places) else patch for patch, places in zip(patches, bad, strict=True)]
        if not added and not any(map(len, bad)) or sum(patch.poles for patch in finer) > _MOST_POLES:
            break
        patches = finer
    return _finished(net, patches, poles, seams, traces, near_mm)


def _nodes_off(
    net: FaceNet, patches: Sequence[SplinePatch], poles: Sequence[Floats], near_mm: float
) -> list[list[Floats]]:
    """For every face the nodes on its flat piece that it misses by too much."""
    found = []
    for face, patch, own in zip(net.faces, patches, poles, strict=True):
        off = np.linalg.norm(patch.rows(face.rest) @ own - net.nodes[face.nodes], axis=1)
        found.append([face.rest[off > near_mm]])
    return found


def _apart(samples: _Samples, patches: Sequence[SplinePatch], poles: Sequence[Floats]) -> Floats:
    """How far each face's trace is from where the edge ought to be, (faces, places)."""
    there = np.array([patches[face].rows(flat) @ poles[face] for face, flat in samples.sides])
    goal = there.mean(axis=0) if samples.target is None else samples.target
    return np.asarray(np.linalg.norm(there - goal, axis=2))


def _finished(
    net: FaceNet,
    patches: Sequence[SplinePatch],
    poles: Sequence[Floats],
    seams: Sequence[_Seam],
    traces: dict[tuple[int, int], BSpline],
    near_mm: float,
) -> SmoothForm:
    """Curves of the edges, and how far off all is."""

    def traced(seam: _Seam, at: Floats) -> Floats:
        return np.array([patches[face].rows(flat) @ poles[face] for face, flat in seam.samples(at).sides])

    ends = _corners(net, [traced(seam, seam.edge.lengths[[0, -1]]) for seam in seams])
    curves, gaps = [], []
    for seam in seams:
        at = _between(seam.edge.lengths, _CURVE)
        for turn in range(_HALVINGS + 1):
            curve = _curve(seam, traced(seam, at), at, ends)
            check = _between(at, _CHECK)
            there = traced(seam, check)
            off = np.linalg.norm(there.mean(axis=0) - curve(check), axis=1) > near_mm / 3
            if not off.any() or seam.edge.held or turn == _HALVINGS:
                break
            wide = np.unique(np.clip(np.searchsorted(at, check[off], "right") - 1, 0, len(at) - 2))
            at = np.sort(np.concatenate([at, (at[wide] + at[wide + 1]) / 2]))
        curves.append(curve)
        gaps.append(float(np.linalg.norm(there - curve(check), axis=2).max()))
    misses = [
        float(np.linalg.norm(patch.rows(face.rest) @ own - net.nodes[face.nodes], axis=1).max())
        for face, patch, own in zip(net.faces, patches, poles, strict=True)
    ]
    shaped = tuple(own.reshape(*patch.shape, 3) for own, patch in zip(poles, patches, strict=True))
    return SmoothForm(
        net, tuple(patches), shaped, tuple(curves), traces, np.array(gaps), np.array(misses)
    )

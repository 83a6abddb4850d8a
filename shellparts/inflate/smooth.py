"""The form under air as smooth surfaces: one cubic spline a face, all faces of the room at once.

What is left over is told: the *gap* of an
edge is how far a face's own trace of it lies off the edge's curve. This module knows no kernel and no files.
"""

import math
from collections.abc import Sequence
from functools import cached_property

import numpy as np
from attrs import frozen
from numpy.typing import NDArray
from scipy.interpolate import BSpline, make_interp_spline

from shellparts.inflate.smooth_faces import FaceNet, face_net
from shellparts.inflate.smooth_fit import Fit, FitSeam, between, fitted
from shellparts.inflate.spline_patch import SplinePatch, patch_over
from shellparts.inflate.whole_room import InflatedRoom

__all__ = ["LOOSE_MM", "SmoothForm", "smooth_form"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: An edge or a face that is farther off than this is told of by name [mm].
LOOSE_MM = 0.5
#: A grid is made finer where it is farther off than this [mm].
_NEAR_MM = 0.25
#: First spans of a grid, as a share of the mean distance of its nodes [-].
_SPAN = 0.8
#: So many places along an edge at least: for its curve, for where that must be finer, and for its gap, which a few
#: places understate: a face's trace bends at every break of its grid.
_CURVE, _CHECK, _MEASURE = 12, 72, 400
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
        Largest distance of each edge's curve from a face's own trace of it, at 400 places or more [mm].
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
    def loose(self) -> list[tuple[tuple[str, ...], float]]:
        """Edges whose faces stand off more than `LOOSE_MM`, widest first: pieces beside each, and by how much [mm]."""
        found = []
        for number in np.argsort(-self.gaps_mm, kind="stable").tolist():
            if self.gaps_mm[number] <= LOOSE_MM:
                break
            faces = [face for face in self.net.faces if any(side.edge == number for side in face.sides)]
            pieces = sorted({name for face in faces for name in face.sheets})
            found.append((tuple(pieces), float(self.gaps_mm[number])))
        return found

    @property
    def missed(self) -> list[tuple[tuple[str, ...], float]]:
        """Faces that pass a node farther off than `LOOSE_MM`: pieces they belong to, and by how much [mm]."""
        pairs = zip(self.net.faces, self.misses_mm.tolist(), strict=True)
        return [(face.sheets, miss) for face, miss in pairs if miss > LOOSE_MM]

    def record(self) -> dict[str, object]:
        """What the summary says of it."""
        return {
            "faces": len(self.net.faces),
            "largest_gap_mm": float(self.gaps_mm.max()),
            "largest_miss_mm": float(self.misses_mm.max()),
            "loose_edges": [{"pieces": list(names), "gap_mm": gap} for names, gap in self.loose],
            "missed_faces": [{"pieces": list(names), "miss_mm": miss} for names, miss in self.missed],
        }


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
    inner = np.concatenate(
        [(breaks[:-1, None] + np.diff(breaks)[:, None] * [0.0, 0.25, 0.5, 0.75]).ravel(), breaks[-1:]]
    )
    knots = np.concatenate([np.repeat(breaks[0], 3), breaks, np.repeat(breaks[-1], 3)])
    rows = BSpline.design_matrix(inner, knots, 3).toarray()
    return BSpline(knots, np.linalg.lstsq(rows, curve(inner), rcond=None)[0], 3)


def _sides_of(net: FaceNet) -> list[list[tuple[int, int]]]:
    """For every edge the faces that have it, and which of their sides it is."""
    found: list[list[tuple[int, int]]] = [[] for _ in net.edges]
    for number, face in enumerate(net.faces):
        for place, side in enumerate(face.sides):
            found[side.edge].append((number, place))
    return found


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
        (number, place): _through(net.edges[side.edge].lengths, side.rest)
        for number, face in enumerate(net.faces)
        for place, side in enumerate(face.sides)
    }
    seams = [
        FitSeam(
            edge,
            tuple((face, traces[face, place]) for face, place in uses),
            _through(edge.lengths, net.nodes[edge.nodes]) if edge.held else None,
        )
        for edge, uses in zip(net.edges, sides, strict=True)
    ]
    flats: list[list[Floats]] = [[face.rest] for face in net.faces]
    for seam in seams:
        for face, trace in seam.uses:
            flats[face].append(trace(between(seam.edge.lengths, _CHECK)))
    patches = []
    for own in flats:
        area = float(np.prod(np.ptp(np.concatenate(own), axis=0)))
        patches.append(patch_over(own, _SPAN * math.sqrt(area / len(own[0]))))
    fit = fitted(net, patches, seams, near_mm)
    curves, gaps = _curves(net, fit, seams, near_mm)
    misses = [
        float(np.linalg.norm(points[0] - net.nodes[face.nodes], axis=1).max())
        for face, points in zip(net.faces, fit.at([[face.rest] for face in net.faces]), strict=True)
    ]
    shaped = tuple(
        fit.poles[a:b].reshape(*patch.shape, 3)
        for patch, a, b in zip(fit.patches, fit.first[:-1], fit.first[1:], strict=True)
    )
    return SmoothForm(net, fit.patches, shaped, tuple(curves), traces, np.array(gaps), np.array(misses))


def _curves(
    net: FaceNet, fit: Fit, seams: Sequence[FitSeam], near_mm: float
) -> tuple[list[BSpline], list[float]]:
    """Curves of the edges halfway between what their faces say, or where they are held; and the gaps that are left."""
    ends = _corners(net, fit.traces(seams, [seam.edge.lengths[[0, -1]] for seam in seams]))
    curves: list[BSpline] = [seam.course for seam in seams]
    ats = {i: between(seam.edge.lengths, _CURVE) for i, seam in enumerate(seams)}
    for turn in range(_HALVINGS + 1):
        own = [seams[i] for i in ats]
        checks = [between(at, _CHECK) for at in ats.values()]
        told = fit.traces(own, list(ats.values()))
        there = fit.traces(own, checks)
        finer = {}
        for i, seam, check, at_knots, points in zip(list(ats), own, checks, told, there, strict=True):
            at = ats[i]
            if seam.course is None:
                through = at_knots.mean(axis=0)
                through[0], through[-1] = (ends[node] for node in seam.edge.nodes[[0, -1]].tolist())
                curves[i] = _through(at, through)
            off = np.linalg.norm(points.mean(axis=0) - curves[i](check), axis=1) > near_mm / 3
            if seam.course is None and off.any() and turn < _HALVINGS:
                wide = np.unique(np.clip(np.searchsorted(at, check[off], "right") - 1, 0, len(at) - 2))
                finer[i] = np.sort(np.concatenate([at, (at[wide] + at[wide + 1]) / 2]))
        ats = finer
        if not ats:
            break
    places = [between(seam.edge.lengths, _MEASURE) for seam in seams]
    there = fit.traces(seams, places)
    gaps = [
        float(np.linalg.norm(points - curve(at), axis=2).max())
        for points, curve, at in zip(there, curves, places, strict=True)
    ]
    return curves, gaps

"""Least squares over the poles of all faces of a room at once.

Each face passes its nodes; along an edge its two faces have the same points; a held edge stays on its line; and where
none of these says anything a face bends as little as it can. Where nodes or edges are still off, the grid is made finer
there, or an edge is asked at more places, and all is solved again. This module knows no kernel.
"""

from collections.abc import Sequence

import numpy as np
from attrs import frozen
from numpy.typing import NDArray
from scipy.interpolate import BSpline
from scipy.sparse import block_diag, csc_matrix, csr_matrix, diags, tril, vstack

from shellparts.base.errors import GeometryError
from shellparts.inflate.factor import analysed
from shellparts.inflate.smooth_faces import FaceNet, SmoothEdge
from shellparts.inflate.spline_patch import SplinePatch

__all__ = ["Fit", "FitSeam", "between", "fitted"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: Weights of a node, of a place along an edge, of a guide, of one on a chord, of the thin plate [mm2].
_NODE, _EDGE, _GUIDE, _CHORD, _PLATE = 1.0, 100.0, 0.02, 0.5, 0.005
#: What keeps the matrix regular where a pole is reached by nothing, as a share of its largest entry [-].
_REGULAR = 1e-12
#: All is solved so often at most, and with so many poles in all.
_ROUNDS, _MOST_POLES = 6, 60_000
#: So many places along an edge at least are fitted.
_PLACES = 40


@frozen(eq=False)
class FitSeam:
    """An edge with the flat curves that its faces have of it, over its length, and its course if it is held."""

    edge: SmoothEdge
    uses: tuple[tuple[int, BSpline], ...]
    course: BSpline | None


@frozen(eq=False)
class Fit:
    """Patches with their poles.

    Parameters
    ----------
    patches : tuple of SplinePatch
        One a face.
    first : ndarray (faces + 1,) int
        Number of each one's first pole among all.
    poles : ndarray (n, 3) float
        Of all patches [mm].
    """

    patches: tuple[SplinePatch, ...]
    first: Ints
    poles: Floats

    def at(self, flats: Sequence[Sequence[Floats]]) -> list[list[Floats]]:
        """Points in space of places on the flat pieces, listed for each face [mm]."""
        return [
            [np.einsum("nk,nkc->nc", values, self.poles[columns]) for columns, values in own]
            for own in _weighed(self.patches, self.first, flats)
        ]

    def traces(self, seams: Sequence[FitSeam], ats: Sequence[Floats]) -> list[Floats]:
        """What the faces of each seam say at places along it, (faces, places, 3) each [mm]."""
        flats, home = _gathered(len(self.patches), seams, ats)
        points = self.at(flats)
        return [np.array([points[face][place] for face, place in uses]) for uses in home]


def between(breaks: Floats, least: int) -> Floats:
    """Places that divide every stretch into equally many, ends included: so many in all at least."""
    each = max(2, -(-least // (len(breaks) - 1)))
    share = np.arange(each) / each
    return np.concatenate([(breaks[:-1, None] + np.diff(breaks)[:, None] * share).ravel(), breaks[-1:]])


def _gathered(
    faces: int, seams: Sequence[FitSeam], ats: Sequence[Floats]
) -> tuple[list[list[Floats]], list[list[tuple[int, int]]]]:
    """Places along seams by face, and where in these lists each seam finds its own."""
    flats: list[list[Floats]] = [[] for _ in range(faces)]
    home = []
    for seam, at in zip(seams, ats, strict=True):
        home.append(
            [
                (face, len(flats[face]) + sum(f == face for f, _ in seam.uses[:i]))
                for i, (face, _) in enumerate(seam.uses)
            ]
        )
        for face, trace in seam.uses:
            flats[face].append(trace(at))
    return flats, home


def _weighed(
    patches: Sequence[SplinePatch], first: Ints, flats: Sequence[Sequence[Floats]]
) -> list[list[tuple[Ints, Floats]]]:
    """Weights of the poles of all patches at places, listed for each face."""
    found: list[list[tuple[Ints, Floats]]] = []
    for patch, start, own in zip(patches, first[:-1], flats, strict=True):
        if not own:
            found.append([])
            continue
        columns, values = patch.weights(np.concatenate(list(own)))
        ends = np.cumsum([len(one) for one in own])[:-1]
        found.append(list(zip(np.split(columns + start, ends), np.split(values, ends), strict=True)))
    return found


def _rows(parts: Sequence[tuple[Ints, Floats]], total: int) -> csr_matrix:
    """Rows of a matrix, all of one length."""
    columns = np.concatenate([one for one, _ in parts])
    values = np.concatenate([one for _, one in parts])
    ends = np.arange(0, columns.size + 1, columns.shape[1])
    return csr_matrix((values.ravel(), columns.ravel(), ends), shape=(len(columns), total))


def _solved(
    net: FaceNet, patches: Sequence[SplinePatch], seams: Sequence[FitSeam], ats: Sequence[Floats]
) -> Fit:
    first = np.concatenate([[0], np.cumsum([patch.poles for patch in patches])]).astype(np.int64)
    total = int(first[-1])
    flats, home = _gathered(len(patches), seams, ats)
    weights = _weighed(
        patches,
        first,
        [[face.rest, face.guides.rest, *own] for face, own in zip(net.faces, flats, strict=True)],
    )
    alone, goals, shares = [], [], []
    joint = []
    for face, own in zip(net.faces, weights, strict=True):
        alone += own[:2]
        goals += [net.nodes[face.nodes], face.guides.points]
        shares += [np.full(len(face.nodes), _NODE), np.where(face.guides.chords, _CHORD, _GUIDE)]
    for seam, at, uses in zip(seams, ats, home, strict=True):
        rows = [weights[face][2 + place] for face, place in uses]
        if seam.course is not None:
            alone += rows
            goals += [seam.course(at)] * len(rows)
            shares += [np.full(len(at), _EDGE)] * len(rows)
        else:
            (a, x), (b, y) = rows
            joint.append((np.hstack([a, b]), np.hstack([x, -y])))
    blocks = [_rows(alone, total)]
    if joint:
        blocks.append(_rows(joint, total))
        shares.append(np.full(blocks[1].shape[0], _EDGE))
        goals.append(np.zeros((blocks[1].shape[0], 3)))
    matrix = vstack(blocks, format="csr")
    weighed = diags(np.concatenate(shares)) @ matrix
    stiffness = block_diag([patch.stiffness for patch in patches], format="csc")
    normal = csc_matrix(matrix.T @ weighed + _PLATE * stiffness)
    normal += diags(np.full(total, _REGULAR * normal.diagonal().max()), format="csc")
    lower = csc_matrix(tril(normal))
    lower.sort_indices()
    factor = analysed(lower)(lower.data)
    if factor is None:
        raise GeometryError("smooth surfaces through the form under air are not determined")
    right = weighed.T @ np.concatenate(goals)
    poles = np.column_stack([factor.solve(np.ascontiguousarray(column)) for column in right.T])
    return Fit(tuple(patches), first, poles)


def fitted(net: FaceNet, patches: Sequence[SplinePatch], seams: Sequence[FitSeam], near_mm: float) -> Fit:
    """Find the poles of all patches, on grids as fine as it takes.

    Parameters
    ----------
    net : FaceNet
        Faces with their nodes.
    patches : sequence of SplinePatch
        A coarse grid for each face.
    seams : sequence of FitSeam
        One an edge of the net.
    near_mm : float
        Grids are made finer where nodes or edges are farther off than this [mm].

    Returns
    -------
    Fit

    Raises
    ------
    GeometryError
        If the surfaces are not determined.
    """
    ats = [between(seam.edge.lengths, _PLACES) for seam in seams]
    for turn in range(_ROUNDS):
        fit = _solved(net, patches, seams, ats)
        if turn == _ROUNDS - 1:
            break
        checks = [between(at, 2 * (len(at) - 1)) for at in ats]
        flats, home = _gathered(len(patches), seams, checks)
        points = fit.at([[face.rest, *own] for face, own in zip(net.faces, flats, strict=True)])
        bad: list[list[Floats]] = []
        worst = np.zeros(len(patches))
        for i, (face, told) in enumerate(zip(net.faces, points, strict=True)):
            off = np.linalg.norm(told[0] - net.nodes[face.nodes], axis=1)
            bad.append([face.rest[off > near_mm]])
            worst[i] = off.max()
        more = 0
        for i, (seam, check, uses) in enumerate(zip(seams, checks, home, strict=True)):
            there = np.array([points[face][1 + place] for face, place in uses])
            goal = there.mean(axis=0) if seam.course is None else seam.course(check)
            far = np.linalg.norm(there - goal, axis=2)
            off = far > near_mm
            for (at_face, place), own, most in zip(uses, off, far.max(axis=1).tolist(), strict=True):
                bad[at_face].append(flats[at_face][place][::2][own[::2]])
                worst[at_face] = max(worst[at_face], most)
            new = off[:, 1::2].any(axis=0)
            more += int(new.sum())
            ats[i] = np.sort(np.concatenate([ats[i], check[1::2][new]]))
        finer = [patch.finer(np.concatenate(places)) for patch, places in zip(patches, bad, strict=True)]
        finer = _afforded(patches, finer, worst)
        if not more and all(new is old for new, old in zip(finer, patches, strict=True)):
            break
        patches = finer
    return fit


def _afforded(old: Sequence[SplinePatch], finer: Sequence[SplinePatch], off_mm: Floats) -> list[SplinePatch]:
    """Finer patches, those farthest off first, as long as there are not too many poles in all; the others as before."""
    chosen, total = list(old), sum(patch.poles for patch in old)
    for i in np.argsort(-off_mm, kind="stable").tolist():
        more = finer[i].poles - old[i].poles
        if total + more <= _MOST_POLES:
            chosen[i], total = finer[i], total + more
    return chosen

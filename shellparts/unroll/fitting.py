"""Bring the ends of a flat edge to points close by: neighbours that gape at a corner meet halfway.

Glossary: the *drift* of an edge is what its end is moved by more than its start. Surfaces, and why edges gape, are not
known here.
"""

import math

import numpy as np
from attrs import evolve
from numpy.typing import NDArray

from shellparts.unroll.flat_edge import FlatEdge, Form, unit_vectors

__all__ = ["fitted"]

Array = NDArray[np.float64]

#: Turn of an arc between the nodes of the curve that it becomes when its ends are moved apart [rad].
_ARC_STEP = 0.1
#: A drift below this share of the way is rounding.
_NO_DRIFT = 1e-14


def fitted(edge: FlatEdge, start: Array, end: Array) -> FlatEdge:
    """Bring the edge's ends to two points close to them.

    A stretched edge (its chord is at least half of it) is turned and stretched as a whole. One that comes back on
    itself has no direction to turn by: it drifts, each point by its share of the way.
    """
    own, goal = edge.end - edge.start, end - start
    if float(np.hypot(*own)) < 0.5 * float(edge.s[-1]):
        return _drifted(edge, start, end)
    factor = float(np.hypot(*goal) / np.hypot(*own))
    turn = math.atan2(float(own[0] * goal[1] - own[1] * goal[0]), float(own @ goal))
    about = evolve(
        edge, xy=(edge.xy - edge.start) * factor, s=edge.s * factor, curvature=edge.curvature / factor
    )
    return about.moved(turn, *start.tolist())


def _drifted(edge: FlatEdge, start: Array, end: Array) -> FlatEdge:
    """Shift every point, from what the start is shifted by to what the end is, in proportion to the way."""
    s = edge.s
    if edge.form is Form.ARC:
        turn = abs(float(edge.heading[-1] - edge.heading[0]))
        s = np.linspace(0.0, float(s[-1]), 2 + math.ceil(turn / _ARC_STEP))
    first, last = start - edge.start, end - edge.end
    share = (s / s[-1])[:, None]
    drift = (last - first) / s[-1]
    if float(np.hypot(*drift)) <= _NO_DRIFT:
        return edge.moved(0.0, *(0.5 * (first + last)).tolist())
    at, heading, bend = edge.at(s), edge.heading_at(s), edge.curvature_at(s)
    ahead = unit_vectors(heading)
    along, aside = ahead @ drift, ahead[:, 0] * drift[1] - ahead[:, 1] * drift[0]
    speed = np.hypot(1.0 + along, aside)
    chords = np.diff(at, axis=0) @ drift
    steps = np.diff(s) * (1.0 + 0.25 * (aside[:-1] ** 2 + aside[1:] ** 2)) + chords
    return evolve(
        edge,
        form=Form.CURVE,
        s=np.concatenate(([0.0], np.cumsum(steps))),
        xy=at + first * (1.0 - share) + last * share,
        heading=heading + np.arctan2(aside, 1.0 + along),
        curvature=bend * (1.0 + along) / speed**3,
    )

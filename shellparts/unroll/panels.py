"""Legendre panels: integrate a curve's speed and geodesic curvature into a flat curve.

Glossary: a *panel* is a stretch of an edge's parameter on which speed and curvature are smooth and sampled at
Gauss nodes; the *tail* is what the last Legendre coefficients still hold, and tells whether a panel is fine
enough.

The functions are linear maps on nodal values, cached as small matrices. Nothing here knows surfaces or the
kernel.
"""

import math
from collections.abc import Callable, Sequence
from functools import cache
from itertools import pairwise
from typing import Any

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from shellparts.unroll.flat_edge import FlatEdge, Form, unit_vectors

__all__ = ["Panels", "Resolved", "flat_edge", "resolve"]

Array = NDArray[np.float64]

#: Gauss nodes on a panel.
ORDER = 12
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(ORDER)
_TO_SERIES = (
    (2.0 * np.arange(ORDER)[:, None] + 1.0)
    / 2.0
    * np.polynomial.legendre.legvander(_NODES, ORDER - 1).T
    * _WEIGHTS
)
_FINE_X, _FINE_W = np.polynomial.legendre.leggauss(6)
#: A panel is fine enough when its tails stand below these: turn [rad], and length as a share of the edge.
_TURN_TAIL, _LENGTH_TAIL = 1e-11, 1e-12
_DEEPEST, _MOST_PANELS = 12, 4000
#: Steps of a panel that become nodes of a `CURVE`, at least; and the largest turn of one step [rad].
_STEPS, _STEP_TURN = 16, 0.1
#: An edge is a line or an arc when it bows from one by less than this, in mm and as a share of its length.
_BOW_MM, _BOW_RATIO = 1e-6, 1e-6
#: One that bows from it by less than this share of its length is taken for exact, and ends where the formula
#: says.
_EXACT_RATIO = 1e-12


def _tail(values: Array) -> Array:
    """Size of the last two Legendre coefficients on each panel, (panels,)."""
    return np.sum(np.abs(values @ _TO_SERIES[-2:].T), axis=-1)


@frozen(eq=False)
class Resolved:
    """Panels of one edge, sorted along it."""

    #: Start and half width of each in the edge's parameter, (panels,).
    low: Array
    half: Array
    speed: Array  # As in `Panels`, in parametric direction, (panels, ORDER)
    turning: Array  # As in `Panels`, in parametric direction, (panels, ORDER)


def resolve(
    sample: Callable[[NDArray[np.int_], Array], tuple[Array, Array, Array]], bounds: Sequence[Sequence[float]]
) -> list[Resolved]:
    """Bisect intervals of several edges at once until speed and turning are resolved on each."""
    owner = np.repeat(np.arange(len(bounds)), [len(each) - 1 for each in bounds])
    low = np.array([a for each in bounds for a in each[:-1]])
    high = np.array([b for each in bounds for b in each[1:]])
    done: list[tuple[NDArray[Any], ...]] = []
    length = np.zeros(len(bounds))
    for depth in range(_DEEPEST + 1):
        half = 0.5 * (high - low)
        t = (low + half)[:, None] + half[:, None] * _NODES
        speed, turning, size = sample(owner, t)
        width = half * (speed @ _WEIGHTS)
        length = np.maximum(length, np.bincount(owner, width, len(bounds)))
        rounding = 2e-14 * size / np.maximum(width, 1e-300)
        fine = _tail(turning) * half <= np.maximum(_TURN_TAIL, rounding)
        fine &= _tail(speed) * half <= np.maximum(_LENGTH_TAIL * length[owner], 2e-15 * size)
        if depth == _DEEPEST or len(low) * 2 > _MOST_PANELS:
            fine[:] = True
        everything = bool(fine.all())
        if everything and not done:
            done.append((owner, low, half, speed, turning))
            break
        done.append((owner[fine], low[fine], half[fine], speed[fine], turning[fine]))
        if everything:
            break
        a, b, m = low[~fine], high[~fine], (low + half)[~fine]
        owner = np.concatenate((owner[~fine], owner[~fine]))
        low, high = np.concatenate((a, m)), np.concatenate((m, b))
    parts = done[0] if len(done) == 1 else tuple(np.concatenate(part) for part in zip(*done, strict=True))
    order = np.lexsort((parts[1], parts[0]))
    owners, lows, halves, speeds, turnings = (part[order] for part in parts)
    cuts = np.searchsorted(owners, np.arange(len(bounds) + 1)).tolist()
    return [Resolved(lows[a:b], halves[a:b], speeds[a:b], turnings[a:b]) for a, b in pairwise(cuts)]


@cache
def _value_map(steps: int, fine: bool) -> Array:
    """Matrix from nodal values to values at step ends, or at the fine Gauss points of each step."""
    return np.polynomial.legendre.legvander(_places(steps, fine), ORDER - 1) @ _TO_SERIES


@cache
def _integral_map(steps: int, fine: bool) -> Array:
    """Matrix from nodal values to their integral from the panel's start."""
    legendre = np.polynomial.legendre.legvander(_places(steps, fine), ORDER)
    k = np.arange(1, ORDER)
    basis = np.empty((legendre.shape[0], ORDER))
    basis[:, 0] = legendre[:, 1] + 1.0
    basis[:, 1:] = (legendre[:, 2:] - legendre[:, :-2]) / (2.0 * k + 1.0)
    return basis @ _TO_SERIES


def _places(steps: int, fine: bool) -> Array:
    """Places on -1..1: the ends of equal steps, or Gauss points within each of them."""
    ends = np.linspace(-1.0, 1.0, steps + 1)
    if not fine:
        return ends
    return (0.5 * (ends[:-1] + ends[1:])[:, None] + _FINE_X / steps).ravel()


@frozen(eq=False)
class Panels:
    """Speed and turning of a smooth stretch of an edge, in walking order."""

    half: Array  # Half width of each panel in the edge's parameter, (panels,)
    speed: Array  # Length of the curve's derivative at the nodes, (panels, ORDER) [mm per unit of parameter]
    turning: Array  # Geodesic curvature times speed at the nodes, (panels, ORDER) [rad per unit of parameter]
    solid_length_mm: float  # Length in space, by a quadrature of its own [mm]

    @property
    def sound(self) -> bool:
        """Whether every value is a number and the stretch has a length."""
        return bool(np.isfinite(self.speed + self.turning).all()) and self.length_mm > 0.0

    @property
    def length_mm(self) -> float:
        """Arc length [mm]."""
        return float(self.half @ (self.speed @ _WEIGHTS))

    @property
    def turn_rad(self) -> float:
        """Integral of geodesic curvature [rad]."""
        return float(self.half @ (self.turning @ _WEIGHTS))


def _running(half: Array, values: Array, steps: int, fine: bool) -> tuple[Array, Array]:
    """Running integral over panels, (panels, places), and its totals."""
    inside = half[:, None] * (values @ _integral_map(steps, fine).T)
    totals = half * (values @ _WEIGHTS)
    before = np.concatenate(([0.0], np.cumsum(totals)[:-1]))
    return inside + before[:, None], totals


def flat_edge(panels: Panels, key: int, forward: bool) -> FlatEdge:
    """Integrate panels into a flat edge that starts at the origin, heading along x."""
    length, turn, solid = panels.length_mm, panels.turn_rad, panels.solid_length_mm
    bend = panels.turning / panels.speed
    most, least = float(bend.max()), float(bend.min())
    mean, bow = 0.5 * (most + least), length**2 / 8.0
    allowed = min(_BOW_MM, _BOW_RATIO * length)
    bent, uneven = max(most, -least) * bow, 0.5 * (most - least) * bow
    ends = np.array([0.0, length])
    if min(bent, uneven) <= _EXACT_RATIO * length:
        half_turn = 0.5 * turn
        chord = length * math.sin(half_turn) / half_turn if half_turn else length
        xy = np.array(((0.0, 0.0), (chord * math.cos(half_turn), chord * math.sin(half_turn))))
    else:
        steps = _steps(panels)
        xy = _nodes(panels, steps)
    if bent <= allowed:
        aim = math.atan2(xy[-1, 1], xy[-1, 0])
        return FlatEdge(key, Form.LINE, ends, xy[[0, -1]], np.full(2, aim), np.zeros(2), solid, forward)
    if uneven <= allowed:
        chord = math.hypot(xy[-1, 0], xy[-1, 1])
        tilt = math.atan2(xy[-1, 1], xy[-1, 0]) - 0.5 * turn
        tilt = math.remainder(tilt, math.pi) if chord > 1e-3 * length else 0.0
        heading = np.array([tilt, tilt + turn])
        return FlatEdge(key, Form.ARC, ends, xy[[0, -1]], heading, np.full(2, mean), solid, forward)
    s, _ = _running(panels.half, panels.speed, steps, False)
    heading, _ = _running(panels.half, panels.turning, steps, False)
    at_ends = _value_map(steps, False).T
    curvature = (panels.turning @ at_ends) / (panels.speed @ at_ends)
    return FlatEdge(key, Form.CURVE, _joined(s), xy, _joined(heading), _joined(curvature), solid, forward)


def _steps(panels: Panels) -> int:
    """Steps on each panel so that none turns far."""
    widest = float(np.max(2.0 * panels.half * np.abs(panels.turning).max(axis=1)))
    return max(_STEPS, math.ceil(widest / _STEP_TURN / 8) * 8)


def _nodes(panels: Panels, steps: int) -> Array:
    """Points at the step ends of all panels, (panels * steps + 1, 2) [mm], from the origin along x."""
    half, count = panels.half, len(panels.half)
    theta, _ = _running(half, panels.turning, steps, True)
    speed = panels.speed @ _value_map(steps, True).T
    velocity = (half[:, None] / steps * speed)[..., None] * unit_vectors(theta)
    moves = np.einsum("psgx,g->psx", velocity.reshape(count, steps, len(_FINE_W), 2), _FINE_W)
    return np.concatenate((np.zeros((1, 2)), np.cumsum(moves.reshape(-1, 2), axis=0)))


def _joined(values: Array) -> Array:
    """Step ends of all panels in one row; where panels meet, the earlier panel's value stands."""
    return np.concatenate((values[0, :1], values[:, 1:].ravel()))

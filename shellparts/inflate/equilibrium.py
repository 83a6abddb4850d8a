"""From a starting form to the inflated one: Newton's method on the energy, with a line search that only goes down.

Glossary: the *residual* is what is left of the forces on all free directions, as a share of the air's force on them.
The *shift* is a little stiffness added to the diagonal (Levenberg), used only where the energy is not convex. The
cloth's stiffness is raised in *continuation steps*: soft cloth finds the round form in large strides, and stiffer cloth
begins there.

Few nodes, where cloth is about to wrinkle or to turn taut, would hold up all the others in short strides. They are the
*active set*: before each Newton step of the whole they go to their own minimum, all other nodes held still.

Every step lowers the energy, by Armijo's rule, or the search ends. The end is one of `Outcome`; only `CONVERGED` is a
form to show. This module knows nothing of rooms or panels.
"""

from collections.abc import Callable, Iterable
from enum import Enum

import numpy as np
from attrs import frozen
from numpy.typing import NDArray
from scipy.sparse import csc_matrix
from threadpoolctl import ThreadpoolController

from shellparts.base.errors import ParameterError
from shellparts.base.tolerances import TOLERANCES
from shellparts.inflate.holds import Hold, NodeFrames, frame_of
from shellparts.inflate.potential import FormEnergy, Loads, Potential
from shellparts.inflate.sheet import MembraneSheet, signed_volume
from shellparts.inflate.stiffness import Stiffness

__all__ = ["Inflated", "Outcome", "inflate"]

Floats = NDArray[np.float64]

_THREADS = ThreadpoolController()
"""BLAS works on one thread here: its sums differ in their last digits with the number of threads."""
_SOFT = (0.01, 0.1)
"""Shares of the cloth's stiffness in the continuation steps before the last."""
_ROUGH = 0.3
"""Residual at which a continuation step before the last is done."""
_SOFTEST = 0.1
"""Continuation steps that would stretch the cloth by more than about this are left out."""
_ARMIJO = 1e-4
"""Share of the promised fall of the energy that a step must keep."""
_LEVEL, _TRIES = 0.3, 14
"""Line search: share of the first slope that counts as level, and how often to try."""
_LONGEST = 0.25
"""No node moves by more than this share of the whole in one step."""
_ACTIVE, _FEW, _RELAXED, _ACTIVE_STEPS = 0.997, 0.25, 0.1, 12
"""The active set has this share of the sum of all squared forces. It is relaxed if it is at most such a part of all
nodes, until this share of its forces is left, or so many steps are done."""
_ESCAPES = 4
"""How often an equilibrium that is no minimum is left along its direction of negative curvature."""
_SHIFT_FIRST, _SHIFT_START, _SHIFT_TOP, _SHIFT_FLOOR = 3.0, 1e-2, 1e12, 1e-6
"""Shifts as multiples of the pressure times a triangle's size, the stiffness that air gives to a sagging
node: at the outset, the least, the most, and the one at which stability is judged."""


class Outcome(Enum):
    """How the search for the inflated form ended."""

    CONVERGED = "a stable form in balance"
    COLLAPSED = "the air cannot carry the cloth"
    NOT_CONVERGED = "no balance found within the allowed steps"
    NOT_STABLE = "a balance, but not a stable one: more than one form is possible"


@frozen(eq=False)
class Inflated:
    """The end of a search.

    Parameters
    ----------
    outcome : Outcome
        How it ended.
    nodes : ndarray (n, 3) float
        The nodes [mm]; only worth showing if `outcome` is `CONVERGED`.
    residual : float
        Forces left over as a share of the air's [-].
    negative_pivots : int
        Directions of negative curvature of the energy at the end; -1 if none was counted.
    volume_mm3 : float
        Air held by the faces [mm^3]; see `signed_volume`.
    reactions_N : ndarray (n, 3) float
        Force of the holds on each node [N].
    steps : int
        Newton steps of the whole in all continuation steps.
    energies : tuple of ndarray
        Energy before and after each step, of the whole and of the active set, one array a continuation step [N mm].
    """

    outcome: Outcome
    nodes: Floats
    residual: float
    negative_pivots: int
    volume_mm3: float
    reactions_N: Floats
    steps: int
    energies: tuple[Floats, ...]


class _Search:
    """One search: the form so far and the tools to better it."""

    def __init__(
        self,
        potential: Potential,
        frame: NodeFrames,
        x: Floats,
        steps: int,
        watch: Callable[[float], None] | None = None,
        whole: bool = True,
    ):
        self.watch, self.whole = watch, whole
        self.potential, self.frame, self.form, self.steps_left = potential, frame, potential.form(x), steps
        self.stiffness = Stiffness(potential.sheet.faces, frame)
        self.size = float(np.linalg.norm(np.ptp(x, axis=0)))
        self.shift = _SHIFT_FIRST
        sheet, pressure = potential.sheet, potential.loads.pressure_Pa
        self.scale = pressure * 1e-6 * float(np.sqrt(sheet.rest_area.mean()))
        self.negative_pivots = -1
        self.energies: list[Floats] = []

    def residual(self, gradient: Floats) -> float:
        """Length of the free gradient over that of the air's force."""
        air = np.linalg.norm(self.stiffness.reduce(self.form.air_N))
        return float(np.linalg.norm(gradient) / max(float(air), np.finfo(float).tiny))

    def gradient(self, form: FormEnergy, share: float) -> Floats:
        """Free gradient at a form."""
        return self.stiffness.reduce(form.gradient(share))

    def run(self, share: float, target: float, judge: bool) -> bool:
        """Minimise the energy at one share of the stiffness; give whether the residual met its target."""
        path = [self.form.energy(share)]
        gradient = self.gradient(self.form, share)
        escapes, met = 0, False
        while True:
            residual = self.residual(gradient)
            if self.watch is not None and share == 1.0:
                self.watch(residual)
            if residual <= target:
                met = True
                if not judge:
                    break
                matrix = self.stiffness.matrix(*self.form.hessian(share))
                factor = self.stiffness.factorise(matrix, _SHIFT_FLOOR * self.scale)
                self.negative_pivots = factor.negative if factor is not None else -1
                if self.negative_pivots == 0 or escapes == _ESCAPES or self.steps_left == 0:
                    break
                escapes += 1
                if not self._escape(matrix, share, path):
                    break
                self.steps_left -= 1
                met, gradient = False, self.gradient(self.form, share)
                continue
            if self.steps_left == 0:
                break
            gradient = self._relaxed(gradient, share, path)
            if not self._step(gradient, share, path):
                break
            self.steps_left -= 1
            gradient = self.gradient(self.form, share)
        self.energies.append(np.array(path))
        return met

    def _relaxed(self, gradient: Floats, share: float, path: list[float]) -> Floats:
        """Relax the active set, if it is small; give the gradient afterwards."""
        if not self.whole:
            return gradient
        force = np.square(self.stiffness.expand(gradient)).sum(axis=1)
        chosen = self._active(force)
        if chosen is None:
            return gradient
        names, sheet = self.potential.sheet.around(chosen)
        start = self.form.x[names]
        frame = NodeFrames(self.frame.directions[names], self.frame.free[names] & chosen[names, None], start)
        part = _Search(Potential(sheet, self.potential.loads), frame, start, _ACTIVE_STEPS, whole=False)
        part.shift, part.size = self.shift, self.size
        part.run(share, _RELAXED * part.residual(part.gradient(part.form, share)), judge=False)
        x = self.form.x.copy()
        x[names] = part.form.x
        form = self.potential.form(x)
        after = form.energy(share)
        if not after < path[-1]:
            return gradient
        self._take(form, after, 1.0, path)
        return self.gradient(form, share)

    def _active(self, force: Floats) -> NDArray[np.bool_] | None:
        """The fewest nodes that have nearly all squared force, and their neighbours; None if they are too many."""
        ranked = np.argsort(-force)
        held = np.cumsum(force[ranked])
        chosen = np.zeros(len(force), dtype=bool)
        chosen[ranked[: int(np.searchsorted(held, _ACTIVE * held[-1])) + 1]] = True
        faces = self.potential.sheet.faces
        chosen[faces[chosen[faces].any(axis=1)].ravel()] = True
        may_move = self.frame.free.any(axis=1)
        chosen &= may_move
        return chosen if chosen.sum() <= _FEW * may_move.sum() else None

    def _step(self, gradient: Floats, share: float, path: list[float]) -> bool:
        """One step downhill; False if there is none to be found."""
        matrix = self.stiffness.matrix(*self.form.hessian(share))
        while self.shift <= _SHIFT_TOP:
            factor = self.stiffness.factorise(matrix, self.shift * self.scale)
            if factor is not None and factor.negative == 0:
                move = self.stiffness.expand(-factor.solve(gradient))
                move *= min(1.0, _LONGEST * self.size / float(np.abs(move).max()))
                taken = self._line_search(move, gradient, share, path)
                if taken == 1.0:
                    self.shift = self.shift / 10 if self.shift > _SHIFT_START else 0.0
                if taken > 0.0:
                    return True
            self.shift = max(10 * self.shift, _SHIFT_START)
        return False

    def _line_search(self, move: Floats, gradient: Floats, share: float, path: list[float]) -> float:
        """Go along a movement until the energy has fallen well; give how much of it was taken, zero if none.

        The whole is tried first. If the energy does not fall by it, its slope is brought near level by
        false position: cloth that turns taut on the way bars the rest, and the place of that is found
        better by slopes than by energies.
        """
        along = self.stiffness.reduce(move)
        slope, before = float(gradient @ along), path[-1]
        if not slope < 0:
            return 0.0
        x = self.form.x
        form = self.potential.form(x + move)
        after = form.energy(share)
        if -slope <= 64 * np.finfo(float).eps * abs(before):
            # too close to the bottom for the energy to tell: let the forces decide
            better = np.linalg.norm(self.gradient(form, share)) < np.linalg.norm(gradient)
            return self._take(form, after, 1.0, path) if better else 0.0
        if after <= before + _ARMIJO * slope:
            return self._take(form, after, 1.0, path)
        low, high, slope_low, slope_high = 0.0, 1.0, slope, float(self.gradient(form, share) @ along)
        best: tuple[float, FormEnergy, float] | None = None
        for _ in range(_TRIES):
            t = high / 3
            if slope_high > 0:
                t = (low * slope_high - high * slope_low) / (slope_high - slope_low)
            t = min(max(t, low + 0.02 * (high - low)), high - 0.02 * (high - low))
            form = self.potential.form(x + t * move)
            here, after = float(self.gradient(form, share) @ along), form.energy(share)
            falls = after <= before + _ARMIJO * t * slope
            if falls and (best is None or after < best[0]):
                best = after, form, t
            if falls and abs(here) <= _LEVEL * abs(slope):
                break
            # halving the slope of the end that stays is what keeps false position from creeping (Illinois)
            if here > 0 or not falls:
                high, slope_high, slope_low = t, here, slope_low / 2
            else:
                low, slope_low, slope_high = t, here, slope_high / 2
        return self._take(best[1], best[0], best[2], path) if best else 0.0

    def _take(self, form: FormEnergy, energy: float, taken: float, path: list[float]) -> float:
        """Move to a new form."""
        self.form = form
        path.append(energy)
        return taken

    def _escape(self, matrix: csc_matrix, share: float, path: list[float]) -> bool:
        """Leave an equilibrium that is no minimum along its direction of most negative curvature."""
        shift = _SHIFT_START
        while (factor := self.stiffness.factorise(matrix, shift * self.scale)) is None or factor.negative:
            shift *= 4
            if shift > _SHIFT_TOP:
                return False
        v = np.random.default_rng(1).standard_normal(self.stiffness.unknowns)
        for _ in range(8):
            v = factor.solve(v)
            v /= np.linalg.norm(v)
        in_space = self.stiffness.expand(v)
        in_space *= 1e-2 * self.size / np.abs(in_space).max()
        lengths = [sign * length for length in (1.0, 0.1, 0.01) for sign in (1, -1)]
        tries = [self.potential.form(self.form.x + length * in_space) for length in lengths]
        values = [form.energy(share) for form in tries]
        best = int(np.argmin(values))
        if not values[best] < path[-1]:
            return False
        self._take(tries[best], values[best], 1.0, path)
        return True


def inflate(
    sheet: MembraneSheet,
    loads: Loads,
    holds: Iterable[Hold] = (),
    max_steps: int = 150,
    soft_start: bool = True,
    watch: Callable[[float], None] | None = None,
) -> Inflated:
    """Find the inflated form of a membrane.

    Parameters
    ----------
    sheet : MembraneSheet
        Flat triangles, shared nodes and cloth.
    loads : Loads
        Air, weight and floor.
    holds : iterable of Hold
        Pins and planes; together they must stop the whole from drifting off.
    max_steps : int
        Newton steps in all.
    soft_start : bool
        Whether to begin with softer cloth; needless where the starting form is already as sewn.
    watch : callable, optional
        Told the residual before each step at the cloth's true stiffness.

    Returns
    -------
    Inflated
        The form and how the search ended.

    Raises
    ------
    ParameterError
        If the holds contradict each other, leave nothing free, or leave an open edge that could let air out.

    Examples
    --------
    A square film of 2 m, held at its rim, of stiffness 100 N/m (Poisson's ratio 0.3) under 1e-4 Pa:

    >>> from shellparts.inflate import Loads, Membrane, MembraneSheet, inflate, pin
    >>> from shellparts.inflate.panel_mesh import grid_triangles
    >>> x, y = np.meshgrid(np.linspace(-1000, 1000, 17), np.linspace(-1000, 1000, 17))
    >>> inside = (abs(x) < 1000) & (abs(y) < 1000)
    >>> nodes = np.stack([x, y, 10.0 * inside], axis=-1).reshape(-1, 3)
    >>> triangles = grid_triangles(np.arange(17 * 17).reshape(17, 17))
    >>> film = MembraneSheet(nodes, triangles, nodes[triangles][..., :2], Membrane.isotropic(100, 0.3))
    >>> form = inflate(film, Loads(1e-4, gravity_m_s2=0), [pin(np.flatnonzero(~inside))])
    >>> form.outcome.name, round(float(form.nodes[:, 2].max()), 1)
    ('CONVERGED', 7.2)
    """
    if max_steps < 1:
        raise ParameterError("number of steps", str(max_steps), "at least 1", "allow 150")
    frame = frame_of(sheet, holds)
    if not frame.free.any():
        raise ParameterError("number of free directions", "0", "at least 1", "hold less")
    lifts, met = _can_lift(sheet, loads), False
    with _THREADS.limit(limits=1, user_api="blas"):
        potential = Potential(sheet, loads)
        search = _Search(potential, frame, frame.start, max_steps, watch)
        if lifts:
            for share in _soft_shares(sheet, loads, search.size) if soft_start else ():
                search.run(share, _ROUGH, judge=False)
            met = search.run(1.0, TOLERANCES.equilibrium_ratio, judge=True)
        x, left = search.form.x, search.form.gradient()
        residual = search.residual(search.stiffness.reduce(left))
        volume = signed_volume(x, sheet.faces)
    if not lifts or (not met and volume <= 0):
        outcome = Outcome.COLLAPSED
    elif not met:
        outcome = Outcome.NOT_CONVERGED
    else:
        outcome = Outcome.CONVERGED if search.negative_pivots == 0 else Outcome.NOT_STABLE
    steps = max_steps - search.steps_left
    held = left + search.form.air_N - potential.face_load(x)
    return Inflated(outcome, x, residual, search.negative_pivots, volume, held, steps, tuple(search.energies))


def _can_lift(sheet: MembraneSheet, loads: Loads) -> bool:
    """Whether the air carries cloth that lies flat: its pressure against the mean weight per area."""
    mean = float(sheet.areal_mass @ sheet.rest_area / sheet.rest_area.sum())
    return loads.pressure_Pa > mean * loads.gravity_m_s2


def _soft_shares(sheet: MembraneSheet, loads: Loads, size: float) -> tuple[float, ...]:
    """Shares of the stiffness at which the cloth does not stretch like rubber."""
    stiffness = min(min(c.warp_N_per_m, c.weft_N_per_m) for c in sheet.cloth)
    stretch = loads.pressure_Pa * size * 1e-3 / 2 / stiffness
    return tuple(share for share in _SOFT if stretch <= _SOFTEST * share)

import numpy as np
import pytest
from attrs import evolve
from sample_meshes import polar_disc, sphere_octant

from shellparts.base.errors import ParameterError
from shellparts.inflate import (
    Loads,
    Membrane,
    MembraneSheet,
    Outcome,
    equilibrium,
    flat_rest,
    inflate,
    on_plane,
    pin,
)

RIM_FILM = Membrane(1e5, 7e4, 8e3, 0.2, 0.2)


def drum(sag_mm=60.0, cloth=RIM_FILM):
    mesh = polar_disc(1000.0, 8, 40, sag_mm)
    return mesh.sheet(cloth), [pin(mesh.edges["rim"])]


def half_ball_on_a_pin(divisions=5, radius=500.0):
    """Half of a ball, cut by the plane y = 0, whose lowest node stands on a pin at the origin."""
    mesh = sphere_octant(radius, divisions)
    nodes, faces = [], []
    for sx in (1, -1):
        for sz in (1, -1):
            faces.append(
                (mesh.triangles if sx * sz > 0 else mesh.triangles[:, ::-1]) + len(mesh.nodes) * len(nodes)
            )
            nodes.append(mesh.nodes * [sx, 1, sz])
    rounded, number = np.unique(np.round(np.concatenate(nodes), 6) + 0.0, axis=0, return_inverse=True)
    triangles = number.ravel()[np.concatenate(faces)]
    points = rounded + np.array([0, 0, radius])
    sheet = MembraneSheet(points, triangles, flat_rest(points, triangles), Membrane.isotropic(1e4, 0.3, 0.2))
    lowest = int(np.argmin(points[:, 2]))
    points_on_cut = np.flatnonzero(np.abs(points[:, 1]) < 1e-6)
    return sheet, [on_plane(points_on_cut, [0, 1, 0]), pin(lowest)]


def ball_let_go():
    """The half ball in balance upright on its pin, found with its top held from rolling over; now let go."""
    sheet, holds = half_ball_on_a_pin()
    top = int(np.argmax(sheet.nodes[:, 2]))
    held = inflate(sheet, Loads(300), [*holds, on_plane([top], [1, 0, 0])])
    assert held.outcome is Outcome.CONVERGED
    return evolve(sheet, nodes=held.nodes), holds


@pytest.mark.parametrize("soft_start", [True, False])
def test_energy_never_rises(soft_start):
    sheet, holds = drum()
    form = inflate(sheet, Loads(40), holds, soft_start=soft_start)
    assert form.outcome is Outcome.CONVERGED
    assert 3 < form.steps <= sum(len(path) - 1 for path in form.energies)
    assert len(form.energies) == (3 if soft_start else 1)
    for path in form.energies:
        # by more than the rounding of the sum
        assert (np.diff(path) <= 1e-13 * np.abs(path).max()).all()
    assert form.energies[-1][-1] < form.energies[-1][0]


def test_soft_start_does_not_change_the_answer():
    sheet, holds = drum()
    soft, direct = (inflate(sheet, Loads(80), holds, soft_start=s) for s in (True, False))
    assert soft.nodes == pytest.approx(direct.nodes, abs=1e-4)


def test_starting_form_does_not_change_the_answer():
    low, holds = drum(5.0)
    high, _ = drum(300.0)
    one, other = inflate(low, Loads(80), holds), inflate(high, Loads(80), holds)
    assert one.outcome is other.outcome is Outcome.CONVERGED
    # only the starting forms differ: the flat triangles are the same
    assert np.array_equal(low.rest, high.rest)
    assert one.nodes == pytest.approx(other.nodes, abs=1e-3)


def test_holds_bear_what_air_and_weight_leave():
    sheet, holds = drum()
    form = inflate(sheet, Loads(80), holds)
    area = 0.5 * 40 * 1e6 * np.sin(2 * np.pi / 40)  # the polygon of the rim
    weight = 0.2 * 9.80665 * sheet.rest_area.sum() * 1e-6
    assert -form.reactions_N[:, 2].sum() == pytest.approx(80e-6 * area - weight, rel=1e-6)


def test_floor_carries_cloth_that_sags_onto_it():
    sheet, holds = drum()
    # turned over: the air pushes the drum down onto the floor
    down = MembraneSheet(sheet.nodes, sheet.triangles[:, ::-1], sheet.rest[:, ::-1] * [-1, 1], sheet.cloth)
    free = inflate(down, Loads(80), holds)
    floor = inflate(down, Loads(80, floor=True), holds)
    assert free.outcome is floor.outcome is Outcome.CONVERGED
    assert free.nodes[:, 2].min() < -10
    assert -0.2 < floor.nodes[:, 2].min() < 0


def test_air_that_cannot_lift_the_cloth_is_a_collapse():
    sheet, holds = drum()
    assert inflate(sheet, Loads(0.99 * 0.2 * 9.80665), holds).outcome is Outcome.COLLAPSED
    assert inflate(sheet, Loads(1.5 * 0.2 * 9.80665), holds).outcome is Outcome.CONVERGED


def test_too_few_steps_are_no_answer():
    sheet, holds = drum()
    form = inflate(sheet, Loads(80), holds, max_steps=2)
    assert form.outcome is Outcome.NOT_CONVERGED
    assert form.residual > 1e-6
    assert form.steps == 2


def test_balance_that_is_no_valley_is_left():
    sheet, holds = ball_let_go()
    form = inflate(sheet, Loads(300), holds, max_steps=400, soft_start=False)
    assert form.outcome is Outcome.CONVERGED
    # a ball cannot stand on a pin: it ends hanging from it
    assert form.nodes[:, 2].mean() < -200


def test_balance_that_cannot_be_left_is_called_not_stable(monkeypatch):
    monkeypatch.setattr(equilibrium, "_ESCAPES", 0)
    sheet, holds = ball_let_go()
    form = inflate(sheet, Loads(300), holds, soft_start=False)
    assert form.outcome is Outcome.NOT_STABLE
    assert form.residual <= 1e-6
    assert form.negative_pivots > 0


def test_nothing_free_is_refused():
    sheet, _ = drum()
    with pytest.raises(ParameterError, match="number of free directions is 0"):
        inflate(sheet, Loads(80), [pin(np.arange(len(sheet.nodes)))])


def test_no_steps_are_refused():
    sheet, holds = drum()
    with pytest.raises(ParameterError, match="number of steps is 0"):
        inflate(sheet, Loads(80), holds, max_steps=0)

import numpy as np
import pytest
from sample_meshes import polar_disc, sphere_octant

from shellparts.base.errors import ParameterError
from shellparts.inflate import Loads, Membrane, on_plane, pin
from shellparts.inflate.holds import frame_of
from shellparts.inflate.potential import Potential
from shellparts.inflate.stiffness import Stiffness


@pytest.fixture(scope="module")
def octant():
    mesh = sphere_octant(1000.0, 6)
    sheet = mesh.sheet(Membrane(1e5, 8e4, 1e4, 0.2, 0.3))
    slanted = np.array([0.6, 0.8, 0])
    nodes = mesh.nodes @ np.array([[0.6, 0.8, 0], [-0.8, 0.6, 0], [0, 0, 1]])
    turned = type(mesh)(nodes, mesh.triangles, mesh.rest, mesh.edges, mesh.air_faces).sheet(sheet.cloth[0])
    holds = [
        on_plane(mesh.edges["x"], slanted),
        on_plane(mesh.edges["y"], [-0.8, 0.6, 0]),
        on_plane(mesh.edges["z"], [0, 0, 1]),
    ]
    return turned, frame_of(turned, holds)


def whole(lower):
    half = lower.toarray()
    assert not np.triu(half, 1).any()
    return half + np.tril(half, -1).T


def test_matrix_is_the_hessian_in_the_free_directions(octant):
    sheet, frame = octant
    potential, stiffness = Potential(sheet, Loads(3e4, floor=True)), Stiffness(sheet.faces, frame)
    x = 1.02 * frame.start  # stretched, away from the border of slackness
    matrix = whole(stiffness.matrix(*potential.form(x).hessian()))
    unit = np.eye(stiffness.unknowns)
    for i in range(0, stiffness.unknowns, 7):
        step = stiffness.expand(unit[i]) * 1e-2
        slope = (
            stiffness.reduce(potential.form(x + step).gradient() - potential.form(x - step).gradient()) / 2e-2
        )
        assert matrix[i] == pytest.approx(slope, abs=1e-6 * np.abs(matrix).max())


def test_expand_and_reduce_undo_each_other_and_keep_the_holds(octant):
    sheet, frame = octant
    stiffness = Stiffness(sheet.faces, frame)
    v = np.random.default_rng(0).normal(size=stiffness.unknowns)
    in_space = stiffness.expand(v)
    assert stiffness.reduce(in_space) == pytest.approx(v, abs=1e-12)
    floor = np.abs(sheet.nodes[:, 2]) < 1e-9
    assert np.abs(in_space[floor, 2]).max() < 1e-12
    tip = np.argmax(sheet.nodes[:, 2])
    assert np.abs(in_space[tip, :2]).max() < 1e-12


@pytest.mark.parametrize("shift", [0.0, 2.0])
def test_factor_solves_and_tells_what_is_not_a_valley(octant, shift):
    sheet, frame = octant
    potential, stiffness = Potential(sheet, Loads(3e4, floor=True)), Stiffness(sheet.faces, frame)
    taut = stiffness.matrix(*potential.form(1.02 * frame.start).hessian())
    right = np.random.default_rng(2).normal(size=stiffness.unknowns)
    shifted = whole(taut) + shift * np.eye(stiffness.unknowns)
    assert shifted @ stiffness.factorise(taut, shift).solve(right) == pytest.approx(right, abs=1e-8)
    slack = stiffness.matrix(*potential.form(0.98 * frame.start).hessian())
    values = np.linalg.eigvalsh(whole(slack) + shift * np.eye(stiffness.unknowns))
    assert stiffness.factorise(slack, shift).negative == (values < 0).sum()


def test_holds_that_contradict_are_refused():
    mesh = polar_disc(1000.0, 2, 6, 100.0)
    sheet = mesh.sheet(Membrane(1, 1, 1))
    rim = mesh.edges["rim"]
    with pytest.raises(ParameterError, match="gap between the holds of a node"):
        frame_of(sheet, [on_plane(rim, [0, 0, 1]), on_plane(rim, [0, 0, 1], 10.0)])


def test_open_edge_that_lets_air_out_is_refused():
    sheet = polar_disc(1000.0, 2, 6, 100.0).sheet(Membrane(1, 1, 1))
    with pytest.raises(ParameterError, match="open edges that could let air out is 6"):
        frame_of(sheet, [pin([0])])


def test_plane_without_a_direction_is_refused():
    with pytest.raises(ParameterError, match="length of a plane's normal is 0"):
        on_plane([0], [0, 0, 0])


def test_three_planes_pin_and_two_leave_a_rail():
    mesh = sphere_octant(1000.0, 2)
    holds = [on_plane(mesh.edges[k], n) for k, n in zip("xyz", np.eye(3), strict=True)]
    free = frame_of(mesh.sheet(Membrane(1, 1, 1)), holds).free.sum(axis=1)
    corners = [np.argmax(mesh.nodes[:, axis]) for axis in range(3)]
    assert free[corners].tolist() == [1, 1, 1]
    assert sorted(free.tolist()) == [1, 1, 1, 2, 2, 2]

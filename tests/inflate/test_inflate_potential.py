import numpy as np
import pytest

from shellparts.base.errors import ParameterError
from shellparts.inflate import Loads, Membrane, MembraneSheet, flat_rest
from shellparts.inflate.potential import WHOLE, Potential
from shellparts.inflate.sheet import lumped_area, signed_volume

TRIANGLES = np.array([[0, 1, 2], [1, 2, 3], [2, 4, 3], [4, 5, 6], [5, 6, 7], [0, 6, 7]])


@pytest.fixture(params=range(4))
def crumpled(request):
    """A few triangles of two cloths, some taut, some wrinkled, some slack, partly below the floor."""
    rng = np.random.default_rng(request.param)
    nodes = rng.normal(size=(8, 3)) * 300
    nodes[:, 2] += 100
    rest = flat_rest(nodes, TRIANGLES) * rng.uniform(0.9, 1.1, (6, 1, 2))
    sheet = MembraneSheet(
        nodes,
        TRIANGLES,
        rest,
        [Membrane(1e5, 6e4, 9e3, 0.3, 0.4), Membrane.isotropic(2e4, 0.3, 0.1)],
        warp_angle=rng.uniform(0, 3, 6),
        cloth_of=[0, 1, 0, 1, 0, 0],
        air_faces=[[0, 3, 5]],
    )
    return Potential(sheet, Loads(5e4, floor=True)), nodes


def central(function, x, step=1e-3):
    """Fourth-order differences by every coordinate."""
    out = []
    for i in range(x.size):
        d = np.zeros(x.size)
        d[i] = step
        d = d.reshape(x.shape)
        one, two = function(x + d) - function(x - d), function(x + 2 * d) - function(x - 2 * d)
        out.append((8 * one - two) / (12 * step))
    return np.array(out)


def dense(potential, x, stiffness):
    faces, nodes = potential.form(x).hessian(stiffness)
    n = len(x)
    out = np.zeros((n, 3, n, 3))
    for corners, half in zip(potential.sheet.faces, faces.T, strict=True):
        block = half[WHOLE].reshape(3, 3, 3, 3)
        for a in range(3):
            for b in range(3):
                out[corners[a], :, corners[b], :] += block[a, :, b]
    for i in range(n):
        out[i, :, i, :] += nodes[i]
    return out.reshape(3 * n, 3 * n)


@pytest.mark.parametrize("stiffness", [1.0, 0.01])
def test_gradient_is_the_slope_of_the_energy(crumpled, stiffness):
    potential, x = crumpled
    slope = central(lambda y: potential.form(y).energy(stiffness), x)
    gradient = potential.form(x).gradient(stiffness).ravel()
    assert np.abs(slope - gradient).max() <= 1e-7 * np.abs(gradient).max()


@pytest.mark.parametrize("stiffness", [1.0, 0.01])
def test_hessian_is_the_slope_of_the_gradient(crumpled, stiffness):
    potential, x = crumpled
    slope = central(lambda y: potential.form(y).gradient(stiffness).ravel(), x)
    hessian = dense(potential, x, stiffness)
    assert np.abs(hessian - hessian.T).max() <= 1e-12 * np.abs(hessian).max()
    assert np.abs(slope - hessian).max() <= 1e-7 * np.abs(hessian).max()


def test_samples_are_taut_wrinkled_and_slack():
    seen = set()
    for seed in range(4):
        rng = np.random.default_rng(seed)
        nodes = rng.normal(size=(8, 3)) * 300
        nodes[:, 2] += 100
        rest = flat_rest(nodes, TRIANGLES) * rng.uniform(0.9, 1.1, (6, 1, 2))
        potential = Potential(MembraneSheet(nodes, TRIANGLES, rest, Membrane(1e5, 6e4, 9e3, 0.3)), Loads(1))
        seen |= set(potential.cloth(potential.deformation(nodes)).state.tolist())
    assert seen == {0, 1, 2}


def test_turning_the_whole_costs_no_cloth_energy(crumpled):
    potential, x = crumpled
    turn = np.linalg.qr(np.random.default_rng(3).normal(size=(3, 3)))[0]
    before = potential.cloth(potential.deformation(x)).energy
    after = potential.cloth(potential.deformation(x @ turn)).energy
    assert after == pytest.approx(before, rel=1e-9, abs=1e-12)


def test_turning_the_rest_triangles_with_their_warp_changes_nothing(crumpled):
    potential, x = crumpled
    sheet = potential.sheet
    c, s = np.cos(0.7), np.sin(0.7)
    rest = sheet.rest @ np.array([[c, s], [-s, c]]) + [50, -20]
    turned = MembraneSheet(
        sheet.nodes,
        sheet.triangles,
        rest,
        sheet.cloth,
        sheet.warp_angle + 0.7,
        sheet.cloth_of,
        sheet.air_faces,
    )
    assert Potential(turned, potential.loads).form(x).energy() == pytest.approx(
        potential.form(x).energy(), rel=1e-11
    )


def test_warp_is_the_stiff_way():
    square = [[0, 0, 0], [1000, 0, 0], [0, 1000, 0]]
    stretched = np.array(square) * [1.01, 1, 1]
    rest = flat_rest(square, [[0, 1, 2]])
    cloth = Membrane(1000, 100, 10)
    along = (
        Potential(MembraneSheet(square, [[0, 1, 2]], rest, cloth, [0.0]), Loads(1e-9, 0))
        .form(stretched)
        .energy()
    )
    across = (
        Potential(MembraneSheet(square, [[0, 1, 2]], rest, cloth, [np.pi / 2]), Loads(1e-9, 0))
        .form(stretched)
        .energy()
    )
    assert along == pytest.approx(10 * across, rel=1e-9)


def test_volume_of_a_tetrahedron_and_its_air_force():
    nodes = np.array([[0.0, 0, 0], [300, 0, 0], [0, 400, 0], [0, 0, 500]])
    faces = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]])
    assert signed_volume(nodes + 70, faces) == pytest.approx(300 * 400 * 500 / 6, rel=1e-12)
    potential = Potential(
        MembraneSheet(nodes, faces, flat_rest(nodes, faces), Membrane(1, 1, 1)), Loads(1000.0, 0)
    )
    assert potential.pressure_load(nodes) == pytest.approx(potential.face_load(nodes), abs=1e-9)
    assert np.abs(potential.face_load(nodes).sum(axis=0)).max() < 1e-9


def test_weight_hangs_on_the_nodes():
    nodes = np.array([[0.0, 0, 0], [2000, 0, 0], [0, 1000, 0]])
    sheet = MembraneSheet(nodes, [[0, 1, 2]], flat_rest(nodes, [[0, 1, 2]]), Membrane(1e5, 1e5, 1e4, 0, 0.3))
    assert lumped_area(sheet).sum() == pytest.approx(1e6)
    heavy = Potential(sheet, Loads(1e-9)).form(nodes).gradient()
    assert heavy[:, 2].sum() == pytest.approx(0.3 * 9.80665, rel=1e-6)


@pytest.mark.parametrize(
    ("arguments", "words"), [((0,), "pressure is 0 Pa"), ((10, -1), "gravity is -1 m/s2")]
)
def test_impossible_loads_are_refused(arguments, words):
    with pytest.raises(ParameterError, match=words):
        Loads(*arguments)


NODES = [[0, 0, 0], [1, 0, 0], [0, 1, 0]]
REST = [[[0, 0], [1, 0], [0, 1]]]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((NODES, [[0, 1, 3]], REST), "numbers in triangles is 0 to 3"),
        ((NODES, [[0, 1, 2]], [[[0, 0], [0, 1], [1, 0]]]), "rest area of triangle 0 is -0.5 mm2"),
        ((NODES, [[0, 1, 2]], [REST[0], REST[0]]), r"shape of rest is \(2, 3, 2\)"),
        ((NODES, np.zeros((0, 3)), np.zeros((0, 3, 2))), "number of triangles is 0"),
        (([[0, 0, np.nan], *NODES[1:]], [[0, 1, 2]], REST), "coordinates is not all finite"),
    ],
)
def test_ill_fitting_arrays_are_refused(arguments, words):
    with pytest.raises(ParameterError, match=words):
        MembraneSheet(*arguments, Membrane(1, 1, 1))

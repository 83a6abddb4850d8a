import numpy as np
import pytest

from shellparts.base.errors import ParameterError
from shellparts.inflate.membrane import Membrane
from shellparts.inflate.tension import ClothState, relax, tangent


@pytest.fixture(scope="module")
def samples():
    """Strains over four decades in every direction, cloths over three decades of stiffness."""
    rng = np.random.default_rng(7)
    m = 6000
    strain = rng.normal(size=(m, 3)) * 10 ** rng.uniform(-4, 0, size=(m, 3))
    warp, weft, shear = 10 ** rng.uniform(0, 3, m), 10 ** rng.uniform(0, 3, m), 10 ** rng.uniform(-1, 3, m)
    poisson = rng.uniform(-0.2, 0.95, m) * np.sqrt(warp / weft)
    return strain, np.stack([1 / warp, 1 / weft, -poisson / warp, 1 / shear], axis=-1)


def smallest_eigenvalue(a, b, c):
    return (a + b) / 2 - np.hypot((a - b) / 2, c)


def test_the_three_states_all_occur(samples):
    assert (np.bincount(relax(*samples).state) > 500).all()


def test_force_is_the_exact_projection(samples):
    """The conditions of Karush, Kuhn and Tucker: enough, for the problem is convex."""
    strain, c = samples
    s = relax(strain, c).force
    wrinkling = np.stack(
        [
            c[:, 0] * s[:, 0] + c[:, 2] * s[:, 1] - strain[:, 0],
            c[:, 1] * s[:, 1] + c[:, 2] * s[:, 0] - strain[:, 1],
            (c[:, 3] * s[:, 2] - strain[:, 2]) / 2,
        ],
        axis=-1,
    )
    size, pull = np.linalg.norm(strain, axis=1), np.linalg.norm(s, axis=1) + 1e-300
    assert (smallest_eigenvalue(*s.T) / pull).min() > -1e-13
    assert (smallest_eigenvalue(*wrinkling.T) / size).min() > -1e-12
    work = s[:, 0] * wrinkling[:, 0] + s[:, 1] * wrinkling[:, 1] + 2 * s[:, 2] * wrinkling[:, 2]
    assert np.abs(work / (pull * size)).max() < 1e-12


def test_force_is_the_slope_of_the_energy(samples):
    strain, c = samples
    relaxed = relax(strain, c)
    size = np.linalg.norm(strain, axis=1)
    bound = size / c[:, :2].min(axis=1)
    for axis in range(3):
        step = np.zeros_like(strain)
        step[:, axis] = 1e-4 * size
        up, down = relax(strain + step, c).energy, relax(strain - step, c).energy
        slope = (up - down) / (2e-4 * size)
        # the slope bends where the state changes inside the step
        assert np.quantile(np.abs(slope - relaxed.force[:, axis]) / bound, 0.98) < 1e-7


def test_tangent_is_the_slope_of_the_force(samples):
    strain, c = samples
    relaxed = relax(strain, c)
    matrix = tangent(relaxed, c)
    size = np.linalg.norm(strain, axis=1)
    worst = np.zeros(len(strain))
    for axis in range(3):
        step = np.zeros_like(strain)
        step[:, axis] = 1e-6 * size
        slope = (relax(strain + step, c).force - relax(strain - step, c).force) / (2e-6 * size[:, None])
        worst = np.maximum(worst, np.abs(matrix[:, :, axis] - slope).max(axis=1))
    worst /= np.abs(matrix).max(axis=(1, 2)) + 1e-300
    steady = relaxed.state != ClothState.SLACK
    assert np.quantile(worst[steady], 0.99) < 1e-7


def test_tangent_is_never_negative(samples):
    matrix = tangent(relax(*samples), samples[1])
    value = np.linalg.eigvalsh(matrix)
    assert (value[:, 0] / (np.abs(value[:, -1]) + 1e-300)).min() > -1e-9


def test_energy_is_convex_along_lines(samples):
    strain, c = samples
    other = strain[::-1]
    middle = relax((strain + other) / 2, c).energy
    ends = (relax(strain, c).energy + relax(other, c).energy) / 2
    assert (middle <= ends * (1 + 1e-12)).all()


def test_slack_cloth_carries_nothing():
    c = Membrane(100, 50, 5, 0.2).compliance[None]
    relaxed = relax(np.array([[-0.01, -0.02, 0.005]]), c)
    assert relaxed.state[0] == ClothState.SLACK
    assert relaxed.energy[0] == 0
    assert not relaxed.force.any()
    assert not tangent(relaxed, c).any()


def test_unstretched_cloth_is_taut_and_without_force():
    c = Membrane(100, 50, 5, 0.2).compliance[None]
    relaxed = relax(np.zeros((1, 3)), c)
    assert relaxed.state[0] == ClothState.TAUT
    assert not relaxed.force.any()


@pytest.mark.parametrize("angle", [0.0, 0.4, 1.1])
def test_film_does_not_know_directions(angle):
    c = Membrane.isotropic(100, 0.3).compliance[None]
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    strain = turn @ np.diag([0.02, -0.03]) @ turn.T
    relaxed = relax(np.array([[strain[0, 0], strain[1, 1], 2 * strain[0, 1]]]), c)
    assert relaxed.energy[0] == pytest.approx(0.5 * 100 * 0.02**2, rel=1e-12)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((0, 1, 1), "warp stiffness of the cloth is 0 N/m"),
        ((1, -1, 1), "weft stiffness of the cloth is -1 N/m"),
        ((1, 1, float("nan")), "shear stiffness"),
        ((100, 100, 10, 1.0), "Poisson's ratio of the cloth is 1"),
        ((100, 100, 10, 0.1, -1), "mass of the cloth is -1 kg/m2"),
    ],
)
def test_impossible_cloth_is_refused(arguments, words):
    with pytest.raises(ParameterError, match=words):
        Membrane(*arguments)


def test_impossible_film_is_refused():
    with pytest.raises(ParameterError, match="Poisson's ratio of the cloth is -1"):
        Membrane.isotropic(100, -1.0)

"""Both factorisations of sparse symmetric matrices, against LAPACK's eigenvalues and against some known in closed form."""

import inspect
from functools import partial

import numpy as np
import pytest
import rslab
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.sparse import coo_matrix, csc_matrix, eye, kron

from shellparts.inflate.factor import analysed

BOTH = pytest.mark.parametrize(
    "prepare", [partial(analysed, superlu=False), partial(analysed, superlu=True)], ids=["rslab", "SuperLU"]
)


def lower_half(matrix):
    """Lower half of a full symmetric matrix, its whole diagonal in the pattern."""
    rows, columns = np.nonzero(np.tril((matrix != 0) | np.eye(len(matrix), dtype=bool)))
    place = coo_matrix((np.arange(1.0, len(rows) + 1), (rows, columns)), shape=matrix.shape).tocsc()
    entries = matrix[rows, columns][place.data.astype(int) - 1]
    return csc_matrix((entries, place.indices, place.indptr), shape=matrix.shape)


def random_symmetric(seed, size, density, diagonal):
    rng = np.random.default_rng(seed)
    half = rng.normal(size=(size, size)) * (rng.random((size, size)) < density)
    return half + half.T + np.diag(rng.normal(size=size) * diagonal)


def grid(side):
    """Lower half of the five-point Laplacian of a square grid with its rim held, and its eigenvalues.

    They are 4 - 2 cos(i pi / (side + 1)) - 2 cos(j pi / (side + 1)): R. J. LeVeque, "Finite Difference Methods for
    Ordinary and Partial Differential Equations", SIAM 2007, chapter 3 (from memory).
    """
    line = csc_matrix(2 * np.eye(side) - np.eye(side, k=1) - np.eye(side, k=-1))
    whole = kron(line, eye(side)) + kron(eye(side), line)
    one = 2 - 2 * np.cos(np.arange(1, side + 1) * np.pi / (side + 1))
    return lower_half(whole.toarray()), np.add.outer(one, one).ravel()


@BOTH
@settings(max_examples=100, deadline=None)
@given(
    seed=st.integers(0, 10**6),
    size=st.integers(1, 50),
    density=st.floats(0.02, 0.5),
    diagonal=st.sampled_from([0.5, 3.0, 30.0]),
)
def test_negative_pivots_are_as_many_as_negative_eigenvalues(prepare, seed, size, density, diagonal):
    matrix = random_symmetric(seed, size, density, diagonal)
    values = np.linalg.eigvalsh(matrix)
    factor = prepare(lower_half(matrix))(lower_half(matrix).data)
    if np.abs(values).min() > 1e-9 * np.abs(values).max():
        assert factor is not None
        assert factor.negative == (values < 0).sum()


@BOTH
@settings(max_examples=100, deadline=None)
@given(seed=st.integers(0, 10**6), size=st.integers(1, 50), density=st.floats(0.02, 0.5))
def test_solves_positive_definite_matrices_as_lapack_does(prepare, seed, size, density):
    matrix = random_symmetric(seed, size, density, 1.0)
    matrix = matrix @ matrix.T + 1e-3 * np.eye(size)
    right = np.random.default_rng(seed).normal(size=size)
    factor = prepare(lower_half(matrix))(lower_half(matrix).data)
    assert factor is not None
    assert factor.negative == 0
    assert factor.solve(right) == pytest.approx(np.linalg.solve(matrix, right), rel=1e-6, abs=1e-9)


@BOTH
@pytest.mark.parametrize("above", [1e-9, -1e-9])
@pytest.mark.parametrize("which", [0, 1, 40])
def test_moves_across_an_eigenvalue_are_seen(prepare, which, above):
    lower, values = grid(20)
    values = np.unique(values.round(12), return_counts=True)
    moved = lower + (above - values[0][which]) * eye(lower.shape[0], format="csc")
    moved = csc_matrix(moved)
    moved.sort_indices()
    factor = prepare(moved)(moved.data)
    assert factor is not None
    assert factor.negative == values[1][: which + (above < 0)].sum()


@BOTH
def test_one_analysis_serves_all_matrices_of_a_pattern(prepare):
    lower, values = grid(6)
    factorise = prepare(lower)
    for level in (-1.0, 0.0, 3.3, 9.0):
        data = lower.data.copy()
        data[lower.indptr[:-1]] -= level
        factor = factorise(data)
        assert factor.negative == (values < level).sum()
        if factor.negative == 0:
            whole = lower.toarray() + np.tril(lower.toarray(), -1).T - level * np.eye(len(values))
            assert whole @ factor.solve(np.arange(36.0)) == pytest.approx(np.arange(36.0), abs=1e-10)


@BOTH
@pytest.mark.parametrize(
    "matrix",
    [np.zeros((3, 3)), np.diag([1.0, 0.0, 2.0]), np.ones((2, 2)), np.array([[1.0, np.nan], [np.nan, 1.0]])],
    ids=["zero", "zero on the diagonal", "rank one", "not a number"],
)
def test_singular_matrix_has_no_factor(prepare, matrix):
    lower = lower_half(matrix)
    assert prepare(lower)(lower.data) is None


def test_answer_does_not_depend_on_the_number_of_threads():
    lower, _ = grid(40)
    right = np.random.default_rng(1).normal(size=lower.shape[0])
    first = analysed(lower, superlu=False)(lower.data).solve(right).tobytes()
    for threads in (1, 2, 3):
        other = rslab.analyze(lower, "ldlt", threads=threads).factor(lower.data)
        assert other.solve(right).tobytes() == first


def test_rslab_is_taken_where_it_is_installed():
    assert inspect.signature(analysed).parameters["superlu"].default is False

"""The solver of large sparse systems, against scipy's and against what a factor must be."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.sparse import coo_matrix, csc_matrix, identity
from scipy.sparse.csgraph import connected_components
from scipy.sparse.linalg import spsolve

from shellparts.inflate import polar_disc
from shellparts.inflate.dissection import dissect
from shellparts.inflate.fronts import Fronts, _arranged


def edges_of(faces):
    """Each pair of neighbours once."""
    sides = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    return np.unique(np.sort(sides, axis=1), axis=0)


def laid_out(points, edges, leaf, unknowns):
    """A dissection, its fronts' sizes, and a random symmetric matrix in its order, heavy on the diagonal.

    `unknowns` says how many unknowns each node has, none to three.
    """
    tree = dissect(points, edges, leaf)
    rank = np.empty(len(points), dtype=int)
    rank[tree.order] = np.arange(len(points))
    first = np.concatenate([[0], np.cumsum(unknowns[tree.order])])
    rng = np.random.default_rng(3)
    i, j, v = [], [], []
    for a, b in [*rank[edges], *np.column_stack([np.arange(len(points))] * 2)]:
        rows, columns = np.arange(first[a], first[a + 1]), np.arange(first[b], first[b + 1])
        block = rng.normal(size=(len(rows), len(columns)))
        i.append(np.repeat(rows, len(columns)))
        j.append(np.tile(columns, len(rows)))
        v.append(block.ravel())
    i, j, v = np.concatenate(i), np.concatenate(j), np.concatenate(v)
    half = coo_matrix((v, (i, j)), shape=(first[-1],) * 2).tocsc()
    matrix = csc_matrix(half + half.T + 60 * identity(first[-1]))
    matrix.sort_indices()
    return tree, [int(unknowns[front].sum()) for front in tree.fronts], matrix


@pytest.mark.parametrize("leaf", [1, 7, 40, 10_000])
def test_solves_as_scipy_does(leaf):
    mesh = polar_disc(1000.0, 12, 60, 100.0)
    unknowns = np.random.default_rng(1).integers(0, 4, len(mesh.nodes))
    tree, sizes, matrix = laid_out(mesh.nodes, edges_of(mesh.triangles), leaf, unknowns)
    factor = Fronts(sizes, tree.parents, matrix.indptr, matrix.indices).factorise(matrix.data)
    right = np.random.default_rng(2).normal(size=matrix.shape[0])
    assert factor.solve(right) == pytest.approx(spsolve(matrix, right), rel=1e-9, abs=1e-12)


@settings(max_examples=40, deadline=None)
@given(st.integers(1, 60), st.floats(0.0, 0.3), st.integers(1, 12), st.integers(0, 10**6))
def test_any_graph_in_pieces_or_in_one(count, density, leaf, seed):
    rng = np.random.default_rng(seed)
    points = np.round(rng.normal(size=(count, 3)))  # many at the same place
    pairs = np.argwhere(np.triu(rng.random((count, count)) < density, 1))
    tree, sizes, matrix = laid_out(points, pairs, leaf, rng.integers(0, 4, count))
    factor = Fronts(sizes, tree.parents, matrix.indptr, matrix.indices).factorise(matrix.data)
    firm = not matrix.shape[0] or np.linalg.eigvalsh(matrix.toarray())[0] > 0
    assert (factor is not None) == firm
    if factor is not None:
        right = rng.normal(size=matrix.shape[0])
        assert matrix @ factor.solve(right) == pytest.approx(right, abs=1e-9)


def test_matrix_with_a_falling_direction_is_refused():
    mesh = polar_disc(1000.0, 12, 60, 100.0)
    tree, sizes, matrix = laid_out(mesh.nodes, edges_of(mesh.triangles), 20, np.full(len(mesh.nodes), 3))
    fronts = Fronts(sizes, tree.parents, matrix.indptr, matrix.indices)
    least = np.linalg.eigvalsh(matrix.toarray())[0]
    for above, firm in ((1e-6, True), (-1e-6, False)):
        moved = matrix.copy()
        moved.setdiag(matrix.diagonal() - least + above)
        assert (fronts.factorise(moved.data) is not None) == firm


def test_borders_part_the_mesh_and_stay_short():
    mesh = polar_disc(1000.0, 30, 180, 100.0)
    edges, n = edges_of(mesh.triangles), len(mesh.nodes)
    tree = dissect(mesh.nodes, edges)
    assert sorted(tree.order) == list(range(n))
    assert all(parent > child or parent == -1 for child, parent in enumerate(tree.parents))
    assert len(tree.fronts[-1]) < 4 * np.sqrt(n)
    left = np.setdiff1d(np.arange(n), tree.fronts[-1])
    graph = coo_matrix((np.ones(len(edges)), edges.T), shape=(n, n)).tocsr()[left][:, left]
    parts, label = connected_components(graph, directed=False)
    assert parts >= 2
    assert np.bincount(label).max() < 0.6 * n


@given(st.lists(st.tuples(st.integers(0, 50), st.integers(1, 6)), min_size=1, max_size=40))
def test_no_place_is_given_twice_at_a_time(fronts):
    sizes = [size for size, _ in fronts]
    parents = [k + step if k + step < len(fronts) else -1 for k, (_, step) in enumerate(fronts)]
    places, room = _arranged(sizes, parents)
    for k, parent in enumerate(parents):
        assert places[k] + sizes[k] <= room
        for later in range(k + 1, (parent if parent >= 0 else len(fronts) - 1) + 1):
            apart = places[k] + sizes[k] <= places[later] or places[later] + sizes[later] <= places[k]
            assert apart or not sizes[k] or not sizes[later]

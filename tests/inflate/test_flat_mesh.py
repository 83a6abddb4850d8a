import numpy as np
import pytest
import shapely
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from shellparts.base.errors import ParameterError
from shellparts.inflate import mesh_flat


def side(a, b, n):
    return np.linspace(a, b, n, endpoint=False)


def ring(centre, radius, n, clockwise=False):
    t = 2 * np.pi * np.arange(n) / n * (-1 if clockwise else 1)
    return np.column_stack([np.cos(t), np.sin(t)]) * radius + centre


PANEL = np.concatenate(
    [
        side((0, 0), (1200, 0), 12),
        side((1200, 0), (850, 2300), 24),
        side((850, 2300), (350, 2300), 5),
        side((350, 2300), (0, 0), 24),
    ]
)
NOTCHED = np.concatenate(
    [
        side((0, 0), (300, 0), 3),
        side((300, 0), (300, 1500), 15),
        side((300, 1500), (900, 1500), 6),
        side((900, 1500), (900, 0), 15),
        side((900, 0), (1200, 0), 3),
        side((1200, 0), (850, 2300), 23),
        side((850, 2300), (350, 2300), 5),
        side((350, 2300), (0, 0), 23),
    ]
)
#: Nodes on the two long edges that do not face each other, 20 mm apart.
NARROW = np.concatenate(
    [
        side((0, 0), (3000, 0), 10),
        side((3000, 0), (3000, 20), 1),
        side((3000, 20), (0, 20), 13),
        side((0, 20), (0, 0), 1),
    ]
)
FINE_TO_COARSE = np.concatenate(
    [
        side((0, 0), (1000, 0), 100),
        side((1000, 0), (1000, 1000), 10),
        side((1000, 1000), (0, 1000), 4),
        side((0, 1000), (0, 0), 10),
    ]
)
PIECES = {
    "panel": ([PANEL], 25),
    "panel with a mouth": ([PANEL, ring((600, 700), 200, 14, clockwise=True)], 25),
    "panel with a doorway": ([NOTCHED], 20),
    "cap": ([ring((0, 0), 100, 12)], 25),
    "cap without room inside": ([ring((0, 0), 100, 3)], 59),
    "narrow": ([NARROW], 3),
    "fine to coarse": ([FINE_TO_COARSE], 12),
}


@pytest.mark.parametrize("name", PIECES)
def test_triangles_fill_the_piece_and_keep_its_nodes(name):
    loops, least = PIECES[name]
    mesh = mesh_flat(loops, 100.0)
    given_nodes = np.concatenate(loops)
    assert np.array_equal(mesh.points[: len(given_nodes)], given_nodes)
    a, b, c = (mesh.points[mesh.triangles[:, i]] for i in range(3))
    u, v = b - a, c - a
    areas = 0.5 * (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0])
    assert areas.min() > 0
    assert areas.sum() == pytest.approx(shapely.Polygon(loops[0], loops[1:]).area, rel=1e-9)
    pairs = np.concatenate([mesh.triangles[:, [i, (i + 1) % 3]] for i in range(3)])
    edges, counts = np.unique(np.sort(pairs, axis=1), axis=0, return_counts=True)
    assert counts.max() <= 2
    rim = {tuple(edge) for edge in edges[counts == 1].tolist()}
    expected, start = set(), 0
    for loop in loops:
        n = len(loop)
        expected |= {tuple(sorted((start + i, start + (i + 1) % n))) for i in range(n)}
        start += n
    assert rim == expected
    assert len(mesh.points) - len(edges) + len(mesh.triangles) == 2 - len(loops)
    assert np.degrees(mesh.least_angle_rad) >= least
    lengths = np.linalg.norm(mesh.points[edges[:, 0]] - mesh.points[edges[:, 1]], axis=1)
    spacing = max(np.linalg.norm(np.roll(loop, -1, axis=0) - loop, axis=1).max() for loop in loops)
    assert lengths.max() <= 2 * max(100.0, spacing)


def test_the_same_input_gives_the_same_bytes():
    one, two = (mesh_flat([PANEL], 100.0) for _ in range(2))
    assert one.points.tobytes() == two.points.tobytes()
    assert one.triangles.tobytes() == two.triangles.tobytes()


def test_smaller_triangles_where_the_edge_is_finer():
    mesh = mesh_flat([FINE_TO_COARSE], 100.0)
    middles = mesh.points[mesh.triangles].mean(axis=1)
    u, v = (mesh.points[mesh.triangles[:, i]] - mesh.points[mesh.triangles[:, 0]] for i in (1, 2))
    areas = 0.5 * (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0])
    assert areas[middles[:, 1] < 30].max() < 0.2 * areas[middles[:, 1] > 500].mean()


@pytest.mark.parametrize(
    ("loops", "size", "words"),
    [
        ([PANEL], 0.0, "size of triangles is 0 mm"),
        ([PANEL], float("nan"), "size of triangles is nan mm"),
        ([PANEL[:2]], 100.0, "nodes of a loop is fewer than 3"),
        ([PANEL[::-1]], 100.0, "edge of a flat piece"),
        ([np.array([(0, 0), (100, 100), (100, 0), (0, 100)])], 100.0, "Self-intersection"),
    ],
)
def test_impossible_pieces_are_refused(loops, size, words):
    with pytest.raises(ParameterError, match=words):
        mesh_flat(loops, size)


@settings(max_examples=40, deadline=None, derandomize=True, phases=[Phase.generate])
@given(
    radii=st.lists(st.floats(200, 1000), min_size=5, max_size=12),
    spacing=st.floats(40, 400),
    size=st.floats(60, 300),
)
def test_random_stars_are_filled(radii, spacing, size):
    turn = 2 * np.pi * np.arange(len(radii)) / len(radii)
    corners = np.column_stack([np.cos(turn), np.sin(turn)]) * np.array(radii)[:, None]
    sides = zip(corners, np.roll(corners, -1, axis=0), strict=True)
    loop = np.concatenate([side(a, b, max(1, round(np.linalg.norm(b - a) / spacing))) for a, b in sides])
    mesh = mesh_flat([loop], size)
    assert mesh.least_angle_rad > 0
    assert len(np.unique(mesh.triangles)) == len(mesh.points)

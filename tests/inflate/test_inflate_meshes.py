import numpy as np
import pytest
from sample_meshes import polar_disc, revolved_sector, sphere_octant, tube_sector, wedge

from shellparts.inflate import Membrane
from shellparts.inflate.panel_mesh import grid_triangles
from shellparts.inflate.sheet import signed_volume

CLOTH = Membrane(1, 1, 1)


def open_edges(triangles):
    ends = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    directed, count = np.unique(ends, axis=0, return_counts=True)
    assert count.max() == 1, "two triangles run along an edge the same way"
    pairs = {tuple(e) for e in directed.tolist()}
    return {e for e in pairs if e[::-1] not in pairs}


MESHES = {
    "disc": lambda: polar_disc(1000.0, 7, 41, 50.0),
    "one ring": lambda: polar_disc(1000.0, 1, 6, 0.0),
    "wedge": lambda: wedge(1000.0, 0.4, 9, 4, 100.0),
    "tube": lambda: tube_sector(1000.0, 3000.0, 0.8, 6, 5),
    "octant": lambda: sphere_octant(1000.0, 7),
    "revolved": lambda: revolved_sector([(1000, 0), (900, 500), (0, 800)], 0.5, 4),
}


@pytest.mark.parametrize("name", MESHES)
def test_all_nodes_are_used_and_faces_turn_alike(name):
    mesh = MESHES[name]()
    sheet = mesh.sheet(CLOTH)
    assert set(sheet.faces.ravel().tolist()) == set(range(len(mesh.nodes)))
    assert (sheet.rest_area > 0).all()
    rims = {n for edge in open_edges(sheet.faces) for n in edge}
    named = {int(n) for nodes in mesh.edges.values() for n in nodes}
    assert rims <= named


@pytest.mark.parametrize("name", MESHES)
def test_outside_is_outside(name):
    mesh = MESHES[name]()
    # seen from a metre below the floor every face of these forms shows its inside
    lifted = mesh.nodes + np.array([0, 0, 1000.0 if name in ("disc", "one ring", "wedge") else 0.0])
    assert signed_volume(lifted, mesh.sheet(CLOTH).faces) > 0


def test_flat_areas():
    assert polar_disc(1000.0, 7, 41, 50.0).sheet(CLOTH).rest_area.sum() == pytest.approx(
        0.5 * 41 * 1e6 * np.sin(2 * np.pi / 41), rel=1e-12
    )
    assert wedge(1000.0, 0.4, 9, 4, 0.0).sheet(CLOTH).rest_area.sum() == pytest.approx(
        2e6 * np.sin(0.1), rel=1e-12
    )
    assert tube_sector(1000.0, 3000.0, 0.8, 6, 5).sheet(CLOTH).rest_area.sum() == pytest.approx(
        2.4e6, rel=1e-12
    )


def test_tube_with_its_ends_holds_a_prism_of_air():
    mesh = tube_sector(1000.0, 3000.0, 0.8, 6, 5)
    expected = 3000 * 5 * 0.5 * 1e6 * np.sin(0.8 / 5)
    assert signed_volume(mesh.nodes, mesh.sheet(CLOTH).faces) == pytest.approx(expected, rel=1e-12)


def test_octant_fills_an_eighth_of_a_ball():
    mesh = sphere_octant(1000.0, 40)
    assert len(mesh.triangles) == 1600
    assert signed_volume(mesh.nodes, mesh.triangles) == pytest.approx(np.pi / 6 * 1e9, rel=2e-3)
    assert np.linalg.norm(mesh.nodes, axis=1) == pytest.approx(np.full(len(mesh.nodes), 1000.0))
    for axis, name in enumerate("xyz"):
        assert np.abs(mesh.nodes[mesh.edges[name], axis]).max() < 1e-9


def test_grid_makes_two_triangles_a_cell():
    triangles = grid_triangles(np.arange(12).reshape(3, 4))
    assert len(triangles) == 12
    assert len(open_edges(triangles)) == 10

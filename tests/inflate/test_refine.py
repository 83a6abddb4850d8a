"""Forms carried from mesh to mesh, against scipy's interpolation on plain triangles."""

import numpy as np
import pytest
from scipy.interpolate import LinearNDInterpolator
from sewn_rooms import flat_of

from shellparts.base.errors import ParameterError
from shellparts.inflate.refine import carried
from shellparts.inflate.weld import weld


@pytest.fixture(scope="module")
def meshes():
    return weld(flat_of("bare"), 400.0), weld(flat_of("bare"), 200.0)


def blown(nodes):
    """A smooth form: the room as sewn, swollen in waves."""
    return nodes * (1.0 + 0.05 * np.sin(nodes / 700.0))


def flat_places(mesh, region):
    own = mesh.region_of == region
    names, first = np.unique(mesh.triangles[own], return_index=True)
    return names, mesh.rest[own].reshape(-1, 2)[first]


def test_a_form_goes_back_to_where_it_came_from(meshes):
    coarse, _ = meshes
    form = blown(coarse.nodes)
    free = np.setdiff1d(np.arange(len(form)), coarse.floor)
    assert carried(coarse, form, coarse)[free] == pytest.approx(form[free], abs=1e-6)
    assert carried(coarse, form, coarse)[coarse.floor] == pytest.approx(coarse.nodes[coarse.floor])


def test_plain_stretching_is_carried_exactly(meshes):
    coarse, fine = meshes
    stretch = np.array([[1.1, 0.2, 0.0], [0.0, 0.9, 0.1], [0.05, 0.0, 1.2]])
    free = np.setdiff1d(np.arange(len(fine.nodes)), fine.floor)
    moved = carried(coarse, coarse.nodes @ stretch, fine)
    # the panels' flat parts are planes as sewn, so that stretching them is linear on the flat cloth too
    assert np.abs(moved - carried(coarse, coarse.nodes, fine) @ stretch)[free].max() < 1e-6


def test_it_is_much_nearer_to_a_smooth_form_than_plain_triangles_are(meshes):
    coarse, fine = meshes
    form, moved = blown(coarse.nodes), carried(coarse, blown(coarse.nodes), fine)
    ours, plain = [], []
    for region in range(len(fine.regions)):
        known, there = flat_places(coarse, region)
        names, places = flat_places(fine, region)
        linear = LinearNDInterpolator(there, form[known])(places)
        told = np.isfinite(linear).all(axis=1) & ~np.isin(names, fine.floor)
        aim = blown(fine.nodes[names[told]])
        ours.append(np.linalg.norm(moved[names[told]] - aim, axis=1))
        plain.append(np.linalg.norm(linear[told] - aim, axis=1))
    assert np.concatenate(ours).mean() < 0.5 * np.concatenate(plain).mean()


def test_meshes_of_two_rooms_are_refused(meshes):
    other = weld(flat_of("lantern_room"), 400.0)
    with pytest.raises(ParameterError, match="rooms of the two meshes"):
        carried(meshes[0], meshes[0].nodes, other)

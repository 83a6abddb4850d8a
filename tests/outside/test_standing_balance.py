"""The balance of a sagging room, worked out again apart from the solver: forces of cloth, air and weight at every node.

Only the flat triangles and the places of the nodes are taken from the project. The force of cloth that cannot push is
found by another way than the solver's: a wrinkled triangle carries one pull, in the direction in which a strip of it
alone would store most energy (the maximum principle of tension-field theory: A. C. Pipkin, IMA J. Appl. Math. 36, 1986;
from memory). Gravity 9.80665 m/s2 is that of CIPM 1901.
"""

import numpy as np
import pytest
from model_rooms import room_of

from shellparts.build.inflated import flat_pieces
from shellparts.inflate import Membrane, RoomState
from shellparts.inflate.standing_search import forms_let_down

WARP, WEFT, SHEAR, POISSON, MASS = 150e3, 120e3, 8e3, 0.2, 0.2


def compliance(layers):
    """Strain per force of each triangle, (m, 3, 3), on strains (warp, weft, twice the shear) [m/N]."""
    one = np.array([[1 / WARP, -POISSON / WARP, 0], [-POISSON / WARP, 1 / WEFT, 0], [0, 0, 1 / SHEAR]])
    return one / layers[:, None, None]


def strip(angle, strain, soft):
    """Energy of a strip pulled along an angle, and its force; none where it would be pushed."""
    c, s = np.cos(angle), np.sin(angle)
    pull = np.stack([c * c, s * s, c * s], axis=-1)
    stretch = np.einsum("...i,...i->...", pull, strain)
    give = np.einsum("...i,...ij,...j->...", pull, soft, pull)
    force = np.maximum(stretch, 0) / give
    return stretch * force / 2, force[..., None] * pull


def slope(angle, strain, soft):
    """Change of ``stretch² / give`` with the angle, up to a positive factor, where the strip is stretched."""
    c, s = np.cos(angle), np.sin(angle)
    pull, turned = np.stack([c * c, s * s, c * s], -1), np.stack([-2 * c * s, 2 * c * s, c * c - s * s], -1)
    give, gives = (np.einsum("mi,mij,mj->m", pull, soft, one) for one in (pull, turned))
    stretch, stretches = (np.einsum("mi,mi->m", one, strain) for one in (pull, turned))
    return stretches * give - stretch * gives


def carried(strain, soft):
    """Force of cloth that pulls and never pushes, (m, 3) [N/m]."""
    force = np.linalg.solve(soft, strain[..., None])[..., 0]
    pushes = (force[:, 0] + force[:, 1] < 0) | (force[:, 0] * force[:, 1] < force[:, 2] ** 2)
    strain, soft = strain[pushes], soft[pushes]
    # a strip is stretched only this near to the direction of the largest stretch, which may be very near
    mean, half = (strain[:, 0] + strain[:, 1]) / 2, np.hypot(strain[:, 0] - strain[:, 1], strain[:, 2]) / 2
    middle = np.arctan2(strain[:, 2], strain[:, 0] - strain[:, 1]) / 2
    reach = np.arccos(np.clip(-mean / np.maximum(half, 1e-300), -1, 1)) / 2
    angles = middle[:, None] + reach[:, None] * np.linspace(-1, 1, 721)
    energy, _ = strip(angles, strain[:, None], soft[:, None])
    best = angles[np.arange(len(angles)), energy.argmax(axis=1)]
    low, high = best - reach / 360, best + reach / 360
    for _ in range(60):
        middle = (low + high) / 2
        rising = slope(middle, strain, soft) > 0
        low, high = np.where(rising, middle, low), np.where(rising, high, middle)
    force[pushes] = strip((low + high) / 2, strain, soft)[1]
    return force


def left_over(welded, nodes, pressure):
    """Forces that do not cancel at free nodes over the air's there; for cloth that lies nowhere on the floor."""
    corners, flat = nodes[welded.triangles], welded.rest[:, :, ::-1] * [1, -1]  # warp runs up the piece
    bent = np.stack([corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]], axis=-1)
    lying = np.stack([flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0]], axis=-1)
    inverse, area = np.linalg.inv(lying), np.linalg.det(lying) / 2
    stretching = bent @ inverse
    metric = stretching.transpose(0, 2, 1) @ stretching
    strain = np.stack([(metric[:, 0, 0] - 1) / 2, (metric[:, 1, 1] - 1) / 2, metric[:, 0, 1]], axis=-1)
    s1, s2, s12 = carried(strain, compliance(welded.layers)).T * 1e-3  # N/mm
    stress = np.stack([np.stack([s1, s12], -1), np.stack([s12, s2], -1)], axis=1)
    pull = stretching @ stress @ inverse.transpose(0, 2, 1) * area[:, None, None]
    total, air = np.zeros_like(nodes), np.zeros_like(nodes)
    np.add.at(total, welded.triangles[:, 1], -pull[..., 0])
    np.add.at(total, welded.triangles[:, 2], -pull[..., 1])
    np.add.at(total, welded.triangles[:, 0], pull.sum(axis=-1))
    weight = 1e-6 * MASS * 9.80665 * area * welded.layers / 3
    np.add.at(total[:, 2], welded.triangles, -weight[:, None])
    gaps = [
        corner
        for a, b in welded.vents
        for i in range(len(a) - 1)
        for corner in ((a[i + 1], a[i], b[i]), (a[i + 1], b[i], b[i + 1]))
    ]
    faces = np.concatenate([welded.triangles, np.array(gaps, dtype=int).reshape(-1, 3)])
    p = nodes[faces]
    third = 1e-6 * pressure * np.cross(p[:, 1] - p[:, 0], p[:, 2] - p[:, 0]) / 6
    np.add.at(air, faces, third[:, None])
    total += air
    free = np.ones(nodes.shape, dtype=bool)
    free[np.concatenate([welded.floor, *welded.rings])] = False
    return np.linalg.norm(total[free]) / np.linalg.norm(air[free])


def forms(name):
    """A firm form and a sagging one, each with its pressure."""
    room = room_of(name)
    cloth = Membrane(WARP, WEFT, SHEAR, POISSON, MASS)
    about = {"lantern_room": 5.4, "tide_dome": 5.2, "orchard_pavilion": 6.4}[name]
    flat = flat_pieces(room.body, room.outlines)
    return forms_let_down(flat, cloth, about, lambda p, form: about if p > about else None)


def check(name):
    found = list(forms(name))
    assert len(found) == 2
    for pressure, form in found:
        assert form.state is RoomState.STANDS
        assert form.form.nodes[:, 2].min() >= 0
        assert left_over(form.welded, form.form.nodes, pressure) <= 1e-5
    welded, nodes = found[0][1].welded, found[0][1].form.nodes
    assert left_over(welded, nodes, found[1][0]) > 0.1, "a form of another pressure is not in balance"


def test_the_lantern_room_is_in_balance():
    check("lantern_room")


@pytest.mark.sweep
@pytest.mark.parametrize("name", ["tide_dome", "orchard_pavilion"])
def test_the_others_are_in_balance(name):
    check(name)


def test_the_law_of_cloth_used_here():
    """Pulled along the warp alone it narrows freely; pushed it gives way; pulled both ways both count."""
    soft = compliance(np.ones(3))
    forces = carried(np.array([[0.01, -0.5, 0.0], [-0.01, -0.01, 0.0], [0.01, 0.01, 0.0]]), soft)
    assert forces[0] == pytest.approx([0.01 * WARP, 0, 0], abs=1e-6)
    assert forces[1] == pytest.approx([0, 0, 0])
    both = np.linalg.solve(soft[2, :2, :2], [0.01, 0.01])
    assert forces[2] == pytest.approx([*both, 0])

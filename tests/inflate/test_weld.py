from collections import Counter

import numpy as np
import pytest
from model_rooms import NAMES
from sewn_rooms import SIZE_MM, flat_of, pattern_of, room_of

from shellparts import Design, Shell, Sleeve, build
from shellparts.base.errors import ParameterError
from shellparts.build.inflated import flat_pieces
from shellparts.inflate import flat_room, weld
from shellparts.openings.doorway import CURTAIN
from shellparts.openings.sleeve import SLEEVE
from shellparts.parameters.part import CAP, FLAP

MISMATCH_MM = 0.01


@pytest.fixture(scope="module", params=NAMES)
def name(request):
    return request.param


@pytest.fixture(scope="module")
def welded(name):
    return weld(flat_of(name), SIZE_MM)


def sides_of(triangles):
    """Sides of triangles, and how many triangles each has."""
    pairs = np.concatenate([triangles[:, [i, (i + 1) % 3]] for i in range(3)])
    return np.unique(np.sort(pairs, axis=1), axis=0, return_counts=True)


def test_every_seam_of_the_pattern_is_welded_once(name, welded):
    """Sheets and lengths of the pattern's seams, flaps on the floor aside, are those of the welds."""
    room, pattern = flat_of(name), pattern_of(name)
    expected = Counter()
    for seam in pattern.seams:
        (edge,) = (e for e in pattern.piece(seam.pieces[0]).all_edges if e.id == seam.edges[0])
        for stretch in edge.flat:
            if np.abs(room.space[stretch.key][:, 2]).max() > MISMATCH_MM:
                expected[tuple(sorted(seam.sheets))] += stretch.length_mm
    assert len(expected) > room_of(name).design.shell.panels
    found = Counter()
    for one in welded.welds:
        if one.is_fold:
            continue
        first, *others = one.sheets
        # where the curtain's leaves overlap both are sewn on at once
        for a in first:
            for b in (b for other in others for b in other):
                found[tuple(sorted((a, b)))] += one.lengths_mm[0]
    joint = [w for w in welded.welds if w.is_fold and w.key in room_of(name).body.joints]
    for one in joint:
        found[one.sheets[0] * 2] += one.lengths_mm[0]
    assert set(found) == set(expected)
    for pair, length in expected.items():
        assert found[pair] == pytest.approx(length, abs=MISMATCH_MM), pair
    assert len({w.key for w in welded.welds}) == len(welded.welds)


def test_both_sides_of_every_weld_have_one_length(welded):
    assert max(one.mismatch_mm for one in welded.welds) <= MISMATCH_MM
    assert all(len(one.sheets) in (2, 3) for one in welded.welds)


def test_flat_sides_along_welds_agree(welded):
    """Each side of a triangle along a weld, measured on both flat pieces: they differ by the bow of a chord at most."""
    flat = {}
    for corners, rest in zip(welded.triangles.tolist(), welded.rest, strict=True):
        for i in range(3):
            pair = frozenset((corners[i], corners[i - 1]))
            flat.setdefault(pair, []).append(float(np.linalg.norm(rest[i] - rest[i - 1])))
    for one in welded.welds:
        for a, b in zip(one.nodes[:-1].tolist(), one.nodes[1:].tolist(), strict=True):
            both = flat[frozenset((a, b))]
            assert len(both) == 2
            # nine sides or more round a tube: sin(pi/9) / (pi/9) = 0.980
            assert max(both) - min(both) <= 0.02 * max(both)


def test_it_is_one_surface_with_the_floor_and_the_sleeve_left_open(welded):
    """Euler's number of a sphere with two holes is zero."""
    edges, counts = sides_of(welded.triangles)
    assert counts.max() == 2
    assert len(np.unique(welded.triangles)) == len(welded.nodes)
    assert len(welded.nodes) - len(edges) + len(welded.triangles) == 0
    pairs = np.concatenate([welded.triangles[:, [i, (i + 1) % 3]] for i in range(3)])
    assert len(np.unique(pairs, axis=0)) == len(pairs), "two triangles walk a side the same way"
    floor, ring = set(welded.floor.tolist()), set(welded.rings[0].tolist())
    vents = {n for vent in welded.vents for row in vent for n in row.tolist()}
    for edge in edges[counts == 1].tolist():
        assert set(edge) <= floor or set(edge) <= ring or set(edge) <= vents


def test_nodes_lie_where_the_room_was_sewn(name, welded):
    """Volume of the closed surface against that of the body, less what chords cut off."""
    body = room_of(name).body
    assert np.abs(welded.nodes[welded.floor, 2]).max() <= 1e-6
    assert welded.nodes[:, 2].min() >= -1e-6
    assert welded.nodes[:, 2].max() == pytest.approx(body.figures.height_mm, abs=1e-6)
    a, b, c = (welded.nodes[welded.triangles[:, i]] for i in range(3))
    volume = np.einsum("mi,mi->", a, np.cross(b, c)) / 6
    (ring,) = welded.rings
    p = welded.nodes[ring]
    volume += np.einsum("i,mi->", p[0], np.cross(p[2:], p[1:-1])) / 6
    assert 0.97 < volume * 1e-9 / body.figures.envelope_volume_m3 < 1


def test_flat_triangles_have_the_area_of_the_pieces(name, welded):
    u, v = welded.rest[:, 1] - welded.rest[:, 0], welded.rest[:, 2] - welded.rest[:, 0]
    area = (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]) / 2 * welded.layers
    assert area.min() > 0
    assert np.degrees(welded.least_angle_rad) > 15
    names = np.array(welded.sheet_of)
    for piece in pattern_of(name).pieces:
        if piece.kind in (SLEEVE, CAP):
            own = area[names == piece.sheets[0]].sum()
            # of a circle of ten sides or more: sin(2 pi/10) / (2 pi/10) = 0.935
            assert 0.935 < own / piece.outline.flat_area_mm2 < 1 + 1e-6
    leaves = sum(p.outline.flat_area_mm2 * p.count for p in pattern_of(name).pieces if p.kind == CURTAIN)
    assert area[welded.of_kind(CURTAIN)].sum() == pytest.approx(leaves, rel=0.02)


def test_flaps_take_no_part(name, welded):
    assert not welded.of_kind(FLAP).any()
    middles = welded.nodes[welded.triangles].mean(axis=1)
    assert middles[:, 2].min() > 1.0


def test_the_curtain_overlaps_in_two_layers(welded):
    assert set(welded.layers[welded.of_kind(CURTAIN)].tolist()) == {1, 2}
    assert set(welded.layers[~welded.of_kind(CURTAIN)].tolist()) == {1}


def test_vents_are_two_rows_in_one_place(name, welded):
    assert len(welded.vents) == 2
    vent = room_of(name).design.openings[0].vent
    for left, right in welded.vents:
        assert welded.nodes[left] == pytest.approx(welded.nodes[right], abs=1e-6)
        assert len(set(left.tolist()) & set(right.tolist())) == 1
        assert np.ptp(welded.nodes[left, 2]) == pytest.approx(vent, abs=1e-6)


def test_the_same_input_gives_the_same_bytes():
    one, two = (weld(flat_of("lantern_room"), 400.0) for _ in range(2))
    for name in ("nodes", "triangles", "rest"):
        assert getattr(one, name).tobytes() == getattr(two, name).tobytes()


def test_a_missing_course_is_refused():
    room = room_of("bare")
    with pytest.raises(ParameterError, match=r"course of edge .* is missing"):
        flat_room(room.outlines, room.body.seams, {})


def test_a_course_that_runs_backward_is_refused():
    room = room_of("bare")
    courses = {link.key: link.sampled(2)[::-1] for link in room.body.links[:1]}
    courses |= {link.key: link.sampled(2) for link in room.body.links[1:]}
    with pytest.raises(ParameterError, match="gap between edges"):
        flat_room(room.outlines, room.body.seams, courses)


def test_a_narrow_sleeve_is_no_flat_strip_on_coarse_triangles():
    """Where a tube is one triangle across on both halves these are the same triangles, seen from both sides."""
    shell = Shell(panels=8, across=4000, height=3000, wall=1500)
    design = Design(name="narrow", shell=shell, sleeve=Sleeve(diameter=100, length=1500, height=1000))
    room = build(design)
    triangles = weld(flat_pieces(room.body, room.outlines), 400.0).triangles
    corners = np.sort(triangles, axis=1)
    assert len(np.unique(corners, axis=0)) == len(corners)
    edges = np.concatenate([triangles[:, [i, (i + 1) % 3]] for i in range(3)])
    assert len(np.unique(edges, axis=0)) == len(edges)

"""Smooth surfaces through a room under air: looked at with SciPy's own tensor splines, and by counting edges."""

import sys
from collections import Counter

import numpy as np
import pytest
from attrs import evolve
from scipy.interpolate import BSpline, NdBSpline
from sewn_rooms import CLOTH, PRESSURE_PA, SIZE_MM, flat_of, inflated

from shellparts.base.errors import GeometryError
from shellparts.inflate.smooth import LOOSE_MM, smooth_form
from shellparts.inflate.smooth_faces import face_net
from shellparts.inflate.spline_patch import SplinePatch, knots_between, patch_over
from shellparts.inflate.whole_room import whole_room


@pytest.fixture(scope="module")
def form():
    return smooth_form(inflated("lantern_room"))


def surfaces(form):
    """SciPy's spline of every face."""
    for patch, poles in zip(form.patches, form.poles, strict=True):
        yield NdBSpline((knots_between(patch.u), knots_between(patch.v)), poles, 3)


def test_weights_are_those_of_scipys_tensor_spline():
    rng = np.random.default_rng(5)
    patch = SplinePatch(np.array([0.0, 2.0, 3.0, 7.0]), np.array([-1.0, 0.5, 4.0]))
    poles = rng.normal(size=(*patch.shape, 3))
    places = rng.uniform([0, -1], [7, 4], (200, 2))
    columns, values = patch.weights(places)
    assert values.sum(axis=1) == pytest.approx(1.0)
    mine = np.einsum("nk,nkc->nc", values, poles.reshape(-1, 3)[columns])
    assert mine == pytest.approx(
        NdBSpline((knots_between(patch.u), knots_between(patch.v)), poles, 3)(places)
    )


def test_the_stiffness_of_a_bent_sheet_is_known_by_hand():
    """z = a u² + b u v: second derivatives 2a, b, 0; the integral is (4 a² + 2 b²) times the area."""
    patch = SplinePatch(np.array([0.0, 1.0, 4.0]), np.array([0.0, 2.5, 3.0, 5.0]))
    a, b = 0.7, -0.3
    u, v = np.meshgrid(np.linspace(0, 4, 30), np.linspace(0, 5, 30), indexing="ij")
    places = np.column_stack([u.ravel(), v.ravel()])
    columns, values = patch.weights(places)
    rows = np.zeros((len(places), patch.poles))
    np.put_along_axis(rows, columns, values, axis=1)
    poles = np.linalg.lstsq(rows, a * places[:, 0] ** 2 + b * places[:, 0] * places[:, 1], rcond=None)[0]
    assert poles @ (patch.stiffness @ poles) == pytest.approx((4 * a**2 + 2 * b**2) * 20.0)


def test_a_finer_patch_has_breaks_where_it_was_asked_for():
    patch = patch_over([np.array([[0.0, 0.0], [400.0, 800.0]])], 200.0)
    assert patch.finer(np.zeros((0, 2))) is patch
    finer = patch.finer(np.array([[10.0, 790.0]]))
    assert set(np.concatenate([finer.u, finer.v])) - set(np.concatenate([patch.u, patch.v])) == {100.0, 700.0}


def test_every_edge_is_walked_once_each_way(form):
    walked = Counter((side.edge, side.forward) for face in form.net.faces for side in face.sides)
    walked.update((number, forward) for lid in form.net.lids for number, forward in lid)
    assert set(walked.values()) == {1}
    assert len(walked) == 2 * len(form.net.edges)
    assert len(form.net.lids) == 2  # the floor, the mouth of the sleeve
    assert form.sheets == set(inflated("lantern_room").sheets) | {"curtain_right"}


def test_faces_pass_the_computed_nodes(form):
    room, worst = inflated("lantern_room"), 0.0
    for face, surface, told in zip(form.net.faces, surfaces(form), form.misses_mm, strict=True):
        off = np.linalg.norm(surface(face.rest) - form.net.nodes[face.nodes], axis=1)
        assert off.max() <= told + 1e-6
        worst = max(worst, off.max())
    shown = {tuple(at) for at in np.round(form.net.nodes, 6)}
    assert {tuple(at) for at in np.round(room.nodes, 6)} == shown
    sys.stdout.write(f"\nnodes at most {worst:.3f} mm off, edges {form.gaps_mm.max():.3f} mm\n")
    assert worst <= LOOSE_MM


def test_neighbours_meet_along_every_edge(form):
    """At places that no fit was asked about; floor and mouth exactly where they were sewn."""
    rng = np.random.default_rng(11)
    faces = list(surfaces(form))
    for number, (edge, curve) in enumerate(zip(form.net.edges, form.curves, strict=True)):
        at = rng.uniform(0.0, edge.lengths[-1], 1000)
        for i, face in enumerate(form.net.faces):
            for place, side in enumerate(face.sides):
                if side.edge == number:
                    off = np.linalg.norm(faces[i](form.traces[i, place](at)) - curve(at), axis=1)
                    assert off.max() <= max(
                        1.05 * form.gaps_mm[number], 1e-4
                    )  # few places would understate it
        if edge.held and (form.net.nodes[edge.nodes, 2] == 0).all():
            assert curve(at)[:, 2] == pytest.approx(0.0, abs=1e-9)
    assert form.gaps_mm.max() <= LOOSE_MM
    assert form.loose == [] and form.missed == []


def test_what_is_too_far_off_is_told_by_name(form):
    gaps, misses = form.gaps_mm.copy(), form.misses_mm.copy()
    number = next(i for i, edge in enumerate(form.net.edges) if not edge.held)
    beside = {n for f in form.net.faces if any(s.edge == number for s in f.sides) for n in f.sheets}
    gaps[number], misses[3] = 3.8, 0.9
    record = evolve(form, gaps_mm=gaps, misses_mm=misses).record()
    assert record["loose_edges"] == [{"pieces": sorted(beside), "gap_mm": 3.8}]
    assert record["missed_faces"] == [{"pieces": list(form.net.faces[3].sheets), "miss_mm": 0.9}]
    assert record["largest_gap_mm"] == 3.8


def test_curves_through_few_points_are_what_they_should_be():
    from shellparts.inflate.smooth import _through

    at = np.linspace(0.0, 2 * np.pi, 11)
    circle = np.column_stack([np.cos(at), np.sin(at), np.zeros(11)])
    circle[-1] = circle[0]
    closed = _through(at, circle)
    fine = np.linspace(0.0, 2 * np.pi, 500)
    assert isinstance(closed, BSpline) and np.hypot(*closed(fine)[:, :2].T) == pytest.approx(1.0, abs=2e-3)
    slopes = closed(np.array([0.0, 2 * np.pi]), nu=1)
    assert slopes[0] == pytest.approx(slopes[1], abs=1e-9)
    assert _through(at, np.outer(at, [1.0, 2.0, 0.0])).k == 1


def test_a_room_whose_cloth_does_not_close_is_refused():
    room = inflated("lantern_room")
    welded = room.welded
    first = len(np.unique(welded.region_of)) - 1
    keep = welded.region_of != first
    cut = evolve(
        welded,
        triangles=welded.triangles[keep],
        rest=welded.rest[keep],
        region_of=welded.region_of[keep],
        regions=welded.regions[:first],
        borders=welded.borders[:first],
    )
    with pytest.raises(GeometryError, match="does not close"):
        face_net(evolve(room, welded=cut))


@pytest.mark.sweep
def test_between_nodes_it_is_nearer_to_a_finer_form_than_triangles_are():
    """Every node of a mesh of triangles of half the size, at its own place on the flat piece."""
    from scipy.interpolate import LinearNDInterpolator

    form = smooth_form(inflated("lantern_room"))
    fine = whole_room(flat_of("lantern_room"), CLOTH, PRESSURE_PA, SIZE_MM / 2)
    off: list[np.ndarray] = []
    for number, (face, surface) in enumerate(zip(form.net.faces, surfaces(form), strict=True)):
        own = fine.welded.region_of == number
        names, first = np.unique(fine.welded.triangles[own], return_index=True)
        if not len(names):
            continue  # the gap of a vent
        rest = fine.welded.rest[own].reshape(-1, 2)[first]
        flat = LinearNDInterpolator(face.rest, form.net.nodes[face.nodes])(rest)
        there = np.isfinite(flat).all(axis=1)
        pair = [np.linalg.norm(at[there] - fine.nodes[names][there], axis=1) for at in (surface(rest), flat)]
        off.append(np.stack(pair))
    smooth, triangles = np.concatenate(off, axis=1)
    sys.stdout.write(f"\nmedian {np.median(smooth):.1f} mm, triangles {np.median(triangles):.1f} mm\n")
    assert np.median(smooth) < np.median(triangles)
    assert np.quantile(smooth, 0.9) < 1.1 * np.quantile(triangles, 0.9)

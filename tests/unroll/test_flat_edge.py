"""Flat edges, loops and outlines by themselves: no kernel."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shellparts.unroll.boundary import fitted
from shellparts.unroll.flat_edge import FlatEdge, Form
from shellparts.unroll.outline import FoldLine, Loop, Outline
from shellparts.unroll.panels import Panels, flat_edge, resolve


def spiral(rate=0.02, length=30.0, start=0.05):
    """Clothoid: curvature grows with arc length."""

    def sample(owner, t):
        return np.ones_like(t), start + rate * t, np.ones(len(t))

    (found,) = resolve(sample, [[0.0, length]])
    return flat_edge(Panels(found.half, found.speed, found.turning, length), 5, True)


def line(a, b, key=-1):
    a, b = np.asarray(a, float), np.asarray(b, float)
    length, aim = np.hypot(*(b - a)), math.atan2(*(b - a)[::-1])
    return FlatEdge(
        key, Form.LINE, np.array([0, length]), np.array([a, b]), np.full(2, aim), np.zeros(2), length
    )


def arc(centre, radius, start, turn, key=-1):
    angles = np.array([start, start + turn])
    xy = np.asarray(centre) + radius * np.stack((np.cos(angles), np.sin(angles)), axis=1)
    length, sign = radius * abs(turn), math.copysign(1.0, turn)
    heading, bend = angles + sign * math.pi / 2, np.full(2, sign / radius)
    return FlatEdge(key, Form.ARC, np.array([0, length]), xy, heading, bend, length)


def test_clothoid_against_quadrature():
    """Fresnel-type integral by scipy."""
    from scipy.integrate import quad

    edge = spiral()
    assert edge.form is Form.CURVE
    for s in (0.0, 3.3, 17.77, 30.0):
        x = quad(lambda t: math.cos(0.05 * t + 0.01 * t * t), 0, s, epsabs=1e-13)[0]
        y = quad(lambda t: math.sin(0.05 * t + 0.01 * t * t), 0, s, epsabs=1e-13)[0]
        assert edge.at(s)[0] == pytest.approx([x, y], abs=3e-9)
        assert edge.heading_at(s)[0] == pytest.approx(0.05 * s + 0.01 * s * s, abs=3e-8)
        assert edge.curvature_at(s)[0] == pytest.approx(0.05 + 0.02 * s, abs=1e-5)
    assert edge.length_mm == pytest.approx(30.0, rel=1e-11)


@pytest.mark.parametrize(
    "edge", [spiral(), arc((3, 1), 4.0, 0.3, 2.5), arc((3, 1), 4.0, 0.3, -2.5), line((1, 2), (4, 6))]
)
def test_transformations(edge):
    s = np.linspace(0.0, edge.s[-1], 23)
    back = edge.reversed()
    assert back.at(s) == pytest.approx(edge.at(edge.s[-1] - s), abs=1e-9)
    assert back.forward is not edge.forward and back.reversed().xy == pytest.approx(edge.xy)
    assert back.sector_mm2 == pytest.approx(-edge.sector_mm2, abs=1e-9)
    twin = edge.mirrored()
    assert twin.at(s) == pytest.approx(edge.at(s) * (-1, 1), abs=1e-9)
    assert twin.forward is edge.forward
    moved = edge.moved(0.7, 3.0, -2.0)
    c, q = math.cos(0.7), math.sin(0.7)
    assert moved.at(s) == pytest.approx(edge.at(s) @ np.array([[c, q], [-q, c]]) + (3.0, -2.0), abs=1e-9)
    for changed in (back, twin, moved, edge.part(0.2 * s[-1], 0.9 * s[-1])):
        step = 1e-6 * changed.s[-1]
        middle = np.linspace(0.1, 0.9, 7) * changed.s[-1]
        run = changed.at(middle + step) - changed.at(middle - step)
        aim = changed.heading_at(middle)
        assert run / (2 * step) == pytest.approx(np.stack((np.cos(aim), np.sin(aim)), axis=1), abs=1e-6)
        bend = (changed.heading_at(middle + step) - changed.heading_at(middle - step)) / (2 * step)
        assert changed.curvature_at(middle) == pytest.approx(bend, abs=1e-5)


@pytest.mark.parametrize("edge", [spiral(), arc((3, 1), 4.0, 0.3, 2.5)])
def test_part(edge):
    part = edge.part(2.0, 7.5)
    assert part.length_mm == pytest.approx(5.5, rel=1e-10)
    assert part.at(np.linspace(0, 5.5, 9)) == pytest.approx(edge.at(np.linspace(2, 7.5, 9)), abs=1e-8)
    assert part.solid_length_mm == pytest.approx(5.5, rel=1e-9)


@given(st.floats(1e-4, 0.5))
@settings(max_examples=25, deadline=None)
def test_polyline_keeps_its_sagitta(sagitta):
    for edge in (spiral(), arc((3, 1), 4.0, 0.3, 6.0)):
        points = edge.polyline(sagitta)
        curve = edge.at(np.linspace(0.0, edge.s[-1], 4000))
        a, b = points[:-1], points[1:]
        run = b - a
        share = np.clip(np.sum((curve[:, None] - a) * run, -1) / np.sum(run * run, -1), 0, 1)
        away = np.hypot(*np.moveaxis(curve[:, None] - a - share[..., None] * run, -1, 0)).min(axis=1)
        assert away.max() <= 1.05 * sagitta
        assert points[0] == pytest.approx(edge.start) and points[-1] == pytest.approx(edge.end)


def test_a_line_needs_two_points():
    assert len(line((0, 0), (5, 5)).polyline(1e-3)) == 2


def half_disc():
    return Loop((line((-2, 0), (2, 0)), arc((0, 0), 2.0, 0.0, math.pi)), 1e-12)


def test_loop_area_and_perimeter():
    loop = half_disc()
    assert loop.area_mm2 == pytest.approx(2 * math.pi, rel=1e-13)
    assert loop.perimeter_mm == pytest.approx(4 + 2 * math.pi, rel=1e-13)
    assert loop.mirrored().area_mm2 == pytest.approx(2 * math.pi, rel=1e-13)
    assert len(loop.polyline(10.0)) >= 4


def test_area_of_a_very_flat_arc_does_not_cancel():
    radius = 1e9
    turn = 1.0 / radius * 100.0
    sagitta = 100.0**2 / 8 / radius
    assert arc((0, 0), radius, 0.0, turn).sector_mm2 == pytest.approx(2 / 3 * 100 * sagitta, rel=1e-6)


def test_outline_moves_whole():
    fold = FoldLine(line((0, 0), (0, 2)), 0.5, 3e-9)
    outline = Outline(half_disc(), (), (fold,), 6.28, 6.28, 0.0, 2)
    moved = outline.moved(1.0, 2.0, 3.0).mirrored()
    assert moved.closure_mm == 3e-9
    assert moved.outer.area_mm2 == pytest.approx(outline.outer.area_mm2)
    assert moved.folds[0].angle_rad == 0.5
    assert moved.folds[0].edge.length_mm == pytest.approx(2.0)


def test_unknown_name_is_refused():
    import shellparts.unroll

    with pytest.raises(AttributeError, match=r"attribute .?unrol"):
        shellparts.unroll.unrol  # noqa: B018 - the access itself is the test
    assert "unroll_face" in dir(shellparts.unroll)


@pytest.mark.parametrize("turn", [2 * math.pi, -2 * math.pi, 6.0, -5.0])
def test_an_edge_that_comes_back_on_itself_drifts_to_its_new_ends(turn):
    """Against the circle with a share of the drift added at every point; its length by scipy."""
    from scipy.integrate import quad

    edge, first, last = arc((3, 1), 10.0, 0.3, turn), np.array([0.01, 0.02]), np.array([-0.03, 0.01])
    moved = fitted(edge, edge.start + first, edge.end + last)
    length = 10.0 * abs(turn)
    drift, sign = (last - first) / length, math.copysign(1.0, turn)

    def speed(s):
        aim = edge.heading[0] + sign * s / 10.0
        return math.hypot(math.cos(aim) + drift[0], math.sin(aim) + drift[1])

    assert moved.start == pytest.approx(edge.start + first, abs=1e-12)
    assert moved.end == pytest.approx(edge.end + last, abs=1e-12)
    assert moved.length_mm == pytest.approx(quad(speed, 0, length, epsabs=1e-12)[0], abs=1e-7)
    s = np.linspace(0.0, length, 50)
    angle = 0.3 + sign * s / 10.0
    expected = np.array([3, 1]) + 10.0 * np.stack((np.cos(angle), np.sin(angle)), axis=1)
    expected += first + s[:, None] * drift
    near = moved.at(np.linspace(0.0, float(moved.s[-1]), 20001))
    assert max(np.hypot(*(near - point).T).min() for point in expected) < 4e-3  # half a step of the 20,000
    places = np.array([0.2, 0.5, 0.9]) * float(moved.s[-1])
    aims = np.diff(
        moved.at(np.stack((places - 1e-4, places + 1e-4), axis=1).ravel()).reshape(3, 2, 2), axis=1
    )
    off = np.arctan2(aims[:, 0, 1], aims[:, 0, 0]) - moved.heading_at(places)
    assert np.remainder(off + math.pi, 2 * math.pi) == pytest.approx([math.pi] * 3, abs=1e-6)


@given(
    st.sampled_from(["line", "arc", "spiral"]), st.floats(0.1, 6.28), st.floats(0, 6.28), st.floats(0, 6.28)
)
@settings(max_examples=60, deadline=None, derandomize=True)
def test_no_point_moves_much_more_than_the_ends(kind, turn, there, away):
    edge = {
        "line": lambda: line((1, 2), (4, 6)),
        "arc": lambda: arc((3, 1), 4.0, 0.3, turn),
        "spiral": spiral,
    }[kind]()
    gap = 1e-3
    first, last = (gap * np.array([math.cos(a), math.sin(a)]) for a in (there, away))
    moved = fitted(edge, edge.start + first, edge.end + last)
    share = np.linspace(0.0, 1.0, 41)
    apart = moved.at(share * moved.s[-1]) - edge.at(share * edge.s[-1])
    assert np.hypot(*apart.T).max() <= 4.0 * gap
    assert abs(moved.length_mm - edge.length_mm) <= 4.0 * gap

"""Parts before they meet: nodes and lines by identity, tubes, flaps, spline fits, and the graph's own rules."""

import math

import numpy as np
import pytest
from shapely import Polygon

from shellparts.base.errors import GeometryError
from shellparts.body.floor_bands import shell_flaps, side_flaps
from shellparts.body.kernel import fit_spline
from shellparts.body.pool import Pool
from shellparts.body.ring import Ring
from shellparts.openings import Doorway, Sleeve
from shellparts.parameters import Design, Flap, Shell
from shellparts.parameters.section import Stretch

SHELL = Shell(panels=8, across=5000, height=4000, wall=1500)
DOOR = Doorway(width=1000, height=1900, length=1500, head="arched", flap=150)
SLEEVE = Sleeve(diameter=400, length=1300, height=700, slope=10, panel=5)
ROOM = Design(name="trial", shell=SHELL, doorway=DOOR, sleeve=SLEEVE, flap=Flap(depth=400))


@pytest.mark.parametrize("apart", [0.0, 1e-9, 9e-7])
def test_points_nearer_than_the_tolerance_are_one_node_anywhere_on_the_grid(apart):
    pool = Pool()
    for at in np.arange(-3e-5, 3e-5, 1.7e-6):
        assert pool.node([at, 1.0, 2.0]) is pool.node([at + apart, 1.0, 2.0 - apart])


def test_points_farther_apart_are_two():
    pool = Pool()
    assert pool.node([0, 0, 0]) is not pool.node([2.5e-6, 0, 0])


def test_a_line_is_the_same_both_ways():
    pool = Pool()
    a, b = pool.node([0, 0, 0]), pool.node([100, 0, 0])
    there, back = pool.line(a, b), pool.line(b, a)
    assert there.link is back.link and there.forward and not back.forward
    assert back.start is b and back.end is a
    assert np.array_equal(there.sampled(5), back.sampled(5)[::-1])


def test_ring_corners_lie_on_both_neighbours():
    ring = Ring.of(ROOM.plan)
    assert ring.panels == 8 and ring.runs == 2
    for seam in range(8):
        for level in range(3):
            corner = ring.corner(seam, level)
            radius = float(SHELL.mid.radius_at(corner[2]))
            for panel in (seam, seam - 1):
                assert ring.outward[panel] @ corner == pytest.approx(radius, abs=1e-9)
                half = float(SHELL.half_width(corner[2]))
                assert abs(ring.lateral(panel, corner[None])[0]) == pytest.approx(half, abs=1e-9)


def test_tunnel_section_runs_from_foot_to_foot():
    tube = ROOM.tubes[0]
    assert tube.section[0].start == (500.0, 0.0)
    assert tube.section[-1].end == (-500.0, 0.0)
    for before, after in zip(tube.section, tube.section[1:], strict=False):
        assert before.end == after.start
    length = sum(
        math.dist(s.start, s.end) if s.centre is None else s.radius * (s.last - s.first) for s in tube.section
    )
    assert length == pytest.approx(2 * 1400 + math.pi * 500)


def test_sleeve_points_go_there_and_back():
    tube = ROOM.tubes[1]
    assert tube.axes @ tube.axes.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(tube.axes) == pytest.approx(1.0)
    section = np.array([[10.0, -20.0], [0.0, 150.0]])
    points = tube.lift(section, np.array([30.0, 400.0]))
    assert tube.local(points) == pytest.approx(np.array([[10, -20, 30], [0, 150, 400]]), abs=1e-9)
    fall = math.radians(10)
    assert tube.axes[2] == pytest.approx([-math.cos(fall), 0.0, -math.sin(fall)], abs=1e-12)
    assert tube.holds(tube.lift([[0.0, 199.9]], [100.0])).all()
    assert not tube.holds(tube.lift([[0.0, 200.1]], [100.0])).any()


@pytest.mark.parametrize("share", [0.0, 0.25, 0.5, 1.0])
def test_stretch_finds_its_own_parameters(share):
    arc = Stretch.arc((0.0, 900.0), 500.0, 0.0, math.pi / 2)
    t = arc.first + share * (arc.last - arc.first)
    y, z = arc.at(t)[0]
    assert math.hypot(y, z - 900.0) == pytest.approx(500.0)
    if 0.0 < share < 1.0:
        assert arc.parameter_at_side(float(y)) == pytest.approx(t)


def test_flaps_cover_the_edge_of_the_floor_once():
    """Eight trapezia less the doorway's strip, by areas of regular octagons; none over another."""
    bands = shell_flaps(ROOM)
    areas = [Polygon(band.corners[:, :2]) for band in bands]
    apothem = 2500 * math.cos(math.pi / 8)
    octagon = 8 * math.tan(math.pi / 8)
    whole = octagon * (apothem**2 - (apothem - 400) ** 2)
    assert sum(area.area for area in areas) == pytest.approx(whole - 1000 * 400, rel=1e-9)
    assert [band.name for band in bands[:2]] == ["flap_01_a", "flap_01_b"]
    assert {band.home for band in bands[:2]} == {"panel_01"}
    for i, a in enumerate(areas):
        assert not a.exterior.is_ccw
        assert all(a.intersection(b).area < 1e-6 for b in areas[i + 1 :])


def test_tunnel_flaps_stay_outside_the_shell():
    right, left = (Polygon(band.corners[:, :2]) for band in side_flaps(ROOM.tubes[0], DOOR, ROOM.plan))
    assert right.bounds[1:4:2] == pytest.approx((350.0, 500.0))
    assert left.bounds[1:4:2] == pytest.approx((-500.0, -350.0))
    assert right.area == pytest.approx(150 * 1500)


def test_flap_corners_do_not_come_twice():
    """A doorway edge that meets a corner of the floor within rounding had left two corners in one place."""
    shell = Shell(panels=18, across=3100, height=2030, wall=800, profile="dome", measured="middles")
    wide = 2 * float(shell.half_width(0.0))
    design = Design(
        name="trial",
        shell=shell,
        doorway=Doorway(width=wide, height=700, rise=50, length=1500, flap=100, vent=0),
        flap=Flap(depth=200),
    )
    for band in [*shell_flaps(design), *side_flaps(design.tubes[0], design.openings[0], design.plan)]:
        ring = band.corners
        assert np.linalg.norm(ring - np.roll(ring, 1, axis=0), axis=1).min() > 1e-5


def test_a_curve_whose_third_derivative_jumps_is_followed_with_few_nodes():
    def bent(t):
        return np.column_stack([1000.0 * t, 1000.0 * np.maximum(t - 0.3137, 0.0) ** 3])

    spline = fit_spline(bent, 0.0, 1.0)
    t = np.linspace(0.0, 1.0, 20001)
    assert np.abs(spline(t) - bent(t)).max() < 1e-7
    assert len(spline.t) < 400


def test_fit_of_a_smooth_curve_and_refusal_of_a_kink():
    def smooth(t):
        return np.column_stack([np.cos(t), np.sin(t), t]) * 1000.0

    spline = fit_spline(smooth, 0.0, 3.0)
    t = np.linspace(0.0, 3.0, 997)
    assert np.abs(spline(t) - smooth(t)).max() < 2e-8
    with pytest.raises(GeometryError, match=r"cannot be followed to better than .* it has a kink"):
        fit_spline(lambda t: np.column_stack([t, np.abs(t - 1.2345)]) * 1000.0, 0.0, 3.0)

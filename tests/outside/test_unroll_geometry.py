"""Unrolled outlines against handbooks, theorems and reference libraries."""

import math

import cadquery as cq
import numpy as np
import pytest
from OCP.BRepAdaptor import BRepAdaptor_Surface
from scipy.integrate import dblquad, quad
from scipy.special import ellipe

from shellparts.base.errors import UnrollError
from shellparts.unroll import Form, survey, unroll_face
from shellparts.unroll.face import as_face, edge_numbers, lay_face


def curved(solid, kind):
    faces = [face for face in solid.Faces() if face.geomType() == kind]
    assert len(faces) == 1
    return faces[0]


def sector(outline):
    """Radii of the arcs of a developed cone, smallest first, and the sector's angle [degrees]."""
    arcs = [edge for edge in outline.outer.edges if edge.form is Form.ARC]
    radii = sorted(1.0 / abs(edge.curvature[0]) for edge in arcs)
    angles = {round(math.degrees(abs(edge.heading[-1] - edge.heading[0])), 9) for edge in arcs}
    assert len(angles) == 1
    return radii, angles.pop()


def test_frustum_by_the_radial_line_method():
    """Handbook radial-line development: diameters 5 and 8, height 4."""
    outline = unroll_face(curved(cq.Solid.makeCone(4.0, 2.5, 4.0), "CONE"))
    radii, angle = sector(outline)
    assert radii == pytest.approx([7.1200, 11.3920], abs=5e-5)
    assert angle == pytest.approx(126.4044, abs=5e-5)


def test_cone_of_45_degrees():
    """Sector angle 360 sin(half angle), and what is missing at the apex by Gauss-Bonnet."""
    outline = unroll_face(curved(cq.Solid.makeCone(10.0, 0.0, 10.0), "CONE"))
    radii, angle = sector(outline)
    assert angle == pytest.approx(254.5584, abs=5e-5)
    assert 360.0 - angle == pytest.approx(360.0 * (1.0 - math.sin(math.radians(45.0))), abs=1e-9)
    assert radii == pytest.approx([10.0 * math.sqrt(2.0)], rel=1e-12)


def test_frustum_area_of_longfield():
    """D. W. Longfield, Sheet Metal Drafting, 1921, p. 128: diameters 6 and 3 in, height 3 in."""
    outline = unroll_face(curved(cq.Solid.makeCone(3.0, 1.5, 3.0), "CONE"))
    lines = [edge.length_mm for edge in outline.outer.edges if edge.form is Form.LINE]
    assert lines == pytest.approx([3.3541, 3.3541], abs=5e-5)
    assert outline.flat_area_mm2 == pytest.approx(47.417, abs=5e-4)


def cut_cylinder(radius, angle):
    tall = cq.Workplane().circle(radius).extrude(20.0 * radius)
    knife = cq.Workplane().box(60 * radius, 60 * radius, 60 * radius, centered=(True, True, False))
    return tall.cut(knife.rotate((0, 0, 0), (1, 0, 0), angle).translate((0, 0, 10.0 * radius))).val()


@pytest.mark.parametrize(("radius", "length"), [(1.0, 7.640395578), (0.6, 4.584237347)])
def test_cylinder_cut_at_45_degrees(radius, length):
    """Ellipse length 4 a E(m) by scipy.special.ellipe, and the developed edge y = R tan(a) cos(s / R)."""
    outline = unroll_face(curved(cut_cylinder(radius, 45.0), "CYLINDER"))
    (edge,) = (edge for edge in outline.outer.edges if edge.form is Form.CURVE)
    assert edge.length_mm == pytest.approx(length, abs=1e-9)
    assert edge.length_mm == pytest.approx(4.0 * radius * math.sqrt(2.0) * ellipe(0.5), rel=1e-9)
    across = edge.end - edge.start
    across /= np.hypot(*across)
    points = edge.at(np.linspace(0.0, edge.s[-1], 101)) - edge.start
    s, y = points @ across, points @ np.array([-across[1], across[0]])
    design = np.column_stack((np.cos(s / radius), np.sin(s / radius), np.ones_like(s)))
    fit, *_ = np.linalg.lstsq(design, y, rcond=None)
    assert np.hypot(fit[0], fit[1]) == pytest.approx(radius, rel=1e-9)  # R tan 45°
    assert np.abs(design @ fit - y).max() < 1e-9 * radius


@pytest.fixture(scope="module")
def tee():
    return cq.Workplane().cylinder(12, 2).union(cq.Workplane("XZ").circle(0.6).extrude(6)).val()


def test_branch_pipe(tee):
    """Branch of radius 0.6 into a main of radius 2 at 90°: curve and saddle by scipy quadrature."""
    branch = next(f for f in tee.Faces() if f.geomType() == "CYLINDER" and f.Area() < 30)
    outline = unroll_face(branch)
    (edge,) = (edge for edge in outline.outer.edges if edge.form is Form.CURVE)
    length = quad(
        lambda t: math.hypot(0.6, 0.36 * math.sin(t) * math.cos(t) / math.sqrt(4 - 0.36 * math.cos(t) ** 2)),
        0,
        2 * math.pi,
    )[0]
    assert length == pytest.approx(3.792031, abs=5e-7)
    assert edge.length_mm == pytest.approx(length, rel=1e-6)
    (base,) = (
        e for e in outline.outer.edges if e.form is Form.LINE and abs(e.length_mm - 1.2 * math.pi) < 1e-6
    )
    along = np.array([math.cos(base.heading[0]), math.sin(base.heading[0])])
    heights = (edge.at(np.linspace(0, edge.s[-1], 2001)) - base.start) @ np.array([-along[1], along[0]])
    assert np.ptp(heights) == pytest.approx(0.0921216, abs=1e-6)


def test_hole_of_the_branch_developed(tee):
    """The hole in the main: half sizes 0.609385 by 0.6, area 1.144148 by scipy quadrature."""
    main = next(f for f in tee.Faces() if f.geomType() == "CYLINDER" and f.Area() > 30)
    outline = unroll_face(main)
    (hole,) = outline.holes
    assert -hole.area_mm2 == pytest.approx(1.144148, rel=1e-6)
    long_edges = [e for e in outline.outer.edges if e.length_mm > 12.2]
    around = np.array([math.cos(long_edges[0].heading[0]), math.sin(long_edges[0].heading[0])])
    points = hole.polyline(1e-7)
    assert np.ptp(points @ around) / 2 == pytest.approx(0.609385, abs=1e-6)
    assert np.ptp(points @ np.array([-around[1], around[0]])) / 2 == pytest.approx(0.6, abs=1e-6)
    # In the main's development the branch is a quarter turn of circumference from some side; its height is
    # the middle.
    corners = np.array([e.start for e in outline.outer.edges]) @ np.array([-around[1], around[0]])
    middle = points @ np.array([-around[1], around[0]])
    assert 0.5 * (middle.min() + middle.max()) == pytest.approx(corners.mean(), abs=1e-6)


@pytest.mark.parametrize("latitude", [10.0, 45.0, 80.0])
def test_sphere_cap_deficit_is_its_curvature(latitude):
    """Gauss-Bonnet: the cap above a latitude has integral of curvature 2 pi (1 - sin latitude)."""
    solid = cq.Solid.makeSphere(7.0, angleDegrees1=latitude, angleDegrees2=90)
    laid = lay_face(as_face(curved(solid, "SPHERE")), lambda edge: -1)
    assert laid.outline.turning_deficit_rad == pytest.approx(
        math.radians(360.0 * (1.0 - math.sin(math.radians(latitude)))), rel=1e-12
    )
    with pytest.raises(UnrollError, match="turning deficit"):
        unroll_face(curved(solid, "SPHERE"))


def test_closed_polyhedron_misses_two_turns():
    """Descartes: the angles missing at the corners of a closed convex polyhedron sum to 720°."""
    block = cq.Workplane().polyline([(0, 0), (5, 1), (7, 4), (2, 6)]).close().extrude(4, taper=7).val()
    inside = 0.0
    for face in block.Faces():
        outline = unroll_face(face)
        edges = outline.outer.edges
        turns = [b.heading[0] - a.heading[-1] for a, b in zip(edges, edges[1:] + edges[:1], strict=True)]
        inside += sum(math.pi - math.remainder(turn, 2 * math.pi) for turn in turns)
    assert 2 * math.pi * len(block.Vertices()) - inside == pytest.approx(math.radians(720.0), abs=1e-9)


@pytest.mark.parametrize("kind", ["TORUS", "SPHERE", "BSPLINE"])
def test_deficit_is_the_integral_of_curvature(kind):
    """Theorem of Gauss and Bonnet, the integral taken over the patch by scipy."""
    if kind == "TORUS":
        face = curved(cq.Solid.makeTorus(10, 3, angleDegrees1=20, angleDegrees2=100), "TORUS")
    elif kind == "SPHERE":
        face = curved(cq.Solid.makeSphere(5, angleDegrees1=-20, angleDegrees2=50, angleDegrees3=80), "SPHERE")
    else:
        grid = [
            [cq.Vector(x, y, 0.05 * x * y + 0.02 * x * x - 0.01 * y**3) for y in range(5)] for x in range(5)
        ]
        face = cq.Face.makeSplineApprox(grid, tol=1e-6)
    shape = as_face(face)
    surface = BRepAdaptor_Surface(shape, True)

    def density(v, u):
        from OCP.gp import gp_Pnt, gp_Vec

        p, (a, b, aa, bb, ab) = gp_Pnt(), [gp_Vec() for _ in range(5)]
        surface.D2(u, v, p, a, b, aa, bb, ab)
        normal = a.Crossed(b)
        second = aa.Dot(normal) * bb.Dot(normal) - ab.Dot(normal) ** 2
        return second / normal.Magnitude() ** 3

    expected, _ = dblquad(
        density,
        surface.FirstUParameter(),
        surface.LastUParameter(),
        surface.FirstVParameter(),
        surface.LastVParameter(),
        epsabs=1e-9,
    )
    laid = lay_face(shape, edge_numbers([shape]))
    assert laid.outline.turning_deficit_rad == pytest.approx(expected, abs=2e-7)
    assert laid.refusal is not None and "not developable" in laid.refusal.reason


def test_elliptic_tube_against_ellipe():
    """Perimeter 4 a E(m) by scipy.special.ellipe; the kernel's own area of this face is 1e-4 off and more."""
    tube = curved(cq.Workplane().ellipse(20, 8).extrude(30).val(), "EXTRUSION")
    outline = unroll_face(tube)
    perimeter = 4 * 20 * ellipe(1 - (8 / 20) ** 2)
    assert outline.flat_area_mm2 == pytest.approx(30 * perimeter, rel=1e-9)
    assert outline.face_area_mm2 == pytest.approx(30 * perimeter, rel=1e-9)


def test_tangent_developable_of_a_helix():
    """A surface of tangents is developable; its edge keeps the helix's curvature a / (a² + b²)."""
    a, b = 10.0, 4.0
    t = np.linspace(0.0, 2.0, 81)
    helix = np.stack((a * np.cos(t), a * np.sin(t), b * t), axis=1)
    tangent = np.stack((-a * np.sin(t), a * np.cos(t), np.full_like(t, b)), axis=1) / math.hypot(a, b)
    near, far = (cq.Edge.makeSpline([cq.Vector(*p) for p in helix + reach * tangent]) for reach in (3.0, 9.0))
    face = cq.Face.makeRuledSurface(near, far)
    (report,) = survey(face)
    assert report.turning_deficit_rad == pytest.approx(0.0, abs=2e-4)
    radius = (a * a + b * b) / a
    assert report.flat_area_mm2 == pytest.approx(
        0.5 * (81.0 - 9.0) * 2.0 * math.hypot(a, b) / radius, rel=1e-4
    )

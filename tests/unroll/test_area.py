"""Areas of faces against closed forms and quadrature of other libraries, and against the flat image, to 1e-9."""

import math
from itertools import pairwise

import cadquery as cq
import numpy as np
import pytest
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
from OCP.Geom import Geom_BezierSurface
from OCP.gp import gp_Pnt
from OCP.TColgp import TColgp_Array2OfPnt
from scipy.integrate import dblquad, quad
from scipy.special import ellipe

from shellparts import Design, Shell, build
from shellparts.base.errors import GeometryError
from shellparts.unroll import survey, unroll_group
from shellparts.unroll.area import FaceArea, face_area
from shellparts.unroll.face import lay_face, unroll_face
from shellparts.unroll.field import SurfaceField
from shellparts.unroll.walk import forward_face, walks

EXACT = 1e-9


def area_of(face: cq.Face) -> float:
    flat, outside = forward_face(face.wrapped)
    found = face_area(walks(face.wrapped), flat, SurfaceField(flat, outside))
    assert found.moved_mm2 <= EXACT * found.value_mm2
    return found.value_mm2


def the(solid: cq.Shape, selector: str) -> cq.Face:
    (face,) = cq.Workplane(solid).faces(selector).vals()
    return face


def test_plain_bodies():
    """Textbook areas: cylinder, cone, sphere, zone of a sphere, torus."""
    assert area_of(the(cq.Solid.makeCylinder(20, 60), "%CYLINDER")) == pytest.approx(
        2 * math.pi * 20 * 60, rel=EXACT
    )
    slant = math.hypot(40, 120)
    assert area_of(the(cq.Solid.makeCone(60, 20, 120), "%CONE")) == pytest.approx(
        math.pi * 80 * slant, rel=EXACT
    )
    assert area_of(the(cq.Solid.makeCone(60, 0, 120), "%CONE")) == pytest.approx(
        math.pi * 60 * math.hypot(60, 120), rel=EXACT
    )
    ball = cq.Solid.makeSphere(7, angleDegrees1=-90, angleDegrees2=90)
    assert area_of(the(ball, "%SPHERE")) == pytest.approx(4 * math.pi * 49, rel=EXACT)
    zone = cq.Solid.makeSphere(7, angleDegrees1=10, angleDegrees2=50)
    high = 7 * (math.sin(math.radians(50)) - math.sin(math.radians(10)))
    assert area_of(the(zone, "%SPHERE")) == pytest.approx(2 * math.pi * 7 * high, rel=EXACT)
    assert area_of(the(cq.Solid.makeTorus(30, 10), "%TORUS")) == pytest.approx(
        4 * math.pi**2 * 30 * 10, rel=EXACT
    )


def test_a_plate_with_holes():
    plate = cq.Workplane().box(80, 60, 8).faces(">Z").workplane().rarray(18, 18, 4, 3).hole(7).val()
    assert area_of(the(plate, ">Z")) == pytest.approx(80 * 60 - 12 * math.pi * 3.5**2, rel=EXACT)


@pytest.mark.parametrize("ratio", [0.9, 0.5, 0.1, 0.02])
def test_an_elliptic_tube(ratio):
    """Circumference of an ellipse from scipy's complete elliptic integral."""
    a, b = 50.0, 50.0 * ratio
    tube = cq.Workplane().ellipse(a, b).extrude(37).val()
    sides = [face for face in tube.Faces() if face.geomType() not in ("PLANE",)]
    around = 4 * a * ellipe(1 - (b / a) ** 2)
    assert sum(area_of(face) for face in sides) == pytest.approx(around * 37, rel=EXACT)


@pytest.mark.parametrize("degrees", [5.0, 25.0, 50.0])
def test_a_cylinder_cut_aslant_is_as_large_as_one_cut_square_at_the_axis(degrees):
    tool = cq.Workplane().box(400, 400, 200).translate((0, 0, 100)).rotate((0, 0, 0), (1, 0, 0), degrees)
    body = cq.Workplane().circle(20).extrude(200).translate((0, 0, -150)).cut(tool).val()
    assert area_of(the(body, "%CYLINDER")) == pytest.approx(2 * math.pi * 20 * 150, rel=EXACT)


@pytest.mark.parametrize("degrees", [8.0, 25.0, 40.0])
def test_a_cone_cut_aslant(degrees):
    """Seen along its axis, a right cone's surface is smaller by one factor, and the cut is an ellipse with a focus there:
    r = p / (1 + e cos), its area pi p^2 / (1 - e^2)^(3/2)."""
    low, high, tall, at = 60.0, 20.0, 120.0, 70.0
    tool = cq.Workplane().box(900, 900, 400).translate((0, 0, 200)).rotate((0, 0, 0), (0, 1, 0), degrees)
    body = cq.Workplane(cq.Solid.makeCone(low, high, tall)).cut(tool.translate((0, 0, at))).val()
    grow = (low - high) / tall
    p, e = low - grow * at, grow * math.tan(math.radians(degrees))
    seen = math.pi * (low**2 - p**2 / (1 - e**2) ** 1.5)
    assert area_of(the(body, "%CONE")) == pytest.approx(seen * math.hypot(1, 1 / grow), rel=EXACT)


def test_a_branch_in_a_main():
    """Radii .6 and 2, as in a handbook of developments; the hole's area by scipy: 1.144148 for main radius 2, in units."""
    main = cq.Workplane().circle(2).extrude(10)
    body = main.cut(cq.Workplane("YZ").workplane(offset=0).center(0, 5).circle(0.6).extrude(5)).val()
    hole = 2.0 * quad(lambda z: 2.0 * math.asin(math.sqrt(0.36 - z * z) / 2.0), -0.6, 0.6, epsabs=1e-13)[0]
    assert hole == pytest.approx(1.144148, abs=5e-7)
    sides = [face for face in body.Faces() if face.geomType() == "CYLINDER" and area_of(face) > 50]
    assert sum(map(area_of, sides)) == pytest.approx(2 * math.pi * 2 * 10 - hole, rel=EXACT)


def test_a_bent_surface_against_a_double_integral():
    """z = x^2 / 40 - y^2 / 60, drawn as the kernel draws it exactly: a spline of degree 2 both ways."""
    poles = TColgp_Array2OfPnt(1, 3, 1, 3)
    for i, x in enumerate((-30.0, 0.0, 30.0), 1):
        for j, y in enumerate((-30.0, 0.0, 30.0), 1):
            poles.SetValue(i, j, gp_Pnt(x, y, (22.5 if x else -22.5) - (15.0 if y else -15.0)))
    face = cq.Face(BRepBuilderAPI_MakeFace(Geom_BezierSurface(poles), 1e-6).Face())
    true, _ = dblquad(
        lambda y, x: math.sqrt(1 + (x / 20) ** 2 + (y / 30) ** 2), -30, 30, -30, 30, epsabs=1e-9
    )
    assert area_of(face) == pytest.approx(true, rel=EXACT)


SMOOTH = [
    [(2194, 0), (1632, 1762), (1684, 1840), (992, 2727), (734, 3267)],
    [(3000, 0), (2900, 900), (2400, 1800), (1500, 2500), (400, 2900)],
    [(1500, 0), (1450, 3000), (1200, 6000), (700, 8500), (300, 9500)],
]


@pytest.mark.parametrize("points", SMOOTH)
def test_panels_of_smooth_profiles(points):
    """The panel's area by scipy's quadrature of its width along the mid-line."""
    shell = Shell(panels=5, profile="points", measured="middles", smooth=True, points=points)
    room = build(Design(name="smooth", shell=shell))
    run = shell.mid.runs[0]

    def width_times_speed(t: float) -> float:
        dr, dz = shell.mid.slope(0, t)
        return 2 * float(shell.mid.points(0, t)[0]) * math.tan(math.pi / 5) * math.hypot(dr, dz)

    knots = run.spans
    true = sum(quad(width_times_speed, a, b, epsabs=1e-9, epsrel=1e-12)[0] for a, b in pairwise(knots))
    for sheet in room.body.sheets:
        if sheet.name.startswith("panel"):
            outline = room.outlines[sheet.name]
            assert outline.face_area_mm2 == pytest.approx(true, rel=EXACT)
            assert outline.flat_area_mm2 == pytest.approx(true, rel=EXACT)


def trimmed(seed: int) -> cq.Shape:
    """A cone, cylinder or extruded spline, cut by a plane aslant and drilled across."""
    rng = np.random.default_rng([5, seed])
    kind = ("cone", "cylinder", "extrusion")[seed % 3]
    tall = float(rng.uniform(80, 150))
    if kind == "cone":
        body = cq.Workplane(cq.Solid.makeCone(float(rng.uniform(40, 70)), float(rng.uniform(15, 35)), tall))
    elif kind == "cylinder":
        body = cq.Workplane().circle(float(rng.uniform(20, 60))).extrude(tall)
    else:
        at = rng.uniform(-8, 8, 4)
        curve = [(20, 15 + at[0]), (40, 8 + at[1]), (60, 20 + at[2]), (80, 10 + at[3])]
        body = (
            cq.Workplane()
            .moveTo(0, 0)
            .spline(curve, includeCurrent=True)
            .lineTo(80, -25)
            .lineTo(0, -25)
            .close()
        )
        body = body.extrude(tall)
    turn = float(rng.uniform(-30, 30))
    tool = cq.Workplane().box(900, 900, 400).translate((0, 0, 200)).rotate((0, 0, 0), (0, 1, 0), turn)
    body = body.cut(tool.translate((0, 0, 0.75 * tall)))
    drill = cq.Workplane("XZ").circle(float(rng.uniform(3, 9))).extrude(400, both=True)
    return body.cut(drill.translate((0.0, 0.0, 0.3 * tall))).val()


@pytest.mark.parametrize("seed", range(12))
def test_area_and_flat_area_are_one(seed):
    laid = 0
    for face in trimmed(seed).Faces():
        found = lay_face(face.wrapped, lambda edge: -1)
        assert found.refusal is None and found.fault is None
        outline = unroll_face(face)
        # A flat edge within a millionth of a millimetre of a line or an arc is taken for one.
        slack = max(EXACT * outline.face_area_mm2, (1e-6 + outline.edge_gap_mm) * outline.perimeter_mm)
        assert outline.edge_gap_mm < 1e-5
        assert outline.flat_area_mm2 == pytest.approx(outline.face_area_mm2, abs=slack)
        laid += 1
    assert laid >= 4


@pytest.mark.parametrize("steep", [0.1, 3.0, 30.0, 300.0])
def test_a_surface_that_turns_sharply(steep):
    """z = steep x^2 + y^2 / 100: across x in closed form, then scipy's quadrature; the doubt that is told is none too small."""
    poles = TColgp_Array2OfPnt(1, 3, 1, 3)
    for i, x in enumerate((-30.0, 0.0, 30.0), 1):
        for j, y in enumerate((-30.0, 0.0, 30.0), 1):
            up = (900.0 if x else -900.0) * steep + (9.0 if y else -9.0)
            poles.SetValue(i, j, gp_Pnt(x, y, up))
    face = BRepBuilderAPI_MakeFace(Geom_BezierSurface(poles), 1e-6).Face()

    def across(y: float) -> float:
        c, grow = math.hypot(1, y / 50), 2 * steep
        return 30 * math.hypot(c, 30 * grow) + c * c / grow * math.asinh(30 * grow / c)

    true = quad(across, -30, 30, epsabs=0, epsrel=1e-13)[0]
    flat, outside = forward_face(face)
    found = face_area(walks(face), flat, SurfaceField(flat, outside))
    assert found.value_mm2 == pytest.approx(true, rel=1e-11)
    assert abs(found.value_mm2 - true) <= found.moved_mm2 + 1e-14 * true


def test_areas_that_do_not_agree_are_told_as_a_fault_of_ours(monkeypatch):
    """A yardstick made wrong on purpose: never the face's fault."""
    box = cq.Workplane().box(3, 4, 5)
    one = box.faces(">Z").val()
    monkeypatch.setattr("shellparts.unroll.face.face_area", lambda *_: FaceArea(12.1, 0.0))
    with pytest.raises(GeometryError, match="laid flat as"):
        unroll_face(one)
    with pytest.raises(GeometryError, match="laid flat as"):
        unroll_group([one])
    (report,) = survey(one)
    assert report.developable and report.outline is None
    assert report.reason.startswith("A fault of ours")
    monkeypatch.setattr("shellparts.unroll.face.face_area", lambda *_: FaceArea(12.0, 0.1))
    with pytest.raises(GeometryError, match="is known to"):
        unroll_face(one)

"""Single faces: closed forms, orientation, places, and refusals."""

import math

import cadquery as cq
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from OCP.TopAbs import TopAbs_EDGE
from OCP.TopExp import TopExp
from OCP.TopTools import TopTools_IndexedMapOfShape
from scipy.integrate import quad

from shellparts.base.errors import UnrollError
from shellparts.unroll import Form, unroll_face
from shellparts.unroll.face import as_face, edge_numbers, lay_face

sizes = st.floats(0.5, 500.0)


def faces(solid, kind):
    return [face for face in solid.Faces() if face.geomType() == kind]


def corners(outline):
    return np.array([edge.start for edge in outline.outer.edges])


def certified(outline, tight=1e-11):
    assert outline.closure_mm <= tight * outline.perimeter_mm
    assert outline.flat_area_mm2 == pytest.approx(outline.face_area_mm2, rel=1e-7)
    assert abs(outline.turning_deficit_rad) < 1e-9
    assert outline.outer.area_mm2 > 0 and all(hole.area_mm2 < 0 for hole in outline.holes)
    for loop in outline.loops:
        for edge in loop.edges:
            assert edge.length_mm == pytest.approx(edge.solid_length_mm, rel=1e-9)
    return outline


@given(sizes, sizes, sizes)
@settings(max_examples=12, deadline=None)
def test_planes(a, b, c):
    for face in cq.Workplane().box(a, b, c).val().Faces():
        outline = certified(unroll_face(face))
        assert all(edge.form is Form.LINE for edge in outline.outer.edges)
        assert outline.flat_area_mm2 == pytest.approx(face.Area(), rel=1e-9)


@given(sizes, sizes)
@settings(max_examples=12, deadline=None)
def test_full_cylinder(radius, height):
    outline = certified(unroll_face(faces(cq.Solid.makeCylinder(radius, height), "CYLINDER")[0]))
    assert outline.flat_area_mm2 == pytest.approx(2 * math.pi * radius * height, rel=1e-9)
    keys = [edge.key for edge in outline.outer.edges]
    joint = next(key for key in keys if keys.count(key) == 2)
    sides = [edge for edge in outline.outer.edges if edge.key == joint]
    assert sides[0].forward != sides[1].forward
    assert [edge.length_mm for edge in sides] == pytest.approx([height, height], rel=1e-9)


@given(sizes, st.floats(0.0, 1.0), sizes)
@settings(max_examples=12, deadline=None)
def test_cone_with_and_without_apex(radius, share, height):
    top = radius * share if share > 0.05 else 0.0
    if abs(radius - top) < 1e-3 * radius:
        return
    outline = certified(unroll_face(faces(cq.Solid.makeCone(radius, top, height), "CONE")[0]))
    slant = math.hypot(radius - top, height)
    assert outline.flat_area_mm2 == pytest.approx(math.pi * (radius + top) * slant, rel=1e-9)
    arcs = sorted(edge.length_mm for edge in outline.outer.edges if edge.form is Form.ARC)
    assert arcs == pytest.approx([2 * math.pi * r for r in (top, radius) if r], rel=1e-9)


def test_oblique_extrusion_against_quadrature():
    base = cq.Workplane().circle(10).wires().val()
    solid = cq.Solid.extrudeLinear(base, [], cq.Vector(8, 0, 20))
    outline = certified(unroll_face(faces(solid, "EXTRUSION")[0]))
    area = quad(lambda t: 10 * math.hypot(20, 8 * math.sin(t - math.pi / 2)), 0, 2 * math.pi)[0]
    assert outline.flat_area_mm2 == pytest.approx(area, rel=1e-9)


def test_extruded_spline_keeps_every_length():
    solid = (
        cq.Workplane().spline([(0, 0), (10, 12), (30, 8), (40, 20)]).lineTo(40, -10).lineTo(0, -10).close()
    )
    solid = solid.extrude(15).val()
    outline = certified(unroll_face(faces(solid, "EXTRUSION")[0]))
    assert sorted(e.form.name for e in outline.outer.edges) == ["LINE"] * 4
    assert np.ptp(corners(outline), axis=0).min() == pytest.approx(15.0, rel=1e-9)


@pytest.mark.parametrize("scale", [1e-2, 1.0, 1e4])
def test_very_small_and_very_large(scale):
    solid = (
        cq.Workplane()
        .circle(scale)
        .extrude(3 * scale)
        .cut(cq.Workplane("XZ").center(0, 1.5 * scale).circle(0.4 * scale).extrude(9 * scale, both=True))
    )
    (tube,) = (
        face for face in solid.val().Faces() if face.geomType() == "CYLINDER" and len(face.innerWires()) == 2
    )
    outline = unroll_face(tube)
    assert outline.closure_mm <= 1e-6 * outline.perimeter_mm
    assert outline.flat_area_mm2 == pytest.approx(outline.face_area_mm2, rel=1e-6)
    hole_area = quad(lambda x: 2 * math.sqrt(0.16 - x * x) / math.sqrt(1 - x * x), -0.4, 0.4, epsabs=1e-12)[0]
    for hole in outline.holes:
        assert -hole.area_mm2 / scale**2 == pytest.approx(hole_area, rel=1e-6)


def test_seen_from_outside():
    """On an L-shaped prism the two caps are mirror images of each other, each seen from its own outside."""
    solid = cq.Workplane().polyline([(0, 0), (5, 0), (5, 1), (2, 1), (2, 4), (0, 4)]).close().extrude(2).val()
    turns = {}
    for face in solid.Faces():
        normal = face.normalAt()
        if abs(normal.z) < 0.5:
            continue
        outline = certified(unroll_face(face))
        lengths = [round(edge.length_mm, 9) for edge in outline.outer.edges]
        start = lengths.index(5.0)
        turns[round(normal.z)] = lengths[start:] + lengths[:start]
    assert turns[1] == [5.0, 1.0, 3.0, 3.0, 2.0, 4.0]
    assert turns[-1] == [5.0, 4.0, 2.0, 3.0, 3.0, 1.0]


def test_forward_says_which_way_the_edge_runs():
    """A flat edge walked forward begins at the edge's own first point."""
    solid = cq.Workplane().polyline([(0, 0), (5, 0), (5, 1), (2, 4)]).close().extrude(2).val()
    for face in solid.Faces():
        shape = as_face(face)
        edges = TopTools_IndexedMapOfShape()
        TopExp.MapShapes_s(shape, TopAbs_EDGE, edges)
        outline = unroll_face(face)
        normal = face.normalAt()
        for edge, following in zip(
            outline.outer.edges, outline.outer.edges[1:] + outline.outer.edges[:1], strict=True
        ):
            solid_edges = [cq.Edge(edges.FindKey(flat.key + 1)) for flat in (edge, following)]
            ends = [
                (one.positionAt(0), one.positionAt(1))[:: 1 if flat.forward else -1]
                for one, flat in zip(solid_edges, (edge, following), strict=True)
            ]
            # Walking direction in space must turn about the outside normal as the flat walk turns.
            a, b = (end - start for start, end in ends)
            turn = math.atan2(a.cross(b).dot(normal), a.dot(b))
            flat_turn = math.remainder(following.heading[0] - edge.heading[-1], 2 * math.pi)
            assert flat_turn == pytest.approx(turn, abs=1e-4)
            assert (ends[0][1] - ends[1][0]).Length < 1e-4


def test_place_does_not_matter():
    face = faces(
        cq.Workplane()
        .circle(10)
        .extrude(30)
        .cut(cq.Workplane("XZ").center(0, 12).circle(3).extrude(20))
        .val(),
        "CYLINDER",
    )
    face = max(face, key=lambda one: one.Area())
    here = unroll_face(face)
    there = unroll_face(face.moved(cq.Location(cq.Vector(1e3, -2e3, 5e2), cq.Vector(1, 2, 3), 77)))
    assert corners(there) == pytest.approx(corners(here), abs=1e-8)
    for a, b in zip(here.holes[0].edges, there.holes[0].edges, strict=True):
        share = np.linspace(0.0, 1.0, 50)
        assert b.at(share * b.s[-1]) == pytest.approx(a.at(share * a.s[-1]), abs=1e-7)


def test_holes_lie_where_they_are():
    plate = (
        cq.Workplane().box(50, 40, 2).faces(">Z").workplane().pushPoints([(-11, 5), (13, -7)]).hole(6).val()
    )
    top = max(plate.Faces(), key=lambda face: face.Center().z * face.Area())
    outline = certified(unroll_face(top))
    centres = [hole.polyline(1e-6).mean(axis=0) for hole in outline.holes]
    assert np.hypot(*(centres[1] - centres[0])) == pytest.approx(math.hypot(24, 12), abs=1e-4)
    middle = corners(outline).mean(axis=0)
    assert sorted(np.hypot(*(c - middle)) for c in centres) == pytest.approx(
        sorted((math.hypot(11, 5), math.hypot(13, 7))), abs=1e-4
    )


def test_hole_on_a_cone():
    cone = (
        cq.Workplane(obj=cq.Solid.makeCone(20, 0, 40))
        .cut(cq.Workplane().center(-8, 3).circle(3).extrude(60))
        .val()
    )
    outline = unroll_face(faces(cone, "CONE")[0])
    assert outline.closure_mm < 1e-6 * outline.perimeter_mm
    # Seen along the axis every patch of a cone is smaller by the sine of its half angle.
    half = math.atan(0.5)
    assert -outline.holes[0].area_mm2 * math.sin(half) == pytest.approx(9 * math.pi, rel=1e-6)


def test_a_corner_within_a_spline_edge_splits_it():
    """A quadratic B-spline with a knot as multiple as its degree has a corner there."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge
    from OCP.Geom import Geom_BSplineCurve
    from OCP.gp import gp_Pnt
    from OCP.TColgp import TColgp_Array1OfPnt
    from OCP.TColStd import TColStd_Array1OfInteger, TColStd_Array1OfReal

    poles = TColgp_Array1OfPnt(1, 5)
    for i, (x, y) in enumerate([(0, 0), (5, 4), (10, 0), (15, 6), (20, 0)], 1):
        poles.SetValue(i, gp_Pnt(x, y, 0))
    knots, count = TColStd_Array1OfReal(1, 3), TColStd_Array1OfInteger(1, 3)
    for i, (knot, times) in enumerate([(0, 3), (1, 2), (2, 3)], 1):
        knots.SetValue(i, knot)
        count.SetValue(i, times)
    bent = cq.Edge(BRepBuilderAPI_MakeEdge(Geom_BSplineCurve(poles, knots, count, 2)).Edge())
    wire = cq.Wire.assembleEdges([bent, cq.Edge.makeLine(cq.Vector(20, 0), cq.Vector(0, 0))])
    outline = certified(unroll_face(cq.Face.makeFromWires(wire)))
    keys = [edge.key for edge in outline.outer.edges]
    assert len(keys) == 3 and len(set(keys)) == 2
    assert outline.flat_area_mm2 == pytest.approx(
        10 * 4 / 3 + 10 * 6 / 3, rel=1e-12
    )  # parabolas, by Archimedes


def test_cusps_of_a_crescent():
    """Two circles that touch inside each other leave a crescent with a cusp."""
    big = cq.Edge.makeCircle(10, cq.Vector(10, 0, 0), angle1=180, angle2=540)
    small = cq.Edge.makeCircle(6, cq.Vector(6, 0, 0), angle1=180, angle2=540)
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeWire
    from OCP.gp import gp_Pln
    from OCP.TopoDS import TopoDS

    maker = BRepBuilderAPI_MakeWire(big.wrapped)
    vertex = maker.Vertex()
    inner = BRepBuilderAPI_MakeEdge(
        small._geomAdaptor().Curve().Curve(), vertex, vertex, math.pi, 3 * math.pi
    ).Edge()
    maker.Add(TopoDS.Edge_s(inner.Reversed()))
    outline = unroll_face(cq.Face(BRepBuilderAPI_MakeFace(gp_Pln(), maker.Wire()).Face()))
    assert outline.flat_area_mm2 == pytest.approx(math.pi * (100 - 36), rel=1e-9)
    assert abs(outline.turning_deficit_rad) < 1e-9


@pytest.mark.parametrize(
    ("solid", "kind", "reason"),
    [
        (cq.Solid.makeSphere(5), "SPHERE", "turning deficit"),
        (cq.Solid.makeTorus(10, 3), "TORUS", "bending both ways"),
    ],
)
def test_curved_faces_are_refused(solid, kind, reason):
    with pytest.raises(UnrollError, match=reason):
        unroll_face(faces(solid, kind)[0])


def test_a_hoop_without_a_joint_is_refused():
    """A cylinder's side bounded by two circles and no joint edge."""
    from OCP.BRep import BRep_Tool
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace

    tube = faces(cq.Solid.makeCylinder(5, 8), "CYLINDER")[0]
    rings = [cq.Wire.assembleEdges([edge]) for edge in tube.Edges() if edge.geomType() == "CIRCLE"]
    maker = BRepBuilderAPI_MakeFace(BRep_Tool.Surface_s(tube.wrapped), rings[0].wrapped, True)
    maker.Add(rings[1].wrapped)
    with pytest.raises(UnrollError, match="joint edge"):
        unroll_face(cq.Face(maker.Face()))


def test_an_edge_that_is_not_on_the_surface_is_refused():
    """The kernel crashes on a face whose edge has no pcurve; the library must not."""
    from OCP.BRep import BRep_Tool
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace

    tube = faces(cq.Solid.makeCylinder(5, 8), "CYLINDER")[0]
    ring = cq.Wire.assembleEdges([cq.Edge.makeCircle(5, cq.Vector(0, 0, 2))])
    face = cq.Face(BRepBuilderAPI_MakeFace(BRep_Tool.Surface_s(tube.wrapped), ring.wrapped, True).Face())
    with pytest.raises(UnrollError, match="no pcurve"):
        unroll_face(face)


def test_only_faces():
    with pytest.raises(UnrollError, match="not a face"):
        unroll_face(cq.Workplane().box(1, 1, 1).val())


def test_unknown_edges_have_no_number():
    box, other = cq.Workplane().box(1, 1, 1).val(), cq.Workplane().box(2, 2, 2).val()
    key = edge_numbers([as_face(box.Faces()[0])])
    laid = lay_face(as_face(other.Faces()[0]), key)
    assert {edge.key for edge in laid.outline.outer.edges} == {-1}


def flat_face(*wires):
    from OCP.BRep import BRep_Builder
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
    from OCP.gp import gp_Pln

    face = BRepBuilderAPI_MakeFace(gp_Pln()).Face()
    for wire in wires:
        BRep_Builder().Add(face, wire)
    return cq.Face(face)


def wire_of(*edges):
    from OCP.BRep import BRep_Builder
    from OCP.TopoDS import TopoDS_Wire

    wire = TopoDS_Wire()
    BRep_Builder().MakeWire(wire)
    for edge in edges:
        BRep_Builder().Add(wire, edge)
    return wire


def polygon_edges(*points):
    """Edges of a polygon that share their vertices."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeVertex
    from OCP.gp import gp_Pnt

    corner = {point: BRepBuilderAPI_MakeVertex(gp_Pnt(*point, 0)).Vertex() for point in points}
    pairs = zip(points, points[1:] + points[:1], strict=True)
    return [BRepBuilderAPI_MakeEdge(corner[a], corner[b]).Edge() for a, b in pairs]


def test_edges_stored_out_of_order_are_walked_in_order():
    a, b, c, d, e = polygon_edges((0, 0), (4, 0), (4, 2), (1, 5), (0, 5))
    straight, mixed = (
        unroll_face(flat_face(wire_of(*edges))) for edges in ((a, b, c, d, e), (d, a, e, b, c))
    )
    assert mixed.flat_area_mm2 == pytest.approx(straight.flat_area_mm2) == pytest.approx(15.5)
    assert mixed.outer.perimeter_mm == pytest.approx(straight.outer.perimeter_mm)


def test_a_missing_edge_is_refused():
    a, b, _, d = polygon_edges((0, 0), (4, 0), (4, 2), (0, 2))
    with pytest.raises(UnrollError, match="not closed"):
        unroll_face(flat_face(wire_of(a, b, d)))


def test_a_slit_is_walked_on_both_sides():
    """An edge that stands twice in the wire, from the rim to a point inside: its end is a cusp outwards."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeVertex
    from OCP.gp import gp_Pnt
    from OCP.TopExp import TopExp

    around = polygon_edges((0, 0), (4, 0), (4, 3), (2, 3), (0, 3))
    root = TopExp.FirstVertex_s(around[3], True)
    slit = BRepBuilderAPI_MakeEdge(root, BRepBuilderAPI_MakeVertex(gp_Pnt(2, 1, 0)).Vertex()).Edge()
    outline = unroll_face(flat_face(wire_of(*around[:3], slit, slit.Reversed(), *around[3:])))
    assert outline.flat_area_mm2 == pytest.approx(12)
    assert outline.outer.perimeter_mm == pytest.approx(14 + 4)
    assert abs(outline.turning_deficit_rad) < 1e-12


def test_inner_edges_that_bound_nothing_are_left_out():
    from OCP.TopAbs import TopAbs_INTERNAL

    around = polygon_edges((0, 0), (4, 0), (4, 3), (0, 3))
    loose = polygon_edges((1, 1), (2, 2), (3, 1))[0].Oriented(TopAbs_INTERNAL)
    outline = unroll_face(flat_face(wire_of(*around, loose)))
    assert len(outline.outer.edges) == 4 and outline.flat_area_mm2 == pytest.approx(12)


def test_a_sliver():
    outline = unroll_face(flat_face(wire_of(*polygon_edges((0, 0), (10, 0), (5, 1e-5)))))
    assert outline.flat_area_mm2 == pytest.approx(5e-5, rel=1e-6)
    assert abs(outline.turning_deficit_rad) < 1e-9


def test_an_edge_without_a_curve_in_space():
    """Such an edge is read from the surface along its pcurve."""
    from OCP.BRep import BRep_Builder
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.TopLoc import TopLoc_Location
    from OCP.TopoDS import TopoDS

    tube = faces(cq.Solid.makeCylinder(5, 8), "CYLINDER")[0]
    for edge in tube.Edges():
        if edge.geomType() == "CIRCLE":
            BRep_Builder().UpdateEdge(TopoDS.Edge_s(edge.wrapped), None, TopLoc_Location(), 1e-7)
    assert not any(BRepAdaptor_Curve(e.wrapped).Is3DCurve() for e in tube.Edges() if e.geomType() != "LINE")
    outline = certified(unroll_face(tube))
    assert outline.flat_area_mm2 == pytest.approx(80 * math.pi, rel=1e-9)


@pytest.mark.parametrize("top", [0.0, 2.0])
def test_cones_as_splines(top):
    """The same cone as a rational B-spline, stretched along an axis so that it is no round cone any more."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_GTransform
    from OCP.gp import gp_GTrsf

    stretch = gp_GTrsf()
    stretch.SetValue(1, 1, 2.0)
    solid = cq.Shape.cast(
        BRepBuilderAPI_GTransform(cq.Solid.makeCone(5, top, 9).wrapped, stretch, True).Shape()
    )
    side = max((face for face in solid.Faces() if face.Center().z > 0.1), key=lambda face: face.Area())
    outline = certified(unroll_face(side), 1e-9)

    def strip(t):
        ruling = np.array([10 - 2 * top, 0, 0]) * math.cos(t) + np.array([0, 5 - top, 0]) * math.sin(t)
        ruling[2] = -9
        rate = np.array([-10 * math.sin(t), 5 * math.cos(t), 0])
        return 0.5 * (1 - (top / 5) ** 2) / (1 - top / 5) * np.linalg.norm(np.cross(ruling, rate))

    assert outline.flat_area_mm2 == pytest.approx(quad(strip, 0, 2 * math.pi, epsabs=1e-10)[0], rel=1e-9)

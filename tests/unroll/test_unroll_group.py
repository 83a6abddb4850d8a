"""Groups of faces: folds, joints, tubes, and refusals."""

import math

import cadquery as cq
import numpy as np
import pytest

from shellparts.base.errors import UnrollError
from shellparts.unroll import Form, unroll_group
from shellparts.unroll.face import as_face, edge_numbers


def certified(piece):
    assert piece.closure_mm <= 1e-9 * piece.perimeter_mm
    assert piece.flat_area_mm2 == pytest.approx(piece.face_area_mm2, rel=1e-9)
    return piece


def test_three_sides_of_a_box():
    piece = certified(unroll_group(cq.Workplane().box(4, 3, 2).faces("<Z or >X or <X").vals()))
    assert piece.faces == 3 and piece.outer.perimeter_mm == pytest.approx(22)
    assert [fold.angle_rad for fold in piece.folds] == pytest.approx([math.pi / 2] * 2)
    assert np.ptp(piece.outer.polyline(1e-3), axis=0) == pytest.approx([3, 8]) or np.ptp(
        piece.outer.polyline(1e-3), axis=0
    ) == pytest.approx([8, 3])


def test_fold_of_an_inner_corner_is_negative():
    solid = cq.Workplane().polyline([(0, 0), (5, 0), (5, 1), (2, 1), (2, 4), (0, 4)]).close().extrude(2).val()
    inner = [f for f in solid.Faces() if abs(f.normalAt().z) < 0.5 and abs(f.Area() - 6.0) < 1e-9]
    piece = certified(unroll_group(inner))
    assert [fold.angle_rad for fold in piece.folds] == pytest.approx([-math.pi / 2])


@pytest.mark.parametrize("sides", [3, 4, 7])
def test_prism_tube_opens_at_its_joint(sides):
    prism = cq.Workplane().polygon(sides, 10).extrude(6)
    tube = [face for face in prism.val().Faces() if abs(face.normalAt().z) < 0.5]
    with pytest.raises(UnrollError, match="name a joint"):
        unroll_group(tube)
    key = edge_numbers([as_face(face) for face in tube])
    upright = {
        key(edge.wrapped) for face in tube for edge in face.Edges() if abs(edge.tangentAt(0.5).z) > 0.5
    }
    piece = certified(unroll_group(tube, joints=frozenset({min(upright)})))
    assert len(piece.folds) == sides - 1
    assert [fold.angle_rad for fold in piece.folds] == pytest.approx([2 * math.pi / sides] * (sides - 1))
    width = sides * 10 * math.sin(math.pi / sides)
    assert piece.outer.perimeter_mm == pytest.approx(2 * (width + 6))
    assert sum(edge.key == min(upright) for edge in piece.outer.edges) == 2


@pytest.fixture(scope="module")
def tunnel():
    profile = (
        cq.Workplane("XZ").moveTo(-2, 0).lineTo(-2, 3).threePointArc((0, 5), (2, 3)).lineTo(2, 0).close()
    )
    return profile.extrude(6).val()


def test_half_cylinder_on_walls(tunnel):
    skin = [f for f in tunnel.Faces() if abs(f.normalAt().y) < 0.5 and f.Center().z > 0.5]
    piece = certified(unroll_group(skin))
    assert [fold.angle_rad for fold in piece.folds] == pytest.approx([0.0, 0.0], abs=1e-9)
    assert piece.flat_area_mm2 == pytest.approx((6 + 2 * math.pi) * 6)
    assert all(edge.form is Form.LINE for edge in piece.outer.edges)
    assert piece.outer.perimeter_mm == pytest.approx(2 * (6 + 2 * math.pi + 6))


def test_fold_through_a_hole():
    """A hole that runs over a fold becomes one hole of the piece."""
    wedge = cq.Workplane("XZ").polyline([(-10, 0), (0, 5), (10, 0)]).close().extrude(20)
    wedge = wedge.cut(cq.Workplane().workplane(offset=-1).center(0, -10).rect(4, 6).extrude(20))
    roof = [f for f in wedge.val().Faces() if 0.1 < f.normalAt().z < 0.95 and f.Area() > 100]
    piece = certified(unroll_group(roof))
    slant = math.hypot(10, 5)
    assert len(piece.holes) == 1 and len(piece.folds) == 2
    assert piece.outer.area_mm2 == pytest.approx(2 * slant * 20)
    assert piece.holes[0].area_mm2 == pytest.approx(-6 * 4 * slant / 10)
    assert [fold.angle_rad for fold in piece.folds] == pytest.approx([2 * math.atan(0.5)] * 2)
    headings = [edge.heading for edge in piece.holes[0].edges]
    turns = sum(
        math.remainder(b[0] - a[-1], 2 * math.pi)
        for a, b in zip(headings, headings[1:] + headings[:1], strict=True)
    )
    assert turns == pytest.approx(-2 * math.pi)


def test_coplanar_neighbours_join():
    pair = cq.Workplane().box(4, 4, 2).val().fuse(cq.Workplane().box(3, 4, 2).translate((3.5, 0, 0)).val())
    top = [face for face in pair.Faces() if face.normalAt().z > 0.5]
    assert len(top) == 2
    piece = certified(unroll_group(top))
    assert piece.folds[0].angle_rad == pytest.approx(0.0, abs=1e-12)
    assert piece.outer.perimeter_mm == pytest.approx(2 * (7 + 4))


def test_filled_hole_leaves_no_hole():
    split = cq.Workplane().box(20, 20, 2).faces(">Z").workplane().circle(5).cutBlind(-1).val()
    ring = max(
        split.Faces(), key=lambda face: face.Center().z * face.Area() if face.normalAt().z > 0.5 else -1
    )
    cap = cq.Face.makeFromWires(ring.innerWires()[0])
    if cap.normalAt().z < 0:
        cap = cq.Face(cap.wrapped.Reversed())
    piece = certified(unroll_group([ring, cap]))
    assert piece.holes == () and piece.flat_area_mm2 == pytest.approx(400)


def test_a_fold_that_is_straight_on_one_side_only_is_refused():
    with pytest.raises(UnrollError, match="two flat images differ"):
        unroll_group(cq.Workplane().cylinder(3, 2).faces("%CYLINDER or >Z").vals())


def test_three_faces_round_a_corner_are_refused():
    with pytest.raises(UnrollError, match="name a joint"):
        unroll_group(cq.Workplane().box(4, 3, 2).faces(">X or >Y or >Z").vals())


def test_a_corner_opens_at_a_joint():
    three = cq.Workplane().box(4, 3, 2).faces(">X or >Y or >Z").vals()
    key = edge_numbers([as_face(face) for face in three])
    counts = {}
    for face in three:
        for edge in face.Edges():
            counts.setdefault(key(edge.wrapped), []).append(edge)
    shared = [number for number, edges in counts.items() if len(edges) == 2]
    piece = certified(unroll_group(three, joints=frozenset({shared[0]})))
    assert len(piece.folds) == 2 and piece.flat_area_mm2 == pytest.approx(26)


def test_faces_apart_are_refused():
    with pytest.raises(UnrollError, match="do not hang together: 1 of 2"):
        unroll_group(cq.Workplane().box(4, 3, 2).faces(">X or <X").vals())


def test_faces_the_wrong_way_round_are_refused():
    a, b = cq.Workplane().box(4, 3, 2).faces(">X or >Z").vals()
    with pytest.raises(UnrollError, match="outsides on opposite sides"):
        unroll_group([a, cq.Face(b.wrapped.Reversed())])


def test_a_curved_member_is_named():
    ball = cq.Solid.makeSphere(5, angleDegrees1=0, angleDegrees2=90)
    with pytest.raises(UnrollError, match="of the group cannot be laid flat"):
        unroll_group(ball.Faces())


def test_nothing_is_refused():
    with pytest.raises(UnrollError, match="no face"):
        unroll_group([])


def test_flat_faces_that_overlap_are_refused():
    """A fan of planes all round a steep inner corner turns by more than a full turn when it is laid flat."""
    saddle = [(math.cos(k * math.pi / 4), math.sin(k * math.pi / 4), 1.6 * (-1) ** k) for k in range(8)]
    centre = cq.Vector(0, 0, 0)
    sides = []
    for a, b in zip(saddle, saddle[1:] + saddle[:1], strict=True):
        sides.append(
            cq.Face.makeFromWires(cq.Wire.makePolygon([centre, cq.Vector(*a), cq.Vector(*b)], close=True))
        )
    shell = cq.Shell.makeShell(sides)
    faces = shell.Faces()
    key = edge_numbers([as_face(face) for face in faces])
    counts = {}
    for face in faces:
        for edge in face.Edges():
            counts[key(edge.wrapped)] = counts.get(key(edge.wrapped), 0) + 1
    joint = next(number for number, count in counts.items() if count == 2)
    with pytest.raises(UnrollError, match="lie over one another"):
        unroll_group(faces, joints=frozenset({joint}))

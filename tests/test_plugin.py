"""CadQuery's side: methods only when asked, true flat faces, shapes for viewers."""

import itertools
import math
import subprocess
import sys

import cadquery as cq
import pytest

from shellparts.parameters import Design, Shell
from shellparts.plugin import register
from shellparts.unroll import unroll_face
from shellparts.unroll.flat_face import outline_face


@pytest.fixture
def registered():
    register()
    yield
    for name in ("clothRoom", "laidFlat"):
        delattr(cq.Workplane, name)


def test_nothing_is_added_until_it_is_asked_for():
    code = (
        "import cadquery as cq, shellparts.plugin\n"
        "assert not hasattr(cq.Workplane, 'clothRoom') and not hasattr(cq.Workplane, 'laidFlat')\n"
        "shellparts.plugin.register()\n"
        "assert hasattr(cq.Workplane, 'clothRoom') and hasattr(cq.Workplane, 'laidFlat')\n"
    )
    assert subprocess.run([sys.executable, "-c", code]).returncode == 0


def test_a_cylinder_becomes_a_rectangle():
    """Radius 10, height 30: 2 pi 10 by 30, by hand."""
    side = cq.Workplane().circle(10).extrude(30).faces("%CYLINDER").val()
    flat = outline_face(unroll_face(side))
    assert flat.Area() == pytest.approx(20 * math.pi * 30)
    box = flat.BoundingBox()
    assert sorted((box.xlen, box.ylen)) == pytest.approx([30, 20 * math.pi])
    assert box.zlen < 1e-6
    assert flat.isValid()


def test_a_face_with_a_hole_keeps_it():
    plate = cq.Workplane().box(40, 30, 5).faces(">Z").workplane().hole(10).faces(">Z").val()
    flat = outline_face(unroll_face(plate))
    assert len(flat.innerWires()) == 1
    assert flat.Area() == pytest.approx(1200 - 25 * math.pi)


def test_the_room_is_one_solid_on_the_stack(registered):
    """A pyramid of 8 sides over a wall of 1 m: floor x (wall + (height - wall) / 3), less the tip that the cap cuts."""
    design = Design(name="bare", shell=Shell(panels=8, across=3000, height=2400, wall=1000, stop_short=100))
    solid = cq.Workplane().clothRoom(design).val()
    assert isinstance(solid, cq.Solid)
    floor = 8 / 2 * 1500**2 * math.sin(math.pi / 4)
    slope = math.hypot(1400, 1500 * math.cos(math.pi / 8))
    tip = (100 / slope) ** 3
    assert solid.Volume(1e-9) == pytest.approx(floor * (1000 + 1400 / 3 * (1 - tip)), rel=1e-6)


def test_the_room_stands_in_the_workplane(registered):
    """On a wall: the floor lies in the plane, the room grows along its normal."""
    design = Design(name="bare", shell=Shell(panels=8, across=3000, height=2400, wall=1000, stop_short=100))
    plane = cq.Plane(origin=(100, 20, 3), xDir=(0, 1, 0), normal=(1, 0, 0))
    upright, turned = cq.Workplane().clothRoom(design).val(), cq.Workplane(plane).clothRoom(design).val()
    box = turned.BoundingBox(1e-6)
    assert (box.xmin, box.xlen) == pytest.approx((100, upright.BoundingBox(1e-6).zlen), abs=1e-3)
    middle = turned.Center()
    assert (middle.y, middle.z) == pytest.approx((20, 3), abs=1e-3)


def test_a_solid_on_the_stack_gives_its_faces(registered):
    """In the workplane: upright here."""
    laid = cq.Workplane("XZ").box(40, 30, 5).laidFlat().vals()
    assert sorted(round(face.Area()) for face in laid) == [150, 150, 200, 200, 1200, 1200]
    assert all(abs(face.normalAt().y) == pytest.approx(1) for face in laid)


def test_faces_are_laid_side_by_side_with_the_gap_between(registered):
    laid = cq.Workplane().box(40, 30, 5).faces().laidFlat(gap=7.0).vals()
    assert sum(face.Area() for face in laid) == pytest.approx(2 * (40 * 30 + 40 * 5 + 30 * 5))
    boxes = [face.BoundingBox() for face in laid]
    for a, b in itertools.pairwise(boxes):
        assert b.xmin - a.xmax == pytest.approx(7.0, abs=1e-3)
    assert all(box.ymin == pytest.approx(0, abs=1e-3) for box in boxes)


def test_viewers_get_every_sheet_with_a_name_and_a_colour(model_room):
    shown = list(model_room.shapes())
    assert [name for name, _, _ in shown] == [sheet.name for sheet in model_room.body.sheets]
    for name, shape, colour in shown:
        assert all(isinstance(part, int) and 0 <= part <= 255 for part in colour)
        assert shape.Area() == pytest.approx(model_room.outlines[name].face_area_mm2, rel=1e-6)

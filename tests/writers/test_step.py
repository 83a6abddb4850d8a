"""The STEP file, read back with CadQuery's own reader of assemblies."""

import itertools
import math
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path

import cadquery as cq
import pytest
from OCP.Interface import Interface_Static
from room_bodies import ROOMS, body_of

from shellparts.base.errors import GeometryError
from shellparts.body import assemble
from shellparts.body.envelope import area_of, volume_of
from shellparts.drawing.colours import AIR
from shellparts.parameters import Design, Shell
from shellparts.writers.mesh import faces_of
from shellparts.writers.step_around import fan_rings, floor_of, people_in
from shellparts.writers.step_order import canonical
from shellparts.writers.step_room import room_tree, sheets_of, step_bytes, thick_bytes, write_step
from shellparts.writers.step_thick import thickened

NUMBERS = range(len(ROOMS))
HERE = Path(__file__).parent


@pytest.fixture(scope="module", params=NUMBERS, ids=[room.name for room in ROOMS])
def read_back(request, tmp_path_factory):
    body, name = body_of(request.param), ROOMS[request.param].name
    path = tmp_path_factory.mktemp("step") / f"{name}.step"
    write_step(body, name, path)
    return body, name, cq.Assembly.load(str(path))


def leaves_of(part: cq.Assembly) -> list[cq.Assembly]:
    """Parts without parts, in order."""
    return [leaf for child in part.children for leaf in leaves_of(child)] or [part]


def test_every_name_is_there_nested_and_in_order(read_back):
    body, name, room = read_back
    assert room.name == name
    cloth, envelope, around = room.children
    assert (cloth.name, envelope.name, around.name) == ("cloth", "envelope", "around")
    groups = {group.name: [sheet.name for sheet in group.children] for group in cloth.children}
    words: dict[str, list[str]] = {}
    for sheet in body.sheets:
        of_shell = sheet.kind.word in ("panel", "cap")
        words.setdefault("shell" if of_shell else f"{sheet.kind.word}s", []).append(sheet.name)
    assert groups == words
    assert {"shell", "tunnels", "curtains", "sleeves"} <= set(groups)
    names = [part.name for _, part in room.traverse()]
    assert len(names) == len(set(names)) and all(one.isascii() for one in names)
    assert [child.name for child in around.children] == ["floor", "people", "fans"]


def test_around_stand_floor_people_and_a_ring_where_the_fan_goes(read_back):
    """Each measured by CadQuery: who stands inside, how tall; the ring round the sleeve's mouth and outside it."""
    body, _, room = read_back
    floor, people, fans = room.children[2].children
    assert area_of(floor.obj.wrapped) / 1e6 == pytest.approx(body.figures.floor_area_m2, rel=1e-9)
    assert floor.obj.BoundingBox().zmax == pytest.approx(0.0, abs=1e-6)
    boxes = [person.obj.BoundingBox() for person in people.children]
    assert [round(box.zmax) for box in boxes] == [1700, 1200, 1250, 1150]
    air = room.children[1].obj
    for person, box in zip(people.children, boxes, strict=True):
        assert (
            isinstance(person.obj, cq.Solid)
            and person.obj.isValid()
            and box.zmin == pytest.approx(0.0, abs=1e-6)
        )
        inside = air.intersect(person.obj).Volume()
        assert inside == pytest.approx(person.obj.Volume(), rel=1e-6)
    for one, other in itertools.combinations(boxes, 2):
        assert math.hypot(one.center.x - other.center.x, one.center.y - other.center.y) > one.xlen
    (ring,) = fans.children
    assert isinstance(ring.obj, cq.Solid) and ring.obj.isValid() and ring.obj.Volume() > 0
    (sleeve,) = [leaf for leaf in leaves_of(room) if leaf.name == "sleeve"]
    assert ring.obj.distance(sleeve.obj) == pytest.approx(0.0, abs=1e-6)
    assert ring.obj.intersect(air).Volume() == pytest.approx(0.0, abs=1.0)


def test_a_low_room_has_fewer_people_and_a_small_one_one():
    low = assemble(Design(name="low", shell=Shell(panels=8, across=4000, height=1600)))
    assert [name for name, _ in people_in(low)] == ["person_1", "person_2", "person_3"]
    small = assemble(Design(name="small", shell=Shell(panels=8, across=1300, height=1600)))
    assert len(people_in(small)) == 1
    assert fan_rings(low) == [] and floor_of(low) is not None


def test_one_solid_of_the_envelopes_volume_in_millimetres(read_back):
    body, _, room = read_back
    solids = [part for part in room.traverse() if isinstance(part[1].obj, cq.Solid)]
    assert [name for name, _ in solids if not name.startswith(("person", "fan_ring"))] == ["envelope"]
    solid = solids[0][1].obj
    assert solid.isValid()
    assert volume_of(solid.wrapped) == pytest.approx(volume_of(body.envelope), rel=1e-9)
    assert volume_of(solid.wrapped) / 1e9 == pytest.approx(body.figures.envelope_volume_m3, rel=1e-9)


def in_groups(body):
    """Sheets in the order of the tree: kinds as they are first met."""
    order = [part.name for part in room_tree(body, "x").members[0].parts()]
    return sorted(body.sheets, key=lambda sheet: order.index(sheet.name))


def test_sheets_are_shells_of_their_own_area_where_they_stood(read_back):
    body, _, room = read_back
    for sheet, part in zip(in_groups(body), leaves_of(room.children[0]), strict=True):
        assert part.name == sheet.name
        assert isinstance(part.obj, cq.Shell)
        assert len(part.obj.Faces()) == len(sheet.faces)
        assert area_of(part.obj.wrapped) == pytest.approx(sum(area_of(f.face) for f in sheet.faces), rel=1e-9)
        there = cq.Shape.cast(sheet.faces[0].face).Center()
        assert (part.loc * cq.Location(there)).toTuple()[0] == pytest.approx(there.toTuple(), abs=1e-9)
        nearest = min(face.Center().sub(there).Length for face in part.obj.Faces())
        assert nearest < 1e-6


def test_every_part_has_the_colour_of_its_kind(read_back):
    body, _, room = read_back
    cloth, envelope, _ = room.children
    for sheet, part in zip(in_groups(body), leaves_of(cloth), strict=True):
        assert part.color.toTuple() == pytest.approx((*sheet.kind.colour, 1.0), abs=1e-6)
    assert envelope.color.toTuple()[:3] == pytest.approx(AIR, abs=1e-6)
    assert 0.0 < envelope.color.toTuple()[3] < 1.0  # what lies inside shows through


def test_the_two_leaves_have_their_own_copies_of_the_face_they_share():
    body = body_of(0)
    leaves = [sheet for sheet in body.sheets if sheet.name.startswith("curtain")]
    assert {id(f) for f in leaves[0].faces} & {id(f) for f in leaves[1].faces}
    shapes = {part.name: cq.Shape.cast(part.shape) for part in sheets_of(body)}
    left, right = (shapes[leaf.name] for leaf in leaves)
    for subshapes in ("Faces", "Edges", "Vertices"):
        pairs = [(a, b) for a in getattr(left, subshapes)() for b in getattr(right, subshapes)()]
        assert not any(a.wrapped.IsPartner(b.wrapped) for a, b in pairs)


def test_writing_leaves_the_body_the_kernel_and_standard_output_alone(capfd):
    body = body_of(0)
    before = area_of(body.envelope)
    Interface_Static.SetCVal_s("write.step.unit", "M")
    try:
        text = step_bytes(body, "room").decode("ascii")
        assert Interface_Static.CVal_s("write.step.unit") == "M"
    finally:
        Interface_Static.SetCVal_s("write.step.unit", "MM")
    assert "SI_UNIT(.MILLI.,.METRE.)" in text
    assert area_of(body.envelope) == before
    assert capfd.readouterr().out == ""


PROGRAM = """
from hashlib import sha256
from room_bodies import ROOMS, body_of
from shellparts.writers.step_room import step_bytes
for room in (1, 0):
    print(sha256(step_bytes(body_of(room), ROOMS[room].name)).hexdigest())
"""


def test_the_same_bytes_in_every_process_and_on_every_turn():
    here = [step_bytes(body_of(room), ROOMS[room].name) for room in (1, 0, 1)]
    paths = os.pathsep.join([str(HERE), str(HERE.parents[1])])
    environment = os.environ | {"PYTHONHASHSEED": "7", "PYTHONPATH": paths}
    command = [sys.executable, "-c", PROGRAM]
    elsewhere = subprocess.run(
        command, env=environment, capture_output=True, text=True, check=True
    ).stdout.split()
    assert [sha256(text).hexdigest() for text in here] == [*elsewhere, elsewhere[0]]
    assert here[0] != here[1]


def test_the_same_bytes_after_another_program_has_changed_the_kernels_settings(tmp_path):
    before = step_bytes(body_of(1), "room")
    keys = ("write.surfacecurve.mode", "write.precision.mode", "write.stepcaf.subshapes.name")
    settings = {key: Interface_Static.CVal_s(key) for key in (*keys, "xstep.cascade.unit")}
    try:
        box = cq.Assembly(cq.Workplane().box(1, 2, 3))
        box.export(str(tmp_path / "a.step"), write_pcurves=False, precision_mode=1, unit="IN")
        changed = {key: Interface_Static.CVal_s(key) for key in settings}
        assert changed["write.surfacecurve.mode"] == "Off", "nothing is changed, so nothing is tested"
        assert step_bytes(body_of(1), "room") == before
        assert {key: Interface_Static.CVal_s(key) for key in settings} == changed
    finally:
        for key, value in settings.items():
            Interface_Static.SetCVal_s(key, value)


def test_a_room_that_is_called_like_a_part_still_has_a_name_of_its_own(tmp_path):
    write_step(body_of(0), "envelope", tmp_path / "a.step")
    room = cq.Assembly.load(str(tmp_path / "a.step"))
    names = [part.name for _, part in room.traverse()]
    assert room.name == "envelope_room"
    assert sorted(set(names)) == sorted(names)


def shuffled(text: str) -> Iterator[str]:
    """A kernel's text with the roots of colours the other way round, as memory may have it."""
    records = re.findall(r"#\d+=.*;", text)
    first = next(i for i, record in enumerate(records) if "MECHANICAL_DESIGN" in record)
    yield text[: text.index("DATA;") + 6]
    yield from reversed(records[first:])
    yield from records[:first]
    yield "ENDSEC;"


def test_the_order_of_colours_does_not_matter():
    text = step_bytes(body_of(1), "room").decode("ascii")
    other = "\n".join(shuffled(text))
    assert other != text
    assert canonical(other, "room") == text


def test_what_is_no_step_text_is_refused():
    with pytest.raises(GeometryError, match="no data section"):
        canonical("nothing here", "room")


def test_sheets_of_a_thickness_are_solids_or_named(tmp_path):
    """Volume by the kernel against area times thickness; what has no thickness is told by name."""
    body, thickness = body_of(1), 0.6
    thick = thickened(sheets_of(body), thickness)
    path = tmp_path / "a.step"
    path.write_bytes(thick_bytes(body, "room", thick))
    areas = {sheet.name: sum(area_of(face.face) for face in sheet.faces) for sheet in body.sheets}
    parts = {leaf.name: leaf.obj for leaf in leaves_of(cq.Assembly.load(str(path)).children[0])}
    assert set(parts) == set(areas)
    for name, shape in parts.items():
        if name in thick.without:
            assert not shape.Solids()
            continue
        assert shape.isValid()
        assert (len(shape.Solids()) == 1) == (name not in thick.in_parts)
        assert shape.Volume() == pytest.approx(areas[name] * thickness, rel=0.012)
    assert len(thick.without) + len(thick.in_parts) < len(parts) / 4
    assert thick.record()["without_thickness"] == list(thick.without)


def test_what_the_kernel_cannot_thicken_is_named_and_stays_a_surface():
    """Thicker than a narrow sleeve is wide: no solid of the right volume comes of that."""
    sheets = [part for part in sheets_of(body_of(1)) if part.name in ("sleeve", "cap")]
    thick = thickened(sheets, 600.0)
    assert "sleeve" in thick.without
    (sleeve,) = [part for part in thick.sheets if part.name == "sleeve"]
    assert not cq.Shape.cast(sleeve.shape).Solids() and faces_of(sleeve.shape)

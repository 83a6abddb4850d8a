"""The STEP file, read back with CadQuery's own reader of assemblies."""

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
from shellparts.body.envelope import area_of, volume_of
from shellparts.drawing.colours import AIR
from shellparts.writers.step import room_parts, step_bytes, write_step
from shellparts.writers.step_order import canonical

NUMBERS = range(len(ROOMS))
HERE = Path(__file__).parent


@pytest.fixture(scope="module", params=NUMBERS, ids=[room.name for room in ROOMS])
def read_back(request, tmp_path_factory):
    body, name = body_of(request.param), ROOMS[request.param].name
    path = tmp_path_factory.mktemp("step") / f"{name}.step"
    write_step(body, name, path)
    return body, name, cq.Assembly.load(str(path))


def test_every_name_is_there_nested_and_in_order(read_back):
    body, name, room = read_back
    assert room.name == name
    cloth, envelope = room.children
    assert (cloth.name, envelope.name) == ("cloth", "envelope")
    assert [child.name for child in cloth.children] == [sheet.name for sheet in body.sheets]
    assert all(child.name.isascii() and not child.children for child in cloth.children)


def test_one_solid_of_the_envelopes_volume_in_millimetres(read_back):
    body, _, room = read_back
    solids = [part for part in room.traverse() if isinstance(part[1].obj, cq.Solid)]
    assert [name for name, _ in solids] == ["envelope"]
    solid = solids[0][1].obj
    assert solid.isValid()
    assert volume_of(solid.wrapped) == pytest.approx(volume_of(body.envelope), rel=1e-9)
    assert volume_of(solid.wrapped) / 1e9 == pytest.approx(body.figures.envelope_volume_m3, rel=1e-9)


def test_sheets_are_shells_of_their_own_area_where_they_stood(read_back):
    body, _, room = read_back
    for sheet, part in zip(body.sheets, room.children[0].children, strict=True):
        assert isinstance(part.obj, cq.Shell)
        assert len(part.obj.Faces()) == len(sheet.faces)
        assert area_of(part.obj.wrapped) == pytest.approx(sum(area_of(f.face) for f in sheet.faces), rel=1e-9)
        there = cq.Shape.cast(sheet.faces[0].face).Center()
        assert (part.loc * cq.Location(there)).toTuple()[0] == pytest.approx(there.toTuple(), abs=1e-9)
        nearest = min(face.Center().sub(there).Length for face in part.obj.Faces())
        assert nearest < 1e-6


def test_every_part_has_the_colour_of_its_kind(read_back):
    body, _, room = read_back
    cloth, envelope = room.children
    for sheet, part in zip(body.sheets, cloth.children, strict=True):
        assert part.color.toTuple() == pytest.approx((*sheet.kind.colour, 1.0), abs=1e-6)
    assert envelope.color.toTuple()[:3] == pytest.approx(AIR, abs=1e-6)
    assert 0.0 < envelope.color.toTuple()[3] < 1.0  # what lies inside shows through


def test_the_two_leaves_have_their_own_copies_of_the_face_they_share():
    body = body_of(0)
    leaves = [sheet for sheet in body.sheets if sheet.name.startswith("curtain")]
    assert {id(f) for f in leaves[0].faces} & {id(f) for f in leaves[1].faces}
    shapes = {part.name: cq.Shape.cast(part.shape) for part in room_parts(body)[0]}
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
from shellparts.writers.step import step_bytes
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

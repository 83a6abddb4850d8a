"""What a room gives to CadQuery is CadQuery's own, and what one makes of it is right."""

from collections.abc import Callable, Mapping
from enum import Enum
from pathlib import Path

import attrs
import cadquery as cq
import numpy as np
import pytest

from shellparts import Design, Shell, build, laid_flat
from shellparts.base.errors import ParameterError
from shellparts.body.body import Body
from shellparts.build.room import Room


def test_the_envelope_is_a_solid_that_a_workplane_knows(model_room):
    assert isinstance(model_room.envelope, cq.Solid)
    assert cq.Workplane(obj=model_room.envelope).solids().size() == 1
    told = model_room.body.figures.envelope_volume_m3
    assert model_room.envelope.Volume(1e-6) / 1e9 == pytest.approx(told, rel=1e-5)


def test_every_sheet_is_a_face_or_a_shell_and_valid(model_room):
    assert list(model_room.sheets) == [sheet.name for sheet in model_room.body.sheets]
    for name, shape in model_room.sheets.items():
        faces = model_room.outlines[name].faces
        assert type(shape) is (cq.Face if faces == 1 else cq.Shell)
        assert len(shape.Faces()) == faces
        assert shape.isValid()
        assert model_room.sheet(name) is shape


def test_the_assembly_has_every_sheet_by_name_with_its_colour(model_room, tmp_path):
    whole = model_room.assembly()
    assert whole.name == model_room.design.name
    assert [child.name for child in whole.children] == list(model_room.sheets)
    for child, sheet in zip(whole.children, model_room.body.sheets, strict=True):
        assert child.color.toTuple()[:3] == pytest.approx(sheet.kind.colour, abs=1e-6)
    area = sum(outline.face_area_mm2 for outline in model_room.outlines.values())
    assert whole.toCompound().Area() == pytest.approx(area, rel=1e-6)


def test_a_flat_piece_can_be_extruded(rooms):
    """A template of board, 3 mm thick: its volume is that of the flat area."""
    room = rooms["lantern_room"]
    for piece in room.pattern.pieces:
        for line, area in (("sewing", piece.outline.flat_area_mm2), ("cutting", piece.cut_area_mm2)):
            sketch = room.flat(piece.sheets[-1], line)
            assert isinstance(sketch, cq.Sketch)
            board = cq.Workplane().placeSketch(sketch).extrude(3)
            assert board.solids().size() == 1
            assert board.val().Volume(1e-6) == pytest.approx(3 * area, rel=1e-6)
    assert room.flat("panel").val().Area() == pytest.approx(room.flat("panel_03").val().Area())


def comes_back(room: Room, path: Path, read: Callable[[str], cq.Assembly]) -> None:
    """Whether names, colours and sizes of all parts are the same once CadQuery has written and read them."""
    whole = room.assembly().add(room.envelope, name="envelope", color=cq.Color(0.2, 0.5, 0.7))
    whole.export(str(path))
    back = read(str(path))
    assert [child.name for child in back.children] == [*room.sheets, "envelope"]
    for before, after in zip(whole.children, back.children, strict=True):
        assert after.color is not None, before.name
        assert after.color.toTuple() == pytest.approx(before.color.toTuple(), abs=1e-6), before.name
        assert after.obj.Area() == pytest.approx(before.obj.Area(), rel=1e-6), before.name
        assert len(after.obj.Faces()) == len(before.obj.Faces())
    volume = room.body.figures.envelope_volume_m3
    assert back["envelope"].obj.Volume(1e-6) / 1e9 == pytest.approx(volume, rel=1e-5)


def test_all_parts_come_back_from_the_step_file_that_cadquery_writes(model_room, tmp_path):
    """Parts of one face, such as the cap, too."""
    comes_back(model_room, tmp_path / "room.step", cq.Assembly.importStep)


def test_all_parts_come_back_from_cadquerys_own_format(rooms, tmp_path):
    comes_back(rooms["lantern_room"], tmp_path / "room.xbf", cq.Assembly.load)


def test_the_envelope_comes_back_from_cadquerys_own_exporter(rooms, tmp_path):
    room = rooms["lantern_room"]
    cq.exporters.export(room.envelope, str(tmp_path / "air.step"))
    (solid,) = cq.importers.importStep(str(tmp_path / "air.step")).solids().vals()
    assert solid.Volume(1e-6) == pytest.approx(room.envelope.Volume(1e-6), rel=1e-9)


@pytest.fixture(scope="module")
def bare_room() -> Room:
    return build(Design(name="bare", shell=Shell(panels=6, across=3000, height=2400)))


def test_the_numbers_refuse_names_that_are_not_there(bare_room):
    told = bare_room.numbers()
    for ask, near in (
        (lambda: told["parametres"], "parameters"),
        (lambda: told["parameters"]["shel"], "shell"),
    ):
        with pytest.raises(KeyError, match=rf"^name of the number is .*did you mean '{near}'"):
            ask()


def test_every_face_of_the_envelope_can_be_laid_flat(bare_room):
    """In its order: the cloth, and the floor, which is none."""
    faces, laid = bare_room.envelope.Faces(), laid_flat(bare_room.envelope)
    assert [one.Area() for one in laid] == pytest.approx([one.Area() for one in faces], rel=1e-6)
    floor = max(face.Area() for face in faces if abs(face.Center().z) < 1e-6)
    assert floor == pytest.approx(bare_room.body.figures.floor_area_m2 * 1e6, rel=1e-6)


def handed_out(value: object, seen: dict[int, object]) -> None:
    """Gather what can be reached from a value over its fields and properties."""
    if id(value) in seen or isinstance(value, np.ndarray | str | Enum):
        return
    seen[id(value)] = value
    if isinstance(value, Mapping):
        inner = list(value.values())
    elif isinstance(value, tuple | list):
        inner = list(value[:2])
    elif attrs.has(type(value)):
        names = {one.name for one in attrs.fields(type(value)) if not one.name.startswith("_")}
        names |= set(WORKED_OUT.get(type(value), ()))
        inner = [getattr(value, name) for name in sorted(names)]
    else:
        return
    for one in inner:
        handed_out(one, seen)


#: What they work out when it is asked for.
WORKED_OUT = {Room: ("as_it_is", "body", "figures", "outlines", "pattern", "sheets"), Body: ("seams",)}


def test_every_dictionary_by_names_refuses_names_that_are_not_there(rooms):
    """Graphs of numbered edges are no such."""
    room = rooms["lantern_room"]
    seen: dict[int, object] = {}
    handed_out(room, seen)
    by_names = [
        one
        for one in seen.values()
        if isinstance(one, Mapping) and isinstance(next(iter(one), 0), str | Enum)
    ]
    assert len(by_names) >= 6
    for one in by_names:
        with pytest.raises(ParameterError, match=r"^name of the \w+ is 'no such name'; it must be one of "):
            one["no such name"]


@pytest.mark.parametrize(
    ("ask", "message"),
    [
        (lambda room: room.sheet("tunel"), r"^name of the sheet is 'tunel'; .*did you mean 'tunnel'"),
        (lambda room: room.sheet(3), r"^name of the sheet is 3; it must be one of panel_01, "),
        (
            lambda room: room.sheets["pannel_01"],
            r"^name of the sheet is 'pannel_01'; .*did you mean 'panel_01'",
        ),
        (lambda room: room.outlines["tunel"], r"^name of the sheet is 'tunel'; .*did you mean 'tunnel'"),
        (lambda room: room.flat("panl"), r"^name of the piece is 'panl'; .*did you mean 'panel'"),
        (
            lambda room: room.flat("panel", "edge"),
            r"^name of the line of the piece is 'edge'; .*sewing, cutting",
        ),
    ],
)
def test_names_that_are_not_there_are_refused(rooms, ask, message):
    with pytest.raises(ParameterError, match=message):
        ask(rooms["lantern_room"])

"""What a room gives to CadQuery is CadQuery's own, and what one makes of it is right."""

import cadquery as cq
import pytest

from shellparts.base.errors import ParameterError


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


@pytest.mark.parametrize(
    ("ask", "message"),
    [
        (lambda room: room.sheet("tunel"), r"^name of the sheet is 'tunel'; .*did you mean 'tunnel'"),
        (lambda room: room.sheet(3), r"^name of the sheet is 3; it must be one of panel_01, "),
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

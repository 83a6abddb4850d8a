"""Scale models and the viewers' file, read back and measured."""

import json
import struct
from xml.etree import ElementTree
from zipfile import ZipFile

import cadquery as cq
import numpy as np
import pytest
import trimesh
from OCP.BRep import BRep_Tool
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.TopLoc import TopLoc_Location
from room_bodies import ROOMS, body_of

from shellparts.base.errors import GeometryError, ParameterError
from shellparts.base.tolerances import TOLERANCES
from shellparts.body.envelope import area_of
from shellparts.writers.mesh import envelope_mesh, faces_of, patches_of, welded
from shellparts.writers.mesh_files import scale_model, write_glb, write_scale_model

NUMBERS = pytest.mark.parametrize("number", range(len(ROOMS)), ids=[room.name for room in ROOMS])


def written(body, folder, scale=20, name="a"):
    """Scale model of a body: the STL file and the 3MF file."""
    write_scale_model(scale_model(body, scale), name, scale, folder)
    return folder / f"{name}_1-{scale}.stl", folder / f"{name}_1-{scale}.3mf"


CORE = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"


@NUMBERS
@pytest.mark.parametrize("scale", [1, 20, 150])
def test_the_printed_model_is_watertight_and_of_the_rooms_volume(number, scale, tmp_path):
    body = body_of(number)
    model = trimesh.load(written(body, tmp_path, scale)[0])
    assert model.is_watertight and model.is_winding_consistent and len(model.split()) == 1
    volume = body.figures.envelope_volume_m3 * 1e9
    # No triangle lies further than the mesh tolerance from the body: the volume is off by less than that.
    assert abs(model.volume * scale**3 - volume) < area_of(body.envelope) * TOLERANCES.mesh_mm
    assert model.volume * scale**3 == pytest.approx(volume, rel=5e-4)


@NUMBERS
def test_the_model_stands_on_the_plate_and_has_the_rooms_size(number, tmp_path):
    body = body_of(number)
    low, high = trimesh.load(written(body, tmp_path)[0]).bounds
    assert low[2] == 0.0
    assert high[2] * 20 == pytest.approx(body.figures.height_mm, abs=TOLERANCES.mesh_mm)
    box = cq.Shape.cast(body.envelope).BoundingBox(1e-3)
    assert (high - low)[:2] * 20 == pytest.approx([box.xlen, box.ylen], abs=2 * TOLERANCES.mesh_mm)


def test_triangles_stay_within_the_mesh_tolerance_of_the_body():
    body = body_of(1)
    mesh = envelope_mesh(body.envelope)
    skin = cq.Compound.makeCompound([cq.Face(face) for face in faces_of(body.envelope)])
    middles = mesh.triangles.mean(axis=1)
    for middle in middles[:: len(middles) // 60]:
        reach = BRepExtrema_DistShapeShape(cq.Vertex.makeVertex(*middle).wrapped, skin.wrapped)
        assert reach.Value() < TOLERANCES.mesh_mm


def test_the_body_itself_is_not_meshed_by_writing(tmp_path):
    body = body_of(2)
    written(body, tmp_path)
    for face in faces_of(body.envelope):
        assert BRep_Tool.Triangulation_s(face, TopLoc_Location()) is None


def test_the_title_does_not_pass_for_the_text_form(tmp_path):
    raw = written(body_of(0), tmp_path, name="solid_room")[0].read_bytes()
    assert not raw.startswith(b"solid") and b"1:20, millimetres" in raw[:80]
    assert len(raw) == 84 + 50 * struct.unpack("<I", raw[80:84])[0]


@pytest.mark.parametrize("scale", [0, -20, float("nan"), float("inf")])
def test_a_scale_that_is_none_is_refused(scale):
    with pytest.raises(ParameterError, match=r"scale of the model is 1:.*choose 1:10"):
        scale_model(body_of(0), scale)


def test_a_mesh_that_leaks_is_refused_and_a_closed_one_is_not():
    faces = faces_of(body_of(0).envelope)
    assert welded(patches_of(faces)).is_volume
    assert not welded(patches_of(faces[1:])).is_volume
    open_box = cq.Compound.makeCompound(cq.Solid.makeBox(1, 1, 1).Faces()[:5])
    with pytest.raises(GeometryError, match="leaks"):
        envelope_mesh(open_box.wrapped)
    inside_out = cq.Solid.makeBox(1, 1, 1).wrapped.Reversed()
    with pytest.raises(GeometryError, match="leaks"):
        envelope_mesh(inside_out)


def test_the_mesh_of_a_box_has_the_boxs_corners_and_volume():
    mesh = envelope_mesh(cq.Solid.makeBox(2, 3, 5).wrapped)
    assert mesh.vertices.shape == (8, 3) and mesh.faces.shape == (12, 3)
    assert mesh.volume == pytest.approx(30.0, rel=1e-12)


@NUMBERS
def test_the_3mf_package_holds_one_closed_welded_body_in_millimetres(number, tmp_path):
    body = body_of(number)
    with ZipFile(written(body, tmp_path, name=ROOMS[number].name)[1]) as package:
        assert package.testzip() is None
        assert {entry.date_time for entry in package.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        types = ElementTree.fromstring(package.read("[Content_Types].xml"))
        assert {"rels", "model"} <= {entry.get("Extension") for entry in types}
        (target,) = ElementTree.fromstring(package.read("_rels/.rels"))
        model = ElementTree.fromstring(package.read(target.get("Target").lstrip("/")))
    assert model.get("unit") == "millimeter"
    (thing,) = model.iter(f"{CORE}object")
    assert thing.get("name") == ROOMS[number].name
    assert [item.get("objectid") for item in model.iter(f"{CORE}item")] == [thing.get("id")]
    points = np.array([[float(v.get(k)) for k in "xyz"] for v in thing.iter(f"{CORE}vertex")])
    triangles = np.array([[int(t.get(k)) for k in ("v1", "v2", "v3")] for t in thing.iter(f"{CORE}triangle")])
    read = trimesh.Trimesh(points, triangles, process=False)
    assert read.is_watertight and read.is_winding_consistent
    assert read.volume * 8000 == pytest.approx(body.figures.envelope_volume_m3 * 1e9, rel=5e-4)


@NUMBERS
def test_the_viewers_file_has_every_sheet_in_metres_with_y_up(number, tmp_path):
    body = body_of(number)
    write_glb(body, ROOMS[number].name, tmp_path / "a.glb")
    scene = trimesh.load(tmp_path / "a.glb", process=False)
    assert list(scene.geometry) == [*(sheet.name for sheet in body.sheets), "floor"]
    assert scene.geometry["floor"].area == pytest.approx(body.figures.floor_area_m2, rel=2e-3)
    assert np.abs(scene.geometry["floor"].bounds[:, 1]).max() == 0.0
    for sheet in body.sheets:
        area = sum(area_of(f.face) for f in sheet.faces) / 1e6
        assert scene.geometry[sheet.name].area == pytest.approx(area, rel=2e-3)
    low, high = scene.bounds
    assert low[1] == 0.0 and high[1] == pytest.approx(body.figures.height_mm / 1000, abs=2e-3)
    # The doorway is ahead on +x; what is at +y on the drawing is at -z for the viewer.
    box = cq.Shape.cast(body.envelope).BoundingBox(1e-3)
    assert low[[0, 2]] == pytest.approx([box.xmin / 1000, -box.ymax / 1000], abs=2e-3)
    assert high[[0, 2]] == pytest.approx([box.xmax / 1000, -box.ymin / 1000], abs=2e-3)


def test_the_viewers_file_is_built_as_the_specification_says(tmp_path):
    # Khronos glTF 2.0, sections 4.4 (binary form) and 3.7.2.1 (position bounds).
    write_glb(body_of(0), "room", tmp_path / "a.glb")
    raw = (tmp_path / "a.glb").read_bytes()
    magic, version, length, size, kind = struct.unpack("<4sIII4s", raw[:20])
    assert (magic, version, length, kind) == (b"glTF", 2, len(raw), b"JSON") and size % 4 == 0
    text = json.loads(raw[20 : 20 + size])
    assert text["asset"]["generator"] == "shellparts"
    for accessor in text["accessors"]:
        view = text["bufferViews"][accessor["bufferView"]]
        width = 4 * {"VEC3": 3, "SCALAR": 1}[accessor["type"]]
        assert view["byteLength"] == width * accessor["count"] and view["byteOffset"] % 4 == 0
    assert all(
        "min" in text["accessors"][mesh["primitives"][0]["attributes"]["POSITION"]] for mesh in text["meshes"]
    )
    first = text["bufferViews"][text["meshes"][0]["primitives"][0]["attributes"]["NORMAL"]]
    start = 20 + size + 8 + first["byteOffset"]
    normals = np.frombuffer(raw[start : start + first["byteLength"]], "<f4").reshape(-1, 3)
    assert np.linalg.norm(normals, axis=1) == pytest.approx(1.0, abs=1e-6)


def test_colours_are_linear_light_and_the_room_holds_its_sheets(tmp_path):
    body = body_of(1)
    write_glb(body, "room", tmp_path / "a.glb")
    raw = (tmp_path / "a.glb").read_bytes()
    text = json.loads(raw[20 : 20 + struct.unpack("<I", raw[12:16])[0]])
    (room,) = [node for node in text["nodes"] if node["name"] == "room"]
    names = [text["nodes"][n]["name"] for n in room["children"]]
    assert names == [*(sheet.name for sheet in body.sheets), "floor"]
    for sheet, mesh in zip(body.sheets, text["meshes"][:-1], strict=True):
        material = text["materials"][mesh["primitives"][0]["material"]]
        assert mesh["name"] == material["name"] == sheet.name and material["doubleSided"]
        *light, opacity = material["pbrMetallicRoughness"]["baseColorFactor"]
        # A screen's curve, IEC 61966-2-1, the other way round; none of the colours is in its straight foot.
        shown = 1.055 * np.array(light) ** (1 / 2.4) - 0.055
        assert shown == pytest.approx(sheet.kind.colour, abs=1e-5) and opacity == 1.0


def test_the_same_room_gives_the_same_bytes(tmp_path):
    from room_bodies import STRAIGHT

    from shellparts.body import assemble

    raw = []
    for folder, body in {"a": body_of(0), "b": assemble(STRAIGHT), "c": body_of(1)}.items():
        (tmp_path / folder).mkdir()
        files = written(body, tmp_path / folder)
        write_glb(body, "room", tmp_path / folder / "a.glb")
        raw.append([path.read_bytes() for path in (*files, tmp_path / folder / "a.glb")])
    assert raw[0] == raw[1]
    assert all(one != other for one, other in zip(raw[0], raw[2], strict=True))

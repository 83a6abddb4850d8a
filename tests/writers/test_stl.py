"""Meshes of bodies, and the viewers' file, read back and measured."""

import json
import struct

import cadquery as cq
import numpy as np
import pytest
import trimesh
from OCP.BRep import BRep_Tool
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.TopLoc import TopLoc_Location
from room_bodies import ROOMS, body_of

from shellparts.base.errors import GeometryError
from shellparts.base.tolerances import TOLERANCES
from shellparts.body.envelope import area_of
from shellparts.writers.mesh import envelope_mesh, faces_of, patches_of, skin_of, welded
from shellparts.writers.mesh_files import write_glb

NUMBERS = pytest.mark.parametrize("number", range(len(ROOMS)), ids=[room.name for room in ROOMS])


def test_triangles_stay_within_the_mesh_tolerance_of_the_body():
    body = body_of(1)
    mesh = envelope_mesh(body.envelope)
    skin = cq.Compound.makeCompound([cq.Face(face) for face in faces_of(body.envelope)])
    middles = mesh.triangles.mean(axis=1)
    for middle in middles[:: len(middles) // 60]:
        reach = BRepExtrema_DistShapeShape(cq.Vertex.makeVertex(*middle).wrapped, skin.wrapped)
        assert reach.Value() < TOLERANCES.mesh_mm


def test_the_body_itself_is_not_meshed_by_meshing_its_skin():
    body = body_of(2)
    skin_of(body)
    for face in faces_of(body.envelope):
        assert BRep_Tool.Triangulation_s(face, TopLoc_Location()) is None


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


@NUMBERS
def test_the_skin_is_the_rooms_own_and_every_triangle_knows_its_sheet(number):
    body = body_of(number)
    skin = skin_of(body)
    mesh = trimesh.Trimesh(skin.nodes, skin.triangles, process=False)
    assert mesh.is_watertight and mesh.is_winding_consistent
    assert mesh.volume / 1e9 == pytest.approx(body.figures.envelope_volume_m3, rel=1e-3)
    areas = mesh.area_faces
    for sheet in body.sheets:
        if sheet.kind.word == "panel":
            laid = areas[skin.sheet_of == skin.sheets.index(sheet.name)].sum()
            holding = sum(area_of(f.face) for f in sheet.faces if abs(middle_height(f.face)) > 1.0)
            assert laid == pytest.approx(holding, rel=1e-2), sheet.name


def middle_height(face):
    return cq.Face(face).Center().z


def test_the_mesh_of_a_box_has_the_boxs_corners_and_volume():
    mesh = envelope_mesh(cq.Solid.makeBox(2, 3, 5).wrapped)
    assert mesh.vertices.shape == (8, 3) and mesh.faces.shape == (12, 3)
    assert mesh.volume == pytest.approx(30.0, rel=1e-12)


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
        write_glb(body, "room", tmp_path / folder / "a.glb")
        raw.append([path.read_bytes() for path in (tmp_path / folder / "a.glb",)])
    assert raw[0] == raw[1]
    assert all(one != other for one, other in zip(raw[0], raw[2], strict=True))

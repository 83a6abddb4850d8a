"""Every shipped model, run as a user runs it, and everything it wrote read back with other libraries."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import cadquery as cq
import ezdxf
import numpy as np
import pytest
import shapely
import trimesh
from filelock import FileLock
from metric_alone import metric_alone, unread
from model_rooms import FIRST_NAME
from read_steps import StepFile, StepShell

from shellparts.build.manifest import MANIFEST

ROOT = Path(__file__).parent.parent


def run_model(name: str, out: Path, seed: str) -> str:
    done = subprocess.run(
        [sys.executable, str(ROOT / "models" / f"{name}.py"), "--out", str(out)],
        capture_output=True,
        text=True,
        check=True,
        cwd=out.parent,
        env={**os.environ, "PYTHONHASHSEED": seed},
    )
    return done.stdout


@pytest.fixture(
    scope="module",
    params=FIRST_NAME,
)
def run(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory, worker_id: str
) -> tuple[str, Path, dict]:
    """Name, folder and summary of one run of a model, which all processes of the tests read."""
    place = tmp_path_factory.getbasetemp()
    place = (place if worker_id == "master" else place.parent) / request.param
    folder = place / "out"
    with FileLock(f"{place}.lock"):
        if not folder.exists():
            place.mkdir()
            told = run_model(request.param, folder, "1")
            assert str(folder) in told
            (place / "told.txt").write_text(told, encoding="utf-8")
    return request.param, folder, json.loads((folder / "summary.json").read_text())


def test_a_shipped_room_is_a_go_or_one_after_what_its_plan_names(run: tuple[str, Path, dict]) -> None:
    plan = run[2]["plan"]
    assert plan["decision"] in {"go", "go after these changes"}, plan["lacking"]
    assert plan["chance"] >= 0.9


def test_pieces_close_and_keep_their_area(run: tuple[str, Path, dict]) -> None:
    for piece in run[2]["pieces"]:
        assert piece["closure_mm"] <= 1e-3
        if piece["part"] != "cap":
            assert abs(piece["sewing_area_m2"] / piece["face_area_m2"] - 1.0) <= 1e-6
        for edge in piece["edges"]:
            assert abs(edge["length_mm"] - edge["face_edge_length_mm"]) <= 1e-6 * edge["length_mm"]


def test_the_cap_goes_round_the_ends_of_the_panels(run: tuple[str, Path, dict]) -> None:
    pieces = {piece["name"]: piece for piece in run[2]["pieces"]}
    ends = [seam for seam in run[2]["seams"] if "cap" in seam["pieces"]]
    assert len(ends) == run[2]["parameters"]["shell"]["panels"]
    around = sum(seam["length_a_mm"] for seam in ends)
    assert pieces["cap"]["sewing_perimeter_mm"] == pytest.approx(around, rel=1e-9)
    assert pieces["cap"]["sewing_area_m2"] * 1e6 == pytest.approx(around**2 / (4 * np.pi), rel=1e-9)


def test_both_edges_of_every_seam_are_equally_long(run: tuple[str, Path, dict]) -> None:
    edges = {(p["name"], e["id"]): e for p in run[2]["pieces"] for e in p["edges"]}
    for seam in run[2]["seams"]:
        assert seam["mismatch_mm"] <= 0.01
        for piece, edge, length in zip(
            seam["pieces"], seam["edges"], (seam["length_a_mm"], seam["length_b_mm"]), strict=True
        ):
            assert edges[piece, edge]["kind"] == "seam"
            assert edges[piece, edge]["length_mm"] == pytest.approx(length, abs=0.01)


def test_every_sheet_is_cut_once(run: tuple[str, Path, dict]) -> None:
    sheets = [sheet for piece in run[2]["pieces"] for sheet in piece["sheets"]]
    assert len(sheets) == len(set(sheets))
    assert all(piece["count"] == len(piece["sheets"]) for piece in run[2]["pieces"])
    assert {sheet for seam in run[2]["seams"] for sheet in seam["sheets"]} == set(sheets)


def test_step_has_one_envelope_and_every_name(run: tuple[str, Path, dict]) -> None:
    name, folder, record = run
    assembly = cq.Assembly.load(str(folder / "solids" / f"{name}.step"))
    found = {part.name: part for _, part in assembly.traverse()}
    solids = found["envelope"].obj.Solids()
    assert len(solids) == 1
    assert solids[0].isValid()
    assert solids[0].Volume(1e-7) / 1e9 == pytest.approx(record["body"]["envelope_volume_m3"], rel=1e-6)
    assert "envelope" in found
    sheets = {sheet for piece in record["pieces"] for sheet in piece["sheets"]}
    assert sheets <= set(found)


def test_the_form_under_air_is_there_smooth_and_told(run: tuple[str, Path, dict]) -> None:
    name, folder, record = run
    told, body = record["inflated"], record["body"]
    assert told["from"] == "whole room" and told["smooth"]["surfaces"] == "smooth"
    assert told["smooth"]["largest_miss_mm"] <= 0.5 and told["smooth"]["largest_gap_mm"] <= 0.5
    assert told["height_mm"] == pytest.approx(body["height_mm"], rel=0.03)
    whole = cq.Assembly.load(str(folder / "solids" / f"{name}_inflated.step"))
    shapes = {part.name: part.obj for _, part in whole.traverse() if part.obj is not None}
    assert {sheet for piece in record["pieces"] for sheet in piece["sheets"]} <= set(shapes)
    assert all(shape.isValid() for shape in shapes.values())
    corners, _ = shapes["envelope"].tessellate(
        1.0, 0.1
    )  # the kernel's box of a B-spline may follow its poles
    levels = [corner.z for corner in corners]
    assert max(levels) == pytest.approx(told["height_mm"], abs=5.0) and min(levels) > -30.0
    note = (folder / "solids" / "READ_ME.txt").read_text()
    assert f"{told['pressure_Pa']:.1f} Pa" in note
    assert (folder / "pictures" / "inflated.png").is_file() == (folder / "pictures" / "as_sewn.png").is_file()


def read_again(path: Path, record: dict) -> tuple[StepFile, StepShell]:
    """A STEP file and the shell of its air, names and tree and units and solids looked at without the kernel."""
    file = StepFile(path)
    assert file.dangling() == set() and file.moved() == []
    tree, shapes = file.tree(), file.shapes()
    names = [path.stem, *(name for parts in tree.values() for name in parts)]
    assert len(names) == len(set(names)) and all(name.isascii() for name in names)
    assert file.lengths() == {(".MILLI.", ".METRE."): len(names)}
    assert tree[path.stem] == ["cloth", "envelope", "around"]
    sheets = {sheet for piece in record["pieces"] for sheet in piece["sheets"]}
    assert {name for group in tree["cloth"] for name in tree[group]} == sheets
    assert set(names) - set(tree) == set(shapes) and file.colours() == len(shapes)
    for name, (kind, shells) in shapes.items():
        solid = name not in sheets | {"floor"}
        assert kind == ("MANIFOLD_SOLID_BREP" if solid else "SHELL_BASED_SURFACE_MODEL")
        (shell,) = shells
        uses = shell.uses()
        assert set(uses.values()) == {1} and shell.broken_loops() == 0 and shell.closed == solid
        assert all((edge, not forward) in uses for edge, forward in uses) == solid
    air = shapes["envelope"][1][0]
    assert air.euler() == 2
    return file, air


def test_step_files_say_the_same_to_a_reader_that_is_not_the_kernel(run: tuple[str, Path, dict]) -> None:
    name, folder, record = run
    read_again(folder / "solids" / f"{name}.step", record)
    file, air = read_again(folder / "solids" / f"{name}_inflated.step", record)
    told = record["inflated"]
    sheets = [shell for _, shells in file.shapes().values() for shell in shells]
    assert max(shell.gap_mm() for shell in sheets) <= told["smooth"]["largest_gap_mm"] + 0.01
    ratio = air.volume_mm3() / 1e9 / told["volume_m3"]
    sys.stdout.write(f"\n{name}: splines over triangles, volume {ratio:.5f}\n")
    assert 1.0 < ratio < 1.01  # the chords of a triangle lie inside


def test_the_scale_model_is_watertight(run: tuple[str, Path, dict]) -> None:
    name, folder, record = run
    scale = record["model"]["scale"]
    for part in record["model"]["parts"]:
        mesh = trimesh.load(folder / "model" / f"{name}_1-{scale}_{part['name']}.stl")
        assert mesh.is_watertight and part["supports"] == 0
        assert mesh.bounds[0][2] == pytest.approx(0.0, abs=1e-5)
        assert mesh.extents == pytest.approx(
            [part[f"{side}_mm"] for side in ("width", "depth", "height")], abs=0.06
        )
    (shell,) = [part for part in record["model"]["parts"] if part["name"] == "shell"]
    assert shell["height_mm"] * scale == pytest.approx(record["body"]["height_mm"], abs=scale)


def _flat(entity: ezdxf.entities.LWPolyline) -> np.ndarray:
    """Points of a polyline, arcs by many chords."""
    return np.array([(p.x, p.y) for p in ezdxf.path.make_path(entity).flattening(0.001)])


def test_dxf_audits_clean_and_measures_true(run: tuple[str, Path, dict]) -> None:
    name, folder, record = run
    document = ezdxf.readfile(folder / "flat" / f"{name}.dxf")
    assert not document.audit().errors
    assert document.units == ezdxf.units.MM
    lines = [e for e in document.modelspace().query("LWPOLYLINE") if e.closed]
    sewing = [shapely.Polygon(_flat(e)) for e in lines if e.dxf.layer == "SEW_HERE"]
    cutting = [shapely.Polygon(_flat(e)) for e in lines if e.dxf.layer == "CUT_HERE"]
    for kind, polygons in (("sewing_area_m2", sewing), ("cut_area_m2", cutting)):
        outers = [
            p for p in polygons if not any(q.contains(p.centroid) and q.area > p.area for q in polygons)
        ]
        holes = sum(p.area for p in polygons) - sum(p.area for p in outers)
        drawn = sum(p.area for p in outers) - holes
        assert len(outers) == len(record["pieces"])
        assert drawn / 1e6 == pytest.approx(sum(piece[kind] for piece in record["pieces"]), rel=1e-4)
    around = sum(p.exterior.length for p in sewing)
    assert around == pytest.approx(sum(p["sewing_perimeter_mm"] for p in record["pieces"]), rel=1e-5)


def test_dimensions_of_the_arrangement_are_those_of_the_summary(run: tuple[str, Path, dict]) -> None:
    """Measured again from the points of each dimension, not read from its words."""
    _, folder, record = run
    dimensions = ezdxf.readfile(folder / "arrangement.dxf").modelspace().query("DIMENSION")
    measured = np.array([dimension.get_measurement() for dimension in dimensions])
    doorway = record["parameters"]["doorway"]
    wanted = [record["body"]["height_mm"], *(doorway[f"{side}_mm"] for side in ("width", "height", "length"))]
    for length in [*wanted, record["parameters"]["shell"]["wall_mm"]]:
        assert np.abs(measured - length).min() < 0.01, length


def test_svg_sizes_are_true(run: tuple[str, Path, dict]) -> None:
    _, folder, record = run
    for piece in record["pieces"]:
        root = ElementTree.parse(folder / "flat" / f"{piece['name']}.svg").getroot()
        width, height = (
            float(re.fullmatch(r"([\d.]+)mm", root.get(side)).group(1)) for side in ("width", "height")
        )
        view = [float(v) for v in root.get("viewBox").split()]
        assert view[2:] == pytest.approx([width, height])
        groups = {g.get("id"): g for g in root.iter("{http://www.w3.org/2000/svg}g")}
        path = groups["CUT_HERE"][0].get("d")
        points = np.array(re.findall(r"[ML]([-\d.]+) ([-\d.]+)", path), float)
        assert np.ptp(points[:, 0]) == pytest.approx(piece["width_mm"], abs=1e-3)
        assert np.ptp(points[:, 1]) == pytest.approx(piece["length_mm"], abs=1e-3)


@pytest.mark.sweep
@pytest.mark.parametrize("run", ["orchard_pavilion"], indirect=True)
def test_with_an_inch_tape_everything_can_be_read(run: tuple[str, Path, dict], tmp_path: Path) -> None:
    """Whatever people read of the run says feet, inches, pounds where it says metres and kilograms."""
    _, folder, _ = run
    assert unread(folder) == []
    assert metric_alone((folder.parent / "told.txt").read_text(encoding="utf-8")) == []
    spoilt = tmp_path / "spoilt"
    (spoilt / "tables").mkdir(parents=True)
    table = (folder / "tables" / "seams.csv").read_text(encoding="utf-8")
    (spoilt / "tables" / "seams.csv").write_text(table.replace("length_a_tape", "length"), encoding="utf-8")
    (spoilt / "note.txt").write_text("lay it 4.1 m away; 13 ft 5 in (4.1 m) will do", encoding="utf-8")
    assert unread(spoilt) == ["note.txt: lay it 4.1 m away; 13", "tables/seams.csv: column length_a_mm"]


@pytest.mark.sweep
@pytest.mark.parametrize("run", ["lantern_room", "orchard_pavilion"], indirect=True)
def test_the_same_input_gives_the_same_bytes(run: tuple[str, Path, dict], tmp_path: Path) -> None:
    name, folder, record = run
    run_model(name, tmp_path / "again", "2")
    files = {p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file()}
    assert files == {*record["files"], "summary.json", MANIFEST}
    for file in sorted(files):
        assert (folder / file).read_bytes() == (tmp_path / "again" / file).read_bytes(), file

"""Other people's solids: STEP files of many kinds, in other units, broken, empty; and what is drawn of them."""

import json
import math
import os
import re
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

import cadquery as cq
import ezdxf
import numpy as np
import pytest
from damaged_steps import damaged
from ezdxf import path as ezpath
from OCP.IFSelect import IFSelect_RetDone
from OCP.Interface import Interface_Static
from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer
from step_text import faces_in, step_text

from shellparts import unroll
from shellparts.base.errors import ModelScriptError
from shellparts.build.foreign import (
    FileSurvey,
    face_line,
    face_record,
    outlines_drawing,
    survey_file,
    survey_record,
    write_outlines,
)
from shellparts.build.foreign_reader import surveyed

#: The promised keys of one face.
KEYS = [
    "index", "surface", "developable", "reason", "face_area_mm2", "flat_area_mm2",
    "perimeter_mm", "closure_mm", "turning_deficit_rad", "wires", "laid", "edge_gap_mm",
]  # fmt: skip


def write_step(shape: cq.Shape, path: Path, unit: str = "MM", schema: str = "AP214IS") -> Path:
    """Write a shape that is measured in millimetres, in the unit of somebody else's program."""
    writer = STEPControl_Writer()
    Interface_Static.SetCVal_s("write.step.unit", unit)
    Interface_Static.SetCVal_s("write.step.schema", schema)
    try:
        assert writer.Transfer(shape.wrapped, STEPControl_AsIs) == IFSelect_RetDone
        assert writer.Write(str(path)) == IFSelect_RetDone
    finally:
        Interface_Static.SetCVal_s("write.step.unit", "MM")
        Interface_Static.SetCVal_s("write.step.schema", "AP214IS")
    return path


def bracket() -> cq.Shape:
    """A machine part: an angle with slots, bores, a boss with a cone, fillets and a ball end."""
    angle = (
        cq.Workplane("XZ")
        .polyline([(0, 0), (80, 0), (80, 8), (8, 8), (8, 60), (0, 60)])
        .close()
        .extrude(50)
        .edges("|Y")
        .fillet(2)
    )
    return (
        angle.faces(">Z[1]").workplane(origin=(45, -25, 8)).circle(12).workplane(offset=15).circle(7).loft()
        .faces("<Z").workplane(origin=(60, -25, 0)).rarray(1, 30, 1, 2).hole(6)
        .union(cq.Workplane().sphere(9).translate((4, -25, 60)))
        .val()
    )  # fmt: skip


def perforated(rows: int, columns: int) -> cq.Shape:
    """A plate with bores all over: one cylinder each, and two plane faces with all of them as wires."""
    plate = cq.Workplane().box(20 * columns, 20 * rows, 6)
    return plate.faces(">Z").workplane().rarray(20, 20, columns, rows).hole(7).val()


@pytest.mark.parametrize("unit", ["MM", "INCH", "M", "CM", "FT"])
def test_units_are_converted(tmp_path, unit):
    """A box of 1 x 2 x 3 inches and a bore of 10 mm across, whatever the file counts in."""
    box = cq.Workplane().box(25.4, 50.8, 76.2).faces(">Z").workplane().hole(10).val()
    path = write_step(box, tmp_path / "box.step", unit)
    text = path.read_text()
    assert ("CONVERSION_BASED_UNIT" in text) == (unit in {"INCH", "FT"}), (
        "the file is not in the unit it should be in"
    )
    reports = surveyed(path).reports
    assert all(report.developable and report.outline is not None for report in reports)
    bore = math.pi * 25
    sizes = sorted(report.flat_area_mm2 for report in reports)
    expected = sorted(
        [2 * 25.4**2 - bore] * 2 + [3 * 25.4**2] * 2 + [6 * 25.4**2] * 2 + [10 * math.pi * 76.2]
    )
    assert sizes == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("schema", ["AP203", "AP214IS", "AP242DIS"])
def test_every_common_schema_is_read(tmp_path, schema):
    assert (
        surveyed(write_step(cq.Workplane().box(1, 2, 3).val(), tmp_path / "a.step", schema=schema)).faces == 6
    )


def test_a_machine_part_gives_what_is_developable_and_says_why_the_rest_is_not(tmp_path):
    shape = bracket()
    reports = surveyed(write_step(shape, tmp_path / "part.step")).reports
    assert len(reports) == len(shape.Faces())
    assert sum(r.face_area_mm2 for r in reports) == pytest.approx(shape.Area(), rel=1e-6)
    kinds = {report.surface for report in reports}
    assert {"plane", "cylinder", "cone", "sphere"} <= kinds
    for report in reports:
        flat = report.surface in {"plane", "cylinder", "cone"}
        assert report.developable == flat
        assert (report.outline is not None) == flat
        assert (report.reason == "") == flat
        if flat:
            assert report.flat_area_mm2 == pytest.approx(report.face_area_mm2, rel=1e-6)
            assert report.closure_mm < 1e-3
            assert abs(report.turning_deficit_rad) < 1e-5
        else:
            assert "sphere" in face_line(report) and "not laid flat" in face_line(report)


def test_hundreds_of_faces(tmp_path):
    """A plate with 20 x 12 bores: 246 faces, two of them with 241 wires."""
    reports = surveyed(write_step(perforated(12, 20), tmp_path / "plate.step")).reports
    assert len(reports) == 240 + 6
    assert [report.index for report in reports] == list(range(246))
    assert sorted(report.wires for report in reports)[-2:] == [241, 241]
    plate = 400 * 240 - 240 * math.pi * 3.5**2
    large = [report for report in reports if report.wires == 241]
    assert [report.flat_area_mm2 for report in large] == pytest.approx([plate, plate], rel=1e-9)
    assert all(report.outline is not None for report in reports)


def test_an_assembly_is_read_in_place(tmp_path):
    assembly = (
        cq.Assembly()
        .add(cq.Workplane().box(10, 20, 30), name="block", loc=cq.Location((100, 0, 0)))
        .add(cq.Workplane().cylinder(40, 5), name="pin", loc=cq.Location((0, 50, 0), (1, 0, 0), 30))
    )
    assembly.export(str(tmp_path / "assembly.step"))
    reports = surveyed(tmp_path / "assembly.step").reports
    assert len(reports) == 6 + 3
    assert sum(r.flat_area_mm2 for r in reports) == pytest.approx(
        2 * (200 + 300 + 600) + 400 * math.pi + 50 * math.pi
    )


def test_a_surface_without_a_solid_is_read(tmp_path):
    face = cq.Workplane().circle(10).extrude(30).faces("%CYLINDER").val()
    (report,) = surveyed(write_step(face, tmp_path / "face.step")).reports
    assert report.flat_area_mm2 == pytest.approx(600 * math.pi)


def test_a_file_without_a_face_is_refused_with_what_it_holds(tmp_path):
    with pytest.raises(ModelScriptError, match=r"edge.step holds no face, only 1 edges. Export a solid"):
        survey_file(write_step(cq.Edge.makeLine((0, 0, 0), (1, 0, 0)), tmp_path / "edge.step"))


HEADER = (
    "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\nFILE_NAME('','',(''),(''),'','','');\n"
    "FILE_SCHEMA(('AUTOMOTIVE_DESIGN'));\nENDSEC;\nDATA;\nENDSEC;\nEND-ISO-10303-21;\n"
)


@pytest.mark.parametrize(
    "content", [b"", b"\n\n", b"this is no STEP file; it is a letter.\n", b"\x00\x01\x02" * 500, HEADER.encode()],
    ids=["empty", "blank", "a letter", "bytes", "no data"],
)  # fmt: skip
def test_what_is_no_step_is_refused_with_a_remedy(tmp_path, content):
    (tmp_path / "bad.step").write_bytes(content)
    with pytest.raises(ModelScriptError, match=r"bad.step (cannot be read as STEP|holds no shape). Export"):
        survey_file(tmp_path / "bad.step")


def test_half_a_file_is_not_taken_for_a_whole_one(tmp_path):
    whole = write_step(perforated(3, 3), tmp_path / "whole.step").read_bytes()
    (tmp_path / "half.step").write_bytes(whole[: len(whole) // 2])
    with pytest.raises(ModelScriptError, match=r"half.step"):
        survey_file(tmp_path / "half.step")


@pytest.mark.parametrize("name", ["nowhere.step", "."])
def test_a_file_that_is_not_there_is_told(tmp_path, name):
    with pytest.raises(ModelScriptError, match=r"is not a file. Give the path of a STEP file"):
        survey_file(tmp_path / name)


def test_records_have_the_promised_keys_and_plain_values(tmp_path):
    reports = surveyed(write_step(bracket(), tmp_path / "part.step")).reports
    records = [face_record(report) for report in reports]
    assert all(list(record) == KEYS for record in records)
    assert json.loads(json.dumps(records, allow_nan=False)) == records


def test_the_drawing_has_every_outline_once_true_and_apart(tmp_path):
    reports = surveyed(write_step(bracket(), tmp_path / "part.step")).reports
    write_outlines(FileSurvey(reports, ()), "part", tmp_path / "out")
    assert {p.name for p in (tmp_path / "out").rglob("*")} == {
        "flat",
        "part.dxf",
        "summary.json",
        ".shellparts.json",
    }
    document = ezdxf.readfile(tmp_path / "out/flat/part.dxf")
    assert not document.audit().errors
    lines = list(document.modelspace().query("LWPOLYLINE"))
    flat = [report.outline for report in reports if report.outline is not None]
    assert len(lines) == sum(len(outline.loops) for outline in flat)
    assert all(line.closed for line in lines)
    total = 0.0
    for line in lines:
        x, y = np.array([(p.x, p.y) for p in ezpath.make_path(line).flattening(0.001)]).T
        total += float(x[:-1] @ y[1:] - y[:-1] @ x[1:]) / 2
    assert total == pytest.approx(sum(outline.flat_area_mm2 for outline in flat), rel=2e-4)
    written = json.loads((tmp_path / "out/summary.json").read_text())
    assert written["files"] == ["flat/part.dxf"]
    assert [list(face) for face in written["faces"]] == [KEYS] * len(reports)
    boxes = [stroke for stroke in outlines_drawing(reports).strokes]
    assert len(boxes) == len(lines)


def test_a_ball_gives_a_summary_and_no_drawing(tmp_path):
    reports = surveyed(write_step(cq.Workplane().sphere(10).val(), tmp_path / "ball.step")).reports
    write_outlines(FileSurvey(reports, ()), "ball", tmp_path / "out")
    assert {p.name for p in (tmp_path / "out").iterdir()} == {"summary.json", ".shellparts.json"}
    assert json.loads((tmp_path / "out/summary.json").read_text())["faces"][0]["developable"] is False


#: Damaged files in long runs: each is read in a process of its own.
DAMAGED = int(os.environ.get("SHELLPARTS_EXAMPLES", "30"))


def part_texts(folder: Path, sheets: Sequence[tuple[int, int]] = ((4, 5), (10, 12), (33, 30))) -> list[str]:
    """Files of 10 and 11 faces, and of sheets with so many rows of so many holes: up to 1,000 faces."""
    shapes = [
        cq.Workplane().cylinder(60, 20).union(cq.Workplane().box(50, 50, 5)).val(),
        cq.Workplane()
        .box(40, 40, 20)
        .union(cq.Workplane().sphere(15).translate((0, 0, 10)))
        .edges("|Z")
        .fillet(4)
        .val(),
        *(perforated(*holes) for holes in sheets),
    ]
    texts = [step_text(shape, folder) for shape in shapes]
    assert [faces_in(text) for text in texts] == [10, 11, *(6 + rows * many for rows, many in sheets)]
    return texts


def check_damaged(text: str, seed: int, folder: Path) -> str:
    """A damaged file ends in an outline, a refusal or a name for every face, or in one message."""
    path = folder / "damaged.step"
    content = damaged(text, seed)
    path.write_bytes(content)
    try:
        survey = survey_file(path)
    except ModelScriptError as error:
        assert "\n" not in str(error)
        return "refused as a whole"
    assert survey.faces == survey.laid + survey.refused + len(survey.unreadable)
    # A face whose word is damaged is missing from the text, and still named by its shell.
    assert faces_in(content.decode("latin-1")) <= survey.faces <= faces_in(text)
    assert all(one.reason for one in survey.unreadable)
    assert all((report.outline is None) == (report.reason != "") for report in survey.reports)
    return "all faces told"


def test_a_few_damaged_files(tmp_path):
    texts = part_texts(tmp_path, [(4, 5)])
    ends = {check_damaged(texts[seed % 3], seed, tmp_path) for seed in range(4)}
    assert ends == {"refused as a whole", "all faces told"}


@pytest.mark.sweep
@pytest.mark.parametrize("first", range(0, DAMAGED, 15))
def test_damaged_files(first, tmp_path):
    texts = part_texts(tmp_path)
    for seed in range(first, first + 15):
        check_damaged(texts[4 if seed % 15 == 0 else seed // 7 % 4], seed, tmp_path)


def test_brackets_nested_200000_deep_are_one_message(tmp_path):
    text = step_text(cq.Workplane().box(1, 2, 3).val(), tmp_path)
    at = text.index("(", text.index("DATA;") + 100)
    (tmp_path / "deep.step").write_text(text[:at] + "(" * 200_000 + text[at:])
    with pytest.raises(ModelScriptError, match=r"deep.step (cannot be read|holds)"):
        survey_file(tmp_path / "deep.step")


def test_faces_that_cannot_be_read_are_named_and_counted(tmp_path):
    text = step_text(perforated(2, 2), tmp_path)
    (tmp_path / "torn.step").write_text(text.replace("CYLINDRICAL_SURFACE", "CYLINDRICAL_SURFICE", 3))
    survey = survey_file(tmp_path / "torn.step")
    record = survey_record(survey)
    assert record["counts"] == {"faces": 10, "laid": 7, "refused": 0, "unreadable": 3}
    faces = {label for label in re.findall(r"(#\d+) = ADVANCED_FACE", text)}
    assert {one["entity"] for one in record["unreadable"]} <= faces
    assert [face["laid"] for face in record["faces"]] == [True] * 7


def test_a_part_used_twice_has_its_faces_once(tmp_path):
    block = cq.Workplane().box(10, 20, 30)
    assembly = cq.Assembly().add(block, name="a").add(block, name="b", loc=cq.Location((100, 0, 0)))
    assembly.export(str(tmp_path / "twice.step"))
    assert surveyed(tmp_path / "twice.step").faces == 6


def test_a_face_that_breaks_the_kernel_is_refused_and_the_others_are_laid(tmp_path, monkeypatch):
    """The child is made to die at one face, as the kernel would make it."""
    (tmp_path / "sitecustomize.py").write_text(
        "import os, sys\n"
        "write = sys.stdout.write\n"
        "def dying(line):\n"
        "    write(line)\n"
        "    if line.startswith('face 2 ') and '-m' in sys.orig_argv and sys.argv[4:] == ['']:\n"
        "        sys.stdout.flush(); os.kill(os.getpid(), 11)\n"
        "sys.stdout.write = dying\n"
    )
    monkeypatch.syspath_prepend(tmp_path)
    survey = survey_file(write_step(cq.Workplane().box(1, 2, 3).val(), tmp_path / "box.step"))
    assert (survey.laid, survey.refused, survey.faces) == (5, 1, 6)
    assert survey.reports[2].reason == "The geometry kernel broke down on this face (signal 11)."


def test_the_drawing_numbers_every_face(tmp_path):
    reports = surveyed(write_step(bracket(), tmp_path / "part.step")).reports
    write_outlines(FileSurvey(reports, ()), "part", tmp_path / "out")
    document = ezdxf.readfile(tmp_path / "out/flat/part.dxf")
    names = {text.dxf.text for text in document.modelspace().query("TEXT") if text.dxf.layer == "PIECE_NAME"}
    assert names == {str(report.index) for report in reports if report.outline is not None}
    assert {line.dxf.layer for line in document.modelspace().query("LWPOLYLINE")} == {"CUT_HERE"}


def plate(across: int) -> cq.Face:
    """A square plate of 10 mm cells, a hole of radius 3 mm in each."""
    wires = [
        cq.Wire.makeCircle(3, cq.Vector(10 * i, 10 * j, 0), cq.Vector(0, 0, 1))
        for i in range(across)
        for j in range(across)
    ]
    end = 10 * across - 5
    border = cq.Wire.makePolygon(
        [cq.Vector(x, y, 0) for x, y in ((-5, -5), (end, -5), (end, end), (-5, end))], close=True
    )
    return cq.Face.makeFromWires(border, wires)


def calls(work: Callable[[], object]) -> int:
    """How many functions are called, the kernel's and those of other libraries among them."""
    count = 0

    def counted(frame: object, event: str, argument: object) -> None:
        nonlocal count
        count += event in ("call", "c_call")

    sys.setprofile(counted)
    try:
        work()
    finally:
        sys.setprofile(None)
    return count


def test_work_grows_with_the_number_of_holes_and_no_faster():
    """From 25 holes to 100 it grows by 75 / 24 of what it grows by from 1 to 25."""

    def work(across: int) -> int:
        face = plate(across)
        return calls(lambda: outlines_drawing(unroll.survey(face)))

    work(1)  # imports
    one, few, many = (work(across) for across in (1, 5, 10))
    assert many - few < 1.1 * 75 / 24 * (few - one)


@pytest.mark.sweep
def test_a_plate_with_2000_holes(tmp_path):
    """End to end, reading and drawing included. The limit leaves room for a busy machine."""
    path = write_step(cq.Solid.extrudeLinear(plate(45), cq.Vector(0, 0, 2)), tmp_path / "plate.step")
    command = [
        sys.executable,
        "-c",
        "from shellparts.cli import main; main()",
        "unroll",
        str(path),
        "--out",
        str(tmp_path / "out"),
        "--json",
    ]
    run = subprocess.run(command, capture_output=True, text=True, timeout=120, check=True)
    faces = json.loads(run.stdout)["faces"]
    assert len(faces) == 45 * 45 + 6
    whole = [face for face in faces if face["wires"] == 45 * 45 + 1]
    assert len(whole) == 2
    for face in whole:
        assert face["flat_area_mm2"] == pytest.approx(450.0**2 - 45**2 * 9 * math.pi, rel=1e-9)


def test_a_face_that_its_shell_names_and_that_is_none_is_counted(tmp_path):
    text = step_text(perforated(2, 2), tmp_path)
    for word in ("PLANE", "FACE", "NO_FACE_AT_ALL", "ADVANCED_FACE("):
        (tmp_path / "torn.step").write_text(text.replace("ADVANCED_FACE", word, 2))
        survey = surveyed(tmp_path / "torn.step")
        assert (survey.faces, survey.laid, len(survey.unreadable)) == (10, 8, 2), word


def test_a_face_that_no_shell_names_is_counted_by_its_label(tmp_path):
    text = step_text(perforated(2, 2), tmp_path)
    shell = re.search(r"CLOSED_SHELL\('',\((#\d+),", text)
    (tmp_path / "left.step").write_text(text.replace(shell[0], "CLOSED_SHELL('',("))
    survey = surveyed(tmp_path / "left.step")
    assert (survey.faces, survey.laid) == (10, 9)
    assert [one.entity for one in survey.unreadable] == [shell[1]]


def test_a_face_that_the_reader_warns_of_is_counted_once(tmp_path):
    """A ball without its boundary is read with a warning, as a whole ball."""
    text = step_text(cq.Workplane().sphere(10).val(), tmp_path)
    bare = re.sub(r"(ADVANCED_FACE\('',\()[^)]*\)", r"\1)", text)
    assert bare != text
    (tmp_path / "bare.step").write_text(bare)
    survey = surveyed(tmp_path / "bare.step")
    assert (survey.faces, survey.refused, survey.unreadable) == (1, 1, ())


def test_nothing_of_the_users_folder_is_taken_for_a_module(tmp_path, monkeypatch):
    path = write_step(cq.Workplane().box(1, 2, 3).val(), tmp_path / "box.step")
    for name in ("pickle", "random", "numpy"):
        (tmp_path / f"{name}.py").write_text("raise SystemExit('the wrong module')")
    monkeypatch.chdir(tmp_path)
    assert survey_file(path).laid == 6


@pytest.mark.parametrize(
    ("at", "word"),
    [(4, "NAN"), *(pytest.param(*one, marks=pytest.mark.sweep) for one in ((1, "1.E400"), (7, "1.E308")))],
)
def test_a_number_that_is_none_ends_in_a_reason_for_each_face(tmp_path, at, word):
    """A vertex at infinity: whatever the kernel makes of it is a reason, never a fault of ours."""
    text = step_text(perforated(1, 2), tmp_path)
    label = list(re.finditer(r"(VERTEX_POINT\('',)(#\d+)", text))[at][2]
    (tmp_path / "far.step").write_text(
        re.sub(rf"({label} = CARTESIAN_POINT\('',\()[^,]*", rf"\g<1>{word}", text)
    )
    try:
        survey = survey_file(tmp_path / "far.step")
    except ModelScriptError as error:
        assert "far.step" in str(error)
        return
    assert survey.faces == 8
    assert not any("fault of ours" in report.reason for report in survey.reports)

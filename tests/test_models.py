"""The model scripts as things to copy: commented parameters, seen and overridden by CadQuery's script gateway."""

import ast
import re
import subprocess
import sys
from pathlib import Path

import cadquery as cq
import pytest
from cadquery import cqgi

from shellparts.base.classes import evolve
from shellparts.base.errors import ParameterError
from shellparts.build.room import Room
from shellparts.build.script import run_script, script_parameters
from shellparts.parameters.choices import CentredOn, Head, Measured, ProfileKind
from shellparts.plugin import gateway_model

MODELS = Path(__file__).parents[1] / "models"
SCRIPTS = sorted(MODELS.glob("*.py"))
IDS = [path.stem for path in SCRIPTS]
#: For each script other values of some parameters.
CHANGED = {
    "lantern_room": {"panels": 10, "across": "5 m", "height": "3.8 m"},
    "tide_dome": {"panels": 16, "across": "6 m", "height": "3.4 m"},
    "orchard_pavilion": {"panels": 12, "across": "17 ft", "height": "13 ft"},
}


def constants(path: Path) -> dict[str, str]:
    """Line of every plain constant at the top of a script, by name."""
    text = path.read_text(encoding="utf-8")
    lines = text.splitlines()
    return {
        node.targets[0].id: lines[node.lineno - 1]
        for node in ast.parse(text).body
        if isinstance(node, ast.Assign)
        and isinstance(node.value, ast.Constant)
        and isinstance(node.targets[0], ast.Name)
    }


def test_every_shipped_model_is_tested_here():
    assert set(IDS) == set(CHANGED)


@pytest.mark.parametrize("path", SCRIPTS, ids=IDS)
def test_every_parameter_has_a_comment_on_its_line(path):
    found = constants(path)
    assert len(found) >= 12
    for name, line in found.items():
        assert re.search(r"#\s*\w+", line), f"{name} has no comment"


@pytest.mark.parametrize("path", SCRIPTS, ids=IDS)
def test_the_gateway_sees_every_parameter(path):
    seen = cqgi.parse(path.read_text(encoding="utf-8")).metadata.parameters
    assert set(seen) >= set(constants(path))


@pytest.mark.parametrize("path", SCRIPTS, ids=IDS)
def test_every_parameter_is_used(path):
    """A constant that nothing reads would be a knob that turns nothing."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    read = {
        node.id for node in ast.walk(tree) if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load)
    }
    assert set(constants(path)) <= read


@pytest.mark.parametrize(
    "path", [SCRIPTS[0], *(pytest.param(path, marks=pytest.mark.sweep) for path in SCRIPTS[1:])], ids=IDS
)
def test_the_gateway_shows_every_sheet_of_the_changed_room(path):
    changed = CHANGED[path.stem]
    result = cqgi.parse(path.read_text(encoding="utf-8")).build(build_parameters=changed)
    assert result.success, result.exception
    room = run_script(path, changed)
    every = {shape.options["name"]: shape for shape in result.results}
    assert len(every) == len(result.results)
    shown = {name: shape for name, shape in every.items() if not name.endswith("_under_air")}
    sheets = {sheet.name for sheet in room.body.sheets}
    assert set(shown) == sheets
    assert set(every) - sheets == {f"{name}_under_air" for name in [*sheets, "envelope"]}
    assert sum(name.startswith("panel_") for name in shown) == changed["panels"]
    compound = cq.Compound.makeCompound([shape.shape for shape in shown.values()])
    assert compound.BoundingBox(1e-6).zmax == pytest.approx(room.body.figures.height_mm, abs=1e-3)
    area = sum(outline.face_area_mm2 for outline in room.outlines.values())
    assert compound.Area() == pytest.approx(area, rel=1e-6)
    assert all(len(shape.options["color"]) == 3 for shape in shown.values())


def other_value(parameter):
    """Another value of a parameter that means something: a word from its comment, a size with another last digit."""
    value, words = parameter.value, re.findall(r'"([a-z ]+)"', parameter.told)
    if isinstance(value, bool):
        return not value
    if words:
        return next(word for word in words if word != value)
    if isinstance(value, str):
        *_, last = re.finditer(r"(?<![a-z])\d", value)
        return f"{value[: last.start()]}{(int(last[0]) + 1) % 10}{value[last.end() :]}"
    return value + 1


def what_decides(room):
    """Everything about a room that its script says."""
    flow = None if room.fan is None else (room.fan.weak.free_air_m3_s, room.fan.outlet_area_m2)
    return repr(room.design), room.sizes, repr(room.cloth), repr(room.site), flow


CASES = [(path, one) for path in SCRIPTS for one in script_parameters(path)]


@pytest.fixture(scope="module")
def usual_rooms():
    return {path: what_decides(run_script(path, {})) for path in SCRIPTS}


@pytest.mark.parametrize(("path", "parameter"), CASES, ids=[f"{p.stem}-{one.name}" for p, one in CASES])
def test_every_parameter_changes_the_room_or_is_refused_for_what_it_is(
    path, parameter, usual_rooms, monkeypatch
):
    """Some words go with others only: a flat head has no rise, a dome is no higher than half its width.

    What correcting for the air costs is not paid here: that it is asked for is enough.
    """
    monkeypatch.setattr(
        sys.modules["shellparts.build.room"],
        "sized_under_air",
        lambda design, *_: evolve(design, title="sized"),
    )
    try:
        room = run_script(path, {parameter.name: other_value(parameter)})
    except ParameterError as error:
        assert error.what in {
            "rise of the doorway head",
            "rise of the dome above its wall",
            "relative humidity",
        }
    else:
        assert what_decides(room) != usual_rooms[path]


def test_the_comment_on_a_line_that_takes_a_word_names_all_of_them():
    for path in SCRIPTS:
        told = {one.name: f'"{one.value}" {one.told}' for one in script_parameters(path)}
        for name, kind in (
            ("profile", ProfileKind),
            ("door_head", Head),
            ("door_on", CentredOn),
            ("measured", Measured),
        ):
            for member in set(kind) - {ProfileKind.POINTS}:
                assert f'"{member.value}"' in told[name], (path.stem, name)


@pytest.mark.parametrize("path", SCRIPTS, ids=IDS)
def test_the_gateway_is_told_what_each_parameter_is(path):
    seen = gateway_model(path).metadata.parameters
    lines = constants(path)
    assert set(seen) == set(lines)
    for name, line in lines.items():
        assert seen[name].desc
        assert line.endswith(seen[name].desc)


@pytest.mark.parametrize("across", ["5000", 5000, "5 m"])
def test_the_gateway_takes_a_length_as_a_number_or_as_text(across, monkeypatch):
    """One rule: a number is millimetres, also as text. What is shown of the room is not asked for here."""
    for name in ("shapes", "inflated_shapes"):
        monkeypatch.setattr(Room, name, lambda room, **_: [])
    result = gateway_model(MODELS / "lantern_room.py").build(build_parameters={"across": across})
    assert result.success, result.exception
    assert result.env["room"].design.shell.across == 5000.0


def test_the_script_alone_starts_no_kernel():
    """A script that only describes its room is read in a moment, for the numbers-only command."""
    code = (
        "import sys\nfrom pathlib import Path\nfrom shellparts.build.script import run_script\n"
        f"for path in {[str(p) for p in SCRIPTS]!r}:\n    run_script(Path(path), {{}})\n"
        "assert not {'OCP', 'cadquery', 'vtk'} & set(sys.modules)\n"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert run.returncode == 0, run.stderr


@pytest.mark.parametrize("path", SCRIPTS, ids=IDS)
def test_a_script_with_a_refused_number_ends_in_one_message(path, tmp_path):
    text = re.sub(r"^panels = \d+", "panels = 3", path.read_text(encoding="utf-8"), flags=re.MULTILINE)
    (tmp_path / path.name).write_text(text, encoding="utf-8")
    run = subprocess.run([sys.executable, path.name], capture_output=True, text=True, cwd=tmp_path)
    assert run.returncode == 2
    (line,) = run.stderr.strip().splitlines()
    assert "panels is 3; it must be" in line
    assert [p.name for p in tmp_path.iterdir()] == [path.name]

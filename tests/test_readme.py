"""What the README says to type is true: its scripts run and make what they say, its commands are there."""

import math
import re
import runpy
import shlex
from pathlib import Path

import cadquery as cq
import ezdxf
import pytest
from click.testing import CliRunner

from shellparts import fan_from_csv, fan_from_points, laid_flat
from shellparts.build.script import run_script, script_parameters
from shellparts.cli import main
from shellparts.reference import main as reference_main

ROOT = Path(__file__).parents[1]
TEXT = (ROOT / "README.md").read_text(encoding="utf-8")
SCRIPTS = re.findall(r"^```python\n(.*?)^```", TEXT, re.M | re.S)
COMMANDS = re.findall(r"^    ((?:shellparts|python) .*)$", TEXT, re.M)
#: What takes longest, and is run by `test_whole_run` and `test_cli`: here only that the command is there.
LONG = re.compile(r"shellparts make|python story_cave\.py|shellparts check (?!.*--quick)")
EXAMPLES = ROOT / "models" / "examples"


def script(word: str) -> str:
    """The one script of the README with a word in it."""
    (found,) = (text for text in SCRIPTS if word in text)
    return text_without_docstring(found)


def text_without_docstring(text: str) -> str:
    return re.sub(r'\A""".*?"""\n+', "", text, flags=re.S).strip()


def table(header: str) -> str:
    """The lines of a table in the README."""
    (found,) = re.findall(rf"^    {re.escape(header)}\n(?:    .*\n)+", TEXT, re.M)
    return re.sub(r"^    ", "", found, flags=re.M)


@pytest.fixture
def here(tmp_path, monkeypatch):
    """An empty folder to run in."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(word: str) -> dict:
    """Names of a script of the README after it ran."""
    names: dict = {"__name__": "__main__"}
    exec(compile(script(word), "README.md", "exec"), names)
    return names


def test_a_script_that_is_told_is_the_one_in_the_folder():
    told = re.findall(r"\]\(models/examples/(\w+\.py)\)", TEXT)
    assert sorted(set(told)) == sorted(path.name for path in EXAMPLES.glob("*.py"))
    bodies = {text_without_docstring((EXAMPLES / name).read_text(encoding="utf-8")) for name in told}
    assert len(bodies & {text.strip() for text in SCRIPTS}) == len(told) - 1  # of one only the fan is shown


def test_a_window_is_cut_from_the_air_and_from_the_panel(here):
    """The wall stands at the half width times cos(pi/8); by hand."""
    names = run("window = ")
    deep, round_ = 1500 * math.cos(math.pi / 8) - 1200, math.pi * 150**2
    air = cq.importers.importStep(str(here / "porch_with_window.step"))
    assert air.solids().size() == 1
    whole = names["room"].envelope.Volume()
    assert whole - air.val().Volume() == pytest.approx(deep * round_, rel=1e-4)
    (left,) = names["panel"].faces().vals()
    assert names["room"].sheet("panel_03").Area() - left.Area() == pytest.approx(round_, rel=1e-6)
    (hole,) = ezdxf.readfile(here / "panel_with_window.dxf").modelspace().query("CIRCLE")
    assert (hole.dxf.radius, *hole.dxf.center) == pytest.approx((150, 0, 800, 0), abs=1e-6)
    laid = names["room"].sheet("panel_03").cut(names["window"])  # the same hole from the solid
    assert sum(face.Area() for face in laid_flat(laid)) == pytest.approx(left.Area(), rel=1e-6)


def test_a_cone_is_laid_flat_as_a_sector_of_a_ring(here, capsys):
    """Its slant height between radii 600 and 150, by hand."""
    names = run("makeCone")
    slant = math.hypot(450, 900)
    area = math.pi * 750 * slant
    assert names["side"].Area() == pytest.approx(area, rel=1e-9)
    assert f"{area / 1e6:.3f} m2" in capsys.readouterr().out
    radii = {round(one.dxf.radius, 3) for one in ezdxf.readfile(here / "hood.dxf").modelspace().query("ARC")}
    assert radii == {round(slant * 600 / 450, 3), round(slant * 150 / 450, 3)}


def test_the_fan_that_is_told_is_that_of_the_bell_and_a_table_will_do(here):
    fan = run("fan_from_points")["fan"]
    room = run_script(EXAMPLES / "story_bell.py", {})
    assert repr(room.fan) == repr(fan)
    assert room.design.shell.reference.radius_at(1200.0) == pytest.approx(2100)
    (here / "my_fan.csv").write_text(table("flow [cfm],pressure [in wg]"))
    (call,) = re.findall(r"`(fan_from_csv\([^`]*\))`", TEXT)
    tabled = eval(call, {"fan_from_csv": fan_from_csv})
    by_hand = fan_from_points("my_fan", [0, 2000 * 0.3048**3 / 60], [0.22 * 249.089, 0], 400)
    assert tabled.weak.free_air_m3_s == pytest.approx(by_hand.weak.free_air_m3_s)
    assert tabled.weak.shut_off_Pa == pytest.approx(by_hand.weak.shut_off_Pa, rel=1e-4)


def test_the_model_fits_the_printer_and_the_prints_the_roll(here):
    names = run("Printer(")
    assert names["design"].printing.roll_width == pytest.approx(36 * 25.4)
    parts = names["room"].scale_model().parts
    assert parts
    assert all(
        side <= limit for part in parts for side, limit in zip(part.size_mm, (220, 220, 250), strict=True)
    )


def test_what_a_room_hands_out_is_what_the_comments_say(here):
    names = run("room.envelope  #")
    lines = [line for line in script("room.envelope  #").splitlines() if "#" in line]
    found = [eval(line.partition("#")[0], names) for line in lines]
    kinds = (cq.Solid, (cq.Face, cq.Shell), cq.Sketch, list, dict, tuple)
    assert len(found) == len(kinds)
    for one, kind in zip(found, kinds, strict=True):
        assert isinstance(one, kind)


def context(command: str):
    """What the command line makes of a command, without doing it."""
    program, *words = shlex.split(command)
    if program == "python":
        assert words[:2] == ["-m", "shellparts.reference"] or words == ["story_cave.py"]
        return None
    if words[0].startswith("-"):
        return CliRunner().invoke(main, words).exit_code == 0
    return main.commands[words[0]].make_context(words[0], words[1:])


def test_every_command_is_there_and_takes_what_it_is_given(here):
    assert len(COMMANDS) >= 9
    for command in COMMANDS:
        assert context(command) is not False, command
    found = re.findall(r"`(?:shellparts )?(?:make|check|new|unroll)? ?(--[a-z]+)", TEXT)
    known = {name for one in main.commands.values() for option in one.params for name in option.opts}
    assert set(found) <= known | {"--help"}


def test_the_walk_begins_with_a_room_that_is_there(here):
    (first,) = (one for one in COMMANDS if one.startswith("shellparts new"))
    done = CliRunner().invoke(main, shlex.split(first)[1:])
    assert done.exit_code == 0, done.output
    room = run_script(here / "story_cave.py", {"ballast": 40, "children": 12})
    assert room.design.name == "story_cave"
    assert "some forty numbers" in TEXT
    assert abs(len(script_parameters(here / "story_cave.py")) - 40) < 5


@pytest.mark.sweep
def test_every_other_command_is_done_in_its_order(here):
    cq.exporters.export(cq.Workplane().cylinder(20, 5), str(here / "part.step"))
    (here / "readings.csv").write_text(table("what,value,speed,opening"))
    for command in COMMANDS:
        if LONG.search(command):
            continue
        program, *words = shlex.split(command)
        done = CliRunner().invoke(
            *((main, words) if program == "shellparts" else (reference_main, words[2:]))
        )
        assert done.exit_code == 0, (command, done.output)
        assert done.output
    assert (here / "flat_part/flat/part.dxf").is_file()


@pytest.mark.sweep
def test_five_sizes_are_told_side_by_side(here, capsys):
    runpy.run_path(str(EXAMPLES / "compare_sizes.py"), run_name="__main__")
    head, *rows = capsys.readouterr().out.splitlines()
    assert head.split() == ["across", "floor", "people", "sewing", "fails"]
    floors = [float(re.search(r"([\d.]+) m2", row)[1]) for row in rows]
    for row, floor in zip(rows, floors, strict=True):  # a regular polygon of ten sides, and the tunnel
        across = float(row.split()[0])
        assert floor == pytest.approx(10 / 8 * across**2 * math.sin(math.pi / 5) + 0.95 * 1.2, abs=0.051)
    assert len(rows) == 5


def test_every_file_that_is_linked_is_there():
    links = {one for one in re.findall(r"\]\(([^)#]+)\)", TEXT) if not one.startswith("http")}
    assert links
    assert [one for one in sorted(links) if not (ROOT / one).exists()] == []

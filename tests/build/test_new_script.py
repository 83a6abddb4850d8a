"""A script of one's own: begun from any shipped one, it runs; names are checked; nothing is overwritten."""

import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from shellparts.base.errors import ModelScriptError, ParameterError, ShellpartsError
from shellparts.build.new_script import new_script, shipped_scripts
from shellparts.build.script import run_script, script_parameters
from shellparts.cli import main

MODELS = Path(__file__).parents[2] / "models"


def test_every_shipped_script_can_be_begun_from():
    assert shipped_scripts() == {path.stem: path for path in sorted(MODELS.glob("*.py"))}


@pytest.mark.parametrize("like", sorted(path.stem for path in MODELS.glob("*.py")))
def test_a_new_script_runs_and_differs_in_its_name_only(tmp_path, like):
    path = new_script("reading_cave", like, tmp_path)
    assert path == tmp_path / "reading_cave.py"
    assert script_parameters(path) == script_parameters(MODELS / f"{like}.py")
    mine, theirs = (
        run_script(path, {"panels": 11}).design,
        run_script(MODELS / f"{like}.py", {"panels": 11}).design,
    )
    assert (mine.name, mine.title) == ("reading_cave", "a room of our own")
    assert (mine.shell, mine.openings, mine.flap) == (theirs.shell, theirs.openings, theirs.flap)
    text = path.read_text(encoding="utf-8")
    assert text.startswith('"""Reading cave: a room of your own, like ')
    assert "python reading_cave.py" in text
    again = new_script("second", str(path), tmp_path)
    assert run_script(again, {}).design.name == "second"
    assert like not in again.read_text(encoding="utf-8")


def test_text_that_is_not_ascii_and_names_in_one_line_are_copied(tmp_path):
    (tmp_path / "old.py").write_bytes(
        "\ufeff# für Möwen\nfrom shellparts import Design, Shell, build\r\n"
        "room = build(Design(title='für Möwen', name='old', shell=Shell(panels=6, across=3000, height=2400)))\n".encode()
    )
    path = new_script("gulls", str(tmp_path / "old.py"), tmp_path)
    assert run_script(path, {}).design.name == "gulls"
    assert "# für Möwen\nfrom" in path.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("name", "like", "kind", "message"),
    [
        ("Cave", "lantern_room", ParameterError, r"^name of the script is 'Cave'; .*Remedy: write it like"),
        ("my cave", "lantern_room", ParameterError, r"^name of the script is 'my cave'"),
        ("../cave", "lantern_room", ParameterError, r"^name of the script is '../cave'"),
        ("class", "lantern_room", ParameterError, r"^name of the script is 'class'; .*no word of Python"),
        ("shellparts", "lantern_room", ParameterError, r"it must be a name that no installed module has"),
        ("random", "lantern_room", ParameterError, r"Remedy: the script would hide it; take my_random"),
        (
            "cave",
            "lantern",
            ParameterError,
            r"^name of the model is 'lantern'; .*did you mean 'lantern_room'",
        ),
        ("cave", "nowhere.py", ModelScriptError, r"nowhere.py cannot be copied: No such file"),
        ("cave", "notes.py", ModelScriptError, r"notes.py cannot be copied: it makes 0 designs"),
        ("cave", "broken.py", ModelScriptError, r"broken.py cannot be copied: "),
        ("taken", "lantern_room", ModelScriptError, r"taken.py is there already, and nothing is overwritten"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(tmp_path, monkeypatch, name, like, kind, message):
    monkeypatch.chdir(tmp_path)
    for file, text in (("notes.py", "x = 1\n"), ("broken.py", "x = (\n"), ("taken.py", "mine\n")):
        Path(file).write_text(text)
    with pytest.raises(kind, match=message) as caught:
        new_script(name, like)
    assert isinstance(caught.value, ShellpartsError)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["broken.py", "notes.py", "taken.py"]
    assert Path("taken.py").read_text() == "mine\n"


def test_the_command_says_what_to_do_next(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    run = CliRunner().invoke(main, ["new", "reading_cave", "--like", "tide_dome"])
    assert run.exit_code == 0, run.output
    assert run.output == (
        "written: reading_cave.py, like tide_dome. Change its numbers, then run it: python reading_cave.py\n"
    )
    assert CliRunner().invoke(main, ["new", "reading_cave"]).exit_code == 2
    assert "reading_cave" not in sys.modules

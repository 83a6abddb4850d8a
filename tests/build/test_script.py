"""Model scripts: what counts as a parameter, how it is overridden, and what is said when one goes wrong."""

import subprocess
import sys
from pathlib import Path

import pytest

from shellparts.base.errors import ModelScriptError, ParameterError, Terminated
from shellparts.build.script import parse_overrides, run_script

SCRIPT = """
from shellparts import Design, Shell, build

panels = 8
across = "3 m"
height = 2400
tilt = -3
smooth = False
nothing = None
pair = (1, 2)
noted: int = 7
later: int
design = Design(name="bare", shell=Shell(panels=panels, across=across, height=height))
room = build(design)
"""


def script(folder: Path, text: str = SCRIPT) -> Path:
    path = folder / "model.py"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("word", "expected"),
    [
        ("panels=14", 14),
        ("across=4800.5", 4800.5),
        ("across=-3", -3),
        ("across=1e3", 1000.0),
        ("across=5 m", "5 m"),
        ("across='5 m'", "5 m"),
        ("across=14 ft 6 1/2 in", "14 ft 6 1/2 in"),
        ("smooth=True", True),
        ("smooth=true", "true"),
        ("vent=None", None),
        ("a=b=c", "b=c"),
        ("name=", ""),
        ("x=[1, 2]", "[1, 2]"),
        ("x=__import__('os')", "__import__('os')"),
    ],
)
def test_a_word_is_a_number_where_it_is_one_and_text_elsewhere(word, expected):
    (value,) = parse_overrides([word]).values()
    assert value == expected
    assert type(value) is type(expected)


@pytest.mark.parametrize("word", ["panels", "=3", "2panels=3", "pan els=3", "--out", ""])
def test_what_is_no_assignment_is_refused(word):
    with pytest.raises(ModelScriptError, match=r"not of the form name=value, such as panels=14"):
        parse_overrides([word])


def test_a_script_runs_as_it_stands(tmp_path):
    room = run_script(script(tmp_path), {})
    assert (room.design.shell.panels, room.design.shell.across, room.design.shell.height) == (
        8,
        3000.0,
        2400.0,
    )


def test_overrides_take_the_place_of_constants(tmp_path):
    room = run_script(
        script(tmp_path), {"panels": 10, "across": "12 ft", "height": 3000, "tilt": 2, "smooth": True}
    )
    assert room.design.shell.panels == 10
    assert room.design.shell.across == pytest.approx(12 * 304.8)
    assert room.design.shell.height == 3000


@pytest.mark.parametrize("name", ["panel", "design", "pair", "later", "__name__"])
def test_an_unknown_parameter_is_told_with_all_that_exist(tmp_path, name):
    with pytest.raises(
        ModelScriptError,
        match=rf"model.py has no parameter '{name}'. Its parameters are: panels, across, height, tilt, smooth, nothing",
    ):
        run_script(script(tmp_path), {name: 3})


@pytest.mark.parametrize(
    ("name", "meant"),
    [("panel", "panels"), ("hight", "height"), ("acros", "across"), ("shell_height", "height")],
)
def test_a_name_that_is_nearly_right_is_guessed(tmp_path, name, meant):
    with pytest.raises(ModelScriptError, match=rf"Did you mean '{meant}'\?$"):
        run_script(script(tmp_path), {name: 3})


def test_a_name_like_none_is_not_guessed(tmp_path):
    with pytest.raises(ModelScriptError, match=r"nothing, noted\.$"):
        run_script(script(tmp_path), {"zzz": 3})


def test_a_bare_number_that_would_do_in_metres_is_asked_about(tmp_path):
    with pytest.raises(
        ParameterError, match=r"height is 3\.6 mm; .*did you mean '3\.6 m'\? Otherwise choose"
    ):
        run_script(script(tmp_path), {"height": 3.6})
    with pytest.raises(ParameterError) as refused:
        run_script(script(tmp_path), {"height": 19})  # 19 m is no height either
    assert "did you mean" not in str(refused.value)


def test_a_file_of_another_kind_is_no_model_script(tmp_path):
    (tmp_path / "README.md").write_text("# A title\n\nSome words.\n")
    with pytest.raises(
        ModelScriptError, match=r"README.md is not a model script\. Give one of those in models/"
    ):
        run_script(tmp_path / "README.md", {})


def test_a_refused_value_keeps_its_message(tmp_path):
    with pytest.raises(ParameterError, match=r"panels is 3.*at least 5|panels is 3.*5 to 64"):
        run_script(script(tmp_path), {"panels": 3})


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("x = 1\n1 / 0\n", r"model.py, line 2: ZeroDivisionError: division by zero"),
        ("def f():\n    return missing\n\nf()\n", r"model.py, line 2: NameError: name 'missing'"),
        ("import shellparts_of_nobody\n", r"line 1: ModuleNotFoundError"),
        ("x = (\n", r"model.py, line 1: "),
        ("x = 1\nreturn\n", r"model.py, line 2: 'return' outside function\.$"),
        (
            "\nimport sys\nsys.exit(0)\n",
            r"model.py, line 3: the script ends here, with exit\(0\), before it made a room",
        ),
        ("import sys\nsys.exit('bye')\n", r"model.py, line 2: the script ends here, with exit\('bye'\)"),
        ("import sys\nsys.exit()\n", r"model.py, line 2: the script ends here, with exit\(\)"),
        ("raise SystemExit\n", r"model.py, line 1: the script ends here"),
        ("def f():\n    quit()\n\nf()\n", r"model.py, line 2: the script ends here"),
        ("class Own(BaseException):\n    pass\n\nraise Own\n", r"model.py, line 4: Own\.$"),
        ("def f():\n    f()\n\nf()\n", r"model.py, line 2: RecursionError"),
        ("open('nowhere')\n", r"model.py, line 1: FileNotFoundError: .*nowhere"),
        ("x = " + "(" * 500 + "1" + ")" * 500 + "\n", r"model.py"),
        ("x = " + "-" * 100_000 + "1\n", r"model.py"),
        ("x = 1\n", r"model.py makes 0 rooms; a model script makes one: room = build\(design\)"),
        (SCRIPT + "other = build(design)\n", r"model.py makes 2 rooms"),
    ],
)
def test_a_script_that_goes_wrong_is_told_by_line(tmp_path, text, message):
    with pytest.raises(ModelScriptError, match=message):
        run_script(script(tmp_path, text), {})


def test_a_room_with_two_names_is_one_room(tmp_path):
    assert run_script(script(tmp_path, SCRIPT + "same = room\n"), {}).design.name == "bare"


@pytest.mark.parametrize("content", [b"\xff\xfe\x00", b"x = 1\x00\n", b"\x89PNG\r\n\x1a\n"])
def test_a_file_that_is_no_script_is_told(tmp_path, content):
    (tmp_path / "model.py").write_bytes(content)
    with pytest.raises(ModelScriptError, match=r"model.py"):
        run_script(tmp_path / "model.py", {})


def test_a_missing_file_and_a_folder_are_told(tmp_path):
    with pytest.raises(ModelScriptError, match=r"nowhere.py cannot be read: No such file"):
        run_script(tmp_path / "nowhere.py", {})
    with pytest.raises(ModelScriptError, match=r"cannot be read: Is a directory|Permission denied"):
        run_script(tmp_path, {})


def test_a_script_may_import_what_lies_beside_it_and_leaves_the_path_alone(tmp_path):
    (tmp_path / "my_sizes_of_this_test.py").write_text("PANELS = 9\n")
    before = list(sys.path)
    text = "import my_sizes_of_this_test\n" + SCRIPT.replace(
        "panels=panels", "panels=my_sizes_of_this_test.PANELS"
    )
    try:
        assert run_script(script(tmp_path, text), {}).design.shell.panels == 9
    finally:
        sys.modules.pop("my_sizes_of_this_test", None)
    assert sys.path == before


def test_the_main_block_does_not_run(tmp_path):
    text = SCRIPT + 'if __name__ == "__main__":\n    raise RuntimeError\n'
    assert run_script(script(tmp_path, text), {}).design.name == "bare"


@pytest.mark.parametrize(
    ("start", "encoding"),
    [
        ("", "utf-8-sig"),
        ("# -*- coding: latin-1 -*-\n", "latin-1"),
        ("# coding: cp1252\n", "cp1252"),
        ("", "utf-8"),
    ],
)
@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
def test_a_script_is_read_in_the_encoding_that_it_says(tmp_path, start, encoding, line_end):
    text = start + SCRIPT.replace('name="bare"', 'name="bare", title="für Möwen"')
    (tmp_path / "model.py").write_bytes(text.replace("\n", line_end).encode(encoding))
    room = run_script(tmp_path / "model.py", {"panels": 9})
    assert (room.design.title, room.design.shell.panels) == ("für Möwen", 9)


def test_an_encoding_that_is_not_kept_to_is_told(tmp_path):
    for start, said in (("", "utf-8"), ("# coding: no-such\n", "no-such")):
        (tmp_path / "model.py").write_bytes(start.encode() + "title = 'für Möwen'\n".encode("latin-1"))
        with pytest.raises(ModelScriptError, match=rf"model.py, line \d+: .*{said}"):
            run_script(tmp_path / "model.py", {})


def test_a_constant_with_its_type_is_a_parameter_too(tmp_path):
    text = SCRIPT.replace("panels = 8", "panels: int = 8").replace("tilt = -3", "tilt: float = -3")
    room = run_script(script(tmp_path, text), {"panels": 11, "tilt": 4})
    assert room.design.shell.panels == 11


@pytest.mark.parametrize("words", [["panels=8", "panels=9"], ["a=1", "panels=8", "b=2", "panels=8"]])
def test_a_parameter_that_is_given_twice_is_refused(words):
    with pytest.raises(ModelScriptError, match=r"panels is given twice: 8 and [89]\. Give it once"):
        parse_overrides(words)


def test_ctrl_c_and_the_end_by_the_system_are_no_faults_of_a_script(tmp_path):
    for text, kind in (
        ("raise KeyboardInterrupt\n", KeyboardInterrupt),
        ("from shellparts.base.errors import Terminated\nraise Terminated(15)\n", Terminated),
    ):
        with pytest.raises(kind):
            run_script(script(tmp_path, text), {})


@pytest.mark.parametrize("files", [True, False])
def test_what_a_script_prints_goes_to_standard_error(tmp_path, files):
    """Also by another program, and where the script changed the stream; only Python's own where there are no files."""
    text = (
        "import io, os, sys\nprint('printed')\n"
        + "os.system('echo echoed')\nsys.stdout = io.TextIOWrapper(sys.stdout.buffer, 'utf-8')\n" * files
        + "sys.stdout.write('no end')\n"
        + SCRIPT
    )
    code = (
        "import io, sys\nfrom pathlib import Path\nfrom shellparts.build.script import run_script\n"
        + "sys.stdout = io.StringIO()\n" * (not files)
        + f"print(run_script(Path({str(script(tmp_path, text))!r}), {{}}).design.name)\n"
        + "sys.__stdout__.write(sys.stdout.getvalue())\n" * (not files)
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert run.stdout == "bare\n"
    assert sorted(run.stderr.split("\n")) == ["echoed"] * files + ["no end", "printed"]

"""Model scripts: what counts as a parameter, how it is overridden, and what is said when one goes wrong."""

import sys
from pathlib import Path

import pytest

from shellparts.errors import ModelScriptError, ParameterError
from shellparts.script import parse_overrides, run_script

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


@pytest.mark.parametrize("name", ["panel", "design", "pair", "noted", "__name__"])
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
    with pytest.raises(ModelScriptError, match=r"nothing\.$"):
        run_script(script(tmp_path), {"zzz": 3})


def test_a_bare_number_that_would_do_in_metres_is_asked_about(tmp_path):
    with pytest.raises(
        ParameterError, match=r"height is 3\.600 mm; .*did you mean '3\.6 m'\? Otherwise choose"
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

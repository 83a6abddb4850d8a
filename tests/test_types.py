"""A script with mistakes planted in it: what type checkers find, what the library tells, each at its line."""

import ast
import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

import shellparts
from shellparts.base.errors import ShellpartsError

ROOT = Path(__file__).parents[1]
#: What readers copy: nobody may find anything there.
RIGHT = sorted(path for folder in ("models", "models/examples") for path in (ROOT / folder).glob("*.py"))
SCRIPT = Path(__file__).parent / "planted_mistakes.py"
LINES = SCRIPT.read_text(encoding="utf-8").splitlines()
TREE = ast.parse(SCRIPT.read_text(encoding="utf-8"))
MARKS = {
    node.lineno: set(re.findall(r"\w+", LINES[(node.end_lineno or 1) - 1].partition("#")[2]))
    for node in TREE.body
}
FROM_HERE = {**os.environ, "PYTHONPATH": str(ROOT), "MYPYPATH": str(ROOT)}


def marked(word: str) -> set[int]:
    return {line for line, words in MARKS.items() if word in words}


def statement(line: int) -> int:
    """Where the statement begins that a line belongs to."""
    return max(first for first in MARKS if first <= line)


def test_there_are_enough_mistakes():
    assert len(marked("types")) >= 12
    assert len(marked("told")) >= 12
    assert set().union(*MARKS.values()) == {"types", "editor", "told"}


#: A word kept in a plain name is any text to mypy, though not to the checker of editors; the gateway that reads the
#: scripts' parameters sees no name that is annotated as final.
WORD_IN_A_NAME = re.compile(r'incompatible type "str"; expected ".*Literal\[\'')


def test_mypy_finds_every_mistake_of_types_at_its_line():
    command = [sys.executable, "-m", "mypy", "--no-error-summary", str(SCRIPT), *map(str, RIGHT)]
    run = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, env=FROM_HERE)
    elsewhere = re.findall(r"^(?:models|examples)/.*: error: .*", run.stdout, re.M)
    assert [one for one in elsewhere if not WORD_IN_A_NAME.search(one)] == []
    found = re.findall(r"planted_mistakes\.py:(\d+): error", run.stdout)
    assert {statement(int(line)) for line in found} == marked("types"), run.stdout + run.stderr


def test_pyright_finds_every_mistake_of_types_at_its_line(tmp_path):
    """The checker that editors use, in a build that needs no network."""
    config = {
        "include": [str(SCRIPT), *map(str, RIGHT)],
        "extraPaths": [str(ROOT)],
        "typeCheckingMode": "standard",
    }
    (tmp_path / "pyrightconfig.json").write_text(json.dumps(config))
    command = [
        sys.executable,
        "-m",
        "basedpyright",
        "--outputjson",
        "--pythonpath",
        sys.executable,
        "-p",
        str(tmp_path),
    ]
    run = subprocess.run(command, capture_output=True, text=True)
    report = json.loads(run.stdout)["generalDiagnostics"]
    errors = [one for one in report if one["severity"] == "error"]
    assert {one["file"] for one in errors} == {str(SCRIPT)}
    found = {statement(one["range"]["start"]["line"] + 1) for one in errors}
    assert found == marked("types") | marked("editor"), run.stdout


@pytest.fixture(scope="module")
def names() -> dict[str, object]:
    """What the statements without a mark define."""
    right = ast.Module([node for node in TREE.body if not MARKS[node.lineno]], [])
    defined: dict[str, object] = {"__name__": "planted"}
    exec(compile(right, str(SCRIPT), "exec"), defined)
    return defined


@pytest.mark.parametrize("line", sorted(marked("told")), ids=lambda line: LINES[line - 1].partition("  #")[0])
def test_the_library_tells_what_is_wrong(names, line, tmp_path, monkeypatch):
    """In one sentence of its own: which value, its limit, what to do."""
    monkeypatch.chdir(tmp_path)
    (node,) = (node for node in TREE.body if node.lineno == line)
    with pytest.raises(ShellpartsError) as caught:
        exec(compile(ast.Module([node], []), str(SCRIPT), "exec"), dict(names))
    assert re.search(r"is .*; it must be .*Remedy: |^\S.*\bshape\b", str(caught.value)), str(caught.value)
    assert re.search(r"[^.?!…][.?!…]$", str(caught.value)), str(caught.value)
    assert list(tmp_path.iterdir()) == []


def test_every_public_name_is_there_and_shown():
    assert set(shellparts.__all__) <= set(dir(shellparts))
    assert list(shellparts.__all__) == sorted(set(shellparts.__all__))
    for name in shellparts.__all__:
        assert getattr(shellparts, name) is not None
    with pytest.raises(AttributeError, match="Sleve"):
        shellparts.Sleve  # noqa: B018


def test_the_package_runs_as_a_module():
    run = subprocess.run(
        [sys.executable, "-m", "shellparts", "--version"], capture_output=True, text=True, cwd=ROOT
    )
    assert run.stdout == f"shellparts, version {shellparts.__version__}\n"

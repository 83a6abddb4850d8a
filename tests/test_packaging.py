"""What is handed out: a wheel that has all it needs, and a source archive whose own tests run."""

import email
import os
import re
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
pytestmark = pytest.mark.sweep


def python(*words: str | Path, cwd: Path, path: Path | None = None) -> str:
    env = {**os.environ} | ({"PYTHONPATH": f"{path}{os.pathsep}{path / 'tests'}"} if path else {})
    run = subprocess.run([sys.executable, *map(str, words)], capture_output=True, text=True, cwd=cwd, env=env)
    assert run.returncode == 0, run.stdout + run.stderr
    return run.stdout


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """The source archive of this checkout, the wheel that is built from it, both unpacked."""
    out = tmp_path_factory.mktemp("built")
    python("-m", "build", "--no-isolation", "-o", out / "dist", ROOT, cwd=out)
    (source,), (wheel,) = (out / "dist").glob("*.tar.gz"), (out / "dist").glob("*.whl")
    with tarfile.open(source) as archive:
        archive.extractall(out / "source", filter="data")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(out / "wheel")
    (unpacked,) = (out / "source").iterdir()
    return out, unpacked, out / "wheel"


def modules(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*.py*") if path.suffix != ".pyc"}


def test_the_wheel_holds_the_package_its_types_and_the_model_scripts(built):
    _, _, wheel = built
    found = modules(wheel)
    assert {f"shellparts/{name}" for name in modules(ROOT / "shellparts")} <= found
    assert {f"shellparts/models/{path.name}" for path in (ROOT / "models").glob("*.py")} <= found
    assert (wheel / "shellparts/py.typed").is_file()
    assert {one.split("/")[0] for one in found} == {"shellparts"}


def test_a_script_begun_from_the_wheel_runs(built, tmp_path):
    _, _, wheel = built
    python("-m", "shellparts", "new", "cave", "--like", "tide_dome", cwd=tmp_path, path=wheel)
    where = python("-c", "import shellparts; print(shellparts.__file__)", cwd=tmp_path, path=wheel)
    assert str(wheel) in where
    assert "a room of our own" in python("-m", "shellparts", "check", "cave.py", cwd=tmp_path, path=wheel)


IN_A_NOTEBOOK = """
from pathlib import Path
from shellparts import gateway_model
from shellparts.build.script import run_script
room = run_script(Path("porch.py"), {"panels": 10})
print("figcaption" in room._repr_html_())
done = gateway_model("porch.py").build({"across": 5000, "panels": 10})
panels = [one for one in done.results if one.options["name"].startswith("panel_") and "air" not in one.options["name"]]
print(done.success, len(panels))
"""


def test_a_notebook_and_the_script_gateway_work_from_the_wheel(built, tmp_path):
    """Plain numbers for lengths, in a folder that holds nothing else."""
    _, _, wheel = built
    python("-m", "shellparts", "new", "porch", cwd=tmp_path, path=wheel)
    assert python("-c", IN_A_NOTEBOOK, cwd=tmp_path, path=wheel).split() == ["True", "True", "10"]


def test_the_tests_of_the_source_archive_run_from_it(built):
    _, source, _ = built
    assert {path.name for path in ROOT.glob("tests/**/*.py")} == {
        path.name for path in source.glob("tests/**/*.py")
    }
    told = python(
        "-m", "pytest", "-n", "0", "tests/base", "tests/build/test_new_script.py", cwd=source, path=source
    )
    assert re.search(r"\[100%\]", told)


def test_its_description_needs_nothing_beside_it(built):
    """No picture, and no link but to addresses."""
    _, _, wheel = built
    (record,) = wheel.glob("*.dist-info/METADATA")
    about = email.message_from_string(record.read_text(encoding="utf-8"))
    text = about.get_payload()
    assert "## Two commands" in text
    assert "![" not in text
    assert not re.search(r"\]\((?!https?:)", text)
    assert about.get_all("Classifier")
    assert not {"Author", "Author-email", "Home-page", "Project-URL"} & set(about.keys())

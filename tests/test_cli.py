"""The command line as a user meets it: in a process of its own, by its exit status and what it prints where."""

import json
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import cadquery as cq
import pytest

from shellparts.base.errors import Terminated
from shellparts.build.manifest import MANIFEST
from shellparts.build.output import replaced_folder
from shellparts.cli import _guarded, main

ROOT = Path(__file__).parents[1]
LANTERN = ROOT / "models" / "lantern_room.py"
BARE = """
from shellparts import Design, Shell, build, main_for, plain_errors

panels = 6
across = "3 m"
with plain_errors(__name__):
    design = Design(name="bare", shell=Shell(panels=panels, across=across, height=2400))
    room = build(design)

if __name__ == "__main__":
    main_for(room)
"""
MAKE = ("make", "bare.py", "panels=8", "across=10 ft 6 in", "--out", "out put")
FILES = {
    "summary.json", "solids/bare.step", "model/bare_1-20_shell.stl", "model/bare_1-20.3mf", "flat/bare.dxf", "flat/panel.svg", "flat/cap.svg",
    "tables/pieces.csv", "tables/seams.csv", "tables/stations.csv",
}  # fmt: skip


posix = pytest.mark.skipif(os.name != "posix", reason="needs the signals of POSIX")


def heed_ctrl_c() -> None:
    """Where the tests run in the background of a shell, Ctrl-C is ignored, and so it would be in what they start."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def shellparts(*words: str | Path, cwd: Path, **more) -> subprocess.CompletedProcess:
    command = [sys.executable, "-c", "from shellparts.cli import main; main()", *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, cwd=cwd, timeout=120, **more)


def here(*words: str) -> int:
    """Exit status of the command in this process: quicker, where no process of its own is what is asked for."""
    with pytest.raises(SystemExit) as ended:
        main(list(words))
    assert isinstance(ended.value.code, int)
    return ended.value.code


def everything(folder: Path) -> dict[str, bytes]:
    """Every file by name, but for manifests."""
    files = (p for p in folder.rglob("*") if p.is_file())
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in files if p.name != MANIFEST}


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A folder with a small model and a first result of it, with parameters changed, in ``out put``."""
    folder = tmp_path_factory.mktemp("made")
    (folder / "bare.py").write_text(BARE)
    run = shellparts(*MAKE, cwd=folder)
    assert run.returncode == 0, run.stderr
    return folder, run


def test_the_command_is_installed():
    scripts = Path(sys.executable).parent
    run = subprocess.run([scripts / "shellparts", "--version"], capture_output=True, text=True, check=True)
    assert "0.1" in run.stdout


# Done: 0


def test_make_writes_everything_and_says_where(made):
    folder, run = made
    files = everything(folder / "out put")
    assert set(files) >= FILES
    record = json.loads(files["summary.json"])
    assert set(record["files"]) | {"summary.json"} == set(files)
    assert "written to out put/" in run.stdout
    told = run.stdout.partition("written to")[2]
    assert [top for top in {name.partition("/")[0] for name in files} if top not in told] == []
    assert set(re.findall(r"^  (\S+)", told, re.M)) <= {
        name.partition("/")[0] + "/" * ("/" in name) for name in files
    }, "nothing is named that is not there"
    assert run.stderr == "", "a bar is for somebody who watches"
    assert sorted(p.name for p in folder.iterdir()) == ["bare.py", "out put"]


def test_overrides_reach_the_design(made):
    """A number, and a length in feet and inches with spaces."""
    folder, _ = made
    shell = json.loads((folder / "out put/summary.json").read_text())["parameters"]["shell"]
    assert shell["panels"] == 8
    assert shell["across_mm"] == pytest.approx(126 * 25.4)


def test_check_and_unroll_print_one_json_object_and_nothing_else(tmp_path):
    (tmp_path / "bare.py").write_text(BARE)
    cq.exporters.export(cq.Workplane().cylinder(20, 5), str(tmp_path / "pin.step"))
    for words in (["check", "bare.py", "panels=7", "--json"], ["unroll", "pin.step", "--json"]):
        run = shellparts(*words, cwd=tmp_path)
        assert run.returncode == 0, run.stderr
        assert isinstance(json.loads(run.stdout), dict)
        assert run.stderr == ""
    faces = json.loads(run.stdout)["faces"]
    assert [face["surface"] for face in faces].count("cylinder") == 1
    assert sorted(p.name for p in tmp_path.iterdir()) == ["bare.py", "pin.step"]


def test_unroll_for_people_names_every_face_and_the_folder(tmp_path):
    half_ball = cq.Solid.makeSphere(5, angleDegrees1=0)
    cq.exporters.export(half_ball, str(tmp_path / "cup.step"))
    run = shellparts("unroll", "cup.step", "--out", "flat", cwd=tmp_path)
    assert run.returncode == 0, run.stderr
    assert "not laid flat" in run.stdout
    assert "1 of 2 faces laid flat, 1 refused; written to flat" in run.stdout
    assert (tmp_path / "flat/flat/cup.dxf").is_file()


# The input is wrong: 2, one message, no traceback, nothing written


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["make", "bare.py", "panels=3"], r"panels is 3; it must be .*5.*Remedy: "),
        (["make", "bare.py", "across=400 m"], r"is 400000 mm.*; it must be .*m.*Remedy: "),
        (["make", "bare.py", "across=5 kg"], r"'5 kg'; it must be .*unit of length.*Remedy: "),
        (
            ["make", "bare.py", "panel=8"],
            r"bare.py has no parameter 'panel'. Its parameters are: panels, across",
        ),
        (["make", "bare.py", "panels"], r"'panels' is not of the form name=value"),
        (["make", "nowhere.py"], r"nowhere.py cannot be read: No such file"),
        (["check", "bare.py", "panels=3", "--json"], r"panels is 3; it must be .*Remedy: "),
        (["unroll", "nowhere.step"], r"nowhere.step is not a file"),
        (["unroll", "bare.py", "--json"], r"bare.py cannot be read as STEP. Export it again"),
        (["make", "bare.py", "--out", "mine"], r"output folder is .*mine; it must be empty.*Remedy: "),
        (["make", "bare.py", "--out", "."], r"output folder is .*; it must be another.*Remedy: "),
        (["make", "bare.py", "--out", "bare.py/x"], r"output folder is .*written.*Remedy: "),
        (["make", "bare.py", "--out", "round/x"], r"output folder is .*round/x; .*(loop|links).*Remedy: "),
        (
            ["make", "bare.py", "--out", "n" * 300],
            r"output folder is .*n; .*[Ff]ile ?name too long.*Remedy: ",
        ),
        (["make", "bare.py", "--out", "d/" * 2100], r"output folder is .*[Ff]ile ?name too long.*Remedy: "),
        (
            ["make", "bare.py", "--out", "/proc"],
            r"output folder is /proc; it must be no disk or mount of its own",
        ),
        (["make", "bare.py", "--out", "/proc/x/y"], r"output folder is /proc/x/y; .*Remedy: "),
        (
            ["make", "bare.py", "--out", "other"],
            r"output folder is .*other; it must be empty.*Remedy: .*delete",
        ),
        (["make", "bare.py", "panels=8", "panels=9"], r"panels is given twice: 8 and 9"),
        (["check", "exits.py", "--json"], r"exits.py, line 2: the script ends here, with exit\(0\), before"),
        (["make", "divides.py"], r"divides.py, line 1: ZeroDivisionError: division by zero"),
        (["check", "text.py"], r"design is 'x'; it must be a Design"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else "",
)
def test_wrong_input_is_told_in_one_message(tmp_path, monkeypatch, capfd, words, message):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "bare.py").write_text(BARE)
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine/photo.jpg").write_bytes(b"\xff\xd8")
    (tmp_path / "other").mkdir()  # another tool's
    (tmp_path / "other/data.csv").write_text("1, 2")
    (tmp_path / "other/summary.json").write_text('{"files": ["data.csv"]}')
    (tmp_path / "round").symlink_to("round")
    (tmp_path / "exits.py").write_text("import sys\nsys.exit(0)\n")
    (tmp_path / "divides.py").write_text("1 / 0\n")
    (tmp_path / "text.py").write_text("from shellparts import build\nbuild('x').advice()\n")
    before = everything(tmp_path)
    assert here(*words) == 2
    out, err = capfd.readouterr()
    assert out == ""
    assert "Traceback" not in err
    (line,) = err.strip().splitlines()
    assert re.search(message, line), line
    assert line.startswith("shellparts: ")
    assert everything(tmp_path) == before


@pytest.mark.parametrize("words", [[], ["make"], ["frobnicate"], ["make", "bare.py", "--ot", "x"]])
def test_a_command_that_does_not_exist_is_2_with_the_usage(tmp_path, words):
    run = shellparts(*words, cwd=tmp_path)
    assert run.returncode == 2
    assert "Usage: " in run.stderr + run.stdout
    assert "Traceback" not in run.stderr


def test_a_script_run_on_its_own_tells_a_refused_number_in_one_message(tmp_path):
    """What a beginner does first: copy a script, change a number, run it."""
    (tmp_path / "mine.py").write_text(BARE.replace('"3 m"', '"300 m"'))
    run = subprocess.run([sys.executable, "mine.py"], capture_output=True, text=True, cwd=tmp_path)
    assert run.returncode == 2
    (line,) = run.stderr.strip().splitlines()
    assert "300000 mm" in line
    assert "Remedy: " in line


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("2400", "2400 / 0", r"mine.py, line 7: ZeroDivisionError: .*division by zero"),
        ("build(design)", "build(design, fan='my fan')", r"fan is 'my fan'; it must be a Fan, or left out"),
    ],
)
def test_a_script_run_on_its_own_tells_its_own_faults_in_one_message(tmp_path, old, new, message):
    """The same message as `shellparts make` gives."""
    (tmp_path / "mine.py").write_text(BARE.replace(old, new))
    alone = subprocess.run([sys.executable, "mine.py"], capture_output=True, text=True, cwd=tmp_path)
    made = shellparts("make", "mine.py", cwd=tmp_path)
    for run in (alone, made):
        assert (run.returncode, run.stdout) == (2, "")
        (line,) = run.stderr.strip().splitlines()
        assert re.search(message, line), line
    assert alone.stderr.replace(f"{tmp_path}/", "") == made.stderr


@posix
def test_a_script_run_on_its_own_that_is_stopped_says_so(tmp_path):
    (tmp_path / "mine.py").write_text(
        BARE.replace(
            "room = build(design)",
            "import os, signal\n    os.kill(os.getpid(), signal.SIGINT)\n    room = build(design)",
        )
    )
    run = subprocess.run(
        [sys.executable, "mine.py"], capture_output=True, text=True, cwd=tmp_path, preexec_fn=heed_ctrl_c
    )
    assert (run.returncode, run.stdout, run.stderr) == (
        130,
        "",
        "shellparts: stopped; nothing is half written.\n",
    )


@posix
def test_a_result_that_cannot_be_printed_is_told(tmp_path):
    """The device that is always full; it is there on Linux."""
    if not Path("/dev/full").exists():
        return
    (tmp_path / "bare.py").write_text(BARE)
    command = [sys.executable, "-c", "from shellparts.cli import main; main()", "check", "bare.py"]
    with Path("/dev/full").open("w") as full:
        run = subprocess.run(command, stdout=full, stderr=subprocess.PIPE, text=True, cwd=tmp_path)
    assert run.returncode == 2
    assert run.stderr == "shellparts: the result cannot be printed: No space left on device.\n"


@posix
@pytest.mark.parametrize("size", [0, *(pytest.param(n, marks=pytest.mark.sweep) for n in (3000, 100_000))])
def test_no_more_room_on_the_way_is_one_message_and_leaves_the_earlier_result(tmp_path, size):
    """The system refuses files larger than so many bytes [byte], in this process and those that it starts."""
    import resource

    (tmp_path / "bare.py").write_text(BARE)
    with replaced_folder(tmp_path / "out") as folder:
        (folder / "old.svg").write_text("earlier")
    before = everything(tmp_path)
    run = shellparts(
        "make", "bare.py", "--out", "out", cwd=tmp_path,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (size, size)),
    )  # fmt: skip
    assert (run.returncode, run.stdout) == (2, "")
    (line,) = run.stderr.strip().splitlines()
    said = r"folder for temporary files" if size == 0 else r"/out\S* cannot be written \(File too large\)"
    assert re.search(rf"{said}.*Remedy: ", line), line
    assert everything(tmp_path) == before
    assert sorted(p.name for p in tmp_path.iterdir()) == ["bare.py", "out"]


# A fault of ours: 1


def test_a_fault_of_ours_is_1_and_says_so(tmp_path):
    (tmp_path / "bare.py").write_text(BARE)
    code = (
        "import shellparts.cli\n"
        "from shellparts.build.room import Room\n"
        "from shellparts.base.errors import GeometryError\n"
        "def broken(self, out, progress):\n"
        "    raise GeometryError('the envelope is 2 solids')\n"
        "Room.write = broken\n"
        "shellparts.cli.main(['make', 'bare.py'])\n"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=tmp_path)
    assert run.returncode == 1
    assert "a fault of ours: the envelope is 2 solids. Nothing was written." in run.stderr
    assert "Traceback" not in run.stderr


# Stopped on the way


@posix
@pytest.mark.parametrize(
    "how",
    [
        signal.SIGINT,
        *(pytest.param(how, marks=pytest.mark.sweep) for how in (signal.SIGKILL, signal.SIGTERM)),
    ],
)
def test_a_run_that_is_stopped_leaves_the_earlier_result(tmp_path, how):
    """Stopped as soon as files appear in its scratch folder."""
    (tmp_path / "bare.py").write_text(BARE)
    with replaced_folder(tmp_path / "out") as folder:
        (folder / "old.svg").write_text("earlier")
    (tmp_path / "out/notes.txt").write_text("mine")
    before = everything(tmp_path / "out")
    command = [
        sys.executable,
        "-c",
        "from shellparts.cli import main; main()",
        "make",
        "bare.py",
        "--out",
        "out",
    ]
    process = subprocess.Popen(
        command,
        cwd=tmp_path,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=heed_ctrl_c,
    )
    deadline = time.monotonic() + 60
    while not any(p.is_file() for p in tmp_path.glob(".shellparts-*/new/**/*")):
        assert process.poll() is None, "it ended before it could be stopped"
        assert time.monotonic() < deadline
        time.sleep(0.02)
    process.send_signal(how)
    _, told = process.communicate(timeout=60)
    if how is signal.SIGINT and process.returncode == 0:
        # on a busy machine it may come as late as the search for a layout, which it ends with the best so far; or which
        # is in its very last step
        assert json.loads((tmp_path / "out/summary.json").read_text())["stock"]["ended"] in (
            "stopped",
            "steps",
        )
        assert not (tmp_path / "out/old.svg").exists() and (tmp_path / "out/notes.txt").read_text() == "mine"
        return
    assert process.returncode == (-how if how is signal.SIGKILL else 128 + how)
    assert everything(tmp_path / "out") == before
    if how is not signal.SIGKILL:
        assert sorted(p.name for p in tmp_path.iterdir()) == ["bare.py", "out"]
        assert re.fullmatch(r"shellparts: (stopped|ended by the system); nothing is half written\.\n", told)
    with replaced_folder(tmp_path / "other") as folder:  # any run beside it clears up
        (folder / "a").write_text("a")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["bare.py", "other", "out"]
    assert everything(tmp_path / "out") == before


@posix
@pytest.mark.sweep
@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGTERM])
def test_runs_that_are_stopped_at_any_moment_leave_one_result_whole(made, tmp_path, how):
    """With what the command writes; one result or the other, judged by the bytes of both."""
    shutil.copytree(made[0], tmp_path, dirs_exist_ok=True)
    shutil.copytree(tmp_path / "out put", tmp_path / "earlier")
    (tmp_path / "out put/notes.txt").write_text("mine")
    make = [sys.executable, "-c", "from shellparts.cli import main; main()", "make", "bare.py", "panels=7"]
    begun = time.monotonic()
    subprocess.run([*make, "--out", "later"], cwd=tmp_path, check=True, capture_output=True)
    took = time.monotonic() - begun
    results = [everything(tmp_path / name) for name in ("earlier", "later")]
    seed = random.SystemRandom().randrange(1 << 30)
    chance = random.Random(seed)
    for _ in range(2):
        process = subprocess.Popen(
            [*make, "--out", "out put"], cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE
        )
        time.sleep(chance.uniform(0.3, 1.1) * took)
        process.send_signal(how)
        told = process.communicate(timeout=120)[1].decode()
        beside = {p.name for p in tmp_path.iterdir()}
        assert process.returncode in {0, -how, 128 + how}, f"seed {seed}: {told}"
        assert "Traceback" not in told, f"seed {seed}: {told}"
        if process.returncode > 0:
            assert beside == {"bare.py", "earlier", "later", "out put"}, f"seed {seed}"
        found = everything(tmp_path / "out put")
        assert found.pop("notes.txt") == b"mine"
        assert found in results, f"seed {seed}"
        with replaced_folder(tmp_path / "later") as folder:
            shutil.copytree(tmp_path / "earlier", folder, dirs_exist_ok=True, ignore=lambda *_: [MANIFEST])
        assert {p.name for p in tmp_path.iterdir()} == {"bare.py", "earlier", "later", "out put"}, (
            f"seed {seed}"
        )
        if process.returncode == 0 or found == results[1]:
            shellparts(*MAKE, cwd=tmp_path)


@pytest.mark.sweep
def test_a_run_after_a_killed_one_goes_through(made):
    folder, _ = made
    (folder / "out put/notes.txt").write_text("mine")
    before = everything(folder / "out put")
    run = shellparts(*MAKE, cwd=folder, env={**os.environ, "PYTHONHASHSEED": "77"})
    assert run.returncode == 0, run.stderr
    assert everything(folder / "out put") == before, "the same input gives the same bytes, and notes stay"


# Help


def test_help_reads_well_and_starts_nothing():
    for words in (["--help"], ["make", "--help"], ["check", "-h"], ["unroll", "--help"]):
        code = (
            "import sys\nfrom shellparts.cli import main\n"
            f"try:\n    main({words!r})\n"
            "finally:\n    print({'OCP', 'cadquery', 'vtk', 'ezdxf', 'scipy'} & set(sys.modules), file=sys.stderr)\n"
        )
        run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
        assert run.returncode == 0
        assert run.stderr.strip() == "set()", f"{words} loads {run.stderr}"
        assert "Usage: " in run.stdout
        assert "..." not in run.stdout.replace("[ARGS]...", "").replace("[NAME=VALUE]...", ""), (
            "a cut sentence"
        )
        assert max(map(len, run.stdout.splitlines())) <= 100


@pytest.mark.parametrize(("stop", "status"), [(KeyboardInterrupt(), 130), (Terminated(15), 143)])
def test_a_stop_while_the_kernel_is_imported_is_told_as_a_stop(stop, status, capsys):
    """An extension module turns whatever stops its import into an ImportError of its own."""

    def work():
        raise ImportError("initialization failed") from stop

    with pytest.raises(SystemExit) as ended:
        _guarded(work)
    assert ended.value.code == status
    assert "nothing is half written" in capsys.readouterr().err
    with pytest.raises(ImportError):
        _guarded(lambda: __import__("no_such_module_of_ours"))

"""The output folder: whole or not at all, and nothing of the reader's own is lost."""

import errno
import hashlib
import json
import os
import random
import shutil
import subprocess
import sys
import tempfile
from contextlib import suppress
from importlib import metadata
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shellparts.base.errors import OutputError, ParameterError
from shellparts.build import keeping, scratch
from shellparts.build.manifest import MANIFEST
from shellparts.build.output import replaced_folder


def write(target: Path, **files: str) -> None:
    """Make a result as a run does."""
    with replaced_folder(target) as folder:
        for name, text in files.items():
            (folder / "flat").mkdir(exist_ok=True)
            (folder / "flat" / name).write_text(text)
        listed = [f"flat/{name}" for name in files]
        (folder / "summary.json").write_text(json.dumps({"files": listed}))


def everything(folder: Path) -> dict[str, bytes]:
    """Every file by name, but for the manifest."""
    files = (p for p in folder.rglob("*") if p.is_file())
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in files if p.name != MANIFEST}


def test_a_folder_appears_whole_and_leaves_nothing_beside_it(tmp_path):
    target = tmp_path / "deep" / "er" / "room"
    with replaced_folder(target) as folder:
        (folder / "a.txt").write_text("a")
        assert not target.exists()
        assert folder.parent.parent == target.parent, "it must be on the same disk, or the move is no move"
    assert everything(target) == {"a.txt": b"a"}
    assert [p.name for p in target.parent.iterdir()] == ["room"]


def test_a_second_run_replaces_the_first(tmp_path):
    write(tmp_path / "room", panel="one", cap="one")
    write(tmp_path / "room", panel="two")
    assert set(everything(tmp_path / "room")) == {"flat/panel", "summary.json"}
    assert (tmp_path / "room/flat/panel").read_text() == "two"


@pytest.mark.parametrize("error", [ValueError, KeyboardInterrupt, SystemExit, MemoryError])
def test_a_run_that_fails_leaves_the_earlier_result(tmp_path, error):
    write(tmp_path / "room", panel="one")
    before = everything(tmp_path / "room")
    with pytest.raises(error), replaced_folder(tmp_path / "room") as folder:
        (folder / "half").write_text("half")
        raise error
    assert everything(tmp_path / "room") == before
    assert [p.name for p in tmp_path.iterdir()] == ["room"]


def test_the_readers_own_files_and_links_are_kept(tmp_path):
    write(tmp_path / "room", panel="one")
    (tmp_path / "room/notes.txt").write_text("mine")
    (tmp_path / "room/flat/mine").mkdir()
    (tmp_path / "room/flat/mine/photo.jpg").write_bytes(b"\xff\xd8")
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "big.bin").write_bytes(b"big")
    (tmp_path / "room/link").symlink_to(elsewhere)
    write(tmp_path / "room", panel="two")
    assert (tmp_path / "room/notes.txt").read_text() == "mine"
    assert (tmp_path / "room/flat/mine/photo.jpg").read_bytes() == b"\xff\xd8"
    assert (tmp_path / "room/link").is_symlink()
    assert (tmp_path / "room/link/big.bin").read_bytes() == b"big"
    assert (tmp_path / "room/flat/panel").read_text() == "two"


def test_a_target_that_is_a_link_stays_one(tmp_path):
    (tmp_path / "disk").mkdir()
    (tmp_path / "room").symlink_to(tmp_path / "disk")
    write(tmp_path / "room", panel="one")
    assert (tmp_path / "room").is_symlink()
    assert (tmp_path / "disk/flat/panel").read_text() == "one"


@pytest.mark.parametrize(
    "summary",
    [
        None,
        "",
        "[]",
        "{}",
        '{"files": 3}',
        '{"files": ["photo.jpg"]}',
        '{"files": "photo.jpg"}',
        "no json",
        "\xff",
    ],
)
def test_a_folder_of_other_things_is_refused_and_left_alone(tmp_path, summary):
    target = tmp_path / "photos"
    target.mkdir()
    (target / "photo.jpg").write_bytes(b"\xff\xd8")
    if summary is not None:
        (target / "summary.json").write_bytes(summary.encode("latin-1"))
    before = everything(target)
    old = (
        ""
        if summary is None
        else ".*earlier result, delete the folder and run again: without .shellparts.json"
    )
    with (
        pytest.raises(
            ParameterError,
            match=r"output folder is .*photos; it must be empty.*Remedy: choose another folder with --out"
            + old,
        ),
        replaced_folder(target),
    ):
        pytest.fail("the block was entered")
    assert everything(target) == before


def test_a_file_in_the_place_of_the_folder_is_refused(tmp_path):
    (tmp_path / "room").write_text("a file")
    with (
        pytest.raises(ParameterError, match=r"output folder is .*room; it must be a folder"),
        replaced_folder(tmp_path / "room"),
    ):
        pytest.fail("the block was entered")
    assert (tmp_path / "room").read_text() == "a file"


def test_the_folder_one_stands_in_is_refused(tmp_path, monkeypatch):
    """Replaced, it would be gone from under the shell that asked."""
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    for target in (Path(), Path(".."), Path("/")):
        with (
            pytest.raises(ParameterError, match="another than the one this command runs in"),
            replaced_folder(target),
        ):
            pytest.fail("the block was entered")


@pytest.mark.skipif(os.name != "posix", reason="needs a place that is no folder")
def test_a_place_that_cannot_be_written_is_told(tmp_path):
    (tmp_path / "file").write_text("")
    with (
        pytest.raises(ParameterError, match=r"file/room; it must be in a place that can be written"),
        replaced_folder(tmp_path / "file" / "room"),
    ):
        pytest.fail("the block was entered")


def test_files_can_be_read_by_others(tmp_path):
    write(tmp_path / "room", panel="one")
    umask = os.umask(0)
    os.umask(umask)
    assert (tmp_path / "room").stat().st_mode & 0o777 == 0o777 & ~umask


# Whose is what: the manifest alone decides


def manifest(**changes: Any) -> str:
    """A manifest as anybody can make one up, sealed by the same rule: SHA-256 of the rest as sorted JSON."""
    record = {"generator": "shellparts", "version": "0.1.0", "sha256": {}, **changes}
    seal = hashlib.sha256(json.dumps(record, sort_keys=True).encode()).hexdigest()
    return json.dumps({**record, "seal": seal, **{k: v for k, v in changes.items() if k == "seal"}})


def test_the_manifest_tells_of_every_file_and_is_the_same_for_the_same_files(tmp_path):
    for name in ("room", "again"):
        write(tmp_path / name, panel="one", cap="two")
    told = json.loads((tmp_path / "room" / MANIFEST).read_text())
    assert told["sha256"] == {
        name: hashlib.sha256(data).hexdigest() for name, data in everything(tmp_path / "room").items()
    }
    assert (told["generator"], told["version"]) == ("shellparts", metadata.version("shellparts"))
    assert (tmp_path / "room" / MANIFEST).read_bytes() == (tmp_path / "again" / MANIFEST).read_bytes()


HASH = hashlib.sha256(b"mine").hexdigest()


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[" * 100_000,
        "[]",
        "{}",
        '{"files": ["mine.txt"]}',
        manifest(generator="somebody"),
        manifest(seal="0" * 64, sha256={"mine.txt": HASH}),
        manifest(sha256=["mine.txt"]),
        manifest(sha256={"mine.txt": 3}),
        manifest(sha256={"../mine.txt": HASH}),
        manifest(sha256={"sub/../mine.txt": HASH}),
        manifest(sha256={"/etc/passwd": HASH}),
        manifest(sha256={"": HASH}),
        manifest(sha256={".": HASH}),
    ],
)
def test_a_manifest_that_is_not_as_written_is_not_believed(tmp_path, text):
    room = tmp_path / "room"
    room.mkdir()
    (room / "mine.txt").write_bytes(b"mine")
    (tmp_path / "mine.txt").write_bytes(b"mine")
    (room / MANIFEST).write_text(text)
    with (
        pytest.raises(ParameterError, match=r"whose .shellparts.json nobody has changed"),
        replaced_folder(room),
    ):
        pytest.fail("the block was entered")
    assert everything(tmp_path) == {"room/mine.txt": b"mine", "mine.txt": b"mine"}
    assert (room / MANIFEST).read_text() == text


def test_a_name_in_a_manifest_is_nothing_without_the_bytes(tmp_path):
    """A folder beside, another content, a folder, a link: none is a file of a run, whatever is told of it."""
    room = tmp_path / "room"
    (room / "photos").mkdir(parents=True)
    (room / "photos/one.jpg").write_bytes(b"photo")
    (room / "mine.txt").write_bytes(b"mine, changed")
    (tmp_path / "far.txt").write_bytes(b"mine")
    (room / "link").symlink_to(tmp_path / "far.txt")
    names = ("mine.txt", "photos", "link", "photos/one.jpg")
    (room / MANIFEST).write_text(manifest(sha256=dict.fromkeys(names, HASH)))
    told: list[str] = []
    with replaced_folder(room, told.append) as folder:
        (folder / "new").write_text("new")
    assert everything(room) == {
        "new": b"new", "mine.yours.txt": b"mine, changed", "photos/one.yours.jpg": b"photo", "link.yours": b"mine",
    }  # fmt: skip
    assert (room / "link.yours").is_symlink()
    assert len(told) == 3


def test_what_the_reader_changed_is_put_aside_and_told(tmp_path, capsys):
    write(tmp_path / "room", panel="one", cap="one")
    for number, text in enumerate(("my own", "my other")):
        (tmp_path / "room/flat/panel").write_text(text)
        (tmp_path / "room/flat/cap").unlink()
        write(tmp_path / "room", panel="two", cap="two")
        aside = f"panel.yours{'-2' * number}"
        assert capsys.readouterr().err == (
            f"shellparts: flat/panel was changed after it was written: yours is kept as {aside}\n"
        )
        assert (tmp_path / "room/flat" / aside).read_text() == text
    write(tmp_path / "room", panel="three")
    assert capsys.readouterr().err == ""
    assert {name: data for name, data in everything(tmp_path / "room").items() if name != "summary.json"} == {
        "flat/panel": b"three", "flat/panel.yours": b"my own", "flat/panel.yours-2": b"my other",
    }  # fmt: skip


#: What a reader may do in a result: (what, name), names of runs, of folders of runs and of their own.
DEEDS = st.lists(
    st.tuples(
        st.sampled_from(["write", "write", "append", "remove", "folder", "link", "rename"]),
        st.sampled_from(
            ["flat/a.svg", "flat/b.svg", "flat", "only/c", "mine", "mine/x.txt", "flat/a.yours.svg", ".x"]
        ),
    ),
    max_size=8,
)


def do(room: Path, deed: str, name: str, mark: str) -> None:
    """Do something in a folder, if it can be done there."""
    path = room / name
    with suppress(OSError):
        if deed == "write":
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(f"mine {mark}")
        elif deed == "append":
            with path.open("a") as file:
                file.write(f"mine {mark}")
        elif deed == "remove":
            shutil.rmtree(path) if path.is_dir() and not path.is_symlink() else path.unlink()
        elif deed == "folder":
            path.mkdir(parents=True)
        elif deed == "link":
            path.symlink_to(f"/nowhere/mine {mark}")
        else:
            path.rename(room / f"mine {mark}")


def held(room: Path) -> tuple[set[bytes], set[str]]:
    """The reader's, known by their mark: bytes of files, and where links lead to."""
    paths = [p for p in room.rglob("*") if p.is_symlink() or p.is_file()]
    files = {p.read_bytes() for p in paths if not p.is_symlink()}
    return {data for data in files if b"mine" in data}, {str(p.readlink()) for p in paths if p.is_symlink()}


@settings(max_examples=50, deadline=None)
@given(before=DEEDS, between=DEEDS, late=DEEDS, links=st.booleans(), exchange=st.booleans())
def test_nothing_of_the_readers_is_lost_whatever_they_did_and_when(before, between, late, links, exchange):
    """Before a run; after their files were brought over; and in the old folder, just after it changed places."""
    with tempfile.TemporaryDirectory() as place, pytest.MonkeyPatch.context() as patch:
        room, kept = Path(place) / "room", []
        first, second = ({"flat/a.svg": v, "flat/b.svg": v, f"only/{v}": v} for v in ("one", "two"))
        run(room, first)
        for number, (deed, name) in enumerate(before):
            do(room, deed, name, f"before {number}")
        swap = scratch.Scratch.swap

        def busy(self: scratch.Scratch) -> None:
            for number, (deed, name) in enumerate(between):
                do(room, deed, name, f"between {number}")
            kept.append(held(room))
            swap(self)
            old = self.before if self.before.is_dir() else self.ready
            for number, (deed, name) in enumerate(late):
                if deed in {"write", "link"}:
                    do(old, deed, f"late/{number}/{name}", f"late {number}")
            if old.is_dir():
                kept.append(held(old / "late"))

        patch.setattr(scratch.Scratch, "swap", busy)
        if not exchange:
            patch.setattr(scratch, "_exchange", lambda one, other: False)
        if not links:
            patch.setattr(keeping.os, "link", no_links)
        run(room, second)
        files, leads = held(room)
        for data, told in kept:
            assert data <= files
            assert told <= leads
        assert {name: (room / name).read_text() for name in second} == second
        assert not (room / "only/one").exists() or b"mine" in (room / "only/one").read_bytes()
        assert [p.name for p in Path(place).iterdir()] == ["room"]


def no_links(*_names: Path, **_how: bool) -> None:
    """A disk without hard links, such as a memory stick."""
    raise PermissionError(errno.EPERM, "Operation not permitted")


def run(target: Path, files: dict[str, str]) -> None:
    with replaced_folder(target, lambda line: None) as folder:
        for name, text in files.items():
            (folder / name).parent.mkdir(exist_ok=True)
            (folder / name).write_text(text)


def test_a_kept_file_is_the_same_file(tmp_path):
    """Whoever has it open goes on writing to it, and its times and rights stay."""
    write(tmp_path / "room", panel="one")
    (tmp_path / "room/own").mkdir(mode=0o750)
    with (tmp_path / "room/own/log.txt").open("w") as log:
        log.write("begun, ")
        log.flush()
        (tmp_path / "room/own/log.txt").chmod(0o640)
        before = os.fstat(log.fileno())
        (tmp_path / "room").chmod(0o700)
        write(tmp_path / "room", panel="two")
        log.write("ended")
    after = (tmp_path / "room/own/log.txt").stat()
    assert (tmp_path / "room/own/log.txt").read_text() == "begun, ended"
    assert (before.st_ino, before.st_mode) == (after.st_ino, after.st_mode)
    assert (tmp_path / "room/own").stat().st_mode & 0o777 == 0o750
    assert (tmp_path / "room").stat().st_mode & 0o777 == 0o700


def test_two_runs_at_once_into_one_folder_end_with_one_result_whole(tmp_path):
    """The one that ends last; also where there was no folder before."""
    for names in ([], ["notes.txt"]):
        for name in names:
            (tmp_path / "room" / name).write_text("mine")
        with replaced_folder(tmp_path / "room") as folder:
            (folder / "late").write_text("late")
            write(tmp_path / "room", panel="meanwhile")
            (tmp_path / "room/own").write_text("mine")
        assert everything(tmp_path / "room") == {"late": b"late", **dict.fromkeys(["own", *names], b"mine")}
        assert [p.name for p in tmp_path.iterdir()] == ["room"]


# What a run that was killed leaves


def test_a_scratch_in_use_is_left_alone_and_a_dead_one_cleared_away(tmp_path):
    with replaced_folder(tmp_path / "one") as folder:
        (folder / "a").write_text("a")
        write(tmp_path / "two", panel="one")
        assert (folder / "a").is_file()
    assert sorted(p.name for p in tmp_path.iterdir()) == ["one", "two"]


@pytest.mark.parametrize("name", ["run.json", "notes.txt", "ready/x", "new/x"])
@pytest.mark.parametrize("text", ["mine", "{}", '{"generator": "somebody", "target": "two"}'])
def test_a_folder_that_only_looks_like_a_scratch_is_left_alone(tmp_path, name, text):
    mine = tmp_path / ".shellparts-mine"
    (mine / name).parent.mkdir(parents=True)
    (mine / name).write_text(text)
    write(tmp_path / "two", panel="one")
    assert everything(mine) == {name: text.encode()}


STOPPED = Path(__file__).with_name("stopped_runs.py")


def stopped(*words: object) -> dict[str, Any]:
    """What the program that stops runs tells."""
    done = subprocess.run(
        [sys.executable, STOPPED, *map(str, words)], capture_output=True, text=True, check=True
    )
    return json.loads(done.stdout)


posix = pytest.mark.skipif(os.name != "posix", reason="needs the signals of POSIX")


@posix
@pytest.mark.parametrize("how", ["SIGKILL", "SIGTERM"])
def test_a_run_stopped_at_any_step_leaves_everything_whole(tmp_path, how):
    """Every 23rd step of about 190, once with each way to change places; all of them in the sweep."""
    told = stopped("steps", how, tmp_path, 23)
    assert told["wrong"] == []
    assert told["stopped"] > 12


@posix
@pytest.mark.sweep
@pytest.mark.parametrize("how", ["SIGKILL", "SIGTERM"])
def test_runs_stopped_at_every_step_and_at_many_moments_leave_everything_whole(tmp_path, how):
    (tmp_path / "steps").mkdir()
    told = stopped("steps", how, tmp_path / "steps", 1)
    assert told["wrong"] == []
    assert told["stopped"] > 300
    (tmp_path / "moments").mkdir()
    seed = random.SystemRandom().randrange(1 << 30)
    told = stopped("moments", how, tmp_path / "moments", 60, seed)
    assert told["wrong"] == [], f"seed {seed}"
    assert told["stopped"] > 10


# Faults of the machine


@posix
@pytest.mark.parametrize(("fault", "every"), [("ENOSPC", 9), ("EACCES", 41), ("EMFILE", 53)])
def test_a_fault_of_the_machine_at_any_step_is_one_message_and_changes_nothing(tmp_path, fault, every):
    """At every so-manyth step in turn, until the run goes through; at all of them in the sweep."""
    told = stopped("faults", fault, tmp_path, every)
    assert told["wrong"] == []
    assert told["stopped"] > 4


@posix
@pytest.mark.sweep
@pytest.mark.parametrize("fault", ["ENOSPC", "EACCES", "EIO"])
def test_every_fault_of_the_machine_at_every_step_is_one_message_and_changes_nothing(tmp_path, fault):
    told = stopped("faults", fault, tmp_path, 1)
    assert told["wrong"] == []
    assert told["stopped"] > 60


def test_a_fault_of_ours_is_not_taken_for_one_of_the_machine(tmp_path):
    for fault in (FileNotFoundError(errno.ENOENT, "x"), FileExistsError(errno.EEXIST, "x"), OSError("x")):
        with pytest.raises(OSError) as raised, replaced_folder(tmp_path / "room"):
            raise fault
        assert raised.value is fault
    with pytest.raises(OutputError, match="cannot be written"), replaced_folder(tmp_path / "room") as folder:
        shutil.rmtree(folder.parent)  # as when a memory stick is drawn
        (folder / "a").write_text("a")
    assert list(tmp_path.iterdir()) == []

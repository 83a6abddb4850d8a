"""The output folder: whole or not at all, and nothing of the reader's own is lost."""

import json
import os
from pathlib import Path

import pytest

from shellparts import output
from shellparts.errors import ParameterError
from shellparts.output import replaced_folder


def write(target: Path, **files: str) -> None:
    """Make a result as a run does."""
    with replaced_folder(target) as folder:
        for name, text in files.items():
            (folder / "flat").mkdir(exist_ok=True)
            (folder / "flat" / name).write_text(text)
        listed = [f"flat/{name}" for name in files]
        (folder / "summary.json").write_text(json.dumps({"files": listed}))


def everything(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


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


@pytest.mark.parametrize("error", [OSError, KeyboardInterrupt])
def test_a_move_that_fails_half_way_puts_the_earlier_result_back(tmp_path, monkeypatch, error):
    write(tmp_path / "room", panel="one")
    before = everything(tmp_path / "room")
    rename = Path.rename

    def failing(self: Path, target: Path) -> Path:
        if self.name == "new":
            raise error
        return rename(self, target)

    monkeypatch.setattr(output.Path, "rename", failing)
    with pytest.raises(error):
        write(tmp_path / "room", panel="two")
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
    "summary", [None, "", "[]", "{}", '{"files": 3}', '{"files": [{}]}', "no json", "\xff"]
)
def test_a_folder_of_other_things_is_refused_and_left_alone(tmp_path, summary):
    target = tmp_path / "photos"
    target.mkdir()
    (target / "photo.jpg").write_bytes(b"\xff\xd8")
    if summary is not None:
        (target / "summary.json").write_bytes(summary.encode("latin-1"))
    before = everything(target)
    with (
        pytest.raises(
            ParameterError,
            match=r"output folder is .*photos; it must be empty.*Remedy: choose another folder with --out",
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

"""Output that is moved into place whole.

A run writes into a scratch folder beside its target. Only when everything is there do the two change places,
so a run that fails or is stopped leaves an earlier result as it was. Files of the reader's own in the target
folder are kept.
"""

import json
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from shellparts.errors import ParameterError

__all__ = ["replaced_folder"]

_MANIFEST = "summary.json"


def _earlier_files(target: Path) -> set[str]:
    """Files that an earlier run wrote into the target, by its summary."""
    try:
        record = json.loads((target / _MANIFEST).read_text(encoding="utf-8"))
        return {_MANIFEST, *record["files"]}
    except FileNotFoundError:
        return set()
    except (json.JSONDecodeError, KeyError, TypeError, UnicodeDecodeError):
        raise ParameterError(
            "output folder",
            str(target),
            f"empty, or hold an earlier result with its {_MANIFEST}",
            "choose another folder with --out, or move what is in this one",
        ) from None


@contextmanager
def replaced_folder(target: Path) -> Iterator[Path]:
    """Give a scratch folder that takes the place of `target` when the block ends without an error.

    Parameters
    ----------
    target : Path
        The folder to write. It may not exist yet.

    Yields
    ------
    Path
        The scratch folder, beside the target.

    Raises
    ------
    ParameterError
        If the target is a file, cannot be written, is the folder that the command runs in, or holds files but no
        earlier result.
    """
    target = target.resolve()
    if target.exists() and not target.is_dir():
        raise ParameterError("output folder", str(target), "a folder", "choose another name with --out")
    if Path.cwd().is_relative_to(target):
        raise ParameterError(
            "output folder",
            str(target),
            "another than the one this command runs in, since it is replaced as a whole",
            "name a new folder with --out",
        )
    earlier = _earlier_files(target) if target.is_dir() else set()
    if target.is_dir() and not earlier and any(target.iterdir()):
        raise ParameterError(
            "output folder",
            str(target),
            "empty, or hold an earlier result",
            "choose another folder with --out, or move what is in this one",
        )
    scratch = _scratch_beside(target)
    try:
        made = scratch / "new"
        made.mkdir()
        yield made
        if target.is_dir():
            _keep_own_files(target, made, earlier)
        _change_places(made, target, scratch / "old")
    finally:
        shutil.rmtree(scratch, ignore_errors=True)


def _scratch_beside(target: Path) -> Path:
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        return Path(tempfile.mkdtemp(prefix=f".{target.name}-", dir=target.parent))
    except OSError as error:
        raise ParameterError(
            "output folder",
            str(target),
            f"in a place that can be written ({error.strerror})",
            "choose another folder with --out",
        ) from error


def _change_places(made: Path, target: Path, old: Path) -> None:
    """Put the new folder where the old one is; if that does not come to its end, the old one goes back."""
    try:
        if target.is_dir():
            target.rename(old)
        made.rename(target)
    except BaseException:
        if old.is_dir() and not target.exists():
            old.rename(target)
        raise


def _keep_own_files(target: Path, made: Path, earlier: set[str]) -> None:
    """Copy what no run wrote from the old folder to the new one; links stay links."""
    for path in sorted(target.rglob("*")):
        name = path.relative_to(target).as_posix()
        if name in earlier or (made / name).exists():
            continue
        if path.is_file() or path.is_symlink():
            (made / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(path, made / name, follow_symlinks=False)

"""Output that is moved into place whole.

A run writes into a scratch folder beside its target. Only when everything is there do the two change places,
so a run that fails or is stopped leaves an earlier result as it was, and one that is killed leaves at most a
scratch, which the next run clears away. The reader's own files in the target are kept.

An error of the system on the way is the reader's to mend where it tells of the machine: a full disk, no
permission, a name too long. Any other one, such as a file that is not there or is there already, can only be a fault
of ours and stays what it is; unless the scratch itself is gone, with its disk or by somebody's hand.
"""

import errno
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from shellparts.base.errors import OutputError, ParameterError, ended
from shellparts.base.progress import note
from shellparts.build.keeping import Tell, keep
from shellparts.build.manifest import MANIFEST, read_manifest, write_manifest
from shellparts.build.scratch import ELSEWHERE, Scratch, open_scratch, refused, sweep

__all__ = ["replaced_folder"]

_FULL = {"ENOSPC", "EDQUOT", "EFBIG"}
_CLOSED = {"EACCES", "EPERM", "EROFS"}
#: Errors of the system that are none of ours; not every system has all of them.
_OF_THE_MACHINE = _FULL | _CLOSED | {
    "EAGAIN", "EBUSY", "EIO", "ELOOP", "EMFILE", "EMLINK", "ENAMETOOLONG", "ENFILE", "ENODEV", "ENOLCK", "ENOMEM",
    "ENOTSUP", "ENXIO", "ESTALE", "ETIMEDOUT", "ETXTBSY", "EXDEV",
}  # fmt: skip


@contextmanager
def replaced_folder(target: str | Path, tell: Tell = note) -> Iterator[Path]:
    """Give a scratch folder that takes the place of `target` when the block ends without an error.

    Parameters
    ----------
    target : str or Path
        The folder to write. It may not exist yet.
    tell : callable
        Told, a line at a time, what became of files of the reader's that could not keep their names; on standard
        error unless given.

    Yields
    ------
    Path
        The scratch folder, beside the target.

    Raises
    ------
    ParameterError
        If the target is a file, a disk of its own, cannot be written, is the folder that the command runs in, or
        holds files but no earlier result.
    OutputError
        If the system refuses to write or move a file.
    """
    made: list[Path] = []
    try:
        with open_scratch(_prepared(target, made, tell), tell) as scratch:
            try:
                yield scratch.new
                _finish(scratch, tell)
            except OSError as error:
                if _is_of_the_machine(error, scratch):
                    raise OutputError(_told(error, scratch)) from error
                raise
            made.clear()
    finally:
        for folder in made:
            with suppress(OSError):  # somebody else has put something there
                folder.rmdir()


def _prepared(named: str | Path, made: list[Path], tell: Tell) -> Path:
    """The full path of a target that may be written; folders made on the way to it are listed, innermost first."""
    if not isinstance(named, str | Path):
        raise ParameterError("output folder", repr(named), "a path", "write it as text, or leave it out")
    target = Path(named)
    try:
        tempfile.gettempdir()
    except FileNotFoundError as error:
        limit, remedy = "one that can be written", "set TMPDIR to such a folder"
        raise ParameterError("folder for temporary files", str(error.strerror), limit, remedy) from error
    try:
        target = target.resolve()
        for folder in (target.parent, *target.parent.parents):
            if folder.exists():
                break
            made.append(folder)
        target.parent.mkdir(parents=True, exist_ok=True)
        sweep(target.parent, tell)
        _check(target)
    except ParameterError:
        raise
    except (OSError, RuntimeError, ValueError) as error:  # the latter two: links in a circle, a zero byte
        fault = getattr(error, "strerror", None) or error
        raise refused(target, f"in a place that can be written ({fault})") from error
    return target


def _check(target: Path) -> None:
    """Refuse what cannot or must not be replaced."""
    if os.path.lexists(target) and not target.is_dir():
        raise refused(target, "a folder", "choose another name with --out")
    whole = "since it is replaced as a whole"
    if Path.cwd().is_relative_to(target):
        limit = f"another than the one this command runs in, {whole}"
        raise refused(target, limit, "name a new folder with --out")
    if os.path.ismount(target):
        raise refused(target, f"no disk or mount of its own, {whole}", "name a folder inside it with --out")
    if not target.is_dir() or read_manifest(target) is not None or not any(target.iterdir()):
        return
    move = f"{ELSEWHERE}, or move what is in this one"
    if os.path.lexists(target / MANIFEST):
        raise refused(target, f"empty, or hold an earlier result whose {MANIFEST} nobody has changed", move)
    if os.path.lexists(target / "summary.json"):
        move += (
            f". If all of it is an earlier result, delete the folder and run again: without {MANIFEST} its files "
            "cannot be told from your own"
        )
    raise refused(target, f"empty, or hold an earlier result with its {MANIFEST}", move)


def _finish(scratch: Scratch, tell: Tell) -> None:
    """Complete the new folder, with what is the reader's in the old one, and let it take its place."""
    new, target = scratch.new, scratch.target
    for folder in [Path(place) for place, _, _ in os.walk(new, topdown=False)][:-1]:
        if not any(folder.iterdir()):
            folder.rmdir()
    write_manifest(new)
    if os.path.lexists(target):
        if not target.is_dir():
            raise refused(target, "a folder", "choose another name with --out")
        keep(target, new, tell)
        shutil.copymode(target, new)
    scratch.swap()


def _is_of_the_machine(error: OSError, scratch: Scratch) -> bool:
    return errno.errorcode.get(error.errno or 0) in _OF_THE_MACHINE or not scratch.path.is_dir()


def _told(error: OSError, scratch: Scratch) -> str:
    """What happened to which file, and what to do."""
    where = Path(os.fsdecode(error.filename)) if isinstance(error.filename, str | bytes) else scratch.target
    for folder in (scratch.new, scratch.ready, scratch.before, scratch.path):
        if where.is_relative_to(folder):
            where = scratch.target / where.relative_to(folder)
    fault = errno.errorcode.get(error.errno or 0)
    remedy = ELSEWHERE
    if fault in _FULL:
        remedy = "make room on that disk, or choose a folder on another one with --out"
    elif fault in _CLOSED:
        remedy = "choose a folder that you may write to with --out"
    done = "read or written" if fault in _CLOSED else "written"
    return (
        f"{where} cannot be {done} ({error.strerror or error}). Nothing of this run is left; an earlier result is as "
        f"it was. Remedy: {ended(remedy)}"
    )

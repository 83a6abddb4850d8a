"""A folder to work in beside the target of a run, and how the two change places.

Glossary: a *scratch* is that folder. It holds a locked file that tells whose it is, and
``new``, which is being written; ``ready``, a whole result that is about to take the target's place, and after that
the earlier one; ``before``, the earlier one where the system cannot exchange two names at once. From these names
alone anybody can bring a scratch to its end whose run was killed at any moment: what is in ``new`` is worth
nothing, and of the others one becomes the target if there is none.

A scratch is in use as long as its file is locked; the system lets go of the lock when the process ends, however it
ends. This module does not know what is written.
"""

import ctypes
import errno
import json
import os
import secrets
import shutil
import stat
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from attrs import frozen

from shellparts.base.errors import ParameterError, Terminated
from shellparts.build.keeping import Tell, settle

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

__all__ = ["ELSEWHERE", "Scratch", "open_scratch", "refused", "sweep"]

ELSEWHERE = "choose another folder with --out"

_PREFIX = ".shellparts-"
_LOCK = "run.json"
_AT_CWD = -100
_EXCHANGE = 2  # of renameat2 on Linux and of renamex_np on macOS alike
_FAR = 1 << 30
"""Byte to lock where bytes are locked: past the text, which others read."""


def refused(target: Path, limit: str, remedy: str = ELSEWHERE) -> ParameterError:
    """Say what a target must be."""
    return ParameterError("output folder", str(target), limit, remedy)


@frozen
class Scratch:
    """A folder beside the target that it is to replace, with the open file that is locked, if there is one."""

    path: Path
    target: Path
    lock: int | None

    @property
    def new(self) -> Path:
        """What is being written."""
        return self.path / "new"

    @property
    def ready(self) -> Path:
        """A whole result: that of this run until it takes the target's place, then the earlier one."""
        return self.path / "ready"

    @property
    def before(self) -> Path:
        """The earlier result, where it had to be moved out of the way."""
        return self.path / "before"

    def swap(self) -> None:
        """Let what is new take the target's place, in one step where the system can."""
        self.new.rename(self.ready)
        try:
            if not os.path.lexists(self.target):
                self.ready.rename(self.target)
                return
        except OSError as error:  # unless another run has put its own there in this moment
            if error.errno not in {errno.ENOTEMPTY, errno.EEXIST}:
                raise
        if not _exchange(self.ready, self.target):
            self.target.rename(self.before)
            self.ready.rename(self.target)

    def clear(self, tell: Tell) -> None:
        """Bring it to its end, wherever its run was stopped, and take it away."""
        _remove(self.new)
        try:
            for whole in (self.before, self.ready):
                if not whole.is_dir():
                    continue
                if not os.path.lexists(self.target):
                    whole.rename(self.target)
                elif self.target.is_dir():
                    settle(whole, self.target, tell)
        except OSError as error:
            tell(
                f"{self.path} still holds files of an earlier result ({error.strerror}); the next run tries again"
            )
        with suppress(OSError):  # somebody else was faster
            if {path.name for path in self.path.iterdir()} <= {_LOCK}:
                if sys.platform == "win32" and self.lock is not None:
                    os.close(self.lock)
                (self.path / _LOCK).unlink(missing_ok=True)
                self.path.rmdir()
        if sys.platform != "win32" and self.lock is not None:
            with suppress(OSError):  # closed before it was stopped
                os.close(self.lock)


@contextmanager
def open_scratch(target: Path, tell: Tell) -> Iterator[Scratch]:
    """Make a scratch beside a target, and clear it away in the end; refused where nothing can be written."""
    path = target.parent / f"{_PREFIX}{secrets.token_hex(8)}"
    lock: int | None = None
    try:
        try:
            while lock is None:  # another run may take the empty folder for one that was left
                path.mkdir(mode=0o700, exist_ok=True)
                lock = _locked(path, os.O_CREAT)
            os.write(lock, json.dumps({"generator": "shellparts", "target": target.name}).encode("ascii"))
            (path / "new").mkdir()
        except OSError as error:
            raise refused(target, f"in a place that can be written ({error.strerror})") from error
        yield Scratch(path, target, lock)
    finally:
        try:
            Scratch(path, target, lock).clear(tell)
        except (KeyboardInterrupt, Terminated):
            Scratch(path, target, lock).clear(tell)  # stopped while it cleared up: that first
            raise


def _remove(folder: Path) -> None:
    """Delete a folder of ours, as far as that goes; rights that were copied from the reader's do not hinder."""
    for place, names, _ in os.walk(folder):
        for path in (Path(place), *(Path(place, name) for name in names)):
            with suppress(OSError):
                path.chmod(0o700)
    shutil.rmtree(folder, ignore_errors=True)


def sweep(folder: Path, tell: Tell) -> None:
    """Bring every scratch in a folder to its end whose run is dead."""
    for scratch in _dead(folder):
        scratch.clear(tell)


def _dead(folder: Path) -> Iterator[Scratch]:
    """Each scratch of ours in a folder that nobody has locked, locked."""
    try:
        paths = sorted(folder.iterdir())
    except PermissionError:  # one may write there and not look
        return
    for path in paths:
        if not path.name.startswith(_PREFIX) or not _is_mine(path):
            continue
        with suppress(OSError):
            path.rmdir()  # its run was killed before it could lock it
        lock = _locked(path)
        if lock is None:
            continue
        try:
            record = json.loads(os.read(lock, 1 << 20))
            told = Path(record["target"]).name if record["generator"] == "shellparts" else ""
        except (ValueError, KeyError, TypeError):
            told = ""
        if told:
            yield Scratch(path, folder / told, lock)
        else:  # killed while it wrote that line, or not ours: only what is empty goes
            if os.fstat(lock).st_size == 0 and [one.name for one in path.iterdir()] == [_LOCK]:
                yield Scratch(path, path, lock)
            else:
                os.close(lock)


def _is_mine(path: Path) -> bool:
    """Whether it is a folder of whoever runs this."""
    try:
        found = path.lstat()
    except FileNotFoundError:
        return False
    return stat.S_ISDIR(found.st_mode) and (sys.platform == "win32" or found.st_uid == os.getuid())


def _locked(path: Path, more: int = 0) -> int | None:
    """Open the file of a scratch and lock it; None if somebody has it, it is gone, or an old one is out of reach."""
    try:
        lock = os.open(path / _LOCK, os.O_RDWR | more, 0o600)
    except OSError as error:
        if more and not isinstance(error, FileNotFoundError):
            raise
        return None
    try:
        if sys.platform == "win32":
            os.lseek(lock, _FAR, os.SEEK_SET)
            msvcrt.locking(lock, msvcrt.LK_NBLCK, 1)
            os.lseek(lock, 0, os.SEEK_SET)
        else:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        if os.path.samestat(os.fstat(lock), (path / _LOCK).stat()):
            return lock
    except OSError as error:
        if more and error.errno in {errno.ENOSYS, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOLCK}:
            return lock  # a disk without locks: nobody can take this one, and nobody sweeps it
    os.close(lock)
    return None


def _exchange(one: Path, other: Path) -> bool:
    """Exchange two names in one step; False where the system or the disk cannot."""
    names = {"linux": ("renameat2", (_AT_CWD,)), "darwin": ("renamex_np", ())}
    name, here = names.get(sys.platform, ("", ()))
    call = getattr(ctypes.CDLL(None, use_errno=True), name, None) if name else None
    if call is None:
        return False
    if call(*here, os.fsencode(one), *here, os.fsencode(other), _EXCHANGE) == 0:
        return True
    fault = ctypes.get_errno()
    if fault in {errno.ENOSYS, errno.EINVAL, errno.ENOTSUP, errno.EOPNOTSUPP, errno.EPERM}:
        return False
    raise OSError(fault, os.strerror(fault), str(one), None, str(other))

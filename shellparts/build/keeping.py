"""The reader's own files in a folder that is replaced: none is lost, changed, or missing for a moment.

Glossary: *ours* is what the folder's manifest proves to be a run's, as it wrote it; all else is the reader's. A
file is *put aside* when its name is needed for a file of the run: ``panel.svg`` becomes ``panel.yours.svg``. A
file of a run that the reader changed is always put aside, so that it is not taken for one of the present run.

Files are kept as hard links: the reader's file is then the same one in the old folder and in the new, whoever
writes to it meanwhile and however large it is. Only a disk that has no such links gets copies. Links stay links
and are not followed.
"""

import errno
import os
import shutil
import stat
from collections.abc import Callable, Iterator
from contextlib import suppress
from itertools import count
from pathlib import Path

from attrs import frozen

from shellparts.build.manifest import MANIFEST, digest, files_in, is_ours, read_manifest

__all__ = ["Tell", "keep", "settle"]

#: Takes one line for the reader.
Tell = Callable[[str], None]


def keep(old: Path, new: Path, tell: Tell) -> None:
    """Bring what is the reader's in an old folder, which is left as it is, into the new one as well."""
    _Carrier(read_manifest(old), tell, frozenset(), move=False).folder(old, new, "")


def settle(old: Path, target: Path, tell: Tell) -> None:
    """Take away an old folder that was replaced, after whatever is the reader's in it is in the target.

    Nearly all of it was brought there before; what the reader did in the meantime follows now. It may be stopped
    at any moment and done again. What can neither be moved nor taken away is an OSError, and stays.
    """
    old.chmod(old.stat().st_mode | stat.S_IRWXU)  # else nothing could be taken out of it
    listed = read_manifest(old)
    held = frozenset((found.st_dev, found.st_ino) for found in map(os.lstat, files_in(target)))
    _Carrier(listed, tell, held, move=True).folder(old, target, "")
    if listed is not None:
        (old / MANIFEST).unlink()  # last: until now it proves what may go
    with suppress(OSError):  # something new in it: it stays until the next run
        old.rmdir()


@frozen(eq=False)
class _Carrier:
    """Goes through a folder; leaves or deletes what is ours, and links or moves the rest into another folder."""

    listed: dict[str, str] | None
    tell: Tell
    held: frozenset[tuple[int, int]]
    move: bool

    def folder(self, source: Path, goal: Path, inside: str) -> None:
        told_of = self.listed or {}

        def loses_its_name(path: Path) -> bool:
            return f"{inside}{path.name}" in told_of or os.path.lexists(goal / path.name)

        # first what keeps its name, so that nothing is put aside under a name that is taken
        for path in sorted(sorted(source.iterdir()), key=loses_its_name):
            full = f"{inside}{path.name}"
            told = told_of.get(full)
            if _is_folder(path):
                self._subfolder(path, goal, full)
            elif full == MANIFEST and self.listed is not None:
                continue
            elif not is_ours(path, told):
                self._file(path, goal, full, changed=told is not None)
            elif self.move:
                path.unlink()

    def _subfolder(self, path: Path, goal: Path, full: str) -> None:
        if os.path.ismount(path):
            raise OSError(errno.EXDEV, "another disk is mounted there", str(path))
        ours = any(name.startswith(f"{full}/") for name in self.listed or ())
        place = next(p for p in _places(path, goal) if _is_folder(p) or not os.path.lexists(p))
        if not ours:
            place.mkdir(parents=True, exist_ok=True)
        if self.move:
            path.chmod(path.stat().st_mode | stat.S_IRWXU)
        self.folder(path, place, f"{full}/")
        if self.move:
            path.rmdir()
        elif _is_folder(place):
            (shutil.copymode if ours else shutil.copystat)(path, place)

    def _file(self, path: Path, goal: Path, full: str, changed: bool) -> None:
        found = path.lstat()
        kept = (found.st_dev, found.st_ino) in self.held
        for place in () if kept else _places(path, goal, aside=changed):
            if not os.path.lexists(place):
                goal.mkdir(parents=True, exist_ok=True)
                _link(path, place, self.move)
                if place.name != path.name:
                    why = "was changed after it was written" if changed else "is in the way of a new file"
                    self.tell(f"{full} {why}: yours is kept as {place.name}")
                break
            if _is_same(path, place):
                break
        if self.move:
            path.unlink(missing_ok=True)


def _places(path: Path, goal: Path, aside: bool = False) -> Iterator[Path]:
    """Where to put it, best first: under its own name, unless it must go aside."""
    stem, dot, ending = path.name.partition(".") if path.name[0] != "." else (path.name, "", "")
    if not aside:
        yield goal / path.name
    for number in count(1):
        yield goal / f"{stem}.yours{f'-{number}' if number > 1 else ''}{dot}{ending}"


def _is_folder(place: Path) -> bool:
    return place.is_dir() and not place.is_symlink()


def _is_same(path: Path, place: Path) -> bool:
    """Whether two things are one, or files or links that are alike to the byte."""
    one, other = path.lstat(), place.lstat()
    if os.path.samestat(one, other):
        return True
    if stat.S_ISLNK(one.st_mode) and stat.S_ISLNK(other.st_mode):
        return path.readlink() == place.readlink()
    regular = stat.S_ISREG(one.st_mode) and stat.S_ISREG(other.st_mode)
    return regular and one.st_size == other.st_size and digest(path) == digest(place)


#: Faults of a hard link that a copy would meet as well, or that tell of another disk mounted inside.
_NO_COPY = {errno.EXDEV, errno.ENOSPC, errno.EDQUOT, errno.EROFS, errno.EEXIST}


def _link(path: Path, place: Path, move: bool) -> None:
    """Give a file another name; where the disk has no hard links, move or copy it."""
    try:
        os.link(path, place, follow_symlinks=False)
    except (OSError, NotImplementedError) as error:
        kind = path.lstat().st_mode
        if isinstance(error, OSError) and error.errno in _NO_COPY:
            raise
        if move:
            path.rename(place)
        elif stat.S_ISREG(kind) or stat.S_ISLNK(kind):
            shutil.copy2(path, place, follow_symlinks=False)
        else:
            raise

"""What a run wrote, told so that a later run can prove which files are its own.

Glossary: a *manifest* is a small file in the output folder that names every file of the run with its SHA-256, and
is sealed with a hash of itself. A file is *ours* as long as it has the bytes that the manifest tells of; whatever
else lies in the folder is the reader's. Nothing but such a manifest is believed, whatever other files say. This
module changes nothing but the manifest.
"""

import hashlib
import json
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NoReturn

from shellparts.base.version import VERSION

__all__ = ["MANIFEST", "digest", "files_in", "is_ours", "read_manifest", "write_manifest"]

#: Name of the manifest in the output folder.
MANIFEST = ".shellparts.json"
_GENERATOR = "shellparts"


def _fail(error: OSError) -> NoReturn:
    raise error


def files_in(folder: Path) -> list[Path]:
    """Everything in a folder and those in it that is no folder, by name; links are not followed, errors are raised."""
    walk = os.walk(folder, onerror=_fail)
    return sorted(Path(place, name) for place, _, names in walk for name in names)


def digest(path: Path) -> str:
    """SHA-256 of a file, in hexadecimal digits."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _seal(record: Mapping[str, Any]) -> str:
    """Hash of everything else in a manifest."""
    text = json.dumps({key: value for key, value in record.items() if key != "seal"}, sort_keys=True)
    return hashlib.sha256(text.encode("ascii")).hexdigest()


def write_manifest(folder: Path) -> None:
    """Tell of every file in a folder that holds a run's and nothing else; the same files give the same bytes."""
    files = {path.relative_to(folder).as_posix(): digest(path) for path in files_in(folder)}
    record: dict[str, Any] = {"generator": _GENERATOR, "version": VERSION, "sha256": files}
    record["seal"] = _seal(record)
    (folder / MANIFEST).write_text(json.dumps(record, indent=1) + "\n", encoding="ascii", newline="\n")


def _stays_inside(name: str) -> bool:
    """Whether a name is relative, and leads nowhere but down."""
    path = Path(name)
    return not path.anchor and bool(path.parts) and ".." not in path.parts and path.as_posix() == name


def read_manifest(folder: Path) -> dict[str, str] | None:
    """SHA-256 by relative name; None where there is no manifest, or one that somebody changed or made up."""
    path = folder / MANIFEST
    if path.is_symlink() or not path.is_file():
        return None
    try:
        record = json.loads(path.read_text(encoding="ascii"))
    except (ValueError, RecursionError):
        return None
    if not isinstance(record, dict) or record.get("generator") != _GENERATOR:
        return None
    files = record.get("sha256")
    if record.get("seal") != _seal(record) or not isinstance(files, dict):
        return None
    proper = all(isinstance(told, str) and _stays_inside(name) for name, told in files.items())
    return files if proper else None


def is_ours(path: Path, told: str | None) -> bool:
    """Whether a file, and no link to one, still has the SHA-256 that the manifest tells of it, if it names it."""
    return told is not None and not path.is_symlink() and path.is_file() and digest(path) == told

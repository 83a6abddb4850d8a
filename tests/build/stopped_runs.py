"""Runs that are stopped on their way, each in a process of its own. A program, since it forks.

    python stopped_runs.py steps SIGKILL|SIGTERM FOLDER N          at every N-th step of the system
    python stopped_runs.py moments SIGKILL|SIGTERM FOLDER N SEED   at N random moments
    python stopped_runs.py faults ENOSPC|… FOLDER N                by a fault of the machine, at every N-th step

A *step* is what Python's audit hooks tell of just before it happens: opening, making, linking, renaming, deleting.
It prints one JSON object: how many runs were stopped, and what was found wrong. What is whole is judged here from
the manifest's text and hashlib alone.
"""

import errno
import hashlib
import json
import os
import random
import shutil
import signal
import sys
import time
from pathlib import Path
from typing import NoReturn

from shellparts import cli
from shellparts.build import scratch
from shellparts.build.output import replaced_folder

MINE = {
    "notes.txt": b"mine",
    "flat/mine.txt": b"mine too",
    "flat/deep/er/photo.jpg": b"\xff\xd8" * 40_000,
    "tables/seams.csv": b"changed by hand",
}
EMPTY = "photos/none yet"


def result(version: int) -> dict[str, bytes]:
    """Files of a run; some are in one version only."""
    names = [f"flat/{n}.svg" for n in range(6)] + [
        "tables/seams.csv",
        "solids/room.step",
        f"only/{version}.txt",
    ]
    return {name: f"{name} {version} ".encode() * 2000 for name in names}


def write(target: Path, version: int) -> None:
    with replaced_folder(target, lambda line: None) as folder:
        for name, data in result(version).items():
            (folder / name).parent.mkdir(exist_ok=True)
            (folder / name).write_bytes(data)


def prepare(place: Path) -> None:
    """A first result, with the reader's own files, links and folders in it, and one file of the run changed."""
    write(place / "room", 1)
    for name, data in MINE.items():
        (place / "room" / name).parent.mkdir(parents=True, exist_ok=True)
        (place / "room" / name).write_bytes(data)
    (place / "room" / EMPTY).mkdir(parents=True)
    (place / "room/link").symlink_to("/nowhere")


def faults(place: Path) -> list[str]:
    """What is not whole: neither the earlier result nor the new one, or a loss of the reader's."""
    room, found = place / "room", []
    files = {p.relative_to(room).as_posix(): p for p in room.rglob("*") if p.is_file()}
    data = {name: path.read_bytes() for name, path in files.items()}
    told = json.loads(data.pop(".shellparts.json"))["sha256"]
    version = 1 if "only/1.txt" in told else 2
    if set(told) != set(result(version)):
        found.append(f"the manifest tells of {sorted(told)}")
    for name, expected in result(version).items():
        if name == "tables/seams.csv" and version == 1:
            continue  # the reader changed it
        if data.get(name) != expected or hashlib.sha256(expected).hexdigest() != told.get(name):
            found.append(f"{name} is not that of run {version}")
    theirs = {name: bytes_ for name, bytes_ in data.items() if bytes_ not in result(version).values()}
    wanted = dict(MINE)
    if version == 2:
        wanted["tables/seams.yours.csv"] = wanted.pop("tables/seams.csv")
    if theirs != wanted:
        found.append(f"of the reader's there are {sorted(theirs)}")
    if not (room / EMPTY).is_dir() or (room / "link").readlink() != Path("/nowhere"):
        found.append("an empty folder or a link is lost")
    return found


def takes_room(event: str, arguments: tuple) -> bool:
    """Whether a step needs room on a disk."""
    written = event == "open" and isinstance(arguments[2], int) and arguments[2] & (os.O_WRONLY | os.O_RDWR)
    return bool(written) or event in {"os.mkdir", "os.link", "os.symlink"}


class Blow:
    """A signal, or a fault of the machine by its number, at a step. A disk that is full stays so."""

    def __init__(self, how: int, step: int | None):
        self.how, self.step, self.taken = how, step, 0

    def __call__(self, event: str, arguments: tuple) -> None:
        lasting = not isinstance(self.how, signal.Signals) and self.how in {errno.ENOSPC, errno.EDQUOT}
        counts = (
            takes_room(event, arguments)
            if lasting
            else event.startswith(("os.", "open")) and event != "os.walk"
        )
        if self.step is None or not counts:  # the start of a walk asks nothing of the system
            return
        self.taken += 1
        if self.taken < self.step or (self.taken > self.step and not lasting):
            return
        if isinstance(self.how, signal.Signals):
            os.kill(os.getpid(), self.how)
        else:
            raise OSError(self.how, os.strerror(self.how))


def run_in_child(place: Path, blow: Blow, exchange: bool, begins: int) -> NoReturn:
    """A run as the command line does one; what it says goes into a file, and another one tells that the blow came."""
    status = 99
    try:
        if not exchange:
            scratch._exchange = lambda one, other: False
        os.dup2(os.open(place.parent / "said", os.O_WRONLY | os.O_CREAT | os.O_TRUNC), 2)
        come = os.open(place.parent / "came", os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
        sys.addaudithook(blow)

        def work() -> None:
            os.write(begins, b"!")
            write(place / "room", 2)

        cli._guarded(work)
        status = 0
    except SystemExit as end:
        status = int(end.code)
    finally:
        if blow.step is None or blow.taken < blow.step:
            os.write(come, b"not yet")
        os._exit(status)


def status_of(place: Path, blow: Blow, delay: float, exchange: bool) -> int:
    """Status of a run that meets a blow at a step, or after a delay [s]; that of a signal is negative."""
    begun, begins = os.pipe()
    process = os.fork()
    if process == 0:
        run_in_child(place, blow, exchange, begins)
    os.close(begins)
    os.read(begun, 1)
    os.close(begun)
    if blow.step is None:
        time.sleep(delay)
        os.kill(process, blow.how)
    return os.waitstatus_to_exitcode(os.waitpid(process, 0)[1])


def trial(
    folder: Path, number: int, how: int, step: int | None, delay: float = 0.0
) -> tuple[bool, list[str]]:
    """Whether a run came to its end without the blow, and what was wrong after it and after the next run."""
    place, exchange = folder / str(number), bool(number % 2)
    place.mkdir()
    prepare(place)
    status = status_of(place, Blow(how, step), delay, exchange)
    expected = {signal.SIGKILL: {0, -how}, signal.SIGTERM: {0, 128 + how}}.get(how, {0, 2})
    if step is None:
        expected.add(-how)  # when all is done, it ends the process as it would any other
    found = [] if status in expected else [f"it ended with {status}"]
    said, beside = (folder / "said").read_text().splitlines(), [p.name for p in place.iterdir()]
    if status > 0 and (len(said) != 1 or beside != ["room"]):
        found.append(f"it left {beside} and said {said}")
    if status == 2 and (place / "room/only/2.txt").exists():
        found.append("it tells of a fault, and the result is the new one")
    if exchange:  # without it, the earlier result may be out of the way until the next run
        found += faults(place)
    write(place / "other", 1)  # any run beside it clears up
    found += [f"after the next run: {fault}" for fault in faults(place)]
    if sorted(p.name for p in place.iterdir()) != ["other", "room"]:
        found.append(f"left over: {sorted(p.name for p in place.iterdir())}")
    write(place / "room", 2)
    found += [f"after another run: {fault}" for fault in faults(place)]
    shutil.rmtree(place)
    where = f"step {step}" if step is not None else f"{1000 * delay:.1f} ms"
    unharmed = status == 0 if step is None else bool((folder / "came").read_text())
    return unharmed, [f"{where}, {'exchange' if exchange else 'two renames'}: {fault}" for fault in found]


def main(mode: str, how: str, folder: str, *more: str) -> None:
    wrong: list[str] = []
    unharmed = number = 0
    if mode == "moments":
        prepare(Path(folder))
        start = time.perf_counter()
        write(Path(folder) / "room", 2)
        longest = 1.2 * (time.perf_counter() - start)
        chance = random.Random(int(more[1]))
        for number in range(int(more[0])):
            done, found = trial(Path(folder), number, signal.Signals[how], None, chance.uniform(0.0, longest))
            wrong, unharmed = wrong + found, unharmed + done
        number += 1
    else:
        what = signal.Signals[how] if mode == "steps" else getattr(errno, how)
        while unharmed < 2:  # with both ways to change places
            done, found = trial(Path(folder), number, what, 1 + int(more[0]) * (number // 2))
            wrong, number, unharmed = wrong + found, number + 1, unharmed + done
    sys.stdout.write(json.dumps({"runs": number, "stopped": number - unharmed, "wrong": wrong}))


if __name__ == "__main__":
    main(*sys.argv[1:])

"""The irregular packer, run in a process of its own.

Glossary: a *strip* has a fixed width and is as long as need be; the *effort* is how long to try, counted in
the packer's own steps and not in seconds, so that the same input and effort give the same layout; a safety
clock stands behind it and says so when it rings first. Coordinates here are those of the strip inside the
margin, widened by one gap; each outline is widened by half a gap. A *trial* is one run with its own items and seed:
as many go on at a time as there are cores, and what is given back is decided by their order, not by which ends first.
"""

import json
import os
import queue
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor, wait
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from attrs import evolve, field, frozen
from numpy.typing import NDArray

from shellparts.base.checks import require
from shellparts.base.tolerances import TOLERANCES
from shellparts.parameters.workshop import EffortLevel
from shellparts.pattern.cut_pieces import extent, laid
from shellparts.stock.layout import Ended, Placement

__all__ = [
    "BEST",
    "BETTER",
    "QUICK",
    "Effort",
    "Item",
    "Packed",
    "Trial",
    "effort_of",
    "pack_in_trials",
    "pack_strip",
]

Points = NDArray[np.float64]
#: Curves are widened by so much more to have fewer points [mm]: the packer is faster, a roll 1 mm longer
#: or so.
_LOOSE_MM = 1.0
_WORKER = Path(__file__).with_name("packer_worker.py")


@frozen(kw_only=True)
class Effort:
    """How long to try.

    Parameters
    ----------
    steps : int
        Most steps of one run.
    hard : int
        A run ends at a length that takes so many improvements.
    failures : int
        A run ends after so many lengths that it failed to reach.
    seeds : tuple of int
        One run each, in turn; the best is kept.
    pattern_tests : int
        On sheets: how many combinations of pieces are tried by the packer.
    pattern_steps : int
        On sheets: most steps of one such trial.
    pattern_hard : int
        On sheets: `hard` of such a trial.
    pattern_seeds : int
        On sheets: how many trials, with seeds 1, 2 and so on, a combination gets before it is dropped.
    clock_s : float
        Safety clock of one run [s]; a layout that it ends may differ next time.
    """

    steps: int = 600
    hard: int = 7
    failures: int = 1
    seeds: tuple[int, ...] = (1,)
    pattern_tests: int = 8
    pattern_steps: int = 600
    pattern_hard: int = 10
    pattern_seeds: int = 1
    clock_s: float = 60.0

    def __attrs_post_init__(self) -> None:
        least = min(
            self.steps, self.hard, self.failures, self.pattern_steps, self.pattern_seeds, len(self.seeds)
        )
        enough = least >= 1 and self.pattern_tests >= 0 and self.clock_s >= 1.0
        require(enough, "effort", repr(self), "at least one step, run and second", "start from QUICK")


#: Seconds: on the shipped rooms 1 to 13 s off a roll and 1 to 20 s on sheets, on two unloaded cores.
QUICK = Effort()
#: About half a minute.
BETTER = Effort(
    steps=1000, hard=20, seeds=(1, 2), pattern_tests=16, pattern_steps=1000, pattern_hard=20, pattern_seeds=3,
    clock_s=120.0,
)  # fmt: skip
#: Minutes.
BEST = Effort(
    steps=3000, hard=100, failures=4, seeds=(1, 2, 3, 4), pattern_tests=100, pattern_steps=2000, pattern_hard=60,
    pattern_seeds=6, clock_s=300.0,
)  # fmt: skip
_EFFORTS = {
    EffortLevel.QUICK: evolve(QUICK, steps=150, pattern_tests=4, pattern_steps=80),
    EffortLevel.BETTER: BETTER,
    EffortLevel.BEST: BEST,
}


def effort_of(level: EffortLevel) -> Effort:
    """The search that a word stands for: seconds, about half a minute, minutes, on two unloaded cores."""
    return _EFFORTS[level]


@frozen(eq=False)
class Item:
    """An outline as laid face up or face down [mm], and the turns it may take [deg]; None for any turn."""

    piece: int
    count: int
    outline: Points
    turns_deg: Points | None
    face_down: bool = False


@frozen
class Packed:
    """What the packer found: length used inside the margin [mm], infinite for nothing, and the fault that it met."""

    length_mm: float
    placements: tuple[Placement, ...] = field(repr=False)
    ended: Ended
    steps: int
    fault: str = ""


def _loose(gap_mm: float) -> float:
    """How much more than half the gap an outline is widened [mm], so that it can do with fewer points."""
    return min(_LOOSE_MM, 0.1 * gap_mm)


def _widened(item: Item, width_mm: float, gap_mm: float) -> Points:
    """Outline widened by half the gap, with few points; exactly, with more, where it only just fits."""
    polygon, loose = shapely.Polygon(item.outline), _loose(gap_mm)
    every = np.arange(0.0, 180.0) if item.turns_deg is None else item.turns_deg
    least = float(extent(item.outline, every)[:, 1].min())
    if gap_mm == 0.0:
        wide = polygon
    elif least + gap_mm > width_mm:
        wide = polygon.buffer(gap_mm / 2.0, quad_segs=8)
    else:
        wide = polygon.buffer(gap_mm / 2.0 + loose, join_style="mitre", mitre_limit=2.0)
        wide = shapely.Polygon(shapely.simplify(wide, loose).exterior)
    return np.asarray(wide.exterior.coords)[:-1]


def _job(
    items: Sequence[Item], width_mm: float, gap_mm: float, effort: Effort, seed: int, target: float | None
) -> str:
    """The worker's line of input."""
    rows = [
        [
            k,
            item.count,
            _widened(item, width_mm, gap_mm).tolist(),
            None if item.turns_deg is None else item.turns_deg.tolist(),
        ]
        for k, item in enumerate(items)
    ]
    slack = TOLERANCES.layout_slip_mm / 2.0
    job = {
        "height": width_mm + gap_mm + slack, "items": rows, "seed": seed, "steps": effort.steps,
        "hard": effort.hard, "failures": effort.failures, "seconds": effort.clock_s,
        "target": None if target is None else target + gap_mm + 2.0 * _loose(gap_mm),
    }  # fmt: skip
    return json.dumps(job) + "\n"


def _lines(process: "subprocess.Popen[str]") -> Iterator[dict[str, Any] | None]:
    """Reports of the worker as they come; None ten times a second while there are none."""
    inbox: queue.Queue[str | None] = queue.Queue()

    def read() -> None:
        assert process.stdout is not None
        for line in process.stdout:
            inbox.put(line)
        inbox.put(None)

    threading.Thread(target=read, daemon=True).start()
    while True:
        try:
            line = inbox.get(timeout=0.1)
        except queue.Empty:
            yield None
            continue
        if line is None:
            return
        yield json.loads(line)


def pack_strip(
    items: Sequence[Item],
    width_mm: float,
    gap_mm: float,
    effort: Effort = QUICK,
    seed: int = 1,
    target_mm: float | None = None,
    keep_going: Callable[[float, float], bool] | None = None,
) -> Packed:
    """Pack a strip once; `keep_going` is asked ten times a second, with share of steps and best length [mm]."""
    best: dict[str, Any] | None = None
    ended, steps = Ended.FALLBACK, 0
    command = [sys.executable, "-P", str(_WORKER)]
    # A file, not a pipe, takes the messages: a panicking packer may write more than a pipe holds.

    with (
        tempfile.TemporaryFile("w+", encoding="utf-8", errors="replace") as messages,
        subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=messages, text=True
        ) as process,
    ):
        assert process.stdin is not None
        try:
            process.stdin.write(_job(items, width_mm, gap_mm, effort, seed, target_mm))
            process.stdin.flush()
            asked = time.monotonic()
            for report in _lines(process):
                if report is not None and "ended" in report:
                    steps = int(report["step"])
                    ended = _ENDED.get(report["ended"], Ended.FALLBACK)
                elif report is not None:
                    best, steps = report, int(report["step"])
                if keep_going is not None and (report is None or time.monotonic() - asked > 0.1):
                    asked = time.monotonic()
                    if not keep_going(
                        min(1.0, steps / effort.steps), best["length"] - gap_mm if best else np.inf
                    ):
                        ended = Ended.STOPPED
                        break
        finally:
            process.kill()
        messages.seek(0)
        fault = "" if ended is not Ended.FALLBACK else _last_message(messages.read())
    if best is None:
        return Packed(np.inf, (), ended, steps, fault)
    return _packed(best, items, gap_mm, ended, steps, fault)


_ENDED = {
    "converged": Ended.CONVERGED,
    "steps": Ended.STEPS,
    "target": Ended.STEPS,
    "clock": Ended.CLOCK,
    "orphaned": Ended.STOPPED,
}


def _last_message(text: str) -> str:
    """The line of a traceback that says why."""
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    return lines[-1] if lines else "the packer ended without a word"


def _packed(
    best: dict[str, Any], items: Sequence[Item], gap_mm: float, ended: Ended, steps: int, fault: str
) -> Packed:
    """Read placements back, in the coordinates inside the margin."""
    outlines = {(item.piece, item.face_down): item.outline for item in items}
    placements = []
    for key, turn, x, y in best["placements"]:
        item = items[int(key)]
        shift = gap_mm / 2.0
        placements.append(
            Placement(item.piece, float(turn) % 360.0, float(x) - shift, float(y) - shift, item.face_down)
        )
    along = [laid(outlines[s.piece, s.face_down], s.turn_deg, shift=(s.x, s.y))[:, 0] for s in placements]
    start, end = min(float(a.min()) for a in along), max(float(a.max()) for a in along)
    return Packed(end - start, tuple(evolve(s, x=s.x - start) for s in placements), ended, steps, fault)


@frozen(eq=False)
class Trial:
    """Items and seed of one run of the packer."""

    items: Sequence[Item]
    seed: int


def pack_in_trials(
    trials: Sequence[Trial],
    width_mm: float,
    gap_mm: float,
    effort: Effort,
    target_mm: float | None = None,
    keep_going: Callable[[float, float], bool] | None = None,
) -> list[Packed]:
    """Results of the trials, in order, up to the first as short as the target; on a stop the best that each had."""
    stop = threading.Event()
    shares, lengths = [0.0] * len(trials), [np.inf] * len(trials)

    def run(number: int) -> Packed:
        def note(share: float, length: float) -> bool:
            shares[number], lengths[number] = share, length
            return not stop.is_set()

        if stop.is_set():
            return Packed(np.inf, (), Ended.STOPPED, 0)
        trial = trials[number]
        found = pack_strip(trial.items, width_mm, gap_mm, effort, trial.seed, target_mm, note)
        shares[number], lengths[number] = 1.0, found.length_mm
        return found

    with ThreadPoolExecutor(max_workers=min(len(trials), os.cpu_count() or 1)) as pool:
        futures = [pool.submit(run, number) for number in range(len(trials))]
        try:
            while wait(futures, timeout=0.1).not_done and not stop.is_set():
                so_far = sum(shares) / len(trials), min(lengths)
                if _enough(futures, target_mm) or (keep_going is not None and not keep_going(*so_far)):
                    stop.set()
        except KeyboardInterrupt:
            pass  # the best so far is what was asked for
        finally:
            stop.set()  # whatever ends the search, no trial goes on behind it
    found = [future.result() for future in futures]
    met = next((k for k, one in enumerate(found) if _meets(one, target_mm)), len(found))
    return found[: met + 1]


def _meets(packed: Packed, target_mm: float | None) -> bool:
    """Whether a strip came out as short as was asked."""
    return target_mm is not None and packed.length_mm <= target_mm


def _enough(futures: Sequence["Future[Packed]"], target_mm: float | None) -> bool:
    """Whether some trial met the target and all before it are done."""
    for future in futures:
        if not future.done():
            return False
        if _meets(future.result(), target_mm):
            return True
    return False

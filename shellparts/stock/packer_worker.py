"""The packer's own process: reads one strip to fill and writes what it finds; run so that it can be stopped.

Glossary: a *report* is one line of JSON; a *step* is one report of the packer itself, be it an improvement
or a failure, so that a budget of steps ends at the same place in the same search whatever the speed of the
machine; a strip length is *hard* when it takes many improvements. This file knows nothing of cloth and
imports nothing of the library: it starts in 50 ms.

Standard input: one line ``{"height", "items": [[id, count, [[x, y], ...], [turn, ...] | null], ...], "seed",
"steps", "hard", "failures", "seconds", "target": length | null}``. Standard output: lines ``{"step",
"length", "placements": [[id, turn, x, y], ...]}``, each better than the one before, then ``{"ended", "step"}``.
"""

import json
import os
import signal
import sys
import threading
import time
from typing import Any

__all__ = ["main"]


_FAR, _PART = 1.04, 2
"""While a strip is longer than the target by this factor, a length is hard after this part of the improvements: what is
slow so early never comes home."""


def _say(**line: Any) -> None:
    """Write one report."""
    sys.stdout.write(json.dumps(line) + "\n")
    sys.stdout.flush()


def _say_layout(step: int, solution: Any) -> None:
    """Write one layout."""
    placements = [[placed.id, placed.rotation, *placed.translation] for placed in solution.placed_items]
    _say(step=step, length=solution.width, placements=placements)


def _search(job: dict[str, Any]) -> tuple[str, int]:
    """Run the packer, report every better layout, and say what ended it and at which step."""
    import spyrrow

    seconds = max(1, int(job["seconds"]))
    config = spyrrow.StripPackingConfig(
        early_termination=True, total_computation_time=None, exploration_time=seconds,
        compression_time=seconds, num_workers=1, seed=job["seed"],
    )  # fmt: skip
    items = [
        spyrrow.Item(str(name), [tuple(p) for p in ring], count, turns)
        for name, count, ring, turns in job["items"]
    ]
    reports, instance = spyrrow.ProgressQueue(), spyrrow.StripPackingInstance("strip", job["height"], items)
    solver = threading.Thread(target=instance.solve, args=(config, reports), daemon=True)
    began, parent = time.monotonic(), os.getppid()
    solver.start()
    step = failures = tries = 0
    best, kinds, said = float("inf"), spyrrow.ReportType, 0.0
    waiting = None
    while True:
        alive = solver.is_alive()
        for kind, solution in reports.drain():
            step += 1
            if kind in (kinds.ExplFeas, kinds.CmprFeas, kinds.Final):
                tries = 0
                if solution.width < best:
                    best, waiting = solution.width, solution
            elif kind == kinds.ExplInfeas:
                failures, tries = failures + 1, 0
            else:
                tries += 1
            met = job["target"] is not None and best <= job["target"]
            far = job["target"] is not None and best > _FAR * job["target"]
            hard = -(-job["hard"] // _PART) if far else job["hard"]
            if met or step >= job["steps"] or failures >= job["failures"] or tries >= hard:
                if waiting is not None:
                    _say_layout(step, waiting)
                return "target" if met else "steps", step
        late = time.monotonic() - began > job["seconds"]
        if waiting is not None and (late or not alive or time.monotonic() - said > 0.1):
            _say_layout(step, waiting)
            waiting, said = None, time.monotonic()
        if not alive:
            return "converged" if best < float("inf") else "failed", step
        if late:
            return "clock", step
        if os.getppid() != parent:
            return "orphaned", step
        time.sleep(0.005)


def main() -> None:
    """Do one job and end, without waiting for the packer's thread; Ctrl-C is its parent's to answer."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    ended, step = _search(json.loads(sys.stdin.readline()))
    _say(ended=ended, step=step)
    os._exit(0)


if __name__ == "__main__":
    main()

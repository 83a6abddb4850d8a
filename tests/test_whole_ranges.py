"""Designs over the whole stated ranges: each built with every check holding, or refused for a reason that holds.

They are built in processes of their own, with a limit on memory that the test sets, so that a design that asks for more
is a failure and not the end of the machine. More of them: ``SHELLPARTS_EXAMPLES=2000 pytest -m sweep tests/test_whole_ranges.py``.
"""

import json
import os
import re
import subprocess
import sys
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from whole_ranges import design_of, words_of

from shellparts.base.errors import ParameterError

HERE = Path(__file__).parent
#: What a process may ever hold; and what it may ask for, most of which is never touched: the largest stacks of threads.
MOST_BYTES, MOST_ASKED = 2 << 30, 16 << 30
#: Of the processor, checks included: 30 on a machine of its own, and three times that, since machines swing; and of a
#: design whose files are written too.
MOST_SECONDS, MOST_WRITTEN_SECONDS = 90.0, 240.0
CHUNK = 14
EXAMPLES = int(os.environ.get("SHELLPARTS_EXAMPLES", "60"))
FEW = 4


def _limited() -> None:
    import resource

    resource.setrlimit(resource.RLIMIT_DATA, (MOST_ASKED, MOST_ASKED))


def became(first: int, last: int) -> list[dict[str, Any]]:
    """What became of the designs of these seeds; a process that ends early is a record of its own."""
    command = [sys.executable, str(HERE / "whole_ranges.py"), str(first), str(last)]
    run = subprocess.run(
        command,
        capture_output=True,
        text=True,
        preexec_fn=_limited if os.name == "posix" else None,
        timeout=60 + 4 * MOST_WRITTEN_SECONDS * (last - first + 1),
    )
    said = [json.loads(line) for line in run.stdout.splitlines()]
    found = [record for record in said if "became" in record]
    if run.returncode == 0:
        return found
    seed = said[-1]["seed"] if said else first
    failed = {"seed": seed, "became": "fault", "status": run.returncode, "told": run.stderr[-2000:]}
    return [*found, failed, *(became(seed + 1, last) if seed < last else [])]


def check_all(first: int, last: int) -> None:
    records = became(first, last)
    assert [record["seed"] for record in records] == list(range(first, last + 1))
    counts = Counter(record["became"] for record in records)
    print(f"\ndesigns over the whole ranges, seeds {first} to {last}: {dict(counts)}")  # noqa: T201 - for long runs
    faults = [record for record in records if record["became"] == "fault"]
    assert faults == []
    assert [record for record in records if record.get("peak_bytes", 0) > MOST_BYTES] == []
    most = {False: MOST_SECONDS, True: MOST_WRITTEN_SECONDS}
    slow = [record for record in records if record["seconds"] > most[record["written"]]]
    assert slow == []
    assert counts["built"] >= 0.4 * len(records), counts


def test_a_few_designs_over_the_whole_ranges():
    check_all(0, FEW - 1)


@pytest.mark.sweep
@pytest.mark.parametrize("first", range(FEW, EXAMPLES, CHUNK))
def test_designs_over_the_whole_ranges(first):
    check_all(first, min(first + CHUNK, EXAMPLES) - 1)


#: What a refusal names, and where the value stands.
PLACES = {
    "flap depth": ("flap", "depth"),
    "doorway height": ("doorway", "height"),
    "tunnel length": ("doorway", "length"),
    "vent at the curtain": ("doorway", "vent"),
    "curtain overlap": ("doorway", "overlap"),
    "tunnel flap depth": ("doorway", "flap"),
    "sleeve length": ("sleeve", "length"),
    "upright wall": ("shell", "wall"),
}
LIMIT = re.compile(r"at (most|least) (-?[\d.]+) mm(?! above)")


@pytest.mark.parametrize(
    "first", [0, *(pytest.param(n, marks=pytest.mark.sweep) for n in range(200, 1000, 200))]
)
def test_a_limit_that_is_told_is_passed_by_the_value_and_kept_by_the_limit_itself(first):
    told = Counter()
    for seed in range(first, first + 200):
        words = words_of(seed)
        try:
            design_of(words)
        except ParameterError as error:
            limit, value = LIMIT.match(error.limit), re.fullmatch(r"(-?[\d.]+) mm", error.value)
            if limit is None or value is None:
                continue
            shown, bound = float(value[1]), float(limit[2])
            assert shown > bound if limit[1] == "most" else shown < bound, str(error)
            if error.what not in PLACES:
                continue
            part, name = PLACES[error.what]
            words[part] = {**words[part], name: bound}
            told[error.what] += 1
            try:
                design_of(words)
            except ParameterError as other:
                # Where what fits here is less than anything that is allowed, the remedy says so.
                other_end = other.limit.startswith(("from ", "0 mm for none"))
                assert other.what != error.what or other_end, f"{error}\n{other}"
    assert told  # advice on where a part may stand, or how large it may be, was given and followed

"""A slicing program, told to draw supports where it sees fit, draws next to none under the printed shell.

Shells at a small scale, so that slicing is quick; leans, walls and layers are those of any scale. Skipped, and said,
where the program is not installed.
"""

import re
import shutil
import subprocess
from pathlib import Path

import pytest
from model_rooms import NAMES, room_of

from shellparts.writers.model_files import write_model

_PROGRAM = shutil.which("prusa-slicer")
_SETTINGS = (
    *("--layer-height", "0.2", "--first-layer-height", "0.2", "--nozzle-diameter", "0.4", "--skirts", "0"),
    *(
        "--perimeters",
        "2",
        "--fill-density",
        "8%",
        "--bed-shape",
        "0x0,180x0,180x180,0x180",
        "--center",
        "90,90",
    ),
    *("--support-material", "--support-material-auto", "--export-gcode"),
)


def filament_mm(code: str) -> dict[str, float]:
    """Length of filament by what it is laid for."""
    found: dict[str, float] = {}
    kind, last = "", 0.0
    for line in code.splitlines():
        if line.startswith(";TYPE:"):
            kind = line[6:]
        elif line.startswith("G92 E0"):
            last = 0.0
        elif line.startswith("G1") and (pushed := re.search(r" E(-?[\d.]+)", line)):
            now = float(pushed[1])
            found[kind], last = found.get(kind, 0.0) + now - last, now
    return found


def test_filament_is_added_up_by_what_it_is_for():
    code = ";TYPE:Perimeter\nG1 X1 E1.5\nG92 E0\nG1 X2 E0.5\n;TYPE:Support material\nG1 X3 E0.75\nG1 Z2"
    assert filament_mm(code) == {"Perimeter": 2.0, "Support material": 0.25}


@pytest.mark.sweep
@pytest.mark.skipif(_PROGRAM is None, reason="prusa-slicer is not installed: no slicing program to ask")
@pytest.mark.parametrize("name", NAMES)
def test_next_to_no_supports_are_drawn(name: str, tmp_path: Path):
    printed = room_of(name).scale_model(scale=75)
    write_model(printed, name, tmp_path)
    out = tmp_path / "shell.gcode"
    file = tmp_path / f"{name}_1-75_shell.stl"
    subprocess.run([_PROGRAM, *_SETTINGS, "-o", out, file], check=True, capture_output=True)
    laid = filament_mm(out.read_text())
    supports = sum(length for kind, length in laid.items() if kind.startswith("Support"))
    others = sum(laid.values()) - supports
    assert others > 1000.0 and supports <= 0.03 * others, laid

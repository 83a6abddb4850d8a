"""A slicing program, told to draw supports where it sees fit, draws next to none under any printed part.

Rooms at a small scale, so that slicing is quick; leans, walls and layers are those of any scale. Skipped, and said,
where the program is not installed.
"""

import math
import re
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
import trimesh
from manifold3d import Manifold
from model_rooms import NAMES, room_of

from shellparts.model.shapes import arrays
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


def sliced(file: Path) -> tuple[float, float]:
    """Length of filament for supports, and for all else [mm]."""
    out = file.with_suffix(".gcode")
    subprocess.run([_PROGRAM, *_SETTINGS, "-o", out, file], check=True, capture_output=True)
    laid = filament_mm(out.read_text())
    supports = sum(length for kind, length in laid.items() if kind.startswith("Support"))
    return supports, sum(laid.values()) - supports


@pytest.mark.sweep
@pytest.mark.skipif(_PROGRAM is None, reason="prusa-slicer is not installed: no slicing program to ask")
def test_the_program_draws_supports_where_they_are_needed(tmp_path: Path):
    """What hangs in mid-air, and a pyramid on its tip: faces of 42 degrees, but corners of 52."""
    table = Manifold.cube([4.0, 4.0, 12.0]) + Manifold.cube([20.0, 20.0, 2.0]).translate([0.0, 0.0, 12.0])
    corners = np.array([(x, y, 15.0) for x in (-13.5, 13.5) for y in (-13.5, 13.5)])
    pyramid = Manifold.hull_points(np.vstack([corners, [[0.0, 0.0, 0.0]]]))
    for name, body in (("table", table), ("pyramid", pyramid.trim_by_plane([0.0, 0.0, 1.0], 2.0))):
        trimesh.Trimesh(*arrays(body)).export(tmp_path / f"{name}.stl")
        supports, others = sliced(tmp_path / f"{name}.stl")
        assert supports > 0.03 * others, name


@pytest.mark.sweep
@pytest.mark.skipif(_PROGRAM is None, reason="prusa-slicer is not installed: no slicing program to ask")
@pytest.mark.parametrize("name", NAMES)
def test_next_to_no_supports_are_drawn(name: str, tmp_path: Path):
    printed = room_of(name).scale_model(scale=75)
    write_model(printed, name, tmp_path)
    for part in printed.parts:
        supports, others = sliced(tmp_path / f"{name}_1-75_{part.name}.stl")
        laid_mm3 = others * math.pi * 1.75**2 / 4.0
        assert 0.25 * part.solid.volume() < laid_mm3 < 1.3 * part.solid.volume(), (
            part.name
        )  # it was sliced at all
        assert supports <= 0.03 * others, (part.name, supports, others)

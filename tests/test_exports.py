"""The finished room that is kept is what its script writes today, by content, and is small."""

import subprocess
import sys
from collections import Counter
from pathlib import Path

import cadquery as cq
import ezdxf
import ezdxf.bbox
import numpy as np
import pypdfium2
import pytest
import trimesh
from PIL import Image

ROOT = Path(__file__).parents[1]
EXPORTS = ROOT / "exports"


def kept(folder: Path) -> set[str]:
    files = (path for name in ("finished", "pictures") for path in (folder / name).rglob("*"))
    return {path.relative_to(folder).as_posix() for path in files if path.is_file()}


def test_what_is_kept_is_small_and_of_every_kind():
    assert (
        sum(
            path.stat().st_size for path in EXPORTS.rglob("*") if path.relative_to(EXPORTS).as_posix() in KEPT
        )
        < 5e6
    )
    kinds = {Path(name).suffix for name in KEPT if name.startswith("finished")}
    assert kinds == {".3mf", ".dxf", ".pdf", ".png", ".step"}


KEPT = kept(EXPORTS)


def pdf(path: Path) -> list[str]:
    """The words of every page."""
    return [page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(path)]


def dxf(path: Path) -> tuple:
    """How many of each kind lie on each layer, all texts, and the size."""
    space = ezdxf.readfile(path).modelspace()
    box = ezdxf.bbox.extents(space)
    texts = sorted(one.dxf.text for one in space.query("TEXT"))
    return (
        Counter((one.dxf.layer, one.dxftype()) for one in space),
        texts,
        tuple(round(x, 3) for x in box.size),
    )


def step(path: Path) -> list:
    """How many faces and solids, and what they measure."""
    shape = cq.importers.importStep(str(path)).combine().val()
    return [len(shape.Faces()), len(shape.Solids()), round(shape.Area(), -1), round(shape.Volume(), -4)]


def parts(path: Path) -> list:
    """Each printed part: what it measures."""
    bodies = trimesh.load(path).dump()
    return sorted((round(float(one.volume), 1), *(round(float(x), 2) for x in one.extents)) for one in bodies)


def picture(path: Path) -> np.ndarray:
    """A picture, so coarse that the driver that drew it does not matter."""
    return np.asarray(Image.open(path).convert("L").resize((80, 50)), float) / 255


READ = {".pdf": pdf, ".dxf": dxf, ".step": step, ".3mf": parts}


@pytest.mark.sweep
def test_one_command_makes_all_of_it_again(tmp_path):
    run = subprocess.run([sys.executable, EXPORTS / "refresh.py", tmp_path], capture_output=True, text=True)
    assert run.returncode == 0, run.stderr
    assert kept(tmp_path) == KEPT
    changed = []
    for name in sorted(KEPT):
        old, new = EXPORTS / name, tmp_path / name
        if old.suffix == ".png":
            same = np.abs(picture(old) - picture(new)).mean() < 0.01
        else:
            read = READ[old.suffix]
            same = read(old) == read(new)
        changed += [] if same else [name]
    assert changed == [], "run python exports/refresh.py and look at what changed"

"""Make again what is kept in this folder: python exports/refresh.py [FOLDER], this folder unless given.

One finished room as its script writes it, less what is large, and a picture of each other room that the README shows.
"""

import shutil
import sys
import tempfile
from pathlib import Path

from shellparts.build.script import run_script
from shellparts.writers.picture import draw
from shellparts.writers.picture_scene import picture_scene

HERE = Path(__file__).parent
MODELS = HERE.parent / "models"
#: The room that is kept, the smallest of all by its files.
FINISHED = "lantern_room"
#: What is kept of it.
KEPT = (
    "arrangement.dxf",
    "arrangement.pdf",
    "book.pdf",
    "flat/lantern_room.dxf",
    "model/*.3mf",
    "pictures/*.png",
    "solids/lantern_room.step",
)


def refresh(folder: Path) -> None:
    """Write everything that is kept into a folder; what it held of it is replaced when all is made."""
    with tempfile.TemporaryDirectory() as place:
        made, kept = Path(place) / FINISHED, Path(place) / "kept"
        run_script(MODELS / f"{FINISHED}.py", {}).write(made)
        for path in (path for pattern in KEPT for path in sorted(made.glob(pattern))):
            target = kept / "finished" / path.relative_to(made)
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(path, target)
        (kept / "pictures").mkdir()
        for script in sorted(MODELS.glob("*.py")):
            if script.stem != FINISHED:
                draw(picture_scene(run_script(script, {}).body), kept / "pictures" / f"{script.stem}.png")
        for one in kept.iterdir():
            shutil.rmtree(folder / one.name, ignore_errors=True)
            shutil.copytree(one, folder / one.name)


if __name__ == "__main__":
    refresh(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE)

"""Rooms of ordinary sizes, drawn at random: what a school or a library would sew, in every kind that can be sewn.

Run as a program, ``python tests/ordinary_rooms.py FIRST LAST``, it writes the papers of the rooms of these seeds and
follows them, a line each.
"""

import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory

from whole_ranges import SEAMS, Draw

from shellparts.base.errors import ParameterError
from shellparts.build.room import Room, build
from shellparts.openings import Doorway, Sleeve
from shellparts.parameters import Allowances, Design, Flap, Marking, Shell
from shellparts.parameters.cloth import cloth_roll, cloth_sheet

__all__ = ["followed", "ordinary"]


def ordinary(seed: int, laid: bool = True) -> Room | None:
    """A room, laid out on its cloth or not; which one follows from the seed. None where its parts do not fit."""
    draw = Draw(seed)
    across = draw.length(3000.0, 6200.0)
    shell = {
        "panels": draw.whole(6, 18),
        "across": across,
        "height": across * draw.word(0.55, 0.62, 0.7, 0.8),
        "wall": draw.word(0.0, 600.0, 900.0, 1150.0),
        "profile": draw.word("straight", "dome", "pointed"),
        "stop_short": draw.length(120.0, 320.0),
    }
    head = draw.word("arched", "gabled", "flat")
    doorway = {
        "width": draw.length(800.0, 1200.0),
        "height": draw.length(1400.0, 2050.0),
        "length": draw.length(900.0, 1800.0),
        "head": head,
        "centred_on": draw.word("panel", "seam"),
        "vent": draw.word(0.0, 300.0, 450.0, 700.0),
        "flap": draw.word(0.0, 150.0),
    }
    length, height = draw.length(700.0, 1400.0), draw.length(350.0, 600.0)
    sleeves = (
        (),
        ({"diameter": draw.length(280.0, 420.0), "length": length, "height": height},),
        ({"width": 400.0, "depth": draw.length(260.0, 420.0), "length": length, "height": height},),
    )
    flap = draw.word(None, {"depth": 250.0}, {"depth": 250.0, "sewn_on": True})
    kinds = {f"{name}_seam": draw.word(*SEAMS) for name in ("panel", "cap", "tunnel", "sleeve", "joint")}
    tape, cloth = draw.word("metric", "imperial"), draw.word("sheet", 1500.0, 2000.0, 3200.0)
    sleeve = draw.word(*sleeves)
    try:
        design = Design(
            name="ordinary",
            shell=Shell(**shell),
            doorway=Doorway(**doorway),
            openings=tuple(Sleeve(**one) for one in sleeve),
            flap=None if flap is None else Flap(**flap),
            allowances=Allowances(**(kinds if draw.chance(0.5) else {})),
            marking=Marking(tape=tape),
        )
        if cloth == "sheet":
            stock = cloth_sheet("example sheet", ("6 m", "5 m"), ("5.94 m", "4.94 m"), "20 mm")
        else:
            stock = cloth_roll("example roll", cloth)
        room = build(design, cloth=stock)
        room.layout if laid else room.pattern  # noqa: B018 - some things are refused when the pieces are known
    except ParameterError:
        return None
    return room


def followed(seed: int, laid: bool = True) -> list[str] | None:
    """Faults of the papers of a room, with layouts or without; None where there is no such room."""
    from follow_the_papers import faults_of, write_papers

    room = ordinary(seed, laid)
    if room is None:
        return None
    with TemporaryDirectory() as folder:
        write_papers(room, Path(folder) / "out", laid)
        return faults_of(Path(folder) / "out")


if __name__ == "__main__":
    for number in range(int(sys.argv[1]), int(sys.argv[2]) + 1):
        began = time.process_time()
        faults = followed(number)
        told = "no room" if faults is None else str(faults)
        sys.stdout.write(f"{number} {time.process_time() - began:.1f} s {told}\n")
        sys.stdout.flush()

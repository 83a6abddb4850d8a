"""Designs drawn over the whole ranges that the parameters state, corners included.

A design is plain data, keywords of every part, and follows from one whole number, its seed: a failure is told by it and
copied into a test by it. Each value is drawn from its stated range, most often from the part of it that the values drawn
before leave open, now and then from all of it, which the design must then refuse.

Run as a program, ``python tests/whole_ranges.py FIRST LAST``, it builds the designs of these seeds, checks each,
and prints a line of JSON for each before and after.
"""

import json
import math
import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np

from shellparts.base.errors import ParameterError
from shellparts.openings import Doorway, Sleeve
from shellparts.parameters import Allowances, Design, Flap, Marking, Reinforcement, Shell

KINDS: dict[str, Any] = {
    "shell": Shell,
    "doorway": Doorway,
    "sleeve": Sleeve,
    "flap": Flap,
    "allowances": Allowances,
    "reinforcement": Reinforcement,
    "marking": Marking,
}
#: Of every so many designs the advice is made, and all files are written.
ADVISED, WRITTEN = 10, 25
SEAMS = ("plain", "lapped", "flat_felled", "taped")
#: Ranges that the parameters state [mm].
ACROSS, HEIGHT, WALL = (1000.0, 20_000.0), (800.0, 10_000.0), (0.0, 4000.0)


class Draw:
    """Draws values from one seed."""

    def __init__(self, seed: int):
        self.rng = np.random.default_rng([20, seed])

    def chance(self, share: float) -> bool:
        return bool(self.rng.random() < share)

    def word(self, *words: Any) -> Any:
        return words[int(self.rng.integers(len(words)))]

    def whole(self, low: int, high: int) -> int:
        """A whole number from `low` to `high`; each end now and then."""
        return self.word(low, high) if self.chance(0.2) else int(self.rng.integers(low, high + 1))

    def length(self, low: float, high: float, open_low: float = 0.0, open_high: float = math.inf) -> float:
        """A length from `low` to `high` [mm], mostly from what is open of it; ends and round numbers are likely."""
        if not self.chance(0.03):
            low, high = max(low, min(open_low, high)), min(high, max(open_high, low))
            low, high = min(low, high), max(low, high)
        if self.chance(0.25):
            return self.word(low, high)
        value = math.exp(self.rng.uniform(math.log(low + 1.0), math.log(high + 1.0))) - 1.0
        value = value if self.chance(0.5) else self.rng.uniform(low, high)
        return float(np.clip(round(value / 50.0) * 50.0 if self.chance(0.3) else value, low, high))

    def maybe(self, share: float, words: dict[str, Any], name: str, *limits: float) -> None:
        """Put a length among the keywords, or leave it to its default."""
        if self.chance(share):
            words[name] = self.length(*limits)


def shell(draw: Draw) -> dict[str, Any]:
    """Keywords of a shell."""
    panels = draw.whole(5, 64)
    words: dict[str, Any] = {
        "panels": panels,
        "profile": draw.word("straight", "dome", "pointed", "points"),
        "measured": draw.word("seams", "middles"),
    }
    least_across = 155.0 / math.sin(math.pi / panels)
    draw.maybe(
        0.4, words, "stop_short", 0.0, 2000.0, 12.0 / math.tan(math.pi / panels), 0.2 * least_across + 600.0
    )
    if words["profile"] == "points":
        return words | points(draw, least_across)
    across = draw.length(*ACROSS, least_across)
    reach = {"straight": (200.0, 1e9), "dome": (200.0, across / 2), "pointed": (across / 2 * 1.001, 1e9)}
    low, high = reach[words["profile"]]
    height = draw.length(*HEIGHT, low, high + WALL[1])
    wall = 0.0 if draw.chance(0.3) else draw.length(*WALL, height - high, height - low)
    if not draw.chance(0.03):
        wall = max(wall, height - high, 0.0)
    return words | {"across": across, "height": height, "wall": 0.0 if 0.0 < wall < 1.0 else wall}


def points(draw: Draw, least_across: float) -> dict[str, Any]:
    """Keywords of a profile of points."""
    base, top = draw.length(ACROSS[0] / 2, ACROSS[1] / 2, least_across / 2), draw.length(*HEIGHT)
    on_axis = draw.chance(0.5)
    if draw.chance(0.5):
        power, bulge = draw.rng.uniform(1.4, 3.0), draw.rng.uniform(-0.2, 0.2)
        angle = np.linspace(0.0, math.pi / 2 * (1.0 if on_axis else 0.85), draw.whole(4, 12))
        radius = np.minimum(
            base * np.cos(angle) ** (2 / power) * (1 + bulge * np.sin(2 * angle)), ACROSS[1] / 2
        )
        rise = top * np.sin(angle) ** (2 / power)
        radius[-1], rise[-1] = (0.0 if on_axis else radius[-1]), top
        return {"points": list(zip(radius.tolist(), rise.tolist(), strict=True)), "smooth": True}
    shares = sorted({0.0, 1.0, *draw.rng.random(draw.whole(0, 8)).round(3).tolist()})
    factors = draw.rng.choice([1.0, 0.9, 0.75, 0.6, 1.08, 0.97], len(shares) - 1) * draw.rng.uniform(0.9, 1.0)
    radii = np.minimum(base * np.cumprod([1.0, *factors]), ACROSS[1] / 2).tolist()
    radii[-1] = 0.0 if on_axis else radii[-1]
    smooth = len(shares) >= 4 and draw.chance(0.3)
    return {"points": [(r, top * share) for r, share in zip(radii, shares, strict=True)], "smooth": smooth}


def doorway(draw: Draw, ring: Shell) -> dict[str, Any]:
    """Keywords of a doorway."""
    base, top = float(ring.mid.breaks[0, 0]), float(ring.mid.top[1])
    width = draw.length(400.0, 4000.0, 0.0, 1.5 * base)
    head = draw.word("gabled", "arched", "flat")
    words: dict[str, Any] = {"width": width, "head": head, "centred_on": draw.word("panel", "seam")}
    rise = {"flat": 0.0, "arched": width / 2, "gabled": min(width / 3, 500.0)}[head]
    words["height"] = height = draw.length(600.0, 4000.0, rise + 105.0, 0.75 * top)
    if head == "gabled" and draw.chance(0.5):
        words["rise"] = rise = draw.length(0.0, 3000.0, 20.0, height - 105.0)
    words["length"] = draw.length(300.0, 6000.0, 800.0)
    if draw.chance(0.5):
        words["vent"] = 0.0 if draw.chance(0.2) else draw.length(0.0, 3000.0, 20.0, height - rise - 51.0)
    draw.maybe(0.5, words, "overlap", 50.0, 2000.0, 0.0, width - 200.0)
    if draw.chance(0.5):
        words["flap"] = 0.0 if draw.chance(0.2) else draw.length(0.0, 1000.0, 20.0, width / 2 - 20.0)
    return words


def sleeve(draw: Draw, ring: Shell) -> dict[str, Any]:
    """Keywords of a sleeve."""
    height = draw.length(50.0, 5000.0, 150.0, 0.8 * ring.mid.top[1])
    if not 2 * float(ring.half_width(min(height, ring.mid.top[1]))) - 90.0 > 110.0 and draw.chance(0.9):
        return {}
    room = min(2 * float(ring.half_width(min(height, ring.mid.top[1]))) - 90.0, 2 * (height - 45.0))
    words: dict[str, Any] = {"height": height, "length": draw.length(200.0, 5000.0, 500.0)}
    shape = draw.word("girth", "diameter", "box")
    if shape == "girth":
        words["girth"] = draw.length(300.0, 5000.0, 300.0, math.pi * room - 60.0)
    elif shape == "diameter":
        words["diameter"] = draw.length(100.0, 1500.0, 100.0, room)
    else:
        words |= {name: draw.length(100.0, 1500.0, 100.0, room) for name in ("width", "depth")}
    steepest = math.degrees(math.asin(min(0.8, max(0.0, (height - room / 2) / words["length"]))))
    if draw.chance(0.6):
        words["slope"] = float(draw.word(-45.0, 60.0, draw.rng.uniform(-45.0, max(1.0, steepest))))
    if draw.chance(0.6):
        words["panel"] = draw.whole(1, ring.panels)
    return words


def words_of(seed: int) -> dict[str, Any]:
    """Keywords of every part of the design of one seed."""
    draw = Draw(seed)
    words: dict[str, Any] = {"shell": shell(draw)}
    try:
        ring = Shell(**words["shell"])
    except ParameterError:
        return words
    if draw.chance(0.75):
        words["doorway"] = doorway(draw, ring)
    if draw.chance(0.6) and (tube := sleeve(draw, ring)):
        words["sleeve"] = tube
    if draw.chance(0.6):
        open_floor = float(ring.mid.breaks[0, 0]) - 300.0
        words["flap"] = {"depth": draw.length(50.0, 1500.0, 50.0, open_floor), "sewn_on": draw.chance(0.5)}
    if draw.chance(0.6):
        limits = {"seam": (5.0, 100.0), "hem": (5.0, 150.0), "drawcord": (5.0, 150.0), "join": (5.0, 100.0)}
        words["allowances"] = {
            name: draw.length(*limit) for name, limit in limits.items() if draw.chance(0.7)
        }
        seams = ("panel", "cap", "tunnel", "sleeve", "joint", "curtain", "flap", "join")
        words["allowances"] |= {f"{one}_seam": draw.word(*SEAMS) for one in seams if draw.chance(0.7)}
    if draw.chance(0.4):
        sizes = {
            "corner": (30.0, 400.0),
            "rim": (20.0, 300.0),
            "tab_spacing": (200.0, 5000.0),
            "tab_width": (20.0, 300.0),
            "tab_length": (60.0, 800.0),
        }
        words["reinforcement"] = {
            name: draw.length(*limit) for name, limit in sizes.items() if draw.chance(0.6)
        }
    if draw.chance(0.4):
        words["marking"] = {"tape": draw.word("metric", "imperial"), "spacing": draw.length(20.0, 1000.0)}
    return words


def design_of(words: dict[str, Any]) -> Design:
    """The design that the keywords mean."""
    return Design(name="random_room", **{key: KINDS[key](**value) for key, value in words.items()})


def _say(record: dict[str, Any]) -> None:
    print(json.dumps(record), flush=True)  # noqa: T201 - the parent reads it


def _peak_bytes() -> int:
    """The most memory that this process has held; 0 where the system does not tell."""
    try:
        import resource
    except ImportError:
        return 0
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak if sys.platform == "darwin" else peak * 1024


def main(first: int, last: int) -> None:
    """Build and check the designs of these seeds, and say of each what became of it.

    Of every few the page of advice is made too, by formula, and of some every file is written.
    """
    from room_checks import check_room

    from shellparts.build.room import build
    from shellparts.parameters.fan_sources import fan_from_label

    fan = fan_from_label("example fan", "1.2 m3/s", 450)
    for seed in range(first, last + 1):
        _say({"seed": seed})
        start, became = time.process_time(), {"became": "built"}
        written = False
        try:
            room = build(design_of(words_of(seed)), fan)
            room.pattern  # noqa: B018 - some things can be refused only when the pieces are known
        except ParameterError as error:
            became = {"became": "refused", "what": error.what, "message": str(error)}
        else:
            check_room(room)
            if seed % ADVISED == 0:
                room.first_look.advice(more=True)
            if seed % WRITTEN == WRITTEN - 1:
                written = True
                with TemporaryDirectory() as folder:
                    room.write(Path(folder) / "out")
        seconds = round(time.process_time() - start, 2)
        _say({"seed": seed, "seconds": seconds, "written": written, "peak_bytes": _peak_bytes(), **became})


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))

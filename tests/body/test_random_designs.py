"""Random designs: each is built with every check holding, or refused with a `ParameterError`.

More of them: ``SHELLPARTS_EXAMPLES=5000 pytest tests/body/test_random_designs.py``.
"""

import math
import os
from collections import Counter
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, event, given, note, settings
from hypothesis import strategies as st
from room_checks import check_room

from shellparts.base.errors import ParameterError
from shellparts.build.room import build
from shellparts.openings import Doorway, Sleeve
from shellparts.parameters import Allowances, Design, Flap, Shell

EXAMPLES = int(os.environ.get("SHELLPARTS_EXAMPLES", "10"))
#: At least this share of the random designs must be buildable, or the test tests little.
LEAST_BUILT = 0.3  # of 10 designs, of which about 0.55 can be built

nudges = st.one_of(
    st.just(0.0), st.sampled_from([s * e for e in (1e-7, 1e-6, 1e-5, 1e-4, 1e-3, 1.0, 3.0) for s in (1, -1)])
)
shares = st.sampled_from([i / 20 for i in range(21)]) | st.floats(0.0, 1.0)


def between(low: float, high: float) -> st.SearchStrategy[float]:
    """Round numbers, and any others, from `low` to `high` [mm]."""
    nice = [float(i) for i in range(math.ceil(low / 50) * 50, math.floor(high / 50) * 50 + 1, 50)]
    free = st.floats(low, max(low, high))
    return st.one_of(st.sampled_from(nice), free) if nice else free


@st.composite
def points(draw: Any) -> tuple[tuple[tuple[float, float], ...], bool]:
    """Profile points from the floor up, and whether they are joined smoothly."""
    base, top = draw(between(1000, 4000)), draw(between(1200, 5000))
    smooth = draw(st.booleans())
    ends_on_axis = draw(st.booleans())
    if smooth:
        power, bulge = draw(st.floats(1.6, 2.6)), draw(st.floats(-0.15, 0.15))
        angles = np.linspace(0.0, math.pi / 2 * (1.0 if ends_on_axis else 0.85), draw(st.integers(4, 7)))
        r = base * np.cos(angles) ** (2 / power) * (1 + bulge * np.sin(2 * angles))
        z = top * np.sin(angles) ** (2 / power)
        r[-1] = 0.0 if ends_on_axis else r[-1]
        return tuple(zip(r.tolist(), z.tolist(), strict=True)), True
    number = draw(st.integers(2, 6))
    heights = sorted({0.0, top, *(round(top * draw(shares), 1) for _ in range(number - 2))})
    radii = [base]
    for _ in heights[1:]:
        radii.append(radii[-1] * draw(st.sampled_from([1.0, 0.9, 0.75, 0.6, 1.08]) | st.floats(0.5, 1.1)))
    radii[-1] = 0.0 if ends_on_axis else max(radii[-1], 100.0)
    return tuple(zip(radii, heights, strict=True)), False


@st.composite
def shells(draw: Any) -> dict[str, Any]:
    """Keywords of a shell."""
    panels = draw(
        st.sampled_from([5, 6, 7, 8, 8, 9, 10, 12]) | st.integers(5, 20) | st.sampled_from([32, 64])
    )
    kind = draw(st.sampled_from(["straight", "dome", "pointed", "points"]))
    words: dict[str, Any] = {
        "panels": panels,
        "profile": kind,
        "measured": draw(st.sampled_from(["seams", "middles"])),
    }
    least_stop = max(50.0, 6.0 / math.tan(math.pi / panels))
    words["stop_short"] = draw(st.none() | between(2 * least_stop, 2 * least_stop + 200))
    if kind == "points":
        words["points"], words["smooth"] = draw(points())
        return words
    across = draw(between(2500, 9000) | st.floats(1500, 12000))
    wall = draw(st.sampled_from([0.0, 0.0, 600.0, 1000.0, 1800.0]) | between(1, 2000))
    low, high = {"straight": (0.3, 1.2), "dome": (0.35, 1.0), "pointed": (1.02, 1.7)}[kind]
    rise = across / 2 * (low + (high - low) * draw(shares))
    wall = max(wall, 800.0 - rise)
    words |= {"across": across, "wall": wall, "height": wall + rise}
    return words


@st.composite
def doorways(draw: Any, shell: Shell) -> dict[str, Any]:
    """Keywords of a doorway that has a good chance to fit, often one that coincides with lines of the shell."""
    base = float(shell.mid.breaks[0, 0])
    panel = 2 * base * shell.tangent
    levels = [float(z) for z in shell.mid.breaks[1:-1, 1] if 500.0 < z < 3500.0]
    roof = min(3000.0, 0.6 * shell.mid.top[1])
    height = draw(between(0.6 * roof, roof))
    width = draw(between(500.0, max(600.0, min(2200.0, 0.9 * base))))
    ridges = [
        2 * float(shell.seam.radius_at(z)) * math.sin(math.pi / shell.panels * k)
        for z in (0.0, height)
        for k in (1, 2, 3)
    ]
    coincident = [w for w in (panel, 3 * panel, *ridges) if 450.0 < w < 1.2 * base]
    if coincident and draw(st.booleans()):
        width = draw(st.sampled_from(coincident)) + draw(nudges)
    words: dict[str, Any] = {"head": draw(st.sampled_from(["gabled", "arched", "flat"])), "width": width}
    rise = {"flat": 0.0, "arched": width / 2, "gabled": width / 3}[words["head"]]
    if words["head"] == "gabled" and draw(st.booleans()):
        words["rise"] = rise = draw(between(50.0, 500.0))
    height = max(height, rise + 600.0)
    if levels and draw(st.booleans()):
        height = draw(st.sampled_from(levels)) + draw(nudges) + draw(st.sampled_from([0.0, rise]))
    words["height"] = height
    words["length"] = draw(between(1200.0, 3500.0))
    words["centred_on"] = draw(st.sampled_from(["panel", "seam"]))
    eaves = height - rise
    words["vent"] = draw(st.just(0.0) | between(20.0, max(20.0, min(800.0, eaves - 50.0))))
    words["overlap"] = draw(between(50.0, max(60.0, min(400.0, width - 200.0))))
    words["flap"] = draw(st.just(0.0) | between(50.0, min(400.0, width / 2 - 20.0)))
    return words


@st.composite
def sleeves(draw: Any, shell: Shell) -> dict[str, Any] | None:
    """Keywords of a sleeve, or None where a panel has no room for one."""
    height = draw(between(250.0, max(300.0, min(1500.0, 0.5 * shell.mid.top[1]))))
    levels = [float(z) for z in shell.mid.breaks[1:-1, 1] if 250.0 < z < 1500.0]
    if levels and draw(st.booleans()):
        height = draw(st.sampled_from(levels)) + draw(nudges) + draw(st.sampled_from([0.0, 150.0, -150.0]))
    room = min(2 * float(shell.half_width(height)) - 90.0, 2 * (height - 60.0), 1200.0)
    if room < 110.0:
        return None
    size = draw(between(100.0, room))
    words: dict[str, Any] = {"height": height, "length": draw(between(700.0, 2000.0))}
    words["panel"] = shell.panels // 2 + draw(st.sampled_from([1, 1, 1, 0]))
    shape = draw(st.sampled_from(["girth", "diameter", "box"]))
    if shape == "girth":
        words["girth"] = max(300.0, math.pi * size - 40.0)
    elif shape == "diameter":
        words["diameter"] = size
    else:
        words |= {"width": size, "depth": draw(between(100.0, max(100.0, min(size, 600.0))))}
    steepest = math.degrees(math.asin(min(0.5, max(0.0, (height - size / 2 - 10.0) / words["length"]))))
    words["slope"] = draw(st.just(0.0) | st.floats(-20.0, max(0.0, steepest)).map(lambda x: round(x, 6)))
    return words


@st.composite
def designs(draw: Any) -> dict[str, Any]:
    """Keywords of every part of a design: plain data, so that a failure can be copied into a test."""
    words: dict[str, Any] = {"shell": draw(shells())}
    try:
        shell = Shell(**words["shell"])
    except ParameterError:
        return words
    if draw(st.integers(0, 5)):
        words["doorway"] = draw(doorways(shell))
    if draw(st.integers(0, 3)):
        words["sleeve"] = draw(sleeves(shell))
    room = float(shell.mid.breaks[0, 0]) - 300.0
    if room > 60.0 and draw(st.booleans()):
        words["flap"] = {"depth": draw(between(50.0, min(600.0, room))), "sewn_on": draw(st.booleans())}
    if draw(st.booleans()):
        words["allowances"] = {
            "seam": draw(between(5.0, 60.0)),
            "hem": draw(between(5.0, 100.0)),
            "drawcord": draw(between(5.0, 100.0)),
        }
    return words


KINDS: dict[str, Callable[..., Any]] = {
    "shell": Shell,
    "doorway": Doorway,
    "sleeve": Sleeve,
    "flap": Flap,
    "allowances": Allowances,
}


def design_of(words: dict[str, Any]) -> Design:
    """The design that the keywords mean."""
    parts = {key: KINDS[key](**value) for key, value in words.items() if value is not None}
    return Design(name="random_room", **parts)


@pytest.fixture(scope="module")
def tally() -> Iterator[Counter[str]]:
    """Counts what became of the designs, and asks that enough of them were built."""
    counts: Counter[str] = Counter()
    yield counts
    print(f"\nrandom designs: {dict(counts)}")  # noqa: T201 - the count is what a long run is for
    tried = counts["built"] + counts["refused"]
    assert counts["built"] >= LEAST_BUILT * tried, counts


@settings(
    max_examples=EXAMPLES,
    deadline=None,
    derandomize="SHELLPARTS_EXAMPLES" not in os.environ,
    database=None,
    print_blob=True,
    suppress_health_check=[
        HealthCheck.too_slow,
        HealthCheck.data_too_large,
        HealthCheck.function_scoped_fixture,
    ],
)
@given(words=designs())
def test_built_right_or_refused(tally: Counter[str], words: dict[str, Any]) -> None:
    note(repr(words))
    try:
        room = build(design_of(words))
        room.pattern  # noqa: B018 - some things can be refused only when the pieces are known
    except ParameterError as error:
        event(f"refused: {error.what}")
        tally["refused"] += 1
        tally[f"refused: {error.what}"] += 1
        return
    check_room(room)
    tally["built"] += 1
    event("built")

"""Shells of profile points, smooth and straight, wild ones among them: built with every check, or refused by name."""

import re
from collections import Counter
from typing import Any

import numpy as np
import pytest
from room_checks import check_outlines, check_pattern, check_room

from shellparts.base.errors import ParameterError
from shellparts.build.room import Room, build
from shellparts.openings import Sleeve
from shellparts.parameters import Design, Shell

EXAMPLES = 10
#: Flat area and area of the face, integrated apart, differ by less than this share.
SAME_AREA = 1e-9


def words_of(seed: int) -> tuple[dict[str, Any], dict[str, Any] | None]:
    """Keywords of a shell of points and, for every other two, of a sleeve; odd seeds are smooth."""
    draw = np.random.default_rng([31, seed])
    count = int(draw.integers(4, 9))
    base, top = draw.uniform(600, 6000), draw.uniform(900, 7000)
    rise = np.sort(np.r_[0, 1, draw.random(count - 2)]) * top
    if draw.random() < 0.5:  # in and out again
        radius = base * np.clip(np.cumprod(np.r_[1, draw.uniform(0.55, 1.15, count - 1)]), 0.02, 1.6)
    else:
        swing = 1 + draw.uniform(-0.15, 0.15, count) * (rise > 0)
        radius = base * (1 - rise / top * draw.uniform(0.5, 0.95)) * swing
    if draw.random() < 0.3:
        radius[-1] = 0.0
    shell = {
        "panels": int(draw.choice([5, 6, 8, 12, 16, 24, 64])),
        "profile": "points",
        "smooth": bool(seed % 2),
        "measured": str(draw.choice(["seams", "middles"])),
        "points": [(round(float(r)), round(float(z))) for r, z in zip(radius, rise, strict=True)],
    }
    if seed // 2 % 2 == 0:
        return shell, None
    ends = {
        "width": (100, 600),
        "depth": (100, 600),
        "length": (200, 2000),
        "height": (200, max(300, 0.7 * top)),
    }
    sleeve = {name: float(draw.uniform(*limits)) for name, limits in ends.items()}
    return shell, sleeve | {"slope": float(draw.uniform(-45, 60))}


def room_of(shell: dict[str, Any], sleeve: dict[str, Any] | None) -> Room:
    parts = {} if sleeve is None else {"sleeve": Sleeve(**sleeve)}
    room = build(Design(name="random_room", shell=Shell(**shell), **parts))
    room.pattern  # noqa: B018 - some things can be refused only when the pieces are known
    return room


def test_wild_profiles_are_built_or_refused():
    became = Counter()
    for seed in range(EXAMPLES):
        shell, sleeve = words_of(seed)
        try:
            room = room_of(shell, sleeve)
        except ParameterError as error:
            assert error.limit and error.remedy, seed
            became["refused"] += 1
            continue
        check_outlines(room)
        if seed % 6 == 0:
            check_pattern(room)
        for name, outline in room.outlines.items():
            share = abs(outline.flat_area_mm2 / outline.face_area_mm2 - 1.0)
            assert share <= SAME_AREA, (seed, name)
        became["smooth" if shell["smooth"] else "straight"] += 1
    assert min(became[kind] for kind in ("refused", "smooth", "straight")) >= 1, became


def test_a_smooth_profile_with_a_bulge_and_a_waist_is_built():
    points = [(2194, 0), (1632, 1762), (1684, 1840), (992, 2727), (734, 3267)]
    check_room(
        room_of(
            {"panels": 5, "profile": "points", "measured": "middles", "smooth": True, "points": points}, None
        )
    )


def test_a_smooth_curve_that_swings_back_is_refused():
    points = [(1733, 0), (1199, 657), (966, 1665), (1078, 1680), (693, 2162), (374, 2620)]
    words = {"panels": 8, "profile": "points", "points": points}
    with pytest.raises(ParameterError, match="turns back on itself") as told:
        Shell(**words, smooth=True)
    assert "smooth=False" in told.value.remedy
    check_outlines(room_of(words, None))  # the remedy helps


def test_a_sleeve_that_meets_the_panel_again_is_refused():
    """The panel leans outward from 882 mm to 1016 mm up, at about the height of the sleeve."""
    shell = {"panels": 16, "profile": "points", "points": [(2754, 0), (1897, 882), (2069, 1016)]}
    sleeve = {"width": 267, "depth": 443, "length": 1020, "height": 708, "slope": -45}
    with pytest.raises(ParameterError, match="meet it again") as told:
        room_of(shell, sleeve)
    assert 882 <= float(re.search(r"(\d+) mm up", str(told.value))[1]) <= 1020
    check_outlines(room_of(shell, sleeve | {"slope": 0, "height": 400, "depth": 300}))  # the remedies help

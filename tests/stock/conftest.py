"""Pieces of rooms, drawn here without the library, for the tests of the stock stage."""

import numpy as np
import pytest
import shapely

from shellparts.pattern.cut_pieces import CutPiece
from shellparts.stock.packer import Effort

#: Enough to see the packer work, in well under a second a run.
SHORT = Effort(steps=120, hard=5, pattern_tests=2, pattern_steps=80, pattern_seeds=1, clock_s=60.0)


def straight_panel(
    count: int = 12, base: float = 4400.0, top: float = 400.0, height: float = 3300.0
) -> np.ndarray:
    """Flat panel of a straight-sided room, with 15 mm of allowance; the weave runs up the panel."""
    low, high = base * np.sin(np.pi / count), top * np.sin(np.pi / count)
    slant = np.hypot(height, (base - top) / 2.0 * np.cos(np.pi / count))
    sewn = shapely.Polygon([(0, -low / 2), (slant, -high / 2), (slant, high / 2), (0, low / 2)])
    return np.array(sewn.buffer(15.0, join_style="mitre").exterior.coords)


def dome_panel(count: int = 18, diameter: float = 5600.0, wall: float = 900.0) -> np.ndarray:
    """Flat panel of a dome on an upright wall, with 15 mm of allowance."""
    radius, arc = diameter / 2.0, np.linspace(0.0, 0.97 * np.pi / 2.0, 24)
    x = np.r_[0.0, wall + radius * arc]
    half = np.r_[1.0, np.cos(arc)] * radius * np.tan(np.pi / count)
    sewn = shapely.Polygon(np.r_[np.c_[x, -half], np.c_[x, half][::-1]])
    return np.array(sewn.buffer(15.0, join_style="mitre").simplify(0.05).exterior.coords)


def box(length: float, width: float) -> np.ndarray:
    """Rectangle with a corner at the origin."""
    return np.array([(0.0, 0.0), (length, 0.0), (length, width), (0.0, width)])


@pytest.fixture
def short_effort() -> Effort:
    return SHORT


@pytest.fixture
def room() -> list[CutPiece]:
    """Panels, a cap, sleeves and a flap of one small room."""
    turn = np.linspace(0.0, 2.0 * np.pi, 48, endpoint=False)
    cap = 260.0 * np.column_stack([np.cos(turn), np.sin(turn)])
    return [
        CutPiece("panel", 5, straight_panel()),
        CutPiece("cap", 1, cap),
        CutPiece("sleeve", 2, box(1900.0, 650.0)),
        CutPiece("flap", 1, box(1500.0, 1100.0)),
    ]


@pytest.fixture
def straight() -> np.ndarray:
    return straight_panel()


@pytest.fixture
def dome() -> np.ndarray:
    return dome_panel()

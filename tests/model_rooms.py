"""The three shipped rooms, made once a process exactly as a user's command makes them."""

from functools import cache
from pathlib import Path

import pytest

from shellparts.build.room import Room
from shellparts.build.script import run_script

MODELS = Path(__file__).parents[1] / "models"
NAMES = ("lantern_room", "tide_dome", "orchard_pavilion")
#: For tests that take long: one room each time, the others in long runs.
FIRST_NAME = (NAMES[0], *(pytest.param(name, marks=pytest.mark.sweep) for name in NAMES[1:]))


@cache
def room_of(name: str) -> Room:
    """The room of a model script; each stage is worked out once, by the first test that asks for it."""
    return run_script(MODELS / f"{name}.py", {})

"""The three shipped rooms, made once for all tests exactly as a user's command makes them."""

from pathlib import Path

import pytest

from shellparts.room import Room
from shellparts.script import run_script

MODELS = Path(__file__).parents[1] / "models"
NAMES = ("lantern_room", "tide_dome", "orchard_pavilion")


@pytest.fixture(scope="session")
def rooms() -> dict[str, Room]:
    """The rooms of the model scripts by name; each stage is worked out once, by the first test that asks for it."""
    return {name: run_script(MODELS / f"{name}.py", {}) for name in NAMES}


@pytest.fixture(scope="session", params=NAMES)
def model_room(request: pytest.FixtureRequest, rooms: dict[str, Room]) -> Room:
    """Each of the three rooms in turn."""
    return rooms[request.param]

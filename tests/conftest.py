"""Fixtures of all tests."""

import pytest
from model_rooms import NAMES, room_of

from shellparts.build.room import Room


@pytest.fixture(scope="session")
def rooms() -> dict[str, Room]:
    """The shipped rooms by name."""
    return {name: room_of(name) for name in NAMES}


@pytest.fixture(scope="session", params=NAMES)
def model_room(request: pytest.FixtureRequest, rooms: dict[str, Room]) -> Room:
    """Each of the three rooms in turn."""
    return rooms[request.param]

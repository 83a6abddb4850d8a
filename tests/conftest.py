"""Fixtures of all tests, and how the processes run that they start."""

import os

import pytest
from model_rooms import NAMES, room_of
from plain_room import bare_room, build_room, cloth, fan, room

from shellparts.build.room import Room

#: Hundreds of processes are started: each would compile every module anew, and those that run side by side would each
#: take all cores for the smallest matrix.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

#: A script full of mistakes on purpose: read by type checkers and by its own test, never imported.
collect_ignore = ["planted_mistakes.py"]

__all__ = ["bare_room", "build_room", "cloth", "fan", "model_room", "room", "rooms"]


@pytest.fixture(scope="session")
def rooms() -> dict[str, Room]:
    """The shipped rooms by name."""
    return {name: room_of(name) for name in NAMES}


@pytest.fixture(scope="session", params=NAMES)
def model_room(request: pytest.FixtureRequest, rooms: dict[str, Room]) -> Room:
    """Each of the three rooms in turn."""
    return rooms[request.param]

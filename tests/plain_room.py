"""One plain room, one fan, one cloth for the tests of the numbers and of what is said of them."""

import math

import pytest

from shellparts.base.ranges import exact
from shellparts.loads.room_figures import RoomFigures
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.fan import Fan
from shellparts.parameters.fan_sources import fan_from_points

RADIUS_M, WALL_M, HEIGHT_M = 2.2, 2.4, 3.4
FLOOR_M2, PERIMETER_M = math.pi * RADIUS_M**2, 2.0 * math.pi * RADIUS_M


def make_room(flap_depth_m: float = 0.3, **changes: object) -> RoomFigures:
    slope = math.hypot(RADIUS_M, HEIGHT_M - WALL_M)
    surface = PERIMETER_M * WALL_M + math.pi * RADIUS_M * slope
    flap = FLOOR_M2 * (1.0 - (1.0 - flap_depth_m / RADIUS_M) ** 2)
    figures: dict[str, object] = {
        "floor_area_m2": FLOOR_M2,
        "surface_area_m2": surface,
        "envelope_volume_m3": FLOOR_M2 * (WALL_M + (HEIGHT_M - WALL_M) / 3.0),
        "base_diameter_mm": 2000.0 * RADIUS_M,
        "height_mm": 1000.0 * HEIGHT_M,
        "profile_radius_mm": [2200.0, 2200.0, 2200.0, 0.0],
        "profile_height_mm": [0.0, 2400.0, 2400.0, 3400.0],
        "panel_count": 12,
        "seam_length_m": 55.0,
        "base_perimeter_m": PERIMETER_M,
        "cloth_mass_kg": 0.2 * (surface + flap),
        "exit_width_mm": 950.0,
        "exit_height_mm": 1900.0,
        "tunnel_length_mm": 1200.0,
        "flap_area_m2": flap,
        "flap_depth_mm": 1000.0 * flap_depth_m,
        "vent_longest_mm": 1900.0,
    }
    return RoomFigures(**{**figures, **changes})


@pytest.fixture
def room() -> RoomFigures:
    return make_room()


@pytest.fixture
def bare_room() -> RoomFigures:
    return make_room(flap_depth_m=0.0)


@pytest.fixture
def build_room():
    return make_room


@pytest.fixture
def cloth() -> Cloth:
    return Cloth(mass_kg_m2=exact(0.2))


@pytest.fixture
def fan() -> Fan:
    return fan_from_points("blower", (0.0, 0.2, 0.4, 0.55), (60.0, 52.0, 30.0, 0.0), 350.0)

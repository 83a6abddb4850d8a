"""A room as such rooms are commonly made, checked by hand calculation.

The figures of the room are common practice and have no source; every expected value is worked out here from
them alone.
"""

import math

import numpy as np
import pytest
import shapely

from shellparts import Allowances, Design, Doorway, Shell, Sleeve, build
from shellparts.build.room import Room
from shellparts.pattern.pieces import Piece

FOOT = 304.8
PANELS = 16
RADIUS = 15 * FOOT / 2
HEIGHT = 15 * FOOT
GIRTH = 1450.0
#: Half of one panel's share of the full turn.
HALF = math.pi / PANELS
#: Radius of the middle of a panel at the floor, and the panel's length from there to the point.
MIDDLE = RADIUS * math.cos(HALF)
SLANT = math.hypot(MIDDLE, HEIGHT)


@pytest.fixture(scope="module")
def room() -> Room:
    return build(
        Design(
            name="common_practice",
            shell=Shell(panels=PANELS, across="15 ft", height="15 ft", stop_short="10 cm"),
            doorway=Doorway(width="3 ft", height="4 ft", rise="1 ft", length="5 ft", head="gabled", vent=500),
            sleeve=Sleeve(girth=GIRTH, ease=0, length=1500, height=500, panel=9),
            allowances=Allowances(seam="3 cm", hem="3 cm", drawcord="3 cm"),
        )
    )


@pytest.fixture(scope="module")
def panel(room: Room) -> Piece:
    return room.pattern.piece("panel")


def test_sixteen_panels_of_the_expected_size(room: Room, panel: Piece) -> None:
    assert sum(sheet.kind.word == "panel" for sheet in room.body.sheets) >= PANELS
    low, high = (
        np.min(panel.outline.outer.polyline(1.0), axis=0),
        np.max(panel.outline.outer.polyline(1.0), axis=0),
    )
    assert high[1] - low[1] == pytest.approx(SLANT - 100.0, rel=1e-9)
    # Across the foot a panel is the chord of a sixteenth of the circle: D sin(180°/n).
    assert high[0] - low[0] == pytest.approx(2 * RADIUS * math.sin(HALF), rel=1e-9)
    # The sewn edges run along the seams, which stop where the panel's middle does.
    sides = [edge.length_mm for edge in panel.edges if edge.length_mm > 4000.0]
    ridge = math.hypot(RADIUS, HEIGHT) * (SLANT - 100.0) / SLANT
    assert sides == pytest.approx([ridge, ridge], rel=1e-9)


def test_a_circle_closes_the_top(room: Room) -> None:
    end_width = 2 * 100.0 * MIDDLE / SLANT * math.tan(HALF)
    cap = room.pattern.piece("cap")
    radius = PANELS * end_width / (2 * math.pi)
    assert cap.outline.outer.perimeter_mm == pytest.approx(PANELS * end_width, rel=1e-9)
    points = cap.outline.outer.polyline(0.001)
    centre = (points.min(axis=0) + points.max(axis=0)) / 2
    assert np.hypot(*(points - centre).T) == pytest.approx(radius, rel=1e-4)


def test_the_cutting_line_lies_3_cm_outside(panel: Piece) -> None:
    sewing = shapely.Polygon(panel.outline.outer.polyline(0.01)).exterior
    cutting = shapely.Polygon(panel.cutting[0])
    assert cutting.exterior.distance(sewing) == pytest.approx(30.0, abs=1e-3)
    # In the middle of each side the two run parallel.
    for edge in panel.edges:
        at, heading = edge.at(edge.length_mm / 2)
        out = at + 30.0 * np.array([math.sin(heading), -math.cos(heading)])
        assert cutting.exterior.distance(shapely.Point(out)) < 1e-3


def test_the_sleeve_is_as_long_as_the_fan_is_round(room: Room) -> None:
    sleeve = room.pattern.piece("sleeve")
    mouth = [edge for edge in sleeve.edges if edge.role.value == "hem"]
    assert sum(edge.length_mm for edge in mouth) == pytest.approx(GIRTH, rel=1e-9)


def test_the_doorway_is_4_ft_at_its_peak(room: Room) -> None:
    tunnel = next(sheet for sheet in room.body.sheets if sheet.name == "tunnel")
    points = [walk.start.at for face in tunnel.faces for loop in face.loops for walk in loop]
    assert max(point[2] for point in points) == pytest.approx(4 * FOOT, rel=1e-12)


def test_every_panel_closes_and_keeps_its_area(room: Room) -> None:
    for name, outline in room.outlines.items():
        assert outline.closure_mm < 1e-3, name
        assert outline.flat_area_mm2 == pytest.approx(outline.face_area_mm2, rel=1e-6), name


def test_volume_of_the_bare_room_is_a_pyramid_less_its_tip() -> None:
    bare = build(
        Design(name="bare", shell=Shell(panels=PANELS, across="15 ft", height="15 ft", stop_short="10 cm"))
    )
    floor = PANELS * MIDDLE**2 * math.tan(HALF)
    share = 100.0 / SLANT
    expected = floor * HEIGHT / 3 * (1 - share**3)
    assert bare.body.figures.envelope_volume_m3 * 1e9 == pytest.approx(expected, rel=1e-9)

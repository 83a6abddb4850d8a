"""Panels of a spherical room against map projections, by PROJ.

A panel whose mid-line lies on the sphere is a piece of the cylinder that touches the sphere along that
meridian. The planes through its seams pass through the sphere's centre, so each seam is the central
projection of a meridian onto that cylinder, and the flat panel is the *transverse central cylindrical*
projection. Cassini's has the same northing; its easting is the arc whose tangent the panel's half width is.
"""

import math

import numpy as np
import pyproj
import pytest

from shellparts import Design, Shell, build
from shellparts.pattern.pieces import Piece

RADIUS = 2500.0
PANELS = 12


@pytest.fixture(scope="module")
def panel() -> Piece:
    shell = Shell(
        panels=PANELS, across=2 * RADIUS, height=RADIUS, profile="dome", measured="middles", stop_short=150
    )
    return build(Design(name="globe", shell=shell)).pattern.piece("panel")


def edge_points(panel: Piece, northings: np.ndarray) -> np.ndarray:
    """Half widths of the panel at distances from its foot [mm]."""
    side = max(panel.edges, key=lambda edge: edge.at(edge.length_mm / 2)[0][0])
    s = np.linspace(0.0, side.flat[0].length_mm, 20001)
    x, y = side.flat[0].at(s).T
    order = np.argsort(y)
    return np.interp(northings, y[order], x[order])


@pytest.mark.parametrize("latitude", [5.0, 20.0, 45.0, 60.0, 80.0])
def test_seams_are_transverse_central_cylindrical(panel: Piece, latitude: float) -> None:
    project = pyproj.Proj(proj="tcc", lon_0=0, R=RADIUS)
    x, y = project(180.0 / PANELS, latitude)
    assert edge_points(panel, np.array([y]))[0] == pytest.approx(x, rel=1e-7)


@pytest.mark.parametrize("latitude", [20.0, 45.0, 70.0])
def test_cassini_has_the_same_northing_and_the_arc_of_the_half_width(panel: Piece, latitude: float) -> None:
    x, y = pyproj.Proj(proj="cass", lon_0=0, R=RADIUS)(180.0 / PANELS, latitude)
    assert edge_points(panel, np.array([y]))[0] == pytest.approx(RADIUS * math.tan(x / RADIUS), rel=1e-7)


def test_cassini_row_of_twelve_gores(panel: Piece) -> None:
    # PROJ, 12 gores of a unit sphere, edge at 15° of longitude, 45° of latitude: Cassini (.1840500, .8027288).
    half = edge_points(panel, np.array([0.8027288 * RADIUS]))[0]
    assert math.atan(half / RADIUS) == pytest.approx(0.1840500, abs=2e-7)


def test_length_from_foot_to_top_is_a_quarter_meridian(panel: Piece) -> None:
    # Pole to equator on a sphere of 2.5 m: 3.926991 m; the panel stops 150 mm short.
    points = panel.outline.outer.polyline(0.5)
    assert np.ptp(points[:, 1]) + 150.0 == pytest.approx(3926.991, abs=1e-3)


@pytest.mark.parametrize(
    ("panels", "across", "chord"), [(8, 6.0, 2.296), (12, 1.0, 0.258819), (24, 1.0, 0.130526)]
)
def test_chord_table(panels: int, across: float, chord: float) -> None:
    # Machinery's Handbook, tables for spacing holes: chord = D sin(180°/n). The table's unit is taken as 1 m or 3 m.
    scale = 1000.0 if across > 2.0 else 3000.0
    shell = Shell(panels=panels, across=across * scale, height=2000, stop_short=200)
    piece = build(Design(name="chords", shell=shell)).pattern.piece("panel")
    foot = min(piece.edges, key=lambda edge: edge.at(edge.length_mm / 2)[0][1])
    digits = len(f"{chord}".split(".")[1])
    assert round(foot.length_mm / scale, digits) == pytest.approx(chord, abs=1.01 * 10**-digits)

"""Pieces, cutting lines, notches and stations of whole rooms, measured with shapely."""

import math
import re

import numpy as np
import pytest
import shapely
import shapely.affinity
from room_checks import (
    check_cutting_line,
    check_outlines,
    check_pattern,
    check_stations,
    cutting_polygon,
    sewing_polygon,
)

from shellparts.base.units import feet_inches
from shellparts.build.room import build
from shellparts.openings import Doorway
from shellparts.parameters import Allowances, Design, Flap, Shell
from shellparts.pattern.stations import stations_of


def test_outlines_and_pattern(model_room):
    check_outlines(model_room)
    check_pattern(model_room)


def test_stations_against_the_outline_itself(model_room):
    for piece in model_room.pattern.pieces:
        check_stations(piece, 200.0)


def test_stations_on_an_inch_tape(rooms):
    """Rows every 6 in; read back from the tape's own words, every distance is right to half of 1/16 in."""
    room = rooms["orchard_pavilion"]
    assert room.design.marking.station_spacing == pytest.approx(6 * 25.4)
    rows = stations_of(room.pattern.piece("panel"), room.design.marking.station_spacing)
    regular = [
        row for row in rows if abs(math.remainder(row.distance_mm, 152.4)) < 1e-6 and row.left_sewing_mm
    ]
    assert len(regular) > 10
    for row in regular:
        for value in (row.right_sewing_mm, row.right_cutting_mm, row.left_sewing_mm):
            found = re.fullmatch(r"(?:(\d+) ft)? ?(?:(\d+)?(?: ?(\d+)/(\d+))? in)?", feet_inches(value))
            assert found is not None
            feet, inches, top, bottom = (int(g) if g else 0 for g in found.groups())
            read = 12 * feet + inches + (top / bottom if bottom else 0.0)
            assert (bottom or 1) in (1, 2, 4, 8, 16)
            assert abs(read * 25.4 - value) <= 25.4 / 32 + 1e-9


def test_a_plain_panel_is_symmetric(model_room):
    for row in stations_of(model_room.pattern.piece("panel"), 150.0):
        assert row.left_sewing_mm == pytest.approx(row.right_sewing_mm, abs=2e-2)


def test_equal_panels_are_one_piece_and_mirror_images_two(rooms):
    """Eighteen panels, the doorway over three of them, the sleeve in one: 14 plain, 1 + 1 + 1 mirrored, 1."""
    counts = {
        piece.name: piece.count for piece in rooms["tide_dome"].pattern.pieces if piece.kind.word == "panel"
    }
    assert counts == {
        "panel": 14,
        "panel_doorway_1": 1,
        "panel_doorway_2": 1,
        "panel_doorway_2_mirrored": 1,
        "panel_sleeve": 1,
    }


def test_a_mirrored_piece_does_not_fit_its_original_by_turning(rooms):
    pattern = rooms["tide_dome"].pattern
    piece, origin = (sewing_polygon(pattern.piece(f"panel_doorway_2{tail}")) for tail in ("_mirrored", ""))
    for angle in np.linspace(0.0, 2 * np.pi, 73):
        turned = shapely.affinity.rotate(origin, angle, use_radians=True)
        shift = np.subtract(piece.centroid.coords[0], turned.centroid.coords[0])
        assert piece.symmetric_difference(shapely.affinity.translate(turned, *shift)).area > 1e-3 * piece.area


def test_no_slivers_reach_the_sewing_line(model_room):
    """The only holes of a cutting line are those of the piece, each smaller than the opening that is sewn."""
    for piece in model_room.pattern.pieces:
        assert len(piece.cutting) - 1 <= len(piece.holes)
        sewing, cutting = sewing_polygon(piece), cutting_polygon(piece)
        for ring in cutting.interiors:
            assert any(shapely.Polygon(hole).contains(shapely.Polygon(ring)) for hole in sewing.interiors)


@pytest.mark.parametrize(("seam", "hem"), [(5, 100), (60, 5), (20, 40), (40, 40), (100, 5)])
def test_cutting_lines_of_very_different_allowances(seam, hem):
    room = build(
        Design(
            name="trial",
            shell=Shell(panels=10, across=4600, height=3200, wall=900, profile="dome"),
            doorway=Doorway(width=1300, height=1700, length=1500, head="gabled", flap=150, centred_on="seam"),
            flap=Flap(depth=250),
            allowances=Allowances(seam=seam, hem=hem),
        )
    )
    for piece in room.pattern.pieces:
        check_cutting_line(piece)


def test_notches_of_lengths_that_are_whole_spacings():
    """A seam of exactly 2 x 400 mm, whose two sides differ in the last digit, has as many notches on both."""
    for wall in (400.0, 800.0, 1200.0, 2000.0):
        check_pattern(
            build(
                Design(
                    name="trial",
                    shell=Shell(panels=7, across=5000, height=wall + 1500, wall=wall, profile="straight"),
                    doorway=Doorway(width=800, height=1400, length=1200, head="flat", vent=0),
                )
            )
        )


def test_sheets_divided_differently_are_not_one_piece():
    """Beside a doorway as wide as its panel and as high as the wall, a seam ends halfway up: another template."""
    shell = Shell(panels=8, across=5000, height=4000, wall=2000)
    wide = 2 * float(shell.half_width(0.0))
    room = build(
        Design(name="trial", shell=shell, doorway=Doorway(width=wide, height=2000, length=1600, head="flat"))
    )
    home = {sheet: piece.name for piece in room.pattern.pieces for sheet in piece.sheets}
    assert home["panel_02"] != home["panel_04"] == home["panel_05"]
    check_pattern(room)

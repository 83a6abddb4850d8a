"""The cutting line of plain shapes, where its width at a corner is known by drawing it."""

import math

import numpy as np
import pytest
import shapely

from shellparts.body import EdgeRole
from shellparts.pattern.cutting import _corner, cutting_line
from shellparts.pattern.pieces import PieceEdge
from shellparts.unroll.outline import FlatEdge


def area_of(corners, allowances):
    """The shape, and the area inside its cutting line."""
    points = np.array(corners, dtype=float)
    ends = np.roll(points, -1, axis=0)
    edges = [
        PieceEdge(f"e{i}", EdgeRole.SEAM, (FlatEdge.straight(a, b),), allowance)
        for i, (a, b, allowance) in enumerate(zip(points, ends, allowances, strict=True), 1)
    ]
    (ring,) = cutting_line("shape", edges, [])
    return shapely.Polygon(points), shapely.Polygon(ring)


def test_allowances_of_a_rectangle():
    _, cutting = area_of([(0, 0), (1000, 0), (1000, 500), (0, 500)], [40, 20, 10, 30])
    assert cutting.area == pytest.approx((1000 + 20 + 30) * (500 + 40 + 10), abs=0.1)


def test_outer_lines_that_meet_right_at_the_foot_of_the_wider_allowance():
    # A turn of 60 degrees from a width of 20 to one of 40, with the rounding of a room in which it once went wrong.
    corner = np.array([-1430.9773090682693, -49.99999999999993])
    fill = _corner(corner, (-1.0471975511965987, 20.0), (-3.2184624090871095e-16, 40.0))
    assert fill.is_valid
    assert fill.area == pytest.approx(0.5 * 20.0 * 40.0 * math.sin(math.radians(60.0)))

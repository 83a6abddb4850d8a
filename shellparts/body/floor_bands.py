"""The ground flaps: bands of cloth on the floor, inward from the feet of panels and tunnel sides.

A flap that is one with its panel hangs on it by a fold; otherwise it is sewn on. Neighbouring flaps are
mitred along the seams. Where a doorway is, flaps are left out; what would be left narrower than a hand's
breadth of hem is left out too. The side that shows outward on the panel is the flap's underside.
"""

import math

import numpy as np
from attrs import frozen
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon, remove_repeated_points

from shellparts.base.tolerances import TOLERANCES
from shellparts.parameters.design import Design
from shellparts.parameters.opening import Floorplan, Opening, Tube

__all__ = ["FloorBand", "shell_flaps", "side_flaps"]

_LEAST_WIDTH_MM = 20.0


@frozen(eq=False)
class FloorBand:
    """A flap: its name, its home sheet, and its corners clockwise from above, shape (n, 3) [mm]."""

    name: str
    home: str
    corners: NDArray[np.float64]


def _foot_line(plan: Floorplan, radius: float) -> NDArray[np.float64]:
    """Corners of the floor when the panel middles are at `radius`, shape (panels, 2) [mm]."""
    azimuths = plan.azimuths - plan.shell.half_angle
    directions = np.column_stack([np.cos(azimuths), np.sin(azimuths)])
    directions[np.abs(directions) < 1e-15] = 0.0
    return directions * radius / math.cos(plan.shell.half_angle)


def _bands(area: Polygon | MultiPolygon, name: str, home: str) -> list[FloorBand]:
    polygons = [p for p in getattr(area, "geoms", [area]) if not p.buffer(-_LEAST_WIDTH_MM / 2).is_empty]
    names = [name] if len(polygons) == 1 else [f"{name}_{letter}" for letter in "abcd"]
    bands = []
    for polygon, label in zip(polygons, names, strict=False):
        whole = remove_repeated_points(polygon.normalize(), 2 * TOLERANCES.same_point_mm)
        ring = np.asarray(whole.exterior.coords)[:-1]  # clockwise by shapely's normal form
        bands.append(FloorBand(label, home, np.column_stack([ring, np.zeros(len(ring))])))
    return bands


def _strip(tube: Tube, first: float, last: float, along: float) -> Polygon:
    """Floor between two distances sideways, from the room's axis outward along a tube [mm]."""
    corners = np.array([[first, 0.0], [last, 0.0], [last, along], [first, along]])
    side, out = tube.axes[0, :2], tube.axes[2, :2]
    return Polygon(tube.origin[:2] + corners[:, :1] * side + corners[:, 1:] * out)


def shell_flaps(design: Design) -> list[FloorBand]:
    """Make the flaps of the panels, if the design has any; one that a doorway leaves in two gets letters."""
    if design.flap is None:
        return []
    foot = float(design.shell.mid.breaks[0, 0])
    outer, inner = _foot_line(design.plan, foot), _foot_line(design.plan, foot - design.flap.depth)
    widths = [(tube, one.floor_width / 2) for tube, one in zip(design.tubes, design.openings, strict=True)]
    strips = [_strip(tube, -half, half, 4 * foot) for tube, half in widths if half > 0.0]
    bands = []
    for k in range(design.shell.panels):
        following = (k + 1) % design.shell.panels
        area = Polygon([outer[k], outer[following], inner[following], inner[k]])
        for strip in strips:
            area = area.difference(strip) if area.intersects(strip) else area
        bands += _bands(area, f"flap_{k + 1:02d}", f"panel_{k + 1:02d}")
    return bands


def side_flaps(tube: Tube, opening: Opening, plan: Floorplan) -> list[FloorBand]:
    """Make the flaps along a tube on the floor, outside the shell's foot line, right then left: always one with it."""
    if opening.side_flap <= 0.0:
        return []
    floor = Polygon(_foot_line(plan, float(plan.shell.mid.breaks[0, 0])))
    half, depth, bands = opening.floor_width / 2, opening.side_flap, []
    for side, first, last in (("right", half - depth, half), ("left", -half, depth - half)):
        area = _strip(tube, first, last, tube.end).difference(floor)
        bands += _bands(area, f"{tube.name}_flap_{side}", tube.name)
    return bands

"""The ground flaps: bands of cloth on the floor, inward from the feet of panels and tunnel sides.

A flap that is one with its panel hangs on it by a fold; otherwise it is sewn on. Neighbouring flaps are
mitred along the seams. Where the doorway is, flaps are left out; what would be left narrower than a hand's
breadth of hem is left out too. The side that shows outward on the panel is the flap's underside.
"""

import math

import numpy as np
from attrs import frozen
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon, box, remove_repeated_points

from shellparts.base.tolerances import TOLERANCES
from shellparts.parameters.clearances import doorway_end
from shellparts.parameters.design import Design

__all__ = ["FloorBand", "shell_flaps", "tunnel_flaps"]

_LEAST_WIDTH_MM = 20.0


@frozen(eq=False)
class FloorBand:
    """A flap: its name, its home sheet, and its corners clockwise from above, shape (n, 3) [mm]."""

    name: str
    home: str
    corners: NDArray[np.float64]


def _foot_line(design: Design, radius: float) -> NDArray[np.float64]:
    """Corners of the floor when the panel middles are at `radius`, shape (panels, 2) [mm]."""
    azimuths = design.azimuths - design.shell.half_angle
    directions = np.column_stack([np.cos(azimuths), np.sin(azimuths)])
    directions[np.abs(directions) < 1e-15] = 0.0
    return directions * radius / math.cos(design.shell.half_angle)


def _bands(area: Polygon | MultiPolygon, name: str, home: str) -> list[FloorBand]:
    polygons = [p for p in getattr(area, "geoms", [area]) if not p.buffer(-_LEAST_WIDTH_MM / 2).is_empty]
    names = [name] if len(polygons) == 1 else [f"{name}_{letter}" for letter in "abcd"]
    bands = []
    for polygon, label in zip(polygons, names, strict=False):
        whole = remove_repeated_points(polygon.normalize(), 2 * TOLERANCES.same_point_mm)
        ring = np.asarray(whole.exterior.coords)[:-1]  # clockwise by shapely's normal form
        bands.append(FloorBand(label, home, np.column_stack([ring, np.zeros(len(ring))])))
    return bands


def shell_flaps(design: Design) -> list[FloorBand]:
    """Make the flaps of the panels.

    Parameters
    ----------
    design : Design
        With a flap.

    Returns
    -------
    list of FloorBand
        ``flap_01`` … on ``panel_01`` …; a flap that the doorway leaves in two is ``flap_01_a`` and
        ``flap_01_b``.
    """
    assert design.flap is not None  # asked only for rooms with a flap
    foot = float(design.shell.mid.breaks[0, 0])
    outer, inner = _foot_line(design, foot), _foot_line(design, foot - design.flap.depth)
    doorway, bands = design.doorway, []
    for k in range(design.shell.panels):
        following = (k + 1) % design.shell.panels
        area = Polygon([outer[k], outer[following], inner[following], inner[k]])
        if doorway is not None:
            strip = box(0.0, -doorway.width / 2, 4 * foot, doorway.width / 2)
            area = area.difference(strip) if area.intersects(strip) else area
        bands += _bands(area, f"flap_{k + 1:02d}", f"panel_{k + 1:02d}")
    return bands


def tunnel_flaps(design: Design) -> list[FloorBand]:
    """Make the tunnel's own flaps, outside the shell's foot line, always one with the tunnel.

    Parameters
    ----------
    design : Design
        With a doorway that has flaps.

    Returns
    -------
    list of FloorBand
        ``tunnel_flap_right`` and ``tunnel_flap_left``, as seen from outside.
    """
    door = design.doorway
    assert door is not None  # asked only for rooms with a doorway
    floor = Polygon(_foot_line(design, float(design.shell.mid.breaks[0, 0])))
    half, end = door.width / 2, doorway_end(design)
    right = box(0.0, half - door.flap, end, half).difference(floor)
    left = box(0.0, -half, end, door.flap - half).difference(floor)
    return _bands(right, "tunnel_flap_right", "tunnel") + _bands(left, "tunnel_flap_left", "tunnel")

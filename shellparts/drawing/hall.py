"""A room on the floor of its hall: what stands there, how much floor it takes, and where its ballast lies.

Glossary: the *footprint* is what the room covers of the floor, fan and tunnels included; the *free floor* is the
footprint and the room to spare around it. On the plan's paper the first doorway lies to the left. Plain data, as sewn.
"""

import math
from collections.abc import Iterator, Mapping, Sequence

import numpy as np
import shapely
from attrs import frozen
from numpy.typing import NDArray

from shellparts.drawing.sightlines import View, projected
from shellparts.parameters import Design, Tape
from shellparts.parameters.opening import Opening, Tube

__all__ = [
    "BAG_MM",
    "FAN_DEEP_MM",
    "SPARE_MM",
    "RoomInHall",
    "bag_places",
    "bags_on_plan",
    "free_floor",
    "section_box",
]

Array = NDArray[np.float64]

#: Room to spare on every side, for people to walk round and for the fan to draw air, by tape [mm]: ours.
SPARE_MM = {Tape.METRIC: 1000.0, Tape.IMPERIAL: 914.4}
#: How deep a fan is drawn [mm]; its own size is not known.
FAN_DEEP_MM = 400.0
#: Side of a bag, and how far inward of the wall its middle lies [mm]; bags in a tunnel are long and narrow.
BAG_MM, _BAG_INWARD_MM = 260.0, 150.0
_NARROW_MM = 100.0


@frozen(eq=False)
class RoomInHall:
    """A room, and what is laid round it.

    Parameters
    ----------
    design : Design
    courses : mapping of int to ndarray, shape (n, 3)
        Points along each edge of the body by key [mm].
    edges : mapping of str to sequence of int
        Keys of the edges of each sheet by its name.
    bags : pair of int and float, optional
        How many bags of ballast lie round the base, and the mass of each [kg]; None where it is not known.
    tunnel_bags : int
        How many more of them lie along the walls of tunnels.
    under_air : pair of float, optional
        Height and largest diameter under air [mm]; None where they are not known.
    """

    design: Design
    courses: Mapping[int, Array]
    edges: Mapping[str, Sequence[int]]
    bags: tuple[int, float] | None = None
    tunnel_bags: int = 0
    under_air: tuple[float, float] | None = None

    @property
    def openings(self) -> list[tuple[Opening, Tube]]:
        """Every opening with its tube."""
        return list(zip(self.design.openings, self.design.tubes, strict=True))

    def points_of(self, names: Sequence[str] | None = None) -> Array:
        """Points on the edges of some sheets, or of all, shape (n, 3) [mm]."""
        keys = sorted({key for name in names or self.edges for key in self.edges[name]})
        return np.concatenate([np.asarray(self.courses[key], float) for key in keys])

    @property
    def shell_points(self) -> Array:
        """Points on the edges of panels and cap, as if no opening were cut, shape (n, 3) [mm]."""
        shell, plan = self.design.shell, self.design.plan
        turns = plan.azimuths - shell.half_angle
        t = np.linspace(0.0, 1.0, 60)
        seam = np.concatenate([shell.seam.points(i, t) for i in range(len(shell.seam.runs))])
        rings = seam[None, :, :1] * np.stack([np.cos(turns), np.sin(turns)], axis=1)[:, None, :]
        heights = np.broadcast_to(seam[None, :, 1:], (*rings.shape[:2], 1))
        return np.concatenate([rings, heights], axis=2).reshape(-1, 3)

    @property
    def fans(self) -> list[tuple[Tube, Array]]:
        """Each fan's tube, and the corners of a box about the fan, shape (8, 3) [mm]."""
        return [(tube, _fan_box(tube)) for _, tube in self.openings if tube.part.drawn]

    @property
    def spare_mm(self) -> float:
        """Room to spare on every side, a round number by the reader's tape [mm]."""
        return SPARE_MM[self.design.marking.tape]


def section_box(tube: Tube) -> tuple[Array, Array]:
    """Lower left and upper right corner of a tube's section, each shape (2,) [mm]."""
    points = np.concatenate([one.at(np.linspace(one.first, one.last, 33)) for one in tube.section])
    return points.min(axis=0), points.max(axis=0)


def _fan_box(tube: Tube) -> Array:
    """A box as wide and high as a tube, from its outer end on, not below the floor."""
    (left, low), (right, high) = section_box(tube)
    ends = [
        tube.lift([(left, low), (right, low), (right, high), (left, high)], tube.end + far)
        for far in (0, FAN_DEEP_MM)
    ]
    return np.maximum(np.concatenate(ends), [-np.inf, -np.inf, 0.0])


def free_floor(hall: RoomInHall) -> Array:
    """Corners of the free floor on the plan's paper: least and most, shape (2, 2) [mm]."""
    boxes = [box for _, box in hall.fans]
    points = projected(View.PLAN, np.concatenate([hall.points_of(), hall.shell_points, *boxes]))
    return np.array([points.min(axis=0) - hall.spare_mm, points.max(axis=0) + hall.spare_mm])


def bags_on_plan(hall: RoomInHall) -> list[Array]:
    """Outlines of all bags on the plan's paper, each of shape (4, 2) [mm]."""
    corners = np.array([(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)])
    return [*(middle + BAG_MM / 2 * corners for middle in bag_places(hall)), *_tunnel_bags(hall, corners)]


def _tunnel_bags(hall: RoomInHall, corners: Array) -> Iterator[Array]:
    """Outlines of bags along both walls of every tunnel that people walk through, outside the shell."""
    ways = [(opening, tube) for opening, tube in hall.openings if opening.way_out is not None]
    each = hall.tunnel_bags // (2 * len(ways)) if ways else 0
    wall = float(hall.design.shell.seam.breaks[0, 0])
    for opening, tube in ways:
        begin = min(wall, tube.end - each * BAG_MM)
        along = begin + (np.arange(each) + 0.5) * (tube.end - begin) / max(each, 1)
        for side in (-1.0, 1.0):
            across = side * (opening.floor_width - _NARROW_MM) / 2.0
            for at in along.tolist():
                bag = np.array([across, at]) + corners * [_NARROW_MM / 2.0, BAG_MM / 2.0]
                points = tube.origin + bag[:, :1] * tube.axes[0] + bag[:, 1:] * tube.axes[2]
                yield projected(View.PLAN, points)


def bag_places(hall: RoomInHall) -> list[Array]:
    """Middles of the bags round the base on the plan's paper, evenly along the wall, doorways left out [mm]."""
    if hall.bags is None or not hall.bags[0]:
        return []
    shell, plan = hall.design.shell, hall.design.plan
    turns = plan.azimuths - shell.half_angle
    corner = shell.seam.breaks[0, 0] - _BAG_INWARD_MM / math.cos(shell.half_angle)
    ring = projected(View.PLAN, corner * np.column_stack([np.cos(turns), np.sin(turns), 0 * turns]))
    line: shapely.Geometry = shapely.LinearRing(ring)
    for opening, tube in hall.openings:
        half = opening.floor_width / 2
        if half > 0.0:
            sides = [(half, 0.0), (half, tube.end), (-half, tube.end), (-half, 0.0)]
            strip = np.array([tube.origin + a * tube.axes[0] + b * tube.axes[2] for a, b in sides])
            line = line.difference(shapely.Polygon(projected(View.PLAN, strip)).buffer(BAG_MM / 2))
    if line.geom_type == "MultiLineString":
        line = shapely.line_merge(line)
    parts = list(getattr(line, "geoms", [line]))
    total, count = sum(part.length for part in parts), hall.bags[0]
    places = []
    for at in (np.arange(count) + 0.5) * total / count:
        for part in parts:
            if at <= part.length:
                places.append(np.array(part.interpolate(at).coords[0]))
                break
            at -= part.length
    return places

"""The floor to print: a plate with a tongue that the shell is put over, people to scale, and a strip a tunnel.

A strip hangs on the plate by a key, wider at its end than at its neck.
"""

import math
from collections.abc import Mapping, Sequence

import numpy as np
import shapely
from attrs import frozen
from manifold3d import CrossSection, Manifold
from shapely import Polygon

from shellparts.model.shapes import largest, outline_at, polygons, prism, united
from shellparts.model.shell_part import Passage, along
from shellparts.model.skin import TubeSolid
from shellparts.parameters.opening import Tube
from shellparts.parameters.printer import Printer

__all__ = ["EDGE_MM", "FloorParts", "floor_parts"]

#: The floor reaches so far beyond the shell [mm].
EDGE_MM = 1.5
_PLATE_MM, _TONGUE_MM, _BAR_MM = 1.2, 3.0, 2.0
#: Depth of a key [mm].
_KEY_MM = 6.0
#: Heights of people [mm], roughly: a grown-up and children of about six and nine years.
_PEOPLE_MM = (1700.0, 1170.0, 1330.0)
#: A person's outline as shares of the height: distance from the middle, height.
_FIGURE = (
    (0.0, 0.0),
    (0.12, 0.0),
    (0.12, 0.02),
    (0.055, 0.78),
    (0.055, 0.80),
    (0.09, 0.85),
    (0.09, 0.91),
    (0.05, 0.98),
    (0.0, 1.0),
)


@frozen(eq=False)
class FloorParts:
    """The plate with its people, and the strips by the names of their tubes; the floor is z = 0."""

    plate: Manifold
    strips: Mapping[str, Manifold]
    people: tuple[float, ...]  # Heights of those that stand on it [mm], not scaled


def _strip(tube: Tube, half: float, first: float, last: float) -> Polygon:
    """Floor along a tube, to both sides of its middle line [mm]."""
    corners = np.array([[-half, first], [half, first], [half, last], [-half, last]])
    return Polygon(tube.origin[:2] + corners[:, :1] * tube.axes[0, :2] + corners[:, 1:] * tube.axes[2, :2])


def _key(tube: Tube, half: float, at: float) -> Polygon:
    """A key that reaches inward from a distance along a tube [mm]."""
    neck, end = 0.35 * half, 0.5 * half
    corners = np.array([[-end, at - _KEY_MM], [end, at - _KEY_MM], [neck, at + 1.0], [-neck, at + 1.0]])
    return Polygon(tube.origin[:2] + corners[:, :1] * tube.axes[0, :2] + corners[:, 1:] * tube.axes[2, :2])


def _narrowest(space: Manifold, high: float) -> Polygon:
    """What a space leaves free at every height up to one [mm]."""
    free = outline_at(space, 0.02)
    for height in np.linspace(0.1, high, 12):
        free = max(polygons(free & outline_at(space, float(height))), key=lambda p: p.area)
    return free


def _people(shell: Manifold, plate: Polygon, scale: float) -> tuple[list[Manifold], tuple[float, ...]]:
    """People that stand free of the shell, all of their feet on the plate, to scale."""
    found, heights, radius = [], [], math.sqrt(plate.area / math.pi)
    for number, height in enumerate(_PEOPLE_MM):
        tall, turn = height / scale, 0.7 + number * 2.0 * math.pi / len(_PEOPLE_MM)
        at = 0.3 * radius * np.array([math.cos(turn), math.sin(turn)])
        outline = CrossSection([np.array(_FIGURE) * tall])
        figure = outline.revolve(24).translate([*at.tolist(), -0.05])
        on_plate = plate.covers(shapely.Point(at).buffer(_FIGURE[1][0] * tall + 0.5))
        if on_plate and (figure.trim_by_plane([0.0, 0.0, 1.0], 0.0) ^ shell).is_empty():
            found.append(figure)
            heights.append(height)
    return found, tuple(heights)


def floor_parts(
    shell: Manifold,
    hollow_shell: Manifold,
    cavity: Manifold,
    tubes: Sequence[tuple[TubeSolid, Passage, Manifold]],
    scale: float,
    printer: Printer,
) -> FloorParts:
    """Make the floor.

    Parameters
    ----------
    shell, hollow_shell, cavity : Manifold
        The solid shell, the shell as it is printed, its hollow space [mm].
    tubes : sequence of (TubeSolid, Passage, Manifold)
        Each tube, its hole, and the space in it, placed in the model.
    scale : float
        The model is 1 to this [-].
    printer : Printer

    Returns
    -------
    FloorParts
    """
    foot = outline_at(shell, 0.05)
    plate = foot.buffer(EDGE_MM, join_style="mitre")
    inside = _narrowest(cavity, _TONGUE_MM + 0.5).buffer(-printer.play)
    tongue = prism(inside - inside.buffer(-printer.wall_mm), -0.05, _TONGUE_MM)
    clear = [
        along(p.hole.buffer(printer.wall_mm + 2.0 * printer.play), p.tube, p.tube.start, p.last + 5.0)
        for _, p, _ in tubes
    ]
    strips = {}
    for tube, passage, hollow in tubes:
        if not passage.on_floor:
            continue
        half = float(np.abs(passage.outline.bounds[::2]).max()) + EDGE_MM
        whole = _strip(passage.tube, half, 0.0, tube.end + printer.wall_mm + EDGE_MM)
        middle = _strip(passage.tube, 0.01, 0.0, 2.0 * tube.end)
        edge = float(
            passage.tube.local(np.pad(np.asarray((middle & plate).exterior.coords), [(0, 0), (0, 1)]))[
                :, 2
            ].max()
        )
        key = _key(passage.tube, half, edge)
        outside = max(polygons(whole - plate.buffer(printer.play, join_style="mitre")), key=lambda p: p.area)
        base = outside | key
        bars = _narrowest(hollow, _BAR_MM)
        bars = bars.buffer(-printer.play)
        reach = _strip(passage.tube, 2.0 * half, edge + 1.0, tube.end - 4.0)
        bars = (bars - bars.buffer(-printer.wall_mm)) & reach
        sides = [prism(p, -0.05, _BAR_MM) for p in polygons(bars) if p.area > 1.0]
        strips[passage.tube.name] = largest(united([prism(base, -_PLATE_MM, 0.0), *sides]))
        plate = plate - key.buffer(printer.play, join_style="mitre")
    people, heights = _people(hollow_shell, plate, scale)
    tongue = tongue - united(clear) if clear else tongue
    made = united([prism(plate, -_PLATE_MM, 0.0), tongue, *people])
    return FloorParts(largest(made), strips, heights)

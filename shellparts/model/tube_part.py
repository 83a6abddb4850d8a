"""A tube to print, standing on its outer end, and the leaves that close it.

Its inner end goes through the shell's wall as a lip; the ridge around its mouth is the stop. A leaf has a lip too,
which goes into the tube's outer end. Of two leaves that overlap the left one lies in front: the right one ends where
the left one covers it.
"""

import math

import numpy as np
import shapely
from attrs import frozen
from manifold3d import Manifold
from numpy.typing import NDArray
from shapely import Polygon, affinity

from shellparts.base.errors import GeometryError
from shellparts.model.polar import reach_of
from shellparts.model.shapes import largest, outline_at, polygons, prism, ridges, united
from shellparts.model.shell_part import LIP_MM, ROUNDING_MM, SPARE_RAD, Passage, along
from shellparts.model.skin import TubeSolid
from shellparts.parameters.printer import Printer

__all__ = ["TubeParts", "leaf_parts", "tube_parts"]

Floats = NDArray[np.float64]
#: A tube is read in so many directions and at levels so far apart [mm]: its wall is even to a hundredth.
_FINE_TURNS, _FINE_MM = 720, 0.4
#: Half of what stays open in the narrowest tube [mm].
_LEAST_OPEN_MM = 0.4
#: What lies so far beside a tube's mouth is kept clear of it [mm].
_AROUND_MM = 8.0
#: The inner end reaches so far into the tube outside the shell [mm]. Sides of tubes need not go on as they begin:
#: farther out it would stand out of them.
_OVERLAP_MM = 0.3
#: The ridge around a mouth grows out of the tube from so far below, as a share of how far it stands out [-]: then its
#: underside leans by so much less than may be [rad]. A bead is so many of its own radii wide at its corners [-].
_FOOT_DEEP, _FOOT_SPARE_RAD, _BEAD_WIDE = 4.0, math.radians(3.0), 1.083
#: Depth of a leaf's lip in the tube [mm].
_LEAF_LIP_MM = 2.5


@frozen(eq=False)
class TubeParts:
    """A tube as it is printed, with its outer end on the bed."""

    tube: Manifold
    hollow: Manifold  # The space in it, drawn out beyond both ends
    place: Floats  # From where it is printed to the model's axes, shape (3, 4)
    outline: Polygon  # Of its outer end, from outside, as it lies on the bed


def _frame(tube: TubeSolid) -> tuple[Floats, Floats]:
    """Axes (rows) and origin of a tube that stands on its outer end."""
    axes = tube.tube.axes * np.array([[1.0], [-1.0], [-1.0]])
    return axes, tube.tube.origin + tube.tube.axes[2] * tube.end


def _turned(body: Manifold, axes: Floats, origin: Floats) -> Manifold:
    """A solid of the model in the axes of a part."""
    return body.transform(np.column_stack([axes, -axes @ origin]))


def _spigot(passage: Passage, shell: Manifold) -> Manifold:
    """The tube's inner end: its outline at the mouth drawn inward, and outward as far as it overlaps the tube."""
    # A little inside the tube itself, whose facets are not quite those of its mouth: no films between the two.
    outline, tube = passage.outline.buffer(-4.0 * ROUNDING_MM, join_style="mitre"), passage.tube
    drawn = along(outline, tube, passage.first - LIP_MM - 1.0, passage.last + _OVERLAP_MM)
    return drawn ^ (shell + shell.translate(_OVERLAP_MM * tube.axes[2]))


def _wall(name: str, outline: Polygon, printer: Printer) -> float:
    """Thickness of a tube's wall [mm]: fewer lines where the tube is so narrow that it would be closed."""
    half = min(outline.bounds[2] - outline.bounds[0], outline.bounds[3] - outline.bounds[1]) / 2.0
    lines = min(printer.lines, int((half - _LEAST_OPEN_MM) / printer.nozzle))
    if lines < 1:
        raise GeometryError(f"the {name} is {2.0 * half:.1f} mm wide on the model, too narrow to be hollow")
    return lines * printer.nozzle


def _hollow(body: Manifold, outline: Polygon, deep: float, wall_mm: float, printer: Printer) -> Manifold:
    """The space in a standing tube, a wall's thickness inside it."""
    low, high = outline.bounds[1], outline.bounds[3]
    middle = np.array([0.0, (low + high) / 2.0, 0.0])
    turns = np.linspace(0.0, 2.0 * math.pi, _FINE_TURNS, endpoint=False)
    levels = np.linspace(0.02, deep - 0.02, max(4, math.ceil(deep / _FINE_MM)))
    whole = reach_of(body.translate(-middle), levels, turns)
    inner = whole.leaning_at_most(printer.steepest_rad - SPARE_RAD).shrunk(wall_mm + 0.02)
    corners = np.asarray(outline.simplify(0.02).exterior.coords)[:-1] - middle[:2]
    bends = np.mod(np.arctan2(corners[:, 1], corners[:, 0]), 2.0 * math.pi)
    kept = np.concatenate([turns[::6], bends, np.mod(bends - 2e-2, 2.0 * math.pi)])
    return (
        inner.thinned([*levels[:: max(1, len(levels) // 40)].tolist(), levels[-1]], kept)
        .solid(2.0, 2.0)
        .translate(middle)
    )


def _feet(mouth: Floats, is_open: bool, printer: Printer) -> Floats:
    """From where the ridge around a mouth grows, point for point [mm].

    A tube under air may be narrower below its mouth. So each foot lies inside it, deep enough that the ridge's
    underside leans less than may be wherever the tube's own side does.
    """
    along_mouth = np.roll(mouth, -1, axis=0) - np.roll(mouth, 1, axis=0)
    if is_open:
        along_mouth[[0, -1]] = mouth[1] - mouth[0], mouth[-1] - mouth[-2]
    across = np.column_stack([-along_mouth[:, 1], along_mouth[:, 0]])
    across /= np.linalg.norm(across, axis=1)[:, None]
    inward = 1.0 if Polygon(mouth[:, :2]).exterior.is_ccw else -1.0
    deep = _FOOT_DEEP * printer.ridge_mm
    shift = deep * math.tan(printer.steepest_rad - _FOOT_SPARE_RAD) - _BEAD_WIDE * printer.ridge_mm
    return mouth + np.column_stack([inward * shift * across, np.full(len(mouth), -deep)])


def tube_parts(tube: TubeSolid, passage: Passage, shell: Manifold, printer: Printer) -> TubeParts:
    """Make a tube.

    Parameters
    ----------
    tube : TubeSolid
        Of the model's size.
    passage : Passage
        Its hole in the shell.
    shell : Manifold
        The solid shell with its seams raised.
    printer : Printer

    Returns
    -------
    TubeParts
    """
    axes, origin = _frame(tube)
    out = tube.tube.axes[2]
    # Nothing ends exactly on the floor: what is cut there would leave leaves without thickness.
    around = along(passage.outline.buffer(_AROUND_MM), tube.tube, passage.first - 10.0, tube.end)
    near = (shell + prism(outline_at(shell, 0.05), -8.0, 0.05)) ^ around
    whole = tube.solid + _spigot(passage, near)
    if passage.on_floor:
        floor = outline_at(tube.solid, 0.02)
        whole = whole + prism(floor.buffer(1e-4), -6.0, 0.02)
    standing = _turned(whole, axes, origin).trim_by_plane([0.0, 0.0, 1.0], 0.0)
    outline = outline_at(standing, 0.02)
    wall = _wall(tube.tube.name, outline, printer)
    hollow = _hollow(standing, outline, float(standing.bounding_box()[5]), wall, printer)
    # A little inside the outer side, so that nothing of the ridge is left on the lip as a film.
    lip = passage.hole.buffer(-printer.play, join_style="mitre")
    side, up = printer.play * tube.tube.axes[:2]
    steps = [0.4 * printer.play * out, side, -side, up, -up]
    seat = united([near.translate(printer.play * out + step) for step in steps])
    seat = seat - along(lip, tube.tube, tube.tube.start, passage.last + 5.0)
    cut = _turned(united([seat, near.translate(-out * LIP_MM)]), axes, origin)
    mouth = (tube.mouth - origin) @ axes.T
    feet = _feet(mouth, passage.on_floor, printer)
    pieces = [np.stack([ends, np.roll(ends, -1, axis=0)], axis=1) for ends in (mouth, feet)]
    lines, below = (piece[:-1] for piece in pieces) if passage.on_floor else pieces
    made = (standing + ridges(lines, printer.ridge_mm, below)) - hollow - cut
    if passage.on_floor:
        made = made.trim_by_plane(
            axes[:, 2], printer.play - float(origin[2])
        )  # as far above the floor's plate
    made = made.trim_by_plane([0.0, 0.0, 1.0], 0.0)
    return TubeParts(largest(made), hollow, np.column_stack([axes.T, origin]), outline)


def leaf_parts(tube: TubeSolid, parts: TubeParts, printer: Printer) -> dict[str, Manifold]:
    """The leaves that close a tube, each lying on its outer face.

    Parameters
    ----------
    tube : TubeSolid
        It has a closure.
    parts : TubeParts
        The same tube as it is printed.
    printer : Printer

    Returns
    -------
    dict of str to Manifold
        By name, still side by side as they hang; z = 0 is where the tube's end is, and they reach below it.
    """
    closure = tube.closure
    if closure is None:
        return {}
    # On the bed the upward direction of the tube is -y; the floor is where y is 0 less the frame's own origin.
    floor = -float(_frame(tube)[1][2])
    outline = affinity.translate(parts.outline, 0.0, 0.0)
    lap, wide = closure.overlap / 2.0, 10.0 * float(np.ptp(outline.bounds[::2]))
    sides = {"left": (-wide, lap), "right": (lap + printer.play, wide)}
    inner = outline_at(parts.hollow, 0.05).buffer(-printer.play)
    rim = inner - inner.buffer(-2.0 * printer.nozzle)
    stem = closure.part.word + tube.tube.name.removeprefix(tube.tube.part.word)
    made = {}
    for side, (first, last) in sides.items():
        field = shapely.box(first, -wide, last, -floor - printer.play)
        plate = prism(outline & field, -printer.wall_mm, 0.0)
        ring = [p for p in polygons(rim & field) if p.area > 0.5]
        lips = [prism(p, -0.05, _LEAF_LIP_MM) for p in ring]
        made[f"{stem}_{side}"] = largest(united([plate, *lips]))
    return made

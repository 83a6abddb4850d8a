"""The shell to print: hollow, open below, its seams raised, with a hole for each tube.

Glossary: the *cavity* is the hollow space. Where the shell is flatter than what prints without supports, the
cavity ends lower, in a ceiling that leans no more than that, and the material between is left to the sparse filling of
the slicing program. A *passage* is the hole for one tube, drawn out along it. Where the side of a passage and a wall
both lean, the corner between them leans more than either and would need supports: a *frame* around the passage, whose
inner face is square to the tube, keeps the two apart.
"""

import math
from collections.abc import Sequence

import numpy as np
import shapely
from attrs import frozen
from manifold3d import Manifold
from numpy.typing import NDArray
from shapely import Polygon

from shellparts.base.errors import GeometryError
from shellparts.model.heads import leaning_from, printable_hole
from shellparts.model.polar import Reach, reach_of
from shellparts.model.shapes import arrays, largest, placed, polygons, prism, ridges, united
from shellparts.model.skin import SkinSolids, TubeSolid
from shellparts.parameters.opening import Tube
from shellparts.parameters.printer import Printer

__all__ = [
    "LIP_MM",
    "ROUNDING_MM",
    "SPARE_RAD",
    "Passage",
    "along",
    "cavity_of",
    "passage_of",
    "ridged",
    "shell_part",
]

Floats = NDArray[np.float64]
#: A tube's end reaches so far into the shell [mm].
LIP_MM = 2.0
#: Ceilings lean less than may be, so that rounding does not matter [rad].
SPARE_RAD = math.radians(5.0)
#: Sides of holes lean less still [rad]: a line has little to rest on there.
_HOLE_SPARE_RAD = math.radians(7.0)
#: Corners lean less than may be: walls bend a little beside a hole [rad].
_CORNER_SPARE_RAD = math.radians(1.0)
#: A frame begins so far below the leaning part of its hole [mm].
_FRAME_BELOW_MM = 1.0
#: It is as deep as the wall is so near to the hole [mm].
_FRAME_AROUND_MM = 0.3
#: Around a hole above the floor it reaches at most so far below the middle, as a share of the height: there the
#: outer side of a round frame still leans by less than 45 degrees [-].
_FRAME_UNDER = 0.3
#: Play lost to rounding when parts are simplified [mm].
ROUNDING_MM = 0.02
#: Outlines that stand on the floor go on so far below it [mm].
_BELOW_MM = 6.0
#: Distance between the points at which the shell is read [mm]; every so manieth direction around it is kept.
_FINE_MM, _EVERY = 0.5, 6


@frozen(eq=False)
class Passage:
    """The hole in the shell for one tube; outlines lie in (sideways, upward), of the model's size [mm]."""

    tube: Tube
    outline: Polygon  # The tube where it meets the shell, from outside
    hole: Polygon  # What is cut out of the shell
    #: Where the tube meets the shell, along it [mm].
    first: float
    last: float

    @property
    def on_floor(self) -> bool:
        """Whether it goes down to the floor."""
        return not self.tube.part.is_round


def along(shape: Polygon | shapely.MultiPolygon, tube: Tube, first: float, last: float) -> Manifold:
    """An outline in (sideways, upward) drawn out along a tube from one distance to another [mm]."""
    return placed(prism(shape, first, last), tube.axes, tube.origin)


def passage_of(tube: TubeSolid, printer: Printer) -> Passage:
    """The hole that a tube needs.

    Parameters
    ----------
    tube : TubeSolid
        Of the model's size.
    printer : Printer

    Returns
    -------
    Passage
    """
    local = tube.tube.local(tube.mouth)
    points = local[:, :2]
    if not tube.tube.part.is_round:
        ends = points[[-1, 0]].copy()
        ends[:, 1] -= _BELOW_MM
        points = np.vstack([points, ends])
    outline = max(polygons(Polygon(points).buffer(0.0)), key=lambda p: p.area)
    # The tube's inner end is by four roundings smaller than its outline.
    wide = outline.buffer(printer.play - 3.0 * ROUNDING_MM, join_style="mitre")
    excess = max(0.05, printer.ridge_mm - 1.7 * printer.play)
    lean = printer.steepest_rad - _HOLE_SPARE_RAD
    hole = printable_hole(wide, lean, printer.nozzle / 2.0, excess)
    return Passage(tube.tube, outline, hole, float(local[:, 2].min()), float(local[:, 2].max()))


def _lean_beside(other_rad: float, corner_rad: float) -> float:
    """How much a side may lean that meets another at right angles, if the corner between them leans so much [rad]."""
    return math.atan(math.sqrt(max(0.0, math.tan(corner_rad) ** 2 - math.tan(other_rad) ** 2)))


def _ceiling_from(cavity: Manifold, tube: Tube, lean_rad: float) -> float:
    """How high above a tube's axis the ceiling of a hollow space begins to lean so much [mm]; infinite if nowhere."""
    nodes, triangles = arrays(cavity)
    spots = nodes[triangles]
    normal = np.cross(spots[:, 1] - spots[:, 0], spots[:, 2] - spots[:, 0])
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-12)[:, None]
    leans = (normal @ tube.axes[1] > math.sin(lean_rad)) & (normal @ tube.axes[2] > 0.1)
    found = spots[leans].reshape(-1, 3)
    return float(tube.local(found)[:, 1].min()) if len(found) else math.inf


def _frame(outer: Manifold, cavity: Manifold, passage: Passage, printer: Printer) -> Manifold:
    """What stays around a hole so that its head ends in a face square to the tube; it grows out of the wall below."""
    tube, hole, corner_rad = passage.tube, passage.hole, printer.steepest_rad - _CORNER_SPARE_RAD
    around = hole.buffer(printer.wall_mm, join_style="mitre")
    wide = 2.0 * float(np.ptp(around.bounds))
    narrows = leaning_from(hole, _lean_beside(printer.steepest_rad - SPARE_RAD, corner_rad))
    above = hole.buffer(_FRAME_AROUND_MM) & shapely.box(-wide, narrows, wide, narrows + wide)
    pierced = along(above, tube, tube.start, passage.last)
    # Beside the hole's head, and beside the frame's own foot, nothing leans more than this.
    lean = _lean_beside(printer.steepest_rad - _HOLE_SPARE_RAD, corner_rad)
    ceiling = _ceiling_from(cavity ^ pierced, tube, lean)
    if not math.isfinite(ceiling):
        return Manifold()
    inner = float(tube.local(arrays((outer - cavity) ^ pierced)[0])[:, 2].min())
    grows = math.cos(lean) * tube.axes[2] + math.sin(lean) * tube.axes[1]
    block = along(around, tube, inner, passage.last + 1.0) ^ outer
    low, high = hole.bounds[1], hole.bounds[3]
    for head in (narrows, ceiling):
        foot = tube.lift([0.0, head - _FRAME_BELOW_MM], inner)[0]
        made = block.trim_by_plane(grows.tolist(), float(grows @ foot))
        inside = made ^ cavity
        if passage.on_floor or inside.is_empty():
            return made
        lowest = float(tube.local(arrays(inside)[0])[:, 1].min())
        if lowest > (low + high) / 2.0 - _FRAME_UNDER * (high - low):
            return made
    return Manifold()  # under a hole that hangs in a thick wall it would begin in mid-air: rather none


def cavity_of(shell: Manifold, seam_azimuths: Floats, printer: Printer) -> Manifold:
    """The hollow space of a shell.

    Parameters
    ----------
    shell : Manifold
        Solid, without tubes, around the z axis, standing on z = 0 [mm].
    seam_azimuths : ndarray (n,) float
        Directions of its seams, where its walls bend [rad].
    printer : Printer

    Returns
    -------
    Manifold
        It reaches below the floor, so that cutting it away opens the shell there.
    """
    low, high = shell.bounding_box()[:3], shell.bounding_box()[3:]
    top, radius = float(high[2]), float(max(np.abs([*low[:2], *high[:2]])))
    count = len(seam_azimuths)
    share = _EVERY * max(
        2, math.ceil(2 * math.pi * radius / count / _FINE_MM / _EVERY)
    )  # a panel's directions
    one = 2 * math.pi / count
    turns = np.mod(seam_azimuths[0], one) + np.arange(count * share) * one / share
    levels = np.linspace(0.02, top - 0.02, max(8, math.ceil(top / _FINE_MM)))
    outer = reach_of(shell, levels, turns)
    # Below the crown the space ends flat, no wider than a bridge; the shell is at least as wide at that level.
    flat, wall, lean = printer.bridge_mm / 2.0 - 0.4, printer.wall_mm + 0.03, printer.steepest_rad - SPARE_RAD
    wide = np.flatnonzero(outer.reach.min(axis=1) >= flat + wall)
    ceiling = levels[wide[-1]] - wall if len(wide) else 0.0
    last = int(np.searchsorted(levels, ceiling, "right")) - 1
    if last < 4:
        raise GeometryError("nothing of the scale model is hollow: it is too small for its walls")
    below = Reach(levels[: wide[-1] + 1], turns, outer.reach[: wide[-1] + 1])
    inner = below.leaning_at_most(lean, flat + wall * (1.0 - math.sin(lean)) / math.cos(lean)).shrunk(wall)
    rows = [*range(0, last, _EVERY // 2), last]
    return inner.thinned(levels[rows], turns[::_EVERY]).solid(below=2.0)


def ridged(solids: SkinSolids, passages: Sequence[Passage], printer: Printer) -> Manifold:
    """The solid shell with its seams raised, which end a little beside each tube.

    Parameters
    ----------
    solids : SkinSolids
        Of the model's size.
    passages : sequence of Passage
    printer : Printer

    Returns
    -------
    Manifold
        Its ridges reach below the floor.
    """
    lines = solids.seams
    for passage in passages:
        lines = _beside(lines, passage, 2.0 * printer.ridge_mm + 1.5 * printer.play)
    return solids.shell + ridges(lines, printer.ridge_mm)


def shell_part(outer: Manifold, passages: Sequence[Passage], cavity: Manifold, printer: Printer) -> Manifold:
    """The shell as it is printed, standing on its foot.

    Parameters
    ----------
    outer : Manifold
        The solid shell with its seams raised.
    passages : sequence of Passage
    cavity : Manifold
        Its hollow space.
    printer : Printer

    Returns
    -------
    Manifold
    """
    frames = [_frame(outer, cavity, p, printer) for p in passages]
    cavity = cavity - united(frames) if frames else cavity
    holes = [along(p.hole, p.tube, p.tube.start, p.last + 5.0) for p in passages]
    made = outer - united([cavity, *holes])
    return largest(made.trim_by_plane([0.0, 0.0, 1.0], 0.0))


def _beside(lines: Floats, passage: Passage, clear_mm: float) -> Floats:
    """What is left of straight lines, shape (k, 2, 3) [mm], at a distance from a tube."""
    tube, taken = passage.tube, passage.outline.buffer(clear_mm)
    local = tube.local(lines.reshape(-1, 3)).reshape(-1, 2, 3)
    drawn = shapely.linestrings(local[:, :, :2])
    near = shapely.intersects(drawn, taken) & (local[:, :, 2].max(axis=1) > passage.first - clear_mm)
    kept = [lines[~near]]
    for line, flat, left in zip(
        lines[near], local[near], shapely.difference(drawn[near], taken), strict=True
    ):
        length = np.linalg.norm(flat[1, :2] - flat[0, :2])
        for piece in getattr(left, "geoms", [left]):
            ends = np.asarray(piece.coords)
            if len(ends) == 2 and length > 1e-9:
                share = np.linalg.norm(ends - flat[0, :2], axis=1) / length
                kept.append((line[0] + share[:, None] * (line[1] - line[0]))[None])
    return np.concatenate(kept)

"""The shell to print: hollow, open below, its seams raised, with a hole for each tube.

Glossary: the *cavity* is the hollow space. Where the shell is flatter than what prints without supports, the
cavity ends lower, in a ceiling that leans no more than that, and the material between is left to the sparse filling of
the slicing program. A *passage* is the hole for one tube, drawn out along it.
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
from shellparts.model.heads import printable_hole
from shellparts.model.polar import reach_of
from shellparts.model.shapes import largest, placed, polygons, prism, ridges, united
from shellparts.model.skin import SkinSolids, TubeSolid
from shellparts.parameters.opening import Tube
from shellparts.parameters.printer import Printer

__all__ = ["LIP_MM", "Passage", "along", "cavity_of", "passage_of", "shell_part"]

Floats = NDArray[np.float64]
#: A tube's end reaches so far into the shell [mm].
LIP_MM = 2.0
#: The ceiling leans less than may be, so that rounding does not matter [rad].
_SPARE_RAD = math.radians(4.0)
#: Outlines that stand on the floor go on so far below it [mm].
_BELOW_MM = 6.0
#: Distance between the points at which the shell is read, and about that between those that are kept [mm].
_FINE_MM, _COARSE_MM = 0.5, 3.0


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
    wide = outline.buffer(printer.play, join_style="mitre")
    excess = max(0.05, printer.ridge_mm - 1.7 * printer.play)
    lean = printer.steepest_rad - math.radians(1.0)
    hole = printable_hole(wide, lean, printer.bridge_mm - 0.5, excess)
    return Passage(tube.tube, outline, hole, float(local[:, 2].min()), float(local[:, 2].max()))


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
    share = max(4, 2 * math.ceil(math.pi * radius / count / _FINE_MM))
    turns = np.sort(np.mod(seam_azimuths[0], 2 * math.pi / count) + np.arange(count * share) * 2 * math.pi / count / share)
    levels = np.linspace(0.02, top - 0.02, max(8, math.ceil(top / _FINE_MM)))
    outer = reach_of(shell, levels, turns)
    inner = outer.leaning_at_most(printer.steepest_rad - _SPARE_RAD, top).shrunk(printer.wall_mm + 0.03)
    every = max(1, round(_COARSE_MM / _FINE_MM))
    step = next(s for s in range(min(every, share), 0, -1) if share % s == 0)
    open_rows = np.flatnonzero(inner.reach.max(axis=1) > 1e-3)
    if len(open_rows) < 4:
        raise GeometryError("nothing of the scale model is hollow: it is too small for its walls")
    last = int(open_rows[-1]) + 1
    rows = np.unique([*range(0, last, 3), last - 1, min(last, len(levels) - 1)])
    return inner.thinned(levels[rows], turns[::step]).solid(below=2.0)


def shell_part(
    solids: SkinSolids, passages: Sequence[Passage], cavity: Manifold, printer: Printer
) -> Manifold:
    """The shell as it is printed, standing on its foot.

    Parameters
    ----------
    solids : SkinSolids
        Of the model's size.
    passages : sequence of Passage
    cavity : Manifold
    printer : Printer

    Returns
    -------
    Manifold
    """
    shell = solids.shell
    raised = ridges(solids.seams, printer.ridge_mm)
    clear = printer.ridge_mm + 1.5 * printer.play
    reach = 5.0 + max((p.last for p in passages), default=0.0)
    beside = [along(p.outline.buffer(clear), p.tube, p.first - 5.0, reach) for p in passages]
    if beside:
        raised = raised - united(beside)
    holes = [along(p.hole, p.tube, p.tube.start, p.last + 5.0) for p in passages]
    made = (shell + raised) - united([cavity, *holes])
    return largest(made.trim_by_plane([0.0, 0.0, 1.0], 0.0))

"""Near misses: lines of two parts that almost meet, or only just touch.

Glossary: a *level* is a height at which the shell's profile bends; a *corner* is where a seam crosses a
level. Lines may coincide exactly, a doorway as wide as a panel for one, or keep clear of each other; what
lies between cannot be cut, and is too thin for the kernel's mesher. This module knows nothing of a kernel.
"""

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from shellparts.base.checks import require
from shellparts.base.tolerances import TOLERANCES
from shellparts.base.units import metric
from shellparts.parameters.choices import Head
from shellparts.parameters.clearances import sleeve_entry

if TYPE_CHECKING:
    from shellparts.parameters.design import Design

__all__ = ["check_coincidences"]

#: Nearer than this two lines count as one.
_SAME_MM = 1e-3 * TOLERANCES.same_point_mm
#: A doorway as much wider or narrower leaves parts of panels beside it that can be sewn [mm].
_SEWABLE_MM = 25.0


def check_coincidences(design: "Design") -> None:
    """Refuse what almost coincides.

    Parameters
    ----------
    design : Design
        A design whose parts fit each other.

    Raises
    ------
    ParameterError
        At the first near miss.
    """
    levels = design.shell.mid.breaks[1:-1, 1]
    if design.doorway is not None:
        _check_doorway(design, levels)
    if design.sleeve is not None:
        b = design.sleeve.half_size[1]
        _, heights = sleeve_entry(design, [-b, b])
        near = _missed(heights, levels, touching=design.sleeve.is_round)
        _refuse(
            near,
            "sleeve height",
            design.sleeve.height,
            "the opening's upper and lower side",
            "a bend of the panels",
        )


def _check_doorway(design: "Design", levels: NDArray[np.float64]) -> None:
    door, seam = design.doorway, design.shell.seam
    assert door is not None  # asked only for rooms with a doorway
    near = _missed([door.eaves], levels) or _missed([door.height], levels, touching=door.head is Head.ARCHED)
    _refuse(near, "doorway height", door.height, "its top and its eaves", "a bend of the panels")
    heights = np.append(seam.breaks[seam.breaks[:, 1] < door.height, 1], door.eaves)
    radii = seam.radius_at(heights)
    azimuths = design.azimuths - design.shell.half_angle
    corners = np.abs(np.outer(radii, np.sin(azimuths[np.cos(azimuths) > 1e-9])))
    leaning = seam.points(0, 0.5)[0] != radii[0]
    for row, half in enumerate(door.half_width_at(heights)):
        near = _missed([half], corners[row], touching=row == 0 and bool(leaning))
        line = "a corner of a panel, or their own tops of a seam"
        _refuse(near, "doorway width", door.width, "its sides", line, by=_SEWABLE_MM)


def _missed(values: ArrayLike, lines: ArrayLike, touching: bool = False) -> bool:
    """Whether a value lies next to a line, or, where `touching` is refused too, on it."""
    off = np.abs(np.subtract.outer(np.asarray(values, float), np.asarray(lines, float)))
    return bool(np.any((off < TOLERANCES.near_miss_mm) & (touching | (off > _SAME_MM))))


def _refuse(near: bool, what: str, value: float, side: str, line: str, by: float = 2.0) -> None:
    clear = metric(TOLERANCES.near_miss_mm, 1)
    limit = f"such that {side} keep at least {clear} clear of {line}, which they all but meet"
    require(not near, what, metric(value, 6), limit, f"change it by {metric(by)} or more")

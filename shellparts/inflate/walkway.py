"""How high one can stand on the way out: the clear height of a tunnel of cloth.

Glossary: the *middle line* of a tunnel runs on the floor, in the middle of its width as sewn, from its mouth in the
shell to its outer end; people are taken to walk along it. The *clear height* is that of the lowest cloth of the tunnel
above the middle line, wherever on the way that is: the crown as a rule, a wall that has fallen in if one has. A
curtain hangs from the tunnel's outer end and is parted by whoever goes through; its top is the edge that it is sewn
to, which counts with the tunnel. People are wider than a line: at their shoulders the head of a tunnel may be lower, as
much as it is as sewn. This module does not look for balance.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from shellparts.base.errors import GeometryError
from shellparts.inflate.welded import Welded
from shellparts.parameters.design import Design
from shellparts.parameters.opening import Tube

__all__ = ["clear_heights", "ways_of"]

Floats = NDArray[np.float64]


def ways_of(design: Design) -> tuple[Tube, ...]:
    """Tubes of a design through which people leave, in the order of its openings.

    Parameters
    ----------
    design : Design

    Returns
    -------
    tuple of Tube
    """
    pairs = zip(design.openings, design.tubes, strict=True)
    return tuple(tube for one, tube in pairs if one.way_out is not None)


def _is_of(sheet: str, tube: str) -> bool:
    """Whether a sheet is a tube, or one part of it: parts of one sheet have letters after its name."""
    part = sheet.removeprefix(f"{tube}_")
    return sheet == tube or (part != sheet and len(part) == 1 and part.isalpha())


def clear_heights(welded: Welded, nodes: Floats, ways: Sequence[Tube]) -> Floats:
    """Least clear height of each way out in a form.

    Parameters
    ----------
    welded : Welded
        The mesh.
    nodes : ndarray (n, 3) float
        Where its nodes are, floor at z = 0 [mm].
    ways : sequence of Tube
        The tubes; each has a sheet of its name, or several with letters after it.

    Returns
    -------
    ndarray (k,) float
        Height of the lowest cloth of each above its middle line [mm].

    Raises
    ------
    GeometryError
        If a tube has no cloth above its middle line.
    """
    heights = np.zeros(len(ways))
    for i, tube in enumerate(ways):
        own = np.array([any(_is_of(sheet, tube.name) for sheet in one.sheets) for one in welded.regions])
        corners = nodes[welded.triangles[own[welded.region_of]]]
        side = (corners - tube.origin) @ tube.axes[0]
        height = corners[..., 2]
        on_side, on_height = np.roll(side, -1, axis=1), np.roll(height, -1, axis=1)
        crosses = (side < 0) != (on_side < 0)
        if not crosses.any():
            raise GeometryError(f"{tube.name} has no cloth above the middle of the way out")
        share = side[crosses] / (side[crosses] - on_side[crosses])
        heights[i] = (height[crosses] + share * (on_height[crosses] - height[crosses])).min()
    return heights

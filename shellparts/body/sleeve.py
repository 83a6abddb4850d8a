"""The fan sleeve as a tube from its panel out to the fan.

Its section starts and ends in the middle of its underside.
"""

import itertools
import math

import numpy as np
from numpy.typing import NDArray

from shellparts.body.section import Stretch
from shellparts.body.tube_part import Tube
from shellparts.parameters.choices import PartKind
from shellparts.parameters.clearances import sleeve_frame
from shellparts.parameters.design import Design

__all__ = ["sleeve_tube"]


def sleeve_tube(design: Design) -> Tube:
    """Make the fan sleeve.

    Parameters
    ----------
    design : Design
        With a sleeve.

    Returns
    -------
    Tube
    """
    sleeve = design.sleeve
    assert sleeve is not None  # asked only for rooms with a sleeve
    a, b = sleeve.half_size
    section: tuple[Stretch, ...]
    if sleeve.is_round:
        foot, top, quarter = (0.0, -a), (0.0, a), math.pi / 2
        section = (
            Stretch(foot, top, (0.0, 0.0), -quarter, quarter),
            Stretch(top, foot, (0.0, 0.0), quarter, 3 * quarter),
        )
    else:
        corners = [(0.0, -b), (a, -b), (a, b), (-a, b), (-a, -b), (0.0, -b)]
        section = tuple(Stretch(p, q) for p, q in itertools.pairwise(corners))

    def covers(q: NDArray[np.float64]) -> NDArray[np.bool_]:
        x, y = q.T
        return np.hypot(x, y) < a if sleeve.is_round else (np.abs(x) < a) & (np.abs(y) < b)

    origin, axes = sleeve_frame(design)
    start = -float(np.hypot(origin[0], origin[1]))
    return Tube("sleeve", PartKind.SLEEVE, section, True, origin, axes, start, sleeve.length, covers)

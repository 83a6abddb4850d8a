"""The fan sleeve: a tube of cloth from a panel to the fan.

Glossary: the *girth* is the distance around the fan, measured with a tape; *ease* is what the sleeve is wider
so that it slips on; the *section* is the tube's cross-section; the *axis* is its middle line, in the upright
plane through the panel's middle. This module knows nothing of the panel that the sleeve is sewn to.
"""

import math

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from shellparts.base.checks import require
from shellparts.base.errors import ParameterError
from shellparts.base.fields import angle_field, count_field, length_field
from shellparts.base.units import metric

__all__ = ["Sleeve"]


@frozen(kw_only=True)
class Sleeve:
    """A fan sleeve. Its size is given in exactly one of three ways: `girth`, `diameter`, or `width` and
    `depth`.

    Parameters
    ----------
    girth : float or str
        Measured distance around the fan [mm]: a round sleeve of this girth plus the ease.
    ease : float or str
        What is added to the girth [mm]; only with `girth`.
    diameter : float or str
        Of a round sleeve [mm].
    width, depth : float or str
        Of a rectangular sleeve, sideways and upward [mm].
    length : float or str
        Along the axis from the panel to the fan [mm], 0.2 m to 5 m.
    height : float or str
        Of the axis above the floor where it meets the panel [mm].
    slope : float
        How far the axis falls towards the fan [deg]: 0 is level, 90 would be straight down.
    panel : int
        Number of the panel, counted counter-clockwise seen from above. Panel 1 is the doorway's panel, or the
        first one counter-clockwise of the doorway's seam. The one opposite the doorway unless given.

    Raises
    ------
    ParameterError
        If a value is out of its range, or the size is given in more or fewer ways than one.
    """

    girth: float | None = length_field(
        "girth of the fan", 300.0, 5000.0, "measure around the fan with a tape", optional=True
    )
    ease: float = length_field("ease", 0.0, 300.0, "choose an ease of 20 mm to 80 mm", default=40.0)
    diameter: float | None = length_field(
        "sleeve diameter", 100.0, 1500.0, "choose 0.1 m to 1.5 m", optional=True
    )
    width: float | None = length_field("sleeve width", 100.0, 1500.0, "choose 0.1 m to 1.5 m", optional=True)
    depth: float | None = length_field("sleeve depth", 100.0, 1500.0, "choose 0.1 m to 1.5 m", optional=True)
    length: float = length_field("sleeve length", 200.0, 5000.0, "choose 0.2 m to 5 m")
    height: float = length_field("sleeve height", 50.0, 5000.0, "measure to the middle of the fan's outlet")
    slope: float = angle_field("sleeve slope", -45.0, 60.0, "choose a gentler slope", default=0.0)
    panel: int | None = count_field(
        "sleeve's panel", 1, 64, "count panels counter-clockwise from the doorway", optional=True
    )

    def __attrs_post_init__(self) -> None:
        """Check that the size is given once and once only."""
        box = self.width is not None and self.depth is not None
        given = [self.girth is not None, self.diameter is not None, box]
        half_box = (self.width is None) != (self.depth is None)
        if sum(given) != 1 or half_box:
            names = ("girth", "diameter", "width", "depth")
            written = [name for name in names if getattr(self, name) is not None]
            raise ParameterError(
                "sleeve size",
                " and ".join(written) if written else "missing",
                "either a girth, or a diameter, or a width with a depth",
                "give the measured girth of the fan, and leave out the others",
            )
        require(
            self.girth is None or 100.0 * math.pi <= self.girth + self.ease,
            "girth of the fan",
            metric(self.girth or 0.0),
            "at least 274 mm",
            "measure around the fan's casing",
        )

    @property
    def is_round(self) -> bool:
        """Whether the section is a circle."""
        return self.width is None

    @property
    def radius(self) -> float:
        """Radius of a round section [mm]."""
        if self.girth is not None:
            return (self.girth + self.ease) / (2 * math.pi)
        assert self.diameter is not None  # round, and no girth
        return self.diameter / 2

    @property
    def half_size(self) -> tuple[float, float]:
        """Half of the section's size sideways and upward [mm]."""
        if self.is_round:
            return self.radius, self.radius
        assert self.width is not None and self.depth is not None
        return self.width / 2, self.depth / 2

    @property
    def around(self) -> float:
        """Distance around the section [mm]."""
        a, b = self.half_size
        return 2 * math.pi * a if self.is_round else 4 * (a + b)

    def section(self, samples: int = 48) -> NDArray[np.float64]:
        """Points on the section, shape (n, 2): sideways and upward from the axis [mm]."""
        a, b = self.half_size
        turn = np.linspace(0.0, 2 * math.pi, samples, endpoint=False)
        circle = np.column_stack([np.cos(turn), np.sin(turn)])
        if self.is_round:
            return circle * a
        return circle / np.abs(circle).max(axis=1, keepdims=True) * np.array([a, b])

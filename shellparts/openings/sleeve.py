"""The fan sleeve: a tube of cloth from a panel to the fan.

Glossary: the *girth* is the distance around the fan, measured with a tape; *ease* is what the sleeve is wider
so that it slips on; the *section* is the tube's cross-section; the *axis* is its middle line, in the upright
plane through the panel's middle.
"""

import itertools
import math
from typing import Any, ClassVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from shellparts.base.checks import at_least, at_most, require
from shellparts.base.classes import MaybeMm, Mm, frozen_fields
from shellparts.base.errors import ParameterError
from shellparts.base.fields import angle_field, count_field, length_field
from shellparts.base.quadrature import quadrature
from shellparts.base.units import metric
from shellparts.openings.fit import leaving, nearly_meets, refuse_near_miss, steepness
from shellparts.parameters.opening import Floorplan, Opening, Share, Tube, level_axes
from shellparts.parameters.part import Part, Role
from shellparts.parameters.section import Stretch
from shellparts.parameters.shell import Shell

__all__ = ["SLEEVE", "Sleeve"]

Array = NDArray[np.float64]
SLEEVE = Part(
    "sleeve",
    Role.TUBE,
    (0.60, 0.66, 0.80),
    "sleeve_seam",
    opening="sleeve",
    stage="fan sleeve",
    is_round=True,
    drawn=True,
)
#: Its opening keeps so far from the edges of its panel [mm].
_EDGE_MARGIN_MM = 40.0


@frozen_fields(kw_only=True)
class Sleeve(Opening):
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

    word: ClassVar[str] = "sleeve"
    part: ClassVar[Part] = SLEEVE

    girth: MaybeMm = length_field(
        "girth of the fan", 300.0, 5000.0, "measure around the fan with a tape", default=None
    )
    ease: Mm = length_field("ease", 0.0, 300.0, "choose an ease of 20 mm to 80 mm", default=40.0)
    diameter: MaybeMm = length_field("sleeve diameter", 100.0, 1500.0, "choose 0.1 m to 1.5 m", default=None)
    width: MaybeMm = length_field("sleeve width", 100.0, 1500.0, "choose 0.1 m to 1.5 m", default=None)
    depth: MaybeMm = length_field("sleeve depth", 100.0, 1500.0, "choose 0.1 m to 1.5 m", default=None)
    length: Mm = length_field("sleeve length", 200.0, 5000.0, "choose 0.2 m to 5 m")
    height: Mm = length_field("sleeve height", 50.0, 5000.0, "measure to the middle of the fan's outlet")
    slope: float = angle_field("sleeve slope", -45.0, 60.0, "choose a gentler slope", default=0.0)
    panel: int | None = count_field(
        "sleeve's panel", 1, 64, "count panels counter-clockwise from the doorway", default=None
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

    # What every opening is asked.

    def number(self, plan: Floorplan) -> int:
        """Number of its panel."""
        return self.panel if self.panel is not None else plan.shell.panels // 2 + 1

    def parameters(self, plan: Floorplan) -> dict[str, Any]:
        """The panel, where it was not given."""
        return {"panel": self.number(plan)}

    def panels(self, plan: Floorplan) -> set[int]:
        """Its panel."""
        return {self.number(plan)}

    def tube(self, plan: Floorplan, suffix: str = "") -> Tube:
        """From its panel out to the fan; the section starts and ends in the middle of its underside."""
        a, b = self.half_size
        section: tuple[Stretch, ...]
        if self.is_round:
            foot, top, quarter = (0.0, -a), (0.0, a), math.pi / 2
            section = (
                Stretch(foot, top, (0.0, 0.0), -quarter, quarter),
                Stretch(top, foot, (0.0, 0.0), quarter, 3 * quarter),
            )
        else:
            corners = [(0.0, -b), (a, -b), (a, b), (-a, b), (-a, -b), (0.0, -b)]
            section = tuple(Stretch(p, q) for p, q in itertools.pairwise(corners))

        def covers(q: Array, margin: float) -> NDArray[np.bool_]:
            x, y = q.T
            if self.is_round:
                return np.hypot(x, y) < a + margin
            return (np.abs(x) < a + margin) & (np.abs(y) < b + margin)

        side, up, out = level_axes(self.azimuth(plan))
        slope = math.radians(self.slope)
        origin = out * float(plan.shell.mid.radius_at(self.height)) + up * self.height
        along = out * math.cos(slope) - up * math.sin(slope)
        across = out * math.sin(slope) + up * math.cos(slope)
        axes, start = np.stack([side, across, along]), -float(np.hypot(origin[0], origin[1]))
        return Tube(f"sleeve{suffix}", SLEEVE, section, origin, axes, start, self.length, covers)

    def outside(self, plan: Floorplan) -> tuple[Array, float]:
        """Points of the section; distances count from where the axis leaves the panel."""
        return self.section(48), 0.0

    def _entry(self, shell: Shell, offsets: ArrayLike) -> tuple[Array, Array]:
        """Where lines parallel to the axis, in the panel's middle plane, leave the shell.

        Takes their distances from the axis, upward and at a right angle to it [mm], shape (n,); gives the distance
        along the axis from where the axis itself leaves the shell, and the height above the floor [mm], shape (n,):
        NaN where the line does not leave through the panel.
        """
        slope, mid = math.radians(self.slope), shell.mid
        b = np.atleast_1d(np.asarray(offsets, float))
        start = float(mid.radius_at(self.height))
        height = self.height + b * math.cos(slope)
        along = leaving(mid, start + b * math.sin(slope), math.cos(slope), height, -math.sin(slope))
        height = height - along * math.sin(slope)
        through = (height >= 0.0) & (height <= mid.top[1])
        return np.where(through, along, np.nan), np.where(through, height, np.nan)

    def check(self, plan: Floorplan) -> None:
        """Refuse a sleeve that does not fit its panel."""
        shell = plan.shell
        require(
            self.number(plan) <= shell.panels,
            "sleeve's panel",
            str(self.number(plan)),
            f"at most {shell.panels}, the number of panels",
            "count panels counter-clockwise from the doorway",
        )
        top = float(shell.mid.top[1])
        at_most(
            "sleeve height",
            self.height,
            top - _EDGE_MARGIN_MM,
            ", below the panels' upper end",
            "lower the sleeve",
        )
        section = self.section(96)
        along, height = self._entry(shell, section[:, 1])
        remedy = "move the sleeve's height, lessen its slope, or choose a smaller one"
        value = f"{metric(self.height)} with a slope of {self.slope:g} degrees"
        require(
            bool(np.isfinite(along).all()),
            "sleeve height",
            value,
            f"such that the whole sleeve, {metric(2 * self.half_size[1])} high, goes through its panel, which ends at "
            f"{metric(top)}",
            remedy,
        )
        at_most(
            "slant of the sleeve's opening",
            float(np.ptp(along)),
            4.0 * self.half_size[1] + 1.0,
            " from its first to its last point along the sleeve, or it is too long to sew in",
            "lessen the sleeve's slope, or set it where the panel is steeper",
        )
        self._check_stays_out(shell, section[:, 1], along)
        low, high = float(height.min()), float(height.max())
        require(
            low >= _EDGE_MARGIN_MM and high <= top - _EDGE_MARGIN_MM,
            "sleeve height",
            value,
            f"such that its opening, here from {metric(low)} to {metric(high)}, keeps "
            f"{metric(_EDGE_MARGIN_MM)} from the floor and "
            f"from the panels' upper end at {metric(top)}",
            remedy,
        )
        spare = shell.half_width(height) - np.abs(section[:, 0])
        at_most(
            "sleeve width",
            2 * self.half_size[0],
            max(0.0, 2 * (self.half_size[0] + float(spare.min()) - _EDGE_MARGIN_MM)),
            f", the panel's width there less {metric(_EDGE_MARGIN_MM)} each side",
            "choose a smaller sleeve, set it lower, or make fewer and wider panels",
        )
        at_least(
            "sleeve length",
            self.length,
            float(along.max()) + 100.0,
            ", to stand clear of the panel",
            "lengthen the sleeve",
        )
        slope = math.radians(self.slope)
        lowest = self.height - self.length * math.sin(slope) - self.half_size[1] * math.cos(slope)
        at_least(
            "height of the sleeve's lower side at the fan",
            lowest,
            0.0,
            ", the floor",
            "lessen the slope, shorten the sleeve or set it higher",
        )

    def _check_stays_out(self, shell: Shell, offsets: Array, along: Array) -> None:
        """Refuse a sleeve that meets its panel again, where that leans outward, after it has left it."""
        mid, slope = shell.mid, math.radians(self.slope)
        steps = along[:, None] + 1e-3 + np.linspace(0.0, 1.0, 120) * (self.length - along[:, None])
        height = self.height + offsets[:, None] * math.cos(slope) - steps * math.sin(slope)
        radius = (
            float(mid.radius_at(self.height)) + offsets[:, None] * math.sin(slope) + steps * math.cos(slope)
        )
        inside = (height > 0.0) & (height < mid.top[1]) & (radius < mid.radius_at(height))
        require(
            not bool(inside.any()),
            "sleeve slope",
            f"{self.slope:g} degrees",
            "such that the sleeve, once it has left the panel, does not meet it again at "
            f"{metric(float(height[inside].max(initial=0.0)))}"
            " up, where the panel leans outward",
            "bring the slope nearer to level, choose a smaller sleeve, or set it lower",
        )

    def check_lines(self, plan: Floorplan) -> None:
        """Refuse a sleeve whose upper or lower side all but meets a bend of the panels."""
        levels, b = plan.shell.mid.breaks[1:-1, 1], self.half_size[1]
        near = nearly_meets(self._entry(plan.shell, [-b, b])[1], levels, touching=self.is_round)
        side = "the opening's upper and lower side"
        refuse_near_miss(near, "sleeve height", self.height, side, "a bend of the panels")

    def _chords(self, pieces: int) -> tuple[Array, Array, Array, Array]:
        """Upward positions across the section, width there, change of position with the parameter [mm], weights."""
        half_width, half_depth = self.half_size
        turn, weights = quadrature([-math.pi / 2, math.pi / 2], pieces)
        width = 2 * half_width * (np.cos(turn) if self.is_round else np.ones_like(turn))
        return half_depth * np.sin(turn), width, half_depth * np.cos(turn), weights

    def volume(self, plan: Floorplan) -> float:
        """Air in the sleeve outside the shell [mm3]."""
        upward, width, step, weights = self._chords(64)
        entry, _ = self._entry(plan.shell, upward)
        return float((width * (self.length - entry) * step) @ weights)

    def share(self, plan: Floorplan) -> Share:
        """Cloth and seams of the sleeve."""
        shell, slope = plan.shell, math.radians(self.slope)
        section = self.section(720)
        section = np.vstack([section, section[:1]])
        along, _ = self._entry(shell, section[:, 1])
        steps = np.linalg.norm(np.diff(section, axis=0), axis=1)
        lengths = self.length - along
        cloth = float((lengths[1:] + lengths[:-1]) / 2 @ steps)
        upward, width, step, weights = self._chords(24)
        lean = steepness(shell.mid, self._entry(shell, upward)[1])
        square = (math.cos(slope) + lean * math.sin(slope)) / np.sqrt(1.0 + lean**2)
        cut = float((width * step / square) @ weights)
        rim = np.column_stack([section, along])
        seams = float(np.linalg.norm(np.diff(rim, axis=0), axis=1).sum()) + float(lengths[0])
        return Share(cut, cloth, 0.0, seams, 0.0)

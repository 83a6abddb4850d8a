"""The shell: a ring of equal panels under one profile, closed by a cap.

Glossary: *across* is the diameter at the floor; *half angle* is half of one panel's share of the full turn;
the *end* is where the panels stop short of the axis and the cap takes over. A panel is ruled straight across
from seam to seam, so everything about it follows from its mid-line: its half width is the mid-line's radius
times the tangent of the half angle. This module knows nothing of doorways and sleeves.
"""

import itertools
import math
from collections.abc import Sequence
from functools import cached_property

import numpy as np
from attrs import field
from numpy.typing import ArrayLike, NDArray

from shellparts.base.checks import at_least, at_most, require
from shellparts.base.classes import MaybeMm, Mm, Reads, frozen_fields
from shellparts.base.errors import ParameterError
from shellparts.base.fields import choice_field, count_field, flag_field, length_field
from shellparts.base.units import Length, metric, to_mm
from shellparts.parameters import profile as profiles
from shellparts.parameters.choices import Measured, MeasuredWord, ProfileKind, ProfileKindWord
from shellparts.parameters.profile import Profile

__all__ = ["Shell"]

_DEFAULT_STOP_MM = 100.0
_FURTHEST_STOP_MM = 2000.0
_LEAST_RISE_MM = 200.0
#: A pointed arch rises this much more than half its size across, or it is a dome [mm].
_LEAST_POINT_MM = 1.0
_LEAST_END_MM = 8.0
_LEAST_BASE_MM = 150.0


def _read_points(value: Sequence[tuple[Length, Length]] | None) -> tuple[tuple[float, float], ...] | None:
    if value is None:
        return None
    try:
        pairs = [(radius, height) for radius, height in value]
    except (TypeError, ValueError):
        raise ParameterError(
            "profile points", repr(value), "pairs of radius and height", "write ((2200, 0), (2100, 900), …)"
        ) from None
    return tuple(
        (to_mm(r, f"radius of profile point {i}"), to_mm(z, f"height of profile point {i}"))
        for i, (r, z) in enumerate(pairs, 1)
    )


@frozen_fields(kw_only=True)
class Shell:
    """A ring of panels.

    Parameters
    ----------
    panels : int
        How many panels, 5 to 64.
    across : float or str
        Diameter at the floor [mm], 1 m to 20 m. Left out with ``profile="points"``, which has its own radii.
    height : float or str
        Height of the profile's upper end above the floor [mm], 0.8 m to 10 m: for a straight or pointed
        profile the point where the panels would meet. Left out with ``profile="points"``.
    wall : float or str
        Height of the upright wall below the profile [mm], or 0.
    profile : ProfileKind or str
        ``"straight"``, ``"dome"``, ``"pointed"`` or ``"points"``.
    points : sequence of pairs
        Radius and height [mm] from the floor up, for ``profile="points"``.
    smooth : bool
        Whether the points are joined by one smooth curve rather than by straight stretches.
    measured : Measured or str
        Where sizes across are taken: ``"seams"`` or ``"middles"`` of panels.
    stop_short : float or str
        How far short of the axis the panels stop, measured along the panel's mid-line [mm]; 100 mm, or as far as it
        takes to leave the panels wide enough to sew, unless given. A profile of points that ends off the axis
        stops at its last point unless this is given.

    Raises
    ------
    ParameterError
        If a value is out of its range or the profile cannot be sewn.
    """

    panels: int = count_field("number of panels", 5, 64, "choose from 5 to 64 panels")
    across: MaybeMm = length_field(
        "size across", 1000.0, 20_000.0, "build a smaller or larger room, 1 m to 20 m across", default=None
    )
    height: MaybeMm = length_field(
        "shell height", 800.0, 10_000.0, "choose a height from 0.8 m to 10 m", default=None
    )
    wall: Mm = length_field(
        "upright wall", 0.0, 4000.0, "choose a wall up to 4 m, or 0 for none", default=0.0
    )
    profile: Reads[ProfileKind | ProfileKindWord, ProfileKind] = choice_field(
        "profile", ProfileKind, default=ProfileKind.STRAIGHT
    )
    points: Reads[Sequence[tuple[Length, Length]] | None, tuple[tuple[float, float], ...] | None] = field(
        default=None, converter=_read_points, metadata={"unit": "mm"}
    )
    smooth: bool = flag_field("smooth", default=False)
    measured: Reads[Measured | MeasuredWord, Measured] = choice_field(
        "where the size is measured", Measured, default=Measured.SEAMS
    )
    stop_short: MaybeMm = length_field(
        "stop short of the axis", 0.0, _FURTHEST_STOP_MM, "stop 50 mm to 300 mm short", default=None
    )

    def __attrs_post_init__(self) -> None:
        """Check what depends on more than one value."""
        if self.profile is ProfileKind.POINTS:
            self._check_points()
        else:
            self._check_drawn()
        require(
            self.reference.rises(),
            "profile",
            "one that turns back on itself",
            "rising all the way, on one side of the axis",
            "move points so that each is higher than the one before; if the curve swings, use smooth=False",
        )
        self._check_ends()

    def _check_points(self) -> None:
        points = self.points or ()
        least = 4 if self.smooth else 2
        require(
            least <= len(points) <= 40,
            "number of profile points",
            str(len(points)),
            f"from {least} to 40",
            "give points as (radius, height) pairs from the floor up",
        )
        for what, value in (
            ("size across", self.across),
            ("shell height", self.height),
            ("upright wall", self.wall),
        ):
            require(
                not value,
                what,
                metric(value or 0.0),
                "left out with a profile of points",
                "the points say it already; draw an upright wall as two points of the same radius",
            )
        require(
            points[0][1] == 0.0,
            "height of profile point 1",
            metric(points[0][1], 1),
            "0 mm",
            "start at the floor",
        )
        for i, ((_, low), (r, z)) in enumerate(itertools.pairwise(points), 2):
            require(
                z - low >= 1.0,
                f"height of profile point {i}",
                metric(z, 1),
                f"at least 1 mm above point {i - 1} at {metric(low, 1)}",
                "a profile that turns back on itself cannot stand; move the point up",
            )
            require(
                r >= 0.0 and (r > 0.0 or i == len(points)),
                f"radius of profile point {i}",
                metric(r, 1),
                "above 0 mm (only the last point may lie on the axis)",
                "keep every point on one side of the axis",
            )
        largest, top = max(r for r, _ in points), points[-1][1]
        require(
            points[0][0] >= 500.0 and largest <= 10_000.0,
            "size across",
            metric(2 * (largest if largest > 10_000.0 else points[0][0])),
            "from 1000 mm to 20000 mm",
            "build a smaller or larger room",
        )
        require(
            800.0 <= top <= 10_000.0,
            "shell height",
            metric(top),
            "from 800 mm to 10000 mm",
            "move the last point",
        )

    def _check_drawn(self) -> None:
        remedy = "give both the size across and the height, or a profile of points"
        require(self.points is None, "profile", self.profile.value, "'points' when points are given", remedy)
        require(
            not self.smooth,
            "smooth",
            "True",
            "False unless the profile is given by points",
            "leave smooth out",
        )
        require(self.across is not None, "size across", "missing", "given", remedy)
        require(self.height is not None, "shell height", "missing", "given", remedy)
        rise, radius = self._rise, (self.across or 0.0) / 2
        at_most(
            "upright wall",
            self.wall,
            (self.height or 0.0) - _LEAST_RISE_MM,
            f", {metric(_LEAST_RISE_MM)} below the shell height of {metric(self.height or 0.0)}",
            "lower the wall or raise the shell",
        )
        require(
            self.wall == 0.0 or self.wall >= 1.0,
            "upright wall",
            metric(self.wall, 6),
            "0 mm for none, or at least 1 mm",
            "leave the wall out or raise it",
        )
        if self.profile is ProfileKind.DOME:
            at_most(
                "rise of the dome above its wall",
                rise,
                radius,
                ", half the size across",
                "raise the wall, lower the shell, or choose a pointed profile",
            )
        if self.profile is ProfileKind.POINTED:
            at_least(
                "rise of the pointed arch above its wall",
                rise,
                radius + _LEAST_POINT_MM,
                ", more than half the size across",
                "raise the shell, lower the wall, or choose a dome",
            )

    def _check_ends(self) -> None:
        ended = self._ended
        require(
            ended is not None,
            "stop short of the axis",
            metric(self._stop),
            f"less than the panel's length of {metric(self._unended.length)}",
            "stop nearer to the axis",
        )
        last = len(self.mid.runs) - 1
        require(
            self.mid.run_length(last) >= 1.0,
            "stop short of the axis",
            metric(self._stop, 3),
            f"such that the panels do not end within 1 mm above the bend at {metric(self.mid.breaks[last, 1], 1)}",
            "stop a little more or less short",
        )
        remedy = "stop further short of the axis, or make fewer panels"
        further = self._stop_at_width(self._stop)
        at_least(
            "width of a panel at its upper end",
            self._end_width(self.mid),
            _LEAST_END_MM,
            " to be sewn",
            remedy if further is None else f"stop {metric(further)} short of the axis, or make fewer panels",
        )
        at_least(
            "width of a panel at the floor",
            2 * float(self.mid.breaks[0, 0]) * self.tangent,
            _LEAST_BASE_MM,
            "",
            "make fewer panels or a larger room",
        )

    @property
    def _rise(self) -> float:
        return (self.height or 0.0) - self.wall

    @property
    def _stop(self) -> float:
        """How much of the mid-line is left out at the top [mm]."""
        if self.stop_short is not None:
            return self.stop_short
        ends_off_axis = self.points is not None and self.points[-1][0] > 0.0
        return 0.0 if ends_off_axis else self._usual_stop

    @cached_property
    def _usual_stop(self) -> float:
        """How far short panels stop unless told: the usual, or as far as leaves them wide enough to sew [mm]."""
        return self._stop_at_width(_DEFAULT_STOP_MM) or _DEFAULT_STOP_MM

    def _end_width(self, ended: Profile) -> float:
        return 2 * float(ended.top[0]) * self.tangent

    def _stop_at_width(self, least: float) -> float | None:
        """The least stop from `least` on, in steps, at which a panel's end is wide enough; None without one [mm]."""
        for stop in np.arange(least, _FURTHEST_STOP_MM + 1.0, 10.0):
            ended = self._unended.shortened(float(stop))
            if ended is None:
                return None
            if self._end_width(ended) >= _LEAST_END_MM:
                return float(stop)
        return None

    @property
    def half_angle(self) -> float:
        """Half of one panel's share of the full turn [rad]."""
        return math.pi / self.panels

    @property
    def tangent(self) -> float:
        """Half width of a panel per radius of its mid-line."""
        return math.tan(self.half_angle)

    @cached_property
    def reference(self) -> Profile:
        """The profile as the user gives it, up to the axis."""
        if self.profile is ProfileKind.POINTS:
            assert self.points is not None  # _check_points runs first
            return profiles.smooth(self.points) if self.smooth else profiles.polyline(self.points)
        draw = {
            ProfileKind.STRAIGHT: profiles.straight,
            ProfileKind.DOME: profiles.dome,
            ProfileKind.POINTED: profiles.pointed,
        }[self.profile]
        return draw((self.across or 0.0) / 2, self.wall, self.height or 0.0)

    @property
    def _unended(self) -> Profile:
        return self.reference.stretched(math.cos(self.half_angle) if self.measured is Measured.SEAMS else 1.0)

    @cached_property
    def _ended(self) -> Profile | None:
        return self._unended.shortened(self._stop)

    @property
    def mid(self) -> Profile:
        """Mid-line of a panel, from the floor to where the panel stops."""
        assert self._ended is not None  # _check_ends has refused it
        return self._ended

    @cached_property
    def seam(self) -> Profile:
        """Seam line, from the floor to where the panels stop."""
        return self.mid.stretched(1.0 / math.cos(self.half_angle))

    def half_width(self, height: ArrayLike) -> NDArray[np.float64]:
        """Half width of a panel at the heights given [mm]."""
        return self.mid.radius_at(height) * self.tangent

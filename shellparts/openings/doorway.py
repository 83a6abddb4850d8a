"""The doorway: a tunnel of cloth through the shell, with a curtain at its outer end.

Glossary: the *head* is the tunnel's top; the *eaves* are where its upright sides end and the head begins; the
*leaves* are the two halves of the curtain, which overlap in the middle; the *vent* is the stretch at the foot
of each side of the curtain that is left unsewn and held by clips, so that air can be let out. The
cross-section lies in (sideways, height); its *front* is where a line parallel to its middle line leaves the shell.
"""

import math
from typing import Any, ClassVar

import numpy as np
from attrs import Factory
from numpy.typing import ArrayLike, NDArray

from shellparts.base.checks import at_least, at_most, require
from shellparts.base.classes import MaybeMm, Mm, Reads, frozen_fields
from shellparts.base.errors import ParameterError
from shellparts.base.fields import choice_field, count_field, length_field
from shellparts.base.quadrature import quadrature
from shellparts.base.units import metric
from shellparts.openings.fit import nearly_meets, none_or_sewable, refuse_near_miss, steepness
from shellparts.openings.tunnel_section import TunnelSection
from shellparts.parameters.choices import CentredOn, CentredOnWord, Head, HeadWord
from shellparts.parameters.opening import Closure, Floorplan, Opening, Share, Tube, WayOut, level_axes
from shellparts.parameters.part import Part, Role
from shellparts.parameters.shell import Shell

__all__ = ["CURTAIN", "TUNNEL", "Doorway"]

Array = NDArray[np.float64]
TUNNEL = Part("tunnel", Role.TUBE, (0.56, 0.72, 0.68), "tunnel_seam", opening="doorway", stage="doorway")
CURTAIN = Part("curtain", Role.CLOSURE, (0.92, 0.75, 0.60), "curtain_seam")

_LEAST_EAVES_MM = 100.0
#: The front stands at least so far from the room's axis [mm].
_LEAST_FRONT_MM = 200.0
#: No doorway is lower [mm].
_LEAST_DOOR_MM = 600.0
#: A doorway's top stays so far below the panels' upper ends [mm].
_LEAST_BELOW_END_MM = 100.0
#: The sides are at most so far around from the middle, seen from the room's axis [rad].
_WIDEST_TURN = math.radians(60.0)
#: A doorway as much wider or narrower leaves parts of panels beside it that can be sewn [mm].
_SEWABLE_MM = 25.0
#: Seam that the upright sides keep above the vent [mm].
_LEAST_SIDE_SEAM_MM = 50.0


@frozen_fields(kw_only=True)
class Doorway(Opening):
    """A doorway tunnel.

    Parameters
    ----------
    width : float or str
        Clear width between the upright sides [mm], 0.4 m to 4 m.
    height : float or str
        Clear height in the middle [mm], 0.6 m to 4 m.
    length : float or str
        From the foot of the shell in the doorway's middle to the outer end [mm], 0.3 m to 6 m.
    head : Head or str
        ``"gabled"``, ``"arched"`` or ``"flat"``.
    rise : float or str
        Height of the head above the eaves [mm]; a third of the width for a gable, less where the doorway is
        low, unless given; half the width for an arch (a half circle, always), nothing for a flat head.
    centred_on : CentredOn or str
        ``"panel"`` or ``"seam"``.
    overlap : float or str
        By how much the two leaves of the curtain overlap [mm]; 250 mm, or what a narrow doorway allows, unless
        given.
    vent : float or str
        Length left unsewn at the foot of each side of the curtain [mm], or 0; 500 mm, or what a low doorway
        allows, unless given.
    flap : float or str
        Depth of the tunnel's own ground flaps, inward from its sides [mm], or 0.
    at : int
        Number of the panel or the seam that it is centred on, counted counter-clockwise seen from above from the first
        doorway; for the first doorway, whose middle line is +x, always 1.

    Raises
    ------
    ParameterError
        If a value is out of its range or the parts of the doorway do not fit each other.
    """

    word: ClassVar[str] = "doorway"
    part: ClassVar[Part] = TUNNEL

    width: Mm = length_field("doorway width", 400.0, 4000.0, "choose a width from 0.4 m to 4 m")
    height: Mm = length_field("doorway height", 600.0, 4000.0, "choose a height from 0.6 m to 4 m")
    length: Mm = length_field("tunnel length", 300.0, 6000.0, "choose a length from 0.3 m to 6 m")
    head: Reads[Head | HeadWord, Head] = choice_field("doorway head", Head, default=Head.GABLED)
    rise: MaybeMm = length_field("rise of the doorway head", 0.0, 3000.0, "choose a lower head", default=None)
    centred_on: Reads[CentredOn | CentredOnWord, CentredOn] = choice_field(
        "what the doorway is centred on", CentredOn, default=CentredOn.PANEL
    )
    overlap: Mm = length_field(
        "curtain overlap",
        50.0,
        2000.0,
        "overlap the leaves by 100 mm to 400 mm",
        default=Factory(lambda door: min(250.0, max(50.0, door.most_overlap)), takes_self=True),
    )
    vent: Mm = length_field(
        "vent at the curtain",
        0.0,
        3000.0,
        "leave 300 mm to 800 mm unsewn",
        default=Factory(
            lambda door: min(500.0, max(0.0, 10.0 * (door.longest_vent // 10.0))), takes_self=True
        ),
    )
    flap: Mm = length_field(
        "tunnel flap depth", 0.0, 1000.0, "choose a flap up to 1 m, or 0 for none", default=0.0
    )
    at: int | None = count_field(
        "doorway's number",
        1,
        64,
        "count panels, or seams, counter-clockwise from the first doorway",
        default=None,
    )

    def __attrs_post_init__(self) -> None:
        """Check what depends on more than one value."""
        if self.head is Head.ARCHED:
            require(
                self.rise is None or math.isclose(self.rise, self.width / 2),
                "rise of the doorway head",
                metric(self.rise or 0.0),
                f"half the width, {metric(self.width / 2)}, for an arch",
                "leave the rise out, or choose a gabled head",
            )
        if self.head is Head.FLAT:
            require(
                not self.rise,
                "rise of the doorway head",
                metric(self.rise or 0.0),
                "0 mm for a flat head",
                "leave it out",
            )
        if self.head is Head.GABLED:
            at_least(
                "rise of the doorway head",
                self.head_rise,
                20.0,
                " for a gable",
                "raise it, or choose a flat head",
            )
        at_least(
            "height of the doorway's upright sides",
            self.eaves,
            _LEAST_EAVES_MM,
            f" (the doorway height less the rise of its head, {metric(self.head_rise)})",
            "raise the doorway, or lower its head or narrow it",
        )
        none_or_sewable("vent at the curtain", self.vent, "leave the vent out or lengthen it")
        at_most(
            "vent at the curtain",
            self.vent,
            self.longest_vent,
            f", so that the upright side keeps {_LEAST_SIDE_SEAM_MM:g} mm of seam",
            "shorten the vent or raise the doorway",
        )
        at_most(
            "curtain overlap",
            self.overlap,
            self.most_overlap,
            ", the doorway width less 200 mm",
            "overlap less",
        )
        none_or_sewable("tunnel flap depth", self.flap, "leave the flap out or make it deeper")
        at_most(
            "tunnel flap depth",
            self.flap,
            self.width / 2 - 20.0,
            ", so that the two flaps do not overlap in the middle",
            "make the flap shallower",
        )

    @property
    def head_rise(self) -> float:
        """Height of the head above the eaves [mm]."""
        if self.head is Head.FLAT:
            return 0.0
        if self.head is Head.ARCHED:
            return self.width / 2
        if self.rise is not None:
            return self.rise
        return min(self.width / 3, self.height - _LEAST_EAVES_MM)

    @property
    def eaves(self) -> float:
        """Height of the upright sides [mm]."""
        return self.height - self.head_rise

    @property
    def longest_vent(self) -> float:
        """Length that the vent may have on either side [mm]."""
        return self.eaves - _LEAST_SIDE_SEAM_MM

    @property
    def most_overlap(self) -> float:
        """By how much the leaves of the curtain may overlap [mm]."""
        return self.width - 200.0

    @property
    def profile(self) -> TunnelSection:
        """The cross-section."""
        return TunnelSection(self.head, self.width, self.head_rise, self.height)

    # What every opening is asked.

    @property
    def closure(self) -> Closure:
        """The curtain."""
        return Closure(CURTAIN, self.overlap, self.vent)

    @property
    def way_out(self) -> WayOut:
        """Through the tunnel."""
        return WayOut(self.width, self.height, self.length, 2 * self.longest_vent)

    @property
    def floor_width(self) -> float:
        """The clear width [mm]."""
        return self.width

    @property
    def side_flap(self) -> float:
        """Depth of the tunnel's own flaps [mm]."""
        return self.flap

    @property
    def on_seam(self) -> bool:
        """Whether its middle stands on a seam."""
        return self.centred_on is CentredOn.SEAM

    def number(self, plan: Floorplan) -> int:
        """Number of the panel or the seam in its middle."""
        return self.at if self.at is not None else 1

    def parameters(self, plan: Floorplan) -> dict[str, Any]:
        """The number, where it was not given."""
        return {"at": self.number(plan)}

    def end(self, shell: Shell) -> float:
        """Distance of the tunnel's outer end from the room's axis [mm]."""
        profile = shell.seam if self.on_seam else shell.mid
        return float(profile.breaks[0, 0]) + self.length

    def tube(self, plan: Floorplan, suffix: str = "") -> Tube:
        """The tunnel, level, from the room's axis outward. Right and left are as seen from outside."""
        profile, half = self.profile, self.width / 2

        def covers(q: Array, margin: float) -> NDArray[np.bool_]:
            y, z = q.T
            return (np.abs(y) < half + margin) & (z < profile.head_height(np.clip(y, -half, half)) + margin)

        axes, end = level_axes(self.azimuth(plan)), self.end(plan.shell)
        return Tube(f"tunnel{suffix}", TUNNEL, profile.stretches, np.zeros(3), axes, 0.0, end, covers)

    def _turns(self, plan: Floorplan) -> Array:
        """Azimuths of the panels' middles from the doorway's [rad]."""
        return plan.azimuths - self.azimuth(plan)

    def _front(self, plan: Floorplan, sideways: ArrayLike, height: ArrayLike) -> Array:
        """Distance from the room's axis at which the shell is left [mm]; not positive where it is missed."""
        y, z = np.broadcast_arrays(np.asarray(sideways, float), np.asarray(height, float))
        turns = self._turns(plan)
        forward = turns[np.cos(turns) > 1e-9]
        reach = (plan.shell.mid.radius_at(z)[..., None] - y[..., None] * np.sin(forward)) / np.cos(forward)
        return reach.min(axis=-1)

    def panels(self, plan: Floorplan) -> set[int]:
        """Numbers of the panels that the tunnel cuts."""
        section, turns = self.profile.points(96), self._turns(plan)
        forward = np.flatnonzero(np.cos(turns) > 1e-9)
        radius = plan.shell.mid.radius_at(section[:, 1])
        reach = (radius[:, None] - section[:, :1] * np.sin(turns[forward])) / np.cos(turns[forward])
        return {int(forward[i]) + 1 for i in np.unique(reach.argmin(axis=1))}

    def outside(self, plan: Floorplan) -> tuple[Array, float]:
        """Points of the section, and where the tunnel begins [mm]."""
        section = self.profile.points(48)
        return section, float(self._front(plan, section[:, 0], section[:, 1]).min())

    def check(self, plan: Floorplan) -> None:
        """Refuse a doorway that does not fit its shell."""
        shell = plan.shell
        require(
            self.number(plan) <= shell.panels,
            "doorway's number",
            str(self.number(plan)),
            f"at most {shell.panels}, the number of panels",
            "count panels, or seams, counter-clockwise from the first doorway",
        )
        heights = np.linspace(0.0, shell.mid.top[1] - _LEAST_BELOW_END_MM, 400)
        enough = self._front(plan, 0.0, heights) >= _LEAST_FRONT_MM
        allowed = float(heights[np.argmin(enough) - 1]) if not enough.all() else float(heights[-1])
        at_most(
            "doorway height",
            self.height,
            allowed,
            ", below the shell's top there",
            "lower the doorway or raise the shell"
            if allowed >= _LEAST_DOOR_MM
            else "raise the shell, or leave out the doorway",
        )
        section = self.profile.points(48)
        room, half = self._half_room(plan, section[:, 1]), np.abs(section[:, 0])
        if not bool(np.all(half <= room)):
            most = 2.0 * float((room * (self.width / 2) / np.maximum(half, 1e-9)).min())
            narrower = f"at most about {metric(10.0 * math.floor(most / 10.0))}"
            limit = narrower if most >= 400.0 else "narrower than any doorway may be"
            raise ParameterError(
                "doorway width",
                metric(self.width),
                f"{limit}: so wide is the shell where a doorway of this height meets it",
                "narrow or lower the doorway, or make the room larger",
            )
        reach = self._front(plan, section[:, 0], section[:, 1])
        least = float(reach.max()) - (self.end(shell) - self.length) + 200.0
        at_least("tunnel length", self.length, least, ", to stand clear of the shell", "lengthen the tunnel")

    def _half_room(self, plan: Floorplan, height: Array) -> Array:
        """How far to either side of its middle a doorway may reach at the heights given [mm], shape (n,)."""
        y = np.linspace(0.0, float(plan.shell.seam.breaks[:, 0].max()), 400)
        reach = self._front(plan, y[None, :], height[:, None])
        fits = (reach >= _LEAST_FRONT_MM) & (np.arctan2(y, np.maximum(reach, 1e-9)) <= _WIDEST_TURN)
        return y[np.argmin(fits & (y < y[-1]), axis=1) - 1]

    def check_lines(self, plan: Floorplan) -> None:
        """Refuse a doorway whose lines all but meet those of the panels."""
        shell = plan.shell
        levels, seam = shell.mid.breaks[1:-1, 1], shell.seam
        near = nearly_meets([self.eaves], levels) or nearly_meets(
            [self.height], levels, touching=self.head is Head.ARCHED
        )
        refuse_near_miss(near, "doorway height", self.height, "its top and its eaves", "a bend of the panels")
        heights = np.append(seam.breaks[seam.breaks[:, 1] < self.height, 1], self.eaves)
        radii = seam.radius_at(heights)
        turns = self._turns(plan) - shell.half_angle
        corners = np.abs(np.outer(radii, np.sin(turns[np.cos(turns) > 1e-9])))
        leaning = seam.points(0, 0.5)[0] != radii[0]
        for row, half in enumerate(self.profile.half_width_at(heights)):
            near = nearly_meets([half], corners[row], touching=row == 0 and bool(leaning))
            line = "a corner of a panel, or their own tops of a seam"
            refuse_near_miss(near, "doorway width", self.width, "its sides", line, by=_SEWABLE_MM)

    def _corners(self, plan: Floorplan, z: Array) -> Array:
        """Sideways positions at heights where the front bends, and the sides, in order, shape (n, k) [mm]."""
        shell, reach = plan.shell, self.profile.half_width_at(z)
        ridges = np.outer(shell.seam.radius_at(z), np.sin(self._turns(plan) - shell.half_angle))
        every = np.column_stack([ridges, -reach, reach])
        return np.sort(np.clip(every, -reach[:, None], reach[:, None]), axis=1)

    def _levels(self, plan: Floorplan) -> list[float]:
        return [z for z in plan.shell.mid.breaks[:, 1] if z < self.height]

    def volume(self, plan: Floorplan) -> float:
        """Air in the tunnel outside the shell [mm3]."""
        z, weights = quadrature([0.0, self.eaves, *self._levels(plan), self.height], 60)
        # Between ridges the front is straight in the sideways direction, so that trapezia are exact.
        corners = self._corners(plan, z)
        lengths = self.end(plan.shell) - self._front(plan, corners, z[:, None])
        return float(np.trapezoid(lengths, corners, axis=1) @ weights)

    def share(self, plan: Floorplan) -> Share:
        """Cloth, floor and seams of tunnel, curtain and flaps."""
        shell, half, end = plan.shell, self.width / 2, self.end(plan.shell)
        z, weights = quadrature([0.0, self.eaves, *self._levels(plan), self.height], 24)
        corners = self._corners(plan, z)
        x = self._front(plan, corners, z[:, None])
        # Over one panel the front is straight at each height; it leans with the mid-line.
        wide = np.diff(corners, axis=1)
        sideways = np.divide(np.diff(x, axis=1), wide, out=np.zeros_like(wide), where=wide > 1e-9)
        lean = np.sqrt(1.0 + sideways**2) * np.sqrt(1.0 + steepness(shell.mid, z)[:, None] ** 2)
        cut = float((wide * lean).sum(axis=1) @ weights)
        path = self.profile.outline(400)
        steps = np.linalg.norm(np.diff(path, axis=0), axis=1)
        along = end - self._front(plan, path[:, 0], path[:, 1])
        rim = np.column_stack([along, path])
        section = float(2 * self.profile.half_width_at(z) @ weights)
        lap = np.linspace(0, self.overlap / 2, 200)
        overlap = 2 * float(np.trapezoid(self.profile.head_height(lap), lap))
        foot = shell.seam.breaks[0, 0] * np.sin(self._turns(plan) - shell.half_angle)
        y = np.unique(np.clip(np.append(foot, [-half, half]), -half, half))
        floor = float(np.trapezoid(end - self._front(plan, y, np.zeros_like(y)), y))
        flaps = 2 * self.flap * float(along[[0, -1]].mean())
        walls = float(((along[1:] + along[:-1]) / 2) @ steps)
        seams = float(np.linalg.norm(np.diff(rim, axis=0), axis=1).sum() + steps.sum()) - 2 * self.vent
        return Share(cut, walls + section + overlap + flaps, floor, seams, self.width)

"""What every opening in the shell can be asked: where it is, its section, what closes it, what it lets through.

Glossary: an *opening* is a tube of cloth that goes through the shell; its *mouth* is where it is sewn to the panels,
its *outer end* lies away from the shell. Its *section* is in coordinates (sideways, upward). Later stages go through
all openings of a design and ask for properties; none asks which kind one is.
"""

import math
from abc import ABC, abstractmethod
from collections.abc import Callable
from typing import Any, ClassVar

import numpy as np
from attrs import evolve, frozen
from numpy.typing import ArrayLike, NDArray

from shellparts.base.checks import require
from shellparts.base.units import metric
from shellparts.parameters.part import Part
from shellparts.parameters.section import Stretch
from shellparts.parameters.shell import Shell

__all__ = ["Closure", "Floorplan", "Opening", "Share", "Tube", "WayOut", "check_apart", "level_axes"]

Array = NDArray[np.float64]
#: Two tubes keep this far apart [mm].
_APART_MM = 50.0


@frozen
class Floorplan:
    """The ring of panels as it stands on the floor.

    Parameters
    ----------
    shell : Shell
    first_azimuth : float
        Azimuth of panel 1's middle [rad].
    """

    shell: Shell
    first_azimuth: float

    @property
    def azimuths(self) -> Array:
        """Azimuths of the panels' middles, shape (panels,) [rad]."""
        return self.first_azimuth + 2 * math.pi * np.arange(self.shell.panels) / self.shell.panels


@frozen(eq=False)
class Tube:
    """A section swept along a straight line, from inside the shell to an outer end. It knows nothing of the shell.

    Parameters
    ----------
    name : str
        Of its sheet.
    part : Part
        What it is for.
    section : tuple of Stretch
        Its cross-section, counter-clockwise around the air seen from the outer end.
    origin : ndarray
        Where (0, 0) of the section is at distance 0, shape (3,) [mm].
    axes : ndarray
        Unit vectors sideways, upward and along, shape (3, 3), right-handed.
    start, end : float
        Distances of the room's axis and of the outer end [mm]; where the tube really starts is for the body
        to find.
    covers : callable
        Takes section coordinates, shape (n, 2), and a margin [mm]; tells which are strictly inside, or nearer to it
        than the margin. The floor itself counts.
    """

    name: str
    part: Part
    section: tuple[Stretch, ...]
    origin: Array
    axes: Array
    start: float
    end: float
    covers: Callable[[Array, float], NDArray[np.bool_]]

    def lift(self, section: ArrayLike, along: ArrayLike) -> Array:
        """Points in space from section coordinates, shape (n, 2), and distances, shape (n,) [mm]."""
        q, t = np.atleast_2d(np.asarray(section, float)), np.atleast_1d(np.asarray(along, float))
        local = np.column_stack(
            [np.broadcast_to(q, (max(len(q), len(t)), 2)), np.broadcast_to(t, max(len(q), len(t)))]
        )
        return self.origin + local @ self.axes

    def local(self, points: ArrayLike) -> Array:
        """Section coordinates and distance of points in space, shape (n, 3) [mm]."""
        return (np.atleast_2d(np.asarray(points, float)) - self.origin) @ self.axes.T

    def scaled(self, scale: float) -> "Tube":
        """The same tube so many times smaller; its section and what it covers are left as they are."""
        return evolve(self, origin=self.origin / scale, start=self.start / scale, end=self.end / scale)

    def holds(self, points: ArrayLike, margin: float = 0.0) -> NDArray[np.bool_]:
        """Whether points, shape (n, 3) [mm], are strictly inside between start and end, or nearer than a margin."""
        local = self.local(points)
        within = (local[:, 2] < self.end + margin) & (local[:, 2] > self.start)
        return self.covers(local[:, :2], margin) & within


@frozen
class Closure:
    """Two leaves of cloth that hang in the outer end of a tube and overlap in the middle.

    Parameters
    ----------
    part : Part
        What they are for.
    overlap : float
        By how much they overlap [mm].
    vent : float
        Length left unsewn at the foot of each side [mm], or 0.
    """

    part: Part
    overlap: float
    vent: float

    def scaled(self, scale: float) -> "Closure":
        """The same closure so many times smaller."""
        return Closure(self.part, self.overlap / scale, self.vent / scale)


@frozen
class WayOut:
    """A way by which people leave.

    Parameters
    ----------
    width, height : float
        Clear, at the narrowest place [mm].
    length : float
        Of the passage [mm].
    longest_vent : float
        How far the vent in its closure could be made to open, both slits together [mm].
    """

    width: float
    height: float
    length: float
    longest_vent: float


@frozen
class Share:
    """What an opening takes and gives of the room's sizes.

    Parameters
    ----------
    cut : float
        Cloth that it cuts out of the panels [mm2].
    cloth : float
        Its own cloth, closure and flaps included [mm2].
    floor : float
        Floor inside it, outside the shell [mm2].
    seams : float
        Its seams [mm].
    foot : float
        How much of the panels' foot line it takes [mm].
    """

    cut: float
    cloth: float
    floor: float
    seams: float
    foot: float


class Opening(ABC):
    """An opening; a kind of opening is a frozen class of parameters that says all this of itself."""

    #: What messages and the summary call it.
    word: ClassVar[str]
    #: What its tube is for.
    part: ClassVar[Part]

    @property
    def closure(self) -> Closure | None:
        """What closes its outer end, if anything does."""
        return None

    @property
    def way_out(self) -> WayOut | None:
        """The way by which people leave through it, if they do."""
        return None

    @property
    def vent_length(self) -> float:
        """How far a vent in what closes it opens, both slits together [mm]."""
        return 2 * self.closure.vent if self.closure is not None else 0.0

    @property
    def open_area_m2(self) -> float:
        """What stays open for the air [m2]."""
        return 0.0

    @property
    def floor_width(self) -> float:
        """Width of the floor that it takes, from the room's axis outward: no flap of the shell lies there [mm]."""
        return 0.0

    @property
    def side_flap(self) -> float:
        """Depth of its own flaps, inward from its sides [mm]."""
        return 0.0

    @property
    def on_seam(self) -> bool:
        """Whether its middle stands on a seam; if so, its number is that of a seam."""
        return False

    @abstractmethod
    def number(self, plan: Floorplan) -> int:
        """Number of the panel, or the seam, that its middle stands on, from 1, counter-clockwise."""

    @abstractmethod
    def tube(self, plan: Floorplan, suffix: str = "") -> Tube:
        """Its tube; the suffix tells openings of one kind apart by name."""

    @abstractmethod
    def check(self, plan: Floorplan) -> None:
        """Refuse what does not fit the shell; raises `ParameterError`."""

    @abstractmethod
    def check_lines(self, plan: Floorplan) -> None:
        """Refuse what all but coincides with the shell's own lines; raises `ParameterError`."""

    @abstractmethod
    def panels(self, plan: Floorplan) -> set[int]:
        """Numbers of the panels that it cuts, from 1."""

    @abstractmethod
    def outside(self, plan: Floorplan) -> tuple[Array, float]:
        """Points of the section, shape (n, 2), and the least distance along it outside the shell [mm]."""

    @abstractmethod
    def volume(self, plan: Floorplan) -> float:
        """Air in it outside the shell [mm3], by quadrature."""

    @abstractmethod
    def share(self, plan: Floorplan) -> Share:
        """Its share of cloth, floor and seams, by quadrature."""

    def azimuth(self, plan: Floorplan) -> float:
        """Azimuth of its middle [rad]."""
        middle = float(plan.azimuths[self.number(plan) - 1])
        return middle - plan.shell.half_angle if self.on_seam else middle

    def parameters(self, plan: Floorplan) -> dict[str, Any]:
        """What was not given and follows from the shell: more for the record of parameters."""
        return {}


def level_axes(azimuth: float) -> Array:
    """Unit vectors sideways, upward and outward at an azimuth.

    Parameters
    ----------
    azimuth : float
        Counter-clockwise from +x [rad].

    Returns
    -------
    ndarray, shape (3, 3)
    """
    cos, sin = (0.0 if abs(x) < 1e-15 else x for x in (math.cos(azimuth), math.sin(azimuth)))
    return np.array([[0.0 - sin, cos, 0.0], [0.0, 0.0, 1.0], [cos, sin, 0.0]])


def check_apart(first: Opening, second: Opening, plan: Floorplan) -> None:
    """Refuse two openings that cut the same panel or come too near to each other.

    Parameters
    ----------
    first, second : Opening
        The second one is named in the message.
    plan : Floorplan

    Raises
    ------
    ParameterError
    """
    what, number = f"{second.word}'s {'seam' if second.on_seam else 'panel'}", str(second.number(plan))
    remedy = f"move the {second.word} to another panel, best to one opposite the {first.word}"
    cut = first.panels(plan)
    require(
        not cut & second.panels(plan),
        what,
        number,
        f"none of the panels that the {first.word} cuts: " + ", ".join(str(n) for n in sorted(cut)),
        remedy,
    )
    tubes = first.tube(plan), second.tube(plan)
    for one, other, tube in ((first, tubes[1], tubes[0]), (second, tubes[0], tubes[1])):
        section, leaves = one.outside(plan)
        steps = np.linspace(leaves, tube.end, 40)
        ring = tube.lift(section, 0.0)
        points = (ring[:, None, :] + steps[None, :, None] * tube.axes[2]).reshape(-1, 3)
        require(
            not bool(other.holds(points, _APART_MM).any()),
            what,
            number,
            f"one whose {second.word} keeps {metric(_APART_MM)} clear of the {first.part.word}",
            remedy,
        )

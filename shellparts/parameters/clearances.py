"""Whether the parts of a design fit each other; checked before any solid is built.

Glossary: the *front* is where a line parallel to the doorway's middle line leaves the shell. Every check says
which value is wrong, what it may be, and what to do. This module knows nothing of a kernel: the shell is a
regular polygon at every height, so all of it is plain arithmetic.
"""

import math
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from shellparts.base.checks import at_least, at_most, require
from shellparts.base.errors import ParameterError
from shellparts.base.units import metric
from shellparts.parameters.choices import CentredOn
from shellparts.parameters.profile import Profile

if TYPE_CHECKING:
    from shellparts.parameters.design import Design

__all__ = [
    "check_clearances",
    "doorway_end",
    "front",
    "leaving",
    "panels_crossed",
    "sleeve_entry",
    "sleeve_frame",
]

Array = NDArray[np.float64]

_LEAST_FRONT_MM = 200.0
#: No doorway is lower [mm].
_LEAST_DOOR_MM = 600.0
_LEAST_BELOW_END_MM = 100.0
_LEAST_FREE_FLOOR_MM = 300.0
_EDGE_MARGIN_MM = 40.0
_WIDEST_TURN = math.radians(60.0)


def front(design: "Design", sideways: ArrayLike, height: ArrayLike) -> Array:
    """Distance from the axis, along the doorway's middle line, at which the shell is left.

    Parameters
    ----------
    design : Design
        Of which only the shell and the panels' azimuths are used.
    sideways, height : array_like
        Position across and up [mm], shape (n,).

    Returns
    -------
    ndarray
        Distances [mm], shape (n,); not positive where the line misses the shell.
    """
    y, z = np.broadcast_arrays(np.asarray(sideways, float), np.asarray(height, float))
    forward = design.azimuths[np.cos(design.azimuths) > 1e-9]
    reach = (design.shell.mid.radius_at(z)[..., None] - y[..., None] * np.sin(forward)) / np.cos(forward)
    return reach.min(axis=-1)


def panels_crossed(design: "Design") -> set[int]:
    """Numbers of the panels that the doorway cuts, from 1.

    Parameters
    ----------
    design : Design

    Returns
    -------
    set of int
    """
    assert design.doorway is not None  # asked only for rooms with a doorway
    section = design.doorway.section(96)
    radius = design.shell.mid.radius_at(section[:, 1])
    forward = np.flatnonzero(np.cos(design.azimuths) > 1e-9)
    turn = design.azimuths[forward]
    reach = (radius[:, None] - section[:, :1] * np.sin(turn)) / np.cos(turn)
    return {int(forward[i]) + 1 for i in np.unique(reach.argmin(axis=1))}


def leaving(
    profile: Profile, radial: ArrayLike, radial_step: ArrayLike, height: ArrayLike, height_step: float
) -> Array:
    """Where lines that start inside a panel's mid-line leave it.

    Parameters
    ----------
    profile : Profile
        The mid-line.
    radial : array_like
        Radial position of the lines at distance 0 [mm]; any shape that broadcasts with the others.
    radial_step : array_like
        How the radial position grows per millimetre of distance, positive; broadcast as well.
    height : array_like
        Height of the lines at distance 0 [mm]; broadcast as well.
    height_step : float
        How the height grows per millimetre of distance.

    Returns
    -------
    ndarray
        Distances [mm], of the common shape; NaN where the line does not leave.
    """
    a, step, z = np.broadcast_arrays(*(np.asarray(values, float) for values in (radial, radial_step, height)))
    if height_step == 0.0:
        return (profile.radius_at(z) - a) / step
    reach = 2.0 * float(profile.breaks[:, 0].max())

    def outside(t: Array) -> NDArray[np.bool_]:
        return a + t * step > profile.radius_at(z + t * height_step)

    # From well inside outwards: the first step that is outside, then bisection.
    steps = np.linspace(-0.45 * reach, 0.45 * reach, 181)
    out = outside(steps.reshape(-1, *(1,) * a.ndim))
    crossing = np.argmax(out, axis=0)
    low, high = steps[np.maximum(crossing - 1, 0)], steps[crossing]
    for _ in range(60):
        middle = (low + high) / 2
        beyond = outside(middle)
        low, high = np.where(beyond, low, middle), np.where(beyond, middle, high)
    return np.where(out.any(axis=0) & (crossing > 0), (low + high) / 2, np.nan)


def sleeve_entry(design: "Design", offsets: ArrayLike) -> tuple[Array, Array]:
    """Where lines parallel to the sleeve's axis, in the panel's middle plane, leave the shell.

    Parameters
    ----------
    design : Design
        With a sleeve.
    offsets : array_like
        Distances of the lines from the axis, upward and at a right angle to it [mm], shape (n,).

    Returns
    -------
    along, height : ndarray
        Distance along the axis from where the axis itself leaves the shell, and height above the floor [mm],
        shape (n,); NaN where the line does not leave through the panel.
    """
    assert design.sleeve is not None  # asked only for rooms with a sleeve
    slope, mid = math.radians(design.sleeve.slope), design.shell.mid
    b = np.atleast_1d(np.asarray(offsets, float))
    start = float(mid.radius_at(design.sleeve.height))
    height = design.sleeve.height + b * math.cos(slope)
    along = leaving(mid, start + b * math.sin(slope), math.cos(slope), height, -math.sin(slope))
    height = height - along * math.sin(slope)
    through = (height >= 0.0) & (height <= mid.top[1])
    return np.where(through, along, np.nan), np.where(through, height, np.nan)


def check_clearances(design: "Design") -> None:
    """Check that the parts of a design fit each other.

    Parameters
    ----------
    design : Design
        A design whose parts have each passed their own checks.

    Raises
    ------
    ParameterError
        At the first pair of parts that do not fit.
    """
    if design.flap is not None:
        _check_flap(design)
    if design.doorway is not None:
        _check_doorway(design)
    if design.sleeve is not None:
        _check_sleeve(design)
        if design.doorway is not None:
            _check_sleeve_beside_doorway(design)


def _check_flap(design: "Design") -> None:
    assert design.flap is not None
    room = float(design.shell.mid.breaks[0, 0])
    at_most(
        "flap depth",
        design.flap.depth,
        room - _LEAST_FREE_FLOOR_MM,
        ", or the flaps would meet in the middle of the floor",
        "make the flap shallower",
    )


def _check_doorway(design: "Design") -> None:
    door, mid = design.doorway, design.shell.mid
    assert door is not None
    heights = np.linspace(0.0, mid.top[1] - _LEAST_BELOW_END_MM, 400)
    enough = front(design, 0.0, heights) >= _LEAST_FRONT_MM
    allowed = float(heights[np.argmin(enough) - 1]) if not enough.all() else float(heights[-1])
    at_most(
        "doorway height",
        door.height,
        allowed,
        ", below the shell's top there",
        "lower the doorway or raise the shell"
        if allowed >= _LEAST_DOOR_MM
        else "raise the shell, or leave out the doorway",
    )
    section = door.section(48)
    reach = front(design, section[:, 0], section[:, 1])
    room = _half_room(design, section[:, 1])
    half = np.abs(section[:, 0])
    if not bool(np.all(half <= room)):
        most = 2.0 * float((room * (door.width / 2) / np.maximum(half, 1e-9)).min())
        narrower = f"at most about {metric(10.0 * math.floor(most / 10.0))}"
        limit = narrower if most >= 400.0 else "narrower than any doorway may be"
        raise ParameterError(
            "doorway width",
            metric(door.width),
            f"{limit}: so wide is the shell where a doorway of this height meets it",
            "narrow or lower the doorway, or make the room larger",
        )
    end = doorway_end(design)
    least = float(reach.max()) - (end - door.length) + 200.0
    at_least("tunnel length", door.length, least, ", to stand clear of the shell", "lengthen the tunnel")


def _half_room(design: "Design", height: Array) -> Array:
    """How far to either side of its middle a doorway may reach at the heights given [mm], shape (n,)."""
    y = np.linspace(0.0, float(design.shell.seam.breaks[:, 0].max()), 400)
    reach = front(design, y[None, :], height[:, None])
    fits = (reach >= _LEAST_FRONT_MM) & (np.arctan2(y, np.maximum(reach, 1e-9)) <= _WIDEST_TURN)
    return y[np.argmin(fits & (y < y[-1]), axis=1) - 1]


def doorway_end(design: "Design") -> float:
    """Distance of the tunnel's outer end from the axis [mm].

    Parameters
    ----------
    design : Design

    Returns
    -------
    float
    """
    assert design.doorway is not None
    profile = design.shell.seam if design.doorway.centred_on is CentredOn.SEAM else design.shell.mid
    return float(profile.breaks[0, 0]) + design.doorway.length


def _check_sleeve(design: "Design") -> None:
    sleeve, shell = design.sleeve, design.shell
    assert sleeve is not None
    require(
        design.sleeve_panel <= shell.panels,
        "sleeve's panel",
        str(design.sleeve_panel),
        f"at most {shell.panels}, the number of panels",
        "count panels counter-clockwise from the doorway",
    )
    top = float(shell.mid.top[1])
    at_most(
        "sleeve height",
        sleeve.height,
        top - _EDGE_MARGIN_MM,
        ", below the panels' upper end",
        "lower the sleeve",
    )
    section = sleeve.section(96)
    along, height = sleeve_entry(design, section[:, 1])
    remedy = "move the sleeve's height, lessen its slope, or choose a smaller one"
    value = f"{metric(sleeve.height)} with a slope of {sleeve.slope:g} degrees"
    require(
        bool(np.isfinite(along).all()),
        "sleeve height",
        value,
        f"such that the whole sleeve, {metric(2 * sleeve.half_size[1])} high, goes through its panel, which ends at "
        f"{metric(top)}",
        remedy,
    )
    at_most(
        "slant of the sleeve's opening",
        float(np.ptp(along)),
        4.0 * sleeve.half_size[1] + 1.0,
        " from its first to its last point along the sleeve, or it is too long to sew in",
        "lessen the sleeve's slope, or set it where the panel is steeper",
    )
    _check_sleeve_stays_out(design, section[:, 1], along)
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
        2 * sleeve.half_size[0],
        max(0.0, 2 * (sleeve.half_size[0] + float(spare.min()) - _EDGE_MARGIN_MM)),
        f", the panel's width there less {metric(_EDGE_MARGIN_MM)} each side",
        "choose a smaller sleeve, set it lower, or make fewer and wider panels",
    )
    at_least(
        "sleeve length",
        sleeve.length,
        float(along.max()) + 100.0,
        ", to stand clear of the panel",
        "lengthen the sleeve",
    )
    slope = math.radians(sleeve.slope)
    lowest = sleeve.height - sleeve.length * math.sin(slope) - sleeve.half_size[1] * math.cos(slope)
    at_least(
        "height of the sleeve's lower side at the fan",
        lowest,
        0.0,
        ", the floor",
        "lessen the slope, shorten the sleeve or set it higher",
    )


def _check_sleeve_stays_out(design: "Design", offsets: Array, along: Array) -> None:
    """Refuse a sleeve that meets its panel again, where that leans outward, after it has left it."""
    sleeve, mid = design.sleeve, design.shell.mid
    assert sleeve is not None
    slope = math.radians(sleeve.slope)
    steps = along[:, None] + 1e-3 + np.linspace(0.0, 1.0, 120) * (sleeve.length - along[:, None])
    height = sleeve.height + offsets[:, None] * math.cos(slope) - steps * math.sin(slope)
    radius = (
        float(mid.radius_at(sleeve.height)) + offsets[:, None] * math.sin(slope) + steps * math.cos(slope)
    )
    inside = (height > 0.0) & (height < mid.top[1]) & (radius < mid.radius_at(height))
    require(
        not bool(inside.any()),
        "sleeve slope",
        f"{sleeve.slope:g} degrees",
        "such that the sleeve, once it has left the panel, does not meet it again at "
        f"{metric(float(height[inside].max(initial=0.0)))}"
        " up, where the panel leans outward",
        "bring the slope nearer to level, choose a smaller sleeve, or set it lower",
    )


def sleeve_frame(design: "Design") -> tuple[Array, Array]:
    """Where the sleeve's axis leaves the panel, shape (3,) [mm]; and its directions.

    Parameters
    ----------
    design : Design

    Returns
    -------
    origin : ndarray
        Shape (3,) [mm].
    directions : ndarray
        Shape (3, 3): sideways, upward across the axis, and along the axis to the fan; unit vectors.
    """
    sleeve = design.sleeve
    assert sleeve is not None
    azimuth, slope = float(design.azimuths[design.sleeve_panel - 1]), math.radians(sleeve.slope)
    out = np.array([math.cos(azimuth), math.sin(azimuth), 0.0])
    side = np.array([-math.sin(azimuth), math.cos(azimuth), 0.0])
    up = np.array([0.0, 0.0, 1.0])
    origin = out * float(design.shell.mid.radius_at(sleeve.height)) + up * sleeve.height
    along = out * math.cos(slope) - up * math.sin(slope)
    across = out * math.sin(slope) + up * math.cos(slope)
    return origin, np.stack([side, across, along])


def _check_sleeve_beside_doorway(design: "Design") -> None:
    sleeve, door = design.sleeve, design.doorway
    assert sleeve is not None and door is not None
    crossed = panels_crossed(design)
    require(
        design.sleeve_panel not in crossed,
        "sleeve's panel",
        str(design.sleeve_panel),
        "none of the panels that the doorway cuts: " + ", ".join(str(n) for n in sorted(crossed)),
        "move the sleeve to another panel, best to one opposite the doorway",
    )
    origin, (side, across, along) = sleeve_frame(design)
    section = sleeve.section(48)
    steps = np.linspace(0.0, sleeve.length, 40)
    ring = origin + section[:, :1] * side + section[:, 1:] * across
    points = (ring[:, None, :] + steps[None, :, None] * along).reshape(-1, 3)
    margin = 50.0
    near = np.abs(points[:, 1]) < door.width / 2 + margin
    near &= points[:, 2] < door.head_height(np.clip(points[:, 1], -door.width / 2, door.width / 2)) + margin
    near &= (points[:, 0] > 0.0) & (points[:, 0] < doorway_end(design) + margin)
    require(
        not bool(near.any()),
        "sleeve's panel",
        str(design.sleeve_panel),
        f"one whose sleeve keeps {metric(margin)} clear of the doorway tunnel",
        "move the sleeve to another panel, best to one opposite the doorway",
    )

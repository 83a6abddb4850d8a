"""Sizes that follow from the design alone, by plain quadrature: areas, lengths, floor. No kernel.

They serve the numbers-only commands, which must not wait for solids; the body, built apart, gives the same
values. Seam allowances are not counted here.
"""

import itertools
import math

import numpy as np
from attrs import frozen
from numpy.typing import ArrayLike, NDArray

from shellparts.parameters.clearances import doorway_end, front, sleeve_entry
from shellparts.parameters.design import Design

__all__ = ["Measures", "measures_of", "quadrature"]

Array = NDArray[np.float64]
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(12)


@frozen
class Measures:
    """Sizes of a room as sewn.

    Parameters
    ----------
    floor_area_mm2 : float
        Inside the shell and the tunnel [mm2].
    shell_area_mm2 : float
        Cloth of panels and cap, openings left out [mm2].
    tunnel_area_mm2 : float
        Cloth of tunnel, curtain and tunnel flaps [mm2].
    sleeve_area_mm2 : float
        Cloth of the sleeve [mm2].
    flap_area_mm2 : float
        Cloth of the ground flap inside the shell [mm2].
    seam_length_mm : float
        Of all seams: between panels, round the cap, round both mouths, along the sleeve, round the curtain
        [mm].
    foot_length_mm : float
        Of the panels' foot line, the doorway left out [mm].
    """

    floor_area_mm2: float
    shell_area_mm2: float
    tunnel_area_mm2: float
    sleeve_area_mm2: float
    flap_area_mm2: float
    seam_length_mm: float
    foot_length_mm: float

    @property
    def cloth_area_mm2(self) -> float:
        """All cloth inside the sewing lines [mm2]."""
        return self.shell_area_mm2 + self.tunnel_area_mm2 + self.sleeve_area_mm2 + self.flap_area_mm2


def quadrature(breaks: ArrayLike, pieces: int) -> tuple[Array, Array]:
    """Gauss-Legendre nodes and weights on intervals, each cut into equal pieces of 12 nodes.

    Parameters
    ----------
    breaks : array_like
        Ends of the intervals, in any order.
    pieces : int
        How many pieces an interval is cut into.

    Returns
    -------
    nodes, weights : ndarray
        Shape (intervals * pieces * 12,).
    """
    edges = np.unique(np.asarray(breaks, float))
    edges = np.unique(np.concatenate([np.linspace(a, b, pieces + 1) for a, b in itertools.pairwise(edges)]))
    middle, half = (edges[1:] + edges[:-1]) / 2, np.diff(edges) / 2
    return (middle[:, None] + half[:, None] * _NODES).ravel(), (half[:, None] * _WEIGHTS).ravel()


@frozen
class _Opening:
    """What a tube takes and gives: cloth it cuts away, its own cloth, floor, seams."""

    cut: float = 0.0
    cloth: float = 0.0
    floor: float = 0.0
    seams: float = 0.0
    foot: float = 0.0


def _whole_panels(design: Design) -> float:
    """Area of all panels before openings are cut [mm2]."""
    shell, mid = design.shell, design.shell.mid
    total = 0.0
    for run in range(len(mid.runs)):
        t, weights = quadrature(mid.runs[run].spans, 8)
        speed = np.hypot(*mid.slope(run, t).T)
        total += float(2 * mid.points(run, t)[:, 0] * shell.tangent * speed @ weights)
    return total * shell.panels


def _slope_at(design: Design, heights: Array) -> Array:
    """Change of the mid-line's radius with height."""
    mid = design.shell.mid
    run = np.clip(np.searchsorted(mid.breaks[:, 1], heights, "right") - 1, 0, len(mid.runs) - 1)
    out = np.empty_like(heights)
    for i in np.unique(run):
        chosen = run == i
        dr, dz = mid.slope(int(i), mid.parameter_at(int(i), heights[chosen])).T
        out[chosen] = dr / dz
    return out


def _tunnel(design: Design) -> _Opening:
    door, shell = design.doorway, design.shell
    assert door is not None
    half, end = door.width / 2, doorway_end(design)
    levels = [z for z in shell.mid.breaks[:, 1] if z < door.height]
    z, weights = quadrature([0.0, door.eaves, *levels, door.height], 24)
    reach = door.half_width_at(z)
    ridges = np.outer(shell.seam.radius_at(z), np.sin(design.azimuths - shell.half_angle))
    corners = np.sort(
        np.clip(np.column_stack([ridges, -reach, reach]), -reach[:, None], reach[:, None]), axis=1
    )
    x = front(design, corners, z[:, None])
    # Over one panel the front is straight at each height; it leans with the mid-line.
    wide = np.diff(corners, axis=1)
    sideways = np.divide(np.diff(x, axis=1), wide, out=np.zeros_like(wide), where=wide > 1e-9)
    lean = np.sqrt(1.0 + sideways**2) * np.sqrt(1.0 + _slope_at(design, z)[:, None] ** 2)
    cut = float((wide * lean).sum(axis=1) @ weights)
    path = door.outline(400)
    steps = np.linalg.norm(np.diff(path, axis=0), axis=1)
    along = end - front(design, path[:, 0], path[:, 1])
    rim = np.column_stack([along, path])
    section = float(2 * reach @ weights)
    lap = door.overlap / 2
    overlap = 2 * float(np.trapezoid(door.head_height(np.linspace(0, lap, 200)), np.linspace(0, lap, 200)))
    foot = shell.seam.breaks[0, 0] * np.sin(design.azimuths - shell.half_angle)
    y = np.unique(np.clip(np.append(foot, [-half, half]), -half, half))
    floor = float(np.trapezoid(end - front(design, y, np.zeros_like(y)), y))
    flaps = 2 * door.flap * float(along[[0, -1]].mean())
    walls = float(((along[1:] + along[:-1]) / 2) @ steps)
    seams = float(np.linalg.norm(np.diff(rim, axis=0), axis=1).sum() + steps.sum()) - 2 * door.vent
    return _Opening(cut, walls + section + overlap + flaps, floor, seams, door.width)


def _sleeve(design: Design) -> _Opening:
    sleeve = design.sleeve
    assert sleeve is not None
    slope = math.radians(sleeve.slope)
    section = sleeve.section(720)
    section = np.vstack([section, section[:1]])
    along, _ = sleeve_entry(design, section[:, 1])
    steps = np.linalg.norm(np.diff(section, axis=0), axis=1)
    lengths = sleeve.length - along
    cloth = float((lengths[1:] + lengths[:-1]) / 2 @ steps)
    half_width, half_depth = sleeve.half_size
    turn, weights = quadrature([-math.pi / 2, math.pi / 2], 24)
    upward, step = half_depth * np.sin(turn), half_depth * np.cos(turn)
    width = 2 * half_width * (np.cos(turn) if sleeve.is_round else np.ones_like(turn))
    _, heights = sleeve_entry(design, upward)
    lean = _slope_at(design, heights)
    square = (math.cos(slope) + lean * math.sin(slope)) / np.sqrt(1.0 + lean**2)
    cut = float((width * step / square) @ weights)
    rim = np.column_stack([section, along])
    return _Opening(
        cut, cloth, 0.0, float(np.linalg.norm(np.diff(rim, axis=0), axis=1).sum()) + float(lengths[0])
    )


def measures_of(design: Design) -> Measures:
    """Measure a design.

    Parameters
    ----------
    design : Design

    Returns
    -------
    Measures
        The floor is exact; areas are good to about 1 part in 1000, the seam length to 1 in 20, for seams that
        an opening interrupts are counted whole.
    """
    shell = design.shell
    tunnel = _tunnel(design) if design.doorway is not None else _Opening()
    sleeve = _sleeve(design) if design.sleeve is not None else _Opening()
    foot, (end, _) = float(shell.mid.breaks[0, 0]), shell.mid.top
    polygon = shell.panels * shell.tangent
    flap = 0.0
    if design.flap is not None:
        inner = foot - design.flap.depth
        flap = polygon * (foot**2 - inner**2) - tunnel.foot * design.flap.depth
    mitres = (
        shell.panels * (design.flap.depth / math.cos(shell.half_angle)) if design.flap is not None else 0.0
    )
    seams = shell.panels * shell.seam.length + 2 * polygon * end + tunnel.seams + sleeve.seams + mitres
    if design.flap is not None and design.flap.sewn_on:
        seams += 2 * polygon * foot - tunnel.foot
    return Measures(
        floor_area_mm2=polygon * foot**2 + tunnel.floor,
        shell_area_mm2=_whole_panels(design) + polygon * end**2 - tunnel.cut - sleeve.cut,
        tunnel_area_mm2=tunnel.cloth,
        sleeve_area_mm2=sleeve.cloth,
        flap_area_mm2=flap,
        seam_length_mm=seams,
        foot_length_mm=2 * polygon * foot - tunnel.foot,
    )

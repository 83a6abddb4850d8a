"""Sizes that follow from the design alone, by plain quadrature: areas, lengths, floor. No kernel.

They serve the numbers-only commands, which must not wait for solids; the body, built apart, gives the same
values. Seam allowances are not counted here.
"""

import math

import numpy as np
from attrs import frozen

from shellparts.base.quadrature import quadrature
from shellparts.parameters.design import Design

__all__ = ["Measures", "expected_volume", "measures_of"]


@frozen
class Measures:
    """Sizes of a room as sewn.

    Parameters
    ----------
    floor_area_mm2 : float
        Inside the shell and the tunnels [mm2].
    shell_area_mm2 : float
        Cloth of panels and cap, openings left out [mm2].
    opening_areas_mm2 : tuple of float
        Cloth of each opening: its tube, what closes it, its own flaps [mm2].
    flap_area_mm2 : float
        Cloth of the ground flap inside the shell [mm2].
    seam_length_mm : float
        Of all seams: between panels, round the cap, round every mouth, along sleeves, round curtains [mm].
    foot_length_mm : float
        Of the panels' foot line, doorways left out [mm].
    """

    floor_area_mm2: float
    shell_area_mm2: float
    opening_areas_mm2: tuple[float, ...]
    flap_area_mm2: float
    seam_length_mm: float
    foot_length_mm: float

    @property
    def cloth_area_mm2(self) -> float:
        """All cloth inside the sewing lines [mm2]."""
        return sum(self.opening_areas_mm2, self.shell_area_mm2) + self.flap_area_mm2


def _whole_panels(design: Design) -> float:
    """Area of all panels before openings are cut [mm2]."""
    shell, mid = design.shell, design.shell.mid
    total = 0.0
    for run in range(len(mid.runs)):
        t, weights = quadrature(mid.runs[run].spans, 8)
        speed = np.hypot(*mid.slope(run, t).T)
        total += float(2 * mid.points(run, t)[:, 0] * shell.tangent * speed @ weights)
    return total * shell.panels


def expected_volume(design: Design) -> float:
    """Volume of the envelope from the design alone, to hold the body against.

    The shell is a regular polygon at every height; an opening adds, for each point of its section, the length from
    where the point leaves the shell to the outer end.

    Parameters
    ----------
    design : Design

    Returns
    -------
    float
        Volume [mm3], good to about 1e-7 of itself.
    """
    mid, total = design.shell.mid, 0.0
    for run in range(len(mid.runs)):
        t, weight = quadrature(mid.runs[run].spans, 8)
        radius, rise = mid.points(run, t)[:, 0], mid.slope(run, t)[:, 1]
        total += float(radius**2 * rise @ weight)
    total *= design.shell.panels * design.shell.tangent
    for opening in design.openings:
        total += opening.volume(design.plan)
    return total


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
    shell, plan = design.shell, design.plan
    shares = [opening.share(plan) for opening in design.openings]
    foot, (end, _) = float(shell.mid.breaks[0, 0]), shell.mid.top
    polygon = shell.panels * shell.tangent
    taken = sum(share.foot for share in shares)
    flap = mitres = 0.0
    if design.flap is not None:
        inner = foot - design.flap.depth
        flap = polygon * (foot**2 - inner**2) - taken * design.flap.depth
        mitres = shell.panels * (design.flap.depth / math.cos(shell.half_angle))
    seams = shell.panels * shell.seam.length + 2 * polygon * end
    floor, cloth = polygon * foot**2, _whole_panels(design) + polygon * end**2
    for share in shares:
        seams, floor, cloth = seams + share.seams, floor + share.floor, cloth - share.cut
    seams += mitres
    if design.flap is not None and design.flap.sewn_on:
        seams += 2 * polygon * foot - taken
    return Measures(
        floor_area_mm2=floor,
        shell_area_mm2=cloth,
        opening_areas_mm2=tuple(share.cloth for share in shares),
        flap_area_mm2=flap,
        seam_length_mm=seams,
        foot_length_mm=2 * polygon * foot - taken,
    )

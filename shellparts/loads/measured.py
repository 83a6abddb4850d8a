"""From a design to what the numbers stage must be told. No kernel: sizes come from `parameters.measures`.

The tunnel's floor bears the air like the rest, but is no floor for people: it is their way out.
The envelope's volume is that of `parameters.measures`, which the body itself is held against.
"""

import math

import numpy as np

from shellparts.base.errors import ParameterError
from shellparts.loads.room_figures import RoomFigures
from shellparts.parameters import Design
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.measures import Measures, expected_volume, measures_of

__all__ = ["room_figures"]

_PER_RUN = 33


def _cloth_mass(design: Design, measures: Measures, cloth: Cloth) -> float:
    """Mass of all cloth, seam and hem allowances included [kg], at its likely mass per area."""
    seams = 2 * measures.seam_length_mm * design.allowances.seam
    hems = measures.foot_length_mm * design.allowances.hem
    return (measures.cloth_area_mm2 + seams + hems) / 1e6 * cloth.mass_kg_m2.likely


def room_figures(design: Design, cloth: Cloth) -> RoomFigures:
    """Fill in the figures that the numbers stage works from.

    Raises
    ------
    ParameterError
        If the room has no doorway, for then nobody can go in or out.
    """
    ways, seam = design.ways_out, design.shell.seam
    if not ways:
        raise ParameterError(
            "doorway",
            "missing",
            "there, before people go in",
            "add a doorway: doorway=Doorway(width=…, height=…, length=…)",
        )
    measures = measures_of(design)
    t = np.linspace(0.0, 1.0, _PER_RUN)
    runs = [seam.points(run, t) for run in range(len(seam.runs))]
    for run, low, high in zip(runs, seam.breaks, seam.breaks[1:], strict=False):
        run[0], run[-1] = low, high  # neighbours end a rounding apart; a corner is one point, given twice
    profile = np.concatenate([*runs, [[0.0, seam.top[1]]]])
    profile[:, 1] -= profile[0, 1]
    return RoomFigures(
        floor_area_m2=measures.floor_area_mm2 / 1e6,
        surface_area_m2=measures.shell_area_mm2 / 1e6,
        envelope_volume_m3=expected_volume(design) / 1e9,
        base_diameter_mm=2 * float(seam.breaks[0, 0]),
        height_mm=seam.top[1],
        profile_radius_mm=profile[:, 0],
        profile_height_mm=profile[:, 1],
        panel_count=design.shell.panels,
        seam_length_m=measures.seam_length_mm / 1e3,
        base_perimeter_m=measures.foot_length_mm / 1e3,
        cloth_mass_kg=_cloth_mass(design, measures, cloth),
        exit_width_mm=min(way.width for way in ways),
        exit_height_mm=min(way.height for way in ways),
        exit_count=len(ways),
        tunnel_length_mm=max(way.length for way in ways),
        tunnel_flap_mm=max((one.side_flap for one in design.openings), default=0.0),
        flap_area_m2=measures.flap_area_mm2 / 1e6,
        flap_depth_mm=design.flap.depth if design.flap is not None else 0.0,
        open_area_m2=math.fsum(one.open_area_m2 for one in design.openings),
        vent_longest_mm=sum(one.vent_length for one in design.openings),
        vent_count=max(1, sum(one.vent_length > 0.0 for one in design.openings)),
        shell_floor_m2=design.shell.panels
        * design.shell.tangent
        * float(design.shell.mid.breaks[0, 0]) ** 2
        / 1e6,
        ways=ways,
    )

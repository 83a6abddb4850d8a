"""The pressure that holds a room up, from its form under air: roof and way out, each by itself.

Glossary: a room is *held up* from the pressure at which its roof, and the lowest clear height of its ways out, keep a
share of the heights at which they stand firm: those of the form at its highest pressure, or as sewn where that is
less. The form sags smoothly; the share is where people begin to notice.
"""

import numpy as np
from numpy.typing import NDArray

from shellparts.base.ranges import Range
from shellparts.inflate.standing import StandingCurve
from shellparts.loads.draws import Draws
from shellparts.loads.room_draws import HoldUp
from shellparts.parameters.cloth import Cloth

__all__ = ["FORM_LEFT", "KEPT_SHARE", "hold_up_by_form", "roof_and_way_out"]

Floats = NDArray[np.float64]
#: Share of their firm height that roof and way out keep [-]: ours.
KEPT_SHARE = 0.95
#: Pressure of the sewn room over that of the computed form [-]: ours; triangles of half the size ask for up to a tenth
#: more, and a sewn room has stiff hems.
FORM_LEFT = Range(0.93, 1.0, 1.1)


def roof_and_way_out(
    curve: StandingCurve, cloth: Cloth, drawn: Draws, with_hoop: bool = False
) -> tuple[Floats, Floats]:
    """Pressures that hold the roof, and the ways out, up.

    Parameters
    ----------
    curve : StandingCurve
        With at least one form.
    cloth : Cloth
        Its mass in each draw scales the pressure.
    drawn : Draws
    with_hoop : bool
        Whether a hoop holds the ways out open; they then ask for no pressure of their own.

    Returns
    -------
    tuple of ndarray, shape (n,)
        Both [Pa]; the second is 0 where there is no way out, or it has a hoop.
    """
    mass = drawn.between("cloth mass", cloth.mass_kg_m2)
    left = drawn.between("form", FORM_LEFT)
    share = KEPT_SHARE * min(1.0, float(curve.roof_mm[-1]) / curve.sewn_roof_mm)
    roof = curve.pressure_for_roof(share, mass) * left
    if with_hoop or not len(curve.sewn_ways_mm):
        return roof, np.zeros_like(roof)
    firm = np.minimum(curve.ways_mm[-1], curve.sewn_ways_mm)
    ways = [
        curve.pressure_for_way_out(KEPT_SHARE * float(height), mass, way) for way, height in enumerate(firm)
    ]
    return roof, np.max(ways, axis=0) * left


def hold_up_by_form(curve: StandingCurve, cloth: Cloth, with_hoop: bool = False) -> HoldUp:
    """What gives the hold-up pressure of every draw, for `room_draws`: the larger of roof and way out."""

    def hold_up(drawn: Draws) -> Floats:
        return np.asarray(np.maximum(*roof_and_way_out(curve, cloth, drawn, with_hoop)))

    return hold_up

"""What a fan's label lets one conclude about the pressure that it can make.

A propeller fan's shut-off pressure goes with the square of the speed at which its air leaves the outlet; the flow on
the label and the size of the outlet give that speed. This module does not know whether a label tells the truth.
"""

from typing import Any

import numpy as np

from shellparts.base.ranges import Range

__all__ = ["SHUT_OFF_FACTOR", "outlet_shut_off"]

#: Shut-off pressure over ½·rho·v², v the speed of the air at the outlet in free air: ours, for propeller fans in a
#: ring or drum.
SHUT_OFF_FACTOR = Range(1.5, 2.5, 4.0)
#: Most that box and pedestal fans reach with their outlet shut [Pa]: common practice, from memory, says 15 for slow
#: ones to 60 for fast ones; more is not believed of a fan of which only the label is known.
_MOST_SHUT_OFF_PA = 60.0


def outlet_shut_off(velocity_m_s: Any, place: Any) -> Any:
    """Shut-off pressure of a fan of which only its label is known, ``p0 = k·½·rho·v²`` with k from 1.5 to 4.

    The higher end is taken as no more than box and pedestal fans do, 60 Pa, and the lower one as half of that at most.

    Parameters
    ----------
    velocity_m_s : float or ndarray
        Speed of the air at the outlet in free air [m/s].
    place : float or ndarray
        Place between the lower and the higher end, a share.

    Returns
    -------
    float or ndarray
        The pressure in air of 1.2 kg/m³ [Pa].

    References
    ----------
    The factor is ours; 15 to 60 Pa is common practice, from memory.

    Examples
    --------
    >>> [round(float(outlet_shut_off(7.0, place)), 1) for place in (0.0, 1.0)]
    [30.0, 60.0]
    >>> [round(float(outlet_shut_off(3.0, place)), 1) for place in (0.0, 1.0)]
    [8.1, 21.6]
    """
    moving = 0.5 * 1.2 * np.square(velocity_m_s)
    low = np.minimum(SHUT_OFF_FACTOR.low * moving, 0.5 * _MOST_SHUT_OFF_PA)
    high = np.minimum(SHUT_OFF_FACTOR.high * moving, _MOST_SHUT_OFF_PA)
    return low + place * (high - low)

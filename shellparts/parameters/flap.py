"""The ground flap: a band of cloth that lies inward on the floor, where the air and people press it down."""

from shellparts.base.classes import Mm, frozen_fields
from shellparts.base.fields import flag_field, length_field

__all__ = ["Flap"]


@frozen_fields(kw_only=True)
class Flap:
    """A ground flap around the shell; it is left out at the doorway.

    Parameters
    ----------
    depth : float or str
        From the foot of the panel inward [mm], 50 mm to 1.5 m.
    sewn_on : bool
        Whether the flap is cut on its own and sewn to the panel; otherwise it is one with the panel, over a
        fold.

    Raises
    ------
    ParameterError
        If a value is of another kind, or outside its limits.
    """

    depth: Mm = length_field("flap depth", 50.0, 1500.0, "choose a flap from 50 mm to 1.5 m")
    sewn_on: bool = flag_field("sewn_on", default=False)

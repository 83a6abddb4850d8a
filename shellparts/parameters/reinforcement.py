"""Where the cloth is made stronger: patches at openings, tabs along the foot to tie or weigh the room down.

The sizes are common practice for sewn sheet, no more: whoever has anchors must ask the maker of the cloth.
"""

from shellparts.base.classes import Mm, frozen_fields
from shellparts.base.fields import flag_field, length_field

__all__ = ["Reinforcement"]


@frozen_fields(kw_only=True)
class Reinforcement:
    """Patches and tabs.

    Parameters
    ----------
    patches : bool
        Whether corners of the doorway, the root of the sleeve and tabs are patched.
    corner : float or str
        Radius of the round patch at a corner of the doorway [mm].
    rim : float or str
        How far the patch around the sleeve's opening reaches beyond it [mm].
    tabs : bool
        Whether tabs are sewn on along the foot of the panels.
    tab_spacing : float or str
        Largest distance between tabs on one panel [mm].
    tab_width, tab_length : float or str
        Of a tab as cut; it is folded in half over a cord or a ring [mm].

    Raises
    ------
    ParameterError
        If a value is of another kind, or outside its limits.
    """

    patches: bool = flag_field("patches", default=True)
    corner: Mm = length_field(
        "radius of a corner patch", 30.0, 400.0, "choose 80 mm to 150 mm", default=100.0
    )
    rim: Mm = length_field("rim of the sleeve's patch", 20.0, 300.0, "choose 40 mm to 80 mm", default=60.0)
    tabs: bool = flag_field("tabs", default=True)
    tab_spacing: Mm = length_field("spacing of tabs", 200.0, 5000.0, "choose 0.8 m to 1.5 m", default=1500.0)
    tab_width: Mm = length_field("width of a tab", 20.0, 300.0, "choose 50 mm to 100 mm", default=80.0)
    tab_length: Mm = length_field("length of a tab", 60.0, 800.0, "choose 200 mm to 400 mm", default=300.0)

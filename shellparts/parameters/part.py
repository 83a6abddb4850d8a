"""What a sheet of cloth is for, and what follows from it for whoever cuts, sews and draws it. Plain data.

The ring of panels has parts of its own, listed here; an opening brings its own, listed in its module.
"""

from enum import Enum

from attrs import frozen

__all__ = ["CAP", "FLAP", "PANEL", "PATCH", "Colour", "Part", "Role"]

#: Red, green and blue from 0 to 1, as a screen shows them (sRGB).
Colour = tuple[float, float, float]


class Role(Enum):
    """How a sheet belongs to the room."""

    PANEL = "panel of the shell"
    CAP = "cap on the panels"
    TUBE = "tube through the shell"
    CLOSURE = "closes the outer end of a tube"
    FLAP = "lies on the floor"
    PATCH = "sewn onto another sheet"


@frozen
class Part:
    """A kind of cloth part.

    Parameters
    ----------
    word : str
        What tables and marks call it.
    role : Role
        How it belongs to the room.
    colour : tuple of float
        In solids and pictures: undyed cloth for what is large, quiet colours for what a visitor looks for.
    seam : str
        Which field of `Allowances` says how it is sewn to the shell, or to the tube that it closes; nothing for
        patches, which are sewn on flat.
    opening : str
        What a panel is named after that it is set into: ``"doorway"``; nothing for parts of the shell.
    stage : str
        What the sewing order calls the work of setting it in; nothing for parts of the shell.
    is_round : bool
        Whether a tube's section closes on itself; otherwise the floor closes it.
    drawn : bool
        Whether a tube's outer end is a channel for a cord.
    """

    word: str
    role: Role
    colour: Colour
    seam: str
    opening: str = ""
    stage: str = ""
    is_round: bool = False
    drawn: bool = False


PANEL = Part("panel", Role.PANEL, (0.93, 0.87, 0.74), "panel_seam")
CAP = Part("cap", Role.CAP, (0.85, 0.60, 0.44), "cap_seam")
FLAP = Part("flap", Role.FLAP, (0.72, 0.68, 0.60), "flap_seam")
PATCH = Part("patch", Role.PATCH, PANEL.colour, "")

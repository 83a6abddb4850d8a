"""Colours of the parts, the same in solids and in pictures.

Glossary: a *colour* is red, green and blue from 0 to 1, as a screen shows them (sRGB). This module knows
nothing of files or shapes.
"""

from shellparts.parameters.choices import PartKind

__all__ = ["AIR", "COLOURS", "Colour"]

Colour = tuple[float, float, float]

#: Colour of each kind of cloth part: undyed cloth for what is large, quiet colours for what a visitor looks
#: for.
COLOURS: dict[PartKind, Colour] = {
    PartKind.PANEL: (0.93, 0.87, 0.74),
    PartKind.CAP: (0.85, 0.60, 0.44),
    PartKind.TUNNEL: (0.56, 0.72, 0.68),
    PartKind.CURTAIN: (0.92, 0.75, 0.60),
    PartKind.SLEEVE: (0.60, 0.66, 0.80),
    PartKind.FLAP: (0.72, 0.68, 0.60),
}

#: Colour of the envelope of air.
AIR: Colour = (0.80, 0.89, 0.95)

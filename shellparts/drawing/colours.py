"""Colours that solids and pictures share, beside those of the parts."""

from shellparts.parameters.part import Colour

__all__ = ["AIR", "FLOOR", "METAL", "SOMEBODY"]

#: Colour of the envelope of air.
AIR: Colour = (0.80, 0.89, 0.95)
#: Colour of the floor inside.
FLOOR: Colour = (0.82, 0.80, 0.76)
#: Colour of the ring where a fan goes.
METAL: Colour = (0.45, 0.47, 0.50)
#: Colour of a figure that stands for somebody.
SOMEBODY: Colour = (0.42, 0.46, 0.55)

"""Colours that solids and pictures share, beside those of the parts."""

from shellparts.parameters.part import Colour

__all__ = ["AIR"]

#: Colour of the envelope of air.
AIR: Colour = (0.80, 0.89, 0.95)

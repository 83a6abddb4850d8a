"""The words that a design may be written with. Each value is the word a model script uses."""

from enum import Enum
from typing import Literal

__all__ = ["CentredOn", "Head", "Measured", "ProfileKind", "Tape"]


class ProfileKind(Enum):
    """Outline of the shell from its upright wall, or the floor, to the top."""

    STRAIGHT = "straight"
    DOME = "dome"
    POINTED = "pointed"
    POINTS = "points"


#: The same as text.
ProfileKindWord = Literal["straight", "dome", "pointed", "points"]


class Measured(Enum):
    """Where the size across is taken: over the ridges, or over the middles of opposite panels."""

    SEAMS = "seams"
    MIDDLES = "middles"


#: The same as text.
MeasuredWord = Literal["seams", "middles"]


class Head(Enum):
    """Top of the doorway tunnel."""

    GABLED = "gabled"
    ARCHED = "arched"
    FLAT = "flat"


#: The same as text.
HeadWord = Literal["gabled", "arched", "flat"]


class CentredOn(Enum):
    """What the doorway's middle line stands on."""

    PANEL = "panel"
    SEAM = "seam"


#: The same as text.
CentredOnWord = Literal["panel", "seam"]


class Tape(Enum):
    """The tape measure at hand."""

    METRIC = "metric"
    IMPERIAL = "imperial"


#: The same as text.
TapeWord = Literal["metric", "imperial"]

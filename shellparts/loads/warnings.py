"""What to be told before anybody steps inside: each with its figure, limit, source and remedy.

Glossary: a *warning* is raised by a figure and goes away with it; a *safety note* always holds and is never
a warning. Local codes and licensed practice decide; this module knows neither your code nor your cloth's
certificate, nor when a warning is raised (see `warning_rules`).
"""

from enum import Enum

from attrs import frozen

__all__ = ["SAFETY_NOTES", "LoadWarning", "WarningCode"]

#: What always holds.
SAFETY_NOTES = (
    "Never block the way out, inside or outside.",
    "Keep the fan guarded, its lead dry and out of people's way.",
    "No flames, no smoking, nothing hot against the cloth.",
    "An adult stays inside whenever children are, and knows how to hold the doorway open.",
    "When the fan stops, leave at once: hold up the cloth, walk, do not run.",
    "Local codes and licensed practice decide; these figures are for planning.",
)


class WarningCode(Enum):
    """Stable names of the warnings."""

    NO_BAND = "no-band"
    BASE_LIFTS = "base-lifts"
    VENT_SHUT_LIFTS = "vent-shut-lifts"
    SAGS = "sags"
    TUNE_VENT = "tune-vent"
    VENT_OUT_OF_REACH = "vent-out-of-reach"
    FAN_TOO_WEAK = "fan-too-weak"
    FAN_ASSUMED = "fan-assumed"
    DOOR_SAGS = "door-sags"
    SINKS_BEFORE_OUT = "sinks-before-out"
    STAYS_UP_SHORT = "stays-up-short"
    FRESH_AIR = "fresh-air"
    WARM = "warm"
    CLOTH_WEAK = "cloth-weak"
    WRINKLES = "wrinkles"
    BALLAST = "ballast"
    OUTDOORS = "outdoors"
    TOO_MANY = "too-many-people"
    EXIT_NARROW = "exit-narrow"
    SECOND_EXIT = "second-exit"
    PERMIT = "permit"
    SIGNS = "signs-and-plan"
    FLAME = "flame-retardant"


@frozen
class LoadWarning:
    """One warning.

    Parameters
    ----------
    code : WarningCode
        Its stable name.
    message : str
        What is the matter.
    figure : str
        What it is, with its unit.
    limit : str
        What it may be, with its unit.
    source : str
        Where the limit is from.
    remedy : str
        What to do.
    """

    code: WarningCode
    message: str
    figure: str
    limit: str
    source: str
    remedy: str

"""The whole design, and where its parts stand.

Glossary: the doorway's middle line runs along +x; *azimuths* are counted counter-clockwise from it, seen from
above, z is up and the floor is z = 0. Panel numbers start at 1. An *allowance* is the cloth outside the
sewing line.
"""

import math
import re
from enum import Enum
from typing import Any

import attrs
import numpy as np
from attrs import Factory, field, frozen
from numpy.typing import NDArray

from shellparts.parameters.choices import CentredOn, Tape
from shellparts.parameters.doorway import Doorway
from shellparts.parameters.flap import Flap
from shellparts.parameters.limits import (
    choice_field,
    count_field,
    length_field,
    optional_length_field,
    require,
)
from shellparts.parameters.printing import Printing
from shellparts.parameters.shell import Shell
from shellparts.parameters.sleeve import Sleeve

__all__ = ["Allowances", "Design", "Marking"]

_NAME = re.compile(r"[a-z][a-z0-9_]{0,39}")


@frozen(kw_only=True)
class Allowances:
    """Cloth left outside the sewing line.

    Parameters
    ----------
    seam : float or str
        Along edges that are sewn to another edge [mm].
    hem : float or str
        Along edges that are turned in [mm].
    drawcord : float or str
        Along the mouth of the fan sleeve, for a channel with a cord [mm].
    """

    seam: float = length_field("seam allowance", 5.0, 100.0, "leave 10 mm to 30 mm", default=20.0)
    hem: float = length_field("hem allowance", 5.0, 150.0, "leave 20 mm to 50 mm", default=40.0)
    drawcord: float = length_field("drawcord allowance", 5.0, 150.0, "leave 30 mm to 50 mm", default=40.0)


@frozen(kw_only=True)
class Marking:
    """How templates are marked out.

    Parameters
    ----------
    tape : Tape or str
        ``"metric"`` or ``"imperial"``: the tape measure at hand.
    spacing : float or str
        Distance between stations along the centre line [mm]; 200 mm, or 6 in on an inch tape, unless given.
    """

    tape: Tape = choice_field("tape measure", Tape, default=Tape.METRIC)
    spacing: float | None = optional_length_field(
        "station spacing", 20.0, 1000.0, "mark every 100 mm to 300 mm"
    )

    @property
    def station_spacing(self) -> float:
        """Distance between stations along the centre line [mm]."""
        if self.spacing is not None:
            return self.spacing
        return 200.0 if self.tape is Tape.METRIC else 152.4


def _check_name(_instance: Any, _attribute: Any, value: Any) -> None:
    require(
        isinstance(value, str) and _NAME.fullmatch(value) is not None,
        "name of the design",
        repr(value),
        "a lower-case letter followed by up to 39 lower-case letters, digits or underscores",
        "it names files: write it like lantern_room",
    )


@frozen(kw_only=True)
class Design:
    """Everything that decides a room.

    Parameters
    ----------
    name : str
        Names the files: lower-case letters, digits and underscores.
    title : str
        One line about the room, for the documents.
    shell : Shell
        The ring of panels.
    doorway : Doorway, optional
        The tunnel through the shell; a room without one has no way out and is refused when people are to go
        in.
    sleeve : Sleeve, optional
        The tube to the fan.
    flap : Flap, optional
        The band of cloth on the floor.
    allowances : Allowances
        Cloth outside the sewing lines.
    marking : Marking
        How templates are marked out.
    printing : Printing
        The paper that patterns are printed on.
    model_scale : int
        The scale model is 1 to this.

    Raises
    ------
    ParameterError
        If the parts do not fit each other: a doorway higher than the shell, a sleeve wider than its panel and
        so on.
    """

    name: str = field(validator=_check_name)
    title: str = ""
    shell: Shell
    doorway: Doorway | None = None
    sleeve: Sleeve | None = None
    flap: Flap | None = None
    allowances: Allowances = Factory(Allowances)
    marking: Marking = Factory(Marking)
    printing: Printing = Factory(Printing)
    model_scale: int = count_field("scale of the model", 1, 200, "choose 10 to 50", default=20)

    def __attrs_post_init__(self) -> None:
        """Check that the parts fit each other."""
        from shellparts.parameters.clearances import check_clearances

        check_clearances(self)

    @property
    def first_azimuth(self) -> float:
        """Azimuth of panel 1's middle [rad]."""
        on_seam = self.doorway is not None and self.doorway.centred_on is CentredOn.SEAM
        return self.shell.half_angle if on_seam else 0.0

    @property
    def azimuths(self) -> NDArray[np.float64]:
        """Azimuths of the panels' middles, shape (panels,) [rad]."""
        return self.first_azimuth + 2 * math.pi * np.arange(self.shell.panels) / self.shell.panels

    def parameters(self) -> dict[str, Any]:
        """Every parameter as plain data, with units in the keys."""
        return _record(attrs.asdict(self, recurse=True))


_PARTS = {"doorway", "sleeve", "flap"}
_PLAIN = {"panels", "panel", "model_scale", "name", "title", "smooth", "sewn_on", "paper"}


def _record(values: dict[str, Any]) -> dict[str, Any]:
    """Give every length its unit, and every word its plain text."""
    out: dict[str, Any] = {}
    for key, value in values.items():
        if isinstance(value, dict):
            out[key] = _record(value)
        elif isinstance(value, Enum):
            out[key] = value.value
        elif key in _PLAIN or key in _PARTS or isinstance(value, str):
            out[key] = value
        else:
            out[f"{key}_deg" if key == "slope" else f"{key}_mm"] = value
    return out

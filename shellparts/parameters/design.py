"""The whole design, and where its parts stand.

Glossary: the doorway's middle line runs along +x; *azimuths* are counted counter-clockwise from it, seen from
above, z is up and the floor is z = 0. Panel numbers start at 1. An *allowance* is the cloth outside the
sewing line.
"""

import math
import re
from typing import Any

import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray

from shellparts.base.checks import require
from shellparts.base.fields import count_field, part_field, record
from shellparts.parameters.allowances import Allowances
from shellparts.parameters.choices import CentredOn
from shellparts.parameters.doorway import Doorway
from shellparts.parameters.flap import Flap
from shellparts.parameters.marking import Marking
from shellparts.parameters.printing import Printing
from shellparts.parameters.reinforcement import Reinforcement
from shellparts.parameters.shell import Shell
from shellparts.parameters.sleeve import Sleeve

__all__ = ["Design"]

_NAME = re.compile(r"[a-z][a-z0-9_]{0,39}")


def _check_name(_instance: Any, _attribute: Any, value: Any) -> None:
    require(
        isinstance(value, str) and _NAME.fullmatch(value) is not None,
        "name of the design",
        repr(value),
        "a lower-case letter followed by up to 39 lower-case letters, digits or underscores",
        "it names files: write it like lantern_room",
    )


def _check_title(_instance: Any, _attribute: Any, value: Any) -> None:
    require(
        isinstance(value, str) and value.isprintable(),
        "title of the design",
        repr(value),
        "one line of text",
        "say in a few words what the room is for",
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
    reinforcement : Reinforcement
        Patches at openings, tabs along the foot.
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
    title: str = field(default="", validator=_check_title)
    shell: Shell = part_field("shell", Shell)
    doorway: Doorway | None = part_field("doorway", Doorway, optional=True, default=None)
    sleeve: Sleeve | None = part_field("sleeve", Sleeve, optional=True, default=None)
    flap: Flap | None = part_field("flap", Flap, optional=True, default=None)
    allowances: Allowances = part_field("allowances", Allowances, factory=Allowances)
    reinforcement: Reinforcement = part_field("reinforcement", Reinforcement, factory=Reinforcement)
    marking: Marking = part_field("marking", Marking, factory=Marking)
    printing: Printing = part_field("printing", Printing, factory=Printing)
    model_scale: int = count_field("scale of the model", 1, 200, "choose 10 to 50", default=20)

    def __attrs_post_init__(self) -> None:
        """Check that the parts fit each other."""
        from shellparts.parameters.clearances import check_clearances
        from shellparts.parameters.coincidences import check_coincidences

        check_clearances(self)
        check_coincidences(self)

    @property
    def first_azimuth(self) -> float:
        """Azimuth of panel 1's middle [rad]."""
        on_seam = self.doorway is not None and self.doorway.centred_on is CentredOn.SEAM
        return self.shell.half_angle if on_seam else 0.0

    @property
    def azimuths(self) -> NDArray[np.float64]:
        """Azimuths of the panels' middles, shape (panels,) [rad]."""
        return self.first_azimuth + 2 * math.pi * np.arange(self.shell.panels) / self.shell.panels

    @property
    def sleeve_panel(self) -> int:
        """Number of the panel that the sleeve is sewn to: opposite the doorway unless given."""
        given = self.sleeve.panel if self.sleeve is not None else None
        return given if given is not None else self.shell.panels // 2 + 1

    def parameters(self) -> dict[str, Any]:
        """Every parameter as plain data, with units in the keys."""
        values: dict[str, Any] = record(self)
        if self.sleeve is not None:
            values["sleeve"]["panel"] = self.sleeve_panel
        return values

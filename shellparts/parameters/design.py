"""The whole design, and where its parts stand.

Glossary: the doorway's middle line runs along +x; *azimuths* are counted counter-clockwise from it, seen from
above, z is up and the floor is z = 0. Panel numbers start at 1. An *allowance* is the cloth outside the
sewing line.
"""

import re
from collections import Counter
from collections.abc import Callable, Sequence
from typing import Any

from attrs import field

from shellparts.base.checks import at_most, require
from shellparts.base.classes import Reads, frozen_fields
from shellparts.base.errors import ParameterError
from shellparts.base.fields import count_field, part_field, parts_field, record
from shellparts.base.inches import error_in_inches
from shellparts.parameters.allowances import Allowances
from shellparts.parameters.choices import Tape
from shellparts.parameters.flap import Flap
from shellparts.parameters.marking import Marking
from shellparts.parameters.opening import Floorplan, Opening, Tube, WayOut, check_apart
from shellparts.parameters.printing import Printing
from shellparts.parameters.reinforcement import Reinforcement
from shellparts.parameters.shell import Shell

__all__ = ["Design"]

#: Stands for an opening that was not spoken of.
_NOT_SAID: Any = object()
#: Floor that stays free between flaps across from each other [mm].
_LEAST_FREE_FLOOR_MM = 300.0
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


def _short_form(word: str) -> Callable[[Any, Any, Any], None]:
    """Check of a field that is taken into the list of openings when the design is made."""
    kind = word.capitalize()

    def check(_instance: Any, _attribute: Any, value: Any) -> None:
        fits = value is None or value is _NOT_SAID or getattr(value, "word", None) == word
        require(fits, word, repr(value), f"a {kind}, or left out", f"write {kind}(…) with its values")

    return check


@frozen_fields(kw_only=True)
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
    openings : sequence of Opening
        What goes through the shell: doorways, fan sleeves. A room without a doorway has no way out and is refused when
        people are to go in. The first doorway's middle line is +x.
    doorway, sleeve : Opening, optional
        Short for the first of each: ``doorway=Doorway(…)``, ``sleeve=Sleeve(…)``.
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
    model_scale : int, optional
        The scale model is 1 to this; as large as the printer of the workshop takes unless given.

    Raises
    ------
    ParameterError
        If the parts do not fit each other: a doorway higher than the shell, a sleeve wider than its panel and
        so on.
    """

    name: str = field(validator=_check_name)
    title: str = field(default="", validator=_check_title)
    shell: Shell = part_field("shell", Shell)
    openings: Reads[Opening | Sequence[Opening], tuple[Opening, ...]] = parts_field(
        "opening", Opening, "write Doorway(…) or Sleeve(…)", default=()
    )
    _doorway: Opening | None = field(
        alias="doorway", default=_NOT_SAID, validator=_short_form("doorway"), repr=False, eq=False
    )
    _sleeve: Opening | None = field(
        alias="sleeve", default=_NOT_SAID, validator=_short_form("sleeve"), repr=False, eq=False
    )
    flap: Flap | None = part_field("flap", Flap, default=None)
    allowances: Allowances = part_field("allowances", Allowances, factory=Allowances)
    reinforcement: Reinforcement = part_field("reinforcement", Reinforcement, factory=Reinforcement)
    marking: Marking = part_field("marking", Marking, factory=Marking)
    printing: Printing = part_field("printing", Printing, factory=Printing)
    model_scale: int | None = count_field(
        "scale of the model", 1, 200, "choose 10 to 50", optional=True, default=None
    )

    def __attrs_post_init__(self) -> None:
        """Put the short forms into the list, and check that the parts fit each other."""
        self._take_short_forms()
        try:
            self._check_fit()
        except ParameterError as error:
            raise (error_in_inches(error) if self.marking.tape is Tape.IMPERIAL else error) from None

    def _check_fit(self) -> None:
        """Check that the parts fit each other."""
        if self.flap is not None:
            at_most(
                "flap depth",
                self.flap.depth,
                float(self.shell.mid.breaks[0, 0]) - _LEAST_FREE_FLOOR_MM,
                ", or the flaps would meet in the middle of the floor",
                "make the flap shallower",
            )
        plan, openings = self.plan, self.openings
        for first in [one for one in openings if one.way_out is not None][:1]:
            number = first.number(plan)
            remedy = "leave it out; panels and seams are counted from there"
            require(number == 1, f"number of the first {first.word}", str(number), "1", remedy)
        for opening in openings:
            opening.check(plan)
        for second, opening in enumerate(openings):
            for first in openings[:second]:
                check_apart(first, opening, plan)
        for opening in openings:
            opening.check_lines(plan)

    def _take_short_forms(self) -> None:
        """The short forms come first, and are spoken of no more: an evolved design has them in its list."""
        first = []
        for word, one in (("doorway", self._doorway), ("sleeve", self._sleeve)):
            twice = one is None and any(other.word == word for other in self.openings)
            require(
                not twice, word, "None", f"left out where openings hold a {word}", "give openings=… alone"
            )
            first += [one] if one is not None and one is not _NOT_SAID else []
            object.__setattr__(self, f"_{word}", _NOT_SAID)
        object.__setattr__(self, "openings", (*first, *self.openings))

    @property
    def ways_out(self) -> tuple[WayOut, ...]:
        """The ways by which people leave."""
        return tuple(one.way_out for one in self.openings if one.way_out is not None)

    @property
    def plan(self) -> Floorplan:
        """The ring of panels as it stands on the floor: the middle of the first way out lies in +x."""
        first = next((one for one in self.openings if one.way_out is not None), None)
        return Floorplan(self.shell, self.shell.half_angle if first is not None and first.on_seam else 0.0)

    @property
    def tubes(self) -> tuple[Tube, ...]:
        """The tubes of the openings, each with a name of its own."""
        plan = self.plan
        return tuple(
            one.tube(plan, suffix) for one, suffix in zip(self.openings, self._suffixes, strict=True)
        )

    @property
    def _suffixes(self) -> tuple[str, ...]:
        """What tells openings of one kind apart: nothing for the first, then ``_2`` and so on."""
        seen: Counter[str] = Counter()
        suffixes = []
        for opening in self.openings:
            seen[opening.word] += 1
            suffixes.append(f"_{seen[opening.word]}" if seen[opening.word] > 1 else "")
        return tuple(suffixes)

    def parameters(self) -> dict[str, Any]:
        """Every parameter as plain data, with units in the keys."""
        values: dict[str, Any] = record(self)
        plan, openings = self.plan, dict[str, Any].fromkeys(("doorway", "sleeve"))
        for one, suffix, told in zip(self.openings, self._suffixes, values["openings"], strict=True):
            openings[f"{one.word}{suffix}".replace(" ", "_")] = {**told, **one.parameters(plan)}
        parts: dict[str, Any] = {}
        for key, value in values.items():
            parts |= openings if key == "openings" else {key: value}
        return parts

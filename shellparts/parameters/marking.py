"""How templates are marked out: the tape measure at hand, and how far apart stations are."""

from shellparts.base.classes import MaybeMm, Reads, frozen_fields
from shellparts.base.fields import choice_field, length_field
from shellparts.base.inches import in_inches
from shellparts.base.units import feet_inches, metric
from shellparts.parameters.choices import Tape, TapeWord

__all__ = ["Marking"]


@frozen_fields(kw_only=True)
class Marking:
    """How templates are marked out.

    Parameters
    ----------
    tape : Tape or str
        ``"metric"`` or ``"imperial"``: the tape measure at hand.
    spacing : float or str
        Distance between stations along the centre line [mm]; 200 mm, or 6 in on an inch tape, unless given.

    Raises
    ------
    ParameterError
        If a value is of another kind, or outside its limits.
    """

    tape: Reads[Tape | TapeWord, Tape] = choice_field("tape measure", Tape, default=Tape.METRIC)
    spacing: MaybeMm = length_field(
        "station spacing", 20.0, 1000.0, "mark every 100 mm to 300 mm", default=None
    )

    @property
    def station_spacing(self) -> float:
        """Distance between stations along the centre line [mm]."""
        if self.spacing is not None:
            return self.spacing
        return 200.0 if self.tape is Tape.METRIC else 152.4

    def length(self, value_mm: float, finest: int = 16) -> str:
        """A length [mm] as the tape at hand shows it; inches to 1 part in `finest`."""
        return feet_inches(value_mm, finest) if self.tape is Tape.IMPERIAL else metric(value_mm)

    def told(self, text: str, alone: bool = False) -> str:
        """A sentence with metric figures, for a reader with the tape at hand; an inch tape `alone` if need be."""
        return in_inches(text, alone) if self.tape is Tape.IMPERIAL else text

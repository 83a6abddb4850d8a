"""A room with all that is known of it: what every page speaks of."""

from attrs import frozen

from shellparts.inflate.form import InflatedForm
from shellparts.inflate.standing import StandingCurve
from shellparts.loads.band_picture import BandPicture
from shellparts.loads.changes import Plan
from shellparts.loads.results import Verdict

__all__ = ["Subject"]


@frozen(eq=False)
class Subject:
    """A room with all that is known of it.

    Parameters
    ----------
    name, title : str
        Of the design.
    verdict : Verdict
        As it is.
    plan : Plan
        What would make it a go.
    curve : StandingCurve or None
        Heights of roof and ways out; None for a first look by formula.
    form : InflatedForm
        By half a panel.
    band : BandPicture or None
        Its working band with the changes made; None for a room without a vent.
    """

    name: str
    title: str
    verdict: Verdict
    plan: Plan
    curve: StandingCurve | None
    form: InflatedForm
    band: BandPicture | None

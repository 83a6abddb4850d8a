"""A room with all that is known of it: what every page speaks of."""

from attrs import frozen

from shellparts.inflate.form import InflatedForm
from shellparts.inflate.standing import StandingCurve
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
    """

    name: str
    title: str
    verdict: Verdict
    plan: Plan
    curve: StandingCurve | None
    form: InflatedForm

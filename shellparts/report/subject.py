"""A room with all that is known of it: what every page speaks of."""

from attrs import frozen

from shellparts.inflate.form import InflatedForm
from shellparts.inflate.standing import StandingCurve
from shellparts.loads.ballast import BallastPlan
from shellparts.loads.changes import Change, Plan
from shellparts.loads.results import Verdict
from shellparts.parameters import Marking

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
    marking : Marking
        Which tape lengths are told by.
    """

    name: str
    title: str
    verdict: Verdict
    plan: Plan
    curve: StandingCurve | None
    form: InflatedForm
    marking: Marking = Marking()

    @property
    def bags(self) -> BallastPlan:
        """The bags to lay: those of the plan, or what the factor asks for where there is nothing to change."""
        step = self.plan.step(Change.BALLAST)
        return self.plan.after.hold_down.plan if step is None or step.bags is None else step.bags

    def told(self, text: str) -> str:
        """A sentence of a page, for a reader with the tape at hand."""
        return self.marking.told(text, alone=True)

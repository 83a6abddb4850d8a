"""What can be said of a room without solids: air, holding down, people, the form under air. No kernel."""

from collections.abc import Sequence
from functools import partial
from typing import Any

from attrs import frozen

from shellparts.base.classes import brief
from shellparts.base.version import VERSION
from shellparts.inflate.form import inflated_form, largest_pull, sized_as_inflated, wrinkled_share
from shellparts.inflate.standing import StandingCurve
from shellparts.loads.assess import assess
from shellparts.loads.band_picture import BandPicture, band_picture
from shellparts.loads.changes import plan_changes
from shellparts.loads.measured import room_figures
from shellparts.loads.results import Verdict
from shellparts.parameters import Design
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.fan import Fan
from shellparts.parameters.readings import Reading
from shellparts.parameters.site import Site
from shellparts.parameters.sizes import Sizes, unknown_air
from shellparts.report.page import screen
from shellparts.report.page_more import more_page
from shellparts.report.records import curve_record, plan_record, verdict_record
from shellparts.report.subject import Subject
from shellparts.report.warnings import design_warnings, form_warnings

__all__ = ["Numbers", "numbers", "sized_under_air", "verdict_by_formula"]


@brief
@frozen(eq=False)
class Numbers:
    """A design, and all that is known of its air.

    Parameters
    ----------
    design : Design
        Of the room as sewn.
    sizes : Sizes
        Whether it was corrected for the room under air.
    air : Subject or None
        Figures, verdict, remedies, form under air and working band; None without a fan or a doorway.
    """

    design: Design
    sizes: Sizes
    air: Subject | None

    def record(self) -> dict[str, Any]:
        """Plain data: parameters, air, holding down, people, warnings."""
        warnings = [warning.record() for warning in design_warnings(self.design)]
        design = self.design
        record = {"name": design.name, "version": VERSION, "parameters": design.parameters()}
        if self.air is None:
            return {**record, "warnings": warnings}
        found, form = verdict_record(self.air.verdict), self.air.form
        warnings += [warning.record() for warning in form_warnings(form)]
        return {
            **record,
            "warnings": warnings + found.pop("warnings"),
            **found,
            "plan": plan_record(self.air.plan),
            "inflated": {
                "sizes": self.sizes.value,
                "from": "half a panel, without openings",
                **form.record(),
                **curve_record(self.air.curve),
            },
        }

    def band(self) -> BandPicture | None:
        """Pressure and chance against vent opening with the changes made; None where there is no vent or no fan."""
        if self.air is None or self.air.verdict.drawn.room.vent_longest_mm <= 0.0:
            return None
        return band_picture(self.air.plan.after)

    def advice(self, more: bool = False) -> str:
        """One screen to read; with more, everything."""
        if self.air is None:
            return (
                f"{self.design.name}: nothing can be said of air without a fan and a doorway. "
                "Give them: build(design, fan=fan_from_label(…))."
            )
        return more_page(self.air) if more else screen(self.air)


def numbers(
    design: Design,
    fan: Fan | None,
    cloth: Cloth,
    site: Site,
    sizes: Sizes = Sizes.AS_SEWN,
    curve: StandingCurve | None = None,
    readings: Sequence[Reading] = (),
) -> Numbers:
    """Work out all that can be said of a room without solids.

    Parameters
    ----------
    design : Design
        Of the room as sewn.
    fan : Fan or None
        What blows it up.
    cloth : Cloth
    site : Site
    sizes : Sizes
        Whether the design was corrected for the room under air.
    curve : StandingCurve, optional
        Heights of roof and ways out against pressure; without one the formula speaks alone, also of folds.
    readings : sequence of Reading
        What was read of the real room.

    Returns
    -------
    Numbers

    Raises
    ------
    ParameterError
        If the vent is to be opened farther than it is long, or a reading names what is not there.
    """
    if fan is None or not design.ways_out:
        return Numbers(design, sizes, None)
    figures = room_figures(design, cloth)
    pull = partial(largest_pull, design, cloth)
    # folds at the working pressure take as long as all the rest: a first look has them from membrane theory
    wrinkled = None if curve is None else partial(wrinkled_share, design, cloth)
    verdict = assess(figures, fan, cloth, site, curve, readings, pull, wrinkled)
    plan = plan_changes(verdict, curve, sum(way.longest_vent for way in design.ways_out), pull, wrinkled)
    pressure = plan.after.air.setting.pressure_Pa.likely
    if sizes is Sizes.UNDER_AIR:  # told at the pressure that the pattern was corrected for
        pressure = _likely_pressure(design, fan, cloth, site)
    form = inflated_form(design, cloth, pressure)
    return Numbers(
        design, sizes, Subject(design.name, design.title, verdict, plan, curve, form, design.marking)
    )


def verdict_by_formula(
    design: Design, fan: Fan | None, cloth: Cloth, site: Site, readings: Sequence[Reading] = ()
) -> Verdict:
    """The verdict on a room as it is, by formula, without what would make it good; that takes a fan and a doorway."""
    if fan is None or not design.ways_out:
        raise unknown_air("verdict")
    return assess(room_figures(design, cloth), fan, cloth, site, None, readings)


def sized_under_air(design: Design, fan: Fan | None, cloth: Cloth, site: Site) -> Design:
    """The design to sew, so that the room under air has the sizes asked for; that takes a fan and a doorway."""
    if fan is None or not design.ways_out:
        raise unknown_air("sizes under air")

    return sized_as_inflated(design, cloth, lambda sewn: _likely_pressure(sewn, fan, cloth, site))[0]


def _likely_pressure(design: Design, fan: Fan, cloth: Cloth, site: Site) -> float:
    """Pressure at the best setting of a room as it is, by formula [Pa]."""
    return assess(room_figures(design, cloth), fan, cloth, site).air.setting.pressure_Pa.likely

"""What can be said of a room without solids: air, holding down, people, the form under air. No kernel."""

from functools import partial
from typing import Any

from attrs import frozen

from shellparts.base.classes import brief
from shellparts.base.version import VERSION
from shellparts.drawing.band_sketch import band_sketch
from shellparts.inflate.form import inflated_form, largest_pull, sized_as_inflated, wrinkled_share
from shellparts.loads.band_picture import band_picture
from shellparts.loads.measured import room_figures
from shellparts.loads.remedies import ways_to_yes
from shellparts.loads.results import Verdict
from shellparts.loads.room_figures import RoomFigures
from shellparts.loads.verdict import assess
from shellparts.parameters import Design
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.fan import Fan
from shellparts.parameters.site import Site
from shellparts.parameters.sizes import Sizes, unknown_air
from shellparts.report.advice import advice_page
from shellparts.report.advice_day import Subject
from shellparts.report.records import verdict_record, ways_record
from shellparts.report.warnings import design_warnings, form_warnings

__all__ = ["Numbers", "judged", "numbers", "sized_under_air"]


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
            "remedies": ways_record(self.air.ways),
            "inflated": {"sizes": self.sizes.value, **form.record()},
        }

    def advice(self) -> str:
        """A page to read."""
        if self.air is None:
            return (
                f"{self.design.name}: nothing can be said of air without a fan and a doorway. "
                "Give them: build(design, fan=fan_from_label(…))."
            )
        band = self.air.band
        return advice_page(self.air, band_sketch(band) if band is not None else ())


def judged(design: Design, figures: RoomFigures, fan: Fan, cloth: Cloth, site: Site) -> Verdict:
    """Whether a room stands up, stays down and stays breathable."""
    pull, wrinkled = (partial(told, design, cloth) for told in (largest_pull, wrinkled_share))
    return assess(figures, fan, cloth, site, pull, wrinkled)


def numbers(
    design: Design, fan: Fan | None, cloth: Cloth, site: Site, sizes: Sizes = Sizes.AS_SEWN
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

    Returns
    -------
    Numbers

    Raises
    ------
    ParameterError
        If the vent is to be opened farther than it is long.
    """
    if fan is None or not design.ways_out:
        return Numbers(design, sizes, None)
    figures = room_figures(design, cloth)
    verdict = judged(design, figures, fan, cloth, site)
    longest = sum(way.longest_vent for way in design.ways_out)
    ways = ways_to_yes(verdict, longest)
    form = inflated_form(design, cloth, verdict.air.used.pressure_Pa.likely)
    band = band_picture(verdict, ways) if figures.vent_longest_mm else None
    return Numbers(design, sizes, Subject(design.name, design.title, verdict, ways, form, band))


def sized_under_air(design: Design, fan: Fan | None, cloth: Cloth, site: Site) -> Design:
    """The design to sew, so that the room under air has the sizes asked for; that takes a fan and a doorway."""
    if fan is None or not design.ways_out:
        raise unknown_air("sizes under air")

    def pressure_of(sewn: Design) -> float:
        return judged(sewn, room_figures(sewn, cloth), fan, cloth, site).air.used.pressure_Pa.likely

    return sized_as_inflated(design, cloth, pressure_of)[0]

"""The whole sewn room under air: blown up from its flat pieces, and written as solids and pictures."""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from attrs import frozen

from shellparts.base.errors import GeometryError
from shellparts.base.progress import Progress
from shellparts.inflate.flat_room import FlatRoom, flat_room
from shellparts.inflate.form import InflatedForm, membrane
from shellparts.inflate.levels import triangle_size
from shellparts.inflate.standing import StandingCurve
from shellparts.inflate.standing_search import SagLimits, standing_curve
from shellparts.inflate.walkway import ways_of
from shellparts.inflate.whole_room import InflatedRoom, whole_room
from shellparts.loads.measured import room_figures
from shellparts.loads.room_draws import formula_hold_up
from shellparts.parameters import Design
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.measures import measures_of
from shellparts.report.warnings import Warning
from shellparts.unroll.outline import Outline

if TYPE_CHECKING:
    from shellparts.body.body import Body
    from shellparts.writers.step_inflated import InflatedSolids

__all__ = [
    "UnderAir",
    "blown_up",
    "flat_pieces",
    "flat_warning",
    "form_record",
    "let_down",
    "no_form_warning",
]

#: About so many triangles: for every run, where sizes are within a few millimetres of those of many more; and where
#: forces and folds are looked at.
_TRIANGLES, _FINE_TRIANGLES = 3_000, 10_000
#: What the summary says of heights at each pressure, whatever else is told of the form.
_CURVE_KEYS = ("standing_curve", "standing_curve_ends")
#: Points along a curved edge of the body.
_CURVE_POINTS = 129


@frozen(eq=False)
class UnderAir:
    """The whole room under air, as it is written.

    Parameters
    ----------
    found : InflatedRoom
    solids : InflatedSolids or None
        None if it does not stand, or if the kernel finds a fault in them even in flat triangles.
    fine : bool
        Whether forces and folds are shown too.
    fault : str
        What the kernel finds; nothing where there are solids, or where it does not stand.
    """

    found: InflatedRoom
    solids: "InflatedSolids | None"
    fine: bool
    fault: str = ""

    @classmethod
    def made(
        cls, found: InflatedRoom, solids: "Callable[[], InflatedSolids | None]", fine: bool
    ) -> "UnderAir":
        """The room with its solids, or with what is wrong with them."""
        try:
            return cls(found, solids(), fine)
        except GeometryError as error:
            return cls(found, None, fine, str(error))


def flat_pieces(body: "Body", outlines: Mapping[str, Outline]) -> FlatRoom:
    """Flat sheets of a room, with the courses of their edges on the body; plain data, no kernel from here on."""
    courses = {link.key: link.sampled(2 if link.straight else _CURVE_POINTS) for link in body.links}
    return flat_room(outlines, body.seams, courses)


def let_down(
    design: Design,
    body: "Body",
    outlines: Mapping[str, Outline],
    cloth: Cloth,
    limits: SagLimits | None = None,
    progress: Progress | None = None,
) -> StandingCurve:
    """Heights of roof and ways out at each pressure, from the form of the whole room.

    Parameters
    ----------
    design : Design
        It has a way out.
    body : Body
        Of the design.
    outlines : mapping of str to Outline
        Outlines of its sheets.
    cloth : Cloth
        Its likely mass counts, with laps and hems spread over all of it; patches are left out.
    limits : SagLimits, optional
        How far to let it down.
    progress : Progress, optional
        Told how far it is.

    Returns
    -------
    StandingCurve

    Raises
    ------
    ParameterError
        If the design has no way out.
    """
    figures, mass = room_figures(design, cloth), cloth.mass_kg_m2.likely
    laps = figures.cloth_mass_kg / (mass * measures_of(design).cloth_area_mm2 / 1e6)
    about = formula_hold_up(figures, cloth)
    told = None if progress is None else progress.part
    flat = flat_pieces(body, outlines)
    return standing_curve(flat, membrane(cloth), ways_of(design), about, laps, limits, told)


def blown_up(
    body: "Body",
    outlines: Mapping[str, Outline],
    cloth: Cloth,
    pressure_Pa: float,
    fine: bool,
    told: Callable[[float], None] | None = None,
) -> InflatedRoom:
    """Sew the flat pieces of a room together in the computer and let the air in.

    Parameters
    ----------
    body : Body
    outlines : mapping of str to Outline
        Of each of its sheets.
    cloth : Cloth
    pressure_Pa : float
        Pressure inside over outside [Pa].
    fine : bool
        Whether forces and folds are to be looked at.
    told : callable, optional
        Told the share of the work that is done.

    Returns
    -------
    InflatedRoom
    """
    flat = flat_pieces(body, outlines)
    size = triangle_size(flat, _FINE_TRIANGLES if fine else _TRIANGLES)
    return whole_room(flat, membrane(cloth), pressure_Pa, size, progress=told)


def form_record(known: Mapping[str, Any], form: InflatedForm, under_air: UnderAir) -> dict[str, Any]:
    """What the summary says of the form under air, once the whole room is known.

    Parameters
    ----------
    known : mapping
        What it said from half a panel; kept under ``half_panel`` where the whole room stands.
    form : InflatedForm
        That half panel, and sizes as sewn.
    under_air : UnderAir

    Returns
    -------
    dict
    """
    found, solids = under_air.found, under_air.solids
    figures = found.figures
    if figures is None or solids is None:
        return {**known, "whole_room": found.summary()}
    return {
        "sizes": known["sizes"],
        "from": "whole room",
        "outcome": known["outcome"],
        "pressure_Pa": form.pressure_Pa,
        **found.summary(),
        "height_change_mm": figures.height_mm - form.sewn_height_mm,
        "widest_change_mm": figures.widest_diameter_mm - form.sewn_widest_mm,
        "smooth": solids.record(),
        **{key: known[key] for key in _CURVE_KEYS if key in known},
        "half_panel": {
            key: value for key, value in known.items() if key not in ("sizes", "from", *_CURVE_KEYS)
        },
    }


def no_form_warning(under_air: UnderAir, pressure_Pa: float) -> Warning:
    """What to say where half a panel stands and the whole room does not, or not as solids."""
    found, fault = under_air.found, under_air.fault
    if fault:
        remedy = "try finer triangles (--inflated) or another pressure"
        return Warning("no-whole-form", f"the room under air is not given as solids: {fault}", remedy)
    return Warning(
        "no-whole-form",
        f"at {pressure_Pa:.1f} Pa the room with its doorway and sleeve is not shown under air: {found.state.value}",
        "raise the pressure (a stronger fan, less of the vent open), or make the room or its doorway lower",
    )


def flat_warning(solids: "InflatedSolids") -> list[Warning]:
    """What to say where the solids under air could not be made smooth; nothing where they are."""
    if solids.smooth is not None:
        return []
    return [
        Warning(
            "flat-triangles",
            f"the solids under air are of flat triangles, not of smooth surfaces: {solids.fault}",
            "take them for looks and clearances; for smooth ones try finer triangles (--inflated) or another pressure",
        )
    ]

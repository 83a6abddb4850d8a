"""The whole sewn room under air: blown up from its flat pieces, and written as solids and pictures."""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shellparts.base.progress import Progress
from shellparts.build.made import Made
from shellparts.inflate.flat_room import FlatRoom, flat_room
from shellparts.inflate.form import membrane
from shellparts.inflate.levels import triangle_size
from shellparts.inflate.standing import StandingCurve
from shellparts.inflate.standing_search import SagLimits, standing_curve
from shellparts.inflate.walkway import ways_of
from shellparts.inflate.whole_room import whole_room
from shellparts.loads.measured import room_figures
from shellparts.loads.room_draws import formula_hold_up
from shellparts.parameters import Design
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.measures import measures_of
from shellparts.report.subject import Subject
from shellparts.unroll.outline import Outline

if TYPE_CHECKING:
    from shellparts.body.body import Body

__all__ = ["flat_pieces", "let_down", "write_inflated"]

#: About so many triangles: seconds of work, and the drift of the figures small beside what one can sew.
_TRIANGLES = 10_000
#: Points along a curved edge of the body.
_CURVE_POINTS = 129


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


def write_inflated(made: Made, air: Subject, folder: Path, progress: Progress) -> dict[str, Any]:
    """Sew the flat pieces together in the computer, let the air in, and write solids and pictures of that form.

    Parameters
    ----------
    made : Made
    air : Subject
        Its cloth and its pressure.
    folder : Path
        With its folders ``solids`` and ``pictures``.
    progress : Progress
        Told of each step.

    Returns
    -------
    dict
        What the summary says of it.
    """
    from trimesh import Trimesh

    from shellparts.inflate.closing import closed_form
    from shellparts.writers.mesh_files import write_scale_model
    from shellparts.writers.picture import NoPictureError
    from shellparts.writers.picture_inflated import write_inflated_pictures
    from shellparts.writers.step_inflated import inflated_step_bytes, lying_sheets

    progress.step("letting the air in")
    flat = flat_pieces(made.body, made.outlines)
    size = triangle_size(flat, _TRIANGLES)
    found = whole_room(
        flat, membrane(air.verdict.drawn.cloth), air.form.pressure_Pa, size, progress=progress.part
    )
    record = found.summary()
    if not found.stands:
        return record
    form = closed_form(found)
    kinds = {name: made.body.seams.kinds[name] for name in found.sheets}
    name, scale = f"{made.design.name}_inflated", made.design.model_scale
    progress.step("inflated solids")
    rough = found.on_fewer_facets()  # a file that CAD can open
    lying = lying_sheets(made.body, found.sheets)
    step = inflated_step_bytes(closed_form(rough), rough.sheet_of, kinds, name, lying)
    (folder / "solids" / f"{name}.step").write_bytes(step)
    model = Trimesh(form.nodes / scale, form.triangles, process=False)
    write_scale_model(model, name, scale, folder / "solids")
    progress.step("inflated pictures")
    try:
        write_inflated_pictures(found, kinds, folder / "pictures")
    except NoPictureError as error:
        record["pictures"] = f"left out: {error}"
    return record

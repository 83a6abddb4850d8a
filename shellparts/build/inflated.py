"""The whole sewn room under air: blown up from its flat pieces, and written as solids and pictures."""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shellparts.base.progress import Progress
from shellparts.build.made import Made
from shellparts.inflate.flat_room import FlatRoom, flat_room
from shellparts.inflate.form import membrane
from shellparts.inflate.levels import triangle_size
from shellparts.inflate.whole_room import InflatedRoom, whole_room
from shellparts.report.advice_day import Subject
from shellparts.unroll.outline import Outline

if TYPE_CHECKING:
    from shellparts.body.body import Body

__all__ = ["flat_pieces", "write_inflated"]

#: About so many triangles: seconds of work, and the drift of the figures small beside what one can sew.
_TRIANGLES = 10_000
#: Points along a curved edge of the body.
_CURVE_POINTS = 129


def flat_pieces(body: "Body", outlines: Mapping[str, Outline]) -> FlatRoom:
    """Flat sheets of a room, with the courses of their edges on the body; plain data, no kernel from here on."""
    courses = {link.key: link.sampled(2 if link.straight else _CURVE_POINTS) for link in body.links}
    return flat_room(outlines, body.seams, courses)


def write_inflated(
    made: Made, air: Subject, folder: Path, progress: Progress
) -> tuple[dict[str, Any], FlatRoom, InflatedRoom]:
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
    (dict, FlatRoom, InflatedRoom)
        What the summary says of it, its flat pieces, and the form.
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
    found = whole_room(flat, membrane(air.verdict.cloth), air.form.pressure_Pa, size, progress=progress.part)
    record = found.summary()
    if not found.stands:
        return record, flat, found
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
    return record, flat, found

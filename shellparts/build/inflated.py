"""The whole sewn room under air: blown up from its flat pieces, and written as solids and pictures."""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shellparts.base.progress import Progress
from shellparts.build.made import Made
from shellparts.build.model import write_under_air
from shellparts.inflate.flat_room import FlatRoom, flat_room
from shellparts.inflate.form import membrane
from shellparts.inflate.levels import triangle_size
from shellparts.inflate.whole_room import whole_room
from shellparts.report.advice_day import Subject
from shellparts.report.warnings import Warning
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
) -> tuple[dict[str, Any], list[Warning]]:
    """Sew the flat pieces together in the computer, let the air in, and write solids and pictures of that form.

    Parameters
    ----------
    made : Made
    air : Subject
        Its cloth and its pressure.
    folder : Path
        With its folders ``solids``, ``model`` and ``pictures``.
    progress : Progress
        Told of each step.

    Returns
    -------
    record : dict
        What the summary says of it.
    warnings : list of Warning
        What to know of it.
    """
    from shellparts.inflate.closing import closed_form
    from shellparts.writers.picture import NoPictureError
    from shellparts.writers.picture_inflated import write_inflated_pictures
    from shellparts.writers.step_inflated import inflated_step_bytes, lying_sheets

    progress.step("letting the air in")
    flat = flat_pieces(made.body, made.outlines)
    size = triangle_size(flat, _TRIANGLES)
    found = whole_room(flat, membrane(air.verdict.cloth), air.form.pressure_Pa, size, progress=progress.part)
    record = found.summary()
    if not found.stands:
        return record, []
    kinds = {name: made.body.seams.kinds[name] for name in found.sheets}
    name = f"{made.design.name}_inflated"
    progress.step("inflated solids")
    rough = found.on_fewer_facets()  # a file that CAD can open
    lying = lying_sheets(made.body, found.sheets)
    step = inflated_step_bytes(closed_form(rough), rough.sheet_of, kinds, name, lying)
    (folder / "solids" / f"{name}.step").write_bytes(step)
    record["model"], warnings = write_under_air(made, found, folder / "model")
    progress.step("inflated pictures")
    try:
        write_inflated_pictures(found, kinds, folder / "pictures")
    except NoPictureError as error:
        record["pictures"] = f"left out: {error}"
    return record, warnings

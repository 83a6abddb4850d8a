"""The whole sewn room under air: blown up from its flat pieces, and written as solids and pictures."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shellparts.base.progress import Progress
from shellparts.inflate.form import membrane

if TYPE_CHECKING:
    from shellparts.inflate.flat_room import FlatRoom
    from shellparts.inflate.whole_room import InflatedRoom
    from shellparts.build.room import Room

__all__ = ["flat_pieces", "inflate_room", "write_inflated"]

#: About so many triangles: seconds of work, and the drift of the figures small beside what one can sew.
_TRIANGLES = 10_000
#: Points along a curved edge of the body.
_CURVE_POINTS = 129


def flat_pieces(room: "Room") -> "FlatRoom":
    """Flat sheets of a room, with the courses of their edges on the body.

    Parameters
    ----------
    room : Room

    Returns
    -------
    FlatRoom
        Plain data; no kernel from here on.
    """
    from shellparts.inflate.flat_room import flat_room

    courses = {link.key: link.sampled(2 if link.straight else _CURVE_POINTS) for link in room.body.links}
    return flat_room(room.outlines, room.body.seams, courses)


def inflate_room(
    room: "Room", size_mm: float | None = None, progress: Callable[[float], None] | None = None
) -> "InflatedRoom":
    """Sew the flat pieces of a room together in the computer and let the air in.

    Parameters
    ----------
    room : Room
        With a fan and a doorway, so that its pressure is known.
    size_mm : float, optional
        Side of a triangle [mm]; if not given, one that makes about 10,000.
    progress : callable, optional
        Told the share of the work that is done, from 0 to 1, again and again.

    Returns
    -------
    InflatedRoom
    """
    from shellparts.inflate.levels import triangle_size
    from shellparts.inflate.whole_room import whole_room

    assert room.inflated is not None  # its pressure is known
    flat = flat_pieces(room)
    size = triangle_size(flat, _TRIANGLES) if size_mm is None else size_mm
    return whole_room(flat, membrane(room.cloth), room.inflated.pressure_Pa, size, progress=progress)


def write_inflated(room: "Room", folder: Path, progress: Progress) -> dict[str, Any]:
    """Write the inflated room into the folders of a run.

    Parameters
    ----------
    room : Room
        With a fan and a doorway.
    folder : Path
        With its folders ``solids`` and ``pictures``.
    progress : Progress
        Told of each step.

    Returns
    -------
    dict
        What the summary says of it.
    """
    from shellparts.inflate.closing import closed_form
    from shellparts.writers.mesh import Mesh
    from shellparts.writers.picture import NoPictureError
    from shellparts.writers.picture_inflated import write_inflated_pictures
    from shellparts.writers.step_inflated import inflated_step_bytes, lying_sheets
    from shellparts.writers.stl import stl_bytes
    from shellparts.writers.threemf import threemf_bytes

    progress.step("letting the air in")
    found = inflate_room(room, progress=progress.part)
    record = found.summary()
    if not found.stands:
        return record
    form = closed_form(found)
    kinds = {name: room.body.seams.kinds[name] for name in found.sheets}
    name, scale = f"{room.design.name}_inflated", room.design.model_scale
    progress.step("inflated solids")
    rough = found.on_fewer_facets()  # a file that CAD can open
    lying = lying_sheets(room.body, found.sheets)
    step = inflated_step_bytes(closed_form(rough), rough.sheet_of, kinds, name, lying)
    (folder / "solids" / f"{name}.step").write_bytes(step)
    model = Mesh(form.nodes / scale, form.triangles)
    (folder / "solids" / f"{name}_1-{scale}.stl").write_bytes(stl_bytes(model, name))
    (folder / "solids" / f"{name}_1-{scale}.3mf").write_bytes(threemf_bytes(model, name))
    progress.step("inflated pictures")
    try:
        write_inflated_pictures(found, kinds, folder / "pictures")
    except NoPictureError as error:
        record["pictures"] = f"left out: {error}"
    return record

"""The whole sewn room under air: blown up from its flat pieces, and written as solids and pictures."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

from shellparts.inflated_form import membrane
from shellparts.progress import Progress

if TYPE_CHECKING:
    from shellparts.inflate.flat_room import FlatRoom
    from shellparts.inflate.whole_room import InflatedRoom
    from shellparts.room import Room

__all__ = ["flat_pieces", "inflate_room", "write_inflated"]

#: Side of a triangle [mm].
_SIZE_MM = 250.0
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


def inflate_room(room: "Room", size_mm: float = _SIZE_MM) -> "InflatedRoom":
    """Sew the flat pieces of a room together in the computer and let the air in.

    Parameters
    ----------
    room : Room
        With a fan and a doorway, so that its pressure is known.
    size_mm : float
        Side of a triangle [mm].

    Returns
    -------
    InflatedRoom
    """
    from shellparts.inflate.whole_room import whole_room

    assert room.inflated is not None  # its pressure is known
    return whole_room(flat_pieces(room), membrane(room.cloth), room.inflated.pressure_Pa, size_mm)


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
    from shellparts.writers.step_inflated import write_inflated_step
    from shellparts.writers.stl import stl_bytes
    from shellparts.writers.threemf import threemf_bytes

    progress.step("letting the air in")
    found = inflate_room(room)
    record = found.summary()
    if not found.stands:
        return record
    form = closed_form(found)
    kinds = {name: room.body.seams.kinds[name] for name in found.sheets}
    name, scale = f"{room.design.name}_inflated", room.design.model_scale
    progress.step("inflated solids")
    write_inflated_step(form, found.sheet_of, kinds, name, folder / "solids" / f"{name}.step")
    model = Mesh(form.nodes / scale, form.triangles)
    (folder / "solids" / f"{name}_1-{scale}.stl").write_bytes(stl_bytes(model, name))
    (folder / "solids" / f"{name}_1-{scale}.3mf").write_bytes(threemf_bytes(model, name))
    progress.step("inflated pictures")
    try:
        write_inflated_pictures(found, kinds, folder / "pictures")
    except NoPictureError as error:
        record["pictures"] = f"left out: {error}"
    return record

"""What shows a room to people who neither sew nor calculate: its drawing in a hall, and a page to turn it on."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from shellparts.build.inflated import flat_pieces
from shellparts.build.made import Made
from shellparts.drawing.hall import RoomInHall
from shellparts.drawing.room_view import room_view
from shellparts.inflate.flat_room import FlatRoom
from shellparts.inflate.levels import triangle_size
from shellparts.inflate.weld import weld
from shellparts.inflate.whole_room import InflatedRoom
from shellparts.parameters import Design
from shellparts.report.subject import Subject
from shellparts.writers.arrangement_files import write_arrangement
from shellparts.writers.room_page import room_page, told_length

if TYPE_CHECKING:
    from shellparts.body.body import Body

__all__ = ["in_hall", "write_room_page", "write_shown"]

#: Triangles of a page whose form under air was not worked out: curves look round, and it opens at once.
_TRIANGLES = 3000
#: Points along a curved edge of the body.
_CURVE_POINTS = 65


def _edges_of(body: "Body") -> dict[str, list[int]]:
    """Keys of the edges of each sheet."""
    return {sheet.name: [key for face in sheet.faces for key in face.keys] for sheet in body.sheets}


def in_hall(
    design: Design, body: "Body", air: Subject | None, found: InflatedRoom | None = None
) -> RoomInHall:
    """The room as it stands in its hall, sized under air by its whole form where that is found; plain data, no kernel
    from here on."""
    courses = {link.key: link.sampled(2 if link.straight else _CURVE_POINTS) for link in body.links}
    if air is None:
        return RoomInHall(design, courses, _edges_of(body))
    plan, panel = air.bags, air.form.panel
    bags = plan.base.count, plan.base.each_kg
    form = (panel.height_mm, panel.widest_diameter_mm) if air.form.stands else None
    if found is not None and found.figures is not None:
        form = found.figures.height_mm, found.figures.widest_diameter_mm
    return RoomInHall(design, courses, _edges_of(body), bags, plan.tunnel_count, form)


def _facts(made: Made, air: Subject | None, found: InflatedRoom | None) -> Iterator[tuple[str, str]]:
    """Sizes that stand beside the page's picture."""
    design, figures = made.design, made.body.figures

    def show(length_mm: float) -> str:
        return told_length(length_mm, design.marking)

    yield "height as sewn", show(figures.height_mm)
    if found is not None and found.figures is not None:
        yield "height under air", show(found.figures.height_mm)
    elif air is not None and air.form.stands:
        yield "height under air, about", show(air.form.panel.height_mm)
    yield "across the corners on the floor", show(figures.base_diameter_mm)
    yield "floor", design.marking.told(f"{figures.floor_area_m2:.1f} m²")
    for way, tube in zip(design.openings, design.tubes, strict=True):
        if way.way_out is not None:
            clear = f"{show(way.way_out.width)} wide, {show(way.way_out.height)} high, clear"
            yield f"way out, {tube.name.replace('_', ' ')}", clear
    yield "pieces of cloth", str(len(made.outlines))


def write_room_page(
    made: Made,
    air: Subject | None,
    folder: Path,
    flat: FlatRoom | None = None,
    found: InflatedRoom | None = None,
) -> None:
    """Write ``room.html`` into a folder that exists.

    Parameters
    ----------
    made : Made
    air : Subject or None
        What is known of its air.
    folder : Path
    flat : FlatRoom, optional
        Its flat pieces, where they are at hand.
    found : InflatedRoom, optional
        Its form under air, made of those pieces; one that does not stand is left out, and the page says so.
    """
    pieces = flat_pieces(made.body, made.outlines) if flat is None else flat
    size = triangle_size(pieces, _TRIANGLES)
    if found is not None and found.stands:
        view = room_view(pieces, found.welded, found.nodes, size)
    else:
        found = None
        view = room_view(pieces, weld(pieces, size), None, size)
    name = made.design.name.replace("_", " ")
    title = f"{name}: {made.design.title}" if made.design.title else name
    page = room_page(view, title, list(_facts(made, air, found)), made.design.marking)
    (folder / "room.html").write_bytes(page)


def write_shown(made: Made, air: Subject | None, folder: Path, found: InflatedRoom | None = None) -> None:
    """Write the drawing in the hall and the page, under air too where that is found, into a folder that exists."""
    write_arrangement(in_hall(made.design, made.body, air, found), folder)
    write_room_page(made, air, folder, None, found)

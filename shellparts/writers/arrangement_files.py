"""The files that show a room in its hall: pages as PDF, and the same true to size as DXF."""

from pathlib import Path

from shellparts.drawing.arrangement_page import arrangement_pages
from shellparts.drawing.hall import RoomInHall
from shellparts.drawing.styles import ARRANGEMENT_LAYERS
from shellparts.writers.dxf import write_dxf
from shellparts.writers.pdf import write_pdf

__all__ = ["write_arrangement"]


def write_arrangement(hall: RoomInHall, folder: Path) -> None:
    """Write ``arrangement.pdf`` and ``arrangement.dxf`` into a folder that exists."""
    found = arrangement_pages(hall)
    write_pdf(found.pages, f"{hall.design.name}: in its hall", folder / "arrangement.pdf")
    write_dxf(found.drawing, folder / "arrangement.dxf", ARRANGEMENT_LAYERS, found.dimensions)

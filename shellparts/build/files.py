"""Every file of a room, in its place under one folder."""

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import TYPE_CHECKING

from shellparts.base.progress import Progress
from shellparts.build.inflated import write_inflated
from shellparts.writers.band_chart import write_band_chart
from shellparts.writers.dxf import write_dxf
from shellparts.writers.pages import write_boards, write_full_size, write_layouts, write_paper_model
from shellparts.drawing.overview import draw_overview
from shellparts.drawing.paper import sheet_of
from shellparts.drawing.paper_model import fitting_scale
from shellparts.drawing.piece import draw_piece, draw_sheet_of_pieces
from shellparts.report.pattern_record import write_summary
from shellparts.writers.svg import write_svg
from shellparts.writers.tables import (
    write_boards_table,
    write_check_lengths,
    write_materials,
    write_patches,
    write_pieces,
    write_seams,
    write_sewing_order,
    write_stations,
)

if TYPE_CHECKING:
    from shellparts.build.room import Room

__all__ = ["write_room"]


def write_room(room: "Room", folder: Path, progress: Progress) -> None:
    """Write every file of a room into an empty folder.

    Parameters
    ----------
    room : Room
    folder : Path
        It exists and is empty.
    progress : Progress
        Told of each step.
    """
    for part in ("solids", "flat", "layout", "tables", "pictures"):
        (folder / part).mkdir()
    with ThreadPoolExecutor(max_workers=1) as aside:
        _write_files(room, folder, progress, aside)


def _write_files(room: "Room", folder: Path, progress: Progress, aside: ThreadPoolExecutor) -> None:
    """Write everything; pictures are drawn aside, in a process of their own, while the rest goes on."""
    from shellparts.report.room_materials import layouts_of
    from shellparts.writers.glb import write_glb
    from shellparts.writers.picture import NoPictureError, draw
    from shellparts.writers.picture_scene import picture_scene
    from shellparts.writers.step import write_step
    from shellparts.writers.stl import write_stl
    from shellparts.writers.threemf import write_3mf

    design = room.design
    name, scale = design.name, design.model_scale
    progress.step("cutting parts to fit")
    body = room.body
    picture = aside.submit(draw, picture_scene(body), folder / "pictures" / "as_sewn.png")
    progress.step("laying pieces flat")
    pattern = room.pattern
    progress.step("solids")
    write_step(body, name, folder / "solids" / f"{name}.step")
    progress.step("scale model")
    write_stl(body, folder / "solids" / f"{name}_1-{scale}.stl", scale)
    write_3mf(body, name, folder / "solids" / f"{name}_1-{scale}.3mf", scale)
    write_glb(body, name, folder / "solids" / f"{name}.glb")
    progress.step("flat patterns")
    write_dxf(draw_sheet_of_pieces(pattern.pieces), folder / "flat" / f"{name}.dxf")
    if pattern.patches:
        write_dxf(draw_sheet_of_pieces(pattern.patches), folder / "flat" / f"{name}_patches.dxf")
    for piece in pattern.templates:
        write_svg(
            draw_piece(piece),
            f"{name}: {piece.name}, cut {piece.count}",
            folder / "flat" / f"{piece.name}.svg",
        )
    overview = f"{name}: all pieces, with their sizes"
    write_svg(draw_overview(pattern, design.marking), overview, folder / "flat" / f"{name}_all_pieces.svg")
    paper = sheet_of(design.printing, design.marking.tape)
    printed = write_full_size(pattern.templates, paper, name, folder / "flat" / f"{name}_full_size.pdf")
    paper_scale = max(scale, fitting_scale(pattern, paper))
    write_paper_model(pattern, name, paper_scale, paper, folder / "flat" / f"{name}_paper_model.pdf")
    progress.step("tables")
    write_pieces(pattern, folder / "tables" / "pieces.csv")
    write_patches(pattern, folder / "tables" / "patches.csv")
    write_seams(pattern, folder / "tables" / "seams.csv")
    write_stations(pattern, design.marking, folder / "tables" / "stations.csv")
    write_check_lengths(pattern, design.marking, folder / "tables" / "check_lengths.csv")
    write_sewing_order(room.order, folder / "tables" / "sewing_order.csv")
    progress.step("cloth on stock")
    write_layouts(layouts_of(room.layout_search.run(progress.part)), name, design.marking, folder / "layout")
    if room.boards is not None and room.boards.boards:
        (folder / "boards").mkdir()
        write_boards(room.boards, name, design.marking, folder / "boards")
        write_boards_table(room.boards, folder / "tables" / "boards.csv")
    write_materials(room.materials.lines, folder / "tables" / "materials.csv")
    progress.step("picture")
    record = room.summary()
    record["printing"] = {
        "paper": printed.paper,
        "pages": printed.pages,
        "pattern_pages": printed.pattern_pages,
        "least_pattern_pages": printed.least_pages,
    }
    if paper_scale != scale:
        record["warnings"].append(
            {
                "code": "paper-model-smaller",
                "message": f"the paper model is 1:{paper_scale}; at 1:{scale} its parts do not fit {paper.name}",
                "remedy": "choose larger paper, or a smaller scale for both models, if they are to match",
            }
        )
    try:
        picture.result()
    except NoPictureError as error:
        record["warnings"].append(
            {
                "code": "picture-left-out",
                "message": f"the picture of the room is left out: {error}",
                "remedy": "install the system's OpenGL library (Debian: libgl1 and libegl1) and run again",
            }
        )
    if room.blown_up:
        record["inflated_room"] = write_inflated(room, folder, progress)
    band = room.band()
    if band is not None:
        write_band_chart(band, f"{name}: the working band", folder / "pictures" / "working_band.svg")
    progress.step("summary")
    record["files"] = sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file())
    write_summary(record, folder / "summary.json")

"""Every file of a room, in its place under one folder."""

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

from shellparts.base.progress import Progress
from shellparts.build.inflated import UnderAir, flat_warning, form_record, no_form_warning
from shellparts.build.made import Made
from shellparts.build.model import write_as_sewn, write_under_air
from shellparts.build.numbers import Numbers
from shellparts.build.shown import write_shown
from shellparts.drawing.book import book_blocks
from shellparts.drawing.book_of import BookOf
from shellparts.drawing.noted_page import FRAME, NotedPage
from shellparts.drawing.overview import draw_overview
from shellparts.drawing.paper import book_paper, sheet_of
from shellparts.drawing.paper_model import fitting_scale
from shellparts.drawing.piece import draw_piece, draw_sheet_of_pieces
from shellparts.drawing.styles import SMALL_PENS
from shellparts.report.pattern_record import write_summary
from shellparts.report.room_materials import layouts_of
from shellparts.report.subject import Subject
from shellparts.report.warnings import Warning
from shellparts.writers.band_chart import write_band_chart
from shellparts.writers.book import write_book
from shellparts.writers.dxf import write_dxf
from shellparts.writers.pages import (
    write_boards,
    write_full_size,
    write_layouts,
    write_paper_model,
    write_places,
)
from shellparts.writers.sewing_tables import (
    write_fittings,
    write_notches,
    write_rows,
    write_seams,
    write_sewing_order,
    write_strips,
)
from shellparts.writers.standing_chart import write_standing_chart
from shellparts.writers.svg import write_svg
from shellparts.writers.tables import (
    write_boards_table,
    write_check_lengths,
    write_materials,
    write_patches,
    write_pieces,
    write_stations,
)

__all__ = ["AIR_STEPS", "FINE_STEPS", "STEPS", "write_files"]

#: The paper model is 1 to this, or smaller where it does not fit.
_PAPER_SCALE = 20
#: Steps that are told while a room is made and written; more of one with its form under air; more of a fine one.
STEPS, AIR_STEPS, FINE_STEPS = 11, 2, 2


def write_files(
    made: Made, known: Numbers, folder: Path, progress: Progress, under_air: UnderAir | None = None
) -> None:
    """Write every file of a room; pictures are drawn aside, in processes of their own, while the rest goes on.

    Parameters
    ----------
    made : Made
    known : Numbers
        Of the same room.
    folder : Path
        It exists and is empty.
    progress : Progress
        Told of each step.
    under_air : UnderAir, optional
        The whole room under air, if it is to be written too.
    """
    from shellparts.writers.picture import NoPictureError, draw
    from shellparts.writers.picture_inflated import inflated_scene, smooth_scene, write_force_pictures
    from shellparts.writers.picture_scene import picture_scene

    for part in ("solids", "model", "flat", "layout", "tables", "pictures"):
        (folder / part).mkdir()
    record, pictures = made.record(known), folder / "pictures"
    kinds = made.body.seams.kinds
    warnings: list[Warning] = []
    with ThreadPoolExecutor(max_workers=1) as aside:
        drawn = [aside.submit(draw, picture_scene(made.body), pictures / "as_sewn.png")]
        if under_air is not None and under_air.solids is not None:
            scene = smooth_scene(under_air.solids, kinds) or inflated_scene(under_air.found, kinds)
            drawn.append(aside.submit(draw, scene, pictures / "inflated.png"))
            if under_air.fine:
                progress.step("forces and folds")
                drawn.append(aside.submit(write_force_pictures, under_air.found, kinds, pictures))
        warnings += _write_solids(made, known, folder / "solids", progress, under_air, record)
        warnings += _write_models(made, folder / "model", progress, under_air, record)
        progress.step("flat patterns")
        record["printing"], told = _write_flat(made, folder / "flat")
        write_shown(made, known.air, folder, under_air.found if under_air is not None else None)
        progress.step("tables")
        _write_tables(made, folder / "tables")
        layouts = _write_on_stock(made, folder)
        progress.step("picture")
        warnings += told
        for picture in drawn:
            try:
                picture.result()
            except NoPictureError as error:
                warnings.append(_no_picture(error))
                break  # nor will the others be drawn
    if known.air is not None:
        if under_air is not None:
            record["inflated"] = form_record(record["inflated"], known.air.form, under_air)
            if under_air.solids is None:
                warnings.append(no_form_warning(under_air, known.air.form.pressure_Pa))
        band = known.band()
        if band is not None:
            title = f"{made.design.name}: the working band"
            write_band_chart(band, title, pictures / "working_band.svg", made.design.marking)
        _write_standing(made.design.name, known.air, pictures / "standing.svg")
    progress.step("book")
    _write_book(made, known, layouts, folder)
    record["warnings"] += [warning.record() for warning in warnings]
    progress.step("summary")
    record["files"] = sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file())
    write_summary(record, folder / "summary.json")


def _write_book(made: Made, known: Numbers, layouts: Sequence[NotedPage], folder: Path) -> None:
    """The build book, with the layouts and the pictures that were drawn."""
    design, figures = made.design, made.body.figures
    sizes = [
        ("across at the floor, over the seams", figures.base_diameter_mm),
        ("height of the top", figures.height_mm),
    ]
    for number, way in enumerate(design.ways_out, 1):
        which = "way out" if len(design.ways_out) == 1 else f"way out {number}"
        sizes += [(f"{which}, clear width", way.width), (f"{which}, clear height", way.height)]
        sizes += [(f"{which}, length of its tunnel", way.length)]
    shown = {"as_sewn.png": "the room as sewn", "inflated.png": "the room under air"}
    pictures = [(folder / "pictures" / file, words) for file, words in shown.items()]
    models = [f"flat/{design.name}_paper_model.pdf"]
    models += sorted(path.relative_to(folder).as_posix() for path in folder.glob("model/*.3mf"))
    book = BookOf(
        models=tuple(models),
        knots_mm=made.knots_mm,
        design=design,
        pattern=made.pattern,
        order=made.order,
        layouts=layouts_of(made.layout),
        lines=made.materials.lines,
        figures=tuple(sizes),
        air=known.air,
        pictures=tuple((path.read_bytes(), words) for path, words in pictures if path.is_file()),
        drawn=layouts,
    )
    title = design.name.replace("_", " ").title()
    paper = book_paper(design.printing, design.marking.tape)
    write_book(book_blocks(book), title, design.title, paper, folder / "book.pdf")


def _write_standing(name: str, air: Subject, path: Path) -> None:
    """How high it stands at each pressure, where a form was found."""
    if air.curve is not None and air.curve.found:
        after = air.plan.after.air
        title = f"{name}: how high it stands"
        write_standing_chart(
            air.curve, after.hold_up_Pa, after.setting.pressure_Pa.likely, title, path, air.marking
        )


def _no_picture(error: Exception) -> Warning:
    return Warning(
        "picture-left-out",
        f"the pictures of the room are left out: {error}",
        "install the system's OpenGL library (Debian: libgl1 and libegl1) and run again",
    )


def _write_solids(
    made: Made,
    known: Numbers,
    folder: Path,
    progress: Progress,
    under_air: UnderAir | None,
    record: dict[str, Any],
) -> list[Warning]:
    """Solids, the scale model and what explains them; what to know of them."""
    from shellparts.writers.mesh_files import write_glb
    from shellparts.writers.solids_note import solids_note
    from shellparts.writers.step_room import sheets_of, thick_bytes, write_step
    from shellparts.writers.step_thick import thickened

    body, name = made.body, made.design.name
    warnings, thick = [], None
    progress.step("solids")
    write_step(body, name, folder / f"{name}.step")
    if made.thickness_mm is not None:
        thick = thickened(sheets_of(body), made.thickness_mm)
        (folder / f"{name}_thick.step").write_bytes(thick_bytes(body, name, thick))
        record["solids"] = thick.record()
        if thick.without:
            warnings.append(_no_thickness(thick.without))
    solids = under_air.solids if under_air is not None else None
    if solids is not None:
        (folder / f"{name}_inflated.step").write_bytes(solids.step_bytes(body, f"{name}_inflated"))
        warnings += flat_warning(solids)
    pressure = known.air.form.pressure_Pa if known.air is not None else None
    note = solids_note(name, body, made.pattern, solids, pressure, thick, made.design.marking)
    (folder / "READ_ME.txt").write_text(note, encoding="ascii", newline="\n")
    write_glb(body, name, folder / f"{name}.glb")
    return warnings


def _write_models(
    made: Made, folder: Path, progress: Progress, under_air: UnderAir | None, record: dict[str, Any]
) -> list[Warning]:
    """The scale model as sewn, and under air where that form is on fine triangles; what to know of them."""
    progress.step("scale model")
    record["model"], warnings = write_as_sewn(made, folder)
    if under_air is not None and under_air.solids is not None and under_air.fine:
        progress.step("scale model under air")
        record["model_under_air"], told = write_under_air(made, under_air.found, folder)
        warnings += told
    return warnings


def _no_thickness(names: Sequence[str]) -> Warning:
    return Warning(
        "no-thickness",
        f"the kernel can give no thickness to {', '.join(names)}: surfaces in the file of thick sheets",
        "ask for a smaller thickness, or thicken these in another program",
    )


def _write_flat(made: Made, folder: Path) -> tuple[dict[str, Any], list[Warning]]:
    """Patterns and the paper model; what the summary says of printing, and what to know of it."""
    design, pattern = made.design, made.pattern
    name, scale = design.name, design.model_scale or _PAPER_SCALE
    write_dxf(draw_sheet_of_pieces(pattern.pieces), folder / f"{name}.dxf")
    if pattern.patches:
        write_dxf(draw_sheet_of_pieces(pattern.patches), folder / f"{name}_patches.dxf")
    for piece in pattern.templates:
        title = f"{name}: {piece.name}, cut {piece.count}"
        write_svg(draw_piece(piece), title, folder / f"{piece.name}.svg")
    overview = f"{name}: all pieces, with their sizes"
    page = draw_overview(pattern, design.marking, overview)
    write_svg(page, overview, folder / f"{name}_all_pieces.svg", FRAME, SMALL_PENS)
    paper = sheet_of(design.printing, design.marking.tape)
    full_size = folder / f"{name}_full_size.pdf"
    printed = write_full_size(pattern.templates, paper, name, full_size, design.marking.tape)
    paper_scale = max(scale, fitting_scale(pattern, paper))
    write_paper_model(pattern, name, paper_scale, paper, folder / f"{name}_paper_model.pdf")
    record = {
        "paper": printed.paper,
        "pages": printed.pages,
        "pattern_pages": printed.pattern_pages,
        "least_pattern_pages": printed.least_pages,
    }
    if paper_scale == scale:
        return record, []
    smaller = Warning(
        "paper-model-smaller",
        f"the paper model is 1:{paper_scale}; at 1:{scale} its parts do not fit {paper.name}",
        "choose larger paper, or a smaller scale for both models, if they are to match",
    )
    return record, [smaller]


def _write_tables(made: Made, folder: Path) -> None:
    pattern, marking = made.pattern, made.design.marking
    write_pieces(pattern, marking, folder / "pieces.csv")
    write_patches(pattern, marking, folder / "patches.csv")
    write_seams(pattern, marking, folder / "seams.csv")
    write_notches(pattern, marking, folder / "notches.csv")
    write_stations(pattern, marking, folder / "stations.csv")
    write_check_lengths(pattern, marking, folder / "check_lengths.csv")
    write_sewing_order(made.order, pattern, marking, folder / "sewing_order.csv")
    write_rows(made.order, pattern, marking, folder / "rows.csv")
    write_strips(pattern, marking, folder / "strips.csv")
    write_fittings(made.order, pattern, marking, made.knots_mm, folder / "fittings.csv")
    write_materials(made.materials.lines, folder / "materials.csv", marking)


def _write_on_stock(made: Made, folder: Path) -> list[NotedPage]:
    """Pieces on cloth, templates on boards; the pages of the cloth."""
    name, marking = made.design.name, made.design.marking
    pages = write_layouts(layouts_of(made.layout), name, marking, folder / "layout", made.pattern)
    write_places(made.design, made.pattern, folder / "layout")
    if made.boards is not None and made.boards.boards:
        (folder / "boards").mkdir()
        write_boards(made.boards, name, marking, folder / "boards")
        write_boards_table(made.boards, marking, folder / "tables" / "boards.csv")
    return pages

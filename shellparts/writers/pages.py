"""Files of pages: layouts and boards as SVG and DXF, patterns at full size and the paper model as PDF."""

from collections.abc import Sequence
from pathlib import Path

from shellparts.drawing.board import draw_board
from shellparts.drawing.board_pages import board_pages
from shellparts.drawing.full_size import PrintRun, full_size_pages, printed_pieces
from shellparts.drawing.laid import laid_pieces
from shellparts.drawing.layout import draw_layout
from shellparts.drawing.layout_pages import layout_pages
from shellparts.drawing.noted_page import FRAME, NotedPage, with_notes_apart
from shellparts.drawing.paper import PaperSheet
from shellparts.drawing.paper_model import ModelRun, paper_model_pages
from shellparts.drawing.piece import in_rows
from shellparts.drawing.places import places_page
from shellparts.drawing.styles import BOARD_LAYERS, SMALL_PENS
from shellparts.parameters import Design, Marking, Tape
from shellparts.parameters.stocks import Roll
from shellparts.pattern.made import Pattern
from shellparts.pattern.pieces import Piece
from shellparts.stock.layout import StockLayout
from shellparts.templates.on_stock import BoardPlan
from shellparts.writers.dxf import write_dxf
from shellparts.writers.pdf import write_pdf
from shellparts.writers.svg import write_svg

__all__ = ["write_boards", "write_full_size", "write_layouts", "write_paper_model", "write_places"]


def _write_pages(pages: Sequence[NotedPage], folder: Path) -> None:
    """Every page as SVG in millimetres of paper."""
    for page in pages:
        write_svg(page.on_paper, page.heading[0], folder / f"{page.file}.svg", FRAME, SMALL_PENS)


def write_layouts(
    layouts: tuple[StockLayout, ...],
    name: str,
    marking: Marking,
    folder: Path,
    pattern: Pattern | None = None,
) -> list[NotedPage]:
    """Every page of a job of cutting as SVG, every sheet or roll as DXF at true size, into a folder that exists.

    Without the pattern outlines alone are drawn. The pages are handed on to whoever binds them.
    """
    pages = layout_pages(layouts, name, marking, pattern)
    _write_pages(pages, folder)
    laid = [[] for _ in layouts] if pattern is None else laid_pieces(layouts, pattern)
    for number, (layout, pieces) in enumerate(zip(layouts, laid, strict=True), 1):
        file = "roll.dxf" if isinstance(layout.stock, Roll) else f"sheet_{number:02d}.dxf"
        write_dxf(draw_layout(layout, marking, laid=pieces).drawing, folder / file)
    return pages


def write_places(design: Design, pattern: Pattern, folder: Path) -> None:
    """The room from above, with the place of every piece, as ``places.svg`` in a folder that exists."""
    _write_pages(with_notes_apart(places_page(design, pattern)), folder)


def write_boards(plan: BoardPlan, name: str, marking: Marking, folder: Path) -> None:
    """A page for every board as SVG, and one DXF of all of them; nothing where there is no board."""
    _write_pages(board_pages(plan, name, marking), folder)
    if plan.boards:
        boards = in_rows([draw_board(board, marking).drawing for board in plan.boards], 8_000.0, 400.0)
        write_dxf(boards, folder / "boards.dxf", BOARD_LAYERS)


def write_full_size(
    pieces: Sequence[Piece], sheet: PaperSheet, heading: str, path: Path, tape: Tape = Tape.METRIC
) -> PrintRun:
    """Every piece at full size, in one PDF; see `printed_pieces` and `full_size_pages`."""
    pages, run = full_size_pages(printed_pieces(pieces, sheet, tape), sheet, heading)
    write_pdf(pages, f"{heading}: patterns at full size", path)
    return run


def write_paper_model(pattern: Pattern, name: str, scale: int, sheet: PaperSheet, path: Path) -> ModelRun:
    """The parts of a paper model, in one PDF; see `paper_model_pages`."""
    pages, run = paper_model_pages(pattern, name, scale, sheet)
    write_pdf(pages, f"{name}: paper model 1:{scale}", path)
    return run

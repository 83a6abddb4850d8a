"""Parts of templates, and their joining strips, laid on boards.

Glossary: as in `parts` and `stock.layout`; a *sawn shape* is a part or a strip. Board has no weave, but two
faces: the shapes are marked on one, so none is turned over. They lie straight, in quarter turns, so that
joints and fold edges run square to the edges of the board. Both ways of dividing templates are laid, and the one
that takes fewer boards is kept. Boards are filled in turn by the skyline engine and in rows of boxes; where neither
comes down to the number below which the areas do not fit, and there are few shapes, the search for cloth on
sheets tries to save one. This module draws nothing.
"""

from collections.abc import Sequence

import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray

from shellparts.base.classes import brief
from shellparts.base.counted import counted
from shellparts.base.tolerances import whole_up
from shellparts.base.units import metric
from shellparts.parameters.boards import Boards, Division
from shellparts.parameters.stocks import Sheet, Side, Turning, TurnRule, Weave
from shellparts.pattern.cut_pieces import CutPiece, laid
from shellparts.pattern.made import Pattern
from shellparts.stock.hand import box_rows
from shellparts.stock.layout import PlacedPiece, Placement, StockLayout, assemble
from shellparts.stock.packer import Effort
from shellparts.stock.results import Claim
from shellparts.stock.roll import LayoutError, skyline_items
from shellparts.stock.sheets import lay_on_sheets
from shellparts.stock.skyline import drop_fill
from shellparts.stock.verify import count_faults, faults
from shellparts.templates.boards import BoardTemplates, board_templates
from shellparts.templates.parts import BoardPart, BoardTemplate, JoiningStrip

__all__ = [
    "BOARD_EFFORT",
    "BoardPlan",
    "SawnBoard",
    "SawnShape",
    "board_of",
    "lay_on_boards",
]

Points = NDArray[np.float64]
#: How long to look for fewer boards: about a second.
BOARD_EFFORT = Effort(steps=150, pattern_tests=1, pattern_steps=80)
#: With more shapes than this a search would take longer than the saw.
_MOST_SEARCHED = 12
_STRAIGHT = Turning(TurnRule.STRAIGHT)


@frozen(eq=False)
class SawnShape:
    """A part or a strip, in its template's place and where it lies on its board; it is turned, then shifted [mm]."""

    template: BoardTemplate
    shape: BoardPart | JoiningStrip
    placed: PlacedPiece
    shift: tuple[float, float]

    def on_board(self, points: Points) -> Points:
        """Points of the template's place taken to the board, (n, 2) [mm]."""
        return laid(points, self.placed.turn_deg, shift=self.shift)


@frozen(eq=False)
class SawnBoard:
    """One board, numbered from 1: its checked layout, and its shapes in the order of sawing."""

    number: int
    layout: StockLayout = field(repr=False)
    shapes: tuple[SawnShape, ...]


@brief
@frozen(eq=False)
class BoardPlan:
    """All templates of a room on boards; the claim is whether fewer boards are impossible for these parts."""

    settings: Boards
    made: BoardTemplates
    division: Division
    boards: tuple[SawnBoard, ...]
    claim: Claim

    @property
    def templates(self) -> tuple[BoardTemplate, ...]:
        """The templates, the one that is drawn round most often first."""
        return self.made.templates

    @property
    def told(self) -> str:
        """How many boards, and what they give; not the claim, since parts might be divided otherwise."""
        parts = sum(len(one.parts) for one in self.templates)
        joints = sum(len(one.joints) for one in self.templates)
        size = f"{metric(self.settings.length)} x {metric(self.settings.width)}"
        return (
            f"{counted(len(self.templates), 'template')} in {counted(parts, 'part')} with {counted(joints, 'joint')}, "
            f"on {counted(len(self.boards), 'board')} of {size}"
        )


def board_of(boards: Boards) -> Sheet:
    """The board as stock that shapes are laid on; its longer side is its length."""
    long, wide = max(boards.length, boards.width), min(boards.length, boards.width)
    return Sheet(
        name="board", nominal_length_mm=long, nominal_width_mm=wide, finished_length_mm=long, finished_width_mm=wide,
        hem_mm=boards.margin, side=Side.RIGHT, weave=Weave.SQUARE,
    )  # fmt: skip


def _sawn(
    number: int, layout: StockLayout, homes: dict[str, tuple[BoardTemplate, BoardPart | JoiningStrip]]
) -> SawnBoard:
    """A board from its layout, every shape with its way from the template to the board."""
    shapes = []
    for placed in layout.pieces:
        template, shape = homes[placed.name]
        shift = placed.outline[0] - laid(shape.outline[:1], placed.turn_deg)[0]
        shapes.append(SawnShape(template, shape, placed, (float(shift[0]), float(shift[1]))))
    return SawnBoard(number, layout, tuple(shapes))


def _in_turn(pieces: Sequence[CutPiece], board: Sheet, gap_mm: float) -> list[list[Placement]]:
    """Fill one board after the other with the skyline engine, which takes as much area as it can each time."""
    strip, length = board.usable_width_mm + gap_mm, board.usable_length_mm + gap_mm
    left, filled = skyline_items(pieces, board, _STRAIGHT, [1] * len(pieces), gap_mm), []
    while left:
        placements = drop_fill(left, strip, length)
        if not placements:  # what is left only just fits: the rows of boxes lay it
            return []
        gone = {placement.piece for placement in placements}
        left = [item for item in left if item.profiles[0].placement.piece not in gone]
        filled.append(placements)
    return filled


def _fewest(
    pieces: Sequence[CutPiece], boards: Boards, effort: Effort
) -> tuple[tuple[StockLayout, ...], Claim, int]:
    """Layouts on the fewest boards found, what may be claimed of them, and how many boards the areas take."""
    board, gap = board_of(boards), boards.kerf
    room = (board.usable_length_mm + gap) * (board.usable_width_mm + gap)
    bound = whole_up(sum(piece.polygon.buffer(gap / 2.0).area for piece in pieces) / room)
    ways = [_in_turn(pieces, board, gap), box_rows(pieces, board, _STRAIGHT, gap) or []]
    tried = [tuple(assemble(board, pieces, placements) for placements in way) for way in ways if way]
    sound = [layouts for layouts in tried if not any(faults(layout, gap) for layout in layouts)]
    best = min(sound, key=len, default=())
    if not best or (len(best) > bound and len(pieces) <= _MOST_SEARCHED):
        result = lay_on_sheets(pieces, (board,), _STRAIGHT, gap, effort)
        if not best or len(result.layouts) < len(best):
            best = result.layouts
        bound = max(bound, result.area_bound)
    wrong = count_faults(best, {piece.name: 1 for piece in pieces})
    if wrong:
        raise LayoutError(f"templates on boards failed their checks: {wrong[0]}")
    return best, Claim.FEWEST if len(best) == bound else Claim.BEST_FOUND, bound


def lay_on_boards(pattern: Pattern, boards: Boards, effort: Effort = BOARD_EFFORT) -> BoardPlan:
    """Make the templates of a room and lay them on as few boards as are found.

    Returns
    -------
    BoardPlan
        Every part and strip once; without boards where nothing is drawn often enough.

    Raises
    ------
    ParameterError
        If the boards are too small for a piece.
    LayoutError
        If a layout fails its checks.
    """
    best: tuple[Division, BoardTemplates, tuple[StockLayout, ...], Claim] | None = None
    for division in Division:
        made = board_templates(pattern, boards, division)
        if not made.templates:
            return BoardPlan(boards, made, division, (), Claim.FEWEST)
        pieces = [CutPiece(shape.name, 1, shape.outline) for one in made.templates for shape in one.shapes]
        layouts, claim, bound = _fewest(pieces, boards, effort)
        if best is None or len(layouts) < len(best[2]):
            best = (division, made, layouts, claim)
        if len(layouts) == bound or not any(template.joints for template in made.templates):
            break
    assert best is not None
    division, made, layouts, claim = best
    homes = {shape.name: (template, shape) for template in made.templates for shape in template.shapes}
    sawn = tuple(_sawn(number, layout, homes) for number, layout in enumerate(layouts, 1))
    return BoardPlan(boards, made, division, sawn, claim)

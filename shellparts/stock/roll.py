"""Pieces laid on a roll, on the shortest length that can be found within an effort.

Glossary: the *hand rule* is the reference of `hand`; the *skyline engine* that of `skyline`; the *packer* that of
`packer`. All three are asked, every answer is verified, and the shortest valid one is kept, so that none can
make the result worse. This module does not draw and does not price.
"""

from collections.abc import Callable, Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from shellparts.base.checks import require
from shellparts.base.errors import ShellpartsError
from shellparts.parameters.stocks import Roll, Sheet, Side, Turning, TurnRule, Weave
from shellparts.pattern.cut_pieces import CutPiece, extent, fits, laid, nominal_turns, turns
from shellparts.stock.hand import hand_rule
from shellparts.stock.joins import unfitting
from shellparts.stock.layout import Ended, Placement, SearchProgress, StockLayout, assemble
from shellparts.stock.packer import QUICK, Effort, Item, Trial, pack_in_trials
from shellparts.stock.results import RollResult
from shellparts.stock.skyline import SkylineItem, band_width, drop_best, profile
from shellparts.stock.verify import faults

__all__ = [
    "LayoutError",
    "check_names",
    "easier_turning",
    "lay_on_roll",
    "packer_items",
    "packer_trials",
    "skyline_items",
]

Points = NDArray[np.float64]
#: Endings of a trial, the one that promises most first.
_PROMISES = (Ended.CONVERGED, Ended.STEPS, Ended.FALLBACK, Ended.CLOCK, Ended.STOPPED)
#: A few degrees [deg], for `easier_turning`.
_EASIER_DEG = 8.0


class LayoutError(ShellpartsError):
    """No engine gave a layout that passes its checks; nothing is shown."""


def check_names(pieces: Sequence[CutPiece], gap_mm: float) -> None:
    """Refuse pieces that share a name or mirror one that is not there, and gaps below zero."""
    names = [piece.name for piece in pieces]
    for name in sorted(names):
        once = names.count(name) == 1
        require(once, "piece name", repr(name), "given to one piece only", "raise the piece's count instead")
    for piece in pieces:
        original, what = piece.mirrored_of, f"mirrored_of of {piece.name!r}"
        there = original is None or original in names
        require(there, what, repr(original), "the name of another piece", "correct it")
    fits_scissors = 0.0 <= gap_mm < np.inf
    require(fits_scissors, "cutting gap", f"{gap_mm:g} mm", "0 mm or more", "10 mm suits scissors")


def easier_turning(pieces: Sequence[CutPiece], stock: Roll | Sheet, turning: Turning) -> Turning:
    """Turning to search first: within 8 degrees where any is allowed, much faster and nearly as good; where all fit."""
    few = Turning(TurnRule.FEW_DEGREES, _EASIER_DEG)
    if turning.rule is TurnRule.FREE and all(fits(piece, stock, few) for piece in pieces):
        return few
    return turning


def packer_items(
    pieces: Sequence[CutPiece],
    stock: Roll | Sheet,
    turning: Turning,
    counts: Sequence[int],
    flip: bool = False,
) -> list[Item]:
    """Pieces as the packer takes them; flipped, mirror images lie face down and have the shape of their originals."""
    free = turning.rule is TurnRule.FREE or stock.weave is Weave.NONE
    items = []
    for key, (piece, count) in enumerate(zip(pieces, counts, strict=True)):
        down = flip and piece.mirrored_of is not None
        shape = laid(piece.outline, 0.0, down)
        if count:
            items.append(Item(key, count, shape, None if free else turns(piece, stock, turning, down), down))
    return items


def packer_trials(
    pieces: Sequence[CutPiece],
    stock: Roll | Sheet,
    turning: Turning,
    counts: Sequence[int],
    seeds: Iterable[int],
) -> list[Trial]:
    """One trial a seed; every other one keeps the turning asked for, mirror images face down where they may be."""
    easier = easier_turning([p for p, count in zip(pieces, counts, strict=True) if count], stock, turning)
    may_flip = stock.side is Side.SAME
    return [
        Trial(
            packer_items(pieces, stock, turning if run % 2 else easier, counts, may_flip and run % 2 == 1),
            seed,
        )
        for run, seed in enumerate(seeds)
    ]


def _few_turns(piece: CutPiece, stock: Roll | Sheet, turning: Turning) -> Points:
    """A few turns for the skyline engine: straight, at the limits of the tolerance, and the roomiest."""
    every = turns(piece, stock, turning, step_deg=0.25)
    boxes = extent(piece.outline, every)
    free = turning.rule is TurnRule.FREE or stock.weave is Weave.NONE
    straight = nominal_turns(piece, stock)
    spread = turning.spread_deg
    room = np.array([np.inf, stock.usable_width_mm])
    if isinstance(stock, Sheet):
        room[0] = stock.usable_length_mm
    spare = (room - boxes).min(axis=1).round(6)
    roomiest = every[int(np.lexsort((every, -spare))[0])]
    if free:
        chosen = np.r_[straight, roomiest + np.arange(0.0, 360.0, 30.0)]
    else:
        chosen = np.r_[straight, straight - spread, straight + spread, roomiest]
    return np.unique(np.round(chosen % 360.0, 9))


def skyline_items(
    pieces: Sequence[CutPiece], stock: Roll | Sheet, turning: Turning, counts: Sequence[int], gap_mm: float
) -> list[SkylineItem]:
    """Pieces as the skyline engine takes them."""
    used = [key for key, count in enumerate(counts) if count]
    few = {key: _few_turns(pieces[key], stock, turning) for key in used}
    weighty = sorted(used, key=lambda key: -counts[key] * pieces[key].area_m2)
    widths = [float(extent(pieces[key].outline, few[key])[:, 1].min()) + gap_mm for key in weighty]
    band = band_width(stock.usable_width_mm + gap_mm, widths)
    found = []
    for key in used:
        outline = pieces[key].outline
        shapes = tuple(
            profile(outline, gap_mm, Placement(key, float(turn), 0.0, 0.0), band) for turn in few[key]
        )
        found.append(SkylineItem(shapes, counts[key], pieces[key].area_m2 * 1e6, band))
    return found


def lay_on_roll(
    pieces: Sequence[CutPiece],
    roll: Roll,
    turning: Turning | None = None,
    gap_mm: float = 10.0,
    effort: Effort = QUICK,
    progress: Callable[[SearchProgress], bool | None] | None = None,
    join_allowance_mm: float = 15.0,
) -> RollResult:
    """Lay pieces on a roll, on as short a length as the effort finds.

    Parameters
    ----------
    pieces : sequence of CutPiece
        The pieces; their names must differ.
    roll : Roll
        The cloth.
    turning : Turning or None
        How far off the weave they may be laid; within 6 degrees when None.
    gap_mm : float
        Gap between cutting lines [mm].
    effort : Effort
        How long to try: `QUICK` (seconds), `BETTER`, `BEST`.
    progress : callable or None
        Told how far the search is; returns False to stop it, and the best so far is kept.
    join_allowance_mm : float
        Seam allowance to reckon with where a piece that fits nothing is joined [mm].

    Returns
    -------
    RollResult
        A verified layout.

    Raises
    ------
    ParameterError
        If names repeat or the gap is below zero.
    LayoutError
        If no engine gives a valid layout of pieces that each fit.
    """
    check_names(pieces, gap_mm)
    turning = turning or Turning()
    lost = tuple(
        unfitting(piece, (roll,), turning, join_allowance_mm)
        for piece in pieces
        if not fits(piece, roll, turning)
    )
    unfit = {one.name for one in lost}
    good = [piece for piece in pieces if piece.name not in unfit]
    if not good:
        return RollResult(assemble(roll, [], []), lost, None, "none", Ended.CONVERGED, 0)
    counts = [piece.count for piece in good]
    by_hand = hand_rule(good, roll, turning, gap_mm)
    reference = assemble(roll, good, by_hand[1]) if by_hand else None
    tried: list[tuple[str, StockLayout]] = [("hand rule", reference)] if reference else []
    rows = drop_best(skyline_items(good, roll, turning, counts, gap_mm), roll.usable_width_mm + gap_mm)
    if rows is not None:
        tried.append(("rows", assemble(roll, good, rows[1])))
    best = min((layout.length_mm for _, layout in tried), default=np.inf)
    ended, steps, notes = Ended.CONVERGED, 0, []

    def keep_going(share: float, length: float) -> bool:
        if progress is None:
            return True
        return progress(SearchProgress(share, min(best, length), f"{len(effort.seeds)} trials")) is not False

    trials = packer_trials(good, roll, turning, counts, effort.seeds)
    for packed in pack_in_trials(trials, roll.usable_width_mm, gap_mm, effort, keep_going=keep_going):
        steps, ended = steps + packed.steps, max(ended, packed.ended, key=_PROMISES.index)
        if packed.fault:
            notes.append(f"the packer failed ({packed.fault}); the other engines' layouts stand")
        if packed.placements:
            tried.append(("packer", assemble(roll, good, packed.placements)))
    valid = []
    for engine, layout in tried:
        wrong = faults(layout, gap_mm)
        if wrong:
            notes.append(f"a layout of the {engine} failed its checks ({wrong[0]}) and was dropped")
        else:
            valid.append((engine, layout))
    if not valid:
        raise LayoutError("no layout passed its checks: " + "; ".join(notes))
    engine, layout = min(valid, key=lambda pair: round(pair[1].length_mm, 6))
    if roll.length_mm is not None and layout.length_mm > roll.length_mm:
        notes.append(f"{layout.length_mm:.0f} mm are needed and {roll.length_mm:.0f} mm are on hand")
    return RollResult(layout, lost, reference, engine, ended, steps, tuple(notes))

"""The search for cutting patterns on sheets: what is feasible, what is open, and what to try next.

Glossary: as in `cutting_patterns`; a *level* is the largest share of a sheet that open patterns may fill: low levels
hold the patterns that are easily laid, and are tried first, so that a search that is cut short has tried the
likeliest. This module does not say what the result is worth: see `sheets`.
"""

from collections.abc import Callable, Sequence

import numpy as np
from attrs import define, evolve, field

from shellparts.base.tolerances import TOLERANCES
from shellparts.parameters.stocks import Sheet, Turning
from shellparts.pattern.cut_pieces import CutPiece, extent, fits, laid, turns
from shellparts.stock.cutting_patterns import (
    Counts,
    CuttingPattern,
    CuttingPlan,
    children,
    choose,
    dominates,
    largest_patterns,
)
from shellparts.stock.hand import box_rows
from shellparts.stock.layout import Ended, Placement, SearchProgress, assemble
from shellparts.stock.packer import Effort, pack_in_trials
from shellparts.stock.roll import easier_turning, packer_trials, skyline_items
from shellparts.stock.skyline import drop_best, drop_fill
from shellparts.stock.verify import faults

__all__ = ["SheetSearch", "cost_of", "search"]

#: Shares of a sheet that patterns may fill, easiest first: a search that is cut short has tried the
#: likeliest.
_FILLS = (0.6, 0.7, 0.76, 0.82, 0.88, 0.94, 1.0)


@define(eq=False)
class SheetSearch:
    """What is known while the search runs: feasible patterns with their layouts, and open ones."""

    pieces: Sequence[CutPiece]
    sheets: Sequence[Sheet]
    turning: Turning
    gap_mm: float
    effort: Effort
    progress: Callable[[SearchProgress], bool | None] | None
    layouts: dict[CuttingPattern, tuple[Placement, ...]] = field(factory=dict, init=False)
    levels: dict[float, set[CuttingPattern]] = field(factory=dict, init=False)
    open: set[CuttingPattern] = field(factory=set, init=False)
    infeasible: set[CuttingPattern] = field(factory=set, init=False)
    complete: bool = field(default=True, init=False)
    ended: Ended = field(default=Ended.CONVERGED, init=False)
    tests: int = field(default=0, init=False)
    best: float = field(default=np.inf, init=False)
    notes: list[str] = field(factory=list, init=False)

    @property
    def demand(self) -> Counts:
        """How many of each piece are wanted."""
        return tuple(piece.count for piece in self.pieces)

    def keep_if_valid(self, pattern: CuttingPattern, placements: Sequence[Placement]) -> bool:
        """Keep a layout if it passes its checks."""
        layout = assemble(self.sheets[pattern.sheet], self.pieces, placements)
        if faults(layout, self.gap_mm):
            return False
        self.layouts.setdefault(pattern, tuple(placements))
        return True

    def is_covered(self, pattern: CuttingPattern) -> bool:
        """Whether a feasible pattern dominates this one: then its layout serves, with pieces left out."""
        for known, placements in self.layouts.items():
            if known.sheet == pattern.sheet and dominates(known.counts, pattern.counts):
                self.layouts[pattern] = _without(placements, pattern.counts)
                return True
        return False

    def start(self) -> None:
        """Open the largest patterns by area, and prove those of rows of boxes."""
        widened = [piece.polygon.buffer(self.gap_mm / 2.0).area for piece in self.pieces]
        for index, sheet in enumerate(self.sheets):
            fitting = [fits(piece, sheet, self.turning) for piece in self.pieces]
            most = tuple(count if fit else 0 for count, fit in zip(self.demand, fitting, strict=True))
            room = (sheet.usable_length_mm + self.gap_mm) * (sheet.usable_width_mm + self.gap_mm)
            for share in _FILLS:
                found, every = largest_patterns(widened, most, share * room)
                self.levels.setdefault(share, set()).update(CuttingPattern(index, counts) for counts in found)
                self.complete &= every
            boxable = [k for k, fit in enumerate(fitting) if fit]
            rows = box_rows([self.pieces[k] for k in boxable], sheet, self.turning, self.gap_mm)
            for placements in rows or ():
                named = [evolve(placement, piece=boxable[placement.piece]) for placement in placements]
                self.keep_if_valid(CuttingPattern(index, self.counted(named)), named)
            fit = [piece for piece, count in zip(self.pieces, most, strict=True) if count]
            for turning in dict.fromkeys((easier_turning(fit, sheet, self.turning), self.turning)):
                self.fill_in_turn(index, most, turning)
            for k in boxable:
                single = CuttingPattern(index, tuple(int(j == k) for j in range(len(self.pieces))))
                if not self.is_covered(single):
                    self.keep_if_valid(single, [_alone(self.pieces[k], sheet, self.turning, k)])

    def fill_in_turn(self, index: int, most: Counts, turning: Turning) -> None:
        """Fill sheets of one kind one after the other with the skyline engine."""
        sheet, left = self.sheets[index], most
        strip, length = sheet.usable_width_mm + self.gap_mm, sheet.usable_length_mm + self.gap_mm
        while any(left):
            rows = skyline_items(self.pieces, sheet, turning, left, self.gap_mm)
            placements = drop_fill(rows, strip, length)
            laid_out = self.counted(placements)
            if not placements or not self.keep_if_valid(CuttingPattern(index, laid_out), placements):
                return
            left = tuple(want - has for want, has in zip(left, laid_out, strict=True))

    def keep_best_window(self, index: int, placements: Sequence[Placement]) -> None:
        """Keep the best sheetful out of a strip that came out too long."""
        room = self.sheets[index].usable_length_mm
        boxes = [
            laid(self.pieces[s.piece].outline, s.turn_deg, s.face_down, (s.x, s.y))[:, 0] for s in placements
        ]
        starts = sorted({round(float(box.min()), 3) for box in boxes})
        best: tuple[float, float, list[Placement]] = (0.0, 0.0, [])
        for start in starts:
            inside = [
                s
                for s, box in zip(placements, boxes, strict=True)
                if box.min() >= start - 1e-3 and box.max() <= start + room
            ]
            area = sum(self.pieces[s.piece].area_m2 for s in inside)
            if area > best[0] + 1e-9:
                best = (area, start, inside)
        if best[2]:
            moved = [evolve(s, x=s.x - best[1]) for s in best[2]]
            self.keep_if_valid(CuttingPattern(index, self.counted(moved)), moved)

    def counted(self, placements: Sequence[Placement]) -> Counts:
        """How many of each piece are among placements."""
        counts = [0] * len(self.pieces)
        for placement in placements:
            counts[placement.piece] += 1
        return tuple(counts)

    def try_pattern(self, pattern: CuttingPattern) -> bool:
        """Look for a layout of a pattern: first with the skyline engine, then with the packer."""
        sheet = self.sheets[pattern.sheet]
        height, length = sheet.usable_width_mm, sheet.usable_length_mm
        rows = skyline_items(self.pieces, sheet, self.turning, pattern.counts, self.gap_mm)
        dropped = drop_best(rows, height + self.gap_mm, length + self.gap_mm)
        if dropped is not None and self.keep_if_valid(pattern, dropped[1]):
            return True
        ask = self.effort
        effort = evolve(ask, steps=ask.pattern_steps, hard=ask.pattern_hard, failures=1)
        seeds = range(1, ask.pattern_seeds + 1)
        trials = packer_trials(self.pieces, sheet, self.turning, pattern.counts, seeds)
        slip = TOLERANCES.layout_slip_mm / 2.0

        def keep_going(share: float, _: float) -> bool:
            return self.keep_going(1.0 - len(trials) * (1.0 - share) / ask.pattern_seeds)

        while trials:
            found = pack_in_trials(trials, height, self.gap_mm, effort, length + slip, keep_going)
            trials = trials[len(found) :]
            for packed in found:
                if packed.ended in (Ended.CLOCK, Ended.STOPPED):
                    self.ended = packed.ended
                if packed.fault:
                    self.notes.append(f"the packer failed ({packed.fault}); the pattern was dropped")
                if packed.length_mm <= length + slip and self.keep_if_valid(
                    pattern, _centred(packed.placements, packed.length_mm, length)
                ):
                    return True
                self.keep_best_window(pattern.sheet, packed.placements)
        return False

    def keep_going(self, share: float) -> bool:
        """Tell the reader how much of the combination on trial is done, and ask whether to go on."""
        if self.progress is None:
            return True
        done = (self.tests + share) / self.effort.pattern_tests
        return (
            self.progress(SearchProgress(done, self.best, f"trying combination {self.tests + 1}"))
            is not False
        )

    def exclude(self, pattern: CuttingPattern) -> None:
        """Drop a pattern and all that dominate it; open the next smaller ones."""
        self.infeasible.add(pattern)
        gone = {
            other
            for other in self.open
            if other.sheet == pattern.sheet and dominates(other.counts, pattern.counts)
        }
        self.open -= gone
        for other in gone:
            for child in children(other, pattern.counts):
                if not any(
                    r.sheet == child.sheet and dominates(child.counts, r.counts) for r in self.infeasible
                ):
                    self.open.add(child)

    def plan(self, known_only: bool) -> CuttingPlan:
        """Ask the integer program, over feasible patterns and, unless told otherwise, open ones."""
        patterns = sorted(self.layouts, key=lambda p: (p.sheet, p.counts))
        feasible = [True] * len(patterns)
        if not known_only:
            still_open = sorted(self.open - set(patterns), key=lambda p: (p.sheet, p.counts))
            patterns, feasible = patterns + still_open, feasible + [False] * len(still_open)
        on_hand, prices = [s.count for s in self.sheets], [s.price or 0.0 for s in self.sheets]
        answer = choose(patterns, feasible, self.demand, on_hand, prices)
        if not answer.optimal and self.ended is Ended.CONVERGED:
            self.ended = Ended.CLOCK
        return answer


def _alone(piece: CutPiece, sheet: Sheet, turning: Turning, key: int) -> Placement:
    """Lay one piece on a sheet by itself, at the turn that leaves most room."""
    every = turns(piece, sheet, turning, step_deg=0.25)
    spare = np.array([sheet.usable_length_mm, sheet.usable_width_mm]) - extent(piece.outline, every)
    turn = float(every[int(np.argmax(spare.min(axis=1).round(6)))])
    corner = -laid(piece.outline, turn).min(axis=0)
    return Placement(key, turn, float(corner[0]), float(corner[1]))


def _without(placements: Sequence[Placement], counts: Counts) -> tuple[Placement, ...]:
    """Only as many placements of each piece as are wanted."""
    left, kept = list(counts), []
    for placement in placements:
        if left[placement.piece]:
            left[placement.piece] -= 1
            kept.append(placement)
    return tuple(kept)


def _centred(placements: Sequence[Placement], length_mm: float, room_mm: float) -> tuple[Placement, ...]:
    """Halve what a layout sticks out by, within the slip."""
    over = max(0.0, length_mm - room_mm) / 2.0
    return tuple(evolve(placement, x=placement.x - over) for placement in placements)


def search(job: SheetSearch) -> tuple[int, CuttingPlan]:
    """Try patterns, the easiest first, while it may pay; the area bound, 0 where unknown, and the best feasible
    plan.
    """
    job.start()
    job.open = set(job.levels[_FILLS[-1]])
    first = job.plan(known_only=False)
    bound = first.sheets if first.optimal and job.complete else 0
    for share in _FILLS:
        job.open = job.levels[share]
        for gone in sorted(job.infeasible, key=lambda p: (p.sheet, p.counts)):
            job.exclude(gone)
        if not _climb(job):
            break
    final = job.plan(known_only=True)
    for pattern, _ in final.uses:
        if pattern not in job.layouts:  # trimmed to the demand: a larger one dominates it
            job.is_covered(pattern)
    return bound, final


def _climb(job: SheetSearch) -> bool:
    """Try what the integer program asks for at one level; False when the effort is spent."""
    while True:
        asked, known = job.plan(known_only=False), job.plan(known_only=True)
        job.best = known.sheets
        unknown = [p for p, _ in asked.uses if p not in job.layouts and not job.is_covered(p)]
        if not unknown or not _better(asked, known, job.sheets):
            return True
        for pattern in unknown:
            if job.tests >= job.effort.pattern_tests:
                job.ended = job.ended if job.ended is Ended.CLOCK else Ended.STEPS
                return False
            if not job.keep_going(0.0):
                job.ended = Ended.STOPPED
            fitted = job.ended is not Ended.STOPPED and job.try_pattern(pattern)
            if job.ended is Ended.STOPPED:
                return False
            job.tests += 1
            if not fitted:
                job.exclude(pattern)
                break


def _better(asked: CuttingPlan, known: CuttingPlan, sheets: Sequence[Sheet]) -> bool:
    """Whether one choice leaves less over, or uses fewer sheets, or costs less, in that order."""
    ranks = [(sum(c.shortage), c.sheets, round(cost_of(c, sheets), 6)) for c in (asked, known)]
    return ranks[0] < ranks[1]


def cost_of(plan: CuttingPlan, sheets: Sequence[Sheet]) -> float:
    """Price of a plan; a price that is not known counts nothing."""
    return sum(times * (sheets[pattern.sheet].price or 0.0) for pattern, times in plan.uses)

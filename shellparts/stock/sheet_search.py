"""The search for patterns of pieces on sheets: what is proven, what is open, and what to try next.

Glossary: as in `patterns`; a *level* is the largest share of a sheet that open patterns may fill: low levels
hold the patterns that are easily laid, and are tried first, so that a search that is cut short has tried the
likeliest; to *harvest* is to keep the best sheetful out of a strip that came out too long. This module does
not say what the result is worth: see `sheets`.
"""

from collections.abc import Callable, Sequence

import numpy as np
from attrs import evolve

from shellparts.base.tolerances import TOLERANCES
from shellparts.parameters.stocks import Sheet, Side, Turning
from shellparts.pattern.cut_pieces import CutPiece, extent, fits, laid, turns
from shellparts.stock.hand import box_rows
from shellparts.stock.layout import Ended, SearchProgress, Spot, assemble
from shellparts.stock.packer import Effort
from shellparts.stock.patterns import Choice, Counts, SheetPattern, children, choose, holds, largest_patterns
from shellparts.stock.roll import easier_turning, packer_items, row_candidates
from shellparts.stock.rows import drop_best, drop_fill
from shellparts.stock.trials import Trial, pack_in_trials
from shellparts.stock.verify import faults

__all__ = ["Bench", "alone", "cost_of", "search"]

#: Shares of a sheet that patterns may fill, easiest first: a search that is cut short has tried the
#: likeliest.
_FILLS = (0.6, 0.7, 0.76, 0.82, 0.88, 0.94, 1.0)


class Bench:
    """What is known while the search runs: feasible patterns with their layouts, and open ones."""

    def __init__(
        self,
        pieces: Sequence[CutPiece],
        sheets: Sequence[Sheet],
        turning: Turning,
        gap_mm: float,
        effort: Effort,
        progress: Callable[[SearchProgress], bool | None] | None,
    ):
        self.pieces, self.sheets, self.turning = pieces, sheets, turning
        self.gap_mm, self.effort = gap_mm, effort
        self.progress = progress
        self.demand: Counts = tuple(piece.count for piece in pieces)
        self.spots: dict[SheetPattern, tuple[Spot, ...]] = {}
        self.levels: dict[float, set[SheetPattern]] = {}
        self.open: set[SheetPattern] = set()
        self.refuted: set[SheetPattern] = set()
        self.complete = True
        self.ended, self.tests, self.best = Ended.CONVERGED, 0, np.inf
        self.notes: list[str] = []

    def prove(self, pattern: SheetPattern, spots: Sequence[Spot]) -> bool:
        """Keep a layout if it passes its checks."""
        layout = assemble(self.sheets[pattern.sheet], self.pieces, spots)
        if faults(layout, self.gap_mm):
            return False
        self.spots.setdefault(pattern, tuple(spots))
        return True

    def inside_known(self, pattern: SheetPattern) -> bool:
        """Whether a proven pattern holds this one: then its layout serves, with pieces left out."""
        for known, spots in self.spots.items():
            if known.sheet == pattern.sheet and holds(known.counts, pattern.counts):
                self.spots[pattern] = _without(spots, pattern.counts)
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
                self.levels.setdefault(share, set()).update(SheetPattern(index, counts) for counts in found)
                self.complete &= every
            boxable = [k for k, fit in enumerate(fitting) if fit]
            rows = box_rows([self.pieces[k] for k in boxable], sheet, self.turning, self.gap_mm)
            for spots in rows or ():
                named = [evolve(spot, piece=boxable[spot.piece]) for spot in spots]
                self.prove(SheetPattern(index, self.counted(named)), named)
            fit = [piece for piece, count in zip(self.pieces, most, strict=True) if count]
            for turning in dict.fromkeys((easier_turning(fit, sheet, self.turning), self.turning)):
                self.fill_in_turn(index, most, turning)
            for k in boxable:
                single = SheetPattern(index, tuple(int(j == k) for j in range(len(self.pieces))))
                if not self.inside_known(single):
                    self.prove(single, [alone(self.pieces[k], sheet, self.turning, k)])

    def fill_in_turn(self, index: int, most: Counts, turning: Turning) -> None:
        """Fill sheets of one kind one after the other with the row engine."""
        sheet, left = self.sheets[index], most
        strip, length = sheet.usable_width_mm + self.gap_mm, sheet.usable_length_mm + self.gap_mm
        while any(left):
            rows = row_candidates(self.pieces, sheet, turning, left, self.gap_mm)
            spots = drop_fill(rows, strip, length)
            laid_out = self.counted(spots)
            if not spots or not self.prove(SheetPattern(index, laid_out), spots):
                return
            left = tuple(want - has for want, has in zip(left, laid_out, strict=True))

    def harvest(self, index: int, spots: Sequence[Spot]) -> None:
        """Keep the best sheetful out of a strip that came out too long."""
        room = self.sheets[index].usable_length_mm
        boxes = [laid(self.pieces[s.piece].outline, s.turn_deg, s.face_down, (s.x, s.y))[:, 0] for s in spots]
        starts = sorted({round(float(box.min()), 3) for box in boxes})
        best: tuple[float, float, list[Spot]] = (0.0, 0.0, [])
        for start in starts:
            inside = [
                s
                for s, box in zip(spots, boxes, strict=True)
                if box.min() >= start - 1e-3 and box.max() <= start + room
            ]
            area = sum(self.pieces[s.piece].area_m2 for s in inside)
            if area > best[0] + 1e-9:
                best = (area, start, inside)
        if best[2]:
            moved = [evolve(s, x=s.x - best[1]) for s in best[2]]
            self.prove(SheetPattern(index, self.counted(moved)), moved)

    def counted(self, spots: Sequence[Spot]) -> Counts:
        """How many of each piece are among spots."""
        counts = [0] * len(self.pieces)
        for spot in spots:
            counts[spot.piece] += 1
        return tuple(counts)

    def test(self, pattern: SheetPattern) -> bool:
        """Look for a layout of a pattern: first with the row engine, then with the packer."""
        sheet = self.sheets[pattern.sheet]
        height, length = sheet.usable_width_mm, sheet.usable_length_mm
        rows = row_candidates(self.pieces, sheet, self.turning, pattern.counts, self.gap_mm)
        dropped = drop_best(rows, height + self.gap_mm, length + self.gap_mm)
        if dropped is not None and self.prove(pattern, dropped[1]):
            return True
        mirrored = sheet.side is Side.SAME and any(piece.mirrored_of for piece in self.pieces)
        ask = self.effort
        effort = evolve(ask, steps=ask.pattern_steps, hard=ask.pattern_hard, failures=1)
        trials = []
        for seed in range(1, ask.pattern_seeds + 1):
            flip = mirrored and seed % 2 == 0
            used = [p for p, count in zip(self.pieces, pattern.counts, strict=True) if count]
            turning = self.turning if seed % 2 == 0 else easier_turning(used, sheet, self.turning)
            trials.append(Trial(packer_items(self.pieces, sheet, turning, pattern.counts, flip), seed))
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
                if packed.length_mm <= length + slip and self.prove(
                    pattern, _centred(packed.spots, packed.length_mm, length)
                ):
                    return True
                self.harvest(pattern.sheet, packed.spots)
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

    def refute(self, pattern: SheetPattern) -> None:
        """Drop a pattern and all that hold it; open the next smaller ones."""
        self.refuted.add(pattern)
        gone = {
            other
            for other in self.open
            if other.sheet == pattern.sheet and holds(other.counts, pattern.counts)
        }
        self.open -= gone
        for other in gone:
            for child in children(other, pattern.counts):
                if not any(r.sheet == child.sheet and holds(child.counts, r.counts) for r in self.refuted):
                    self.open.add(child)

    def choice(self, known_only: bool) -> Choice:
        """Ask the integer program, over proven patterns and, unless told otherwise, open ones."""
        patterns = sorted(self.spots, key=lambda p: (p.sheet, p.counts))
        proven = [True] * len(patterns)
        if not known_only:
            still_open = sorted(self.open - set(patterns), key=lambda p: (p.sheet, p.counts))
            patterns, proven = patterns + still_open, proven + [False] * len(still_open)
        on_hand, prices = [s.count for s in self.sheets], [s.price or 0.0 for s in self.sheets]
        answer = choose(patterns, proven, self.demand, on_hand, prices)
        if not answer.optimal and self.ended is Ended.CONVERGED:
            self.ended = Ended.CLOCK
        return answer


def alone(piece: CutPiece, sheet: Sheet, turning: Turning, key: int) -> Spot:
    """Lay one piece on a sheet by itself, at the turn that leaves most room."""
    every = turns(piece, sheet, turning, step_deg=0.25)
    spare = np.array([sheet.usable_length_mm, sheet.usable_width_mm]) - extent(piece.outline, every)
    turn = float(every[int(np.argmax(spare.min(axis=1).round(6)))])
    corner = -laid(piece.outline, turn).min(axis=0)
    return Spot(key, turn, float(corner[0]), float(corner[1]))


def _without(spots: Sequence[Spot], counts: Counts) -> tuple[Spot, ...]:
    """Only as many spots of each piece as are wanted."""
    left, kept = list(counts), []
    for spot in spots:
        if left[spot.piece]:
            left[spot.piece] -= 1
            kept.append(spot)
    return tuple(kept)


def _centred(spots: Sequence[Spot], length_mm: float, room_mm: float) -> tuple[Spot, ...]:
    """Halve what a layout sticks out by, within the slip."""
    over = max(0.0, length_mm - room_mm) / 2.0
    return tuple(evolve(spot, x=spot.x - over) for spot in spots)


def search(bench: Bench) -> tuple[int, Choice]:
    """Try patterns, the easiest first, while it may pay; the area bound, 0 where unknown, and the best of all
    feasible ones.
    """
    bench.start()
    bench.open = set(bench.levels[_FILLS[-1]])
    first = bench.choice(known_only=False)
    bound = first.sheets if first.optimal and bench.complete else 0
    for share in _FILLS:
        bench.open = bench.levels[share]
        for gone in sorted(bench.refuted, key=lambda p: (p.sheet, p.counts)):
            bench.refute(gone)
        if not _climb(bench):
            break
    final = bench.choice(known_only=True)
    for pattern, _ in final.uses:
        if pattern not in bench.spots:  # trimmed to the demand: a larger one holds it
            bench.inside_known(pattern)
    return bound, final


def _climb(bench: Bench) -> bool:
    """Try what the integer program asks for at one level; False when the effort is spent."""
    while True:
        asked, known = bench.choice(known_only=False), bench.choice(known_only=True)
        bench.best = known.sheets
        unknown = [p for p, _ in asked.uses if p not in bench.spots and not bench.inside_known(p)]
        if not unknown or not _better(asked, known, bench.sheets):
            return True
        for pattern in unknown:
            if bench.tests >= bench.effort.pattern_tests:
                bench.ended = bench.ended if bench.ended is Ended.CLOCK else Ended.STEPS
                return False
            if not bench.keep_going(0.0):
                bench.ended = Ended.STOPPED
            fitted = bench.ended is not Ended.STOPPED and bench.test(pattern)
            if bench.ended is Ended.STOPPED:
                return False
            bench.tests += 1
            if not fitted:
                bench.refute(pattern)
                break


def _better(asked: Choice, known: Choice, sheets: Sequence[Sheet]) -> bool:
    """Whether one choice leaves less over, or uses fewer sheets, or costs less, in that order."""
    ranks = [(sum(c.shortage), c.sheets, round(cost_of(c, sheets), 6)) for c in (asked, known)]
    return ranks[0] < ranks[1]


def cost_of(choice: Choice, sheets: Sequence[Sheet]) -> float:
    """Price of a plan; a price that is not known counts nothing."""
    return sum(times * (sheets[pattern.sheet].price or 0.0) for pattern, times in choice.uses)

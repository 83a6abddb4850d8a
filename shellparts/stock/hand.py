"""What one would do by hand, as the references that every layout is measured against.

Glossary: *head to tail* is to lay each panel turned half round against the one before and slide them
together; the *hand rule* lays one kind of piece after the other so, abreast in rows across the roll or in
single file along it, whichever is shorter; *rows of boxes* on sheets puts the box around each piece in
shelves, tallest first. These rules look for nothing: they do what they say.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from shellparts.parameters.stocks import Roll, Sheet, Turning, TurnRule, Weave
from shellparts.pattern.cut_pieces import CutPiece, extent, laid, nominal_turns
from shellparts.stock.layout import Placement
from shellparts.stock.skyline import PieceProfile, profile

__all__ = ["box_rows", "hand_rule"]

Points = NDArray[np.float64]


def _base_turns(piece: CutPiece, stock: Roll | Sheet, turning: Turning) -> Points:
    """Turns that a pair of hands would think of: straight on the weave, and across where that is allowed."""
    straight = nominal_turns(piece, stock)
    if turning.rule is TurnRule.FREE and stock.weave is not Weave.NONE:
        return np.unique(np.r_[straight, (straight + 90.0) % 360.0])
    return straight


def _slide(pair: Sequence[PieceProfile], count: int, room_mm: float) -> list[float]:
    """Where each of up to `count` pieces comes to rest, slid against those before, within the room."""
    skyline = np.zeros(max(len(shape.low) for shape in pair))
    rests: list[float] = []
    for k in range(count):
        shape = pair[k % len(pair)]
        covered = slice(0, len(shape.low))
        rest = float((skyline[covered] - shape.low).max())
        if rest + shape.high.max() > room_mm + 1e-6:
            break
        skyline[covered] = np.maximum(skyline[covered], rest + shape.high)
        rests.append(rest)
    return rests


def _lay_kind(
    piece: CutPiece, key: int, turn: float, half: bool, abreast: bool, roll: Roll, gap_mm: float
) -> tuple[float, list[Placement]] | None:
    """Length used by one kind of piece, with one gap [mm], and the placements; None when not even one fits."""
    length, width = extent(piece.outline, np.array([turn]))[0]
    if width > roll.usable_width_mm + 1e-6:
        return None
    pair_turns = [turn, (turn + 180.0) % 360.0] if half else [turn]
    shapes = [laid(piece.outline, at) for at in pair_turns]
    axis = 1 if abreast else 0
    flats = [
        profile(shape[:, ::-1] if abreast else shape, gap_mm, Placement(key, 0.0, 0.0, 0.0), 4.0)
        for shape in shapes
    ]
    rests = _slide(flats, piece.count, roll.usable_width_mm + gap_mm if abreast else np.inf)
    if not rests:  # the mitred corners of the gap stand out a little: one piece alone fits all the same
        rests = [0.0]
    placements = []
    for k in range(piece.count):
        row, seat = divmod(k, len(rests))
        shape, flat = shapes[seat % len(shapes)], flats[seat % len(shapes)]
        shift = -shape.min(axis=0)
        if len(rests) > 1:
            shift[axis] = rests[seat] + flat.placement.x
        shift[0] += row * (length + gap_mm)
        placements.append(Placement(key, pair_turns[seat % len(shapes)], float(shift[0]), float(shift[1])))
    if abreast:
        rows = -(-piece.count // len(rests))
        return float(rows * (length + gap_mm)), placements
    ends = [rest + flats[k % len(flats)].high.max() for k, rest in enumerate(rests)]
    return float(max(ends)), placements


def hand_rule(
    pieces: Sequence[CutPiece], roll: Roll, turning: Turning, gap_mm: float
) -> tuple[float, tuple[Placement, ...]] | None:
    """Length used [mm] and placements, kind by kind head to tail on a roll; None when one fits at no turn."""
    half = roll.weave is not Weave.ONE_WAY
    start, placements = 0.0, []
    for key in sorted(range(len(pieces)), key=lambda k: (-pieces[k].area_m2, k)):
        ways = [
            way
            for turn in _base_turns(pieces[key], roll, turning)
            for abreast in (True, False)
            if (way := _lay_kind(pieces[key], key, float(turn), half, abreast, roll, gap_mm)) is not None
        ]
        if not ways:
            return None
        length, laid_out = min(ways, key=lambda way: round(way[0], 6))
        placements += [Placement(s.piece, s.turn_deg, s.x + start, s.y) for s in laid_out]
        start += length
    return start - gap_mm, tuple(placements)


def box_rows(
    pieces: Sequence[CutPiece], sheet: Sheet, turning: Turning, gap_mm: float
) -> tuple[tuple[Placement, ...], ...] | None:
    """Boxes of pieces laid on sheets of one size in shelves, longest first; None when one fits at no turn."""
    length, width = sheet.usable_length_mm + gap_mm, sheet.usable_width_mm + gap_mm
    boxes: list[tuple[float, float, int, float]] = []
    for key, piece in enumerate(pieces):
        ways = []
        for turn in _base_turns(piece, sheet, turning):
            along, across = extent(piece.outline, np.array([turn]))[0] + gap_mm
            if along <= length + 1e-6 and across <= width + 1e-6:
                abreast = int(length / along + 1e-9) * int(width / across + 1e-9)
                ways.append((-abreast, float(along), float(across), key, float(turn)))
        if not ways:
            return None
        boxes += [min(ways, key=lambda way: (way[0], round(way[1], 6), way[4]))[1:]] * piece.count
    boxes.sort(key=lambda box: (-box[0], -box[1], box[2]))
    filled: list[list[Placement]] = []
    used: list[float] = []
    shelves: list[list[float]] = []  # sheet, start, depth, filled across
    for along, across, key, turn in boxes:
        shelf = next((s for s in shelves if along <= s[2] + 1e-6 and s[3] + across <= width + 1e-6), None)
        if shelf is None:
            home = next((k for k, start in enumerate(used) if start + along <= length + 1e-6), None)
            if home is None:
                home = len(used)
                used.append(0.0)
                filled.append([])
            shelf = [home, used[home], along, 0.0]
            shelves.append(shelf)
            used[home] += along
        corner = -laid(pieces[key].outline, turn).min(axis=0)
        filled[int(shelf[0])].append(
            Placement(key, turn, float(corner[0] + shelf[1]), float(corner[1] + shelf[3]))
        )
        shelf[3] += across
    return tuple(tuple(placements) for placements in filled)

"""Readings of the real room: what each should have been, which may be wrong, and the room that follows.

Glossary: a reading is *expected* from the draws and from the other readings; its error is taken as normal in its
logarithm. A *slip* is a reading that says nothing of the room: a wrong unit, a slipped decimal, another speed. Before
looking, 3 in 100 readings are slips, and a slip lies anywhere up to 300 times off. Whether a reading is one is
decided by how well all readings, and all but that one, are explained; a reading that is more likely a slip than not
is *questioned* and not used. What it *may have been* is every usual slip that would put it where it was expected; two
of them can fit, and then nothing here tells them apart.
"""

import math
from collections.abc import Sequence
from enum import Enum

import numpy as np
from attrs import frozen
from numpy.typing import NDArray
from scipy.special import ndtr

from shellparts.base.ranges import Range
from shellparts.loads.atmosphere import GRAVITY_M_S2
from shellparts.loads.doorway_traffic import fill_time
from shellparts.loads.draws import Draws
from shellparts.loads.narrowing import Narrowed, narrow
from shellparts.loads.room_draws import RoomDraws
from shellparts.loads.settings import opening_for
from shellparts.parameters.readings import Reading, ReadingKind, opening_text_mm

__all__ = ["MayBe", "Read", "ReadingCheck", "Slip", "expected", "read_room"]

Floats = NDArray[np.float64]
#: Share of readings that are slips before looking [-], and how far off they may be [-]: ours.
_SLIPS, _FARTHEST = 0.03, 300.0
#: Where readings contradict each other, all that may be the wrong one with this chance are left out [-]: a right one
#: that is lost costs less than a wrong one that is used.
_BLAMED = 0.1
#: Density of a slip over the logarithm of the reading [-].
_LOG_BROAD = -math.log(2.0 * math.log(_FARTHEST))
#: Farthest that a reading is reckoned from what a draw expects, in standard deviations: beyond, all are as bad.
_FAR = 40.0
#: A slip fits where the reading so corrected lies within what 95 in 100 readings would.
_TAIL = 0.025


class Slip(Enum):
    """What a reading may have been instead.

    ``MM_WATER`` and ``INCH_WATER``: read in millimetres or inches of water, and written as Pa; ``PASCAL_AS_MM`` and
    ``PASCAL_AS_INCH`` the other way round; ``HECTOPASCAL``: read in hPa or mbar. ``POINT_LEFT`` and ``POINT_RIGHT``:
    the decimal point stands too far left, or right. ``ONE_LEG``: the water of a bent tube was read on one side only,
    which is half; ``TWICE``: counted twice. ``MINUTES``: minutes written as seconds. ``POUNDS`` and ``KILOGRAMS``:
    written as the other. ``M3_H_AS_CFM`` and ``CFM_AS_M3_H``: cubic metres an hour and cubic feet a minute
    written as each other.
    """

    MM_WATER = "millimetres of water"
    PASCAL_AS_MM = "pascals written as millimetres of water"
    INCH_WATER = "inches of water"
    PASCAL_AS_INCH = "pascals written as inches of water"
    HECTOPASCAL = "hectopascals"
    POINT_LEFT = "point too far left"
    POINT_RIGHT = "point too far right"
    ONE_LEG = "one leg"
    TWICE = "twice"
    MINUTES = "minutes"
    POUNDS = "pounds"
    KILOGRAMS = "kilograms written as pounds"
    M3_H_AS_CFM = "cubic metres an hour"
    CFM_AS_M3_H = "cubic feet a minute"


#: True value over the one that was written, for each slip of each kind.
_FACTORS: dict[ReadingKind, dict[Slip, float]] = {
    ReadingKind.PRESSURE: {
        Slip.MM_WATER: 9.80665,
        Slip.PASCAL_AS_MM: 1.0 / 9.80665,
        Slip.INCH_WATER: 249.089,
        Slip.PASCAL_AS_INCH: 1.0 / 249.089,
        Slip.HECTOPASCAL: 100.0,
        Slip.ONE_LEG: 2.0,
        Slip.TWICE: 0.5,
    },
    ReadingKind.FILL_TIME: {Slip.MINUTES: 60.0},
    ReadingKind.CLOTH_WEIGHT: {Slip.POUNDS: 0.45359237, Slip.KILOGRAMS: 1.0 / 0.45359237},
    ReadingKind.FAN_FLOW: {Slip.M3_H_AS_CFM: 0.5885778, Slip.CFM_AS_M3_H: 1.6990108},
    ReadingKind.LIFTS: {Slip.ONE_LEG: 2.0, Slip.TWICE: 0.5},
}
_POINTS = {Slip.POINT_LEFT: 10.0, Slip.POINT_RIGHT: 0.1}


@frozen
class MayBe:
    """What a questioned reading may have been.

    Parameters
    ----------
    slip : Slip
    value : float
        What it would be then [Pa, s, kg, m³/s, mm of opening].
    """

    slip: Slip
    value: float


@frozen
class ReadingCheck:
    """One reading beside what was expected.

    Parameters
    ----------
    reading : Reading
    value : float
        What was read [Pa, s, kg, m³/s, mm of opening].
    expected : Range
        What 5, 50 and 95 in 100 draws expect that agree with the other readings in use [same unit].
    chance_wrong : float
        Chance that it is a slip [-].
    questioned : bool
        Whether it is left out.
    may_be : tuple of MayBe
        Slips that would explain it, likeliest first; empty for a reading in use.
    """

    reading: Reading
    value: float
    expected: Range
    chance_wrong: float
    questioned: bool
    may_be: tuple[MayBe, ...]


@frozen(eq=False)
class Read:
    """A room after its readings.

    Parameters
    ----------
    room : RoomDraws
        With draws that agree with the readings in use.
    checks : tuple of ReadingCheck
        One a reading, as they were given.
    effective : float
        Effective number of the draws [-].
    """

    room: RoomDraws
    checks: tuple[ReadingCheck, ...]
    effective: float


def _opening_mm(room: RoomDraws, one: Reading) -> float:
    figures = room.room
    spacing = room.site.clip_spacing_mm
    return opening_text_mm(one.opening, figures.vent_longest_mm, figures.vent_count, spacing)


def expected(room: RoomDraws, one: Reading) -> Floats:
    """What a reading should be in every draw.

    Parameters
    ----------
    room : RoomDraws
    one : Reading

    Returns
    -------
    ndarray, shape (n,)
        In the reading's unit [Pa, s, kg, m³/s], of *lifts* the opening [mm]; infinite or −1 where there is none.

    Raises
    ------
    ParameterError
        If the fan has no such speed, or the vent is not so long.
    """
    if one.kind is ReadingKind.CLOTH_WEIGHT:
        return room.weight_N / GRAVITY_M_S2
    speed = room.fan.fan.speed(one.speed)
    if one.kind is ReadingKind.FAN_FLOW:
        return room.fan.flow(speed, one.against_Pa)
    if one.kind is ReadingKind.LIFTS:
        return opening_for(room, speed, room.lift_Pa)
    opening = _opening_mm(room, one)
    if one.kind is ReadingKind.FILL_TIME:
        held = room.hold_up_Pa
        leaks = room.shut.opened(opening).flow(held)
        return fill_time(room.room.envelope_volume_m3, room.fan.flow(speed, held), leaks)
    return room.working(speed, opening).pressure_Pa


def _value(room: RoomDraws, one: Reading) -> float:
    """What was read; an opening of 0 counts as 1 mm, for its logarithm is needed."""
    return max(1.0, _opening_mm(room, one)) if one.value is None else one.value


def _off(room: RoomDraws, one: Reading) -> Floats:
    """How far the reading lies above what each draw expects, in standard deviations."""
    told = expected(room, one)
    there = np.isfinite(told) & (told > 0.0)
    off = (math.log(_value(room, one)) - np.log(np.where(there, told, 1.0))) / one.error
    return np.clip(np.where(there, off, _FAR), -_FAR, _FAR)


class _Sets:
    """The room after each set of its readings, worked out once a set."""

    def __init__(self, room: RoomDraws, readings: Sequence[Reading]) -> None:
        self.room, self.readings = room, readings
        self._before = [_off(room, one) for one in readings]
        self._known: dict[tuple[int, ...], Narrowed] = {}

    def after(self, which: Sequence[int]) -> Narrowed:
        """Draws that agree with some readings; the evidence is a density over their logarithms."""
        key = tuple(which)
        if key not in self._known:
            self._known[key] = narrow(self.room.draws, lambda drawn: self._log_likelihood(drawn, key))
        return self._known[key]

    def _log_likelihood(self, drawn: Draws, which: tuple[int, ...]) -> Floats:
        if drawn is self.room.draws:
            off = [self._before[i] for i in which]
        else:
            again = self.room.redrawn(drawn)
            off = [_off(again, self.readings[i]) for i in which]
        units = sum(math.log(self.readings[i].error) + 0.5 * math.log(2.0 * math.pi) for i in which)
        return np.full(drawn.count, -units) - 0.5 * sum(np.square(one) for one in off)

    def chances(self, which: Sequence[int]) -> list[float]:
        """Chance that each of some readings is a slip, if at most one of them is."""
        odds = math.log(_SLIPS / (1.0 - _SLIPS))
        without = [self.after([k for k in which if k != i]).log_evidence for i in which]
        cases = np.array([self.after(which).log_evidence] + [one + _LOG_BROAD + odds for one in without])
        weight = np.exp(cases - cases.max())
        return [float(one) for one in weight[1:] / weight.sum()]


def _may_be(room: RoomDraws, one: Reading) -> tuple[MayBe, ...]:
    """Usual slips that would put a reading where these draws expect it."""
    off, written = _off(room, one), _value(room, one)
    found = []
    for slip, factor in (_FACTORS[one.kind] | _POINTS).items():
        place = float(room.draws.weight @ ndtr(off + math.log(factor) / one.error))
        if _TAIL <= place <= 1.0 - _TAIL:
            found.append((abs(place - 0.5), MayBe(slip, written * factor)))
    return tuple(one for _, one in sorted(found, key=lambda pair: pair[0]))


def read_room(room: RoomDraws, readings: Sequence[Reading]) -> Read:
    """Narrow a room by its readings.

    Parameters
    ----------
    room : RoomDraws
        Before any reading.
    readings : sequence of Reading

    Returns
    -------
    Read
        The room in draws that agree with all readings but the questioned ones.

    Raises
    ------
    ParameterError
        If a reading names a speed or an opening that the room does not have.
    """
    sets, kept = _Sets(room, readings), list(range(len(readings)))
    wrong = dict.fromkeys(kept, 0.0)
    while kept:
        chances = sets.chances(kept)
        wrong.update(zip(kept, chances, strict=True))
        if 1.0 - sum(chances) >= 0.5:
            break
        worst = max(chances)
        kept = [i for i in kept if wrong[i] < min(worst, _BLAMED)]

    def check(i: int) -> ReadingCheck:
        one, questioned = readings[i], i not in kept
        seen = room.redrawn(sets.after([k for k in kept if k != i]).draws)
        told = seen.draws.spread(expected(seen, one))
        may_be = _may_be(seen, one) if questioned else ()
        return ReadingCheck(one, _value(room, one), told, wrong[i], questioned, may_be)

    used = sets.after(kept)
    checks = tuple(check(i) for i in range(len(readings)))
    return Read(room.redrawn(used.draws), checks, used.effective)

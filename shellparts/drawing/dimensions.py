"""Dimensions: a length between two points, on a line of its own beside what is measured, with arrows and words.

Glossary: a dimension is measured *along* a direction; its line runs through a point *on* it; short lines lead there
from the two points. Dimensions beside a view stand in *rows*, the short ones nearest, so that no words stand on words
and, where it can be had, no line runs through words.
"""

import math
from collections.abc import Sequence

import numpy as np
from attrs import evolve, frozen
from numpy.typing import ArrayLike, NDArray

from shellparts.drawing.labels import SMALL
from shellparts.drawing.strokes import Drawing, Label, Layer, stroke_of_points

__all__ = ["ROW", "Dimension", "dimension", "in_dimension_rows"]

Array = NDArray[np.float64]

#: From row to row, and to the first one; the arrow; from a point to the line that leads off it, and how far that runs
#: beyond: all per height of capitals.
ROW, _ARROW, _LEAD, _WORDS_OFF = 3.0, 1.2, 0.6, 1.05


@frozen(eq=False)
class Dimension:
    """A length with its words.

    Parameters
    ----------
    start, end : ndarray
        What is measured, each shape (2,) [mm].
    on : ndarray
        A point on its line, shape (2,) [mm].
    along : ndarray
        Unit vector of its line, from start to end, shape (2,).
    words : str
        The length as the reader's tape shows it.
    words_at : ndarray
        Middle of the words, shape (2,) [mm].
    letters_mm : float
        Height of capitals [mm].
    """

    start: Array
    end: Array
    on: Array
    along: Array
    words: str
    words_at: Array
    letters_mm: float

    @property
    def length_mm(self) -> float:
        """What is measured [mm]."""
        return float((self.end - self.start) @ self.along)

    @property
    def feet(self) -> tuple[Array, Array]:
        """Ends of its line [mm]."""
        first = self.on + ((self.start - self.on) @ self.along) * self.along
        return first, first + self.length_mm * self.along

    @property
    def angle(self) -> float:
        """Direction in which the words are read [rad]."""
        turn = math.atan2(self.along[1], self.along[0])
        from_below_or_left = -math.pi / 2 + 1e-9 < turn < math.pi / 2 + 1e-9
        return turn if from_below_or_left else math.remainder(turn + math.pi, 2 * math.pi)

    def moved(self, by: ArrayLike) -> "Dimension":
        """The same elsewhere [mm]."""
        step = np.asarray(by, float)
        return evolve(
            self,
            start=self.start + step,
            end=self.end + step,
            on=self.on + step,
            words_at=self.words_at + step,
        )

    @property
    def drawing(self) -> Drawing:
        """Its lines, arrows and words."""
        first, last = self.feet
        size = self.letters_mm
        lines = [stroke_of_points(Layer.DIMENSION, [first, last])]
        for point, foot in ((self.start, first), (self.end, last)):
            far = float(np.linalg.norm(foot - point))
            if far > 2 * _LEAD * size:
                lead = (foot - point) / far * _LEAD * size
                lines.append(stroke_of_points(Layer.DIMENSION, [point + lead, foot + lead]))
        long = min(_ARROW * size, 0.4 * self.length_mm)
        across = np.array([-self.along[1], self.along[0]]) * long / 6.0
        for tip, way in ((first, 1.0), (last, -1.0)):
            back = tip + way * long * self.along
            lines.append(stroke_of_points(Layer.DIMENSION, [tip, back + across, back - across], closed=True))
        label = Label(Layer.DIMENSION, self.words, self.words_at, size, self.angle)
        return Drawing(tuple(lines), (label,))


def _words_off(along: Array, letters_mm: float) -> Array:
    """From a line to the middle of the words that stand on it: above, or left of one that is read from below."""
    turn = 1.0 if along[0] > 1e-9 or (abs(along[0]) <= 1e-9 and along[1] > 0) else -1.0
    return turn * np.array([-along[1], along[0]]) * _WORDS_OFF * letters_mm


def dimension(
    start: ArrayLike, end: ArrayLike, off: ArrayLike, words: str, letters_mm: float, beside: float = 0.0
) -> Dimension:
    """A dimension along the line from one point to another.

    Parameters
    ----------
    start, end : array_like
        What is measured, each shape (2,) [mm].
    off : array_like
        From there to its line, square to it, shape (2,) [mm]; its words stand on the far side.
    words : str
        The length as the reader's tape shows it.
    letters_mm : float
        Height of capitals [mm].
    beside : float
        How far its words stand from its middle [mm].

    Returns
    -------
    Dimension

    Examples
    --------
    >>> one = dimension((0, 0), (0, 950), (-300, 0), "950", 100.0)
    >>> one.length_mm, [foot.tolist() for foot in one.feet]
    (950.0, [[-300.0, 0.0], [-300.0, 950.0]])
    """
    a, b, step = (np.asarray(one, float) for one in (start, end, off))
    along = (b - a) / np.linalg.norm(b - a)
    middle = (a + b) / 2 + step + beside * along
    away = step / np.linalg.norm(step) * _WORDS_OFF * letters_mm
    return Dimension(a, b, a + step, along, words, middle + away, letters_mm)


@frozen
class _Row:
    """A dimension in a row: its ends, and from where to where its words stand, along the row [mm]."""

    low: float
    high: float
    words: tuple[float, float]

    @property
    def taken(self) -> tuple[float, float]:
        return min(self.low, self.words[0]), max(self.high, self.words[1])


def in_dimension_rows(
    wanted: Sequence[tuple[ArrayLike, ArrayLike, str]],
    axis: int,
    edge: float,
    way: int,
    letters_mm: float,
) -> list[Dimension]:
    """Dimensions level, or upright, in rows beside a view.

    Parameters
    ----------
    wanted : sequence of (array_like, array_like, str)
        Two points, each shape (2,) [mm], and words.
    axis : int
        0 to measure level, 1 to measure upright.
    edge : float
        Where the view ends, across the rows [mm].
    way : int
        1 or -1: on which side of the edge the rows stand.
    letters_mm : float
        Height of capitals [mm].

    Returns
    -------
    list of Dimension
        Doubles are left out.
    """
    rows: list[list[_Row]] = []
    made: list[Dimension] = []
    spans: dict[tuple[float, float], tuple[Array, Array, str]] = {}
    for start, end, words in wanted:
        a, b = sorted((np.asarray(start, float), np.asarray(end, float)), key=lambda p: float(p[axis]))
        spans.setdefault((round(float(a[axis])), round(float(b[axis]))), (a, b, words))
    ordered = sorted(spans.values(), key=lambda one: float(one[1][axis] - one[0][axis]))
    for k, (a, b, words) in enumerate(ordered):
        low, high = float(a[axis]), float(b[axis])
        to_come = [float(end[axis]) for one in ordered[k + 1 :] for end in one[:2]]
        wide = SMALL.width(words) * letters_mm
        number, row = _free_row(rows, low, high, wide, letters_mm, to_come)
        while len(rows) <= number:
            rows.append([])
        rows[number].append(row)
        along = np.eye(2)[axis]
        on = np.eye(2)[1 - axis] * (edge + way * (number + 1) * ROW * letters_mm) + low * along
        middle = on + (sum(row.words) / 2 - low) * along + _words_off(along, letters_mm)
        made.append(Dimension(a, b, on, along, words, middle, letters_mm))
    return made


def _free_row(
    rows: Sequence[Sequence[_Row]],
    low: float,
    high: float,
    wide: float,
    letters: float,
    to_come: Sequence[float],
) -> tuple[int, _Row]:
    """The nearest row with room for a dimension, its words between its arrows, else beyond one of its ends.

    Where it can be had, its words keep clear of the ends of those `to_come`, whose lines will lead farther out.
    """
    gap, middle = letters, (low + high) / 2
    beyond = [(high + gap, high + gap + wide), (low - gap - wide, low - gap)]
    places = [middle, (2 * low + high) / 3, (low + 2 * high) / 3]
    clear = wide / 2 + _ARROW * letters
    inside = [(at - wide / 2, at + wide / 2) for at in places if low + clear <= at <= high - clear]
    for strict in (True, False):
        for number in range(len(rows) + 1):
            for words in inside + beyond:
                row = _Row(low, high, words)
                first, last = row.taken
                here = rows[number] if number < len(rows) else []
                if any(first < one.taken[1] - 1.0 and one.taken[0] + 1.0 < last for one in here):
                    continue
                if strict and (
                    _runs_through(rows[:number], row)
                    or _is_run_through(rows[number + 1 :], row)
                    or any(words[0] < end < words[1] for end in to_come)
                ):
                    continue
                return number, row
    raise AssertionError("a row of its own has room")


def _runs_through(nearer: Sequence[Sequence[_Row]], row: _Row) -> bool:
    """Whether the lines that lead to a dimension run through words of rows nearer to the view."""
    return any(
        one.words[0] < end < one.words[1] for some in nearer for one in some for end in (row.low, row.high)
    )


def _is_run_through(farther: Sequence[Sequence[_Row]], row: _Row) -> bool:
    """Whether lines that lead farther out run through a dimension's words."""
    return any(
        row.words[0] < end < row.words[1] for some in farther for one in some for end in (one.low, one.high)
    )

"""Finds room for words: places are tried in turn until a text lies where it may and covers nothing.

Glossary: a *label* is one or more lines of text about a point; its *box* is what they cover, generously. A *place*
is a height of capitals [mm], a middle [mm] and a direction of reading [rad]. *Barriers* are lines that no text may
cover. A label that has no room beside its point may stand farther off, with a *leader* to it. This module knows
nothing of what is drawn.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from functools import partial

import numpy as np
import shapely
from attrs import evolve, frozen
from numpy.typing import NDArray

from shellparts.drawing.letters import text_width
from shellparts.drawing.strokes import Label, Layer, Stroke, stroke_of_points

__all__ = ["CAPITALS", "LARGE", "PRINTED", "SMALL", "LabelRoom", "Letters", "Place"]

Array = NDArray[np.float64]
Place = tuple[float, Array, float]
#: How far off a label may stand, in widths and heights of its own; the first needs no leader.
_REACHES = (1.0, 1.5, 2.2, 3.2, 4.5, 6.5, 9.0)
_FAR = (12.0, 16.0, 20.0, 25.0, 32.0)
#: Directions from a point in which its label may stand, on the border of a square.
_TURN = np.arange(24) * math.pi / 12
_AROUND = np.column_stack([np.cos(_TURN), np.sin(_TURN)])
_AROUND /= np.abs(_AROUND).max(axis=1)[:, None]
#: Places are tried this many at a time.
_AT_ONCE = 128


@frozen
class Letters:
    """How much room letters take, generously.

    Parameters
    ----------
    width : callable
        From a line of text to its length, per height of capitals.
    tall : float
        Height of a line, per height of capitals.
    spacing : float
        From line to line, per height of capitals.
    apart : float
        Between two labels, per height of capitals.
    """

    width: Callable[[str], float]
    tall: float
    spacing: float
    apart: float

    def size(self, lines: Sequence[str]) -> Array:
        """Width and height of lines of text, per height of capitals."""
        return np.array([max(map(self.width, lines)), (len(lines) - 1) * self.spacing + self.tall])

    def boxes(self, lines: Sequence[str], places: Sequence[Place], clear: float = 0.0) -> Array:
        """What lines of text cover at some places, and so many letter heights around them."""
        heights, middles, angles = (np.array(one, float) for one in zip(*places, strict=True))
        half = (self.size(lines) / 2 + clear) * heights[:, None]
        along = np.column_stack([np.cos(angles), np.sin(angles)])
        u, v = half[:, :1] * along, half[:, 1:] * along[:, ::-1] * [-1.0, 1.0]
        corners = np.stack([middles - u - v, middles + u - v, middles + u + v, middles - u + v], axis=1)
        return np.asarray(shapely.polygons(corners))


#: Letters on pieces at full size, on small pages, where more of them crowd, and as they are printed on paper models,
#: where small ones reach below the line.
LARGE = Letters(lambda text: 0.75 * len(text), 1.2, 1.6, 0.3)
SMALL = Letters(lambda text: 0.9 * len(text), 1.5, 1.5, 0.5)
PRINTED = Letters(partial(text_width, height_mm=1.0), 1.7, 1.7, 0.0)
CAPITALS = evolve(PRINTED, tall=1.3)


class LabelRoom:
    """The room for labels in a shape that none leaves, as it is filled; none covers a barrier."""

    def __init__(self, home: shapely.Geometry, letters: Letters, barriers: Sequence[Stroke] = ()):
        self.home, self.letters = home, letters
        # Cut up, so that a box is tested against what is near it.
        rings = [np.vstack([one.points, one.points[:1]]) if one.closed else one.points for one in barriers]
        pieces = [shapely.linestrings(np.stack([xy[:-1], xy[1:]], axis=1)) for xy in rings]
        self.tree = shapely.STRtree(np.concatenate(pieces) if pieces else [])
        self.taken: list[shapely.Geometry] = []
        self._bounded, self._bounds = self.taken, np.zeros((0, 4))

    def _taken_near(self, shapes: Array) -> Array:
        """What is taken where these shapes are, by its boxes."""
        if self._bounded is not self.taken:  # somebody has given this room another list
            self._bounded, self._bounds = self.taken, np.zeros((0, 4))
        new = np.array(self.taken[len(self._bounds) :], dtype=object)
        if len(new):
            self._bounds = np.vstack([self._bounds, shapely.bounds(new)])
        left, low, right, high = shapely.total_bounds(shapes)
        one = self._bounds
        near = (one[:, 0] <= right) & (one[:, 2] >= left) & (one[:, 1] <= high) & (one[:, 3] >= low)
        return np.array([self.taken[k] for k in np.flatnonzero(near)], dtype=object)

    def free(self, boxes: Array, home: shapely.Geometry | None = None) -> NDArray[np.bool_]:
        """Which boxes lie in a shape, or else in the whole room, and cover no barrier and no other label."""
        home = self.home if home is None else home
        shapely.prepare(home)
        good = np.array(shapely.contains(home, boxes))
        left = np.flatnonzero(good)
        crossed, _ = self.tree.query(boxes[left], predicate="intersects")
        good[left[crossed]] = False
        if self.taken and good.any():
            left = np.flatnonzero(good)
            near = self._taken_near(boxes[left])
            good[left] = ~shapely.intersects(boxes[left][:, None], near[None, :]).any(axis=1)
        return good

    def first(self, boxes: Array, home: shapely.Geometry | None = None) -> int | None:
        """Number of the first free box; None where there is none."""
        for start in range(0, len(boxes), _AT_ONCE):
            found = np.flatnonzero(self.free(boxes[start : start + _AT_ONCE], home))
            if len(found):
                return start + int(found[0])
        return None

    def find(
        self,
        lines: Sequence[str],
        places: Sequence[Place],
        home: shapely.Geometry | None = None,
        clear: float = 0.0,
    ) -> Place | None:
        """The first place where lines of text are free, and so many letter heights around them."""
        found = self.first(self.letters.boxes(lines, places, clear), home) if len(places) else None
        return None if found is None else places[found]

    def put(
        self,
        layer: Layer,
        lines: Sequence[str],
        places: Iterable[Place],
        home: shapely.Geometry | None = None,
    ) -> list[Label]:
        """Set lines of text at the first place that is free.

        Parameters
        ----------
        layer : Layer
        lines : sequence of str
            The text.
        places : iterable of (float, ndarray, float)
            The best first.
        home : shapely geometry, optional
            It must lie in this; in the whole room unless given.

        Returns
        -------
        list of Label
            One a line; none where there is no room.
        """
        found = self.find(lines, list(places), home)
        return [] if found is None else self.set(layer, lines, found)

    def set(self, layer: Layer, lines: Sequence[str], place: Place) -> list[Label]:
        """Set lines of text at a place, read from the left or from below, and keep it."""
        self.taken.append(self.letters.boxes(lines, [place], self.letters.apart)[0])
        height, at, angle = place
        turn = math.remainder(angle if math.cos(angle) >= -1e-9 else angle + math.pi, 2 * math.pi)
        down = np.array([math.sin(turn), -math.cos(turn)]) * self.letters.spacing * height
        middle = (len(lines) - 1) / 2.0
        return [Label(layer, line, at + down * (k - middle), height, turn) for k, line in enumerate(lines)]

    def _towards(self, point: Array, labels: Sequence[Label]) -> list[Label]:
        """Level lines of text, the shorter ones moved towards a point as far as the longest reaches."""
        wide = [self.letters.width(label.text) * label.height_mm for label in labels]
        found = []
        for label, own in zip(labels, wide, strict=True):
            spare = (max(wide) - own) / 2
            x = float(np.clip(point[0], label.at[0] - spare, label.at[0] + spare))
            found.append(evolve(label, at=np.array([x, label.at[1]])))
        return found

    def covers(self, leader: shapely.Geometry, across: bool = False) -> bool:
        """Whether a leader runs over a label, or over another leader unless it may run across those."""
        near = self._taken_near(np.array([leader]))
        near = near[shapely.get_dimensions(near) == 2] if across else near
        return bool(shapely.intersects(leader, near).any())

    def point_out(
        self,
        layer: Layer,
        lines: Sequence[str],
        point: Array,
        heights_mm: Iterable[float],
        clear_mm: float,
        home: shapely.Geometry,
        others: shapely.Geometry | None = None,
        far: bool = False,
    ) -> tuple[list[Label], list[Stroke]]:
        """Set lines of text beside a point, in its own shape if there is room there, else farther off with a leader.

        Parameters
        ----------
        layer : Layer
        lines : sequence of str
            The text.
        point : ndarray
            Shape (2,) [mm].
        heights_mm : iterable of float
            Heights of capitals to try, the largest first [mm].
        clear_mm : float
            Between the point and its text [mm].
        home : shapely geometry
            The shape that the point belongs to.
        others : shapely geometry, optional
            Shapes on which it may not stand.
        far : bool
            Whether the leader may be long, and cross other leaders, for what must be told at its point.

        Returns
        -------
        (list of Label, list of Stroke)
            The lines and the leader; none where there is no room.
        """
        middle = np.asarray(home.centroid.coords[0])
        shapely.prepare(home)
        for height in heights_mm:
            half = self.letters.size(lines) * height / 2.0
            # Beside the point first; only where there is no room, everywhere else at once.
            for reaches in (_REACHES[:1], _REACHES[1:] + _FAR * far):
                middles = point + _AROUND * (half + clear_mm) * np.array(reaches)[:, None, None]
                order = np.argsort(np.linalg.norm(middles - middle, axis=2).round(6), axis=1, kind="stable")
                middles = np.take_along_axis(middles, order[:, :, None], axis=1).reshape(-1, 2)
                boxes = shapely.box(*(middles - half).T, *(middles + half).T)
                free, inside = self.free(boxes), shapely.contains(home, boxes)
                if others is not None:
                    free &= ~shapely.intersects(others, boxes)
                if reaches[0] == 1.0:
                    free &= inside  # beside the point, but on its neighbour: whose it is could not be told
                    if free.any():
                        found = (height, middles[np.flatnonzero(free)[0]], 0.0)
                        return self._towards(point, self.set(layer, lines, found)), []
                    continue
                ring = np.arange(len(middles)) // len(_AROUND)
                best = np.lexsort((~inside, ring))
                best = best[free[best]]
                ends = np.clip(point, middles[best] - half, middles[best] + half)
                leaders = shapely.linestrings(np.stack([np.broadcast_to(point, ends.shape), ends], axis=1))
                ways = [(way, k, end) for way, k, end in zip(leaders, best, ends, strict=True)]
                for across in (False, True)[: 1 + far]:
                    for leader, k, end in ways:
                        if not self.covers(leader, across):
                            self.taken.append(leader)
                            told = self.set(layer, lines, (height, middles[k], 0.0))
                            return told, [stroke_of_points(layer, [point, end])]
        return [], []

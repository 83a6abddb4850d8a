"""Finds room for words on a crowded drawing.

Glossary: a *label* is a few lines of text about a point; its *box* is what they cover, generously; *barriers*
are lines that no text may cover. A label that has no room beside its point may stand farther off, with a
*leader* to it. This module knows nothing of what is drawn.
"""

import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from shellparts.drawing.strokes import Label, Layer, Stroke, stroke_of_points

__all__ = ["LabelRoom"]

Array = NDArray[np.float64]
#: Width of a character over the height of capitals, and of a line with its gap, both generous.
_WIDE, _LINE = 0.9, 1.5
#: Between two labels, in letter heights.
_APART = 0.5
#: How far off a label may stand, in widths and heights of its own; the first needs no leader.
_REACHES = (1.0, 1.5, 2.2, 3.2, 4.5)


class LabelRoom:
    """The room for labels on a drawing, as it is filled.

    Parameters
    ----------
    frame : shapely.Polygon
        No label leaves it.
    barriers : sequence of Stroke
        Lines that no label covers.
    clear_mm : float
        Between a point and its label [mm].
    """

    def __init__(self, frame: shapely.Polygon, barriers: Sequence[Stroke], clear_mm: float):
        self.frame, self.clear_mm = frame, clear_mm
        lines = [
            shapely.LineString(np.vstack([one.points, one.points[:1]]) if one.closed else one.points)
            for one in barriers
        ]
        # Cut up, so that a box is tested against what is near it.
        pieces = [
            shapely.linestrings(np.stack([xy[:-1], xy[1:]], axis=1))
            for line in lines
            for xy in [np.asarray(line.coords)]
        ]
        self.tree = shapely.STRtree(np.concatenate(pieces) if pieces else [])
        self.taken: list[shapely.Geometry] = []

    def _free(self, boxes: Array, home: shapely.Geometry) -> Array:
        """Which boxes lie in a shape, cover no barrier and no other label."""
        good = shapely.contains(home, boxes)
        crossed, _ = self.tree.query(boxes, predicate="intersects")
        good[crossed] = False
        if self.taken:
            near = np.array(self.taken, dtype=object)
            left = np.flatnonzero(good)
            good[left] = ~shapely.intersects(boxes[left][:, None], near[None, :]).any(axis=1)
        return np.asarray(good)

    def place(
        self,
        layer: Layer,
        lines: Sequence[str],
        places: Array,
        heights_mm: Sequence[float],
        home: shapely.Geometry,
        angles: Sequence[float] = (0.0,),
    ) -> list[Label]:
        """Set lines of text at the first of some places that has room, as large as may be.

        Parameters
        ----------
        layer : Layer
        lines : sequence of str
            The text.
        places : ndarray
            Middles of the text, the best first, shape (n, 2) [mm].
        heights_mm : sequence of float
            Heights of capitals to try, the largest first [mm].
        home : shapely.Geometry
            It must lie in this.
        angles : sequence of float
            Directions of reading to try, level or upright [rad].

        Returns
        -------
        list of Label
            One a line; none where there is no room.
        """
        for height in heights_mm:
            for angle in angles:
                half = _half(lines, height, angle)
                boxes = shapely.box(*(places - half).T, *(places + half).T)
                free = np.flatnonzero(self._free(np.atleast_1d(boxes), home))
                if len(free):
                    self.taken.append(_wider(np.atleast_1d(boxes)[free[0]], height))
                    return _set(layer, lines, places[free[0]], height, angle)
        return []

    def point_out(
        self,
        layer: Layer,
        lines: Sequence[str],
        point: Array,
        heights_mm: Sequence[float],
        home: shapely.Geometry,
        others: shapely.Geometry,
    ) -> tuple[list[Label], list[Stroke]]:
        """Set lines of text beside a point, in its own shape if there is room there, else farther off with a leader.

        Parameters
        ----------
        layer : Layer
        lines : sequence of str
            The text.
        point : ndarray
            Shape (2,) [mm].
        heights_mm : sequence of float
            Heights of capitals to try, the largest first [mm].
        home : shapely.Geometry
            The shape that the point belongs to.
        others : shapely.Geometry
            Shapes on which it may not stand.

        Returns
        -------
        (list of Label, list of Stroke)
            The lines and the leader; none where there is no room.
        """
        middle = np.asarray(home.centroid.coords[0])
        turn = np.arange(24) * math.pi / 12
        around = np.column_stack([np.cos(turn), np.sin(turn)])
        around /= np.abs(around).max(axis=1)[:, None]  # on the border of a square
        for height in heights_mm:
            half = _half(lines, height)
            for reach in _REACHES:
                places = point + around * (half + self.clear_mm) * reach
                order = np.argsort(np.linalg.norm(places - middle, axis=1).round(6), kind="stable")
                places = places[order]
                boxes = shapely.box(*(places - half).T, *(places + half).T)
                free = self._free(boxes, self.frame) & ~shapely.intersects(boxes, others)
                inside = shapely.contains(home, boxes)
                for k in [*np.flatnonzero(free & inside), *np.flatnonzero(free & ~inside)]:
                    end = np.clip(point, places[k] - half, places[k] + half)
                    leader = shapely.LineString([point, end])
                    far = reach > 1.0
                    if not far and not inside[k]:
                        continue  # beside the point, but on its neighbour: whose it is could not be told
                    if far and any(leader.intersects(other) for other in self.taken):
                        continue
                    self.taken += [_wider(boxes[k], height), *([leader] if far else [])]
                    strokes = [stroke_of_points(layer, [point, end])] if far else []
                    return _set(layer, lines, places[k], height), strokes
        return [], []


def _wider(box: shapely.Polygon, height: float) -> shapely.Polygon:
    """A box with so much room around it that its lines are not read with those of another."""
    return box.buffer(_APART * height, join_style="mitre")


def _half(lines: Sequence[str], height: float, angle: float = 0.0) -> Array:
    """Half the box of lines of text."""
    half = np.array([max(map(len, lines)) * _WIDE, len(lines) * _LINE]) * height / 2.0
    return half[::-1] if angle else half


def _set(layer: Layer, lines: Sequence[str], at: Array, height: float, angle: float = 0.0) -> list[Label]:
    down = np.array([math.sin(angle), -math.cos(angle)])
    middle = (len(lines) - 1) / 2.0
    return [
        Label(layer, line, at + down * (k - middle) * _LINE * height, height, angle)
        for k, line in enumerate(lines)
    ]

"""A small model of a flat drawing, from which every flat format is written.

Glossary: a *stroke* is a chain of straight and circular segments; the *bulge* of a segment is the tangent of
a quarter of its angle, positive when it turns left, 0 when straight; a *label* is one line of text; a *layer*
is named for a purpose.
"""

import math
from enum import Enum

import numpy as np
from attrs import evolve, frozen
from numpy.typing import ArrayLike, NDArray

__all__ = ["Drawing", "Label", "Layer", "Stroke", "arc_of", "stroke_of_points"]

Array = NDArray[np.float64]


class Layer(Enum):
    """What lines and texts are for; the values name the layers in files."""

    SEWING = "SEW_HERE"
    FINISHED = "FINISHED_EDGE"
    CUTTING = "CUT_HERE"
    LATER = "CUT_LATER_HERE"
    CURVE = "CURVED_HERE"
    FOLD = "FOLD_HERE"
    OVERLAP = "OVERLAP_TO_HERE"
    NOTCH = "NOTCH"
    CENTRE = "CENTRE_LINE"
    PATCH = "PATCH_HERE"
    LOOP = "LEAVE_LOOP_OPEN"
    STRIP = "STRIP_HERE"
    HOLD = "CLIP_ON_HERE"
    ARROW = "THIS_WAY_UP"
    CLIP = "CLIP_TO_HERE"
    NAME = "PIECE_NAME"
    EDGE = "EDGE_NAME"
    STOCK = "CLOTH_EDGE"
    MARGIN = "CLOTH_MARGIN"
    MEASURE = "MEASURE_HERE"
    POINT = "POINT_NUMBER"
    RULER = "RULER"
    SAW = "SAW_HERE"
    SEWN = "SEWING_LINE"
    FOLD_EDGE = "FOLD_EDGE"
    REGISTER = "REGISTER_MARK"
    DRILL = "DRILL_HERE"
    PART = "PART_NAME"
    JOINT = "JOINT_NAME"
    BOARD = "BOARD_EDGE"
    BOARD_MARGIN = "BOARD_MARGIN"
    WORDS = "WORDS"
    BAR = "BAR"
    THIN = "THIN"
    JOIN = "JOIN_HERE"
    LAP = "LAP_TO_HERE"
    CUT_THROUGH = "CUT_THROUGH_HERE"
    SEEN = "SEEN"
    HIDDEN = "HIDDEN_BEHIND"
    GROUND = "FLOOR"
    KEEP_FREE = "KEEP_FREE"
    FAN = "FAN"
    BALLAST = "BALLAST_HERE"
    DIMENSION = "DIMENSION"
    TOLD = "TOLD"
    FIRST_EDGE = "FIRST_EDGE"
    SECOND_EDGE = "SECOND_EDGE"


@frozen(eq=False)
class Stroke:
    """A chain of segments on a layer.

    Parameters
    ----------
    layer : Layer
    points : ndarray
        Shape (n, 2) [mm].
    bulges : ndarray
        Of the segment that starts at each point, shape (n,).
    closed : bool
        Whether the last point is joined to the first.
    """

    layer: Layer
    points: Array
    bulges: Array
    closed: bool = False


@frozen(eq=False)
class Label:
    """One line of text beside a point, halfway up its capitals.

    Parameters
    ----------
    layer : Layer
    text : str
    at : ndarray
        Shape (2,) [mm].
    height_mm : float
        Of capital letters.
    angle : float
        Direction of reading [rad].
    align : float
        Share of the text that stands before the point: 0, 0.5 or 1.
    bold : bool
    """

    layer: Layer
    text: str
    at: Array
    height_mm: float
    angle: float = 0.0
    align: float = 0.5
    bold: bool = False


@frozen(eq=False)
class Drawing:
    """Strokes and labels."""

    strokes: tuple[Stroke, ...] = ()
    labels: tuple[Label, ...] = ()

    @property
    def box(self) -> tuple[Array, Array]:
        """Lower left and upper right corner of all strokes, each shape (2,) [mm]."""
        points = np.concatenate([_extremes(stroke) for stroke in self.strokes])
        return points.min(axis=0), points.max(axis=0)

    def moved(self, by: ArrayLike, scale: float = 1.0) -> "Drawing":
        """The drawing taken by a scale, then shifted [mm]."""
        step = np.asarray(by, float)
        strokes = tuple(evolve(stroke, points=stroke.points * scale + step) for stroke in self.strokes)
        labels = tuple(
            evolve(label, at=label.at * scale + step, height_mm=label.height_mm * scale)
            for label in self.labels
        )
        return Drawing(strokes, labels)

    def __add__(self, other: "Drawing") -> "Drawing":
        """Both drawings on one sheet."""
        return Drawing(self.strokes + other.strokes, self.labels + other.labels)


def _extremes(stroke: Stroke) -> Array:
    """The points of a stroke, and the outermost points of its arcs."""
    if not stroke.bulges.any():
        return stroke.points
    found = [stroke.points]
    following = np.roll(stroke.points, -1, axis=0)
    for a, b, bulge in zip(stroke.points, following, stroke.bulges, strict=True):
        if bulge != 0.0:
            centre, radius, start, sweep = arc_of(a, b, float(bulge))
            quarter = np.arange(-8, 9) * math.pi / 2
            low, high = min(start, start + sweep), max(start, start + sweep)
            angles = quarter[(quarter > low) & (quarter < high)]
            found.append(centre + radius * np.column_stack([np.cos(angles), np.sin(angles)]))
    return np.concatenate(found)


def arc_of(a: Array, b: Array, bulge: float) -> tuple[Array, float, float, float]:
    """Centre, radius, first angle and signed angle of the arc from `a` to `b` with a bulge."""
    chord = b - a
    left = np.array([-chord[1], chord[0]])
    centre = (a + b) / 2 + left * (1 - bulge**2) / (4 * bulge)
    start = math.atan2(*(a - centre)[::-1])
    return centre, float(np.linalg.norm(a - centre)), start, 4 * math.atan(bulge)


def stroke_of_points(layer: Layer, points: ArrayLike, closed: bool = False) -> Stroke:
    """A stroke of straight segments, through points of shape (n, 2) [mm]."""
    p = np.asarray(points, float)
    return Stroke(layer, p, np.zeros(len(p)), closed)

"""What is measured with a tape from corner 0: lengths and points as text, the points themselves, and rulers."""

import math
from collections.abc import Callable

import numpy as np
import shapely
from numpy.typing import NDArray

from shellparts.base.units import feet_inches
from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke, stroke_of_points
from shellparts.parameters import Marking, Tape

__all__ = ["board_tape", "dot", "point_pair", "round_shape", "ruler", "tape_text", "unbroken"]

Array = NDArray[np.float64]
#: A ring of fewer points is not round.
_ROUND_POINTS = 20
#: Radius of a dot, length of a tick of a ruler, and height of its numbers on paper [mm].
_DOT_MM, _TICK_MM, _NUMBER_MM = 0.3, 1.5, 1.8


def tape_text(value_mm: float, marking: Marking, finest: int = 8) -> str:
    """Write a length in as few characters as the tape at hand allows.

    Parameters
    ----------
    value_mm : float
        A length [mm].
    marking : Marking
        Which tape it is.
    finest : int
        Inches are told to 1 part in this many [-].

    Returns
    -------
    str
        Whole millimetres without a unit, or feet and inches.

    Examples
    --------
    >>> tape_text(4432.3, Marking()), tape_text(4432.3, Marking(tape="imperial"))
    ('4432', '14\\' 6 1/2"')
    """
    if marking.tape is Tape.IMPERIAL:
        return feet_inches(value_mm, finest).replace(" ft", "'").replace(" in", '"')
    return f"{value_mm:.0f}".replace("-0", "0")


def board_tape(value_mm: float, marking: Marking) -> str:
    """A length as finely as a template is marked out: whole millimetres, or feet and inches to 1/16 in."""
    return tape_text(value_mm, marking, 16)


def unbroken(text: str) -> str:
    """A text that is never broken into lines."""
    return text.replace(" ", "\u00a0")


def point_pair(point: Array, show: Callable[[float], str]) -> str:
    """Along and across of a point on one line."""
    return unbroken(" / ".join(show(float(value)) for value in point))


def round_shape(outline: Array, within_mm: float) -> tuple[Array, float] | None:
    """Centre and radius of a round shape, which is drawn with a trammel.

    Parameters
    ----------
    outline : ndarray
        Shape (n, 2) [mm].
    within_mm : float
        How much its radii may differ [mm].

    Returns
    -------
    (ndarray, float) or None
        Centre, shape (2,), and radius [mm]; None where it is not round.

    Examples
    --------
    >>> turn = np.arange(48) * 2 * np.pi / 48
    >>> ring = 110.0 * np.column_stack([np.cos(turn), np.sin(turn)]) + 200.0
    >>> centre, radius = round_shape(ring, 0.2)
    >>> centre.round(6).tolist(), round(radius, 6)
    ([200.0, 200.0], 110.0)
    """
    if len(outline) < _ROUND_POINTS:
        return None
    centre = np.array(shapely.Polygon(outline).centroid.coords[0])
    radii = np.linalg.norm(outline - centre, axis=1)
    return (centre, float(radii.mean())) if np.ptp(radii) < within_mm else None


def dot(at: Array, scale: float) -> Stroke:
    """A point to measure, on paper at 1 to a scale."""
    turn = np.arange(8) * math.pi / 4
    ring = _DOT_MM * scale * np.column_stack([np.cos(turn), np.sin(turn)])
    return stroke_of_points(Layer.MEASURE, at + ring, closed=True)


def ruler(
    low: float, high: float, width: float, step: float, scale: float, marking: Marking, zero: float = 0.0
) -> Drawing:
    """Ticks and numbers outside a rectangle, from low to high along it and from 0 across [mm], at 1 to a scale.

    Along it they are counted from `zero` [mm].
    """
    strokes, labels = [], []
    for axis, first, last in ((0, low - zero, high - zero), (1, step, width)):
        out = np.eye(2)[1 - axis]
        for k in range(math.ceil(first / step - 1e-9), math.floor(last / step + 1e-9) + 1):
            at = np.array([low, k * step] if axis else [zero + k * step, 0.0])
            strokes.append(stroke_of_points(Layer.RULER, [at, at - out * _TICK_MM * scale]))
            place, angle = at - 2.0 * _TICK_MM * scale * out, axis * math.pi / 2
            text = tape_text(k * step, marking, 16)
            labels.append(Label(Layer.RULER, text, place, _NUMBER_MM * scale, angle))
    return Drawing(tuple(strokes), tuple(labels))

"""Small vector arithmetic for rows of points in space: component first, so that each component is one array.

Glossary: an array of vectors here has shape (3, m). A single vector is a tuple of three floats, for which
plain arithmetic is faster than arrays.
"""

import math

import numpy as np
from numpy.typing import NDArray

__all__ = ["Vector", "angle_about", "cross", "dot", "sum_of", "unit"]

Array = NDArray[np.float64]
Vector = tuple[float, float, float]


def dot(a: Array, b: Array) -> Array:
    """Dot products of two rows of vectors."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Array, b: Array) -> Array:
    """Cross products of two rows of vectors."""
    out = np.empty_like(a)
    out[0] = a[1] * b[2] - a[2] * b[1]
    out[1] = a[2] * b[0] - a[0] * b[2]
    out[2] = a[0] * b[1] - a[1] * b[0]
    return out


def unit(a: Vector) -> Vector:
    """Direction of one vector."""
    size = math.hypot(*a) or math.nan
    return (a[0] / size, a[1] / size, a[2] / size)


def sum_of(a: Vector, b: Vector) -> Vector:
    """Sum of two vectors."""
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def angle_about(normal: Vector, a: Vector, b: Vector) -> float:
    """Angle between two vectors, with its sign [rad].

    Examples
    --------
    >>> round(angle_about((0, 0, 1), (1, 0, 0), (0, 2, 0)), 12) == round(math.pi / 2, 12)
    True
    """
    across = (
        normal[0] * (a[1] * b[2] - a[2] * b[1])
        + normal[1] * (a[2] * b[0] - a[0] * b[2])
        + normal[2] * (a[0] * b[1] - a[1] * b[0])
    )
    return math.atan2(across, (a[0] * b[0] + a[1] * b[1] + a[2] * b[2]) * math.hypot(*normal))

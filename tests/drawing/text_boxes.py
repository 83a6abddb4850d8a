"""What labels cover, by a real font."""

import math

import numpy as np
import shapely
from ezdxf.fonts import fonts


def text_box(label):
    """Box of a label, its width measured in a real font by ezdxf, wider than most."""
    font = fonts.make_font("DejaVuSans.ttf", label.height_mm)
    half = np.array([font.text_width(label.text), label.height_mm]) / 2
    corners = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) * half
    cos, sin = math.cos(label.angle), math.sin(label.angle)
    return shapely.Polygon(label.at + corners @ np.array([[cos, sin], [-sin, cos]]))


def none_overlap(labels):
    boxes = [text_box(one) for one in labels]
    first, second = shapely.STRtree(boxes).query(boxes, predicate="overlaps")
    return first.tolist() == second.tolist()

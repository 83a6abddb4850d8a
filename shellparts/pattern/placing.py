"""How a piece lies on the table: upright, its centre line on x = 0, its lower edge on y = 0.

Also the round cap: in the body the cap is the flat polygon that the panels' ends leave; as cloth it is the
circle whose circumference is the sum of those ends, because cloth takes the round shape.
"""

import math
from collections.abc import Iterator

import numpy as np
from attrs import evolve
from numpy.typing import NDArray

from shellparts.body.seams import SeamGraph
from shellparts.parameters.part import Part, Role
from shellparts.unroll.outline import FlatEdge, Form, Loop, Outline

__all__ = ["placed", "rounded"]

Array = NDArray[np.float64]


def rounded(outline: Outline) -> Outline:
    """The circle about the origin as long around as an outline, its edges as arcs of their lengths in their order.

    The flat area is the circle's, the area of the face still the polygon's.
    """
    radius = outline.outer.perimeter_mm / (2 * math.pi)
    arcs, turn = [], 0.0
    for edge in outline.outer.edges:
        last = turn + edge.length_mm / radius
        angles = np.array([turn, last])
        arcs.append(
            FlatEdge(
                key=edge.key,
                form=Form.ARC,
                s=np.array([0.0, edge.length_mm]),
                xy=radius * np.column_stack([np.cos(angles), np.sin(angles)]),
                heading=angles + math.pi / 2,
                curvature=np.full(2, 1.0 / radius),
                solid_length_mm=edge.solid_length_mm,
                forward=edge.forward,
            )
        )
        turn = last
    closure = float(np.linalg.norm(arcs[-1].end - arcs[0].start))
    loop = Loop(tuple(arcs), max(closure, outline.outer.closure_mm))
    return evolve(outline, outer=loop, flat_area_mm2=math.pi * radius**2)


def _lines(outline: Outline) -> Iterator[FlatEdge]:
    yield from outline.outer.edges
    yield from (fold.edge for fold in outline.folds)


def _chord(edges: list[FlatEdge]) -> tuple[Array, float]:
    """Middle and direction of a straight row of edges, which may lie in any order."""
    ends = np.array([p for edge in edges for p in (edge.start, edge.end)])
    along = edges[0].end - edges[0].start
    along /= np.linalg.norm(along)
    reach = ends @ along
    middle = ends[np.argmin(reach)] + ends[np.argmax(reach)]
    return middle / 2, math.atan2(along[1], along[0])


def placed(outline: Outline, kind: Part, graph: SeamGraph) -> Outline:
    """Turn and shift an outline so that it lies as on the table.

    Parameters
    ----------
    outline : Outline
        In any place.
    kind : Part
        Says which edge is the lower one: the outer end of tubes, the foot of all others.
    graph : SeamGraph
        Knows which edges these are.

    Returns
    -------
    Outline
        Panels stand on their foot line, so that a flap in one with them lies below y = 0.
    """
    below = graph.ends if kind.role is Role.TUBE else graph.feet
    low = [edge for edge in _lines(outline) if edge.key in below]
    high = [edge for edge in outline.outer.edges if edge.key in graph.tops] if kind.role is Role.PANEL else []
    if not low and not high:
        return _on_corner(outline)
    _foot, direction = _chord(low or high)
    turned = outline.moved(-direction, 0.0, 0.0)
    if not _is_upright(turned, low, high):
        turned = turned.moved(math.pi, 0.0, 0.0)
    below_keys = {edge.key for edge in low}
    axis_keys = {edge.key for edge in (high or low)}
    centre = _chord([edge for edge in _lines(turned) if edge.key in axis_keys])[0][0]
    if low:
        base = _chord([edge for edge in _lines(turned) if edge.key in below_keys])[0][1]
    else:
        base = turned.outer.polyline(1.0)[:, 1].min()
    return turned.moved(0.0, -float(centre), -float(base))


def _is_upright(turned: Outline, low: list[FlatEdge], high: list[FlatEdge]) -> bool:
    """Whether the lower edges are below, or the upper ones above, the middle of the piece."""
    keys = {edge.key for edge in (low or high)}
    points = turned.outer.polyline(1.0)
    height = _chord([edge for edge in _lines(turned) if edge.key in keys])[0][1]
    middle = (points[:, 1].max() + points[:, 1].min()) / 2
    return bool(height < middle) if low else bool(height > middle)


def _on_corner(outline: Outline) -> Outline:
    points = outline.outer.polyline(1.0)
    low, high = points.min(axis=0), points.max(axis=0)
    return outline.moved(0.0, -float(low[0] + high[0]) / 2, -float(low[1]))

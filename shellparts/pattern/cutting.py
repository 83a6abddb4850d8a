"""The cutting line: outside the sewing line by each edge's own allowance.

It is built as a union of the piece and a band along every edge, with the corners filled out to the point
where the two bands' outer lines meet, or squared where that would be a spike. A union can only add cloth, so
the cutting line never crosses the sewing line.
"""

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.polygon import orient

from shellparts.base.errors import GeometryError
from shellparts.base.tolerances import TOLERANCES
from shellparts.pattern.pieces import PieceEdge

__all__ = ["cutting_line"]

Array = NDArray[np.float64]
#: A corner may reach this many allowances from the sewing line before it is squared.
_SPIKE = 2.0


def _normal(heading: float) -> Array:
    """Unit vector to the right of the walk: outward."""
    return np.array([math.sin(heading), -math.cos(heading)])


def _band(points: Array, allowance: float) -> shapely.Geometry:
    """Everything within the allowance on the right of a polyline."""
    line = shapely.LineString(points)
    return line.buffer(-allowance, single_sided=True, join_style="mitre", mitre_limit=_SPIKE)


def _corner(at: Array, before: tuple[float, float], after: tuple[float, float]) -> shapely.Geometry | None:
    """Fill of an outer corner between two edges, each given as (heading, allowance).

    The fill is convex, and so taken as a hull, which stays sound where two of its corners fall together.
    """
    (h1, a1), (h2, a2) = before, after
    turn = math.remainder(h2 - h1, 2 * math.pi)
    if turn <= 1e-9:
        return None
    p, q = at + a1 * _normal(h1), at + a2 * _normal(h2)
    u, v = np.array([math.cos(h1), math.sin(h1)]), np.array([math.cos(h2), math.sin(h2)])
    reach = _SPIKE * max(a1, a2)
    along, back = _meet(p, u, q, v)
    if min(along, back) < 0.0:
        return _hull(at, p, q)  # one allowance is so much the wider that the lines met already
    if max(along, back) <= reach:
        return _hull(at, p, p + along * u, q)
    return _hull(at, p, p + a2 * u, q - a1 * v, q)


def _hull(*points: Array) -> shapely.Geometry:
    """Smallest convex area with all the points."""
    return shapely.MultiPoint(np.array(points)).convex_hull


def _meet(p: Array, u: Array, q: Array, v: Array) -> tuple[float, float]:
    """How far forward from `p` along `u`, and back from `q` along `v`, the two lines meet."""
    across = u[0] * v[1] - u[1] * v[0]
    if abs(across) < 1e-9:
        return math.inf, math.inf
    d = q - p
    return (d[0] * v[1] - d[1] * v[0]) / across, -(d[0] * u[1] - d[1] * u[0]) / across


def _along(loop: Sequence[PieceEdge]) -> Iterator[shapely.Geometry]:
    """Bands along the polylines of one loop, and fills of the corners between them."""
    lines = [
        (flat.polyline(TOLERANCES.drawing_sagitta_mm), edge.allowance_mm)
        for edge in loop
        for flat in edge.flat
    ]
    for (points, allowance), (onward, following) in zip(lines, lines[1:] + lines[:1], strict=True):
        yield _band(points, allowance)
        last, first = _heading(points[-2], points[-1]), _heading(onward[0], onward[1])
        fill = _corner(points[-1], (last, allowance), (first, following))
        if fill is not None and fill.area > 1e-9:
            yield fill


def _heading(a: Array, b: Array) -> float:
    return math.atan2(b[1] - a[1], b[0] - a[0])


def _sealed(area: shapely.Geometry) -> shapely.Geometry:
    """The area without the slivers that rounding leaves between neighbouring bands, which reach the sewing line."""
    seal = 10.0 * TOLERANCES.cutting_grid_mm
    wider = area.buffer(seal, join_style="mitre", mitre_limit=_SPIKE)
    return wider.buffer(-seal, join_style="mitre", mitre_limit=_SPIKE)


def cutting_line(
    name: str, edges: Sequence[PieceEdge], holes: Sequence[Sequence[PieceEdge]]
) -> tuple[Array, ...]:
    """Make the cutting line of a piece [mm]."""
    sagitta = TOLERANCES.drawing_sagitta_mm
    rings = [np.concatenate([edge.polyline(sagitta)[:-1] for edge in loop]) for loop in (edges, *holes)]
    sewing = shapely.Polygon(rings[0], rings[1:])
    if not sewing.is_valid:
        raise GeometryError(f"the sewing line of {name} crosses itself: {shapely.is_valid_reason(sewing)}")
    area = shapely.union_all(
        [sewing, *(shape for loop in (edges, *holes) for shape in _along(loop))],
        grid_size=TOLERANCES.cutting_grid_mm,
    )
    if area.geom_type != "Polygon":
        area = max(area.geoms, key=lambda polygon: polygon.area)
    area = orient(shapely.remove_repeated_points(_sealed(area), 1e-6))
    return tuple(np.asarray(ring.coords)[:-1] for ring in (area.exterior, *area.interiors))

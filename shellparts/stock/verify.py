"""Checks every layout before it is shown: overlap, gap, margin, count.

Glossary: a *fault* is one thing wrong with a layout; the *gap* is the cloth left between two cutting lines
for the scissors. The checks measure the placed outlines themselves and know nothing of how they were found.
"""

from collections import Counter
from collections.abc import Mapping

import numpy as np
import shapely
from attrs import frozen

from shellparts.base.tolerances import TOLERANCES
from shellparts.parameters.stocks import Roll
from shellparts.stock.layout import StockLayout

__all__ = ["Fault", "count_faults", "faults"]


@frozen
class Fault:
    """One "overlap" [mm2], short "gap", crossed "margin" [mm] or wrong "count", and by how much."""

    kind: str
    pieces: tuple[str, ...]
    amount: float


def faults(layout: StockLayout, gap_mm: float) -> tuple[Fault, ...]:
    """Overlaps, short gaps and pieces outside the margin, beyond the tolerances; empty when all is well."""
    found: list[Fault] = []
    names = [f"{placed.name} {placed.copy}" for placed in layout.pieces]
    polygons = np.array([shapely.Polygon(placed.outline) for placed in layout.pieces], dtype=object)
    if not len(polygons):
        return ()
    if isinstance(layout.stock, Roll):
        along, across = 0.0, layout.stock.edge_mm
    else:
        along = across = layout.stock.hem_mm
    bounds = shapely.bounds(polygons)
    out = np.max(
        [
            along - bounds[:, 0],
            across - bounds[:, 1],
            bounds[:, 2] - (layout.length_mm - along),
            bounds[:, 3] - (layout.width_mm - across),
        ],
        axis=0,
    )
    found += [
        Fault("margin", (names[k],), float(out[k])) for k in np.flatnonzero(out > TOLERANCES.layout_slip_mm)
    ]
    first, second = shapely.STRtree(polygons).query(polygons, predicate="dwithin", distance=gap_mm)
    near = first < second
    first, second = first[near], second[near]
    areas = shapely.area(shapely.intersection(polygons[first], polygons[second]))
    short = gap_mm - shapely.distance(polygons[first], polygons[second])
    for i, j, area, lack in zip(first, second, areas, short, strict=True):
        if area > TOLERANCES.layout_overlap_mm2:
            found.append(Fault("overlap", (names[i], names[j]), float(area)))
        elif lack > TOLERANCES.layout_slip_mm:
            found.append(Fault("gap", (names[i], names[j]), float(lack)))
    return tuple(found)


def count_faults(layouts: tuple[StockLayout, ...], wanted: Mapping[str, int]) -> tuple[Fault, ...]:
    """Pieces that were laid too often or not often enough; the amount is laid less wanted."""
    placed = Counter(piece.name for layout in layouts for piece in layout.pieces)
    names = sorted(set(placed) | set(wanted))
    return tuple(
        Fault("count", (name,), placed[name] - wanted.get(name, 0))
        for name in names
        if placed[name] != wanted.get(name, 0)
    )

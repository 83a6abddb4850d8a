"""Small words for printable solids: prisms of outlines, ridges along seams, the largest of several pieces."""

import math
from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from manifold3d import CrossSection, FillRule, Manifold, OpType
from numpy.typing import ArrayLike, NDArray
from shapely import MultiPolygon, Polygon

__all__ = ["arrays", "below", "largest", "outline_at", "placed", "polygons", "prism", "ridges", "united"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def arrays(body: Manifold) -> tuple[Floats, Ints]:
    """Corners [mm] and triangles of a solid."""
    mesh = body.to_mesh64()
    return np.asarray(mesh.vert_properties)[:, :3], np.asarray(mesh.tri_verts).astype(np.int64)


def united(bodies: Iterable[Manifold]) -> Manifold:
    """All of them as one."""
    return Manifold.batch_boolean(list(bodies), OpType.Add)


def largest(body: Manifold) -> Manifold:
    """The largest of its separate pieces: booleans leave crumbs."""
    pieces = body.decompose()
    return max(pieces, key=lambda piece: piece.volume()) if len(pieces) > 1 else body


def placed(body: Manifold, axes: ArrayLike, origin: ArrayLike) -> Manifold:
    """A solid given in axes of its own, put where their origin and directions (rows) say."""
    return body.transform(np.column_stack([np.asarray(axes, float).T, np.asarray(origin, float)]))


def polygons(shape: Polygon | MultiPolygon) -> list[Polygon]:
    """The polygons of a shape, without crumbs."""
    return [p for p in getattr(shape, "geoms", [shape]) if p.area > 1e-6]


def prism(shape: Polygon | MultiPolygon, low: float, high: float, taper: float = 1.0) -> Manifold:
    """An outline drawn out from one height to another [mm], its upper end so many times as large."""
    rings = []
    for polygon in polygons(shape):
        turned = shapely.orient_polygons(polygon)
        rings += [np.asarray(ring.coords)[:-1] for ring in (turned.exterior, *turned.interiors)]
    return (
        CrossSection(rings, FillRule.NonZero)
        .extrude(high - low, scale_top=(taper, taper))
        .translate([0.0, 0.0, low])
    )


def outline_at(body: Manifold, height: float) -> Polygon:
    """The outer outline of a solid at a height, the largest if there are several."""
    rings = [Polygon(np.asarray(ring)) for ring in body.slice(height).to_polygons() if len(ring) > 2]
    return max(rings, key=lambda ring: ring.area)


def below(body: Manifold, height: float) -> Manifold:
    """What lies below a height."""
    return body.trim_by_plane([0.0, 0.0, -1.0], -height)


def _bead(radius: float) -> Floats:
    """A bead without its foot: a ring, and what is round above it; its flats are a radius from its middle."""
    turns = np.arange(8) * math.pi / 4
    ring = np.column_stack([np.cos(turns), np.sin(turns), np.zeros(8)])
    upper = 0.7 * ring + np.array([0.0, 0.0, 0.7])
    ring, upper = ring / math.cos(math.pi / 8), upper / math.cos(math.pi / 8)
    return radius * np.vstack([ring, upper, [[0.0, 0.0, 1.0]]])


def ridges(lines: Sequence[Floats] | Floats, radius: float, feet: Floats | None = None) -> Manifold:
    """Ridges along straight pieces of lines, shape (k, 2, 3) [mm], that stand out by a radius [mm] and grow from feet.

    A foot lies straight below its end of a line, so that a ridge grows out of an upright wall at 45 degrees, unless
    feet are given, shape (k, 2, 3) [mm].
    """
    bead, ends = _bead(radius), np.asarray(lines, float)
    feet = ends - np.array([0.0, 0.0, 1.25 * radius]) if feet is None else feet
    return united(
        Manifold.hull_points(np.vstack([bead + a, bead + b, f])) for (a, b), f in zip(ends, feet, strict=True)
    )

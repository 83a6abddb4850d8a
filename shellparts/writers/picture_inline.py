"""A small picture of the sewn room as SVG to stand in a page or a notebook. No window, no renderer, no network.

Triangles that face the viewer are painted from the farthest to the nearest, each with the edges of its sheet.
"""

import math
from collections import Counter
from collections.abc import Iterator

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from shellparts.body.body import Body
from shellparts.writers.viewer import sheet_shapes

__all__ = ["inline_picture"]

Array = NDArray[np.float64]
#: How coarse the triangles are, first the finest [mm]; the first picture that is small enough is taken.
_COARSE_MM = (4.0, 12.0, 40.0, 250.0)
#: As large as a picture may be [byte]: a notebook with twenty of them stays under a megabyte.
_LARGEST = 36_000
#: Where the viewer and the light stand: azimuth from the doorway's middle and height [rad].
_VIEWER, _LIGHT = (math.radians(-38.0), math.radians(18.0)), (math.radians(-75.0), math.radians(50.0))
#: Units of the picture across; its edges stay free by `_MARGIN`.
_WIDTH, _MARGIN = 720.0, 12.0
_LINE = "#444"
#: Steps between lit and unlit: neighbours of one shade are painted in one stroke.
_SHADES = 16


@frozen(eq=False)
class _Facet:
    """A triangle on the picture: how near, its corners, its colour and those of its edges that end a face."""

    near: float
    corners: Array
    colour: str
    edges: tuple[tuple[int, int], ...]


def _direction(place: tuple[float, float]) -> Array:
    """Unit vector towards a place, shape (3,)."""
    turn, up = place
    return np.array([math.cos(turn) * math.cos(up), math.sin(turn) * math.cos(up), math.sin(up)])


def _facets(body: Body, coarse_mm: float) -> Iterator[_Facet]:
    """Every triangle that faces the viewer; coordinates across and downward [mm]."""
    toward, light = _direction(_VIEWER), _direction(_LIGHT)
    across = np.cross([0.0, 0.0, 1.0], toward)
    across /= np.linalg.norm(across)
    axes = np.array([across, -np.cross(toward, across)])
    for _, shape, colour in sheet_shapes(body):
        # A copy without its mesh: the kernel keeps a mesh on its shape, and this one is too coarse for others.
        points, triangles = shape.copy(mesh=False).tessellate(coarse_mm, 0.35)
        nodes = np.array([point.toTuple() for point in points])
        borders = Counter(frozenset((t[i], t[i - 1])) for t in triangles for i in range(3))
        for triangle in triangles:
            corners = nodes[list(triangle)]
            normal = np.cross(corners[1] - corners[0], corners[2] - corners[0])
            size = float(np.linalg.norm(normal))
            if size == 0.0 or normal @ toward <= 0.0:
                continue
            lit = round(_SHADES * max(0.0, float(normal @ light) / size)) / _SHADES
            shade = "#" + "".join(f"{round(part * (0.62 + 0.38 * lit)):02x}" for part in colour)
            ends = [(i, (i + 2) % 3) for i in range(3)]
            edges = tuple(e for e in ends if borders[frozenset((triangle[e[0]], triangle[e[1]]))] == 1)
            yield _Facet(float(corners.mean(axis=0) @ toward), corners @ axes.T, shade, edges)


def _svg(facets: list[_Facet], title: str) -> str:
    """Paint the facets, the farthest first; neighbours of one colour in one stroke."""
    every = np.concatenate([one.corners for one in facets])
    low, size = every.min(axis=0), np.ptp(every, axis=0)
    scale = (_WIDTH - 2 * _MARGIN) / float(size.max())
    width, height = (round(float(one) * scale + 2 * _MARGIN) for one in size)
    parts: list[str] = []
    run: list[str] = []
    shade = ""

    def end_run() -> None:
        if run:
            parts.append(f'<path fill="{shade}" stroke="{shade}" d="{"".join(run)}"/>')
            run.clear()

    for one in sorted(facets, key=lambda facet: facet.near):
        x, y = np.rint((one.corners - low) * scale + _MARGIN).astype(int).T
        if one.colour != shade:
            end_run()
            shade = one.colour
        run.append(f"M{x[0]} {y[0]}L{x[1]} {y[1]} {x[2]} {y[2]}z")
        if one.edges:
            end_run()
            lines = "".join(f"M{x[a]} {y[a]}L{x[b]} {y[b]}" for a, b in one.edges)
            parts.append(f'<path stroke="{_LINE}" d="{lines}"/>')
    end_run()
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width // 2}" height="{height // 2}" '
        f'viewBox="0 0 {width} {height}" role="img" aria-label="{title}" stroke-linejoin="round" stroke-width="1.5">'
        f"{''.join(parts)}</svg>"
    )


def inline_picture(body: Body, title: str) -> str:
    """Draw a sewn body as SVG.

    Parameters
    ----------
    body : Body
    title : str
        Read out in place of the picture; without signs that HTML minds.

    Returns
    -------
    str
        One ``<svg>`` element of less than 36 kB, or of the coarsest triangles.
    """
    picture = ""
    for coarse_mm in _COARSE_MM:
        picture = _svg(list(_facets(body, coarse_mm)), title)
        if len(picture) <= _LARGEST:
            break
    return picture

"""Triangles of half a panel of a round room, from its mid-line to its seam, and of its part of the cap.

Glossary: the *mid-line* runs up the middle of a panel from the floor; at each *station* on it the panel's
half width, and its radius and height as sewn, are given. The *cap* is the flat many-sided piece that closes the top,
if the panels do not meet in a point. A *row* of nodes runs across the half panel; where it grows narrow, towards the
top, every other node is left out: cells much narrower than high would cost time and hold wrinkles that come and go.

This module knows nothing of air, cloth or holds.
"""

from collections.abc import Sequence

import numpy as np
from attrs import field, frozen
from numpy.typing import ArrayLike, NDArray

from shellparts.base.errors import ParameterError
from shellparts.base.names import Named
from shellparts.inflate.membrane import Membrane
from shellparts.inflate.sheet import MembraneSheet

__all__ = ["RestMesh", "grid_triangles", "mesh_half_panel"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_KINK_RAD = 0.05
"""The mesh has a row wherever the mid-line or the edge turns by more than this."""
_POINT = 1e-3
"""A top narrower than this share of the widest place is a point."""
_HIGHER = 0.7
"""Height of a cell as a share of its width: forces change faster up a panel, where its profile bends, than across.
With 0.7 the largest force across settles within 0.4 % at 1,500 triangles, with 1 within 0.6 %."""
_NARROW = 0.6
"""Cells stay wider than this share of those in the widest row."""
_NEAR, _TRIES = 0.03, 6
"""How near to the number of triangles asked for is near enough, and how often to try."""


@frozen(eq=False)
class RestMesh:
    """Nodes in space, triangles, and the triangles laid flat.

    Parameters
    ----------
    nodes : ndarray (n, 3) float
        Points [mm].
    triangles : ndarray (m, 3) int
        Corners.
    rest : ndarray (m, 3, 2) float
        Corners on the flat cloth [mm].
    edges : mapping of str to ndarray of int
        Named lists of nodes.
    air_faces : ndarray (k, 3) int
        Faces without cloth that close the air in; none if not given.
    """

    nodes: Floats
    triangles: Ints
    rest: Floats
    edges: Named[str, Ints]
    air_faces: Ints = field(factory=lambda: np.zeros((0, 3), dtype=np.int64))

    def sheet(self, cloth: Membrane | Sequence[Membrane], warp_angle: ArrayLike = ()) -> MembraneSheet:
        """Give the mesh a cloth.

        Parameters
        ----------
        cloth : Membrane or sequence of Membrane
            The cloth.
        warp_angle : array_like (m,) float
            Angle from the rest x axis to the warp [rad].

        Returns
        -------
        MembraneSheet
            What `inflate` takes.
        """
        return MembraneSheet(
            self.nodes, self.triangles, self.rest, cloth, warp_angle, air_faces=self.air_faces
        )


def grid_triangles(numbers: Ints) -> Ints:
    """Split a grid of nodes into triangles, the diagonals turned alternately; equal corners make no triangle.

    Parameters
    ----------
    numbers : ndarray (r, c) int
        Node numbers; a row may be one and the same node.

    Returns
    -------
    ndarray (m, 3) int
        Triangles, counterclockwise where columns run along x and rows along y.

    Examples
    --------
    >>> grid_triangles(np.array([[0, 1], [2, 3]])).tolist()
    [[0, 1, 3], [0, 3, 2]]
    >>> grid_triangles(np.array([[0, 1], [2, 2]])).tolist()
    [[0, 1, 2]]
    """
    a, b, d, c = numbers[:-1, :-1], numbers[:-1, 1:], numbers[1:, :-1], numbers[1:, 1:]
    row, column = np.indices(a.shape)
    even = ((row + column) % 2 == 0)[..., None]
    first = np.where(even, np.stack([a, b, c], -1), np.stack([a, b, d], -1)).reshape(-1, 3)
    second = np.where(even, np.stack([a, c, d], -1), np.stack([b, c, d], -1)).reshape(-1, 3)
    both = np.stack([first, second], axis=1).reshape(-1, 3)
    distinct = (both[:, 0] != both[:, 1]) & (both[:, 1] != both[:, 2]) & (both[:, 2] != both[:, 0])
    return both[distinct]


@frozen(eq=False)
class _Rows:
    """Rows from the floor up.

    Parameters
    ----------
    half, radius, height, along : ndarray (r,) float
        Half width of the flat cloth, radius and height of the mid-line as sewn, distance along the mid-line [mm].
    cells : ndarray (r,) int
        Cells across; the last row, a point, has none.
    below_cap : int
        How many rows are the panel's.
    """

    half: Floats
    radius: Floats
    height: Floats
    along: Floats
    cells: Ints
    below_cap: int

    @property
    def triangles(self) -> int:
        """Triangles between the rows: one stands on each side of a cell."""
        return int(self.cells[0] + 2 * self.cells[1:].sum())


def _places(stations: Floats, count: int) -> Floats:
    """Distances of about `count` rows, evenly between the kinks of the mid-line and the edge."""
    s = stations[:, 0]
    step = np.diff(stations[:, 1:], axis=0) / np.diff(s)[:, None]
    edge, slope = np.arctan(step[:, 0]), np.arctan2(step[:, 2], step[:, 1])
    turn = np.maximum(np.abs(np.diff(edge)), np.abs((np.diff(slope) + np.pi) % (2 * np.pi) - np.pi))
    kinks = np.concatenate([s[:1], s[1:-1][turn > _KINK_RAD], s[-1:]])
    parts = np.maximum(1, np.round(np.diff(kinks) / (s[-1] - s[0]) * count)).astype(int)
    pieces = [
        np.linspace(a, b, k, endpoint=False) for a, b, k in zip(kinks[:-1], kinks[1:], parts, strict=True)
    ]
    return np.concatenate([*pieces, s[-1:]])


def _rows(stations: Floats, apothem: float, size: float) -> _Rows:
    """Rows of cells whose area is the square of `size` where the panel is widest."""
    s, high = stations[:, 0], size * np.sqrt(_HIGHER)
    along = _places(stations, max(2, round((s[-1] - s[0]) / high)))
    below_cap = len(along)
    half, radius, height = (np.interp(along, s, column) for column in stations[:, 1:].T)
    if apothem > 0:
        count = max(2, round(apothem / high))
        inward = 1 - np.arange(1, count + 1) / count
        half = np.concatenate([half, half[-1] * inward])
        height = np.concatenate([height, height[-1] + 0.1 * radius[-1] * (1 - inward**2)])
        radius = np.concatenate([radius, radius[-1] * inward])
        along = np.concatenate([along, along[-1] + apothem * (1 - inward)])
    half[-1] = radius[-1] = 0.0
    most = max(2, round(half.max() * np.sqrt(_HIGHER) / size))
    choices = [most]
    while choices[-1] > 1:
        choices.append((choices[-1] + 1) // 2)
    widths = half[:, None] / np.array(choices)
    wide = widths >= _NARROW * half.max() / most
    cells = np.where(wide.any(axis=1), np.array(choices)[wide.argmax(axis=1)], 1)
    cells[-1] = 0
    return _Rows(half, radius, height, along, cells, below_cap)


def _between(lower: Ints, upper: Ints) -> list[tuple[int, int, int]]:
    """Triangles between two rows of different numbers of nodes, the cell whose middle is next one first."""
    p, q = len(lower) - 1, len(upper) - 1
    found, i, k = [], 0, 0
    while i < p or k < q:
        if k == q or (i < p and (2 * i + 1) * q <= (2 * k + 1) * p):
            found.append((lower[i], lower[i + 1], upper[k]))
            i += 1
        else:
            found.append((lower[i], upper[k + 1], upper[k]))
            k += 1
    return found


def _triangles(cells: Ints) -> tuple[Ints, Ints]:
    """First node of each row, and the triangles between all rows."""
    first = np.concatenate([[0], np.cumsum(cells + 1)])
    rows = [first[i] + np.arange(count + 1) for i, count in enumerate(cells)]
    found: list[Ints] = []
    begin = 0
    for end in range(1, len(rows)):
        if cells[end] != cells[begin]:
            if end - begin > 1:
                found.append(grid_triangles(np.stack(rows[begin:end])))
            found.append(np.array(_between(rows[end - 1], rows[end])))
            begin = end
    return first, np.concatenate(found)


def _check(stations: Floats, panels: int, triangles: int) -> None:
    """Refuse stations that make no panel."""
    if stations.ndim != 2 or stations.shape[1] != 4 or len(stations) < 2 or not np.isfinite(stations).all():
        raise ParameterError(
            "shape of the stations",
            str(stations.shape),
            "(2 or more, 4) and finite",
            "give s, half width, radius, height",
        )
    if panels < 3:
        raise ParameterError("number of panels", str(panels), "at least 3", "add panels")
    s, half, radius, height = stations.T
    for what, bad, limit in (
        ("step between stations", float(np.diff(s).min()), "positive"),
        ("half width below the top", float(half[:-1].min()), "positive"),
        ("half width at the top", float(half[-1]), "zero or more"),
        ("radius as sewn below the top", float(radius[:-1].min()), "positive"),
        ("radius as sewn at the top", float(radius[-1]), "zero or more"),
    ):
        if bad < 0 or (bad == 0 and limit == "positive"):
            raise ParameterError(what, f"{bad:g} mm", limit, "list the stations from the floor up")
    if abs(height[0]) > 1e-6 * s[-1]:
        raise ParameterError(
            "height of the first station", f"{height[0]:g} mm", "0 mm", "measure heights from the floor"
        )
    if triangles < 8:
        raise ParameterError("number of triangles", str(triangles), "at least 8", "take about 1500")


def mesh_half_panel(stations: ArrayLike, panels: int, triangles: int = 1500) -> RestMesh:
    """Mesh half a panel, from its mid-line to its right-hand seam, and its part of the cap.

    Parameters
    ----------
    stations : array_like (k, 4) float
        From the floor up: distance along the mid-line, half width, radius and height of the mid-line as
        sewn [mm]; straight between stations. A half width of zero ends the panel in a point, else a flat
        cap closes the room.
    panels : int
        Panels round the room.
    triangles : int
        About how many triangles to make.

    Returns
    -------
    RestMesh
        The rest x axis runs across the panel, y up it. Edges ``base``, ``middle``, ``seam`` and ``top``
        (the point or the middle of the cap); ``rows`` counts the rows of the panel without the cap.

    Raises
    ------
    ParameterError
        If the stations make no panel.
    """
    table = np.asarray(stations, dtype=float)
    _check(table, panels, triangles)
    tangent = float(np.tan(np.pi / panels))
    if table[-1, 1] <= _POINT * table[:, 1].max():
        table = table.copy()
        table[-1, 1:3] = 0.0
    apothem = table[-1, 1] / tangent
    area = float(np.trapezoid(table[:, 1], table[:, 0])) + table[-1, 1] * apothem / 2
    size = float(np.sqrt(2 * area / triangles))
    tried = []
    for _ in range(_TRIES):
        rows = _rows(table, apothem, size)
        tried.append(rows)
        if abs(rows.triangles - triangles) <= _NEAR * triangles:
            break
        size *= float(np.sqrt(rows.triangles / triangles))
    rows = min(tried, key=lambda one: abs(one.triangles - triangles))
    first, corners = _triangles(rows.cells)
    share = np.concatenate([np.linspace(0, 1, count + 1) for count in rows.cells])
    half, radius, height, along = (
        np.repeat(values, rows.cells + 1) for values in (rows.half, rows.radius, rows.height, rows.along)
    )
    flat = np.column_stack([half * share, along])
    edges = {
        "base": np.arange(first[1]),
        "middle": first[:-1],
        "seam": first[1:] - 1,
        "top": first[-2:-1],
        "rows": np.arange(rows.below_cap),
    }
    nodes = np.column_stack([radius, tangent * radius * share, height])
    return RestMesh(nodes, corners, flat[corners], Named("edge", edges))

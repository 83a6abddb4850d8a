"""What a picture of the room shows, arranged as coloured triangles and lines.

Glossary: a *scene* holds all of it with the light already in the colours, so that any program can draw it;
the *key light* comes from the doorway's side, the weaker *fill light* from the other; the *figure* is a plain
peg, 1.2 m tall like a child of seven, for the scale; the floor has a line every metre. This module knows the
body, and nothing of graphics libraries or files.
"""

import math
from collections.abc import Sequence

import numpy as np
from attrs import frozen
from numpy.typing import ArrayLike, NDArray

from shellparts.body.body import Body
from shellparts.body.seams import EdgeRole
from shellparts.parameters.part import Colour, Part, Role
from shellparts.writers.mesh import Mesh, patches_of, smooth_normals
from shellparts.writers.picture_floor import floor_and_grid
from shellparts.writers.picture_view import View, frame, three_quarter

__all__ = ["FIGURE_HEIGHT_MM", "Scene", "arranged", "figure", "line_widths", "picture_scene"]

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

#: Height of the figure that stands beside the room [mm].
FIGURE_HEIGHT_MM = 1200.0

_FIGURE: Colour = (0.42, 0.46, 0.55)
_SEAM: Colour = (0.24, 0.21, 0.20)
_FOLD: Colour = (0.48, 0.45, 0.42)
#: Widths of seams, of hems and of folds, then of lines on the floor [pixel of a picture 1600 wide].
_WIDTHS = (2.4, 1.7, 1.1, 1.0)
_ROLES = {EdgeRole.SEAM: 0, EdgeRole.HEM: 1, EdgeRole.OPEN: 1, EdgeRole.FOLD: 2}

_ELEVATION = math.radians(14.0)
_VIEW_ANGLE = math.radians(19.0)
_FILLED = 0.86
_KEY_AZIMUTH, _KEY_ELEVATION = math.radians(32.0), math.radians(46.0)
_FILL_AZIMUTH, _FILL_ELEVATION = math.radians(50.0), math.radians(15.0)
#: Lines are drawn this share of the way nearer to the viewer: the face they lie on must not hide them.
_LIFT = 0.0012
_FLOOR_LIFT = 0.0003
_INSIDE = 0.62


@frozen(eq=False)
class Scene:
    """A picture before it is drawn.

    Parameters
    ----------
    points, colours : ndarray
        Shape (n, 3): corners of triangles [mm] and their colours as shown.
    triangles : ndarray of int
        Shape (m, 3), counter-clockwise seen from where they are to be seen.
    line_points, line_colours : ndarray
        Shape (k, 3), likewise.
    lines : tuple of ndarray of int
        Line segments by width, each of shape (j, 2): seams, hems, folds, lines on the floor.
    view : View
        The camera.
    subject : ndarray
        Shape (q, 3): what must not be cut off, the room and the figure [mm].
    """

    points: Array
    colours: Array
    triangles: Ints
    line_points: Array
    line_colours: Array
    lines: tuple[Ints, ...]
    view: View
    subject: Array


def figure(at: Array, facets: int = 48) -> Mesh:
    """A plain peg the height of a child.

    Parameters
    ----------
    at : ndarray
        Where it stands, shape (2,) [mm].
    facets : int
        How many strips round it.

    Returns
    -------
    Mesh
        Closed but for its base.
    """
    turn = np.linspace(0, math.pi, 17)
    head = np.column_stack([105 * np.sin(turn), FIGURE_HEIGHT_MM - 105 * (1 - np.cos(turn))])[1:-3]
    shoulder = np.linspace(0, math.pi / 2, 9)[:-1]
    body = [(150.0, 0.0), *zip(118 - 70 * (1 - np.cos(shoulder)), 850 + 120 * np.sin(shoulder), strict=True)]
    outline = np.array([*body, *head[::-1], (0.5, FIGURE_HEIGHT_MM)])
    around = 2 * math.pi * np.arange(facets) / facets
    ring = np.column_stack([np.cos(around), np.sin(around)])
    points = np.concatenate(
        [outline[:, :1, None] * ring, np.broadcast_to(outline[:, 1:, None], (len(outline), facets, 1))],
        axis=2,
    )
    points[..., :2] += at
    low = np.arange((len(outline) - 1) * facets)
    on = low - low % facets + (low + 1) % facets
    triangles = np.concatenate(
        [np.column_stack([low, on, on + facets]), np.column_stack([low, on + facets, low + facets])]
    )
    return Mesh(points.reshape(-1, 3), triangles)


@frozen
class _Light:
    """Directions to the key light and to the fill light, unit vectors of shape (3,)."""

    key: Array
    fill: Array

    @classmethod
    def for_view(cls, azimuth: float) -> "_Light":
        """The key light on the doorway's side of the viewer, the fill light on the other."""
        side = math.copysign(1.0, math.sin(azimuth))
        return cls(
            _direction(azimuth - side * _KEY_AZIMUTH, _KEY_ELEVATION),
            _direction(azimuth + side * _FILL_AZIMUTH, _FILL_ELEVATION),
        )

    def on(self, colour: ArrayLike, normals: Array) -> Array:
        """Colours of a dull surface with normals of shape (n, 3), of one colour or one a point."""
        light = 0.53 + 0.40 * np.clip(normals @ self.key, 0, 1) + 0.20 * np.clip(normals @ self.fill, 0, 1)
        light = light + 0.06 * normals[:, 2]
        # Shade is a little cooler than light.
        tint = 1.0 + np.outer(np.clip(1 - light, 0, 1), [-0.10, -0.02, 0.10])
        return np.clip(np.array(colour) * light[:, None] * tint, 0, 1)


def _direction(azimuth: float, elevation: float) -> Array:
    flat = math.cos(elevation)
    return np.array([flat * math.cos(azimuth), flat * math.sin(azimuth), math.sin(elevation)])


def _tube(patches: Sequence[Mesh]) -> tuple[float | None, float]:
    """Direction in plan of a tube [rad], None if there is none; and how far from the axis it reaches [mm]."""
    if not patches:
        return None, 0.0
    points = np.concatenate([patch.points for patch in patches])[:, :2]
    x, y = (points.min(axis=0) + points.max(axis=0)) / 2
    return math.atan2(y, x), float((points @ np.array([x, y])).max() / math.hypot(x, y))


def _standing(tunnel: Sequence[Mesh], room: Array, azimuth: float) -> Array:
    """Where the figure stands: before the doorway, on its far side; else before the room. Shape (2,) [mm]."""
    if not tunnel:
        reach = float(np.hypot(room[:, 0], room[:, 1]).max()) + 350.0
        return reach * np.array([math.cos(azimuth - 1.35), math.sin(azimuth - 1.35)])
    points = np.concatenate([patch.points for patch in tunnel])
    side = -math.copysign(1.0, math.sin(azimuth))
    return np.array([points[:, 0].max() + 150.0, side * (np.abs(points[:, 1]).max() + 550.0)])


def _seam_lines(body: Body) -> tuple[list[Array], list[int]]:
    """Edges of the cloth as polylines, and which width each has."""
    widths: dict[int, int] = {}
    for use in body.seams.uses:
        widths[use.key] = min(widths.get(use.key, 9), _ROLES[use.role])
    links = [body.links[key] for key in sorted(widths)]
    return [link.sampled(2 if link.straight else 49) for link in links], [widths[link.key] for link in links]


def picture_scene(body: Body, aspect: float = 1.6) -> Scene:
    """Arrange the picture of a room as sewn.

    Parameters
    ----------
    body : Body
    aspect : float
        Width of the picture over its height [-].

    Returns
    -------
    Scene
        Seen three-quarter on, so that the doorway and the sleeve both show.
    """
    faces = {id(face): (face.face, sheet.kind) for sheet in body.sheets for face in sheet.faces}
    kinds = [kind for _, kind in faces.values()]
    patches = patches_of([face for face, _ in faces.values()])
    return arranged(patches, kinds, [kind.colour for kind in kinds], *_seam_lines(body), aspect)


def arranged(
    patches: Sequence[Mesh],
    kinds: Sequence[Part],
    inks: Sequence[ArrayLike],
    paths: list[Array],
    widths: list[int],
    aspect: float,
) -> Scene:
    """Arrange a picture of cloth.

    Parameters
    ----------
    patches : sequence of Mesh
        The cloth, counter-clockwise seen from outside [mm].
    kinds : sequence of Part
        What each is.
    inks : sequence of array_like
        Colour of each, or of each of its points: shape (3,) or (n, 3).
    paths : list of ndarray
        Lines, each shape (n, 3) [mm].
    widths : list of int
        Which width each line has: 0 seams, 1 hems, 2 folds.
    aspect : float
        Width of the picture over its height [-].

    Returns
    -------
    Scene
    """
    room = np.concatenate([patch.points for patch in patches])
    tunnel = [
        patch
        for patch, kind in zip(patches, kinds, strict=True)
        if kind.role is Role.TUBE and not kind.is_round
    ]
    sleeve = [patch for patch, kind in zip(patches, kinds, strict=True) if kind.is_round]
    shell = [patch for patch, kind in zip(patches, kinds, strict=True) if kind.role is Role.PANEL]
    radius = float(np.hypot(*np.concatenate([patch.points for patch in shell])[:, :2].T).max())
    towards_sleeve, reach = _tube(sleeve)
    azimuth = three_quarter(_tube(tunnel)[0], towards_sleeve, reach, radius)
    light = _Light.for_view(azimuth)
    peg = figure(_standing(tunnel, room, azimuth))
    subject = np.concatenate([room, peg.points])
    view = frame(subject, azimuth, _ELEVATION, _VIEW_ANGLE, aspect, _FILLED)

    meshes, colours = [], []
    for patch, ink in [*zip(patches, inks, strict=True), (peg, None)]:
        normals = smooth_normals(patch)
        meshes.append(patch)
        colours.append(light.on(_FIGURE if ink is None else ink, normals))
        if ink is not None:
            meshes.append(Mesh(patch.points, patch.triangles[:, ::-1]))
            colours.append(_INSIDE * light.on(ink, -normals))
    floor, floor_colours, grid, grid_colours = floor_and_grid([*patches, peg], light.key)
    meshes, colours = [*meshes, floor], [*colours, floor_colours]
    points, triangles = _joined(meshes)
    paths, widths = [*paths, *grid], [*widths, *([3] * len(grid))]
    shades = [
        np.broadcast_to(_FOLD if w == 2 else _SEAM, path.shape)
        for path, w in zip(paths, widths, strict=True)
        if w < 3
    ]
    lines = _segments(paths, widths)
    line_points = np.concatenate(paths)
    lift = np.repeat([_FLOOR_LIFT if w == 3 else _LIFT for w in widths], [len(path) for path in paths])[
        :, None
    ]
    return Scene(
        points=points,
        colours=np.concatenate(colours),
        triangles=triangles,
        line_points=line_points + lift * (view.position - line_points),
        line_colours=np.concatenate([*shades, *grid_colours]),
        lines=lines,
        view=view,
        subject=subject,
    )


def _joined(meshes: Sequence[Mesh]) -> tuple[Array, Ints]:
    shifts = np.cumsum([0, *(len(mesh.points) for mesh in meshes)])
    triangles = [mesh.triangles + shift for mesh, shift in zip(meshes, shifts, strict=False)]
    return np.concatenate([mesh.points for mesh in meshes]), np.concatenate(triangles)


def _segments(paths: Sequence[Array], widths: Sequence[int]) -> tuple[Ints, ...]:
    """Segments of polylines by width, as numbers into the joined points."""
    shifts = np.cumsum([0, *(len(path) for path in paths)])
    found: list[list[Ints]] = [[np.empty((0, 2), np.int64)] for _ in _WIDTHS]
    for path, width, shift in zip(paths, widths, shifts, strict=False):
        starts = shift + np.arange(len(path) - 1)
        found[width].append(np.column_stack([starts, starts + 1]))
    return tuple(np.concatenate(listed) for listed in found)


def line_widths(width: int) -> Array:
    """Widths of seams, hems, folds and lines on the floor in a picture so many pixels wide [pixel].

    Parameters
    ----------
    width : int
        Of the picture [pixel].

    Returns
    -------
    ndarray
        Shape (4,) [pixel].
    """
    return np.array(_WIDTHS) * width / 1600

"""What a picture of the room shows: cloth, seams, and from which side.

Glossary: the *azimuth* is the direction in plan from the room's axis to the viewer, counter-clockwise from
+x, where the doorway is; the *figure* is a plain peg, 1.2 m tall like a child of seven, for the scale. Light,
floor and camera are of `picture_render`.
"""

import math
from collections.abc import Mapping, Sequence

import numpy as np
from attrs import frozen
from numpy.typing import ArrayLike, NDArray
from trimesh import Trimesh
from trimesh.creation import revolve
from trimesh.util import concatenate

from shellparts.body.body import Body
from shellparts.body.seams import EdgeRole
from shellparts.parameters.part import Colour, Part, Role
from shellparts.writers.mesh import patches_of

__all__ = [
    "FIGURE_HEIGHT_MM",
    "FOLD",
    "SEAM",
    "Scene",
    "arranged",
    "figure",
    "picture_scene",
    "three_quarter",
]

Array = NDArray[np.float64]
#: Lines by their width [pixel of a picture 1600 wide] and colour, each shape (n, 3) [mm].
Lines = Mapping[tuple[float, Colour], Sequence[Array]]

#: Height of the figure that stands beside the room [mm].
FIGURE_HEIGHT_MM = 1200.0
#: Width and colour of a seam.
SEAM: tuple[float, Colour] = (2.4, (0.24, 0.21, 0.20))
#: Width and colour of a fold.
FOLD: tuple[float, Colour] = (1.1, (0.48, 0.45, 0.42))

_FIGURE: Colour = (0.42, 0.46, 0.55)
_HEM = (1.7, SEAM[1])
_ROLES = {
    EdgeRole.SEAM: SEAM,
    EdgeRole.HEM: _HEM,
    EdgeRole.OPEN: _HEM,
    EdgeRole.FOLD: FOLD,
}

_USUAL = math.radians(38.0)
_STEEPEST = math.radians(64.0)
#: A sleeve no further than this from the viewer's azimuth stands before the room [rad].
_BESIDE = math.radians(80.0)
#: Share of a sleeve behind the room that must stand out beside it.
_STANDING_OUT = 0.35


@frozen(eq=False)
class Scene:
    """A picture before it is drawn.

    Parameters
    ----------
    points, colours : ndarray
        Shape (n, 3): corners of triangles [mm] and their colours in full light.
    triangles : ndarray of int
        Shape (m, 3), counter-clockwise seen from outside.
    lines : mapping
        Lists of lines, each shape (k, 3) [mm], by their width [pixel of a picture 1600 wide] and colour.
    azimuth : float
        Of the viewer [rad].
    scale : tuple, optional
        What colours mean, if not cloth: the words, the highest number, the colours of 0 and of that.
    """

    points: Array
    colours: Array
    triangles: NDArray[np.int64]
    lines: Lines
    azimuth: float
    scale: tuple[str, float, tuple[Array, Array]] | None = None


def figure(at: Array) -> Trimesh:
    """A plain peg the height of a child.

    Parameters
    ----------
    at : ndarray
        Where it stands, shape (2,) [mm].

    Returns
    -------
    Trimesh
        Closed.
    """
    turn, shoulder = np.linspace(0, math.pi, 17)[13:0:-1], np.linspace(0, math.pi / 2, 9)[:-1]
    sides = np.column_stack([118 - 70 * (1 - np.cos(shoulder)), 850 + 120 * np.sin(shoulder)])
    head = np.column_stack([105 * np.sin(turn), FIGURE_HEIGHT_MM - 105 * (1 - np.cos(turn))])
    foot = [(0.0, 0.0), (150.0, 0.0), (149.9, 3.0)]  # a narrow strip keeps the edge sharp
    outline = np.concatenate([foot, sides, head, [(0.0, FIGURE_HEIGHT_MM)]])
    peg = revolve(outline, sections=48)
    peg.apply_translation([*at, 0.0])
    return peg


def three_quarter(
    doorway: float | None, sleeve: float | None, reach: float = 0.0, radius: float = 0.0
) -> float:
    """Azimuth from which the doorway's opening is seen and the sleeve is not hidden.

    Parameters
    ----------
    doorway, sleeve : float or None
        Azimuths of what there is [rad].
    reach, radius : float
        How far the sleeve's mouth and the room's foot are from the axis [mm].

    Returns
    -------
    float
        Azimuth of the viewer [rad]: on the sleeve's side of the doorway, and only as far round as it takes
        for the sleeve to come before the room or to stand out beside it; never so far that the opening is
        seen edge on.

    Examples
    --------
    >>> turns = np.radians([90, -100, 150, 180])
    >>> [round(math.degrees(three_quarter(0.0, turn, 4e3, 2.5e3))) for turn in turns]
    [38, -38, 38, 50]
    """
    if doorway is None:
        return _USUAL if sleeve is None else sleeve - _USUAL
    if sleeve is None:
        return doorway + _USUAL
    apart = math.remainder(sleeve - doorway, 2 * math.pi)
    shown = radius + _STANDING_OUT * (reach - radius)
    for turn in np.arange(_USUAL, _STEEPEST, math.radians(1.0)):
        left = abs(apart) - turn
        if left <= _BESIDE or reach * math.sin(left) >= shown:
            return doorway + math.copysign(float(turn), apart)
    return doorway + math.copysign(_STEEPEST, apart)


def _tube(points: Array) -> tuple[float | None, float]:
    """Direction in plan of a tube [rad], None if there is none; and how far from the axis it reaches [mm]."""
    if not len(points):
        return None, 0.0
    x, y = (points.min(axis=0) + points.max(axis=0))[:2] / 2
    return math.atan2(y, x), float((points[:, :2] @ np.array([x, y])).max() / math.hypot(x, y))


def _standing(tunnel: Array, room: Array, azimuth: float) -> Array:
    """Where the figure stands: before the doorway, on its far side; else before the room. Shape (2,) [mm]."""
    if not len(tunnel):
        reach = float(np.hypot(room[:, 0], room[:, 1]).max()) + 350.0
        return reach * np.array([math.cos(azimuth - 1.35), math.sin(azimuth - 1.35)])
    side = -math.copysign(1.0, math.sin(azimuth))
    return np.array([tunnel[:, 0].max() + 150.0, side * (np.abs(tunnel[:, 1]).max() + 550.0)])


def picture_scene(body: Body) -> Scene:
    """Arrange the picture of a room as sewn.

    Parameters
    ----------
    body : Body

    Returns
    -------
    Scene
        Seen three-quarter on, so that the doorway and the sleeve both show.
    """
    faces = {id(face): (face.face, sheet.kind) for sheet in body.sheets for face in sheet.faces}
    kinds = [kind for _, kind in faces.values()]
    looks: dict[int, tuple[float, Colour]] = {}
    for use in body.seams.uses:  # an edge with two uses is drawn once, the wider way
        looks[use.key] = max(looks.get(use.key, _ROLES[use.role]), _ROLES[use.role])
    lines: dict[tuple[float, Colour], list[Array]] = {}
    for key in sorted(looks):
        lines.setdefault(looks[key], []).append(
            body.links[key].sampled(2 if body.links[key].straight else 49)
        )
    return arranged(
        patches_of([face for face, _ in faces.values()]), kinds, [kind.colour for kind in kinds], lines
    )


def arranged(
    patches: Sequence[Trimesh], kinds: Sequence[Part], inks: Sequence[ArrayLike], lines: Lines
) -> Scene:
    """Arrange a picture of cloth, with the figure beside it.

    Parameters
    ----------
    patches : sequence of Trimesh
        The cloth, counter-clockwise seen from outside [mm]; smooth within each.
    kinds : sequence of Part
        What each is.
    inks : sequence of array_like
        Colour of each, or of each of its points: shape (3,) or (n, 3).
    lines : mapping
        As in `Scene`.

    Returns
    -------
    Scene
    """

    def points_of(role: Role, is_round: bool) -> Array:
        found = [
            patch.vertices
            for patch, kind in zip(patches, kinds, strict=True)
            if kind.role is role and kind.is_round == is_round
        ]
        return np.concatenate([np.empty((0, 3)), *found])

    tunnel, shell = points_of(Role.TUBE, False), points_of(Role.PANEL, False)
    towards_sleeve, reach = _tube(points_of(Role.TUBE, True))
    radius = float(np.hypot(shell[:, 0], shell[:, 1]).max())
    azimuth = three_quarter(_tube(tunnel)[0], towards_sleeve, reach, radius)
    room = np.concatenate([patch.vertices for patch in patches])
    peg = figure(_standing(tunnel, room, azimuth))
    shown = [*patches, peg]
    colours = [
        np.broadcast_to(ink, patch.vertices.shape) for ink, patch in zip([*inks, _FIGURE], shown, strict=True)
    ]
    whole = concatenate(shown)
    return Scene(
        np.array(whole.vertices), np.concatenate(colours), np.array(whole.faces, np.int64), lines, azimuth
    )

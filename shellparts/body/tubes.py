"""The faces of tubes from their mouth to their outer end, and the curtain that hangs there."""

import itertools
from collections.abc import Mapping, Sequence

import numpy as np
from attrs import frozen
from OCP.Geom import Geom_Circle
from OCP.gp import gp_Ax2

from shellparts.body.body import BodyFace
from shellparts.body.kernel import direction, point
from shellparts.body.mouth import Mouth
from shellparts.body.pool import Node, Pool, Walk, flat_face, make_face
from shellparts.body.section import Stretch
from shellparts.body.tube_part import Tube
from shellparts.parameters import Doorway

__all__ = ["TubeBuild", "build_tube"]


@frozen(eq=False)
class TubeBuild:
    """A tube as built.

    Parameters
    ----------
    mouth : Mouth
    faces : tuple of BodyFace
        One a stretch of the section.
    leaves : dict
        Faces of the curtain's leaves by name; the face where they overlap belongs to both.
    joints, vents, loose, ends : frozenset of int
        Keys of edges; see `Body`.
    """

    mouth: Mouth
    faces: tuple[BodyFace, ...]
    leaves: Mapping[str, tuple[BodyFace, ...]]
    joints: frozenset[int]
    vents: frozenset[int]
    loose: frozenset[int]
    ends: frozenset[int]


def _end_walks(pool: Pool, tube: Tube, stretch: Stretch, marks: Sequence[float]) -> list[Walk]:
    """Edges of one stretch at the tube's outer end, divided at parameters."""
    parameters = [stretch.first, *sorted(marks), stretch.last]
    nodes = [pool.node(tube.lift(stretch.at(t), tube.end)[0]) for t in parameters]
    if stretch.centre is None:
        return [pool.line(a, b) for a, b in itertools.pairwise(nodes)]
    axes = gp_Ax2(
        point(tube.lift(stretch.centre, tube.end)[0]), direction(tube.axes[2]), direction(tube.axes[0])
    )
    circle = Geom_Circle(axes, stretch.radius)

    def curve(t: np.ndarray) -> np.ndarray:
        return tube.lift(stretch.at(t), tube.end)

    spans = zip(nodes, nodes[1:], parameters, parameters[1:], strict=False)
    return [pool.curve(a, b, first, last, curve, circle) for a, b, first, last in spans]


def _marks(stretch: Stretch, doorway: Doorway | None) -> list[float]:
    """Parameters at which the curtain divides the outer end of a stretch."""
    if doorway is None:
        return []
    lap = doorway.overlap / 2
    found = [stretch.parameter_at_side(side) for side in (lap, -lap)]
    if stretch.start[0] == stretch.end[0] and doorway.vent > 0:
        found.append(stretch.parameter_at_height(doorway.vent))
    return [t for t in found if t is not None]


def build_tube(pool: Pool, tube: Tube, mouth: Mouth, doorway: Doorway | None) -> TubeBuild:
    """Make the faces of a tube.

    Parameters
    ----------
    pool : Pool
    tube : Tube
    mouth : Mouth
        Of this tube.
    doorway : Doorway or None
        For the curtain at the outer end of a tunnel.

    Returns
    -------
    TubeBuild
    """
    ends = [_end_walks(pool, tube, stretch, _marks(stretch, doorway)) for stretch in tube.section]
    faces = []
    for index, stretch in enumerate(tube.section):
        rim, end = mouth.of_stretch(index), ends[index]
        far, near = pool.line(rim[-1].end, end[-1].end), pool.line(rim[0].start, end[0].start)
        loop = [*rim, far, *(walk.back for walk in reversed(end)), near.back]
        faces.append(BodyFace(make_face(tube.surface(stretch), [loop]), (tuple(loop),)))
    far_keys = frozenset(walk.link.key for walks in ends for walk in walks)
    if tube.closed:
        joint = pool.line(mouth.of_stretch(0)[0].start, ends[0][0].start)
        return TubeBuild(
            mouth, tuple(faces), {}, frozenset({joint.link.key}), frozenset(), frozenset(), far_keys
        )
    assert doorway is not None  # a tube that stands on the floor is a doorway
    return _with_curtain(pool, tube, mouth, tuple(faces), [walk for walks in ends for walk in walks], doorway)


def _with_curtain(
    pool: Pool, tube: Tube, mouth: Mouth, faces: tuple[BodyFace, ...], end: list[Walk], doorway: Doorway
) -> TubeBuild:
    """Hang the leaves: three faces in the end's plane, of which the middle one belongs to both leaves."""
    lap = doorway.overlap / 2
    right = _index(end, lap)
    left = _index(end, -lap)
    feet = [pool.node(tube.lift([side, 0.0], tube.end)[0]) for side in (-lap, lap)]
    sides = [pool.line(feet[0], end[left].start), pool.line(feet[1], end[right].start)]
    foot_left, foot_middle = pool.line(end[-1].end, feet[0]), pool.line(feet[0], feet[1])
    foot_right = pool.line(feet[1], end[0].start)
    loops = {
        "right": [foot_right, *end[:right], sides[1].back],
        "middle": [foot_middle, sides[1], *end[right:left], sides[0].back],
        "left": [foot_left, sides[0], *end[left:]],
    }
    made = {name: BodyFace(flat_face([loop], tube.axes[2]), (tuple(loop),)) for name, loop in loops.items()}
    leaves = {
        "curtain_left": (made["left"], made["middle"]),
        "curtain_right": (made["right"], made["middle"]),
    }
    vents = {
        walk.link.key
        for walk in end
        if doorway.vent > 0 and max(walk.start.at[2], walk.end.at[2]) <= doorway.vent + 1e-6
    }
    loose = {walk.link.key for walk in (foot_left, foot_middle, foot_right)}
    far_keys = frozenset(walk.link.key for walk in end)
    return TubeBuild(mouth, faces, leaves, frozenset(), frozenset(vents), frozenset(loose), far_keys)


def _index(end: list[Walk], side: float) -> int:
    """Index of the walk of the outer end that starts at a sideways position on the head."""
    return min(
        range(1, len(end)), key=lambda i: abs(_sideways(end[i].start) - side) - 1e-9 * end[i].start.at[2]
    )


def _sideways(node: Node) -> float:
    return float(node.at[1])

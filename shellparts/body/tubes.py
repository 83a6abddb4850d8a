"""The faces of tubes from their mouth to their outer end, and the curtain that hangs there."""

import itertools
from collections.abc import Mapping, Sequence

import numpy as np
from attrs import frozen
from numpy.typing import NDArray
from OCP.Geom import Geom_Circle, Geom_Surface
from OCP.gp import gp_Ax2

from shellparts.base.errors import GeometryError
from shellparts.body.body import BodyFace
from shellparts.body.kernel import Chart, cylinder, direction, plane, point
from shellparts.body.mouth import Mouth
from shellparts.body.pool import Coedge, Pool, flat_face, make_face
from shellparts.parameters.opening import Closure, Tube
from shellparts.parameters.section import Stretch

__all__ = ["TubeBuild", "build_tube"]

Array = NDArray[np.float64]


@frozen(eq=False)
class TubeBuild:
    """A tube as built."""

    mouth: Mouth
    faces: tuple[BodyFace, ...]  # One a stretch of the section
    #: Faces of the curtain's leaves by name; the face where they overlap belongs to both.
    leaves: Mapping[str, tuple[BodyFace, ...]]
    #: Keys of edges; see `Body`.
    joints: frozenset[int]
    vents: frozenset[int]
    loose: frozenset[int]
    ends: frozenset[int]


def _surface(tube: Tube, stretch: Stretch) -> Geom_Surface | Chart:
    """The outward surface of one stretch."""
    if stretch.centre is None:
        normal = np.append(stretch.outward, 0.0) @ tube.axes
        return plane(tube.lift(stretch.start, 0.0)[0], normal)
    centre = np.array(stretch.centre)

    def parameters(points: Array) -> Array:
        local = tube.local(points)
        angle = np.arctan2(local[:, 1] - centre[1], local[:, 0] - centre[0])
        middle = (stretch.first + stretch.last) / 2
        angle += 2 * np.pi * np.round((middle - angle) / (2 * np.pi))
        return np.column_stack([angle, local[:, 2]])

    surface = cylinder(tube.lift(centre, 0.0)[0], tube.axes[2], tube.axes[0], stretch.radius)
    return Chart(surface, parameters, (stretch.radius, 1.0))


def _end_coedges(pool: Pool, tube: Tube, stretch: Stretch, marks: Sequence[float]) -> list[Coedge]:
    """Edges of one stretch at the tube's outer end, divided at parameters."""
    parameters = [stretch.first, *sorted(marks), stretch.last]
    nodes = [pool.node(tube.lift(stretch.at(t), tube.end)[0]) for t in parameters]
    if stretch.centre is None:
        return [pool.line(a, b) for a, b in itertools.pairwise(nodes)]
    axes = gp_Ax2(
        point(tube.lift(stretch.centre, tube.end)[0]), direction(tube.axes[2]), direction(tube.axes[0])
    )
    circle = Geom_Circle(axes, stretch.radius)

    def curve(t: Array) -> Array:
        return tube.lift(stretch.at(t), tube.end)

    spans = zip(nodes, nodes[1:], parameters, parameters[1:], strict=False)
    return [pool.curve(a, b, first, last, curve, circle) for a, b, first, last in spans]


def _marks(stretch: Stretch, closure: Closure | None) -> list[float]:
    """Parameters at which the leaves divide the outer end of a stretch."""
    if closure is None:
        return []
    lap = closure.overlap / 2
    found = [stretch.parameter_at_side(side) for side in (lap, -lap)]
    if stretch.start[0] == stretch.end[0] and closure.vent > 0:
        found.append(stretch.parameter_at_height(closure.vent))
    return [t for t in found if t is not None]


def build_tube(pool: Pool, tube: Tube, mouth: Mouth, closure: Closure | None) -> TubeBuild:
    """Make the faces of a tube."""
    ends = [_end_coedges(pool, tube, stretch, _marks(stretch, closure)) for stretch in tube.section]
    faces = []
    for index, stretch in enumerate(tube.section):
        rim, end = mouth.of_stretch(index), ends[index]
        far, near = pool.line(rim[-1].end, end[-1].end), pool.line(rim[0].start, end[0].start)
        loop = [*rim, far, *(coedge.back for coedge in reversed(end)), near.back]
        faces.append(BodyFace(make_face(_surface(tube, stretch), [loop]), (tuple(loop),)))
    far_keys = frozenset(coedge.link.key for coedges in ends for coedge in coedges)
    if tube.part.is_round and closure is not None:
        raise GeometryError(f"leaves hang from a head; the {tube.name} closes on itself and has none")
    if tube.part.is_round:
        joint = pool.line(mouth.of_stretch(0)[0].start, ends[0][0].start)
        return TubeBuild(
            mouth, tuple(faces), {}, frozenset({joint.link.key}), frozenset(), frozenset(), far_keys
        )
    if closure is None:
        raise GeometryError(f"nothing closes the {tube.name}, which stands on the floor")
    return _with_leaves(
        pool, tube, mouth, tuple(faces), [coedge for coedges in ends for coedge in coedges], closure
    )


def _with_leaves(
    pool: Pool, tube: Tube, mouth: Mouth, faces: tuple[BodyFace, ...], end: list[Coedge], closure: Closure
) -> TubeBuild:
    """Hang the leaves: three faces in the end's plane, of which the middle one belongs to both leaves."""
    lap = closure.overlap / 2
    right = _index(tube, end, lap)
    left = _index(tube, end, -lap)
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
    name = closure.part.word + tube.name.removeprefix(tube.part.word)
    leaves = {
        f"{name}_left": (made["left"], made["middle"]),
        f"{name}_right": (made["right"], made["middle"]),
    }
    vents = {
        coedge.link.key
        for coedge in end
        if closure.vent > 0 and max(coedge.start.at[2], coedge.end.at[2]) <= closure.vent + 1e-6
    }
    loose = {coedge.link.key for coedge in (foot_left, foot_middle, foot_right)}
    far_keys = frozenset(coedge.link.key for coedge in end)
    return TubeBuild(mouth, faces, leaves, frozenset(), frozenset(vents), frozenset(loose), far_keys)


def _index(tube: Tube, end: list[Coedge], side: float) -> int:
    """Index of the coedge of the outer end that starts at a sideways position on the head."""
    starts = tube.local([coedge.start.at for coedge in end])
    return min(range(1, len(end)), key=lambda i: abs(starts[i, 0] - side) - 1e-9 * starts[i, 1])
